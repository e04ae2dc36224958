"""Propagation of uncertainty against the examples of the guides.

Sources: JCGM 100:2008 (GUM), H.1, end-gauge calibration: components of 25, 9.7,
2.9 and 16.6 nm make 32 nm to first order (printed).  JCGM 101:2008, 9.2: the sum of
four inputs of unit standard deviation has the 95 % interval ±3.92 where they
are normal (9.2.2) and ±3.88 where they are rectangular (9.2.3; exact
2√3(2 − (3/5)^¼) = 3.87941, against ±3.92 by the law of propagation); values
from memory, recomputed.

A corner that does not move, with its shaft along the housing axis, is such a
sum: the shortest length is outer joint less mid-stroke less stroke, and less by
what the shaft is made too long.
"""

from __future__ import annotations

import math

import pytest

from kinematics.parts import Corner, Hub, InnerJoint, OuterJoint, Shaft, Strut, Travel
from kinematics.sure.certainty import Estimate, certainty
from kinematics.sure.measurands import LENGTH, MID_STROKE, OUTER_JOINT, STROKE_OUT
from kinematics.sure.tape import Spread, Tape, TapeError

DRAWS = 60_000

STILL = Corner(
    linkage=Strut((350, 200, 0), (680, 190, 0), (590, 780, 0), (650, 350, 0)),
    hub=Hub((660, 300, 0), (720, 300, 0)),
    travel=Travel(0, 0),
    shaft=Shaft(InnerJoint((260, 300, 0), 20, 20, 22), OuterJoint(45), 400.0),
)


def shortest_of_sum(sizes: tuple[float, float, float, float], spread: Spread) -> Estimate:
    outer, mid, stroke, made = sizes
    tape = Tape(
        0.0,
        (
            TapeError(OUTER_JOINT, (outer, 0.0, 0.0), spread),
            TapeError(MID_STROKE, (mid, 0.0, 0.0), spread),
            TapeError(STROKE_OUT, (stroke,), spread),
            TapeError(LENGTH, (made,), spread),
        ),
    )
    return certainty(STILL, tape, draws=DRAWS).shortest


def test_jcgm_100_h1_combined_standard_uncertainty() -> None:
    # Nanometres there, hundredths of a millimetre here.
    found = shortest_of_sum((0.25, 0.097, 0.029, 0.166), "sigma")
    assert found.first_order_mm is not None
    assert 100 * found.first_order_mm == pytest.approx(32, abs=0.5)
    assert 100 * found.standard_uncertainty_mm == pytest.approx(32, abs=0.5)


def test_jcgm_101_9_2_2_sum_of_four_normal() -> None:
    found = shortest_of_sum((1, 1, 1, 1), "sigma")
    assert found.first_order_mm == pytest.approx(2.0, abs=1e-9)
    assert found.low_mm - found.value_mm == pytest.approx(-3.92, abs=0.06)
    assert found.high_mm - found.value_mm == pytest.approx(3.92, abs=0.06)


def test_jcgm_101_9_2_3_sum_of_four_rectangular() -> None:
    root = math.sqrt(3)
    found = shortest_of_sum((root, root, root, root), "limit")
    exact = 2 * root * (2 - 0.6**0.25)
    assert exact == pytest.approx(3.87941, abs=5e-6)
    assert found.first_order_mm == pytest.approx(2.0, abs=1e-9)
    # 60 000 draws leave a standard deviation of 0.015 in either end.
    assert found.low_mm - found.value_mm == pytest.approx(-exact, abs=0.05)
    assert found.high_mm - found.value_mm == pytest.approx(exact, abs=0.05)


def test_ride_centred_length_of_two_rectangular_is_a_triangle() -> None:
    # Limits of 1 mm each: the difference is triangular, 95 % inside 2(1 - √0.05).
    tape = Tape(
        0.0,
        (
            TapeError(OUTER_JOINT, (1.0, 0.0, 0.0)),
            TapeError(MID_STROKE, (1.0, 0.0, 0.0)),
        ),
    )
    found = certainty(STILL, tape, draws=DRAWS).ride_centred
    exact = 2 * (1 - math.sqrt(0.05))
    assert found.value_mm == 400.0
    assert found.low_mm == pytest.approx(400 - exact, abs=0.025)
    assert found.high_mm == pytest.approx(400 + exact, abs=0.025)
    assert found.first_order_mm == pytest.approx(math.sqrt(2 / 3), abs=1e-9)
