"""Roll centre and instant centre of linkages whose answer is plain to see."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given

from kinematics.linkage.motion import solve
from kinematics.parts import Corner, Hub, Strut, Wishbones
from tests import strategies

UPRIGHT = Hub((640.0, 300.0, 0.0), (700.0, 300.0, 0.0))


def test_level_parallel_arms_roll_about_the_floor() -> None:
    arms = Wishbones((300, 200, 0), (640, 200, 0), (340, 420, 0), (620, 420, 0))
    motion = solve(arms, UPRIGHT, 0.0)
    assert not np.isfinite(motion.instant_centre[0])
    assert float(motion.roll_centre_up_mm) == pytest.approx(0.0, abs=1e-9)


def test_arms_that_meet_on_the_centreline_roll_about_that_point() -> None:
    # Both arms point at (0, 260): the knuckle turns about it, and so does the body.
    arms = Wishbones((300, 230, 0), (600, 200, 0), (300, 325, 0), (600, 390, 0))
    motion = solve(arms, UPRIGHT, 0.0)
    np.testing.assert_allclose(motion.instant_centre, (0, 260, 0), atol=1e-6)
    assert float(motion.roll_centre_up_mm) == pytest.approx(260.0, abs=1e-6)


def test_an_upright_strut_over_a_level_arm() -> None:
    """The centre is level with the top mount's square and the arm: both lines are level."""
    strut = Strut((300, 200, 0), (660, 200, 0), (640, 800, 0), (640, 350, 0))
    motion = solve(strut, UPRIGHT, 0.0)
    # As far away as rounding lets level lines meet.
    assert abs(float(motion.instant_centre[0])) > 1e12
    assert float(motion.roll_centre_up_mm) == pytest.approx(0.0, abs=1e-9)


def test_a_leaning_strut_by_hand() -> None:
    # The strut leans 1 in 10: square to it from the top, 10 along for each 1 down.
    strut = Strut((300, 200, 0), (660, 200, 0), (600, 800, 0), (640, 400, 0))
    motion = solve(strut, UPRIGHT, 0.0)
    # From (600, 800) down to the level arm at 200: 600 down, 6000 in.
    np.testing.assert_allclose(motion.instant_centre[:2], (-5400, 200), atol=1e-6)
    # From the contact (700, 0) towards there, at the centreline.
    assert float(motion.roll_centre_up_mm) == pytest.approx(200 * 700 / 6100, abs=1e-9)


def test_camber_leaves_the_contact_on_the_floor_as_drawn() -> None:
    arms = Wishbones((300, 230, 0), (600, 200, 0), (300, 325, 0), (600, 390, 0))
    # The wheel leans by 3 in 4; only the place of its contact matters.
    motion = solve(arms, Hub((640, 345, 0), (700, 300, 0)), 0.0)
    contact = np.array([700 - 300 * 45 / 60, 0.0])
    centre = motion.instant_centre[:2]
    slope = (centre[1] - contact[1]) / (centre[0] - contact[0])
    assert float(motion.roll_centre_up_mm) == pytest.approx(-contact[0] * slope, abs=1e-6)


@given(strategies.corners(steers=False), strategies.hundredths(-40, 40))
def test_the_contact_moves_square_to_its_line_to_the_roll_centre(
    corner: Corner, travel: float
) -> None:
    step = 1e-4
    motion = solve(corner.linkage, corner.hub, [travel - step, travel, travel + step])
    assume(bool(motion.in_reach.all()))
    drawn = np.subtract(corner.hub.wheel_centre, corner.hub.outer_joint)
    drawn /= np.linalg.norm(drawn)
    down = np.array([drawn[0] * drawn[1], drawn[1] ** 2 - 1.0, drawn[2] * drawn[1]])
    radius = corner.hub.wheel_centre[1] / float(np.linalg.norm(down))
    hub, up = motion.hub_axis, np.array([0.0, 1.0, 0.0])
    # Below the wheel centre in the wheel's plane, as a point of the knuckle at the middle travel.
    lowest = hub[1] * hub[1, 1] - up
    lowest *= radius / float(np.linalg.norm(lowest))
    held = motion.knuckle_rotation[1].T @ lowest
    contact = motion.wheel_centre + motion.knuckle_rotation @ held
    path = (contact[2] - contact[0])[:2] / (2 * step)
    to_centre = np.array([0.0, float(motion.roll_centre_up_mm[1])]) - contact[1, :2]
    assert float(path @ to_centre) / float(np.linalg.norm(to_centre)) == pytest.approx(
        0.0, abs=1e-5
    )
