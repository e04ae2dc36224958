"""ISO 21940-11, balance grades of rigid rotors: U_per = 9549 G m/n.

Formula and grades (G16 drive shafts, G40 drive shafts of cars) from memory; the figures
for 6 kg at 1500 rpm were computed anew.
"""

from __future__ import annotations

import math

import pytest

from kinematics.making.balance import (
    GRADE_CAR_DRIVE_SHAFT,
    Balance,
    residual_unbalance,
)
from kinematics.making.pieces import Layer, ShaftPiece
from kinematics.making.straightness import Runout, straightness


def test_permissible_unbalance() -> None:
    shaft = Balance(6.0, 1500.0, 0.0, 0.0)
    # The standard rounds 30000/pi to 9549, which moves the last digit by one.
    assert shaft.allowed_gmm(16.0) == pytest.approx(611.1, abs=0.1)
    assert shaft.allowed_gmm(16.0) / 6 == pytest.approx(101.9, abs=0.1)
    assert shaft.allowed_gmm(GRADE_CAR_DRIVE_SHAFT) == pytest.approx(1527.8, abs=0.1)
    assert GRADE_CAR_DRIVE_SHAFT == 40.0


@pytest.mark.parametrize(
    ("velocity", "grade"),
    [(3.5, 6.3), (6.29, 6.3), (6.31, 16.0), (39.9, 40.0), (40.1, 100.0), (0.1, 0.4), (4001, None)],
)
def test_an_unbalance_lies_within_a_grade_that_there_is(
    velocity: float, grade: float | None
) -> None:
    offset_um = velocity * 1e3 / (1500 * math.pi / 30)
    assert Balance(6.0, 1500.0, 3.0 * offset_um, 3.0 * offset_um).grade == grade


def test_grade_of_a_bar_that_is_kinked_in_the_middle() -> None:
    """Eccentricity rises from each joint to the splice: half its peak on average."""
    bar = (ShaftPiece("bar", 0, 400, (Layer(25),)),)
    straight = straightness([Runout(100, 0.1), Runout(300, 0.1)], 400, 200)
    balance = residual_unbalance(bar, straight, 1500)
    assert balance.mass_kg == pytest.approx(math.pi / 4 * 25**2 * 400 * 7.85e-6)
    assert balance.mass_offset_um == pytest.approx(50.0, rel=1e-5)
    assert balance.velocity_mm_s == pytest.approx(0.05 * 1500 * math.pi / 30, rel=1e-5)
    assert balance.unbalance_gmm == pytest.approx(
        balance.allowed_gmm(balance.velocity_mm_s), rel=1e-12
    )
