"""Page 3: clearances, what to check before cutting and after welding, and the cautions."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kinematics.linkage.motion import solve
from kinematics.making.balance import USUAL_TIR_LIMIT_MM
from kinematics.shaft.following import follow
from kinematics.shaft.whole_motion import Worst, WorstGap
from kinematics.sure.trial import TrialMeasurement
from sketcher.answers.fitted import expected_in_scene
from sketcher.paper.shop_sheet.blocks import Blocks, Heading, SheetTable, Tick, Ticks, Words
from sketcher.paper.shop_sheet.subject import MOST_NAMES, Subject
from sketcher.words import answer as wording
from sketcher.words.cautions import NEVER_HANGING, SPRING
from sketcher.words.certainty import agreement
from sketcher.words.lengths import Lengths
from sketcher.words.units import Unit
from sketcher.words.welded import limit_words, welded_summary

WELDED = (
    "No drive before a qualified welder or engineer has looked at it, and by the codes where you "
    f"live. {NEVER_HANGING}"
)


def worst_blocks(subject: Subject) -> Blocks:
    """The worst stroke, angles and gaps over the whole motion, tightest gap first."""
    found = subject.found
    heading = Heading("Worst over the whole motion, and gaps")
    if found.unreachable:
        lines = [wording.unreachable_line(one, subject.unit) for one in found.unreachable]
        return (heading, *(Words(line, "missing") for line in lines))
    gaps = sorted(found.gaps, key=lambda gap: gap.worst.to_spare)
    rows = [
        _worst_row(subject, worst, wording.WORST_OF[worst.quantity].capitalize())
        for worst in found.of_joints
    ]
    rows += [_worst_row(subject, gap.worst, _gap_name(subject, gap)) for gap in gaps]
    broken = frozenset(i for i, row in enumerate(rows) if row[-1] == "broken")
    grid = SheetTable(
        ("", "worst", "limit", "where", ""),
        tuple(rows),
        (2.95, 0.9, 0.84, 4.62, 0.7),
        strong=broken,
        words=frozenset({0, 3}),
    )
    if found.gaps:
        return (heading, grid)
    why = "the scene has no bracket" if not subject.corner.brackets else "the shaft has no outline"
    return (heading, grid, Words(f"Gaps were not looked at: {why}.", "missing"))


def _gap_name(subject: Subject, gap: WorstGap) -> str:
    number, count = gap.approach.bracket, len(subject.scene.brackets)
    numbered = f"{number + 1}: " if count > MOST_NAMES and number < count else ""
    return f"Gap, {gap.approach.section_name} to {numbered}{gap.worst.part}"


def _worst_row(subject: Subject, worst: Worst, name: str) -> tuple[str, ...]:
    unit = subject.unit
    value, limit = wording.amount(worst, worst.value, unit), wording.limit(worst, unit)
    word = "broken" if worst.broken else "holds"
    return (name, value, limit, subject.place(worst.position), word)


def before_blocks(subject: Subject) -> Blocks:
    """What to measure again before the first cut, with the sheet's own numbers beside it."""
    joint = subject.corner.shaft.inner_joint
    full, say = joint.stroke_in + joint.stroke_out, subject.say
    return (
        Heading("Before cutting"),
        Words(SPRING, "caution"),
        Ticks(
            (
                Tick("Car level on stands, spring out, knuckle tied up, no hose under load"),
                Tick(
                    f"Inner joint, bottomed to pulled out: {say.place(full)}",
                    f"from mid-stroke {say.typed(joint.stroke_in)} in, "
                    f"{say.typed(joint.stroke_out)} out",
                    say.unit,
                ),
                Tick(
                    "Swept lengths in the car, with a rod that slides",
                    "off by more than the tape allows: do not cut, measure the points again",
                ),
                Tick("Both donors: the right splines, length and joint"),
                Tick("Cut marks measured again after a pause, another tape"),
            )
        ),
        *(() if _trial(subject) else (_swept_lengths(subject),)),
    )


def trial_blocks(subject: Subject) -> Blocks:
    """What was measured on the car already, against the points; nothing without."""
    found = _trial(subject)
    return (Heading("Trial fit in the car"), *found) if found else ()


