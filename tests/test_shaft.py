"""The shaft that follows the wheel: plunge, strokes, angles, lengths, gearbox shifts."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given

from kinematics.linkage.motion import Motion, solve
from kinematics.parts import Corner, GearboxMovement, InnerJoint, Point, Shaft
from kinematics.shaft.following import (
    ShaftMotion,
    follow,
    gearbox_shifts,
    reaching,
    ride_centred_length_mm,
    stroke_rows,
    usable_stroke_mm,
)
from kinematics.vectors import Array, Vec
from scenes.library import example
from tests import strategies

TRAVELS = np.linspace(-50.0, 50.0, 11)[:, None]
STEERS = np.array([-25.0, 0.0, 30.0])[None, :]


def followed(corner: Corner, shift: Point = (0.0, 0.0, 0.0)) -> tuple[Motion, ShaftMotion]:
    motion = solve(corner.linkage, corner.hub, TRAVELS, STEERS)
    assume(bool(motion.in_reach.all()))
    shaft = follow(corner, motion, shift_mm=shift)
    assume(bool(shaft.reaches.all()))
    return motion, shaft


def unit(vector: Point) -> Array:
    return np.asarray(np.asarray(vector) / np.linalg.norm(vector))


@given(strategies.corners(table=None))
def test_the_shaft_keeps_its_length_and_its_inner_joint_on_the_axis(corner: Corner) -> None:
    motion, shaft = followed(corner)
    joint = corner.shaft.inner_joint
    axis = unit(joint.axis)
    length = np.linalg.norm(motion.outer_joint - shaft.inner_joint, axis=-1)
    np.testing.assert_allclose(length, shaft.length_mm, rtol=0, atol=1e-9)
    from_middle = shaft.inner_joint - np.array(joint.mid_stroke)
    np.testing.assert_allclose(from_middle, shaft.plunge_mm[..., None] * axis, atol=1e-9)
    # The gearbox's side of the two places at that distance: the shaft points outboard from it.
    along = (motion.outer_joint - shaft.inner_joint) @ axis
    assert (along >= 0.0).all()
    # The contract's own formula.
    span = motion.outer_joint - np.array(joint.mid_stroke)
    level = shaft.length_mm**2 - (span**2).sum(axis=-1) + (span @ axis) ** 2
    np.testing.assert_allclose(shaft.plunge_mm, span @ axis - np.sqrt(level), atol=1e-7)


@given(strategies.corners(table=None))
def test_strokes_left_add_up_to_the_usable_stroke(corner: Corner) -> None:
    _, shaft = followed(corner)
    inward, outward = usable_stroke_mm(corner.shaft.inner_joint, shaft.inner_angle_deg)
    np.testing.assert_allclose(shaft.stroke_left_in_mm - shaft.plunge_mm, inward, atol=1e-9)
    np.testing.assert_allclose(shaft.stroke_left_out_mm + shaft.plunge_mm, outward, atol=1e-9)


@given(strategies.corners())
def test_a_longer_shaft_plunges_less_and_bends_less(corner: Corner) -> None:
    motion, shaft = followed(corner)
    longer = follow(corner, motion, shaft.length_mm + 0.5)
    assert (longer.plunge_mm < shaft.plunge_mm).all()
    assert (longer.inner_angle_deg <= shaft.inner_angle_deg).all()
    # At least as much as its length, for the shaft stands aslant to the axis.
    assert (shaft.plunge_mm - longer.plunge_mm >= 0.5 - 1e-9).all()


@given(strategies.corners(table=None))
def test_a_shaft_of_the_swept_length_is_at_mid_stroke(corner: Corner) -> None:
    motion, shaft = followed(corner)
    for row, column in ((0, 0), (5, 1), (10, 2)):
        here = solve(corner.linkage, corner.hub, float(TRAVELS[row, 0]), float(STEERS[0, column]))
        swept = float(shaft.swept_length_mm[row, column])
        centred = follow(corner, here, swept)
        assert float(centred.plunge_mm) == pytest.approx(0.0, abs=1e-9)
    assert float(shaft.length_change_mm[5, 1]) == pytest.approx(0.0, abs=1e-9)
    np.testing.assert_allclose(
        shaft.length_change_mm, shaft.swept_length_mm - shaft.swept_length_mm[5, 1], atol=1e-9
    )
    assert motion.travel_mm[5, 1] == 0.0


@given(strategies.corners())
def test_an_undecided_length_is_the_ride_centred_one(corner: Corner) -> None:
    undecided = replace(corner, shaft=replace(corner.shaft, length=None))
    _, shaft = followed(undecided)
    centred = ride_centred_length_mm(corner.shaft.inner_joint, corner.hub.outer_joint)
    assert shaft.length_mm == centred
    assert centred == pytest.approx(
        math.dist(corner.hub.outer_joint, corner.shaft.inner_joint.mid_stroke)
    )
    assert float(shaft.plunge_mm[5, 1]) == pytest.approx(0.0, abs=1e-9)


@given(strategies.corners(), strategies.hundredths(-8, 8), strategies.hundredths(-8, 8))
def test_a_shifted_gearbox_is_a_shifted_inner_joint(corner: Corner, up: float, fore: float) -> None:
    motion, shaft = followed(corner, (3.0, up, fore))
    joint = corner.shaft.inner_joint
    middle = tuple(np.add(joint.mid_stroke, (3.0, up, fore)).tolist())
    moved = replace(corner.shaft, inner_joint=replace(joint, mid_stroke=middle))
    other = follow(replace(corner, shaft=moved), motion, shaft.length_mm)
    np.testing.assert_allclose(shaft.plunge_mm, other.plunge_mm, atol=1e-9)
    np.testing.assert_allclose(shaft.inner_joint, other.inner_joint, atol=1e-9)
    np.testing.assert_allclose(shaft.outer_angle_deg, other.outer_angle_deg, atol=1e-9)


@given(strategies.corners())
def test_shifts_follow_the_axes_of_the_motion(corner: Corner) -> None:
    motion, _ = followed(corner)
    shifts = gearbox_shifts(corner.gearbox_movement)
    shaft = follow(corner, motion, shift_mm=shifts)
    assert shaft.plunge_mm.shape == (11, 3, len(shifts))
    assert shaft.inner_joint.shape == (11, 3, len(shifts), 3)
    own = np.broadcast_to(shifts, (11, 3, *shifts.shape))[..., -1:, :]
    each = follow(corner, motion, shift_mm=own)
    np.testing.assert_array_equal(each.plunge_mm[..., 0], shaft.plunge_mm[..., -1])
    still = follow(corner, motion)
    np.testing.assert_array_equal(shaft.plunge_mm[..., 0], still.plunge_mm)
    np.testing.assert_array_equal(shaft.length_change_mm[..., 0], still.length_change_mm)


def test_left_and_right_use_the_same_formulas() -> None:
    scene = example("van-front")
    assert scene.left is not None
    both = replace(scene, right=scene.left)
    motion = solve(scene.linkage, scene.hub, TRAVELS, STEERS)
    left, right = (follow(both.corner(side), motion) for side in both.sides)
    assert left.reaches.all()
    np.testing.assert_array_equal(left.plunge_mm, right.plunge_mm)
    np.testing.assert_array_equal(left.outer_angle_deg, right.outer_angle_deg)


@given(strategies.inner_joints(table=False))
def test_the_axis_needs_no_unit_length(joint: InnerJoint) -> None:
    outer = Vec.of((640.0, 300.0, 4.0))
    out, up, fore = joint.axis
    long = replace(joint, axis=(7.0 * out, 7.0 * up, 7.0 * fore))
    assert float(reaching(long, outer).plunge_mm(400.0)) == pytest.approx(
        float(reaching(joint, outer).plunge_mm(400.0)), abs=1e-9
    )


@given(strategies.inner_joints(table=False), strategies.hundredths(-40, 40))
def test_length_and_plunge_undo_each_other(joint: InnerJoint, plunge: float) -> None:
    seen = reaching(joint, Vec.of((640.0, 300.0, 4.0)))
    length = seen.length_mm(plunge)
    assert float(seen.plunge_mm(length)) == pytest.approx(plunge, abs=1e-8)
    # The joint's angle is that of the triangle of the two.
    sine = float(seen.across_mm) / float(length)
    assert math.degrees(float(seen.inner_angle_rad(plunge))) == pytest.approx(
        math.degrees(math.asin(sine)), abs=1e-7
    )


def test_a_shaft_too_short_for_the_axis_is_masked() -> None:
    corner = example("van-front").corner("left")
    high = replace(corner.shaft.inner_joint, mid_stroke=(262.0, 900.0, 0.0))
    motion = solve(corner.linkage, corner.hub, [0.0, 30.0])
    shaft = follow(replace(corner, shaft=Shaft(high, corner.shaft.outer_joint, 595.0)), motion)
    assert shaft.reaches.tolist() == [False, True]
    assert np.isfinite(shaft.plunge_mm).tolist() == [False, True]
    assert np.isfinite(shaft.stroke_left_in_mm).tolist() == [False, True]
    # The swept length does not depend on the shaft.
    assert np.isfinite(shaft.swept_length_mm).all()


def test_out_of_reach_travel_is_masked_in_the_shaft() -> None:
    corner = example("van-front").corner("left")
    motion = solve(corner.linkage, corner.hub, [0.0, 2000.0])
    shaft = follow(corner, motion)
    assert shaft.reaches.tolist() == [True, False]
    for values in (
        shaft.plunge_mm,
        shaft.swept_length_mm,
        shaft.stroke_left_in_mm,
        shaft.stroke_left_out_mm,
        shaft.inner_angle_deg,
        shaft.outer_angle_deg,
    ):
        assert np.isfinite(values).tolist() == [True, False]


class TestUsableStroke:
    JOINT = InnerJoint((0.0, 0.0, 0.0), 24.0, 22.0, 23.0)

    def test_without_a_table_it_stays(self) -> None:
        inward, outward = usable_stroke_mm(self.JOINT, np.array([0.0, 10.0, 40.0, np.nan]))
        np.testing.assert_array_equal(inward, [24.0, 24.0, 24.0, np.nan])
        np.testing.assert_array_equal(outward, [22.0, 22.0, 22.0, np.nan])

    def test_straight_between_rows_and_held_beyond_the_last(self) -> None:
        joint = replace(self.JOINT, stroke_at_angle=((0.0, 24.0, 22.0), (20.0, 10.0, 12.0)))
        inward, outward = usable_stroke_mm(joint, np.array([0.0, 5.0, 20.0, 35.0]))
        np.testing.assert_allclose(inward, [24.0, 20.5, 10.0, 10.0])
        np.testing.assert_allclose(outward, [22.0, 19.5, 12.0, 12.0])

    def test_a_table_from_above_zero_is_joined_to_the_plain_strokes(self) -> None:
        joint = replace(self.JOINT, stroke_at_angle=((10.0, 20.0, 20.0),))
        assert stroke_rows(joint) == ((0.0, 10.0), (24.0, 20.0), (22.0, 20.0))
        inward, _ = usable_stroke_mm(joint, np.array([5.0]))
        np.testing.assert_allclose(inward, [22.0])

    def test_no_row_gives_more_than_the_joint_has_straight(self) -> None:
        joint = replace(self.JOINT, stroke_at_angle=((0.0, 50.0, 50.0), (20.0, 10.0, 60.0)))
        inward, outward = usable_stroke_mm(joint, np.array([0.0, 10.0, 20.0]))
        assert inward[0] == joint.stroke_in
        assert np.all(inward <= joint.stroke_in)
        assert outward.tolist() == [joint.stroke_out] * 3

    def test_a_table_of_one_row_at_zero_stays(self) -> None:
        joint = replace(self.JOINT, stroke_at_angle=((0.0, 9.0, 8.0),))
        inward, outward = usable_stroke_mm(joint, np.array([0.0, 15.0]))
        np.testing.assert_array_equal(inward, [9.0, 9.0])
        np.testing.assert_array_equal(outward, [8.0, 8.0])


class TestGearboxShifts:
    def test_centre_faces_and_corners(self) -> None:
        shifts = gearbox_shifts(GearboxMovement(3.0, 5.0, 7.0))
        assert shifts[0].tolist() == [0.0, 0.0, 0.0]
        faces = {(3, 0, 0), (-3, 0, 0), (0, 5, 0), (0, -5, 0), (0, 0, 7), (0, 0, -7)}
        corners = {(a, b, c) for a in (-3, 3) for b in (-5, 5) for c in (-7, 7)}
        assert {tuple(map(int, shift)) for shift in shifts[1:]} == faces | corners
        assert len(shifts) == 15

    def test_a_movement_of_zero_gives_no_positions_of_its_own(self) -> None:
        assert gearbox_shifts(GearboxMovement()).tolist() == [[0.0, 0.0, 0.0]]
        assert len(gearbox_shifts(GearboxMovement(up=4.0))) == 3
        flat = gearbox_shifts(GearboxMovement(out=2.0, up=4.0))
        # Four faces, and the corners of a rectangle.
        assert len(flat) == 1 + 4 + 4
