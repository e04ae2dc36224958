"""A joint bent in two planes at once: spherical law of cosines, any handbook of mathematics."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.parts import InnerJoint
from kinematics.shaft.following import reaching
from kinematics.vectors import Vec


def compound_angle_deg(front_deg: float, above_deg: float) -> float:
    """What the inner joint bends to, its shaft leading so far up and so far forward."""
    a, b = math.radians(front_deg), math.radians(above_deg)
    outer = (400 * math.cos(a) * math.cos(b), 400 * math.sin(a) * math.cos(b), 400 * math.sin(b))
    joint = InnerJoint(mid_stroke=(0, 0, 0), stroke_in=20, stroke_out=20, max_angle=89)
    return math.degrees(float(reaching(joint, Vec.of(outer)).inner_angle_rad(0.0)))


def test_compound_angle_of_perpendicular_bends() -> None:
    assert compound_angle_deg(10, 40) == pytest.approx(41.02646, abs=5e-6)


@given(st.floats(-89, 89), st.floats(-89, 89))
def test_compound_angle_by_the_law_of_cosines(front: float, above: float) -> None:
    cosine = math.cos(math.radians(front)) * math.cos(math.radians(above))
    # The law loses digits of small angles: hence the tolerance.
    assert compound_angle_deg(front, above) == pytest.approx(
        math.degrees(math.acos(cosine)), abs=2e-6
    )
