"""Distortion-energy (von Mises) yield in pure shear: 1/sqrt(3) of the yield in tension.

R. G. Budynas & J. K. Nisbett, *Shigley's Mechanical Engineering Design*, 9th edition,
section 5-5 (memory).
"""

from __future__ import annotations

import math

import pytest

from kinematics.making.steels import STEELS


@pytest.mark.parametrize("steel", STEELS, ids=lambda steel: steel.name)
def test_shear_yield(steel: object) -> None:
    from kinematics.making.steels import Steel

    assert isinstance(steel, Steel)
    assert steel.shear_yield_mpa / steel.yield_strength == pytest.approx(0.57735, abs=5e-6)


def test_the_equivalent_stress_of_pure_shear_is_the_yield() -> None:
    shear = STEELS[0].shear_yield_mpa
    principal = (shear, 0.0, -shear)
    s1, s2, s3 = principal
    equivalent = math.sqrt(((s1 - s2) ** 2 + (s2 - s3) ** 2 + (s3 - s1) ** 2) / 2)
    assert equivalent == pytest.approx(STEELS[0].yield_strength)
