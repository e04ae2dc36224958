"""Least squares with observed unknowns: what was observed against what the unknowns give.

Every unknown is an offset from a value that was itself read, with its own
standard uncertainty, and counts as one more observation.  Minimised is the sum
of (residual / standard uncertainty)² over observations and unknowns, by the
method of Gauss and Newton, with the observations' curvature where it is known,
damped after Levenberg where a step would make it worse.  The covariance is the
inverse normal matrix at the solution.

Redundancy number of an observation: 1 less its share of the hat matrix, from 0
(nothing else checks it) to 1.  Standardised residual: |residual| / (standard
uncertainty · √redundancy), after W. Baarda, *A testing procedure for use in
geodetic networks* (1968).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinematics.errors import KinematicsError
from kinematics.vectors import Array, read_only


@dataclass(frozen=True, slots=True, eq=False)
class Prediction:
    """What some unknowns give: values (observations,) and slopes (observations, unknowns).

    ``curvature`` takes a factor for each observation and gives the sum of their second
    derivatives times these, as far as they are known; None: taken as straight.
    """

    values: Array
    slopes: Array
    curvature: Callable[[Array], Array] | None = None


Predict = Callable[[Array], Prediction]

# Two-sided 0.1 % of a normal distribution (Baarda), and the least redundancy that can tell.
CRITICAL = 3.29
LEAST_REDUNDANCY = 0.01
_MOST_STEPS = 200
_SETTLED = 1e-8
_NEARLY_SETTLED = 1e-2
# Below this a redundancy number is rounding.
_LEAST_TOLD = 1e-9
_FIRST_DAMPING = 1e-3
_TOO_FAR_APART = "the errors of the readings lie too far apart to be adjusted together"
# A cost that rounding alone moves has not become worse.
_ROUNDING = 1e-12


class NotSettled(KinematicsError):
    """Observations that no values near those read come close to."""


class TooFarApart(NotSettled):
    """Observations of which some are so much finer than others that numbers do not reach."""


@dataclass(frozen=True, slots=True, eq=False)
class Adjustment:
    """The unknowns that leave the least misfit, and how well each thing is known.

    ``offsets`` are the unknowns, ``covariance`` theirs; ``residuals`` are observed
    less predicted.  ``misfit`` sums the squared residuals of observations and
    unknowns in standard uncertainties.  ``own_redundancy`` is that of the reading
    of each unknown itself.
    """

    offsets: Array
    covariance: Array
    residuals: Array
    redundancy: Array
    own_redundancy: Array
    misfit: float


def standardised(normalised: Array, redundancy: Array) -> Array:
    """Sizes of residuals, given in standard uncertainties, in those of the residuals."""
    told = redundancy > _LEAST_TOLD
    own = np.sqrt(np.where(told, redundancy, 1.0))
    return read_only(np.where(told, np.abs(normalised) / own, 0.0))


def suspicious(sizes: Array, redundancy: Array) -> int | None:
    """The observation that seems misread: only the largest, for the others lean on it.

    That is where its standardised residual is above what chance leaves, else None.
    """
    checked = np.where(redundancy > LEAST_REDUNDANCY, sizes, 0.0)
    largest = int(checked.argmax()) if checked.size else 0
    return largest if checked.size and checked[largest] > CRITICAL else None


def adjust(
    predict: Predict,
    observed: Array,
    sigma: Array,
    own_sigma: Array,
    *,
    limits: Array | None = None,
) -> Adjustment:
    """The adjustment; ``own_sigma`` is of each unknown's own reading, infinite where it has none.

    ``predict`` takes offsets and gives NaN where something cannot be predicted.
    ``limits`` holds every offset within as much each way.
    Raises NotSettled where no solution is found.
    """
    count = len(own_sigma)
    weights, own_weights = sigma**-2.0, own_sigma**-2.0
    offsets = np.zeros(count)
    here = predict(offsets)
    damping, step = 0.0, np.full(count, np.inf)

    def misfit(values: Array, at: Array) -> float:
        total = np.sum(weights * (observed - values) ** 2) + np.sum(own_weights * at**2)
        return float(total) if np.isfinite(total) else np.inf

    cost = misfit(here.values, offsets)
    if not np.isfinite(cost):
        raise NotSettled("the points as drawn give no value for what was observed")
    for _ in range(_MOST_STEPS):
        missing = weights * (observed - here.values)
        normal = here.slopes.T @ (weights[:, None] * here.slopes) + np.diag(own_weights)
        right = here.slopes.T @ missing - own_weights * offsets
        bent = normal if here.curvature is None else normal - here.curvature(missing)
        more = damping * np.diag(np.diag(normal))
        # Far off, what a long residual bends would lead uphill.
        matrix = bent + more if _positive(bent + more) else normal + more
        step = _step(matrix, right, offsets, limits)
        tried = offsets + step
        there = predict(tried)
        new_cost = misfit(there.values, tried)
        better = new_cost <= cost * (1.0 + _ROUNDING) + _ROUNDING
        if better and np.isfinite(there.slopes).all():
            offsets, here, cost = tried, there, new_cost
            damping = 0.1 * damping if damping > _FIRST_DAMPING else 0.0
        else:
            damping = max(10.0 * damping, _FIRST_DAMPING)
        if np.all(np.abs(step) <= _SETTLED * (1.0 + np.abs(offsets))):
            break
    else:
        # Along what hardly anything fixes the last hundredths come slowly.
        if not np.all(np.abs(step) <= _NEARLY_SETTLED):
            raise NotSettled(
                "the readings do not settle on points near those drawn: draw them nearer, or "
                "look for a reading that is far off"
            )
    slopes = here.slopes
    normal = slopes.T @ (weights[:, None] * slopes) + np.diag(own_weights)
    covariance = _inverse(normal)
    share = weights * np.einsum("ij,jk,ik->i", slopes, covariance, slopes, optimize=True)
    return Adjustment(
        offsets=read_only(offsets),
        covariance=read_only(0.5 * (covariance + covariance.T)),
        residuals=read_only(observed - here.values),
        redundancy=read_only(np.maximum(1.0 - share, 0.0)),
        own_redundancy=read_only(np.maximum(1.0 - own_weights * np.diag(covariance), 0.0)),
        misfit=cost,
    )


def _inverse(normal: Array) -> Array:
    """The inverse of a normal matrix; its diagonal is above 0 however far apart the weights are."""
    size = np.sqrt(np.diag(normal))
    try:
        root = np.linalg.inv(np.linalg.cholesky(normal / np.outer(size, size)))
    except np.linalg.LinAlgError as error:
        raise TooFarApart(_TOO_FAR_APART) from error
    return np.asarray((root.T @ root) / np.outer(size, size))


def _positive(matrix: Array) -> bool:
    try:
        np.linalg.cholesky(matrix)
    except np.linalg.LinAlgError:
        return False
    return True


def _step(normal: Array, right: Array, offsets: Array, limits: Array | None) -> Array:
    try:
        step: Array = np.asarray(np.linalg.solve(normal, right), dtype=np.float64)
    except np.linalg.LinAlgError as error:
        raise TooFarApart(_TOO_FAR_APART) from error
    if limits is None or np.all(np.abs(offsets + step) <= limits):
        return step
    # A third of a second to import, and only a fit that runs into a limit needs it.
    from scipy.optimize import lsq_linear  # noqa: PLC0415

    # The same normal equations as a least-squares problem: its root times the step.
    root = np.linalg.cholesky(normal).T
    found = lsq_linear(
        root,
        np.linalg.solve(root.T, right),
        bounds=(-limits - offsets - _ROUNDING, limits - offsets + _ROUNDING),
        method="bvls",
    )
    return np.asarray(found.x, dtype=np.float64)


def chance_of_misfit(misfit: float, degrees_of_freedom: int) -> float:
    """The chance of a misfit at least as large (chi-square); 1 for none.

    The upper incomplete gamma function of a half or a whole, in closed form: Q(1/2, x) is
    erfc(sqrt x), Q(1, x) is exp(-x), and Q(a + 1, x) = Q(a, x) + x^a exp(-x) / Gamma(a + 1)
    (M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, chapters 6.5 and 26.4).
    """
    if not degrees_of_freedom:
        return float(misfit <= 0.0)
    half = 0.5 * misfit
    odd = degrees_of_freedom % 2
    chance = math.erfc(math.sqrt(half)) if odd else math.exp(-half)
    for twice in range(2 - odd, degrees_of_freedom, 2):
        a = 0.5 * twice
        chance += math.exp(a * math.log(half) - half - math.lgamma(a + 1.0)) if half else 0.0
    return min(chance, 1.0)
