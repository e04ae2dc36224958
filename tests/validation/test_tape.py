"""Accuracy class II of a tape measure.

Source: Directive 2014/32/EU (Measuring Instruments Directive), annex on material
measures of length: maximum permissible error a + b L with a = 0.3 mm and
b = 0.2 mm for class II, L in metres rounded up to whole ones; 0.2 mm more where
one terminal is a surface.  A rectangular spread's standard uncertainty is
limit/√3 (JCGM 100:2008, 4.3.7).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from kinematics.errors import InvalidInput
from kinematics.sure.measurands import LENGTH, OUTER_JOINT, WHEEL_CENTRE
from kinematics.sure.tape import Error, Tape, TapeError, class_ii_limit_mm


@pytest.mark.parametrize(
    ("length_mm", "limit_mm"),
    [(1.0, 0.5), (400.0, 0.5), (1000.0, 0.5), (1000.1, 0.7), (2000.0, 0.7), (5000.0, 1.3)],
)
def test_maximum_permissible_error(length_mm: float, limit_mm: float) -> None:
    assert class_ii_limit_mm(length_mm, to_surface=False) == pytest.approx(limit_mm, abs=1e-12)
    assert class_ii_limit_mm(length_mm) == pytest.approx(limit_mm + 0.2, abs=1e-12)
    assert class_ii_limit_mm(-length_mm) == class_ii_limit_mm(length_mm)


def test_rectangular_standard_uncertainty() -> None:
    assert Error(0.7).standard_uncertainty_mm == pytest.approx(0.7 / math.sqrt(3))
    assert Error(0.7, "sigma").standard_uncertainty_mm == 0.7


@pytest.mark.parametrize("spread", ["limit", "sigma"])
def test_drawn_errors_have_that_standard_uncertainty(spread: str) -> None:
    error = Error(2.0, "limit" if spread == "limit" else "sigma")
    drawn = error.drawn(np.random.default_rng(5), 100_000)
    assert drawn.std() == pytest.approx(error.standard_uncertainty_mm, rel=0.01)
    assert drawn.mean() == pytest.approx(0.0, abs=0.02)
    assert (np.abs(drawn) <= 2.0).all() == (spread == "limit")


def test_named_error_then_general_limit_then_class_ii() -> None:
    named = TapeError(OUTER_JOINT, (1.0, 2.0, 5.0))
    assert Tape(errors=(named,)).error_of(OUTER_JOINT, 2, 0.0) == Error(5.0)
    assert Tape(1.5, (named,)).error_of(WHEEL_CENTRE, 0, 716.0) == Error(1.5)
    assert Tape().error_of(WHEEL_CENTRE, 0, 1716.0) == Error(0.9)
    alike = TapeError(LENGTH, (0.4,), "sigma")
    assert Tape(errors=(alike,)).error_of(LENGTH, None, 391.0) == Error(0.4, "sigma")


@pytest.mark.parametrize(("size", "message"), [((-1.0,), "0 or more"), ((1.0, 2.0), "one number")])
def test_refused_errors(size: tuple[float, ...], message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        TapeError(OUTER_JOINT, size)


def test_a_thing_is_named_once() -> None:
    twice = (TapeError(OUTER_JOINT, (1.0,)), TapeError(OUTER_JOINT, (2.0,)))
    with pytest.raises(InvalidInput, match="outer_joint of hub once"):
        Tape(errors=twice)


def test_a_spread_is_a_limit_or_a_standard_deviation() -> None:
    with pytest.raises(InvalidInput, match=r"spread: expected limit .* or sigma"):
        TapeError(OUTER_JOINT, (1.0,), "often")  # type: ignore[arg-type]
