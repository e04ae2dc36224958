"""What a swept length may measure in the car while the points are right: its interval."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.parts import Corner
from kinematics.sure.correlated import Correlated
from kinematics.sure.measurands import Measurand, coordinates
from kinematics.sure.settling import HALF_WIDTH_95
from kinematics.sure.tape import Tape
from kinematics.sure.trial import Predictions, TrialMeasurement


@dataclass(frozen=True, slots=True)
class Expected:
    """The swept length at one travel, mm, and the 95 % half width of what a tape may read there.

    The errors of the points and that of the reading itself are both in it.
    """

    travel_mm: float
    swept_length_mm: float
    within_mm: float


def expected_swept(
    corner: Corner,
    travel_mm: Sequence[float],
    tape: Tape[Measurand] | None = None,
    *,
    correlated: Correlated | None = None,
) -> tuple[Expected, ...]:
    """The swept length at each travel with what the tape allows, wheel straight ahead.

    The law of propagation of uncertainty to first order (JCGM 100:2008, 5.1.2 and 5.2.2):
    variance = slopes · covariance · slopes, that of the reading added.  Travels out of
    reach are left out.
    """
    tape = tape or Tape()
    every = coordinates(corner)
    points = [place for place, one in enumerate(every) if one.axis is not None]
    chosen = [every[place] for place in points]
    errors = [tape.error_of(one.thing, one.axis, one.value_mm) for one in chosen]
    covariance = np.diag([error.standard_uncertainty_mm**2 for error in errors])
    if correlated is not None:
        columns, together = correlated.among(chosen)
        covariance[np.ix_(columns, columns)] = together
    asked = tuple(TrialMeasurement(one, 1.0) for one in travel_mm)
    model = Predictions(corner, every, tuple(points), asked)
    still = np.zeros(len(points))
    lengths = model.predicted(still[None])[0]
    seen = [place for place, length in enumerate(lengths) if np.isfinite(length)]
    # The class of the tape follows the length that is read.
    read = tuple(TrialMeasurement(travel_mm[n], float(lengths[n])) for n in seen)
    model = Predictions(corner, every, tuple(points), read)
    slopes, reading = model.slopes(still), model.uncertainty_mm()
    variance = np.einsum("ij,jk,ik->i", slopes, covariance, slopes) + reading**2
    half = HALF_WIDTH_95 * np.sqrt(variance)
    return tuple(
        Expected(one.travel, one.value, float(within))
        for one, within in zip(read, half, strict=True)
    )
