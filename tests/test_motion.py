"""The carried knuckle: what stays, what mirrors, what refuses, over random corners."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kinematics.errors import OutOfReach
from kinematics.linkage.motion import Motion, require_in_reach, solve
from kinematics.parts import ArmLinkage, Corner, Hub, Measured, Point, Strut, Wishbones
from kinematics.vectors import Array
from tests import strategies

TRAVELS = np.linspace(-60.0, 60.0, 25)[:, None]
STEERS = np.array([-30.0, -12.5, 0.0, 8.0, 36.0])[None, :]


def grid(corner: Corner) -> Motion:
    motion = solve(corner.linkage, corner.hub, TRAVELS, STEERS)
    assume(bool(motion.in_reach.all()))
    return motion


def arm_linkage(corner: Corner) -> ArmLinkage:
    assert not isinstance(corner.linkage, Measured)
    return corner.linkage


def drawn_ends(linkage: ArmLinkage) -> tuple[Point, Point, Point]:
    """Arm pivot, ball joint and the top of the steering axis as drawn."""
    if isinstance(linkage, Strut):
        return linkage.arm_pivot, linkage.ball_joint, linkage.strut_top
    return linkage.lower_pivot, linkage.lower_ball_joint, linkage.upper_ball_joint


def moved(linkage: ArmLinkage, move: Callable[[Point], Point]) -> ArmLinkage:
    """The linkage with every point moved."""
    names = [field.name for field in fields(linkage)]
    return type(linkage)(**{name: move(getattr(linkage, name)) for name in names})


def carried(motion: Motion, origin: Point, drawn: Point) -> Array:
    """A point of the knuckle by its rotation about the ball joint."""
    arm = np.subtract(drawn, origin)
    return np.asarray(motion.ball_joint + motion.knuckle_rotation @ arm)


@given(strategies.corners())
def test_ride_height_is_as_drawn(corner: Corner) -> None:
    motion = solve(corner.linkage, corner.hub, 0.0)
    pivot, ball, top = drawn_ends(arm_linkage(corner))
    for found, drawn in (
        (motion.outer_joint, corner.hub.outer_joint),
        (motion.wheel_centre, corner.hub.wheel_centre),
        (motion.ball_joint, ball),
        (motion.steering_top, top),
    ):
        np.testing.assert_allclose(found, drawn, rtol=0, atol=1e-9)
    np.testing.assert_allclose(motion.knuckle_rotation, np.eye(3), rtol=0, atol=1e-12)
    drawn_angle = np.degrees(np.arctan2(ball[1] - pivot[1], ball[0] - pivot[0]))
    assert float(motion.arm_angle_deg) == pytest.approx(drawn_angle, abs=1e-9)
    if isinstance(corner.linkage, Strut):
        assert motion.strut_length_mm is not None
        assert float(motion.strut_length_mm) == pytest.approx(
            float(np.linalg.norm(np.subtract(top, corner.linkage.strut_lower))), abs=1e-9
        )


@given(strategies.corners())
def test_rigid_distances_are_kept(corner: Corner) -> None:
    motion = grid(corner)
    linkage = arm_linkage(corner)
    pivot, ball, top = drawn_ends(linkage)

    def kept(one: Array, other: Array, drawn_one: Point, drawn_other: Point) -> None:
        now = np.linalg.norm(one - other, axis=-1)
        drawn = np.linalg.norm(np.subtract(drawn_one, drawn_other))
        np.testing.assert_allclose(now, drawn, rtol=0, atol=1e-9)

    hub = corner.hub
    kept(motion.ball_joint, np.array(pivot), ball, pivot)
    kept(motion.outer_joint, motion.wheel_centre, hub.outer_joint, hub.wheel_centre)
    kept(motion.ball_joint, motion.outer_joint, ball, hub.outer_joint)
    kept(motion.ball_joint, motion.wheel_centre, ball, hub.wheel_centre)
    # The arms swing about axes along fore.
    np.testing.assert_allclose(motion.ball_joint[..., 2], ball[2], rtol=0, atol=1e-12)
    np.testing.assert_allclose(motion.steering_top[..., 2], top[2], rtol=0, atol=1e-9)
    if isinstance(linkage, Wishbones):
        kept(motion.ball_joint, motion.steering_top, ball, top)
        kept(motion.steering_top, np.array(linkage.upper_pivot), top, linkage.upper_pivot)
        kept(motion.steering_top, motion.outer_joint, top, hub.outer_joint)
    else:
        assert motion.strut_lower is not None
        kept(motion.strut_lower, motion.ball_joint, linkage.strut_lower, ball)
        kept(motion.strut_lower, motion.wheel_centre, linkage.strut_lower, hub.wheel_centre)
        # The sliding axis, fixed in the knuckle, runs through the top mount.
        lower = motion.strut_lower
        axis = motion.knuckle_rotation @ np.subtract(top, linkage.strut_lower)
        np.testing.assert_allclose(np.cross(np.array(top) - lower, axis), 0.0, rtol=0, atol=1e-5)


@given(strategies.corners())
def test_rotation_carries_what_the_knuckle_holds(corner: Corner) -> None:
    motion = grid(corner)
    _, ball, _ = drawn_ends(arm_linkage(corner))
    hub, rotation = corner.hub, motion.knuckle_rotation
    identity = np.broadcast_to(np.eye(3), rotation.shape)
    np.testing.assert_allclose(rotation @ np.swapaxes(rotation, -1, -2), identity, atol=1e-12)
    np.testing.assert_allclose(np.linalg.det(rotation), 1.0, atol=1e-12)
    np.testing.assert_allclose(
        carried(motion, ball, hub.outer_joint), motion.outer_joint, atol=1e-9
    )
    np.testing.assert_allclose(
        carried(motion, ball, hub.wheel_centre), motion.wheel_centre, atol=1e-9
    )


@given(strategies.corners())
def test_travel_and_steer_are_as_asked(corner: Corner) -> None:
    motion = grid(corner)
    straight = solve(corner.linkage, corner.hub, TRAVELS[:, 0])
    rise = straight.wheel_centre[:, 1] - corner.hub.wheel_centre[1]
    np.testing.assert_allclose(rise, TRAVELS[:, 0], rtol=0, atol=1e-9)
    # The front of the wheel turns outboard as the axle's outboard end turns back.
    heading = np.degrees(np.arctan2(-motion.hub_axis[..., 2], motion.hub_axis[..., 0]))
    drawn = np.subtract(corner.hub.wheel_centre, corner.hub.outer_joint)
    turned = heading - np.degrees(np.arctan2(-drawn[2], drawn[0]))
    np.testing.assert_allclose(turned, np.broadcast_to(STEERS, turned.shape), rtol=0, atol=1e-9)
    # Steering turns the knuckle about its axis and leaves the arm where it is.
    arm = motion.arm_angle_deg - straight.arm_angle_deg[:, None]
    np.testing.assert_allclose(arm, 0.0, atol=1e-12)
    np.testing.assert_allclose(
        motion.camber_deg, -np.degrees(np.arcsin(motion.hub_axis[..., 1])), atol=1e-9
    )


@given(strategies.corners(depth=False))
def test_without_depth_and_steer_all_is_plane(corner: Corner) -> None:
    motion = solve(corner.linkage, corner.hub, TRAVELS[:, 0])
    found = motion.in_reach
    for points in (motion.outer_joint, motion.wheel_centre, motion.ball_joint, motion.hub_axis):
        np.testing.assert_array_equal(points[found][:, 2], 0.0)
    np.testing.assert_allclose(motion.knuckle_rotation[found][:, 2, 2], 1.0, rtol=0, atol=1e-14)


@given(strategies.corners())
def test_mirrored_fore_mirrors_the_steer(corner: Corner) -> None:
    """A corner seen in a mirror across the axle: fore and steer change sign, nothing else."""

    def mirrored(point: Point) -> Point:
        return (point[0], point[1], -point[2])

    other = moved(arm_linkage(corner), mirrored)
    hub = Hub(mirrored(corner.hub.outer_joint), mirrored(corner.hub.wheel_centre))
    motion, image = grid(corner), solve(other, hub, TRAVELS, -STEERS)
    flip = np.array([1.0, 1.0, -1.0])
    np.testing.assert_allclose(image.outer_joint, motion.outer_joint * flip, atol=1e-8)
    np.testing.assert_allclose(image.camber_deg, motion.camber_deg, atol=1e-9)
    np.testing.assert_allclose(image.roll_centre_up_mm, motion.roll_centre_up_mm, rtol=1e-6)


@given(
    strategies.corners(),
    st.tuples(st.just(0.0), strategies.hundredths(-50, 50), strategies.hundredths(-300, 300)),
)
def test_moving_the_whole_car_moves_the_answer(
    corner: Corner, move: tuple[float, float, float]
) -> None:
    def shifted(point: Point) -> Point:
        return (point[0] + move[0], point[1] + move[1], point[2] + move[2])

    other = moved(arm_linkage(corner), shifted)
    hub = Hub(shifted(corner.hub.outer_joint), shifted(corner.hub.wheel_centre))
    here, there = grid(corner), solve(other, hub, TRAVELS, STEERS)
    np.testing.assert_allclose(there.outer_joint, here.outer_joint + np.array(move), atol=1e-8)
    np.testing.assert_allclose(there.camber_deg, here.camber_deg, atol=1e-9)


@given(strategies.corners(), strategies.hundredths(-35, 35))
def test_redrawn_at_another_travel_it_is_the_same_linkage(corner: Corner, there: float) -> None:
    """Travel is counted from the drawing, and nothing else depends on where it was drawn."""
    at = solve(corner.linkage, corner.hub, there)
    assume(bool(at.in_reach))
    linkage: ArmLinkage = arm_linkage(corner)
    ball, top = tuple(at.ball_joint.tolist()), tuple(at.steering_top.tolist())
    if isinstance(linkage, Strut):
        assert at.strut_lower is not None
        linkage = replace(linkage, ball_joint=ball, strut_lower=tuple(at.strut_lower.tolist()))
    else:
        linkage = replace(linkage, lower_ball_joint=ball, upper_ball_joint=top)
    hub = Hub(tuple(at.outer_joint.tolist()), tuple(at.wheel_centre.tolist()))
    travels = np.linspace(-20.0, 20.0, 9)
    drawn, redrawn = (
        solve(corner.linkage, corner.hub, there + travels, 11.0),
        solve(linkage, hub, travels, 11.0),
    )
    both = drawn.in_reach & redrawn.in_reach
    assert both.any()
    np.testing.assert_allclose(redrawn.outer_joint[both], drawn.outer_joint[both], atol=1e-7)
    np.testing.assert_allclose(redrawn.arm_angle_deg[both], drawn.arm_angle_deg[both], atol=1e-7)


@given(strategies.corners())
def test_the_branch_is_followed_without_a_jump(corner: Corner) -> None:
    reach = solve(corner.linkage, corner.hub, 0.0).reach
    low, high = max(reach.lowest_mm, -120.0), min(reach.highest_mm, 120.0)
    travels = np.linspace(0.98 * low, 0.98 * high, 400)
    motion = solve(corner.linkage, corner.hub, travels, within=reach)
    assert motion.in_reach.all()
    # Between neighbours less than a millimetre apart nothing moves by more than a few.
    steps = np.linalg.norm(np.diff(motion.outer_joint, axis=0), axis=-1)
    assert steps.max() < 20.0 * (high - low) / 400
    assert np.abs(np.diff(motion.arm_angle_deg)).max() < 3.0


@given(strategies.corners())
def test_the_instant_centre_stands_still(corner: Corner) -> None:
    """By differences: the front view of the knuckle turns about its instant centre."""
    step = 1e-4
    before, now, after = (
        solve(corner.linkage, corner.hub, travel) for travel in (10 - step, 10.0, 10 + step)
    )
    assume(bool(before.in_reach & after.in_reach))
    spin = (after.knuckle_rotation - before.knuckle_rotation) @ now.knuckle_rotation.T
    velocity = after.wheel_centre - before.wheel_centre
    arm = now.wheel_centre - now.instant_centre
    # spin is skew: its [1, 0] is the front view's rate of turn.
    assume(abs(spin[1, 0]) > 1e-9)
    np.testing.assert_allclose(
        velocity[:2] / (2 * step),
        [-spin[1, 0] * arm[1] / (2 * step), spin[1, 0] * arm[0] / (2 * step)],
        atol=1e-4,
    )


@given(strategies.corners())
def test_out_of_reach_is_masked_and_nothing_else_is(corner: Corner) -> None:
    motion = solve(corner.linkage, corner.hub, np.linspace(-900.0, 900.0, 61)[:, None], STEERS)
    inside = (motion.travel_mm >= motion.reach.lowest_mm) & (
        motion.travel_mm <= motion.reach.highest_mm
    )
    assert not (motion.in_reach & ~inside).any()
    assert not motion.in_reach.all()
    knuckle = [
        motion.camber_deg,
        motion.outer_joint.sum(axis=-1),
        motion.wheel_centre.sum(axis=-1),
        motion.hub_axis.sum(axis=-1),
        motion.knuckle_rotation.sum(axis=(-1, -2)),
    ]
    for value in knuckle:
        np.testing.assert_array_equal(np.isfinite(value), motion.in_reach)
    kind = motion.strut_length_mm if motion.strut_length_mm is not None else None
    kind = motion.upper_arm_angle_deg if kind is None else kind
    assert kind is not None
    for value in (motion.arm_angle_deg, motion.ball_joint.sum(axis=-1), kind):
        np.testing.assert_array_equal(np.isfinite(value), inside)


def test_results_cannot_be_written_to() -> None:
    motion = solve(STRUT, HUB, TRAVELS, STEERS)
    for value in (motion.outer_joint, motion.knuckle_rotation, motion.camber_deg, motion.in_reach):
        with pytest.raises(ValueError, match="read-only"):
            value[...] = 0


STRUT = Strut((338, 205, 0), (668, 188, 6), (575, 790, -30), (636, 350, -4))
HUB = Hub((652, 293, 0), (716, 292, 0))
# A steering axis that leans this far inboard lets the wheel turn only so far.
LAID_IN = Wishbones((306, 178, 0), (700, 166, 0), (300, 420, 0), (430, 300, 0))


def test_steer_out_of_reach_is_masked_and_named() -> None:
    steers = np.arange(-89.0, 90.0, 1.0)
    motion = solve(LAID_IN, Hub((640, 288, 0), (702, 288, 0)), 0.0, steers)
    assert motion.in_reach[89]
    assert not motion.in_reach.all()
    with pytest.raises(OutOfReach, match="steer") as caught:
        require_in_reach(motion)
    error = caught.value
    assert error.unit == "deg"
    assert error.lowest <= 0.0 <= error.highest
    taken = steers[motion.in_reach]
    assert (error.lowest, error.highest) == (taken.min(), taken.max())


def test_travel_out_of_reach_is_named_with_its_range() -> None:
    motion = solve(STRUT, HUB, [0.0, 50.0, 900.0, -400.0])
    with pytest.raises(OutOfReach, match="travel 900 mm") as caught:
        require_in_reach(motion)
    assert (caught.value.lowest, caught.value.highest) == (
        motion.reach.lowest_mm,
        motion.reach.highest_mm,
    )
    require_in_reach(solve(STRUT, HUB, [0.0, 50.0]))
