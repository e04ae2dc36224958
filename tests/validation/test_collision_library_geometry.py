"""Capsule against box: gaps computed with trimesh and python-fcl.

Source: python-fcl (Flexible Collision Library) on trimesh primitives, capsule of
radius 14 against boxes; printed to 1e-5 mm.  The nearest points lie beside the
capsule's straight part, so its round ends do not matter and a flat-ended bar of
the same length has the same gap.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from kinematics.gaps.clearance import clearance
from kinematics.gaps.solids import TurnedBody
from kinematics.parts import Bracket, Point, Section
from kinematics.poses import CarrierPose


def bar(end: Point) -> TurnedBody:
    return TurnedBody.between([0, 0, 0], end, [Section("bar", 0, math.hypot(*end), (28, 28))])


def box(size: Point, centre: Point) -> Bracket:
    w, h, d = (0.5 * s for s in size)
    x, y, z = centre
    outline = ((x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h))
    return Bracket("box", outline, mounted_on="knuckle", fore=(z - d, z + d))


def test_bar_beside_a_turned_box() -> None:
    centre = (220.0, 85.0, 70.0)
    axis = np.array([1, 0.4, 0.2])
    turn = Rotation.from_rotvec(math.radians(30) * axis / np.linalg.norm(axis)).as_matrix()
    found = clearance(
        [bar((400, 30, 60))],
        [box((60, 40, 50), centre)],
        {"knuckle": CarrierPose(np.array(centre), np.array(centre), turn)},
    )
    assert found.gap_mm == pytest.approx(40.43215, abs=1e-5)


def test_bar_beside_a_square_box() -> None:
    found = clearance(
        [bar((400, 0, 60))],
        [box((60, 40, 80), (220, 80, 50))],
        {"knuckle": CarrierPose.still()},
    )
    assert found.gap_mm == pytest.approx(46.0, abs=1e-9)
