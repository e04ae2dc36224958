"""Page 3: clearances, what to check before cutting and after welding, and the cautions."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kinematics.balance import USUAL_TIR_LIMIT_MM
from kinematics.examine import Gap, Worst
from kinematics.motion import solve
from kinematics.shaft import follow
from sketcher import wording
from sketcher.certainty_words import agreement
from sketcher.making.lengths import Lengths
from sketcher.making.welded_words import limit_words, welded_summary
from sketcher.shopsheet.amounts import SAY, as_typed, both
from sketcher.shopsheet.blocks import Blocks, Cell, Grid, Heading, Tick, Ticks, Words
from sketcher.shopsheet.making import BLANK
from sketcher.shopsheet.subject import MOST_NAMES, Subject

SPRING = (
    "A coil spring under load can kill. Use a proper spring compressor, and axle stands on firm "
    "ground, never a jack alone, before the wheel is moved through its travel by hand."
)
WELDED = (
    "Do not drive on a welded shaft before a qualified welder or engineer has looked at it. Keep "
    "to the codes where you live. After the first drive, look at weld, boots and joints again."
)
_NAMES = {
    "stroke_left_in": "Stroke left before it bottoms",
    "stroke_left_out": "Stroke left before it pulls apart",
    "inner_angle": "Inner joint angle",
    "outer_angle": "Outer joint angle",
}


def worst_blocks(subject: Subject) -> Blocks:
    """The worst stroke, angles and gaps over the whole motion, tightest gap first."""
    found = subject.found
    heading = Heading("Worst over the whole motion, and clearances")
    if found.unreachable:
        lines = [wording.unreachable_line(one) for one in found.unreachable]
        return (heading, *(Words(line, "missing") for line in lines))
    gaps = sorted(found.gaps, key=lambda gap: gap.worst.to_spare)
    rows = [_worst_row(subject, worst, _NAMES[worst.quantity]) for worst in found.worst[:4]]
    rows += [_worst_row(subject, gap.worst, _gap_name(subject, gap)) for gap in gaps]
    broken = frozenset(i for i, row in enumerate(rows) if row[-1] == "broken")
    grid = Grid(
        ("", "worst", "limit", "where", ""),
        tuple(rows),
        (2.7, 1.1, 1.1, 3.7, 0.9),
        strong=broken,
        words=frozenset({0, 3}),
    )
    if found.gaps:
        return (heading, grid)
    why = "the scene has no bracket" if not subject.corner.brackets else "the shaft has no outline"
    return (heading, grid, Words(f"Clearances were not looked at: {why}.", "missing"))


def _gap_name(subject: Subject, gap: Gap) -> str:
    number, count = gap.approach.bracket, len(subject.scene.brackets)
    numbered = f"{number + 1}: " if count > MOST_NAMES and number < count else ""
    return f"Gap from {gap.approach.section_name} to {numbered}{gap.worst.part}"


def _worst_row(subject: Subject, worst: Worst, name: str) -> tuple[Cell, ...]:
    value: Cell = wording.amount(worst, worst.value, "mm")
    limit: Cell = wording.limit(worst, "mm")
    if worst.quantity not in wording.ANGLES:
        value = (str(value), wording.amount(worst, worst.value, "in"))
        limit = (str(limit), wording.limit(worst, "in"))
    word = "broken" if worst.broken else "holds"
    return (name, value, limit, subject.place(worst.position), word)


def before_blocks(subject: Subject) -> Blocks:
    """What to measure again before the first cut, with the sheet's own numbers beside it."""
    joint = subject.corner.shaft.inner_joint
    full = joint.stroke_in + joint.stroke_out
    return (
        Heading("Before cutting"),
        Words(SPRING, "caution"),
        Ticks(
            (
                Tick("Car level on stands, spring out, wheel straight ahead"),
                Tick(
                    f"Inner joint pushed in till it bottoms, pulled out till it stops: "
                    f"stroke {both(full)}",
                    f"on this sheet: {as_typed(joint.stroke_in)} in and "
                    f"{as_typed(joint.stroke_out)} out from mid-stroke",
                    BLANK,
                ),
                Tick(
                    "Centre distances measured in the car, with a rod that slides, as below",
                    "further from the sheet than the tolerance on page 1 allows: do not cut, "
                    "measure the points again",
                ),
                Tick("Both donors have the splines, length and joint that this car needs"),
                Tick("Cut marks measured twice, from a square edge, by two people"),
            )
        ),
        *(_trial(subject) or (_centre_distances(subject),)),
    )


