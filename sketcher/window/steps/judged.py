"""What is known by now of the side shown, and the verdict on it as soon as all of it is there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from sketcher.answers.making import (
    Made,
    lacking_for_strength,
    loaded,
    measured_making,
    planned,
    together,
)
from sketcher.answers.memo import Answer
from sketcher.answers.shown import Shown
from sketcher.answers.verdict import Verdict, verdict
from sketcher.answers.workings import Workings
from sketcher.window.model.desk import Desk
from sketcher.window.steps.trial_step import Tried, answer
from sketcher.words.lengths import Lengths

STRENGTH = "strength"
_NOTHING = Made()


def plan_of(desk: Desk, shown: Shown) -> Made:
    """The cut plan of the side shown, and the finished length; quick enough for every frame."""
    if shown.solved is None:
        return Made()
    return planned(desk.scene, desk.side, shown.solved.found)


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """Strength and trueness; while they are worked out anew, the last ones keep their room."""

    made: Made = _NOTHING
    overtaken: bool = False


def loads_of(desk: Desk, shown: Shown) -> Loads:
    """Strength and trueness of the side shown, as far as they are worked out."""
    making, drive = measured_making(desk.scene, desk.side), desk.scene.drive
    if shown.solved is None or lacking_for_strength(desk.scene, desk.side):
        return Loads()
    length_mm = shown.solved.found.length_mm
    answer = desk.worker.ask(
        STRENGTH, (making, drive, length_mm), partial(loaded, making, drive, length_mm)
    )
    if isinstance(answer.found, Made):
        return Loads(answer.found)
    return Loads(desk.worker.latest(STRENGTH) or _NOTHING, overtaken=True)


def making_of(desk: Desk, shown: Shown) -> Made:
    """All that is known by now of making the shaft of the side shown."""
    loads = loads_of(desk, shown)
    plan = plan_of(desk, shown)
    return plan if loads.overtaken else together(plan, loads.made)


def verdict_of(desk: Desk, shown: Shown) -> Verdict | None:
    """The verdict on the side shown; None while something that it hangs on is worked out."""
    solved = shown.solved
    if solved is None:
        return None
    loads, tried = loads_of(desk, shown), Answer()
    if desk.scene.making(desk.side).trial:
        tried = answer(desk)
    fit = tried.found.fit if isinstance(tried.found, Tried) else None
    works = Workings(
        made=making_of(desk, shown),
        certainty=solved.certainty,
        trial=fit,
        trial_problem=tried.problem,
    )
    told = verdict(desk.scene, desk.side, solved.found, works, Lengths(desk.unit))
    awaited = desk.scene.making(desk.side).trial and fit is None and not tried.problem
    weighed = solved.certainty is not None or solved.uncertain
    if told.forbids or (solved.exact and weighed and not awaited and not loads.overtaken):
        return told
    return None
