"""What commands answer with: each side examined, weighed and judged, and the exit code for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from kinematics.parts import Corner
from kinematics.shaft.whole_motion import Examination, examine, whole_motion
from kinematics.sure.certainty import DRAWS, SEED
from scenes.model import Side
from sketcher.answers.verdict import Answered
from sketcher.answers.workings import workings
from sketcher.commands.common import Opened, scene_problems
from sketcher.commands.console import BROKEN, GOOD, UNUSABLE, complain
from sketcher.words import answer as wording

EXIT_CODES = """\
exit code: 0 it fits, 1 do not cut or not sure enough, 2 the scene cannot be read or solved"""


def examine_sides(
    opened: Opened, sides: Sequence[Side], margin_mm: float
) -> dict[Side, Examination]:
    """The answer for each side; the wheels of both move alike.

    Raises SceneError for a shaft or linkage that turns out impossible.
    """
    corners: dict[Side, Corner] = {side: opened.scene.corner(side) for side in sides}
    with scene_problems(opened, sides[0]):
        motion = whole_motion(corners[sides[0]])
    alike: dict[Corner, Examination] = {}
    for side, corner in corners.items():
        if corner not in alike:
            with scene_problems(opened, side):
                alike[corner] = examine(corner, margin_mm, motion)
    return {side: alike[corner] for side, corner in corners.items()}


def answer_sides(
    opened: Opened, sides: Sequence[Side], margin_mm: float, *, draws: int = DRAWS, seed: int = SEED
) -> tuple[Answered, ...]:
    """Each side with all that its verdict is made from.

    Raises SceneError for a shaft or linkage that turns out impossible.
    """
    answers = []
    for side, found in examine_sides(opened, sides, margin_mm).items():
        with scene_problems(opened, side):
            works = workings(opened.scene, side, found, draws, seed=seed)
        answers.append(Answered(opened.scene, side, found, works))
    return tuple(answers)


def verdict_json(one: Answered) -> dict[str, Any]:
    """The verdict on one side, fit for JSON."""
    return asdict(one.verdict())


def exit_code(opened: Opened, answers: Sequence[Answered]) -> int:
    """The exit code that the verdicts call for; complains of what is out of reach."""
    # Both sides hang on the same linkage.
    beyond = answers[0].found.unreachable
    if beyond:
        complain(*(f"{opened.name}: {wording.unreachable_line(one)}" for one in beyond))
        return UNUSABLE
    return GOOD if all(one.verdict().fits for one in answers) else BROKEN