def _trial(subject: Subject) -> Blocks:
    """What was measured on the car already, against the points."""
    works = subject.workings
    if works.trial_problem:
        return (Words(f"Measured on the car, not compared: {works.trial_problem}", "missing"),)
    if works.trial is None:
        return ()
    rows = tuple(
        (
            "plunge" if one.measurement.quantity == "plunge" else "centre distance",
            wording.travel_words(one.measurement.travel),
            both(one.measurement.value),
            both(one.before_mm),
            wording.signed(one.residual_before_mm),
        )
        for one in works.trial.residuals
    )
    header = ("measured on the car", "at", "measured", "by the points", "off by, mm")
    return (
        Grid(header, rows, (1.4, 1.1, 1.4, 1.4, 0.8), words=frozenset({0})),
        Words(agreement(works.trial)),
    )


def _travels(subject: Subject) -> tuple[tuple[float, str], ...]:
    travel = subject.scene.travel
    listed = ((-travel.droop, "full droop"), (0.0, "ride height"), (travel.bump, "full bump"))
    return tuple(one for one in listed if one[0] or one[1] == "ride height")


def _at_heights(subject: Subject) -> Iterator[tuple[str, float, float, float]]:
    """Words, travel, swept length and plunge at the heights that can be set by hand."""
    corner, listed = subject.corner, _travels(subject)
    motion = solve(corner.linkage, corner.hub, [travel for travel, _ in listed])
    shaft = follow(corner.shaft, motion, corner.hub.outer_joint)
    for index, (travel, words) in enumerate(listed):
        swept, plunge = shaft.swept_length_mm[index], shaft.plunge_mm[index]
        if np.isfinite(swept) and np.isfinite(plunge):
            yield words, travel, float(swept), float(plunge)


def _centre_distances(subject: Subject) -> Grid:
    rows = tuple(
        (words, f"{as_typed(travel)}", both(swept), "")
        for words, travel, swept, _ in _at_heights(subject)
    )
    header = ("wheel at", "travel", "outer joint's centre to mid-stroke", "measured, mm / in")
    return Grid(header, rows, (1.0, 1.2, 2.2, 1.6), to_write=frozenset({3}), words=frozenset({0}))


def after_blocks(subject: Subject) -> Blocks:
    """What to measure on the finished shaft and in the car, or is known of one not to be made."""
    if subject.do_not_cut:
        known = _measured(subject)
        return (Heading("After welding"), *known) if known else ()
    window = subject.found.window
    allowed = ""
    if window is not None and not window.empty:
        shortest, longest = both(window.shortest_mm, "up"), both(window.longest_mm, "down")
        allowed = f"right is {shortest} to {longest}"
    return (
        Heading("After welding"),
        Words(WELDED, "caution"),
        Ticks(
            (
                Tick("Weld looked at, and checked for cracks, by somebody qualified"),
                Tick("Finished length between joint centres", allowed, BLANK),
                *_runout(subject),
                Tick(
                    "In the car, spring out: plunge marks on the shaft as below, and nothing "
                    "touches from lock to lock at full droop, ride height and full bump"
                ),
                Tick("Boots neither rub nor stretch; clamps and circlips are home"),
            )
        ),
        _plunge_marks(subject),
        *_measured(subject),
    )


def _measured(subject: Subject) -> Blocks:
    """What was measured of the finished shaft already."""
    summary = welded_summary(subject.made.trueness, subject.made.finished, SAY)
    return (Words(f"Measured already: {summary}."),) if summary else ()


def _runout(subject: Subject) -> Iterator[Tick]:
    note = (
        f"good enough on a low-powered shaft: {limit_words(USUAL_TIR_LIMIT_MM)} or less "
        f"({limit_words(USUAL_TIR_LIMIT_MM, Lengths('in'))}), total indicator reading "
        "(common practice)"
    )
    for station in _stations(subject):
        yield Tick(f"Runout at {both(station)} from the outer joint's centre", note, "mm TIR")
        note = ""


def _stations(subject: Subject) -> tuple[float, ...]:
    """Along the bar, mm from the outer joint; none where the cut order has runout in it."""
    length = subject.found.length_mm
    if subject.made.plan is not None:
        return ()
    sections = subject.corner.shaft.sections
    bars = [one for one in sections if one.diameter[0] == one.diameter[1]]
    longest = max(bars, key=lambda one: one.to - one.from_, default=None)
    low, high = (0.3 * length, 0.7 * length) if longest is None else (longest.from_, longest.to)
    return tuple(round(low + part * (high - low)) for part in (0.1, 0.5, 0.9))


def _plunge_marks(subject: Subject) -> Grid:
    rows = tuple(
        (words, as_typed(travel), f"{both(abs(plunge))} {_way(plunge)}", "")
        for words, travel, _, plunge in _at_heights(subject)
    )
    header = ("wheel at", "travel", "plunge from mid-stroke", "measured, mm / in")
    return Grid(header, rows, (1.0, 1.2, 2.2, 1.6), to_write=frozenset({3}), words=frozenset({0}))


def _way(plunge_mm: float) -> str:
    return "pulled out" if plunge_mm >= 0.0 else "pushed in"
