"""J. M. Gere & B. J. Goodno, *Mechanics of Materials*, 7th edition, chapter 3.

Problems 3.3-7, 3.5-3, 3.8-11 and 3.8-13 with the answers as the book prints them, in
inches, pounds and psi; the tolerance is the last printed digit.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from kinematics.making.torsion import (
    polar_moment_mm4,
    shear_stress_mpa,
    torque_shares,
    torsional_stiffness_nm2,
    twist_deg,
)

IN = 25.4
LBF = 4.4482216152605
PSI = LBF / IN**2  # MPa
LB_IN = LBF * IN * 1e-3  # N·m


def test_3_3_7_tube() -> None:
    moment = float(polar_moment_mm4(1.75 * IN, 1.25 * IN))
    assert moment / IN**4 == pytest.approx(0.681, abs=5e-4)
    stress = float(shear_stress_mpa(6200 * LB_IN, 1.75 * IN, 1.25 * IN))
    assert stress / PSI == pytest.approx(7965, abs=1)


def test_3_5_3_hollow_shaft() -> None:
    # The book asks for the bore; put in, it must give the allowed stress and the twist.
    outer, torque = 4.0, 70_000.0
    bore = (outer**4 - 16 * torque * outer / (math.pi * 6400)) ** 0.25
    assert bore == pytest.approx(2.40, abs=5e-3)
    stress = float(shear_stress_mpa(torque * LB_IN, outer * IN, bore * IN))
    assert stress / PSI == pytest.approx(6400, rel=1e-12)
    twist = twist_deg(torque * LB_IN, 48 * IN, outer * IN, bore * IN, 4e6 * PSI * 1e-3)
    assert float(twist) == pytest.approx(2.20, abs=1e-2)


def test_3_8_11_bar_in_tube() -> None:
    modulus = 11.6e6 * PSI * 1e-3
    outer, bore = np.array([1.50, 2.25]) * IN, np.array([0.0, 1.75]) * IN
    stiffness = torsional_stiffness_nm2(outer, bore, modulus)
    torque = 5000 * torque_shares(stiffness)
    assert torque == pytest.approx([1187.68, 3812.32], abs=5e-3)
    assert shear_stress_mpa(torque * LB_IN, outer, bore) / PSI == pytest.approx([1790, 2690], abs=5)
    twist = twist_deg(torque * LB_IN, 30 * IN, outer, bore, modulus)
    assert twist == pytest.approx([0.354, 0.354], abs=5e-4)
    whole = float(np.sum(stiffness)) / (30 * IN * 1e-3) / LB_IN
    assert whole / 1e3 == pytest.approx(809, abs=1)  # kip·in


def test_3_8_13_steel_sleeve_on_a_brass_bar() -> None:
    outer, bore = np.array([1.6, 2.0]) * IN, np.array([0.0, 1.6]) * IN
    modulus = np.array([5400, 12000]) * 1e3 * PSI * 1e-3
    shares = torque_shares(torsional_stiffness_nm2(outer, bore, modulus))
    assert shares == pytest.approx([0.237918, 0.762082], abs=5e-7)
    alone = np.array([4500, 7500]) * PSI / shear_stress_mpa(LB_IN, outer, bore) * 1e-3
    assert alone / shares == pytest.approx([15.21, 9.13], abs=5e-3)
