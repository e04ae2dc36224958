"""Positions taken on the car in place of a linkage."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from kinematics.errors import InvalidInput
from kinematics.linkage.measured import spline_weights
from kinematics.linkage.motion import reach_of, solve
from kinematics.parts import Bracket, Corner, Hub, Measured, MeasuredPosition, Point
from kinematics.shaft.following import follow
from kinematics.shaft.whole_motion import examine
from scenes.library import example
from tests import strategies


def point(values: np.ndarray) -> Point:
    out, up, fore = values.tolist()
    return (out, up, fore)


def taken_from(corner: Corner, travels: list[float], *, hub: bool = True) -> Corner:
    """The same corner as someone would measure it, without error."""
    motion = solve(corner.linkage, corner.hub, travels)
    positions = tuple(
        MeasuredPosition(travel, point(outer), point(wheel) if hub else None)
        for travel, outer, wheel in zip(
            travels, motion.outer_joint, motion.wheel_centre, strict=True
        )
    )
    return replace(corner, linkage=Measured(positions), steering=None, brackets=())


@pytest.fixture(scope="module")
def front() -> Corner:
    return replace(example("van-front").corner("left"), steering=None, brackets=())


TRAVELS = [-80.0, -55.0, -30.0, 35.0, 70.0]


@settings(max_examples=25)
@given(corner=strategies.corners(steers=False))
def test_measured_without_error_it_moves_as_the_linkage_does(corner: Corner) -> None:
    limits = reach_of(corner.linkage, corner.hub)
    low, high = max(-60.0, 0.6 * limits.lowest_mm), min(60.0, 0.6 * limits.highest_mm)
    measured = taken_from(corner, [low, low / 2, high / 2, high])
    travel = np.linspace(low, high, 41)
    by_linkage = solve(corner.linkage, corner.hub, travel)
    by_curve = solve(measured.linkage, measured.hub, travel)
    assert by_curve.in_reach.all()
    # A tape sees a fifth of a millimetre at best.
    np.testing.assert_allclose(by_curve.outer_joint, by_linkage.outer_joint, atol=0.15)
    np.testing.assert_allclose(by_curve.wheel_centre, by_linkage.wheel_centre, atol=0.15)


def test_the_curve_goes_through_what_was_measured(front: Corner) -> None:
    measured = taken_from(front, TRAVELS)
    linkage = measured.linkage
    assert isinstance(linkage, Measured)
    motion = solve(linkage, measured.hub, [*TRAVELS, 0.0])
    wanted = [*(position.outer_joint for position in linkage.positions), front.hub.outer_joint]
    np.testing.assert_allclose(motion.outer_joint, wanted, atol=1e-10)


def test_three_positions_make_a_parabola() -> None:
    hub = Hub((650, 300, 0), (710, 300, 0))
    positions = tuple(MeasuredPosition(t, (650 - t * t / 800, 300 + t, 0)) for t in (-70.0, 60.0))
    travel = np.linspace(-70, 60, 27)
    motion = solve(Measured(positions), hub, travel)
    np.testing.assert_allclose(motion.outer_joint[:, 0], 650 - travel**2 / 800, atol=1e-9)


def test_examination_agrees_with_that_of_the_linkage(front: Corner) -> None:
    by_linkage, by_curve = examine(front), examine(taken_from(front, TRAVELS))
    assert by_linkage.window is not None
    assert by_curve.window is not None
    assert by_curve.window.shortest_mm == pytest.approx(by_linkage.window.shortest_mm, abs=0.01)
    assert by_curve.window.longest_mm == pytest.approx(by_linkage.window.longest_mm, abs=0.01)
    for mine, theirs in zip(by_curve.worst, by_linkage.worst, strict=True):
        assert mine.value == pytest.approx(theirs.value, abs=0.02)
        assert mine.position.travel_mm == theirs.position.travel_mm


def test_beyond_the_outermost_position_nothing_is_answered(front: Corner) -> None:
    measured = taken_from(front, [-50.0, -25.0, 30.0, 60.0])
    motion = solve(measured.linkage, measured.hub, [-50.1, -50.0, 0.0, 60.0, 60.1])
    assert motion.in_reach.tolist() == [False, True, True, True, False]
    assert np.isnan(motion.outer_joint[[0, -1]]).all()
    beyond = examine(measured)
    assert beyond.window is None
    assert [one.reachable for one in beyond.unreachable] == [(-50.0, 60.0)]
    assert "measured" in beyond.unreachable[0].reason


def test_steered_nothing_is_answered(front: Corner) -> None:
    measured = taken_from(front, TRAVELS)
    motion = solve(measured.linkage, measured.hub, 10.0, [-20.0, 0.0, 20.0])
    assert motion.in_reach.tolist() == [False, True, False]
    steered = replace(measured, steering=example("van-front").steering)
    (refused,) = examine(steered).unreachable
    assert refused.quantity == "steer"
    assert "straight ahead" in refused.reason


def test_without_wheel_centres_the_hub_axis_keeps_its_direction(front: Corner) -> None:
    measured = taken_from(front, TRAVELS, hub=False)
    motion = solve(measured.linkage, measured.hub, [-60.0, 0.0, 50.0])
    np.testing.assert_allclose(motion.hub_axis - motion.hub_axis[1], 0.0, atol=1e-12)
    still = np.broadcast_to(np.eye(3), (3, 3, 3))
    np.testing.assert_allclose(motion.knuckle_rotation, still, atol=1e-12)


def test_the_knuckle_turns_with_its_hub_axis(front: Corner) -> None:
    measured = taken_from(front, TRAVELS)
    motion = solve(measured.linkage, measured.hub, np.linspace(-80, 70, 16))
    drawn = solve(measured.linkage, measured.hub, 0.0).hub_axis
    np.testing.assert_allclose(motion.knuckle_rotation @ drawn, motion.hub_axis, atol=1e-12)
    np.testing.assert_allclose(np.linalg.det(motion.knuckle_rotation), 1.0, atol=1e-12)


def test_the_knuckle_leans_and_toes_as_one_body() -> None:
    hub = Hub((650, 300, 0), (710, 304, 6))
    positions = tuple(
        MeasuredPosition(t, (648, 300 + t, 0), (709, 304 + t, 6 + 0.2 * t)) for t in (-40.0, 40.0)
    )
    turn = solve(Measured(positions), hub, [-40.0, 25.0, 40.0]).knuckle_rotation
    np.testing.assert_allclose(turn @ np.swapaxes(turn, -1, -2), [np.eye(3)] * 3, atol=1e-12)


def test_a_bracket_on_the_knuckle_is_followed(front: Corner) -> None:
    stay = Bracket("stay", ((500, 340), (540, 340), (540, 370), (500, 370)), "knuckle")
    measured = replace(taken_from(front, TRAVELS), brackets=(stay,))
    by_curve, by_linkage = examine(measured), examine(replace(front, brackets=(stay,)))
    assert by_curve.clearance is not None
    assert by_linkage.clearance is not None
    assert by_curve.clearance.value == pytest.approx(by_linkage.clearance.value, abs=0.05)


@pytest.mark.parametrize(
    ("travels", "message"),
    [
        ([40.0], "two travels"),
        ([-40.0, 0.0, 40.0], "ride height"),
        ([-40.0, 40.0, 40.5], "apart"),
    ],
)
def test_refused_travels(travels: list[float], message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        Measured(tuple(MeasuredPosition(t, (650, 300 + t, 0)) for t in travels))


def test_a_wheel_centre_of_another_travel_is_refused() -> None:
    hub = Hub((650, 300, 0), (710, 300, 0))
    positions = (
        MeasuredPosition(-40, (648, 260, 0), (708, 260, 0)),
        MeasuredPosition(40, (648, 340, 0), (708, 350, 0)),
    )
    with pytest.raises(InvalidInput, match="position 2, wheel_centre: expected up near 340 mm"):
        solve(Measured(positions), hub, 0.0)
    with pytest.raises(InvalidInput, match="every travel or at none"):
        Measured((positions[0], replace(positions[1], wheel_centre=None)))


@pytest.mark.parametrize(("off_mm", "refused"), [(2.9, False), (3.1, True)])
def test_a_wheel_centre_may_be_off_its_travel_by_three_millimetres(
    off_mm: float, refused: bool
) -> None:
    hub = Hub((650, 300, 0), (710, 300, 0))
    positions = tuple(
        MeasuredPosition(t, (648, 300 + t, 0), (708, 300 + t + off_mm, 0)) for t in (-40.0, 40.0)
    )
    if refused:
        with pytest.raises(InvalidInput, match="expected up near"):
            solve(Measured(positions), hub, 0.0)
    else:
        assert solve(Measured(positions), hub, 0.0).in_reach


@pytest.mark.parametrize(("apart", "refused"), [(1.0, False), (0.95, True)])
def test_positions_stand_a_millimetre_of_travel_apart(apart: float, refused: bool) -> None:
    positions = tuple(MeasuredPosition(t, (650, 300 + t, 0)) for t in (-40.0, 40.0, 40.0 + apart))
    if refused:
        with pytest.raises(InvalidInput, match="1 mm apart or more"):
            Measured(positions)
    else:
        assert len(Measured(positions).positions) == 3


def test_a_bracket_on_an_arm_that_is_not_there_is_refused(front: Corner) -> None:
    seat = Bracket("seat", ((470, 190), (540, 190), (540, 206)), "arm")
    with pytest.raises(InvalidInput, match="no arm"):
        replace(taken_from(front, TRAVELS), brackets=(seat,))


@given(st.floats(-75, 65))
def test_one_pose_and_a_sweep_are_one_path(travel: float) -> None:
    hub = Hub((650, 300, 0), (710, 300, 0))
    linkage = Measured(
        tuple(MeasuredPosition(t, (650 - t * t / 800, 300 + t, 0)) for t in (-80.0, -30.0, 70.0))
    )
    corner = example("van-rear").corner("left")
    one = solve(linkage, hub, travel)
    many = solve(linkage, hub, [[travel], [0.0]])
    assert one.outer_joint.shape == (3,)
    assert many.outer_joint.shape == (2, 1, 3)
    np.testing.assert_array_equal(one.outer_joint, many.outer_joint[0, 0])
    shaft = follow(
        replace(corner, linkage=linkage, hub=hub, brackets=()),
        many,
        shift_mm=[[0, 0, 0], [2, 0, 0]],
    )
    assert shaft.plunge_mm.shape == (2, 1, 2)


@pytest.mark.parametrize("knots", [3, 4, 5, 9])
def test_the_spline_is_the_one_of_a_general_library(knots: int) -> None:
    random = np.random.default_rng(knots)
    at = np.cumsum(random.uniform(5.0, 40.0, knots)) - 60.0
    travel = np.linspace(at[0] - 5.0, at[-1] + 5.0, 101).reshape(1, 101)
    curve = CubicSpline(at, np.eye(knots), bc_type="not-a-knot", extrapolate=False)
    np.testing.assert_allclose(spline_weights(at, travel), curve(travel), atol=1e-9)
    np.testing.assert_allclose(spline_weights(at, at), np.eye(knots), atol=1e-9)
