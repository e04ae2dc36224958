"""The answer in plain words: the same sentences for the report, the window and the sheet.

What is shown is rounded to the safe side: strokes left and gaps down, joint angles up, a
window inwards, and a length to be cut so that it stays inside its window.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from kinematics.parts import Steering
from kinematics.shaft.length_window import LengthWindow, Position
from kinematics.shaft.whole_motion import (
    Examination,
    LimitedQuantity,
    Unreachable,
    Worst,
)
from scenes.model import Scene
from sketcher.words.units import (
    Rounding,
    Unit,
    format_angle,
    format_fraction,
    format_length,
    parse_length,
    rounded,
)

# A side's own words for the gearbox's movement, plus and minus.
DIRECTIONS = (("outboard", "inboard"), ("up", "down"), ("forward", "rearward"))
# What a worst value is of.
WORST_OF: Mapping[LimitedQuantity, str] = {
    "stroke_left_in": "stroke to bottom",
    "stroke_left_out": "stroke to pull apart",
    "inner_angle": "inner joint angle",
    "outer_angle": "outer joint angle",
    "clearance": "gap",
}
_ROUNDING_MM = 1e-9
# Less gearbox movement than this shows as nothing.
SHOWN_MM = 0.05

Say = Callable[[Position], str]


def signed(value: float) -> str:
    """A number to a tenth with its sign, a true minus, and no minus before zero."""
    text = f"{value:+.1f}"
    return "0.0" if float(text) == 0.0 else text.replace("-", "−")


def brief(value: float, *, sign: bool = False) -> str:
    """A number as it was typed, to 0.01: ``36``, ``35.5``, ``+36``."""
    text = f"{value:+.2f}" if sign else f"{value:.2f}"
    text = text.rstrip("0").rstrip(".")
    return "0" if float(text) == 0.0 else text.replace("-", "−")


def where(position: Position, steering: Steering | None = None, unit: Unit = "mm") -> str:
    """A position of the whole motion as a person would say it, every amount in it."""
    parts = [travel_words(position.travel_mm, unit)]
    if steering is not None and max(steering.inside_lock, steering.outside_lock) > 0.0:
        parts.append(steer_words(position.steer_deg, steering))
    moved = _moved(position, (math.inf,) * 3, unit)
    if moved:
        parts.append(f"gearbox moved {moved}")
    return ", ".join(parts)


def place(position: Position, scene: Scene, unit: Unit = "mm") -> str:
    """The same in few words, for a reader who has the scene's travel and locks before them."""
    ends = {scene.travel.bump: "full bump", -scene.travel.droop: "full droop", 0.0: "ride height"}
    parts = [ends.get(position.travel_mm) or travel_words(position.travel_mm, unit)]
    if scene.steering is not None and scene.steers:
        locks = {
            scene.steering.inside_lock: "inside lock",
            -scene.steering.outside_lock: "outside lock",
            0.0: "straight ahead",
        }
        steer = position.steer_deg
        parts.append(locks.get(steer) or f"steer {brief(steer, sign=True)}°")
    movement = scene.gearbox_movement
    moved = _moved(position, (movement.out, movement.up, movement.fore), unit)
    if moved:
        parts.append(f"gearbox {moved}")
    return ", ".join(parts)


def _moved(position: Position, most_mm: tuple[float, ...], unit: Unit) -> str:
    """Which way the gearbox is moved: all the way needs no amount, part of the way does."""
    moved = []
    for directions, value, end in zip(DIRECTIONS, position.shift_mm, most_mm, strict=True):
        if end - abs(value) < SHOWN_MM:
            moved += [directions[value < 0.0]] if value else []
        elif abs(value) >= SHOWN_MM:
            moved.append(f"{format_length(abs(value), unit)} {directions[value < 0.0]}")
    return ", ".join(moved)


