"""C. D. Ghilani, *Adjustment Computations*, chapter 14, example 14.2: a point by three distances.

Data as the chapter gives them, from memory; figures recomputed apart, to the digits below.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from kinematics.sure.adjustment import Prediction, adjust
from kinematics.sure.measurands import Measurand
from kinematics.sure.reading_values import CarPoint, ReadingValues
from kinematics.sure.readings import Reading
from kinematics.vectors import Array

KNOWN = {"A": (865.40, 4527.15), "B": (2432.55, 2047.25), "C": (2865.22, 27.15)}
DISTANCES = {"A": 6049.00, "B": 4736.83, "C": 5446.49}
START = (6865.0, 3730.0)


def test_trilateration() -> None:
    still = (0.0, 0.0, 0.0)
    points = [
        CarPoint(name, Measurand("mark", name), (*at, 0.0), still)
        for name, at in (KNOWN | {"U": START}).items()
    ]
    readings = [Reading("distance", (n, "U"), d, math.sqrt(3.0)) for n, d in DISTANCES.items()]
    values = ReadingValues(points, readings)
    free = slice(9, 11)

    def predict(offsets: Array) -> Prediction:
        every = np.zeros(12)
        every[free] = offsets
        found = values(every)
        return Prediction(found.values, found.slopes[:, free])

    sigma = np.array([one.standard_uncertainty for one in readings])
    assert sigma == pytest.approx([1.0, 1.0, 1.0])
    found = adjust(predict, np.array(list(DISTANCES.values())), sigma, np.full(2, np.inf))
    at = np.add(START, found.offsets)
    assert at == pytest.approx([6861.3168, 3727.8186], abs=5e-5)
    # The chapter's misfits are computed less observed.
    assert -found.residuals == pytest.approx([-0.0374, 0.0768, -0.0474], abs=5e-5)
    spread = math.sqrt(found.misfit / 1.0)
    assert spread == pytest.approx(0.0977, abs=5e-5)
    uncertainties = spread * np.sqrt(np.diag(found.covariance))
    assert uncertainties == pytest.approx([0.0775, 0.1542], abs=5e-5)
    assert found.redundancy.sum() == pytest.approx(1.0)
