"""What is shown for a scene at one position, worked out once and kept while it holds.

While something is dragged the sweep is coarse enough for every frame; when it is
let go the whole motion is examined in full.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kinematics.errors import InvalidInput, KinematicsError
from kinematics.examine import Examination, examine, steps, travel_steps, whole_motion
from kinematics.motion import Motion, solve
from kinematics.parts import DEFAULT_MARGIN, Corner, Hub, Linkage
from kinematics.reach import Reach
from kinematics.shaft import ShaftMotion, follow
from kinematics.vectors import Array, read_only
from scenes.model import Scene, Side
from sketcher.drawing.pose import Pose, pose_at
from sketcher.wording import unreachable_line

# Positions along the travel of a live sweep; the curves are smooth far below this.
LIVE_TRAVELS = 41


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """One corner of one scene over its whole motion, exact or live.

    ``motion`` and ``shaft`` have travel along the first axis and the steer angles
    ``steer_deg`` (outside lock, straight, inside lock) along the second.
    """

    scene: Scene
    side: Side
    corner: Corner
    within: Reach
    motion: Motion
    shaft: ShaftMotion
    ride: Pose
    found: Examination
    exact: bool

    @property
    def steer_deg(self) -> Array:
        """The steer angles of the curves."""
        angles: Array = self.motion.steer_deg[0]
        return angles


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What the window shows: the last good picture, and what is wrong since, if anything.

    ``solved`` and ``pose`` are None only where no scene was ever good.  ``problem``
    is one line about the scene, or the position, that was asked for; what is
    shown then is the last that was good.
    """

    solved: Solved | None
    pose: Pose | None
    problem: str = ""

    @property
    def stale(self) -> bool:
        """Whether what is shown is not what was asked for."""
        return bool(self.problem)


class Live:
    """Works out what is shown, and keeps the last that was good."""

    def __init__(self, margin_mm: float = DEFAULT_MARGIN) -> None:
        self.margin_mm = margin_mm
        self._solved: Solved | None = None
        self._refused: tuple[Scene, Side, str] | None = None
        self._reach: tuple[Linkage, Hub, Reach] | None = None
        self._pose: Pose | None = None
        self._pose_of: tuple[Solved, float, float] | None = None

    def show(
        self, scene: Scene, side: Side, travel_mm: float, steer_deg: float, *, exact: bool
    ) -> Shown:
        """The scene at a position; never raises for a scene that makes no working linkage."""
        problem = self._solve(scene, side, exact=exact)
        solved = self._solved
        if solved is None:
            return Shown(None, None, problem)
        if self._pose_of is None or self._pose_of != (solved, travel_mm, steer_deg):
            pose = _pose(solved, travel_mm, steer_deg)
            if pose is None:
                return Shown(solved, self._pose, problem or out_of_reach(solved, travel_mm))
            self._pose, self._pose_of = pose, (solved, travel_mm, steer_deg)
        assert self._pose is not None
        if not problem and self._pose.shaft is None:
            problem = _too_short(side)
        return Shown(solved, self._pose, problem)

    def is_exact(self, scene: Scene, side: Side) -> bool:
        """Whether the last full answer is for this scene, or it has none."""
        if self._refused is not None and self._refused[0] is scene and self._refused[1] == side:
            return True
        return self._matches(scene, side) and self._solved is not None and self._solved.exact

    def forget(self) -> None:
        """Start afresh with another document."""
        self.__init__(self.margin_mm)  # type: ignore[misc]

    def _matches(self, scene: Scene, side: Side) -> bool:
        last = self._solved
        return last is not None and last.scene is scene and last.side == side

    def _solve(self, scene: Scene, side: Side, *, exact: bool) -> str:
        if self._matches(scene, side) and (not exact or self.is_exact(scene, side)):
            return ""
        if self._refused is not None and self._refused[:2] == (scene, side):
            return self._refused[2]
        try:
            corner = scene.corner(side)
            within = self._within(corner)
            if self._matches(scene, side) and self._solved is not None:
                self._solved = replace(
                    self._solved, found=self._examine(corner, within, exact=exact), exact=exact
                )
            else:
                self._solved = self._fresh(scene, side, corner, within, exact=exact)
        except InvalidInput as error:
            problem = "; ".join(f"{one.field}: {one.message}" for one in error.problems)
            self._refused = (scene, side, problem)
            return problem
        except KinematicsError as error:
            self._refused = (scene, side, str(error))
            return str(error)
        self._refused = None
        return ""

    def _within(self, corner: Corner) -> Reach:
        kept = self._reach
        if kept is not None and kept[0] == corner.linkage and kept[1] == corner.hub:
            return kept[2]
        within = solve(corner.linkage, corner.hub, 0.0).reach
        self._reach = (corner.linkage, corner.hub, within)
        return within

    def _fresh(
        self, scene: Scene, side: Side, corner: Corner, within: Reach, *, exact: bool
    ) -> Solved:
        travel = _curve_travels(corner)
        motion = solve(
            corner.linkage,
            corner.hub,
            travel[:, None],
            curve_steers(corner)[None, :],
            within=within,
        )
        shaft = follow(corner.shaft, motion, corner.hub.outer_joint)
        at_ride = solve(corner.linkage, corner.hub, 0.0, within=within)
        ride = pose_at(corner, at_ride, follow(corner.shaft, at_ride, corner.hub.outer_joint))
        if ride is None:
            raise KinematicsError("linkage: the linkage cannot close at ride height")
        found = (
            self._examine(corner, within, exact=True)
            if exact
            else examine(corner, self.margin_mm, motion)
        )
        return Solved(scene, side, corner, within, motion, shaft, ride, found, exact)

    def _examine(self, corner: Corner, within: Reach, *, exact: bool) -> Examination:
        step = 1.0 if exact else 10.0
        return examine(corner, self.margin_mm, whole_motion(corner, step, step, within))


def curve_steers(corner: Corner) -> Array:
    """The steer angles that the plots draw: outside lock, straight, inside lock."""
    steering = corner.steering
    if steering is None:
        return read_only(np.zeros(1))
    return read_only(np.unique([-steering.outside_lock, 0.0, steering.inside_lock]))


def _curve_travels(corner: Corner) -> Array:
    low, high = -corner.travel.droop, corner.travel.bump
    if high - low < 1e-6:
        return travel_steps(corner, 1.0)
    return steps(low, high, max((high - low) / (LIVE_TRAVELS - 1), 1e-3))


def _pose(solved: Solved, travel_mm: float, steer_deg: float) -> Pose | None:
    corner = solved.corner
    motion = solve(corner.linkage, corner.hub, travel_mm, steer_deg, within=solved.within)
    return pose_at(corner, motion, follow(corner.shaft, motion, corner.hub.outer_joint))


def out_of_reach(solved: Solved, travel_mm: float) -> str:
    """One line on a position that the linkage cannot take."""
    for beyond in solved.found.unreachable:
        return unreachable_line(beyond)
    within = solved.within
    reason = within.lowest_reason if travel_mm < 0 else within.highest_reason
    return f"travel {travel_mm:+.0f} mm is out of reach: {reason}"


def _too_short(side: Side) -> str:
    return (
        f"shafts.{side}.length: the shaft is too short to reach from the outer joint "
        "to the housing axis"
    )
