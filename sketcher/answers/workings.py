"""What is known of one shaft beyond its motion: how sure, how made, what the car said.

What a scene does not ask for is not loaded either: most have no readings, no trial fit and
nothing of how the shaft is made, and a report would wait for all of that.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING

from kinematics.errors import InvalidInput, KinematicsError
from kinematics.shaft.whole_motion import Examination
from kinematics.sure.certainty import DRAWS, SEED, Certainty
from scenes.model import Scene, Side
from sketcher.answers.making import Made, is_told
from sketcher.answers.memo import Answer, answered
from sketcher.answers.sure import certainty_in_scene
from sketcher.words.certainty import SURE_ENOUGH

if TYPE_CHECKING:
    from kinematics.shaft.placement import Placement
    from kinematics.sure.chance_next import NextForChance
    from kinematics.sure.settling import Settled
    from kinematics.sure.trial_fit import TrialFit


@dataclass(frozen=True, slots=True, eq=False)
class Workings:
    """Everything beyond the answer that the scene has enough for; None for the rest.

    ``trial_problem`` and ``settled_problem`` say why what was measured on the car, or read,
    could not be compared.  ``next_for_chance`` is what to read next where the chance is low.
    """

    made: Made = field(default_factory=Made)
    certainty: Certainty | None = None
    trial: TrialFit | None = None
    trial_problem: str = ""
    placement: Placement | None = None
    settled: Settled | None = None
    settled_problem: str = ""
    next_for_chance: tuple[NextForChance, ...] = ()

    @property
    def contradicted(self) -> bool:
        """Whether the car, or its readings among themselves, contradict the points."""
        trial = self.trial is not None and not self.trial.agrees
        return trial or (self.settled is not None and not self.settled.agree)


def placement_of(scene: Scene, margin_mm: float) -> Placement | None:
    """Where the gearbox is best within the room of its mounts; None where there is none."""
    if scene.gearbox_placement is None:
        return None
    from sketcher.answers.placed import place_in_scene  # noqa: PLC0415

    try:
        return place_in_scene(scene, margin_mm)
    except KinematicsError:
        return None


def workings(
    scene: Scene,
    side: Side,
    found: Examination,
    draws: int = DRAWS,
    *,
    seed: int = SEED,
    placement: Placement | None = None,
) -> Workings:
    """Work out what the scene has enough for; ``draws`` is how often the tape is drawn.

    ``placement`` is the whole axle's, worked out for both sides at once.
    Raises InvalidInput for tape errors of things that the corner does not have.
    """
    trial, problem = trial_of(scene, side)
    sure = None
    # Where the whole motion is not in reach there is nothing to be sure of.
    if not found.unreachable:
        sure = certainty_in_scene(scene, side, found.margin_mm, draws=draws, seed=seed)
    settled, made = settled_in(scene), _made(scene, side, found)
    after = _next_for_chance(scene, side, sure)
    return Workings(made, sure, trial, problem, placement, settled.found, settled.problem, after)


def settled_in(scene: Scene) -> Answer:
    """The scene's readings, settled, or why they could not be; empty without any."""
    if not scene.readings:
        return Answer()
    from sketcher.answers.points import settle_scene  # noqa: PLC0415

    return answered(partial(settle_scene, scene))


def _next_for_chance(scene: Scene, side: Side, sure: Certainty | None) -> tuple[NextForChance, ...]:
    if not scene.readings or sure is None or not sure.chance < SURE_ENOUGH:
        return ()
    from sketcher.answers.next_reading import next_for_chance  # noqa: PLC0415

    return next_for_chance(scene, side, sure)


def _made(scene: Scene, side: Side, found: Examination) -> Made:
    if not is_told(scene, side):
        return Made()
    from sketcher.answers.making_work import made  # noqa: PLC0415

    return made(scene, side, found)


def trial_of(scene: Scene, side: Side) -> tuple[TrialFit | None, str]:
    """What the trial fit says, or why it says nothing; neither where nothing was measured."""
    if not scene.making(side).trial:
        return None, ""
    from sketcher.answers.fitted import trial_in_scene  # noqa: PLC0415

    try:
        return trial_in_scene(scene, side), ""
    except InvalidInput as error:
        # In words alone: the names of our own functions tell a reader nothing.
        return None, "; ".join(problem.message for problem in error.problems)
    except KinematicsError as error:
        return None, str(error)
