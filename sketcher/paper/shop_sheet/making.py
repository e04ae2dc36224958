"""Page 2: the order of work, strength, and the swept-length table."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from kinematics.making.cut_plan import CutPlan
from kinematics.making.cut_steps import Work
from kinematics.making.donors import ENDS
from kinematics.making.fixture import Fixture, fixture
from sketcher.answers.making import lacking_for_cuts, lacking_for_strength
from sketcher.answers.making_work import on_the_lathe
from sketcher.paper.shop_sheet.amounts import Amounts, angle
from sketcher.paper.shop_sheet.blocks import Blocks, Heading, SheetTable, Tick, Ticks, Words
from sketcher.paper.shop_sheet.subject import STEP_MM, Subject, swept_columns
from sketcher.words.answer import brief
from sketcher.words.cautions import NOT_SURE
from sketcher.words.cut_steps import WELDING, step_lines
from sketcher.words.cuts import datum_line, first_line, fit_line
from sketcher.words.fixture import HOMELESS, fixture_rows
from sketcher.words.lathe import lathe_further, lathe_line
from sketcher.words.plain import sentence
from sketcher.words.strength import strength_summary, warning_lines, whirl_line
from sketcher.words.units import MM_PER_INCH, Unit

_OTHER: dict[Unit, str] = {"mm": "inches", "in": "fraction"}
# What is read in a step, after its unit.
_TO_WRITE: dict[Work, str] = {
    "weld a test piece": "",
    "measure the sleeve": "",
    "measure": "",
    "check length": "",
    "check runout": " TIR",
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
        *_not_sure(sure=told.fits),
        *(Words(line, "missing") for line in _before_the_first_cut(subject, plan)),
        *(Words(line, "tight") for line in _leading(plan, subject.say)),
        Ticks(tuple(_ticks(plan, subject.say)), numbered=True),
    )


def _not_sure(*, sure: bool) -> Blocks:
    return () if sure else (Words(f"{NOT_SURE} these numbers: see page 1.", "caution"),)


def _leading(plan: CutPlan, say: Amounts) -> Iterator[str]:
    """What goes first, and how the sleeve is to fit."""
    yield f"First {first_line(plan, say)}."
    fit = fit_line(plan, say)
    if fit:
        yield f"The sleeve: {fit}."


def _before_the_first_cut(subject: Subject, plan: CutPlan) -> Iterator[str]:
    """What the lathe does not take, what nothing holds, and what only a tape tells."""
    for work in on_the_lathe(subject.scene, subject.side, plan):
        if not work.fits:
            for line in lathe_further(work, subject.scene.lathe, subject.say):
                yield f"{work.end.capitalize()} donor: {line}."
    for end in fixture(plan).homeless:
        yield f"{end.capitalize()} half, in the fixture: {HOMELESS}."
    for end in ENDS:
        line = datum_line(plan, end, subject.say)
        if line:
            yield f"{end.capitalize()} donor: {line}."


def _ticks(plan: CutPlan, say: Amounts) -> Iterator[Tick]:
    for line in step_lines(plan, say):
        # Welding's own caution stands in a box of its own.
        warned = line.caution == WELDING
        blanks = [
            f"{say.unit}{_TO_WRITE[step.action]}" for step in line.steps if step.action in _TO_WRITE
        ]
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
            f"{work.end.capitalize()} donor: {lathe_line(work, subject.say)}.",
            "; ".join(lathe_further(work, subject.scene.lathe, subject.say)),
        )
        for work in works
    )
    return (Heading("On the lathe"), Ticks(tuple(ticks)))


def fixture_blocks(found: Fixture, say: Amounts, *, sure: bool) -> Blocks:
    """The parts of the welder's fixture, and what it leaves."""
    rows = (sentence(f"{name}: {text}") for name, text in fixture_rows(found, say))
    return (
        Heading("Parts of the fixture"),
        *_not_sure(sure=sure),
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
        *(Words(sentence(line), "tight") for line in warning_lines(made.strength)),
        Words(f"Not covered: {'; '.join(map(_head, made.strength.not_covered))}.", "small"),
    )


def _head(line: str) -> str:
    """What a line is about, without what it says of it."""
    return re.split(r"[:,]", line, maxsplit=1)[0]


def swept_blocks(subject: Subject) -> Blocks:
    """The swept-length table straight ahead; strokes and gaps rounded down, angles up."""
    say, step = subject.say, STEP_MM[subject.unit]
    table = swept_columns(subject.corner, step)
    swept, gaps = table["swept_length_mm"], table["clearance_mm"]
    # The head of each column, its share of the width, and its cells.
    columns = [
        ("travel", 0.94, [say.cell(mm, signed=True) for mm in table["travel_mm"]]),
        ("swept", 1.0, [say.cell(mm) for mm in swept]),
        (_OTHER[subject.unit], 1.02, [say.other(mm) for mm in swept]),
        ("plunge", 1.06, [say.cell(mm, signed=True) for mm in table["plunge_mm"]]),
        ("bottom", 0.92, [say.cell(mm, "down") for mm in table["stroke_left_in_mm"]]),
        ("apart", 1.08, [say.cell(mm, "down") for mm in table["stroke_left_out_mm"]]),
        ("inner°", 0.96, [angle(degrees) for degrees in table["inner_angle_deg"]]),
        ("outer°", 1.02, [angle(degrees) for degrees in table["outer_angle_deg"]]),
    ]
    if any(map(math.isfinite, gaps)):
        shown = [say.cell(mm, "down") if math.isfinite(mm) else "" for mm in gaps]
        columns.append(("gap", 0.74, shown))
    header, widths, cells = zip(*columns, strict=True)
    named = f"{brief(step)} mm" if subject.unit == "mm" else f"{brief(step / MM_PER_INCH)} in"
    unit = "mm" if subject.unit == "mm" else "inches"
    resting = "Wheel straight ahead, gearbox" if subject.scene.steers else "Gearbox"
    ride = frozenset(row for row, travel in enumerate(table["travel_mm"]) if travel == 0.0)
    return (
        Heading(f"Swept length every {named}"),
        SheetTable(header, tuple(zip(*cells, strict=True)), widths, strong=ride),
        Words(
            f"In {unit}. {resting} at rest; grey: ride height. Plunge + out, −\xa0in. "
            "Bottom, apart: stroke to bottom, to pull apart.",
            "small",
        ),
    )
