"""How sure a side's length is, by the tape and the readings of its scene."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from kinematics.parts import Corner
from kinematics.sure.certainty import DRAWS, SEED, Certainty, certainty
from kinematics.sure.correlated import Correlated
from kinematics.sure.measurands import Measurand
from kinematics.sure.tape import Tape
from scenes.model import Scene, Side
from scenes.part_keys import tape_on

if TYPE_CHECKING:
    from kinematics.sure.trial_fit import TrialFit


def correlated_in_scene(scene: Scene, side: Side) -> Correlated | None:
    """Points that rest on readings with their covariance; None where none does.

    Raises InvalidInput for readings that cannot be met.
    """
    if not scene.readings:
        return None
    # A report without readings must not wait for what settles them.
    from sketcher.answers.points import settle_scene  # noqa: PLC0415

    return settle_scene(scene).correlated(side)


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
        return by_tape_alone(corner, tape, margin_mm, draws, seed)
    return certainty(corner, tape, margin_mm=margin_mm, draws=draws, seed=seed, correlated=together)


# Both sides of most cars are alike.
@lru_cache(maxsize=1)
def by_tape_alone(
    corner: Corner, tape: Tape[Measurand] | None, margin_mm: float, draws: int, seed: int
) -> Certainty:
    """How sure the length of a corner is where nothing but the tape tells."""
    return certainty(corner, tape, margin_mm=margin_mm, draws=draws, seed=seed)