def _trial(subject: Subject) -> Blocks:
    works = subject.workings
    if works.trial_problem:
        return (Words(f"Measured on the car, not compared: {works.trial_problem}", "missing"),)
    if works.trial is None:
        return ()
    say = subject.say
    rows = tuple(
        (
            _quantity(one.measurement, say.unit),
            say.place(one.measurement.value),
            say.cell(one.before_mm),
            say.cell(one.residual_before_mm, signed=True),
        )
        for one in works.trial.residuals
    )
    header = ("wheel at", "measured", "points", "off")
    return (
        SheetTable(header, rows, (1.3, 1.45, 0.78, 0.78), words=frozenset({0})),
        Words(agreement(works.trial), "tight"),
    )


def _quantity(one: TrialMeasurement, unit: Unit) -> str:
    at = wording.travel_words(one.travel, unit)
    return at if one.quantity == "centre_distance" else f"plunge, {at}"


def _travels(subject: Subject) -> tuple[tuple[float, str], ...]:
    travel = subject.scene.travel
    listed = ((-travel.droop, "full droop"), (0.0, "ride height"), (travel.bump, "full bump"))
    return tuple(one for one in listed if one[0] or one[1] == "ride height")


def _swept_lengths(subject: Subject) -> SheetTable:
    """What the tape allows at each height: more, and the points are wrong."""
    named, say = dict(_travels(subject)), subject.say
    rows = tuple(
        (
            f"{named[one.travel_mm]}, {wording.typed(one.travel_mm, say.unit)}",
            f"{say.place(one.swept_length_mm)} ±{_kept(say.plain(one.within_mm, 'up'))}",
            "",
        )
        for one in expected_in_scene(subject.scene, subject.side, tuple(named))
    )
    header = ("wheel at", "swept length", f"read, {say.unit}")
    return SheetTable(
        header, rows, (1.15, 1.75, 0.6), to_write=frozenset({2}), words=frozenset({0})
    )


def _kept(text: str) -> str:
    """A text that no line ends in."""
    return text.replace(" ", "\xa0")


def after_blocks(subject: Subject) -> Blocks:
    """What to measure on the finished shaft and in the car, or is known of one not to be made."""
    if subject.told.forbids:
        known = _measured(subject)
        return (Heading("After welding"), *known) if known else ()
    ends, say = subject.found.right_mm, subject.say
    locks = "lock to lock, " if subject.scene.steers else ""
    allowed = ""
    if ends is not None:
        allowed = f"right is {say.place(ends[0], 'up')} to {say.place(ends[1], 'down')}"
    return (
        Heading("After welding"),
        Words(WELDED, "caution"),
        Ticks(
            (
                Tick("Weld looked at, and checked for cracks, by somebody qualified"),
                Tick("Finished length between joint centres", allowed, say.unit),
                *_runout(subject),
                Tick(
                    f"In the car, spring out: plunge as below; nothing touches, {locks}"
                    "full droop to full bump"
                ),
                Tick("Boots, clamps, circlips: now, and again after the first drive"),
            )
        ),
        _plunge_marks(subject),
        *_measured(subject),
    )


def _measured(subject: Subject) -> Blocks:
    """What was measured of the finished shaft already."""
    summary = welded_summary(subject.made.trueness, subject.made.finished, subject.say)
    return (Words(f"Measured already: {summary}.", "tight"),) if summary else ()


def _runout(subject: Subject) -> Iterator[Tick]:
    say = subject.say
    inches = "" if say.unit == "in" else f" ({limit_words(USUAL_TIR_LIMIT_MM, Lengths('in'))})"
    note = (
        f"good enough on a low-powered shaft: {limit_words(USUAL_TIR_LIMIT_MM, say)} or less"
        f"{inches}, total indicator reading (common practice)"
    )
    for station in _stations(subject):
        yield Tick(
            f"Runout at {say.place(station)} from the outer joint's centre", note, f"{say.unit} TIR"
        )
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


def _plunge_marks(subject: Subject) -> SheetTable:
    """The plunge at the heights that can be set by hand."""
    corner, say, listed = subject.corner, subject.say, _travels(subject)
    motion = solve(corner.linkage, corner.hub, [travel for travel, _ in listed])
    plunges = follow(corner, motion).plunge_mm.tolist()
    rows = tuple(
        (
            f"{words}, {wording.typed(travel, say.unit)}",
            f"{say.place(abs(plunge))} {'out' if plunge >= 0.0 else 'in'}",
            "",
        )
        for (travel, words), plunge in zip(listed, plunges, strict=True)
        if math.isfinite(plunge)
    )
    header = ("wheel at", "plunge", f"read, {say.unit}")
    return SheetTable(
        header, rows, (1.25, 1.45, 0.8), to_write=frozenset({2}), words=frozenset({0})
    )
