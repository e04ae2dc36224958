"""The linkage and the shaft against a general constraint solve.

Source: scipy.optimize.root (MINPACK's hybrid method) and brentq on the conditions
that the parts impose on each other, written out here on their own: the knuckle is a
free rigid body of six coordinates, followed from ride height in small steps.  Nothing
of the package is used to find the reference's numbers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, root
from scipy.spatial.transform import Rotation

from kinematics.linkage.motion import Motion, solve
from kinematics.parts import ArmLinkage, Corner, Measured, Strut
from kinematics.shaft.following import ShaftMotion, follow
from tests import strategies

Floats = npt.NDArray[np.float64]

SAME_MM = 1e-6
SAME_DEG = 1e-6


@dataclass(frozen=True)
class Pose:
    """The knuckle as a free body, and the coordinates of what it hangs on."""

    turn: Rotation
    shift: Floats
    arm_rad: float
    # The strut's slide from its drawn length, or the upper arm's turn.
    other: float

    def carried(self, drawn: npt.ArrayLike) -> Floats:
        """Where a point drawn on the knuckle at ride height is now."""
        return np.asarray(self.turn.apply(np.asarray(drawn, dtype=float)) + self.shift)


class Mechanism:
    """One corner as a set of conditions on eight coordinates."""

    def __init__(self, corner: Corner) -> None:
        assert not isinstance(corner.linkage, Measured)
        self.linkage: ArmLinkage = corner.linkage
        self.outer = np.asarray(corner.hub.outer_joint)
        self.wheel = np.asarray(corner.hub.wheel_centre)
        self.drawn_heading = self.heading(self.wheel - self.outer)

    @staticmethod
    def heading(hub_axis: Floats) -> float:
        """Degrees by which the wheel's front points outboard, seen from above."""
        # Seen from above, the wheel stands square to its axis: its front is the
        # horizontal direction at a right angle to the hub axis.
        front_out, front_fore = -hub_axis[2], hub_axis[0]
        return math.degrees(math.atan2(front_out, front_fore))

    @staticmethod
    def swung(pivot: Floats, end: Floats, angle: float) -> Floats:
        """An arm's end after its turn about the fore axis through the pivot."""
        out, up, fore = (float(value) for value in end - pivot)
        cos, sin = math.cos(angle), math.sin(angle)
        return np.array(
            [
                pivot[0] + out * cos - up * sin,
                pivot[1] + out * sin + up * cos,
                pivot[2] + fore,
            ]
        )

    def pose(self, x: Floats) -> Pose:
        return Pose(Rotation.from_rotvec(x[:3]), x[3:6] * 100, float(x[6]), float(x[7]))

    def misfit(self, x: Floats, steer_deg: float) -> list[float]:
        """What keeps the joints together and the wheel at its heading; all zero in place."""
        pose, linkage = self.pose(x), self.linkage
        if isinstance(linkage, Strut):
            pivot, ball, top, lower = map(
                np.asarray,
                (linkage.arm_pivot, linkage.ball_joint, linkage.strut_top, linkage.strut_lower),
            )
            slide = (top - lower) / np.linalg.norm(top - lower)
            length = np.linalg.norm(top - lower) + pose.other * 100
            second = pose.carried(lower + slide * length) - top
        else:
            pivot, ball, upper_pivot, upper_ball = map(
                np.asarray,
                (
                    linkage.lower_pivot,
                    linkage.lower_ball_joint,
                    linkage.upper_pivot,
                    linkage.upper_ball_joint,
                ),
            )
            second = pose.carried(upper_ball) - self.swung(upper_pivot, upper_ball, pose.other)
        first = pose.carried(ball) - self.swung(pivot, ball, pose.arm_rad)
        heading = self.heading(pose.turn.apply(self.wheel - self.outer)) - self.drawn_heading
        return [*first, *second, heading - steer_deg]

    def neighbour(self, start: Floats, steer_deg: float, condition: Any) -> Floats:
        """The coordinates that fulfil all, from those of a position nearby."""

        # Differences are taken in steps relative to the unknowns, so these stay clear of 0.
        def misfit(x: Floats) -> list[float]:
            return [*self.misfit(x - 1, steer_deg), condition(self.pose(x - 1))]

        return np.asarray(root(misfit, start + 1, tol=1e-13).x - 1)

    def settled(self, start: Floats, steer_deg: float, condition: Any) -> Floats:
        """The same to the last digit."""
        # A second start, with fresh derivatives, takes off what the first one's left behind.
        x = self.neighbour(self.neighbour(start, steer_deg, condition), steer_deg, condition)
        assert np.max(np.abs([*self.misfit(x, steer_deg), condition(self.pose(x))])) < 1e-8
        return x

    def at(self, travel_mm: float, steer_deg: float, steps: int = 4) -> Pose:
        """Follow the travel with the steering straight, then turn the wheel and hold the arm."""
        x = np.zeros(8)
        for share in np.linspace(0, 1, steps + 1)[1:]:
            rise = travel_mm * share
            x = self.settled(x, 0.0, lambda p, r=rise: p.carried(self.wheel)[1] - self.wheel[1] - r)
        arm = float(x[6])
        for share in np.linspace(0, 1, steps + 1)[1:]:
            x = self.settled(x, steer_deg * share, lambda p: p.arm_rad - arm)
        return self.pose(x)


