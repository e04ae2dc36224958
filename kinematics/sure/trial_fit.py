"""The trial fit: what was measured on the car against what the points predict.

With the spring out, the wheel is held at a few heights and either the distance
from the outer joint's centre to the inner joint's mid-stroke point is taken
with a telescoping dummy shaft, or the finished shaft's plunge is read from its
witness marks.  The doubtful points are then moved within their tape errors
until prediction and car agree best: generalised least squares, in which the
tape's reading of each coordinate counts as one more measurement
(least squares with observed unknowns).  The sum of squares that is left has,
if errors are what they are said to be, a chi-square distribution with as many
degrees of freedom as there are measurements on the car.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from kinematics.errors import InvalidInput, OutOfReach, Problem, invalid
from kinematics.linkage.motion import reach_of
from kinematics.parts import Corner
from kinematics.sure import adjustment
from kinematics.sure.correlated import Correlated
from kinematics.sure.measurands import LENGTH, Coordinate, Measurand, coordinates, require_known
from kinematics.sure.tape import Error, Tape
from kinematics.sure.trial import Predictions, TrialMeasurement, has_plunge
from kinematics.sure.variants import varied_corner
from kinematics.vectors import Array, read_only

# Two heights give a level and a slope, which almost any points agree with.
LEAST_HEIGHTS = 3
LEAST_STEP_MM = 5.0
# Agreement is doubted where so large a misfit would come up less often than this by chance.
LEAST_PROBABILITY = 0.05
# A measurement is named only where leaving out any other would leave so much more misfit,
# in standard uncertainties: the likelier of two would else be a guess.
SET_APART = 3.0
# Nor is one named where without it the others agree less often than this by chance.
LEAST_WITHOUT = 0.01
_LEFT_OUT = 1e6


@dataclass(frozen=True, slots=True)
class Residual:
    """One measurement against its prediction, mm, before and after the fit.

    ``standard_uncertainty_mm`` is of the measurement, the error of its travel
    included.  ``standardised`` is the size of the residual that every point within its
    error leaves, in standard uncertainties of itself; ``redundancy`` how far the others
    check it, 0 to 1.
    """

    measurement: TrialMeasurement
    before_mm: float
    after_mm: float
    standard_uncertainty_mm: float
    standardised: float
    redundancy: float

    @property
    def residual_before_mm(self) -> float:
        """Measured less predicted from the points as taken."""
        return self.measurement.value - self.before_mm

    @property
    def residual_mm(self) -> float:
        """Measured less predicted from the fitted points."""
        return self.measurement.value - self.after_mm


@dataclass(frozen=True, slots=True)
class FittedCoordinate:
    """One coordinate of a doubtful point, mm: as taken, as fitted, and how well that is known."""

    coordinate: Coordinate
    fitted_mm: float
    fitted_uncertainty_mm: float

    @property
    def change_mm(self) -> float:
        """How far the fit moved it."""
        return self.fitted_mm - self.coordinate.value_mm


@dataclass(frozen=True, slots=True, eq=False)
class TrialFit:
    """The outcome: the corner with fitted points, and how far to trust it.

    ``chi_square`` is the misfit that is left, ``probability`` that of one as
    large by chance alone.  ``covariance_mm2`` is that of ``coordinates`` after
    the fit: the points trade off against one another, so their uncertainties
    do not add up singly.  ``outlier`` is the place of the one measurement that seems
    misread.
    """

    fitted: Corner
    residuals: tuple[Residual, ...]
    outlier: int | None
    coordinates: tuple[FittedCoordinate, ...]
    chi_square: float
    degrees_of_freedom: int
    probability: float
    covariance_mm2: Array = field(repr=False)

    @property
    def correlated(self) -> Correlated:
        """The fitted coordinates with their covariance."""
        named = [one.coordinate for one in self.coordinates]
        return Correlated(tuple((one.thing, one.axis) for one in named), self.covariance_mm2)

    @property
    def agrees(self) -> bool:
        """Whether the car and the points agree within their errors."""
        return self.probability >= LEAST_PROBABILITY


def trial_fit(
    corner: Corner,
    measurements: Sequence[TrialMeasurement],
    tape: Tape[Measurand] | None = None,
    *,
    doubtful: Sequence[Measurand] = (),
    correlated: Correlated | None = None,
) -> TrialFit:
    """Fit the doubtful points to what was measured on the car.

    ``doubtful`` are the things that may move; none: every
    point of the linkage, the hub and the inner joint's mid-stroke, and the
    shaft's length where its plunge was measured.  The others keep their errors and
    their places.  A point whose error is a limit stays within it; ``correlated`` points,
    which rest on readings, err as these leave them.

    Raises InvalidInput for too few heights that agree with the points, or a measurement
    that the corner cannot predict; OutOfReach for a travel that the linkage cannot take.
    """
    tape = tape or Tape()
    heights = _heights(measurements)
    if not measurements:
        raise _too_few(heights)
    _require_reached(corner, measurements)
    every = coordinates(corner)
    require_known(doubtful, corner, "shaft", "doubtful")
    require_known((error.thing for error in tape.errors), corner, "tape", "errors")
    plunge = has_plunge(measurements)
    chosen, errors = [], []
    for column, one in enumerate(every):
        # A plunge hangs on the length that the shaft was really made to.
        counts = one.axis is not None or (plunge and one.thing == LENGTH) or one.thing in doubtful
        error = tape.error_of(one.thing, one.axis, one.value_mm)
        # What is known exactly is not doubtful, whatever it is called.
        if counts and error.size_mm > 0.0:
            chosen.append(column)
            errors.append(error)
    # What may not move errs all the same: it counts, and stays where it was taken.
    moving = [n for n, c in enumerate(chosen) if not doubtful or every[c].thing in doubtful]
    model = Predictions(corner, every, tuple(chosen), tuple(measurements))
    before = model.predicted(np.zeros((1, len(chosen))))[0]
    _require_predicted(measurements, before)
    if not np.any(np.abs(model.slopes(np.zeros(len(chosen)))[:, moving]) > 1e-9):
        got = ", ".join(map(str, doubtful)) or "none with an error"
        wanted = f"expected points that what was measured depends on, got {got}"
        raise invalid("doubtful", wanted, "shaft")
    known = model.uncertainty_mm()
    own = _Own.of([every[c] for c in chosen], errors, correlated)
    count = len(measurements)
    values = np.concatenate(([one.value for one in measurements], np.zeros(len(own.whitening))))

    def adjusted(sigma: Array) -> adjustment.Adjustment:
        return adjustment.adjust(
            lambda offsets: own.joined(
                model.predicted(offsets[None])[0], model.slopes(offsets), offsets
            ),
            values,
            np.concatenate((sigma, np.ones(len(own.whitening)))),
            own.sigma_mm,
            limits=own.limits_mm,
        )

    found = adjusted(known)
    offsets = np.zeros(len(chosen))
    offsets[moving] = found.offsets[moving]
    after = model.predicted(offsets[None])[0]
    covariance = found.covariance[np.ix_(moving, moving)]
    redundancy = found.redundancy[:count]
    sizes = adjustment.standardised(found.residuals[:count] / known, redundancy)
    outlier = _standing_out(sizes, redundancy)
    if outlier is not None:
        # Weighed as nothing it is left out.
        without = np.where(np.arange(count) == outlier, _LEFT_OUT * known, known)
        if adjustment.chance_of_misfit(adjusted(without).misfit, count - 1) < LEAST_WITHOUT:
            outlier = None
    probability = adjustment.chance_of_misfit(found.misfit, count)
    # Few heights cannot vouch for the points, but one is enough to contradict them.
    if heights < LEAST_HEIGHTS and probability >= LEAST_PROBABILITY:
        raise _too_few(heights)
    return TrialFit(
        fitted=varied_corner(corner, [every[chosen[n]] for n in moving], offsets[moving]),
        residuals=tuple(
            Residual(one, *(float(number) for number in numbers))
            for one, *numbers in zip(
                measurements, before, after, known, sizes, redundancy, strict=True
            )
        ),
        outlier=outlier,
        coordinates=tuple(
            FittedCoordinate(
                every[chosen[n]],
                every[chosen[n]].value_mm + float(offsets[n]),
                float(np.sqrt(found.covariance[n, n])),
            )
            for n in moving
        ),
        chi_square=found.misfit,
        degrees_of_freedom=count,
        probability=probability,
        covariance_mm2=read_only(covariance),
    )


def _standing_out(sizes: Array, redundancy: Array) -> int | None:
    """The measurement that stands out, None where none does or another could be it as well."""
    place = adjustment.suspicious(sizes, redundancy)
    if place is None:
        return None
    others = np.delete(sizes, place)
    # The misfit falls by the square of its size with a measurement left out.
    nearly = sizes[place] ** 2 - float(np.max(others, initial=0.0)) ** 2 < SET_APART**2
    return None if nearly else place


@dataclass(frozen=True, slots=True, eq=False)
class _Own:
    """How well each unknown counts as read by itself: by the tape, or together with others.

    Those that hang together have no uncertainty of their own here; ``whitening`` times
    the offsets makes independent numbers of them, each read as 0 ± 1.
    """

    sigma_mm: Array
    limits_mm: Array
    whitening: Array

    @classmethod
    def of(
        cls, chosen: Sequence[Coordinate], errors: Sequence[Error], together: Correlated | None
    ) -> _Own:
        sigma = np.array([error.standard_uncertainty_mm for error in errors])
        limits = np.array([e.size_mm if e.spread == "limit" else np.inf for e in errors])
        whitening = np.zeros((0, len(chosen)))
        columns, covariance = ([], np.zeros((0, 0))) if together is None else together.among(chosen)
        if columns:
            sigma[columns], limits[columns] = np.inf, np.inf
            whitening = np.zeros((len(columns), len(chosen)))
            whitening[:, columns] = np.linalg.inv(np.linalg.cholesky(covariance))
        return cls(sigma, limits, whitening)

    def joined(self, predicted: Array, slopes: Array, offsets: Array) -> adjustment.Prediction:
        """What was measured on the car, and after it the numbers read together."""
        return adjustment.Prediction(
            np.concatenate((predicted, self.whitening @ offsets)),
            np.concatenate((slopes, self.whitening)),
        )


def _heights(measurements: Sequence[TrialMeasurement]) -> int:
    """At how many heights, far enough apart, something was measured."""
    heights = 0
    last = -np.inf
    for travel in sorted(one.travel for one in measurements):
        if travel - last >= LEAST_STEP_MM:
            heights, last = heights + 1, travel
    return heights


def _too_few(heights: int) -> InvalidInput:
    return invalid(
        "trial",
        f"expected measurements at {LEAST_HEIGHTS} heights or more, {LEAST_STEP_MM:g} mm apart or "
        f"further, got {heights}: two heights agree with almost any points",
        "shaft",
    )


def _require_reached(corner: Corner, measurements: Sequence[TrialMeasurement]) -> None:
    if corner.shaft.length is None and has_plunge(measurements):
        wanted = "expected the length of the shaft whose plunge was measured"
        raise invalid("length", wanted, "shaft")
    limits = reach_of(corner.linkage, corner.hub)
    for one in measurements:
        if not limits.lowest_mm <= one.travel <= limits.highest_mm:
            raise OutOfReach("travel", one.travel, limits.lowest_mm, limits.highest_mm, "mm")


def _require_predicted(measurements: Sequence[TrialMeasurement], predicted: Array) -> None:
    problems = [
        Problem(
            "trial",
            f"expected a steer angle and a length that the corner can take at travel "
            f"{one.travel:g} mm, steer {one.steer:g} deg",
            "shaft",
        )
        for one, value in zip(measurements, predicted, strict=True)
        if not np.isfinite(value)
    ]
    if problems:
        raise InvalidInput(problems)
