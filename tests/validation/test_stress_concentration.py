"""Stress concentration in torsion, each rule against another one for the same notch.

Shoulder fillet: R. L. Norton, *Machine Design* (fit to Peterson) against W. C. Young,
*Roark's Formulas for Stress and Strain*, 6th edition, table 37 (fit to Peterson): both from
memory. Groove: H. Neuber's rule against Norton's fit to Peterson; both from memory.
"""

from __future__ import annotations

import math

import pytest

from kinematics.errors import InvalidInput
from kinematics.making.concentration import groove_factor, shoulder_factor


def roark_shoulder(large: float, small: float, radius: float) -> float:
    """For steps of 0.25 to 4 radii."""
    step = (large - small) / 2
    s, root = step / radius, math.sqrt(step / radius)
    x = 2 * step / large
    return (
        (0.905 + 0.783 * root - 0.075 * s)
        + (-0.437 - 1.969 * root + 0.553 * s) * x
        + (1.557 + 1.073 * root - 0.578 * s) * x**2
        + (-1.061 + 0.171 * root + 0.086 * s) * x**3
    )


@pytest.mark.parametrize("ratio", [1.09, 1.15, 1.2, 1.33, 1.6, 2.0])
@pytest.mark.parametrize("slender", [0.05, 0.08, 0.12, 0.2])
def test_shoulder_fillet(ratio: float, slender: float) -> None:
    step = (ratio - 1) / 2 / slender
    if not 0.25 <= step <= 4:
        assert shoulder_factor(ratio, 1.0, slender) >= 1.0
        return
    # Two fits to one family of curves, read by eye: they differ by up to 9 %,
    # most at the smallest step.
    assert shoulder_factor(ratio * 25, 25.0, slender * 25) == pytest.approx(
        roark_shoulder(ratio, 1.0, slender), rel=0.09
    )


@pytest.mark.parametrize(
    ("ratio", "a", "b"),
    [(2.0, 0.89035, -0.24075), (1.3, 0.89460, -0.23267), (1.1, 0.92311, -0.19740)],
)
@pytest.mark.parametrize("slender", [0.03, 0.05, 0.1, 0.2])
def test_groove(ratio: float, a: float, b: float, slender: float) -> None:
    assert groove_factor(ratio * 25, 25.0, slender * 25) == pytest.approx(a * slender**b, rel=0.07)


@pytest.mark.parametrize("rule", [shoulder_factor, groove_factor])
def test_rules_behave(rule: object) -> None:
    assert rule in (shoulder_factor, groove_factor)
    factor = shoulder_factor if rule is shoulder_factor else groove_factor
    assert factor(25, 25, 1) == 1.0
    assert factor(25, 24.99, 1) < factor(25, 24, 1) < factor(26, 24, 1) < factor(30, 24, 1)
    assert factor(30, 24, 0.5) > factor(30, 24, 1) > factor(30, 24, 3) > 1.0
    assert factor(30, 24, 1000) == pytest.approx(1.0, abs=0.01)
    assert factor(80, 24, 1) >= factor(48, 24, 1)
    with pytest.raises(InvalidInput, match="small_mm"):
        factor(24, 25, 1)
    with pytest.raises(InvalidInput, match="radius_mm"):
        factor(25, 24, 0)
