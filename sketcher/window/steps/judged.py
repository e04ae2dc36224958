"""What is known by now of the side shown, and the verdict on it as soon as all of it is there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from scenes.guessed import tally
from sketcher.answers.making import Made, lacking_for_strength, measured_making
from sketcher.answers.making_work import loaded, planned, together
from sketcher.answers.memo import Answer
from sketcher.answers.shown import Shown
from sketcher.answers.verdict import Verdict, verdict
from sketcher.answers.workings import Workings, settled_in
from sketcher.window.model.editor import Editor
from sketcher.window.steps.reading_answers import for_chance
from sketcher.window.steps.trial_step import Tried, answer
from sketcher.words.lengths import Lengths

STRENGTH = "strength"
_NOTHING = Made()


def plan_of(editor: Editor, shown: Shown) -> Made:
    """The cut plan of the side shown, and the finished length; quick enough for every frame."""
    if shown.solved is None:
        return Made()
    return planned(editor.scene, editor.side, shown.solved.found)


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """Strength and trueness; while they are worked out anew, the last ones keep their room."""

    made: Made = _NOTHING
    overtaken: bool = False


def loads_of(editor: Editor, shown: Shown) -> Loads:
    """Strength and trueness of the side shown, as far as they are worked out."""
    making, drive = measured_making(editor.scene, editor.side), editor.scene.drive
    if shown.solved is None or lacking_for_strength(editor.scene, editor.side):
        return Loads()
    on = (making, drive, shown.solved.found.length_mm)
    found = editor.worker.ask(STRENGTH, on, partial(loaded, *on)).found
    if isinstance(found, Made):
        return Loads(found)
    return Loads(editor.worker.latest(STRENGTH) or _NOTHING, overtaken=True)


def making_of(editor: Editor, shown: Shown) -> Made:
    """All that is known by now of making the shaft of the side shown."""
    loads, plan = loads_of(editor, shown), plan_of(editor, shown)
    return plan if loads.overtaken else together(plan, loads.made)


def verdict_of(editor: Editor, shown: Shown) -> Verdict | None:
    """The verdict on the side shown; None while something that it hangs on is worked out."""
    solved, scene = shown.solved, editor.scene
    if solved is None:
        return None
    trial, loads = scene.making(editor.side).trial, loads_of(editor, shown)
    tried = answer(editor) if trial else Answer()
    read: Answer | None = None
    if scene.readings:
        key = (scene.points, scene.readings, scene.tape)
        read = editor.worker.ask("readings", key, partial(settled_in, scene)).found
    asked = for_chance(editor, shown)
    fit = tried.found.fit if isinstance(tried.found, Tried) else None
    works = Workings(
        made=making_of(editor, shown),
        certainty=solved.certainty,
        trial=fit,
        trial_problem=tried.problem,
        settled=None if read is None else read.found,
        settled_problem="" if read is None else read.problem,
        # As soon as it is known for this chance.
        next_for_chance=asked.next if asked and asked.sure is solved.certainty else (),
    )
    told = verdict(scene, editor.side, solved.found, works, Lengths(editor.unit))
    awaited = bool(scene.readings) and read is None
    awaited |= bool(trial) and fit is None and not tried.problem
    weighed = solved.certainty is not None or solved.uncertain
    if told.forbids or (solved.exact and weighed and not awaited and not loads.overtaken):
        return told
    if told.state == "not sure enough" and tally(scene, editor.side)[0] and not awaited:
        # What nobody has measured is known at once, whatever the rest will be.
        return replace(told, because=told.because[:1])
    return None
