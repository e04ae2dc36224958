"""Strength in words: what torque, the weakest place, whirl, and what is not covered.

Rounded to the safe side: stresses and speeds up, factors of safety down.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from kinematics.making.torque import STANDARD_GRAVITY, Drive, WheelTorque
from sketcher.words.answer import brief
from sketcher.words.lengths import MM, Lengths
from sketcher.words.units import format_number

if TYPE_CHECKING:
    from kinematics.making.strength import Strength, Stressed
    from kinematics.making.whirl import Whirl


def down(value: float, digits: int = 2) -> str:
    """A number that must not look larger than it is."""
    return format_number(value, digits, "down")


def up(value: float, digits: int = 0) -> str:
    """A number that must not look smaller than it is."""
    return format_number(value, digits, "up")


def torque_line(torque: WheelTorque) -> str:
    """The torque that the shaft is reckoned with, and what governs it."""
    shock, grip = f"{up(torque.shock_nm)} N·m", f"{up(torque.grip_nm)} N·m"
    governs = f"the tyre slips there, it governs; the engine would send {shock}, shock included"
    if torque.governed_by == "engine":
        governs = f"the engine governs, shock included; the tyre would slip at {grip}"
    return f"{up(torque.governing_nm)} N·m: {governs}"


def drive_line(drive: Drive) -> str:
    """How the engine's torque comes about."""
    return (
        f"{brief(drive.engine_torque)} N·m × {brief(drive.gear)} × {brief(drive.final_drive)} × "
        f"{brief(drive.differential_split)} × {brief(drive.shock_factor)} (gear, final drive, "
        "share of this shaft, shock)"
    )


def grip_line(drive: Drive, say: Lengths = MM) -> str:
    """How the torque at which the tyre slips comes about."""
    return (
        f"{brief(drive.wheel_load)} kg × {brief(STANDARD_GRAVITY)} m/s² × {brief(drive.grip)} × "
        f"{say.size(drive.tyre_radius)} (load on the wheel, grip, tyre's radius)"
    )


def reserve_line(found: Strength) -> str:
    """Why parts in reserve do not decide; empty without any."""
    if not any(one.reserve for one in found.welds):
        return ""
    return (
        'a sleeve weld told "butt weld cracked" carries everything alone; it is the reserve that '
        "is left then and does not count as a limit: below 1 there is none"
    )


def called(one: Stressed) -> str:
    """Its name, with where it is softened by welding."""
    return f"{one.name}, beside a weld" if one.beside_weld else one.name


def factor_words(one: Stressed) -> str:
    """A factor of safety; where welding softens the steel by nobody knows how much, the most."""
    return down(one.factor_of_safety) + ("" if one.yield_known else " at most")


def weakest_line(found: Strength) -> str:
    """The weakest place and its factor of safety."""
    weakest = found.weakest
    word = "wanted" if found.holds else "too little, wanted is"
    return (
        f'"{called(weakest)}" is the weakest: it yields at {factor_words(weakest)} times '
        f"this torque ({word} {brief(found.wanted_factor)})"
    )


def strength_summary(torque: WheelTorque, found: Strength) -> str:
    """Torque and weakest place in few words."""
    return (
        f"{up(found.torque_nm)} N·m ({torque.governed_by} governs); weakest is "
        f'"{called(found.weakest)}" with a factor of {factor_words(found.weakest)} '
        f"(wanted {brief(found.wanted_factor)})"
    )


def weak_lines(found: Strength) -> Iterator[str]:
    """Everything whose factor of safety is too small: the weakest, and what else is."""
    weak = sorted(found.too_weak, key=lambda one: one.factor_of_safety)
    for one in weak[:1]:
        yield (
            f'"{called(one)}" is too weak: {up(one.stress_mpa)} MPa in shear, it yields at '
            f"{down(one.shear_yield_mpa, 0)} MPa, a factor of {factor_words(one)} "
            f"(wanted {brief(found.wanted_factor)})"
        )
    if len(weak) > 1:
        others = ", ".join(f'"{called(one)}" {factor_words(one)}' for one in weak[1:])
        yield f"too weak as well, with their factors: {others}"


def unknown_lines(found: Strength) -> Iterator[str]:
    """What nobody knows the yield of beside a weld."""
    if found.unknown_beside_weld:
        names = ", ".join(f'"{name}"' for name in found.unknown_beside_weld)
        yield (
            "what the steel yields at where welding has softened it is not known: "
            f"{names}; give the steel its normalised yield, or have the shaft heat treated after"
        )


def warning_lines(found: Strength) -> Iterator[str]:
    """What holds by its figures and is to be known all the same."""
    yield from unknown_lines(found)
    for name in found.typical_steels:
        yield f"{name}: a typical yield strength, not the least; a bar of it may hold less"
    if found.yields_at:
        names = ", ".join(dict.fromkeys(f'"{one.name}"' for one in found.yields_at))
        yield (
            f"the peak at a groove or shoulder passes yield at {names}: "
            "there a crack begins that many starts make grow; give it a larger radius"
        )
    if found.beyond_steel:
        names = ", ".join(dict.fromkeys(f'"{name}"' for name in found.beyond_steel))
        yield f"thicker than its steel's yield strength holds for: {names}"
    for one in found.welds:
        if one.reserve and one.factor_of_safety < 1.0:
            yield f'in reserve: "{one.name}" would not hold, factor {down(one.factor_of_safety)}'


def whirl_line(found: Whirl) -> str:
    """First whirl against top speed."""
    word = "holds" if found.holds else "too near"
    return (
        f"first at {down(found.first_whirl_rpm, 0)} rpm, top speed is "
        f"{up(found.top_speed_rpm)}: {down(found.ratio, 1)} times, wanted "
        f"{brief(found.wanted_ratio)}, {word}"
    )


def part_rows(found: Strength, say: Lengths = MM) -> Iterator[tuple[str, ...]]:
    """Every piece and weld, in the order of ``PART_COLUMNS``."""
    before: tuple[str, float] | None = None
    for one in (*found.pieces, *found.welds):
        here = (one.name, one.from_mm)
        # Around the same piece lies the sleeve.
        sleeve = ", sleeve" if here == before else ""
        yield _part_row(one, f"{one.name}{sleeve}{', beside a weld' * one.beside_weld}", say)
        before = here


def _part_row(one: Stressed, name: str, say: Lengths) -> tuple[str, ...]:
    at = say.plain(one.from_mm).split(" ")[0]
    if one.to_mm > one.from_mm:
        at += f" to {say.plain(one.to_mm).split(' ')[0]}"
    # A stress needs no fit's fourth decimal of an inch.
    across = say.plain if say.unit == "in" else say.size
    size = across(one.outer_mm).split(" ")[0]
    if one.bore_mm > 0.0:
        size += f"/{across(one.bore_mm).split(' ')[0]}"
    return (
        name,
        at,
        size,
        up(one.stress_mpa),
        factor_words(one),
        down(one.peak_factor) if one.concentration > 1.0 and one.yield_known else "",
        f"{one.twist_deg:.2f}" if one.twist_deg else "",
    )


PART_COLUMNS = ("part", "from to", "size", "MPa", "factor", "peak", "twist")
