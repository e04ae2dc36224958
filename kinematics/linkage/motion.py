"""Where everything on the knuckle goes: one path for one pose, a sweep, or a grid."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from kinematics.errors import OutOfReach
from kinematics.linkage.knuckle import Carried, Geometry, carry, rates, steering_axis
from kinematics.linkage.measured import MeasuredCurve
from kinematics.linkage.reach import Reach, reach, turn_for_travel
from kinematics.parts import Carrier, Hub, Linkage, Measured, Strut
from kinematics.poses import CarrierPose
from kinematics.vectors import Array, Mask, Vec, read_only


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """The linkage at every position asked for.

    The leading axes of every array are those of ``travel_mm`` and ``steer_deg``
    broadcast together; points and directions add an axis of 3 (out, up, fore),
    rotations two.  Where ``in_reach`` is False whatever the knuckle carries is NaN.
    ``steering_top`` is the strut top, or the upper ball joint; the strut's own
    columns are None for wishbones and the upper arm's are None for a strut.
    ``knuckle_rotation`` and ``arm_turn_deg`` carry what is drawn at ride height.
    Measured positions know no ball joint, steering axis, arm or instant centre:
    those are NaN throughout.
    """

    travel_mm: Array
    steer_deg: Array
    in_reach: Mask
    reach: Reach
    arm_turn_deg: Array
    arm_angle_deg: Array
    camber_deg: Array
    ball_joint: Array
    steering_top: Array
    outer_joint: Array
    wheel_centre: Array
    hub_axis: Array
    knuckle_rotation: Array
    instant_centre: Array
    roll_centre_up_mm: Array
    strut_length_mm: Array | None = None
    strut_lower: Array | None = None
    upper_arm_angle_deg: Array | None = None
    outer_joint_parts: Vec = field(repr=False, kw_only=True)
    hub_axis_parts: Vec = field(repr=False, kw_only=True)

    def carriers(self, linkage: Linkage, hub: Hub) -> dict[Carrier, CarrierPose]:
        """Where body, knuckle and (lower) arm take what was drawn on them at ride height."""
        ride = np.asarray(hub.outer_joint, dtype=np.float64)
        poses: dict[Carrier, CarrierPose] = {
            "body": CarrierPose.still(),
            "knuckle": CarrierPose(ride, self.outer_joint, self.knuckle_rotation),
        }
        if not isinstance(linkage, Measured):
            pivot = linkage.arm_pivot if isinstance(linkage, Strut) else linkage.lower_pivot
            poses["arm"] = CarrierPose.swung(pivot, self.arm_turn_deg)
        return poses

    def at(self, index: int | tuple[int | slice, ...]) -> Motion:
        """The motion at one index of its leading axes, without solving again."""
        shape = self.travel_mm.shape

        def picked(value: Array | Vec | None) -> Any:
            if isinstance(value, Vec):
                return Vec(*(np.broadcast_to(part, shape)[index] for part in value.arrays))
            return None if value is None else value[index]

        names = [item.name for item in fields(self) if item.name != "reach"]
        return replace(self, **{name: picked(getattr(self, name)) for name in names})


# Whatever is asked of a corner, the reach of its linkage is asked first.
@lru_cache(maxsize=8)
def reach_of(linkage: Linkage, hub: Hub) -> Reach:
    """The travel in reach of a linkage, or that its positions were measured over.

    Raises InvalidInput as :func:`solve` does.
    """
    if isinstance(linkage, Measured):
        return MeasuredCurve.of(linkage, hub).reach
    return reach(Geometry.of(linkage, hub))


def solve(
    linkage: Linkage,
    hub: Hub,
    travel_mm: npt.ArrayLike,
    steer_deg: npt.ArrayLike = 0.0,
    *,
    within: Reach | None = None,
) -> Motion:
    """Carry the knuckle to every travel and steer angle.

    ``travel_mm`` is the wheel centre's rise from ride height with the steering
    straight; ``steer_deg`` is positive where the front of the wheel moves
    outboard.  The two broadcast together.  ``within`` saves working out the
    reach again for an unchanged linkage.

    The arm's turn follows from the travel to 1e-9 mm; all else is closed form.
    Travel and steer angles out of reach are masked in ``Motion.in_reach``.
    Raises InvalidInput where the linkage stands on a dead point at ride height,
    or measured positions contradict themselves.
    """
    travel = np.asarray(travel_mm, dtype=np.float64)
    steer = np.asarray(steer_deg, dtype=np.float64)
    if isinstance(linkage, Measured):
        return _measured_motion(MeasuredCurve.of(linkage, hub), travel, steer)
    geometry = Geometry.of(linkage, hub)
    if within is None:
        within = reach_of(linkage, hub)
    turn = turn_for_travel(geometry, travel, within)
    with np.errstate(invalid="ignore", divide="ignore"):
        steered = steering_axis(geometry, turn)
        carried = carry(geometry, steered, np.radians(steer))
        return _motion(geometry, carried, travel, steer, turn, within)


def _motion(
    geometry: Geometry, carried: Carried, travel: Array, steer: Array, turn: Array, within: Reach
) -> Motion:
    steered = carried.steered
    shape = np.broadcast_shapes(travel.shape, steer.shape)

    def full(values: Array) -> Array:
        return np.broadcast_to(values, shape)

    wheel = carried.point(geometry.wheel_centre)
    outer = carried.point(geometry.outer_joint)
    arm = steered.ball_joint - geometry.arm_pivot
    centre, roll_up = _centres(geometry, carried, wheel)
    upper_arm_angle = strut_length = strut_lower = None
    if geometry.upper_pivot is not None:
        upper = steered.top - geometry.upper_pivot
        upper_arm_angle = full(np.degrees(np.arctan2(upper.up, upper.out)))
    if geometry.strut_lower is not None:
        assert steered.strut_length is not None
        strut_length = full(steered.strut_length)
        strut_lower = carried.point(geometry.strut_lower).stacked(shape)
    return Motion(
        travel_mm=full(travel),
        steer_deg=full(steer),
        in_reach=np.broadcast_to(np.isfinite(wheel.up), shape),
        reach=within,
        arm_turn_deg=full(np.degrees(turn)),
        arm_angle_deg=full(np.degrees(np.arctan2(arm.up, arm.out))),
        camber_deg=full(-np.degrees(np.arcsin(np.clip(carried.hub_axis.up, -1.0, 1.0)))),
        ball_joint=steered.ball_joint.stacked(shape),
        steering_top=steered.top.stacked(shape),
        outer_joint=outer.stacked(shape),
        wheel_centre=wheel.stacked(shape),
        hub_axis=carried.hub_axis.stacked(shape),
        knuckle_rotation=read_only(carried.rotation(shape)),
        instant_centre=centre.stacked(shape),
        roll_centre_up_mm=full(roll_up),
        strut_length_mm=strut_length,
        strut_lower=strut_lower,
        upper_arm_angle_deg=upper_arm_angle,
        outer_joint_parts=outer.read_only(),
        hub_axis_parts=carried.hub_axis.read_only(),
    )


def _measured_motion(curve: MeasuredCurve, travel: Array, steer: Array) -> Motion:
    shape = np.broadcast_shapes(travel.shape, steer.shape)
    outer, wheel = curve.at(np.broadcast_to(travel, shape))
    straight = np.where(np.broadcast_to(steer, shape) == 0.0, 1.0, np.nan)
    outer, wheel = outer * straight, wheel * straight
    hub = (wheel - outer).unit()
    unknown = read_only(np.full(shape, np.nan))
    nowhere = read_only(np.full((*shape, 3), np.nan))
    return Motion(
        travel_mm=np.broadcast_to(travel, shape),
        steer_deg=np.broadcast_to(steer, shape),
        in_reach=np.broadcast_to(np.isfinite(outer.up), shape),
        reach=curve.reach,
        arm_turn_deg=unknown,
        arm_angle_deg=unknown,
        camber_deg=read_only(np.asarray(-np.degrees(np.arcsin(np.clip(hub.up, -1.0, 1.0))))),
        ball_joint=nowhere,
        steering_top=nowhere,
        outer_joint=outer.stacked(shape),
        wheel_centre=wheel.stacked(shape),
        hub_axis=hub.stacked(shape),
        knuckle_rotation=curve.rotation(hub),
        instant_centre=nowhere,
        roll_centre_up_mm=unknown,
        outer_joint_parts=outer.read_only(),
        hub_axis_parts=hub.read_only(),
    )


def _centres(geometry: Geometry, carried: Carried, wheel: Vec) -> tuple[Vec, Array]:
    """Front-view instant centre in the wheel centre's transverse plane, and roll centre height.

    The roll centre is where the normal to the tyre contact's path meets the
    car's centreline (kinematic roll centre; the tyre's loaded radius is what
    puts its contact on the floor as drawn).  An instant centre at infinity is
    infinite, not an error.
    """
    moving = rates(geometry, carried)
    velocity = moving.of(carried, wheel)
    centre = Vec(
        wheel.out - velocity.up / moving.spin.fore,
        wheel.up + velocity.out / moving.spin.fore,
        wheel.fore,
    )
    # The contact lies below the wheel centre in the wheel's own plane.
    hub = carried.hub_axis
    down = Vec(hub.out * hub.up, hub.up * hub.up - 1.0, hub.fore * hub.up).unit()
    upright = np.hypot(geometry.hub_axis.out, geometry.hub_axis.fore)
    contact = wheel + down * (geometry.wheel_centre.up / upright)
    path = moving.of(carried, contact)
    return centre, contact.up + contact.out * path.out / path.up


def require_in_reach(motion: Motion) -> None:
    """Raise OutOfReach for the first position that the linkage cannot take.

    The error carries the value asked for and the range that is in reach.
    """
    if bool(np.all(motion.in_reach)):
        return
    travel = motion.travel_mm[~motion.in_reach]
    limits = motion.reach
    beyond = travel[(travel < limits.lowest_mm) | (travel > limits.highest_mm)]
    if beyond.size:
        worst = float(beyond[np.argmax(np.abs(beyond))])
        raise OutOfReach("travel", worst, limits.lowest_mm, limits.highest_mm, "mm")
    steer = motion.steer_deg[~motion.in_reach]
    within = motion.steer_deg[motion.in_reach]
    worst = float(steer[np.argmax(np.abs(steer))])
    raise OutOfReach(
        "steer", worst, float(within.min(initial=0.0)), float(within.max(initial=0.0)), "deg"
    )
