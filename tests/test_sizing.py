"""The length window: its ends put the stroke left exactly at the margin."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kinematics.linkage.motion import Motion, solve
from kinematics.parts import Corner, InnerJoint
from kinematics.shaft.following import ShaftMotion, follow, reaching
from kinematics.shaft.gearbox_box import Extreme, GearboxBox
from kinematics.shaft.length_window import Position, length_window, position_at, window_ends_mm
from kinematics.vectors import Array, Vec
from scenes.library import example
from tests import strategies

TRAVELS = np.linspace(-40.0, 40.0, 9)[:, None]
STEERS = np.array([-25.0, 0.0, 30.0])[None, :]
SAME_MM = 1e-7
# What a search of the gearbox's box may miss.
SEARCHED_MM = 1e-3

margins = strategies.hundredths(0, 8)


def motion_of(corner: Corner) -> tuple[Motion, GearboxBox]:
    motion = solve(corner.linkage, corner.hub, TRAVELS, STEERS)
    return motion, GearboxBox.of(corner.gearbox_movement)


def moved(corner: Corner) -> tuple[Motion, GearboxBox]:
    motion, box = motion_of(corner)
    assume(bool(motion.in_reach.all()))
    return motion, box


def shaft_of(corner: Corner, motion: Motion, box: GearboxBox, length: float) -> ShaftMotion:
    shaft = follow(corner, motion, length, box.places())
    assume(bool(shaft.reaches.all()))
    return shaft


def at(corner: Corner, position: Position, length: float) -> ShaftMotion:
    motion = solve(corner.linkage, corner.hub, position.travel_mm, position.steer_deg)
    return follow(corner, motion, length, np.array(position.shift_mm))


@given(strategies.corners(), margins)
def test_the_window_is_the_contracts_formula(corner: Corner, margin: float) -> None:
    motion, box = moved(corner)
    joint = corner.shaft.inner_joint
    window = length_window(joint, motion, box, margin)
    axis = np.asarray(joint.axis) / np.linalg.norm(joint.axis)
    outer = motion.outer_joint - np.asarray(joint.mid_stroke)
    pulled = outer - axis * (joint.stroke_out - margin)
    pushed = outer + axis * (joint.stroke_in - margin)
    # From a point to a box: its farthest corner, and its point nearest to it.
    shortest = np.linalg.norm(np.abs(pulled) + box.half_mm, axis=-1).max()
    beyond = np.maximum(np.abs(pushed) - box.half_mm, 0.0)
    longest = np.linalg.norm(beyond, axis=-1).min()
    assert window.shortest_mm == pytest.approx(shortest, abs=1e-9)
    assert window.longest_mm == pytest.approx(longest, abs=1e-9)
    assert window.empty == (shortest > longest)
    assert window.shortfall_mm == pytest.approx(max(0.0, shortest - longest), abs=1e-9)
    assert window.middle_mm == pytest.approx((shortest + longest) / 2, abs=1e-9)


@given(strategies.corners(table=None), margins)
def test_at_its_ends_the_least_stroke_left_is_the_margin(corner: Corner, margin: float) -> None:
    motion, box = moved(corner)
    window = length_window(corner.shaft.inner_joint, motion, box, margin)
    short = shaft_of(corner, motion, box, window.shortest_mm)
    long = shaft_of(corner, motion, box, window.longest_mm)
    assert short.stroke_left_out_mm.min() >= margin - SEARCHED_MM
    assert long.stroke_left_in_mm.min() >= margin - SEARCHED_MM
    # And at the positions that the window names.
    there = at(corner, window.pulls_apart_at, window.shortest_mm)
    assert float(there.stroke_left_out_mm) == pytest.approx(margin, abs=SAME_MM)
    there = at(corner, window.bottoms_at, window.longest_mm)
    assert float(there.stroke_left_in_mm) == pytest.approx(margin, abs=SAME_MM)


@given(strategies.corners(table=None), margins, st.floats(-0.4, 1.4))
def test_a_length_keeps_the_margins_exactly_inside(
    corner: Corner, margin: float, share: float
) -> None:
    motion, box = moved(corner)
    window = length_window(corner.shaft.inner_joint, motion, box, margin)
    length = window.shortest_mm + share * (window.longest_mm - window.shortest_mm)
    ends = (window.shortest_mm, window.longest_mm)
    assume(min(abs(length - end) for end in ends) > 1e-6)
    shaft = shaft_of(corner, motion, box, length)
    least = min(shaft.stroke_left_in_mm.min(), shaft.stroke_left_out_mm.min())
    if window.holds(length):
        assert least >= margin - SEARCHED_MM
    else:
        apart, bottom = (at(corner, p, length) for p in (window.pulls_apart_at, window.bottoms_at))
        assert min(apart.stroke_left_out_mm, bottom.stroke_left_in_mm) < margin


@given(strategies.corners(table=None), margins)
def test_a_larger_margin_narrows_the_window(corner: Corner, margin: float) -> None:
    motion, box = moved(corner)
    joint = corner.shaft.inner_joint
    wide = length_window(joint, motion, box, margin)
    narrow = length_window(joint, motion, box, margin + 1.0)
    assert narrow.shortest_mm > wide.shortest_mm
    assert narrow.longest_mm < wide.longest_mm


@given(strategies.corners(table=None))
def test_a_shaft_and_a_housing_moved_together_keep_the_window(corner: Corner) -> None:
    """Mid-stroke moved along the axis and the strokes moved back: the same housing."""
    motion, box = moved(corner)
    joint = replace(corner.shaft.inner_joint, stroke_at_angle=())
    axis = np.asarray(joint.axis) / np.linalg.norm(joint.axis)
    middle = tuple((np.asarray(joint.mid_stroke) + 4.0 * axis).tolist())
    other = replace(
        joint,
        mid_stroke=middle,
        stroke_in=joint.stroke_in + 4.0,
        stroke_out=joint.stroke_out - 4.0,
    )
    one, two = (length_window(each, motion, box, 3.0) for each in (joint, other))
    assert one.shortest_mm == pytest.approx(two.shortest_mm, abs=1e-9)
    assert one.longest_mm == pytest.approx(two.longest_mm, abs=1e-9)


# A table that drops like a step, one that rises again, and one that ends where strokes are gone.
STEEP = ((0.0, 24.0, 22.0), (12.0, 24.0, 22.0), (12.3, 6.0, 5.0))
HUMPED = ((0.0, 12.0, 14.0), (10.0, 24.0, 22.0), (10.4, 9.0, 8.0), (16.0, 20.0, 19.0))
GONE = ((0.0, 24.0, 22.0), (14.0, 20.0, 18.0), (14.2, 0.0, 0.0))


@st.composite
def steep_joints(draw: st.DrawFn) -> tuple[InnerJoint, Array]:
    joint = replace(
        draw(strategies.inner_joints()),
        stroke_in=24.0,
        stroke_out=22.0,
        stroke_at_angle=draw(st.sampled_from((STEEP, HUMPED, GONE))),
    )
    count = draw(st.integers(1, 6))
    spot = strategies.points((600, 660), (200, 460), (-60, 60), depth=True)
    return joint, np.array([draw(spot) for _ in range(count)])


def strokes_left(joint: InnerJoint, outer: Array, length: Array) -> tuple[Array, Array]:
    """Strokes left at each place of the outer joint, by the table read here on its own."""
    axis = np.asarray(joint.axis) / np.linalg.norm(joint.axis)
    span = outer - np.asarray(joint.mid_stroke)
    along = span @ axis
    across = np.linalg.norm(span - along[:, None] * axis, axis=1)
    plunge = along - np.sqrt(length**2 - across**2)
    angle = np.degrees(np.arcsin(across / length))
    table = np.array(joint.stroke_at_angle)
    inward, outward = (np.interp(angle, table[:, 0], table[:, k]) for k in (1, 2))
    return inward + plunge, outward - plunge


@given(steep_joints(), strategies.hundredths(0.5, 5))
def test_steep_tables_put_the_margin_at_both_ends(
    found: tuple[InnerJoint, Array], margin: float
) -> None:
    joint, outer = found
    shortest, longest = window_ends_mm(joint, reaching(joint, Vec.of(outer)), margin)
    inward, _ = strokes_left(joint, outer, longest)
    np.testing.assert_allclose(inward, margin, rtol=0, atol=1e-6)
    inward, outward = strokes_left(joint, outer, shortest)
    least = np.where(shortest < longest, np.minimum(inward, outward), outward)
    np.testing.assert_allclose(least, margin, rtol=0, atol=1e-6)


@given(steep_joints(), strategies.hundredths(0.5, 5), st.floats(0.01, 0.99))
def test_steep_tables_keep_the_margin_all_through_the_window(
    found: tuple[InnerJoint, Array], margin: float, share: float
) -> None:
    joint, outer = found
    shortest, longest = window_ends_mm(joint, reaching(joint, Vec.of(outer)), margin)
    length = shortest + share * (longest - shortest)
    inward, outward = strokes_left(joint, outer, length)
    inside = shortest < longest
    assert (np.minimum(inward, outward)[inside] >= margin - 1e-6).all()


def test_a_table_of_one_row_is_a_plain_stroke() -> None:
    corner = example("van-rear").corner("left")
    motion, box = motion_of(corner)
    joint = replace(corner.shaft.inner_joint, stroke_at_angle=())
    row = replace(joint, stroke_at_angle=((0.0, joint.stroke_in, joint.stroke_out),))
    one, two = (length_window(each, motion, box, 3.0) for each in (joint, row))
    assert (one.shortest_mm, one.longest_mm) == (two.shortest_mm, two.longest_mm)


def test_an_empty_window_says_by_how_much_and_which_positions_fight() -> None:
    corner = example("van-front").corner("left")
    motion, box = motion_of(corner)
    window = length_window(corner.shaft.inner_joint, motion, box, 22.0)
    assert window.empty
    assert window.shortfall_mm == window.shortest_mm - window.longest_mm
    assert window.pulls_apart_at != window.bottoms_at
    assert not window.holds(window.middle_mm)


def test_positions_out_of_reach_do_not_count() -> None:
    corner = example("van-front").corner("left")
    box = GearboxBox.of(corner.gearbox_movement)
    within = solve(corner.linkage, corner.hub, [-40.0, 0.0, 40.0])
    beyond = solve(corner.linkage, corner.hub, [-4000.0, -40.0, 0.0, 40.0, 4000.0])
    joint = corner.shaft.inner_joint
    assert length_window(joint, beyond, box, 3.0) == length_window(joint, within, box, 3.0)


def test_position_behind_an_index() -> None:
    corner = example("van-front").corner("left")
    motion = solve(corner.linkage, corner.hub, TRAVELS, STEERS)
    index = int(np.ravel_multi_index((2, 1), (9, 3)))
    found = position_at(motion, Extreme(1.0, index, (4.0, -2.0, 0.5)))
    assert found == Position(-20.0, 0.0, (4.0, -2.0, 0.5))