def travel_words(travel_mm: float, unit: Unit = "mm") -> str:
    """Wheel travel in words."""
    if travel_mm == 0.0:
        return "ride height"
    return f"{'bump' if travel_mm > 0 else 'droop'} {format_length(abs(travel_mm), unit)}"


def steer_words(steer_deg: float, steering: Steering) -> str:
    """A steer angle in words; at a lock, which one."""
    if steer_deg == 0.0:
        return "straight ahead"
    inside = steer_deg > 0
    lock = steering.inside_lock if inside else -steering.outside_lock
    kind = f"{'inside' if inside else 'outside'} {'lock' if steer_deg == lock else 'wheel'}"
    return f"steer {brief(steer_deg, sign=True)}° ({kind})"


def amount(worst: Worst, value: float, unit: Unit) -> str:
    """A value of the quantity with its unit, rounded so that it looks no better than it is."""
    if worst.is_angle:
        return format_angle(value)
    return format_length(value, unit, rounding="down")


def limit(worst: Worst, unit: Unit, *, named: bool = True) -> str:
    """The quantity's limit with its unit, as it was typed."""
    if worst.is_angle:
        return f"{brief(worst.limit)}°"
    if unit == "in":
        return format_length(worst.limit, unit, named=named)
    return f"{brief(worst.limit)} mm" if named else brief(worst.limit)


def past(worst: Worst, value: float, unit: Unit) -> str:
    """By how much something is past its limit, never shown as nothing."""
    if worst.is_angle:
        return amount(worst, value, unit)
    return format_length(value, unit, rounding="up")


def broken_line(worst: Worst, unit: Unit, at: str) -> str:
    """One broken limit in words."""
    value, wanted = amount(worst, worst.value, unit), limit(worst, unit)
    short = past(worst, -worst.to_spare, unit)
    match worst.quantity:
        case "stroke_left_in" | "stroke_left_out":
            end = "bottoms" if worst.quantity == "stroke_left_in" else "pulls apart"
            if worst.value < 0.0:
                beyond = past(worst, -worst.value, unit)
                return f"the inner joint {end}: {beyond} past the end of its stroke at {at}"
            return (
                f"too little stroke before the inner joint {end}: {value} left at {at}, "
                f"the margin is {wanted} ({short} too little)"
            )
        case "inner_angle" | "outer_angle":
            joint = "inner" if worst.quantity == "inner_angle" else "outer"
            return f"the {joint} joint bends {value} at {at}, its limit is {wanted}"
        case _:
            what = f'"{worst.section}"' if worst.section else "the shaft"
            if worst.value < 0.0:
                deep = past(worst, -worst.value, unit)
                return f'{what} fouls "{worst.part}" by {deep} at {at}'
            return (
                f'the gap from {what} to "{worst.part}" is {value} at {at}, wanted is {wanted} '
                f"({short} too little)"
            )


def unreachable_line(found: Unreachable, unit: Unit = "mm") -> str:
    """What the linkage cannot do, and what it can."""
    # Rounded inwards: what is read off here must be in reach.
    low, high = found.reachable
    if found.quantity == "travel" and unit == "in":
        named, asked = " in", " to ".join(_inches(value) for value in found.asked)
        able = f"{_inches(low, 'up')} to {_inches(high, 'down')}"
    else:
        named = " mm" if found.quantity == "travel" else "°"
        asked = " to ".join(brief(value, sign=True) for value in found.asked)
        able = f"{signed(rounded(low, 1, 'up'))} to {signed(rounded(high, 1, 'down'))}"
    return (
        f"{found.quantity} {asked}{named} is out of reach: {found.reason}; "
        f"in reach is {able}{named}; correct the points, or ask for less"
    )


def _inches(mm: float, rounding: Rounding = "nearest") -> str:
    return format_length(mm, "in", signed=True, named=False, rounding=rounding)


def broken_lines(found: Examination, steering: Steering | None) -> list[str]:
    """Each limit that is broken, in words."""
    return broken_at(found, "mm", lambda position: where(position, steering))


