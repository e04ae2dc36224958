"""The fixture in words: what holds both halves in line, its parts, and what it leaves."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.making.balance import USUAL_TIR_LIMIT_MM
from kinematics.making.fixture import Fixture, Support
from sketcher.words.lengths import MM, Lengths

HOMELESS = (
    "no room for two V-blocks on plain bar clear of the torch, the waiting sleeve, splines, "
    "grooves and boot seats: split the sleeve, or hold this half between centres"
)


def fixture_rows(found: Fixture, say: Lengths = MM) -> Iterator[tuple[str, str]]:
    """Each part of the fixture with what it is for, then what it leaves."""
    for end in found.homeless:
        yield f"{end} half", HOMELESS
    if found.supports:
        yield (
            "base",
            f"flat and straight, {say.plain(found.base_mm, 'up')} or longer, with a straight edge",
        )
    for number, one in enumerate(found.supports, 1):
        yield f"V-block {number}", _block_words(one, say)
    low, high = found.torch_mm
    reach = f"between {say.plain(low, 'down')} and {say.plain(high, 'up')}"
    yield "torch", f"nothing {reach}, all round"
    if found.sleeve_waits is not None:
        low, high = found.sleeve_waits
        until = "until the butt is welded, and dressed off the blocks"
        yield "sleeve waits", f"from {say.plain(low)} to {say.plain(high)} {until}"
    if found.root_gap_mm:
        yield "root gap", f"two wires of {say.place(found.root_gap_mm)}, opposite one another"
    overall, apart = say.place(found.overall_mm), say.place(found.between_datums_mm)
    yield "length to tack", f"{overall} between joint centres, {apart} between datums"
    if found.runout_left_mm is not None:
        yield "leaves", _left_words(found, found.runout_left_mm, say)


def shim_words(mm: float, say: Lengths = MM) -> str:
    """What lies under a block."""
    return f"shim {say.size(mm)}" if mm else "no shim"


def _block_words(one: Support, say: Lengths) -> str:
    shim = shim_words(one.shim_mm, say)
    return (
        f"{one.end} half, its middle {say.place(one.middle_mm)} from the outer joint's centre, "
        f"{say.plain(one.to_mm - one.from_mm)} wide, under {say.size(one.diameter_mm)}: {shim}; "
        "a clamp over it"
    )


def _left_words(found: Fixture, runout_mm: float, say: Lengths) -> str:
    enough = runout_mm <= USUAL_TIR_LIMIT_MM
    word = "less" if enough else "more"
    return (
        f"shims within {say.fine(found.shim_tolerance_mm)} leave up to {say.fine(runout_mm, 'up')} "
        f"total indicator reading at the splice, {word} than the "
        f"{say.fine(USUAL_TIR_LIMIT_MM, 'down')} that is good enough for low-powered shafts"
        f"{'' if enough else ': set it by the dial before it is tacked'}"
    )
