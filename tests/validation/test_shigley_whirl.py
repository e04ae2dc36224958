"""R. G. Budynas & J. K. Nisbett, *Shigley's Mechanical Engineering Design*, 9th edition.

Equation 7-22, first critical speed of a simply supported bar, and the example of a steel bar
of 25 mm by 600 mm (E 207 GPa, 76.5 kN/m³): 883 rad/s as printed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.linalg import expm
from scipy.optimize import brentq

from kinematics.errors import InvalidInput
from kinematics.making.pieces import Layer, ShaftPiece
from kinematics.making.steels import DENSITY_KG_PER_M3, YOUNGS_MODULUS_GPA
from kinematics.making.whirl import Whirl, first_whirl_rpm


def test_uniform_bar() -> None:
    speed = first_whirl_rpm([ShaftPiece("bar", 0, 600, (Layer(25),))], 600) * math.pi / 30
    # The book's bar is lighter by a little.
    by_density = math.sqrt(DENSITY_KG_PER_M3 * 9.81 / 76.5e3)
    assert speed * by_density == pytest.approx(883, abs=0.5)


@pytest.mark.parametrize("length", [200.0, 400.0, 900.0])
def test_the_books_equation(length: float) -> None:
    inertia, area = math.pi * 22**4 / 64 * 1e-12, math.pi * 22**2 / 4 * 1e-6
    mass = DENSITY_KG_PER_M3 * area
    omega = (math.pi / (length * 1e-3)) ** 2 * math.sqrt(YOUNGS_MODULUS_GPA * 1e9 * inertia / mass)
    found = first_whirl_rpm([ShaftPiece("bar", 0, length, (Layer(22),))], length)
    assert found == pytest.approx(omega * 30 / math.pi, rel=1e-4)


def test_stepped_shaft_against_transfer_matrices() -> None:
    """Second route: y, its slope, moment and shear carried through each piece exactly."""
    pieces = (
        ShaftPiece("thin", 0, 120, (Layer(18),)),
        ShaftPiece("sleeved", 120, 260, (Layer(18), Layer(34, 18.1))),
        ShaftPiece("bar", 260, 400, (Layer(22),)),
    )

    def free_end(omega: float) -> float:
        state = np.eye(4)
        for piece in pieces:
            stiff = sum(y.bending_stiffness_nmm2 for y in piece.layers) * 1e-6  # N·m²
            mass = sum(y.mass_kg_per_mm for y in piece.layers) * 1e3  # kg/m
            rates = np.zeros((4, 4))
            rates[0, 1], rates[1, 2], rates[2, 3] = 1.0, 1.0 / stiff, 1.0
            rates[3, 0] = mass * omega**2
            state = expm(rates * piece.length_mm * 1e-3) @ state
        # Neither deflection nor moment at both ends.
        return float(np.linalg.det(state[np.ix_([0, 2], [1, 3])]))

    omega = brentq(free_end, 500.0, 4000.0)
    assert first_whirl_rpm(pieces, 400) == pytest.approx(omega * 30 / math.pi, rel=1e-3)


def test_half_the_first_critical_speed_is_allowed() -> None:
    bar = [ShaftPiece("bar", 40, 360, (Layer(22),))]
    first = first_whirl_rpm(bar, 400)
    assert Whirl(first, first / 2.01).holds
    assert not Whirl(first, first / 1.99).holds
    assert Whirl(first, first / 4).ratio == pytest.approx(4)


def test_what_cannot_be_asked() -> None:
    bar = [ShaftPiece("bar", 0, 400, (Layer(22),))]
    with pytest.raises(InvalidInput, match="length_mm: expected"):
        first_whirl_rpm(bar, -1)
    with pytest.raises(InvalidInput, match="pieces: expected one piece or more"):
        first_whirl_rpm([], 400)
    with pytest.raises(InvalidInput, match="expected bar to begin where bar ends"):
        first_whirl_rpm([*bar, ShaftPiece("bar", 300, 500, (Layer(22),))], 500)