def broken_at(found: Examination, unit: Unit, say: Say) -> list[str]:
    """Each limit that is broken, with the places in the words of ``say``."""
    lines = [unreachable_line(one, unit) for one in found.unreachable]
    lines += [broken_line(worst, unit, say(worst.position)) for worst in found.broken]
    window = found.window
    if window is not None and window.empty:
        lines.append(_empty_window(window, unit, say))
    return lines


def _empty_window(window: LengthWindow, unit: Unit, say: Say) -> str:
    return (
        f"no length keeps {typed(window.margin_mm, unit)} at both ends: the window is "
        f"short by {format_length(window.shortfall_mm, unit, rounding='up')}; not to pull apart "
        f"at {say(window.pulls_apart_at)} it must not be shorter than "
        f"{format_length(window.shortest_mm, unit, rounding='up')}, not to bottom at "
        f"{say(window.bottoms_at)} not longer than "
        f"{format_length(window.longest_mm, unit, rounding='down')}"
    )


def typed(length_mm: float, unit: Unit) -> str:
    """A length of the scene or of an option, as it was typed where it is shown in mm."""
    return f"{brief(length_mm)} mm" if unit == "mm" else format_length(length_mm, unit)


def length_words(found: Examination, unit: Unit = "mm") -> str:
    """The shaft's length; where it is inside its window, so is every figure shown."""
    if unit == "mm":
        return _inside(found, lambda rounding: _decimal_mm(found.length_mm, rounding))
    decimal = _inside(found, lambda way: format_length(found.length_mm, unit, rounding=way))
    fraction = _inside(found, lambda way: format_fraction(found.length_mm, rounding=way))
    return f"{decimal} ({fraction})"


def _decimal_mm(length_mm: float, rounding: Rounding) -> str:
    # A length that was typed to the hundredth is not to be read as another.
    fine = length_mm == round(length_mm, 2) != round(length_mm, 1)
    return format_length(length_mm, digits=2 if fine else None, rounding=rounding)


def _inside(found: Examination, shown: Callable[[Rounding], str]) -> str:
    window = found.window
    ways: tuple[Rounding, ...] = ("nearest", "up", "down")
    if window is not None and window.holds(found.length_mm):
        for way in ways:
            if window.holds(parse_length(shown(way))):
                return shown(way)
    return shown("nearest")


def inside_window(found: Examination, unit: Unit = "mm") -> str:
    """Whether the length is inside the window, and by how much."""
    window = found.window
    if window is None:
        return "no window: not all of the motion is in reach"
    if window.empty:
        return f"empty, short by {format_length(window.shortfall_mm, unit, rounding='up')}"
    down = found.length_mm - window.shortest_mm
    up = window.longest_mm - found.length_mm
    for short_by, word in ((-down, "short"), (-up, "long")):
        if short_by > _ROUNDING_MM:
            much = format_length(short_by, unit, rounding="up")
            return f"the length is {much} too {word} for it"
    below, above = (format_length(max(0.0, room), unit, rounding="down") for room in (down, up))
    return f"the length is inside it: {below} to its short end, {above} to its long end"


def motion_words(scene: Scene, say: Callable[[float], str]) -> str:
    """The whole motion that an answer speaks of; ``say`` puts a length in mm into words."""
    travel, steering, gearbox = scene.travel, scene.steering, scene.gearbox_movement
    parts = [f"{say(travel.droop)} droop to {say(travel.bump)} bump"]
    if steering is not None and scene.steers:
        parts.append(
            f"steer {brief(-steering.outside_lock, sign=True)}° (outside lock) to "
            f"{brief(steering.inside_lock, sign=True)}° (inside lock)"
        )
    ways = ((gearbox.out, "out"), (gearbox.up, "up"), (gearbox.fore, "fore"))
    moves = [f"{say(value)} {word}" for value, word in ways if value]
    if moves:
        parts.append(f"gearbox moving {', '.join(moves)} each way")
    return f"Over {', '.join(parts)}."
