"""What to read next, and what a scene's readings say meanwhile."""

from __future__ import annotations

from dataclasses import dataclass

from kinematics.sure.certainty import Certainty
from kinematics.sure.chance_next import NextForChance, read_next_for_chance
from kinematics.sure.measurands import MID_STROKE, OUTER_JOINT
from kinematics.sure.read_next import NextReading, Unread, read_next, ride_centred_slopes, unread
from kinematics.sure.settling import Settled
from scenes.model import Scene, Side
from scenes.part_keys import path_of
from sketcher.answers.points import settle_scene
from sketcher.words.points import SETTLED_MM

# A chance above this is told as certain as draws can tell.
NOTHING_TO_GAIN = 0.999


@dataclass(frozen=True, slots=True, eq=False)
class PointsAnswer:
    """The scene's points by its readings.

    ``half_width_mm`` is the 95 % half width of each side's ride-centred length;
    ``unread`` what could be read, ``next`` what of it would help that length most.
    """

    settled: Settled
    unread: Unread
    half_width_mm: dict[Side, float]
    next: dict[Side, tuple[NextReading, ...]]

    @property
    def good(self) -> bool:
        """Whether every point is drawn where its readings put it, and none seems misread."""
        return self.settled.drawn_off_mm <= SETTLED_MM and self.settled.suspicious is None


def points_in_scene(scene: Scene) -> PointsAnswer:
    """The points, each side's doubt, and what to read next.

    Raises as :func:`settle_scene`.
    """
    settled = settle_scene(scene)
    could = could_read(scene, settled)
    widths: dict[Side, float] = {}
    following: dict[Side, tuple[NextReading, ...]] = {}
    for side in scene.sides:
        slopes = ride_centred_slopes(settled, side)
        widths[side] = settled.half_width(slopes)
        following[side] = read_next(settled, slopes, could)
    return PointsAnswer(settled, could, widths, following)


def could_read(scene: Scene, settled: Settled) -> Unread:
    """What could be read, without what a trial fit has measured at ride height already."""
    measured = [
        frozenset((path_of(OUTER_JOINT), path_of(MID_STROKE, side)))
        for side in scene.sides
        for one in scene.making(side).trial
        if one.quantity == "centre_distance" and (one.travel, one.steer) == (0.0, 0.0)
    ]
    return unread(settled, scene.brackets, measured)


def next_for_chance(
    scene: Scene, side: Side, sure: Certainty, could: Unread | None = None
) -> tuple[NextForChance, ...]:
    """What to read next for the chance of the length that ``sure`` judges, the best first.

    Nothing where no point rests on readings, or the chance is as good as it can be told.
    Raises as :func:`settle_scene`.
    """
    if not scene.readings or sure.chance >= NOTHING_TO_GAIN:
        return ()
    settled = settle_scene(scene)
    return read_next_for_chance(settled, side, sure, could or could_read(scene, settled))
