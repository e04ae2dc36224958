"""How sure a side's length is, by the tape and the readings of its scene."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from kinematics.parts import Corner
from kinematics.sure.certainty import DRAWS, SEED, Certainty, certainty
from kinematics.sure.correlated import Correlated
from kinematics.sure.expected import Expected, expected_swept
from kinematics.sure.measurands import Measurand
from kinematics.sure.tape import Tape
from kinematics.sure.trial_fit import TrialFit
from scenes.model import Scene, Side
from scenes.part_keys import tape_on
from sketcher.answers.points import settle_scene


def correlated_in_scene(scene: Scene, side: Side) -> Correlated | None:
    """Points that rest on readings with their covariance; None where none does.

    Raises InvalidInput for readings that cannot be met.
    """
    return settle_scene(scene).correlated(side) if scene.readings else None


def expected_in_scene(scene: Scene, side: Side, travel_mm: Sequence[float]) -> tuple[Expected, ...]:
    """What one side's swept length may measure in the car at each travel.

    Raises NoSuchSide, InvalidInput for readings that cannot be met.
    """
    corner = scene.corner(side)
    tape, together = tape_on(scene.tape, corner, side), correlated_in_scene(scene, side)
    return expected_swept(corner, travel_mm, tape, correlated=together)


def certainty_in_scene(
    scene: Scene,
    side: Side,
    margin_mm: float,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    fit: TrialFit | None = None,
) -> Certainty:
    """How sure the length of one side is, with the points as a trial fit left them if given.

    Raises NoSuchSide, InvalidInput for a shaft that turns out impossible or readings
    that cannot be met, OutOfReach where the corner cannot take its whole motion.
    """
    corner = scene.corner(side) if fit is None else fit.fitted
    tape = tape_on(scene.tape, corner, side)
    together = correlated_in_scene(scene, side) if fit is None else fit.correlated
    if together is None:
        return _by_tape_alone(corner, tape, margin_mm, draws, seed)
    return certainty(corner, tape, margin_mm=margin_mm, draws=draws, seed=seed, correlated=together)


# Both sides of most cars are alike.
@lru_cache(maxsize=1)
def _by_tape_alone(
    corner: Corner, tape: Tape[Measurand] | None, margin_mm: float, draws: int, seed: int
) -> Certainty:
    return certainty(corner, tape, margin_mm=margin_mm, draws=draws, seed=seed)
