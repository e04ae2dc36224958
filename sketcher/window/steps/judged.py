"""What is known by now of the side shown, and the verdict on it as soon as all of it is there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from kinematics.sure.chance_next import NextForChance
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
    length_mm = shown.solved.found.length_mm
    answer = editor.worker.ask(
        STRENGTH, (making, drive, length_mm), partial(loaded, making, drive, length_mm)
    )
    if isinstance(answer.found, Made):
        return Loads(answer.found)
    return Loads(editor.worker.latest(STRENGTH) or _NOTHING, overtaken=True)


def making_of(editor: Editor, shown: Shown) -> Made:
    """All that is known by now of making the shaft of the side shown."""
    loads = loads_of(editor, shown)
    plan = plan_of(editor, shown)
    return plan if loads.overtaken else together(plan, loads.made)


def _next_for_chance(editor: Editor, shown: Shown) -> tuple[NextForChance, ...]:
    """What to read next where the chance is low, as soon as it is known for that chance."""
    solved = shown.solved
    asked = for_chance(editor, shown)
    same = asked is not None and solved is not None and asked.sure is solved.certainty
    return asked.next if asked is not None and same else ()


def verdict_of(editor: Editor, shown: Shown) -> Verdict | None:
    """The verdict on the side shown; None while something that it hangs on is worked out."""
    solved = shown.solved
    if solved is None:
        return None
    loads, tried = loads_of(editor, shown), Answer()
    if editor.scene.making(editor.side).trial:
        tried = answer(editor)
    read: Answer | None = None
    if editor.scene.readings:
        key = (editor.scene.points, editor.scene.readings, editor.scene.tape)
        read = editor.worker.ask("readings", key, partial(settled_in, editor.scene)).found
    fit = tried.found.fit if isinstance(tried.found, Tried) else None
    works = Workings(
        made=making_of(editor, shown),
        certainty=solved.certainty,
        trial=fit,
        trial_problem=tried.problem,
        settled=None if read is None else read.found,
        settled_problem="" if read is None else read.problem,
        next_for_chance=_next_for_chance(editor, shown),
    )
    told = verdict(editor.scene, editor.side, solved.found, works, Lengths(editor.unit))
    awaited = bool(editor.scene.readings) and read is None
    awaited |= bool(editor.scene.making(editor.side).trial) and fit is None and not tried.problem
    weighed = solved.certainty is not None or solved.uncertain
    if told.forbids or (solved.exact and weighed and not awaited and not loads.overtaken):
        return told
    if told.state == "not sure enough" and tally(editor.scene, editor.side)[0] and not awaited:
        # What nobody has measured is known at once, whatever the rest will be.
        return replace(told, because=told.because[:1])
    return None
