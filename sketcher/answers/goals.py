"""Numbers other than the length that a reading can make surer: a joint angle, the smallest gap."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from kinematics.errors import KinematicsError
from kinematics.linkage.motion import solve
from kinematics.shaft.following import follow
from kinematics.shaft.fouling import corner_clearance
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import Worst, examine
from kinematics.sure.settling import Settled
from kinematics.vectors import Array, read_only
from scenes.keys import with_value
from scenes.model import Scene, Side
from scenes.readings import MARK

GoalName = Literal["inner-angle", "outer-angle", "gap"]
GOALS: tuple[GoalName, ...] = get_args(GoalName)
# Both ways by this for the slope by each coordinate: well above rounding, below any bend.
_STEP_MM = 0.05


class NoGoal(KinematicsError, LookupError):
    """A number that the scene does not have."""


@dataclass(frozen=True, slots=True, eq=False)
class Goal:
    """A number at its worst position, and how it follows the coordinates of every point."""

    name: GoalName
    value: float
    position: Position
    slopes: Array


def goal(scene: Scene, side: Side, settled: Settled, name: GoalName) -> Goal:
    """The number at the worst position of the whole motion, the points as drawn.

    Raises NoGoal for a gap where there is nothing to touch, and as
    :func:`~kinematics.shaft.whole_motion.examine` does.
    """
    corner = scene.corner(side)
    found = examine(corner)
    worst: Worst | None = {
        "inner-angle": found.inner_angle,
        "outer-angle": found.outer_angle,
        "gap": found.clearance,
    }[name]
    if worst is None:
        raise NoGoal("--for gap: the scene has no bracket that the shaft could touch")
    position = worst.position
    length, shift = found.length_mm, np.array([position.shift_mm])

    def value(changed: Scene) -> float:
        here = changed.corner(side)
        motion = solve(here.linkage, here.hub, [position.travel_mm], [position.steer_deg])
        shaft = follow(here, motion, length, shift)
        if name == "gap":
            return float(corner_clearance(here, motion, shaft).gap_mm.min())
        angles = shaft.inner_angle_deg if name == "inner-angle" else shaft.outer_angle_deg
        return float(angles.flat[0])

    slopes = np.zeros((len(settled.points), 3))
    for row, point in enumerate(settled.points):
        if point.name.startswith(MARK):
            continue
        at = np.array(scene.points[point.name])
        for place, step in enumerate(_STEP_MM * np.eye(3)):
            more, less = (
                value(with_value(scene, point.name, tuple(moved.tolist())))
                for moved in (at + step, at - step)
            )
            slopes[row, place] = (more - less) / (2.0 * _STEP_MM)
    whole = read_only(np.nan_to_num(slopes).reshape(-1))
    return Goal(name, worst.value, position, whole)