def between(a: Floats, b: Floats) -> float:
    """Angle between two directions, degrees, by the chord of their unit vectors."""
    chord = float(np.linalg.norm(a / np.linalg.norm(a) - b / np.linalg.norm(b)))
    return math.degrees(2 * math.asin(chord / 2))


def above_horizontal(pivot: Floats, end: Floats) -> float:
    return math.degrees(math.atan2(end[1] - pivot[1], end[0] - pivot[0]))


def same_mm(ours: Floats | float, theirs: Floats | float) -> None:
    np.testing.assert_allclose(np.asarray(ours), np.asarray(theirs), rtol=0, atol=SAME_MM)


def same_deg(ours: Floats | None, theirs: float) -> None:
    assert ours is not None
    assert float(ours) == pytest.approx(theirs, abs=SAME_DEG)


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(
    corner=strategies.corners(),
    travel=strategies.hundredths(-75, 75),
    steer=strategies.hundredths(-34, 40),
    shift=st.tuples(*[strategies.hundredths(-8, 8)] * 3),
)
def test_every_quantity_of_the_table(
    corner: Corner, travel: float, steer: float, shift: tuple[float, float, float]
) -> None:
    motion = solve(corner.linkage, corner.hub, travel, steer)
    limits = motion.reach
    if not limits.lowest_mm + 5 < travel < limits.highest_mm - 5:
        travel = min(max(travel, 0.8 * limits.lowest_mm), 0.8 * limits.highest_mm)
        motion = solve(corner.linkage, corner.hub, travel, steer)
    mechanism = Mechanism(corner)
    pose = mechanism.at(travel, steer)
    assert bool(motion.in_reach)
    check_knuckle(motion, mechanism, pose)
    check_arms(motion, mechanism.linkage, pose)
    shaft = follow(corner, motion, shift_mm=shift)
    check_shaft(shaft, corner, mechanism, pose, np.asarray(shift))


def check_knuckle(motion: Motion, mechanism: Mechanism, pose: Pose) -> None:
    outer, wheel = pose.carried(mechanism.outer), pose.carried(mechanism.wheel)
    hub_axis = (wheel - outer) / np.linalg.norm(wheel - outer)
    same_mm(motion.wheel_centre, wheel)
    same_mm(motion.outer_joint, outer)
    np.testing.assert_allclose(motion.hub_axis, hub_axis, rtol=0, atol=1e-8)
    np.testing.assert_allclose(motion.knuckle_rotation, pose.turn.as_matrix(), rtol=0, atol=1e-8)
    same_deg(motion.camber_deg, -math.degrees(math.asin(hub_axis[1])))


def check_arms(motion: Motion, linkage: ArmLinkage, pose: Pose) -> None:
    if isinstance(linkage, Strut):
        pivot, ball = np.asarray(linkage.arm_pivot), pose.carried(linkage.ball_joint)
        assert motion.strut_length_mm is not None
        assert motion.strut_lower is not None
        lower = pose.carried(linkage.strut_lower)
        top = np.asarray(linkage.strut_top)
        same_mm(motion.strut_length_mm, float(np.linalg.norm(top - lower)))
        same_mm(motion.strut_lower, lower)
        same_mm(motion.steering_top, top)
    else:
        pivot, ball = np.asarray(linkage.lower_pivot), pose.carried(linkage.lower_ball_joint)
        upper = pose.carried(linkage.upper_ball_joint)
        same_deg(
            motion.upper_arm_angle_deg, above_horizontal(np.asarray(linkage.upper_pivot), upper)
        )
        same_mm(motion.steering_top, upper)
    same_mm(motion.ball_joint, ball)
    same_deg(motion.arm_angle_deg, above_horizontal(pivot, ball))


def check_shaft(
    shaft: ShaftMotion, corner: Corner, mechanism: Mechanism, pose: Pose, shift: Floats
) -> None:
    outer, wheel = pose.carried(mechanism.outer), pose.carried(mechanism.wheel)
    joint = corner.shaft.inner_joint
    axis = np.asarray(joint.axis) / np.linalg.norm(joint.axis)
    middle = np.asarray(joint.mid_stroke) + shift
    ride_swept = float(np.linalg.norm(mechanism.outer - np.asarray(joint.mid_stroke)))
    length = corner.shaft.length if corner.shaft.length is not None else ride_swept
    # The gearbox's side of the outer joint: where the distance falls as the joint is pulled out.
    nearest = float((outer - middle) @ axis)
    if np.linalg.norm(outer - middle - axis * nearest) >= length:
        assert not bool(shaft.reaches)
        return
    plunge = brentq(
        lambda p: float(np.linalg.norm(outer - middle - p * axis)) - length,
        nearest - 2 * length,
        nearest,
        xtol=1e-13,
    )
    inner = middle + plunge * axis
    swept = float(np.linalg.norm(outer - middle))
    same_mm(shaft.length_mm, length)
    same_mm(shaft.plunge_mm, plunge)
    same_mm(shaft.inner_joint, inner)
    same_mm(shaft.stroke_left_in_mm, joint.stroke_in + plunge)
    same_mm(shaft.stroke_left_out_mm, joint.stroke_out - plunge)
    same_mm(shaft.swept_length_mm, swept)
    same_mm(shaft.length_change_mm, swept - ride_swept)
    same_deg(shaft.inner_angle_deg, between(axis, outer - inner))
    same_deg(shaft.outer_angle_deg, between(outer - inner, wheel - outer))
