"""Making as a step of the work order: donors, splice, sleeve, drive, and the welded shaft."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import replace

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS, other_end
from kinematics.making.splice import Splice
from scenes.guessed import guessed_values
from scenes.making import Making
from scenes.model import Scene, Side
from sketcher.answers.making import Made, lacking_for_cuts, placeholders
from sketcher.answers.shown import Shown
from sketcher.answers.states import State
from sketcher.answers.verdict import Verdict, cut_refusals, not_good_enough, too_weak
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import field_of
from sketcher.window.steps.judged import Loads, loads_of, plan_of, verdict_of
from sketcher.window.steps.making_rows import (
    beyond_lathe_notes,
    donors_rows,
    lathe_rows,
    lathe_summary,
    pair_rows,
    splice_rows,
)
from sketcher.window.steps.rows import (
    Buttons,
    FieldRow,
    Note,
    Row,
    RowHeading,
    WorkStep,
    one,
    part,
    value_rows,
)
from sketcher.words.cut_steps import NO_SECOND_TRY, WELDING
from sketcher.words.cuts import cut_brief, tolerance_line, turning_line
from sketcher.words.lengths import Lengths
from sketcher.words.plain import sentence
from sketcher.words.strength import (
    strength_summary,
    torque_line,
    warning_lines,
    weakest_line,
    whirl_line,
)
from sketcher.words.units import in_unit
from sketcher.words.welded import bend_line, finished_line, judged_line


def _summary(editor: Editor, shown: Shown) -> str:
    missing = lacking_for_cuts(editor.scene, editor.side)
    if missing:
        started = bool(placeholders(editor.scene, editor.side, "donors"))
        unmeasured = "only placeholders yet" if started else "not all there yet"
        return "no donors yet" if len(missing) == 3 else unmeasured
    plan, loads = plan_of(editor, shown), loads_of(editor, shown)
    borne = Made() if loads.overtaken else loads.made
    if any(cut_refusals(plan)) or borne.problem:
        return "cut plan refused"
    if any(too_weak(borne)):
        return "too weak"
    if any((*not_good_enough(borne), *not_good_enough(plan))):
        return "welded, not good enough"
    told = verdict_of(editor, shown)
    if told is not None and told.forbids:
        return "do not cut"
    return f"{plan.plan.first} donor first" if plan.plan is not None else ""


def _rows(editor: Editor, shown: Shown) -> Iterator[Row]:
    scene, side, say = editor.scene, editor.side, Lengths(editor.unit)
    making = scene.making(side)
    started = bool(placeholders(scene, side, "donors"))
    if lacking_for_cuts(scene, side) and not started:
        yield Note(
            "Two donor shafts become one: the hub end of one, the gearbox end of the other. "
            "Start from plain ones and set them right.",
            lines=3,
        )
        yield Buttons(("start_making",))
    plan, loads = plan_of(editor, shown), loads_of(editor, shown)
    donors = itertools.chain(donors_rows(editor), pair_rows(editor, shown, say))
    yield from part(editor, "Making", "Donors", _donors_summary(editor), donors)
    splice = "none yet" if making.splice is None else _splice_summary(making.splice)
    rows = () if making.splice is None else splice_rows(f"shafts.{side}.splice", making.splice)
    yield from part(editor, "Making", "Splice and sleeve", splice, rows)
    yield from part(editor, "Making", "Drive", _drive_summary(scene), _drive_rows(scene))
    there = lathe_summary(scene, side, plan.plan)
    yield from part(editor, "Making", "Lathe", there, lathe_rows(editor, plan.plan, say))
    # What may speak against a cut stands before the cuts.
    worked_out: Iterable[Row] = itertools.chain(
        _placeholder_notes(scene, side),
        (Note(f"Refused: {line}.", "past", lines=3) for line in cut_refusals(plan, say)),
        _held(_strength_notes(scene, loads.made), loads),
        beyond_lathe_notes(editor, plan.plan, say),
        _plan_notes(plan, verdict_of(editor, shown), say),
    )
    yield from part(editor, "Making", "Cuts and strength", _summary(editor, shown), worked_out)
    welded = _welded_rows(editor, plan, loads, say)
    yield from part(editor, "Making", "After welding", _welded_summary(making), welded)


def _placeholder_notes(scene: Scene, side: Side) -> Iterator[Row]:
    """What is not told yet, because it would hang on numbers that nobody has measured."""
    for part_of, what in (("donors", "saw mark"), ("drive", "factor")):
        words = placeholders(scene, side, part_of)
        if words:
            yield Note(f"No {what} yet: it needs {words[0]}.", "close", lines=3)


def _donors_summary(editor: Editor) -> str:
    guesses = [path for path in guessed_values(editor.scene, editor.side) if ".donors." in path]
    if guesses:
        return f"{len(guesses)} not measured yet"
    making = editor.scene.making(editor.side)
    return " and ".join(end for end in ENDS if making.donors(end)) or "none yet"


def _splice_summary(splice: Splice) -> str:
    ways = {
        "butt weld": splice.butt is not None,
        "spigot": splice.butt is not None and splice.spigot_mm > 0.0,
        "sleeve": splice.sleeve is not None,
    }
    return ", ".join(way for way, there in ways.items() if there)


def _drive_summary(scene: Scene) -> str:
    if scene.drive is None:
        return "not told yet"
    guesses = [path for path in guessed_values(scene) if path.startswith("drive.")]
    return f"{len(guesses)} not known yet" if guesses else f"{scene.drive.engine_torque:g} N·m"


def _welded_summary(making: Making) -> str:
    count = len(making.runout)
    finished = "" if making.finished_length is None else "length, "
    return f"{finished}{count} reading{'' if count == 1 else 's'}" if count else finished[:-2]


def _held(notes: Iterator[Note], loads: Loads) -> Iterator[Row]:
    """The notes, or their room alone while they are worked out anew."""
    for note in notes:
        yield replace(note, text="") if loads.overtaken else note


def _plan_notes(made: Made, told: Verdict | None, say: Lengths) -> Iterator[Row]:
    plan = made.plan
    if plan is None or not plan.possible:
        return
    if told is not None and told.forbids:
        yield Note("No order of work: do not cut, see the answer above.", "past")
        return
    if told is not None and not told.fits:
        yield Note("Not sure enough to cut by these numbers.", "close", lines=1)
    for note in _cut_notes(plan, say):
        # Their room alone until the verdict is there.
        yield note if told is not None else replace(note, text="")


def _cut_notes(plan: CutPlan, say: Lengths) -> Iterator[Note]:
    for end in (plan.first, other_end(plan.first)):
        yield Note(sentence(cut_brief(plan, end, say)), lines=3)
        turning = turning_line(plan, end, say)
        if turning:
            yield Note(f"{end.capitalize()} donor: {turning}.", lines=3)
    tolerance = tolerance_line(plan, say)
    if tolerance:
        yield Note(sentence(tolerance), lines=5)
    if not plan.cut(plan.first).donor.cut_twice:
        yield Note(NO_SECOND_TRY)


def _strength_notes(scene: Scene, made: Made) -> Iterator[Note]:
    if made.torque is None or made.strength is None or made.whirl is None:
        if scene.drive is None:
            yield Note("No strength: the scene does not tell of the drive yet.", lines=1)
        return
    weak = [*too_weak(made)]
    for line in weak:
        yield Note(sentence(line), "past", lines=4)
    if not weak:
        yield Note(f"Strength: {strength_summary(made.torque, made.strength)}.", "good", lines=3)
    else:
        yield Note(f"Torque {torque_line(made.torque)}. {weakest_line(made.strength)}.", lines=4)
    yield Note(f"Whirl {whirl_line(made.whirl)}.", lines=3)
    for line in warning_lines(made.strength):
        yield Note(f"Mind: {line}.", "close", lines=3)
    yield Note(
        "Not covered: fatigue, the zone beside a weld, faults in it, the joints. The command "
        "strength lists all."
    )


def _drive_rows(scene: Scene) -> Iterator[Row]:
    yield Buttons(("turn_drive",))
    if scene.drive is not None:
        yield from value_rows("drive", "drive", *_DRIVE)


_DRIVE = (
    *("engine torque", "gear", "final drive", "differential split", "shock factor"),
    *("wheel load", "grip", "tyre radius", "top speed"),
)


def _welded_rows(editor: Editor, plan: Made, loads: Loads, say: Lengths) -> Iterator[Row]:
    side = editor.side
    making, key = editor.scene.making(side), f"shafts.{side}"
    yield Note(WELDING, lines=5)
    yield one("length", field_of(f"{key}.finished_length"))
    if plan.finished is not None:
        inside = plan.finished.verdict == "inside"
        yield Note(f"{finished_line(plan.finished, say)}.", "good" if inside else "past")
    if making.runout:
        yield RowHeading(f"Runout\tat, {say.unit}\tTIR, {say.unit}\thigh at, °")
    for i in range(len(making.runout)):
        reading, label = f"{key}.runout[{i}]", f"reading {i + 1}"
        fields = tuple(field_of(f"{reading}.{name}", label) for name in ("at", "tir", "high_at"))
        yield FieldRow(label, fields, reading, units=False)
    yield Buttons(("add_reading", "remove_reading"))
    for words in placeholders(editor.scene, side, "runout"):
        yield Note(f"Judged without what is not taken yet: {words}.", "close", lines=3)
    yield from _held(_trueness_notes(loads.made, say), loads)


def _trueness_notes(made: Made, say: Lengths) -> Iterator[Note]:
    if made.problem and made.strength is not None:
        yield Note(f"Not to be judged: {in_unit(made.problem, say.unit)}.", "past")
    if made.trueness is None:
        return
    for judged in made.trueness.judged:
        name = judged.quantity.capitalize()
        state: State = "good" if judged.holds else "past"
        yield Note(f"{name}: {judged_line(judged, say)}.", state, lines=3)
    yield Note(f"{bend_line(made.trueness.straight, say)}.", lines=4)


MAKING_STEP = WorkStep("Making", _summary, _rows)
