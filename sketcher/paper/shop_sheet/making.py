"""Page 2: the order of work, strength, and the swept-length table."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kinematics.making.cut_plan import CutPlan
from kinematics.making.cut_steps import Work
from kinematics.making.fixture import Fixture
from sketcher.answers.making import lacking_for_cuts, lacking_for_strength, on_the_lathe
from sketcher.paper.shop_sheet.amounts import SAY, angle
from sketcher.paper.shop_sheet.blocks import Blocks, Grid, Heading, Tick, Ticks, Words
from sketcher.paper.shop_sheet.subject import STEP_MM, Subject, swept_rows
from sketcher.words.answer import brief, signed
from sketcher.words.cautions import CODES, NOT_SURE
from sketcher.words.cut_steps import WELDING, step_lines
from sketcher.words.cuts import first_line
from sketcher.words.fixture import fixture_rows
from sketcher.words.lathe import lathe_further, lathe_line
from sketcher.words.strength import strength_summary, warning_lines, whirl_line
from sketcher.words.units import Rounding, format_length

BLANK = "mm / in"
_TO_WRITE: dict[Work, str] = {
    "weld a test piece": "mm",
    "measure": BLANK,
    "check length": BLANK,
    "check runout": "mm TIR",
}


def cut_order_blocks(subject: Subject) -> Blocks:
    """What is done to which end, in order; withheld where the shaft must not be cut."""
    heading, plan = Heading("Order of work"), subject.made.plan
    told = subject.told
    if told.forbids:
        return (
            heading,
            Words("None: do not cut before everything on page 1 is put right.", "missing"),
        )
    if plan is None:
        lacking = ", ".join(lacking_for_cuts(subject.scene, subject.side))
        return (heading, Words(f"None: the scene has no {lacking}.", "missing"))
    return (
        heading,
        *(() if told.fits else (Words(f"{NOT_SURE} these numbers: see page 1.", "caution"),)),
        *_beyond_the_lathe(subject, plan),
        Words(f"{CODES} First {first_line(plan, SAY)}.", "tight"),
        Ticks(tuple(_ticks(plan)), numbered=True),
    )


def _beyond_the_lathe(subject: Subject, plan: CutPlan) -> Blocks:
    """What the lathe does not take, before anything is cut for it."""
    return tuple(
        Words(f"{work.end.capitalize()} donor: {line}.", "missing")
        for work in on_the_lathe(subject.scene, subject.side, plan)
        if not work.fits
        for line in lathe_further(work, subject.scene.lathe, SAY)
    )


def _ticks(plan: CutPlan) -> Iterator[Tick]:
    for line in step_lines(plan, SAY):
        if not line.steps:
            # Said above, before the first box.
            continue
        # Welding's own caution stands in a box of its own.
        warned = line.caution == WELDING
        blanks = [_TO_WRITE[step.action] for step in line.steps if step.action in _TO_WRITE]
        yield Tick(
            line.text,
            "" if warned else line.caution,
            blanks[0] if blanks else "",
            before=line.caution if warned else "",
        )


def lathe_blocks(subject: Subject, plan: CutPlan) -> Blocks:
    """How each donor is held in the lathe, and what that takes."""
    works = on_the_lathe(subject.scene, subject.side, plan)
    if not works:
        return ()
    ticks = (
        Tick(
            f"{work.end.capitalize()} donor: {lathe_line(work, SAY)}.",
            "; ".join(lathe_further(work, subject.scene.lathe, SAY)),
        )
        for work in works
    )
    return (Heading("On the lathe"), Ticks(tuple(ticks)))


def fixture_blocks(found: Fixture) -> Blocks:
    """The parts of the welder's fixture, and what it leaves."""
    rows = (f"{name[0].upper()}{name[1:]}: {text}." for name, text in fixture_rows(found, SAY))
    return (
        Heading("Parts of the fixture"),
        Ticks(tuple(Tick(row) for row in rows)),
        Words(
            "The welder's earth clamp goes on the half that is welded, never past a joint: "
            "current through a joint marks its balls and tracks.",
            "small",
        ),
    )


def strength_blocks(subject: Subject) -> Blocks:
    """The weakest place against the governing torque, and what none of this covers."""
    made, heading = subject.made, Heading("Strength")
    if made.plan is None:
        return ()
    if made.torque is None or made.strength is None or made.whirl is None:
        lacking = ", ".join(lacking_for_strength(subject.scene, subject.side))
        missing = f"the scene has no {lacking}" if lacking else "the cut plan does not work out"
        return (heading, Words(f"Strength was not looked at: {missing}.", "missing"))
    return (
        heading,
        Words(
            f"{strength_summary(made.torque, made.strength)}. Whirl: {whirl_line(made.whirl)}.",
            "tight",
        ),
        *(Words(f"{line[0].upper()}{line[1:]}.", "tight") for line in warning_lines(made.strength)),
        Words(f"Not covered: {'; '.join(map(_head, made.strength.not_covered))}.", "small"),
    )


def _head(line: str) -> str:
    """What a line is about, without what it says of it."""
    return re.split(r"[:,]| that ", line, maxsplit=1)[0]


_HEADER: tuple[str, ...] = (
    "travel",
    "swept",
    "inches",
    "plunge",
    "bottom",
    "apart",
    "inner°",
    "outer°",
    "gap",
)
_WIDTHS = (0.94, 1.0, 1.02, 1.06, 0.92, 1.08, 0.96, 1.02, 0.74)


def swept_blocks(subject: Subject) -> Blocks:
    """The swept-length table straight ahead; strokes and gaps rounded down, angles up."""
    rows = swept_rows(subject.corner)
    gaps = any(row.gap_mm is not None for row in rows)
    cells: list[tuple[str, ...]] = []
    for row in rows:
        listed: tuple[str, ...] = (
            signed(row.travel_mm),
            _mm(row.swept_length_mm),
            format_length(row.swept_length_mm, "in", named=False),
            signed(row.plunge_mm),
            _mm(row.stroke_left_in_mm, "down"),
            _mm(row.stroke_left_out_mm, "down"),
            angle(row.inner_angle_deg),
            angle(row.outer_angle_deg),
        )
        if gaps:
            listed = (*listed, "" if row.gap_mm is None else _mm(row.gap_mm, "down"))
        cells.append(listed)
    columns = len(_HEADER) if gaps else len(_HEADER) - 1
    ride = frozenset(index for index, row in enumerate(rows) if row.travel_mm == 0.0)
    return (
        Heading(f"Swept length every {brief(STEP_MM)} mm"),
        Grid(_HEADER[:columns], tuple(cells), _WIDTHS[:columns], strong=ride),
        Words(
            "In mm, straight ahead, gearbox at rest; grey: ride height. Plunge + out, −\xa0in. "
            "Bottom, apart: stroke to bottom, to pull apart.",
            "small",
        ),
    )


def _mm(mm: float, rounding: Rounding = "nearest") -> str:
    return format_length(mm, named=False, rounding=rounding)
