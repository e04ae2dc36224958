"""R. S. Khurmi & J. K. Gupta, *A Textbook of Machine Design*, chapter on welded joints.

Circular fillet weld under torque, from memory: d 50 mm, leg 10 mm, 80 MPa, 2.22 kN·m.
"""

from __future__ import annotations

import math

import pytest

from kinematics.making.torsion import fillet_stress_mpa


def test_torque_of_a_shaft_welded_to_a_plate() -> None:
    torque = 80.0 / float(fillet_stress_mpa(1.0, 50.0, 10.0))
    assert torque * 1e-3 == pytest.approx(2.22, abs=5e-3)


def test_the_books_rounded_formula() -> None:
    by_the_book = 2.83 * 2.22e6 / (math.pi * 10 * 50**2)
    assert float(fillet_stress_mpa(2220.0, 50.0, 10.0)) == pytest.approx(by_the_book, rel=1e-3)
