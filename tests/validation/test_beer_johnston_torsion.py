"""F. P. Beer & E. R. Johnston, *Mechanics of Materials*, chapter 3, hollow shaft 60/40 mm.

From memory; the figures were computed anew.
"""

from __future__ import annotations

import pytest

from kinematics.making.torsion import polar_moment_mm4, shear_stress_mpa


def test_largest_torque_of_a_hollow_shaft_and_the_stress_inside() -> None:
    torque = 120.0 / float(shear_stress_mpa(1.0, 60.0, 40.0))
    assert torque * 1e-3 == pytest.approx(4.08, abs=5e-3)
    assert float(shear_stress_mpa(torque, 60.0, 40.0)) == pytest.approx(120.0)
    at_bore = torque * 1e3 * 20.0 / float(polar_moment_mm4(60.0, 40.0))
    assert at_bore == pytest.approx(80.0, abs=1e-9)
