"""The ends of travel: where they are, why, and that just inside all is well."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from kinematics.errors import InvalidInput
from kinematics.linkage.knuckle import Geometry, steering_axis
from kinematics.linkage.motion import solve
from kinematics.linkage.reach import (
    CANNOT_CLOSE,
    DEAD_POINT,
    Reach,
    closing_turns,
    nearby_turn,
    reach,
    rise,
    turn_for_travel,
)
from kinematics.parts import ArmLinkage, Hub, Point, Strut, Wishbones
from kinematics.vectors import Array
from scenes.library import example as library_scene
from tests import strategies


def quiet_rise(geometry: Geometry, turns: Array) -> tuple[Array, Array]:
    with np.errstate(invalid="ignore", divide="ignore"):
        return rise(geometry, turns)


@st.composite
def scattered(draw: st.DrawFn) -> list[Point]:
    """Four points anywhere, off any grid so that no two links are equally long by chance."""
    offsets = ((1.3, 2.9, 0.4), (7.1, 0.2, 5.3), (3.7, 8.3, 1.9), (0.6, 5.9, 8.1))
    step = st.integers(0, 14)
    return [
        (20.0 * draw(step) + a, 20.0 * draw(step) + b, float(draw(st.integers(-3, 3))) + c)
        for a, b, c in offsets
    ]


def wild_wishbones() -> st.SearchStrategy[ArmLinkage]:
    """Four-bars of any proportions, many of which do not go round."""
    return scattered().filter(apart).map(lambda points: Wishbones(*points))


def wild_struts() -> st.SearchStrategy[ArmLinkage]:
    """Struts of any proportions, some short enough to run out of length."""
    return scattered().filter(apart).map(lambda points: Strut(*points))


def apart(points: list[Point]) -> bool:
    """Whether any two points are far enough apart in the front view to be a link."""
    return all(math.dist(a[:2], b[:2]) > 30 for a, b in itertools.combinations(points, 2))


wild: st.SearchStrategy[ArmLinkage] = st.one_of(wild_wishbones(), wild_struts())
WILD_HUB = Hub((130.0, 110.0, 2.0), (190.0, 108.0, 0.0))


def found_reach(linkage: ArmLinkage, hub: Hub) -> tuple[Geometry, Reach]:
    geometry = Geometry.of(linkage, hub)
    try:
        return geometry, reach(geometry)
    except InvalidInput:
        assume(False)
        raise


@given(wild)
def test_closing_turns_are_where_the_linkage_ceases_to_close(linkage: ArmLinkage) -> None:
    geometry = Geometry.of(linkage, WILD_HUB)
    low, high = closing_turns(geometry)
    assert low <= 0.0 <= high
    # The steering axis alone: whether the hub could take its heading is another matter.
    with np.errstate(invalid="ignore", divide="ignore"):
        inside = steering_axis(geometry, np.linspace(low + 1e-6, high - 1e-6, 101))
        beyond = steering_axis(geometry, np.array([low - 1e-6, high + 1e-6]))
    assume(high - low > 1e-3)
    assert np.isfinite(inside.axis_in_knuckle.out * inside.axis.up).all()
    if high - low < 2 * math.pi:
        assert not np.isfinite(beyond.axis_in_knuckle.out * beyond.axis.up).any()


# Its dead point lies just where it ceases to close.
SHARP = Wishbones((201.3, 2.9, 0.4), (287.1, 140.2, 5.3), (183.7, 28.3, 1.9), (140.6, 145.9, 8.1))


@example(SHARP)
@given(wild)
def test_beyond_the_ends_it_does_not_close_or_turns_back(linkage: ArmLinkage) -> None:
    geometry, found = found_reach(linkage, WILD_HUB)
    assert found.lowest_mm <= 0.0 <= found.highest_mm
    assert (np.diff(found.rises_mm) >= 0.0).all()
    away = np.sign(found.turns_rad[-1] - found.turns_rad[0])
    ends = found.turns_rad[[0, -1]]
    outward = np.array([-away, away]) * 1e-5
    _, slopes = quiet_rise(geometry, ends + outward)
    reasons = (found.lowest_reason, found.highest_reason)
    for slope, reason in zip(slopes, reasons, strict=True):
        if reason == DEAD_POINT:
            assert np.sign(slope) != away
        else:
            assert reason == CANNOT_CLOSE
            assert not np.isfinite(slope)


@given(wild, st.floats(0.0, 1.0))
def test_inside_the_ends_every_travel_is_found(linkage: ArmLinkage, share: float) -> None:
    geometry, found = found_reach(linkage, WILD_HUB)
    span = found.highest_mm - found.lowest_mm
    assume(span > 1.0)
    travel = np.array([found.lowest_mm + 1e-3 + share * (span - 2e-3)])
    turn = turn_for_travel(geometry, travel, found)
    assert (found.turns_rad.min() <= turn).all()
    assert (turn <= found.turns_rad.max()).all()
    rises, slopes = quiet_rise(geometry, turn)
    # Right where the linkage ceases to close, some roundings of the turn may be more than 1e-9 mm.
    rounding = 16.0 * np.spacing(1.0) * slopes
    np.testing.assert_allclose(rises, travel, rtol=0, atol=max(1e-9, abs(float(rounding[0]))))


@given(strategies.linkages(), strategies.hubs())
def test_the_reported_ends_are_in_reach_and_no_further(linkage: ArmLinkage, hub: Hub) -> None:
    found = reach(Geometry.of(linkage, hub))
    ends = np.array([found.lowest_mm, found.highest_mm])
    assert solve(linkage, hub, ends).in_reach.all()
    further = ends + np.array([-1e-6, 1e-6])
    assert not solve(linkage, hub, further).in_reach.any()


@given(strategies.linkages(), strategies.hubs())
def test_dead_points_by_a_golden_search(linkage: ArmLinkage, hub: Hub) -> None:
    geometry = Geometry.of(linkage, hub)
    found = reach(geometry)
    assume(found.highest_reason == DEAD_POINT)
    top = float(found.turns_rad[-1])
    best = minimize_scalar(
        lambda turn: -float(np.nan_to_num(quiet_rise(geometry, np.asarray(turn))[0], nan=-1e9)),
        bounds=(top - 0.05, top + 0.05),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert found.highest_mm == pytest.approx(-best.fun, abs=1e-9)


def test_ends_of_a_crank_by_hand() -> None:
    """Equal parallel arms carry the knuckle without turning it, up to where they stand upright."""
    linkage = Wishbones((0, 0, 0), (300, 0, 0), (0, 200, 0), (300, 200, 0))
    found = reach(Geometry.of(linkage, Hub((310, 100, 0), (370, 100, 0))))
    assert found.highest_mm == pytest.approx(300.0, abs=1e-5)
    assert found.lowest_mm == pytest.approx(-300.0, abs=1e-5)


def test_ends_of_a_strut_by_hand() -> None:
    """The ball joint runs towards the top mount until the strut has no length left."""
    linkage = Strut((0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 200, 0))
    found = reach(Geometry.of(linkage, Hub((300, 0, 0), (300.5, 0, 0))))
    # No length is left where the ball joint is 200 from the top.
    cosine = (300**2 + 2 * 300**2 - 200**2) / (2 * 300 * math.hypot(300, 300))
    turn = math.pi / 4 - math.acos(cosine)
    assert found.highest_reason == CANNOT_CLOSE
    assert found.turns_rad[-1] == pytest.approx(turn, abs=1e-9)


def test_a_strut_that_was_drawn_behind_the_ball_joint() -> None:
    # The top mount lies the other way along the sliding axis than the strut leads.
    linkage = Strut((0, 0, 0), (100, 0, 0), (180, 100, 0), (230, 140, 0))
    geometry = Geometry.of(linkage, Hub((110, 20, 0), (150, 20, 0)))
    low, high = closing_turns(geometry)
    assert low < 0.0 < high
    motion = solve(linkage, Hub((110, 20, 0), (150, 20, 0)), [0.0, 1.0])
    assert motion.in_reach.all()


def test_a_top_mount_on_the_arms_own_axis() -> None:
    linkage = Wishbones((0, 0, 0), (300, 0, 0), (0, 0, 0), (280, 200, 0))
    assert closing_turns(Geometry.of(linkage, WILD_HUB)) == (-2 * math.pi, 2 * math.pi)


def test_a_linkage_on_a_dead_point_is_refused() -> None:
    upright = Wishbones((0, 0, 0), (0, 300, 0), (200, 0, 0), (200, 300, 0))
    with pytest.raises(InvalidInput, match="dead point at ride height"):
        reach(Geometry.of(upright, Hub((0, 300, 0), (50, 300, 0))))


def test_a_hub_that_cannot_keep_its_heading_ends_the_travel() -> None:
    """A hub axis close to the steering axis: the wheel loses its heading before the arms lock."""
    linkage = Strut((360, 80, 0), (100, 0, 100), (20, 110, -10), (190, 40, 190))
    hub = Hub((290, 380, -170), (280, 110, 10))
    geometry = Geometry.of(linkage, hub)
    assert closing_turns(geometry) == (-2 * math.pi, 2 * math.pi)
    found = reach(geometry)
    assert (found.lowest_reason, found.highest_reason) == (CANNOT_CLOSE, DEAD_POINT)
    beyond = np.asarray(found.turns_rad[0] * (1 + 1e-6))
    assert not np.isfinite(quiet_rise(geometry, beyond)[0])
    assert np.isfinite(steering_axis(geometry, beyond).axis.up)


@given(strategies.linkages(), strategies.hubs(), strategies.hundredths(-50, 50))
def test_a_neighbours_turn_leads_to_the_own(linkage: ArmLinkage, hub: Hub, travel: float) -> None:
    geometry = Geometry.of(linkage, hub)
    found = reach(geometry)
    assume(found.lowest_mm + 10 < travel < found.highest_mm - 10)
    turn = turn_for_travel(geometry, np.asarray(travel), found)
    near = nearby_turn(
        geometry, np.asarray([travel]), np.asarray([float(turn) + 0.004]), found.direction
    )
    # A step of less than 1e-4 rad is the last: what is left is of its square.
    np.testing.assert_allclose(near, turn, rtol=0, atol=1e-8)


@pytest.mark.parametrize("name", ["van-front", "van-rear"])
def test_at_a_dead_point_the_wheel_no_longer_rises_with_the_arm(name: str) -> None:
    """There the rise is level over the arm's turn, to the last digits, and bends back."""
    scene = library_scene(name)
    linkage = scene.linkage
    assert isinstance(linkage, Strut | Wishbones)
    geometry, found = found_reach(linkage, scene.hub)
    assert (found.lowest_reason, found.highest_reason) == (DEAD_POINT, DEAD_POINT)
    ends = found.turns_rad[[0, -1]]
    rises, slopes = quiet_rise(geometry, ends)
    assert np.abs(slopes).max() < 1e-9
    assert rises == pytest.approx([found.lowest_mm, found.highest_mm], abs=1e-9)
    for by in (-1e-3, 1e-3):
        beside, _ = quiet_rise(geometry, ends + by)
        assert beside[0] > rises[0]
        assert beside[1] < rises[1]
