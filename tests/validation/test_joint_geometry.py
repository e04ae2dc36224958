"""Joints at an angle.

Spherical law of cosines: any handbook of mathematics. Tripod centre's orbit: M. A. Durum,
*Kinematic properties of tripode joints*, 1975, and E. Akbil & T. W. Lee, 1984; formula from
memory, confirmed below from the three rollers themselves. Cardan joint: H. Heisler,
*Advanced Vehicle Technology*, worked example of 500 rpm at 30 degrees.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from kinematics.errors import InvalidInput
from kinematics.shaft.joints import cardan_speed_ratio, compound_angle_deg, tripod_orbit_radius_mm
from kinematics.vectors import Array


def test_compound_angle_of_perpendicular_bends() -> None:
    assert float(compound_angle_deg(10, 40)) == pytest.approx(41.02646, abs=5e-6)


@given(st.floats(-89, 89), st.floats(-89, 89))
def test_compound_angle_is_the_angle_between_directions(front: float, above: float) -> None:
    a, b = math.radians(front), math.radians(above)
    direction = np.array([math.cos(a) * math.cos(b), math.sin(a) * math.cos(b), math.sin(b)])
    cross = math.hypot(direction[1], direction[2])
    expected = math.degrees(math.atan2(cross, direction[0]))
    assert float(compound_angle_deg(front, above)) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("angle", "printed"),
    [(5, 0.057298), (10, 0.231399), (15, 0.529143), (20, 0.962667), (23, 1.295406)],
)
def test_tripod_orbit(angle: float, printed: float) -> None:
    assert float(tripod_orbit_radius_mm(30, angle)) == pytest.approx(printed, abs=5e-7)


@pytest.mark.parametrize("turn", [0.0, 17.0, 45.0, 80.0])
def test_tripod_orbit_from_its_three_rollers(turn: float) -> None:
    """Each arm, in the plane across the shaft, runs through its track's centre line."""
    radius, bend = 30.0, math.radians(20.0)
    tracks = np.radians(turn + np.array([0.0, 120.0, 240.0]))
    # Where the tracks, parallel to the housing axis, pierce the plane across the bent shaft.
    pierced = radius * np.column_stack((np.cos(tracks) / math.cos(bend), np.sin(tracks)))

    def off_track(unknown: Array) -> Array:
        x, y, spin = unknown
        to_track = pierced - (x, y)
        arms = tracks + spin
        return np.asarray(to_track[:, 0] * np.sin(arms) - to_track[:, 1] * np.cos(arms))

    found = least_squares(off_track, [0.1, 0.1, 0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    orbit = float(tripod_orbit_radius_mm(radius, 20.0))
    assert math.hypot(found[0], found[1]) == pytest.approx(orbit, abs=1e-9)


def test_tripod_orbit_keeps_its_figures_at_small_angles() -> None:
    angle = math.radians(1e-6)
    assert float(tripod_orbit_radius_mm(30, 1e-6)) == pytest.approx(7.5 * angle**2, rel=1e-9)


def test_cardan_speeds() -> None:
    speeds = 500 * cardan_speed_ratio(30, np.linspace(0, 360, 361))
    assert float(speeds.max()) == pytest.approx(577.35, abs=5e-3)
    assert float(speeds.min()) == pytest.approx(433.01, abs=5e-3)


def test_cardan_ratio_is_the_derivative_of_the_turn() -> None:
    bend = math.radians(30)
    turn = np.radians(np.linspace(1, 89, 45))
    step = 1e-6

    def driven(angle: Array) -> Array:
        return np.asarray(np.arctan2(np.sin(angle), np.cos(angle) * math.cos(bend)))

    ratio = (driven(turn + step) - driven(turn - step)) / (2 * step)
    assert cardan_speed_ratio(30, np.degrees(turn)) == pytest.approx(ratio, rel=1e-8)


def test_impossible_joints_are_refused() -> None:
    with pytest.raises(InvalidInput, match="angle_deg: expected degrees below 90"):
        tripod_orbit_radius_mm(30, [10, 90])
    with pytest.raises(InvalidInput, match="pitch_radius_mm: expected mm above 0"):
        tripod_orbit_radius_mm([30, 0], 10)
    with pytest.raises(InvalidInput, match="above_deg"):
        compound_angle_deg(10, 120)
    with pytest.raises(InvalidInput, match="angle_deg"):
        cardan_speed_ratio(float("nan"), 0)
