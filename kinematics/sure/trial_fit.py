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

from kinematics.errors import InvalidInput, OutOfReach, Problem
from kinematics.linkage.motion import reach_of
from kinematics.parts import Corner
from kinematics.sure.correlated import Correlated
from kinematics.sure.tape import Error, Tape
from kinematics.sure.trial import Predictions, TrialMeasurement, has_plunge
from kinematics.sure.variants import Coordinate, coordinates, moved, require_known
from kinematics.vectors import Array, read_only

# Two heights give a level and a slope; only the third can disagree with the points.
LEAST_HEIGHTS = 3
LEAST_STEP_MM = 5.0
# Agreement is doubted where so large a misfit would come up less often than this by chance.
LEAST_PROBABILITY = 0.05
# Beyond this many standard uncertainties a single measurement stands out.
OUTLIER = 2.5


@dataclass(frozen=True, slots=True)
class Residual:
    """One measurement against its prediction, mm, before and after the fit.

    ``standard_uncertainty_mm`` is of the measurement, the error of its travel
    included; ``normalised`` is the residual after the fit in units of it.
    """

    measurement: TrialMeasurement
    before_mm: float
    after_mm: float
    standard_uncertainty_mm: float

    @property
    def residual_before_mm(self) -> float:
        """Measured less predicted from the points as taken."""
        return self.measurement.value - self.before_mm

    @property
    def residual_mm(self) -> float:
        """Measured less predicted from the fitted points."""
        return self.measurement.value - self.after_mm

    @property
    def normalised(self) -> float:
        """The residual after the fit, in standard uncertainties."""
        return self.residual_mm / self.standard_uncertainty_mm


@dataclass(frozen=True, slots=True)
class FittedCoordinate:
    """One coordinate of a doubtful point, mm: as taken, as fitted, and how well each is known."""

    coordinate: Coordinate
    fitted_mm: float
    taken_uncertainty_mm: float
    fitted_uncertainty_mm: float

    @property
    def change_mm(self) -> float:
        """How far the fit moved it."""
        return self.fitted_mm - self.coordinate.value_mm


@dataclass(frozen=True, slots=True, eq=False)
class TrialFit:
    """The outcome: the corner with fitted points beside the one given, and how far to trust it.

    ``chi_square`` is the misfit that is left, ``probability`` that of one as
    large by chance alone.  ``covariance_mm2`` is that of ``coordinates`` after
    the fit: the points trade off against one another, so their uncertainties
    do not add up singly.
    """

    given: Corner
    fitted: Corner
    residuals: tuple[Residual, ...]
    coordinates: tuple[FittedCoordinate, ...]
    chi_square: float
    degrees_of_freedom: int
    probability: float
    covariance_mm2: Array = field(repr=False)

    @property
    def correlated(self) -> Correlated:
        """The fitted coordinates with their covariance."""
        named = [one.coordinate for one in self.coordinates]
        return Correlated(tuple((one.thing, one.place) for one in named), self.covariance_mm2)

    @property
    def agrees(self) -> bool:
        """Whether the car and the points agree within their errors."""
        return self.probability >= LEAST_PROBABILITY

    @property
    def outliers(self) -> tuple[Residual, ...]:
        """Measurements that the fitted points still miss by far, worst first."""
        beyond = [one for one in self.residuals if abs(one.normalised) > OUTLIER]
        return tuple(sorted(beyond, key=lambda one: -abs(one.normalised)))


