"""The whole motion of a corner: worst values and where, limits broken, what is out of reach."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given

from kinematics.errors import InvalidInput
from kinematics.linkage.motion import solve
from kinematics.parts import (
    Corner,
    GearboxMovement,
    Hub,
    OuterJoint,
    Steering,
    Strut,
    Travel,
    Wishbones,
)
from kinematics.shaft.following import follow, gearbox_shifts
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import (
    examine,
    steer_steps,
    steps,
    travel_steps,
    unreachable,
    whole_motion,
)
from scenes.library import example
from tests import strategies

FRONT = example("van-front").corner("left")
REAR = example("van-rear").corner("left")


class TestSteps:
    def test_both_ends_and_every_multiple_between(self) -> None:
        assert steps(-7.5, 5.0, 2.0).tolist() == [-7.5, -6.0, -4.0, -2.0, 0.0, 2.0, 4.0, 5.0]

    def test_ends_on_a_multiple_come_once(self) -> None:
        assert steps(-4.0, 4.0, 2.0).tolist() == [-4.0, -2.0, 0.0, 2.0, 4.0]

    def test_a_step_wider_than_the_range(self) -> None:
        assert steps(-3.0, 2.0, 50.0).tolist() == [-3.0, 0.0, 2.0]

    def test_nothing_to_step_through(self) -> None:
        assert steps(0.0, 0.0, 1.0).tolist() == [0.0]

    @pytest.mark.parametrize("step", [0.0, -1.0, float("nan")])
    def test_a_step_of_nothing_is_refused(self, step: float) -> None:
        with pytest.raises(InvalidInput, match="step: expected a step above 0"):
            steps(-1.0, 1.0, step)

    def test_travel_and_steer_reach_both_ends(self) -> None:
        travels = travel_steps(FRONT, 5.0)
        assert (travels[0], travels[-1]) == (-FRONT.travel.droop, FRONT.travel.bump)
        assert 0.0 in travels
        steers = steer_steps(Steering(35.5, 29.25), 1.0)
        assert (steers[0], steers[-1]) == (-29.25, 35.5)
        assert 0.0 in steers
        assert steer_steps(None, 1.0).tolist() == [0.0]


@given(strategies.corners(table=None))
def test_no_position_is_worse_than_the_worst(corner: Corner) -> None:
    motion = whole_motion(corner, 8.0, 9.0)
    assume(bool(motion.in_reach.all()))
    shifts = gearbox_shifts(corner.gearbox_movement)
    shaft = follow(corner, motion, shift_mm=shifts)
    assume(bool(shaft.reaches.all()))
    found = examine(corner, 3.0, motion)
    assert found.stroke_left_in.value <= shaft.stroke_left_in_mm.min() + 1e-9
    assert found.stroke_left_out.value <= shaft.stroke_left_out_mm.min() + 1e-9
    assert found.inner_angle.value >= shaft.inner_angle_deg.max() - 1e-9
    assert found.outer_angle.value >= shaft.outer_angle_deg.max() - 1e-9
    assert abs(found.off_centre_mm) >= np.abs(shaft.plunge_mm).max() - 1e-9
    # Each is found again at the position that it names.
    for worst, column in (
        (found.stroke_left_in, "stroke_left_in_mm"),
        (found.stroke_left_out, "stroke_left_out_mm"),
        (found.inner_angle, "inner_angle_deg"),
        (found.outer_angle, "outer_angle_deg"),
    ):
        place = worst.position
        here = solve(corner.linkage, corner.hub, place.travel_mm, place.steer_deg)
        there = follow(corner, here, shift_mm=np.array(place.shift_mm))
        assert float(getattr(there, column)) == pytest.approx(worst.value, abs=1e-8)


@given(strategies.corners(table=None))
def test_the_window_holds_a_length_exactly_when_no_stroke_breaks(corner: Corner) -> None:
    motion = whole_motion(corner, 8.0, 9.0)
    assume(bool(motion.in_reach.all()))
    try:
        found = examine(corner, 3.0, motion)
    except InvalidInput:
        assume(False)
        raise
    assert found.window is not None
    broken = found.stroke_left_in.broken or found.stroke_left_out.broken
    ends = (found.window.shortest_mm, found.window.longest_mm)
    assume(min(abs(found.length_mm - end) for end in ends) > 1e-6)
    assert found.window.holds(found.length_mm) != broken


def test_a_coarse_motion_finds_the_same_to_a_fraction_of_a_millimetre() -> None:
    fine = examine(FRONT)
    coarse = examine(FRONT, motion=whole_motion(FRONT, 5.0, 15.0))
    assert fine.window is not None
    assert coarse.window is not None
    assert coarse.window.shortest_mm == pytest.approx(fine.window.shortest_mm, abs=0.5)
    assert coarse.window.longest_mm == pytest.approx(fine.window.longest_mm, abs=0.5)


def test_the_whole_motion_is_fine_enough_and_holds_its_ends() -> None:
    motion = whole_motion(FRONT)
    travels, steers = motion.travel_mm[:, 0], motion.steer_deg[0]
    assert np.diff(travels).max() <= 1.0
    assert np.diff(steers).max() <= 1.0
    assert FRONT.steering is not None
    assert (travels[0], travels[-1]) == (-FRONT.travel.droop, FRONT.travel.bump)
    assert (steers[0], steers[-1]) == (-FRONT.steering.outside_lock, FRONT.steering.inside_lock)
    again = whole_motion(FRONT, within=motion.reach)
    assert again.reach is motion.reach
    np.testing.assert_array_equal(again.outer_joint, motion.outer_joint)


def test_a_given_length_is_told_from_the_ride_centred_one() -> None:
    given_one = examine(FRONT, motion=whole_motion(FRONT, 20.0, 20.0))
    assert given_one.length_given
    assert given_one.length_mm == FRONT.shaft.length
    undecided = replace(FRONT, shaft=replace(FRONT.shaft, length=None))
    found = examine(undecided, motion=whole_motion(undecided, 20.0, 20.0))
    assert not found.length_given
    assert found.length_mm == found.ride_centred_length_mm == given_one.ride_centred_length_mm


def test_limits_are_broken_one_by_one() -> None:
    plain = replace(REAR, brackets=())
    found = examine(plain)
    assert found.broken == ()
    assert all(worst.to_spare >= 0 for worst in found.worst)
    stiff = replace(plain, shaft=replace(plain.shaft, outer_joint=OuterJoint(1.0)))
    (broken,) = examine(stiff).broken
    assert broken.quantity == "outer_angle"
    assert broken.to_spare == pytest.approx(1.0 - found.outer_angle.value)
    assert found.window is not None
    for length, quantity in (
        (found.window.longest_mm + 1.0, "stroke_left_in"),
        (found.window.shortest_mm - 1.0, "stroke_left_out"),
    ):
        wrong = examine(replace(plain, shaft=replace(plain.shaft, length=length)))
        strokes = [worst.quantity for worst in wrong.broken if "stroke" in worst.quantity]
        assert strokes == [quantity]


def test_a_limit_reached_exactly_is_not_broken() -> None:
    plain = replace(REAR, brackets=())
    window = examine(plain).window
    assert window is not None
    at_the_end = replace(plain, shaft=replace(plain.shaft, length=window.longest_mm))
    found = examine(at_the_end)
    assert found.stroke_left_in.to_spare == pytest.approx(0.0, abs=1e-9)
    assert found.broken == ()


def test_gearbox_movement_makes_it_worse() -> None:
    still = replace(FRONT, gearbox_movement=GearboxMovement(), brackets=())
    moving = replace(FRONT, gearbox_movement=GearboxMovement(4.0, 6.0, 8.0), brackets=())
    calm, busy = examine(still), examine(moving)
    assert calm.window is not None
    assert busy.window is not None
    assert busy.window.shortest_mm > calm.window.shortest_mm
    assert busy.window.longest_mm < calm.window.longest_mm
    assert busy.stroke_left_in.value < calm.stroke_left_in.value
    assert calm.stroke_left_in.position.shift_mm == (0.0, 0.0, 0.0)
    assert busy.stroke_left_in.position.shift_mm != (0.0, 0.0, 0.0)


def test_brackets_add_their_gaps() -> None:
    found = examine(FRONT, motion=whole_motion(FRONT, 20.0, 20.0))
    assert {gap.worst.part for gap in found.gaps} == {bracket.name for bracket in FRONT.brackets}
    assert found.clearance is not None
    assert found.clearance.value == min(gap.worst.value for gap in found.gaps)
    assert found.worst[4:] == tuple(gap.worst for gap in found.gaps)
    without = replace(FRONT, brackets=())
    assert examine(without, motion=whole_motion(without, 20.0, 20.0)).clearance is None


def test_travel_out_of_reach_leaves_no_window() -> None:
    far = replace(REAR, travel=Travel(900.0, 75.0), brackets=())
    found = examine(far)
    assert found.window is None
    (beyond,) = found.unreachable
    assert beyond.quantity == "travel"
    assert beyond.asked == (-75.0, 900.0)
    assert beyond.reachable[0] < -75.0 < beyond.reachable[1] < 900.0
    motion = whole_motion(far)
    assert beyond.reason == motion.reach.highest_reason
    # What is in reach is still answered.
    assert np.isfinite(found.stroke_left_in.value)


def test_droop_out_of_reach_gives_the_lower_ends_reason() -> None:
    far = replace(REAR, travel=Travel(10.0, 900.0), brackets=())
    motion = whole_motion(far, 10.0)
    (beyond,) = unreachable(motion)
    assert beyond.reason == motion.reach.lowest_reason


def test_steer_out_of_reach_is_told_apart() -> None:
    laid_in = Wishbones((306, 178, 0), (700, 166, 0), (300, 420, 0), (430, 300, 0))
    hub = Hub((640, 288, 0), (702, 288, 0))
    motion = solve(laid_in, hub, np.array([[-2.0], [0.0], [2.0]]), np.arange(-60.0, 61.0, 5.0))
    (beyond,) = unreachable(motion)
    assert beyond.quantity == "steer"
    assert beyond.asked == (-60.0, 60.0)
    assert -60.0 < beyond.reachable[0] < 0.0 < beyond.reachable[1] < 60.0
    inside = (motion.steer_deg >= beyond.reachable[0]) & (motion.steer_deg <= beyond.reachable[1])
    assert motion.in_reach[inside].all()


def test_with_no_lock_in_reach_gaps_are_those_of_what_is() -> None:
    assert isinstance(FRONT.linkage, Strut)
    leaning = replace(FRONT, linkage=replace(FRONT.linkage, strut_top=(404.0, 232.0, 0.0)))
    found = examine(leaning)
    (beyond,) = found.unreachable
    assert beyond.quantity == "steer"
    low, high = beyond.reachable
    assert len(found.gaps) == len(FRONT.brackets) > 0
    for gap in found.gaps:
        assert np.isfinite(gap.worst.value)
        assert low <= gap.worst.position.steer_deg <= high


def test_all_in_reach_is_nothing_unreachable() -> None:
    assert unreachable(whole_motion(FRONT, 20.0, 20.0)) == ()


def test_a_shaft_too_short_for_the_axis_is_refused() -> None:
    short = replace(FRONT, shaft=replace(FRONT.shaft, length=10.0))
    with pytest.raises(InvalidInput, match="length: expected a shaft that reaches"):
        examine(short, motion=whole_motion(short, 20.0, 20.0))


@pytest.mark.parametrize("margin", [-0.1, float("nan")])
def test_a_margin_below_nothing_is_refused(margin: float) -> None:
    with pytest.raises(InvalidInput, match="margin: expected mm, 0 or more"):
        examine(FRONT, margin)


def test_positions_are_plain_numbers() -> None:
    found = examine(FRONT, motion=whole_motion(FRONT, 20.0, 20.0))
    place = found.off_centre_at
    assert place == Position(place.travel_mm, place.steer_deg, place.shift_mm)
    assert {type(number) for number in (place.travel_mm, place.steer_deg, *place.shift_mm)} == {
        float
    }