def trial_fit(
    corner: Corner,
    measurements: Sequence[TrialMeasurement],
    tape: Tape | None = None,
    *,
    doubtful: Sequence[str] = (),
    shaft: str = "shafts.left",
) -> TrialFit:
    """Fit the doubtful points to what was measured on the car.

    ``doubtful`` names things by their path in the scene; none named: every
    point of the linkage, the hub and the inner joint's mid-stroke, and the
    shaft's length where its plunge was measured.  A point whose error is a limit
    stays within it.

    Raises InvalidInput for too little data, or a measurement that the corner
    cannot predict; OutOfReach for a travel that the linkage cannot take.
    """
    tape = tape or Tape()
    _require_enough(corner, measurements)
    every = coordinates(corner, shaft)
    require_known([*doubtful, *(error.thing for error in tape.errors)], corner, shaft, "doubtful")
    # A plunge hangs on the length that the shaft was really made to.
    things = doubtful or [
        one.thing
        for one in every
        if one.point or (one.thing == f"{shaft}.length" and has_plunge(measurements))
    ]
    chosen = [column for column, one in enumerate(every) if one.thing in things]
    errors = [tape.error_of(every[c].thing, every[c].place, every[c].value_mm) for c in chosen]
    # What is known exactly is not doubtful, whatever it is called.
    kept = [place for place, error in enumerate(errors) if error.size_mm > 0.0]
    chosen, errors = [chosen[place] for place in kept], [errors[place] for place in kept]
    prior = np.array([error.standard_uncertainty_mm for error in errors])
    model = Predictions(corner, every, tuple(chosen), tuple(measurements))
    before = model.predicted(np.zeros((1, len(chosen))))[0]
    _require_predicted(measurements, before)
    slopes = model.slopes(np.zeros(len(chosen)))
    if not np.any(np.abs(slopes) > 1e-9):
        raise InvalidInput(
            [
                Problem(
                    "doubtful",
                    "expected points that what was measured depends on, got "
                    + (", ".join(doubtful) or "none with an error"),
                )
            ]
        )
    known = model.uncertainty_mm()
    values = np.array([one.value for one in measurements])
    offsets = _least_squares(model, values, known, prior, errors)
    after = model.predicted(offsets[None])[0]
    misfit = float(np.sum(((values - after) / known) ** 2) + np.sum((offsets / prior) ** 2))
    slopes = model.slopes(offsets)
    precision = slopes.T @ (slopes / known[:, None] ** 2) + np.diag(prior**-2.0)
    covariance: Array = np.asarray(np.linalg.inv(precision), dtype=np.float64)
    # A third of a second to import, and only a trial fit needs it.
    from scipy.special import gammaincc  # noqa: PLC0415

    return TrialFit(
        given=corner,
        fitted=moved(corner, [every[c] for c in chosen], offsets),
        residuals=tuple(
            Residual(one, float(was), float(now), float(sigma))
            for one, was, now, sigma in zip(measurements, before, after, known, strict=True)
        ),
        coordinates=tuple(
            FittedCoordinate(
                every[column],
                every[column].value_mm + float(offset),
                float(taken),
                float(np.sqrt(variance)),
            )
            for column, offset, taken, variance in zip(
                chosen, offsets, prior, np.diag(covariance), strict=True
            )
        ),
        chi_square=misfit,
        degrees_of_freedom=len(measurements),
        probability=float(gammaincc(0.5 * len(measurements), 0.5 * misfit)),
        covariance_mm2=read_only(covariance),
    )


def _require_enough(corner: Corner, measurements: Sequence[TrialMeasurement]) -> None:
    heights = 0
    last = -np.inf
    for travel in sorted(one.travel for one in measurements):
        if travel - last >= LEAST_STEP_MM:
            heights, last = heights + 1, travel
    if heights < LEAST_HEIGHTS:
        raise InvalidInput(
            [
                Problem(
                    "trial_fit",
                    f"expected measurements at {LEAST_HEIGHTS} heights or more, "
                    f"{LEAST_STEP_MM:g} mm apart or further, got {heights}: "
                    "two heights agree with almost any points",
                )
            ]
        )
    if corner.shaft.length is None and has_plunge(measurements):
        raise InvalidInput(
            [Problem("length", "expected the length of the shaft whose plunge was measured")]
        )
    limits = reach_of(corner.linkage, corner.hub)
    for one in measurements:
        if not limits.lowest_mm <= one.travel <= limits.highest_mm:
            raise OutOfReach("travel", one.travel, limits.lowest_mm, limits.highest_mm, "mm")


def _require_predicted(measurements: Sequence[TrialMeasurement], predicted: Array) -> None:
    problems = [
        Problem(
            "trial_fit",
            f"expected a steer angle and a length that the corner can take at travel "
            f"{one.travel:g} mm, steer {one.steer:g} deg",
        )
        for one, value in zip(measurements, predicted, strict=True)
        if not np.isfinite(value)
    ]
    if problems:
        raise InvalidInput(problems)


def _least_squares(
    model: Predictions, values: Array, known: Array, prior: Array, errors: Sequence[Error]
) -> Array:
    """Offsets of the chosen coordinates, mm, that leave the least misfit."""
    from scipy.optimize import least_squares  # noqa: PLC0415

    # In standard uncertainties, so that all unknowns are of one size.
    bounds = np.array(
        [
            error.size_mm / sigma if error.spread == "limit" else np.inf
            for error, sigma in zip(errors, prior, strict=True)
        ]
    )

    def misfit(unknown: Array) -> Array:
        predicted = model.predicted((unknown * prior)[None])[0]
        return np.concatenate(((values - np.nan_to_num(predicted)) / known, unknown))

    def slopes(unknown: Array) -> Array:
        own = -model.slopes(unknown * prior) * prior / known[:, None]
        return np.concatenate((np.nan_to_num(own), np.eye(len(prior))))

    found = least_squares(misfit, np.zeros(len(prior)), jac=slopes, bounds=(-bounds, bounds))
    offsets: Array = np.asarray(found.x * prior, dtype=np.float64)
    return offsets
