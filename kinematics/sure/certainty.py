"""How sure a length is, given how far each measured point can be trusted.

Monte Carlo over the closed forms (propagation of distributions, JCGM 101):
every measured number is drawn within its error, independently of the others,
and the whole motion is followed each time.  Beside it stands the law of
propagation of uncertainty to first order (JCGM 100, 5.1.2) as a check.

Not every position needs looking at: :mod:`kinematics.sure.critical_positions` finds
those that can set the answer, and each draw is followed to those that may be its worst.

What to measure again is ranked by share of variance.  The chance hangs on the
two window ends, each almost linear in the measured numbers, so the shares are
squared regression coefficients times variances, each end weighed by how often
it is the nearer to the length.  A variance-based index of the *distance to the nearer
end* would lose most of it to interaction: that distance has a kink where the
ends are equally near, which is just where a good length lies.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from kinematics.errors import invalid
from kinematics.parts import DEFAULT_MARGIN, Corner, Measured
from kinematics.sure.correlated import NOTHING, Correlated, symmetric_root
from kinematics.sure.critical_positions import critical_positions
from kinematics.sure.measurands import Coordinate, Measurand, coordinates, require_known
from kinematics.sure.sampling import CriticalPositions, SampledAnswers, answers
from kinematics.sure.tape import Error, Tape
from kinematics.sure.variants import Variants
from kinematics.vectors import Array, read_only

if TYPE_CHECKING:
    from kinematics.sure.misread import Misread

DRAWS = 20_000
SEED = 1
COVERAGE = 0.95
# As many draws are kept for whoever asks what else would change them.
KEPT_DRAWS = 4_000


@dataclass(frozen=True, slots=True)
class Estimate:
    """One result with its uncertainty, mm.

    ``low_mm`` to ``high_mm`` is the probabilistically symmetric 95 % coverage
    interval (JCGM 101, 7.7): as likely to lie below it as above.
    ``first_order_mm`` is the standard uncertainty by the law of propagation, None
    where a step of one standard uncertainty goes out of reach.  Where no draw gets
    everywhere the interval and the uncertainty are infinite.
    """

    value_mm: float
    mean_mm: float
    standard_uncertainty_mm: float
    low_mm: float
    high_mm: float
    first_order_mm: float | None


@dataclass(frozen=True, slots=True)
class Share:
    """One measured thing's share of the variance of what decides the chance.

    ``chance_if_halved`` is the chance of the judged length if this thing were
    known twice as well, all else as it is.
    """

    thing: Measurand
    share: float
    chance_if_halved: float


@dataclass(frozen=True, slots=True, eq=False)
class Certainty:
    """How sure the answer for one corner is.

    ``chance`` is that of ``length_mm`` keeping the margin at both ends of the
    stroke at every position, draws in which the linkage does not get there
    counting as failed; ``angles_chance`` that of both joints staying within
    their limits.  A chance comes from a finite number of draws:
    ``sampling_error`` gives the standard deviation that this leaves.
    ``best_length_mm`` is None where the linkage closes in no draw.
    ``shares`` come largest first; what they leave of 1 is not linear.  ``misread`` is a
    measured position that does not fit the path of the others.  ``first_draws`` are the first
    of the draws, to be followed again at the ``critical`` positions.
    """

    draws: int
    seed: int
    margin_mm: float
    does_not_close: int
    ride_centred: Estimate
    shortest: Estimate
    longest: Estimate
    length_mm: float
    length_given: bool
    chance: float
    angles_chance: float
    best_length_mm: float | None
    best_chance: float
    shares: tuple[Share, ...]
    misread: Misread | None
    shortest_draws_mm: Array = field(repr=False)
    longest_draws_mm: Array = field(repr=False)
    first_draws: Variants = field(repr=False)
    critical: CriticalPositions = field(repr=False)

    def chance_of(self, length_mm: npt.ArrayLike) -> Array:
        """Chance that a length keeps stroke and margins everywhere; any shape."""
        return _chance(self.shortest_draws_mm, self.longest_draws_mm, length_mm)

    def sampling_error(self, chance: float) -> float:
        """Standard deviation of a chance that comes from this many draws."""
        return math.sqrt(chance * (1.0 - chance) / self.draws)


def certainty(
    corner: Corner,
    tape: Tape[Measurand] | None = None,
    *,
    margin_mm: float = DEFAULT_MARGIN,
    draws: int = DRAWS,
    seed: int = SEED,
    correlated: Correlated | None = None,
) -> Certainty:
    """Draw the measuring errors many times over and follow each corner through its whole motion.

    The length judged is the shaft's own, or the ride-centred length.
    The housing axis, the joints' angle limits and the gearbox movement are
    taken as given.  Errors in a stroke shift its whole column of
    ``stroke_at_angle``.  ``correlated`` coordinates are drawn together, normal,
    instead of by the tape: points that rest on readings, or those of a trial fit
    (:attr:`~kinematics.sure.trial_fit.TrialFit.correlated`) in the corner that it fitted.

    Raises OutOfReach where the corner as measured cannot take its whole motion,
    InvalidInput for an error of a thing that the corner does not have.
    """
    tape = tape or Tape()
    if draws < 2:
        raise invalid("draws", f"expected 2 or more, got {draws}")
    require_known((error.thing for error in tape.errors), corner, "tape", "errors")
    measured = coordinates(corner)
    errors = tuple(tape.error_of(one.thing, one.axis, one.value_mm) for one in measured)
    columns, covariance = (correlated or NOTHING).among(measured)
    offsets, together = _drawn(errors, len(columns), draws, seed)
    sigma = np.array([error.standard_uncertainty_mm for error in errors])
    correlation = np.eye(len(sigma))
    # A mark, or the other shaft's points, may be all that rests on readings.
    if columns:
        offsets = offsets.copy(order="F")
        offsets.T[columns] = symmetric_root(covariance).T @ together.T
        sigma[columns] = np.sqrt(np.diag(covariance))
        correlation[np.ix_(columns, columns)] = covariance / np.outer(
            sigma[columns], sigma[columns]
        )
    variants = Variants(corner, measured, offsets)
    critical = critical_positions(variants, margin_mm)
    drawn = answers(variants, critical)
    # Both ways by one standard deviation: the slope over the range that matters.
    steps = np.concatenate((np.zeros((1, len(sigma))), np.diag(sigma), -np.diag(sigma)))
    stepped = answers(Variants(corner, measured, steps), critical)
    shares = _shares(measured, offsets, drawn, critical.length_mm)
    best = _best_length(drawn.shortest_mm, drawn.longest_mm)
    return Certainty(
        draws=draws,
        seed=seed,
        margin_mm=margin_mm,
        does_not_close=int(np.count_nonzero(~drawn.closes)),
        ride_centred=_estimate(drawn.ride_mm, stepped.ride_mm, correlation),
        shortest=_estimate(drawn.shortest_mm, stepped.shortest_mm, correlation),
        longest=_estimate(drawn.longest_mm, stepped.longest_mm, correlation),
        length_mm=critical.length_mm,
        length_given=corner.shaft.length is not None,
        chance=float(_chance(drawn.shortest_mm, drawn.longest_mm, critical.length_mm)),
        angles_chance=float(np.mean(drawn.angles_hold)),
        best_length_mm=best,
        best_chance=0.0
        if best is None
        else float(_chance(drawn.shortest_mm, drawn.longest_mm, best)),
        shares=shares,
        misread=_misread(corner, tape),
        shortest_draws_mm=read_only(drawn.shortest_mm),
        longest_draws_mm=read_only(drawn.longest_mm),
        first_draws=Variants(corner, measured, read_only(offsets[:KEPT_DRAWS].copy(order="F"))),
        critical=critical,
    )


# Both sides of a car draw alike.
@lru_cache(maxsize=1)
def _drawn(errors: tuple[Error, ...], together: int, draws: int, seed: int) -> tuple[Array, Array]:
    """Errors as they could have been, shape (draws, errors), and standard normal numbers.

    Of these each draw has as many as are drawn ``together``.
    """
    rng = np.random.default_rng(seed)
    # Coordinate by coordinate in memory, for so they are asked for.
    offsets = np.empty((len(errors), draws)).T
    for column, error in zip(offsets.T, errors, strict=True):
        column[:] = error.drawn(rng, draws)
    return read_only(offsets), read_only(rng.standard_normal((draws, together)))


def _misread(corner: Corner, tape: Tape[Measurand]) -> Misread | None:
    if not isinstance(corner.linkage, Measured):
        return None
    # Only positions that were measured one by one can be misread.
    from kinematics.sure.misread import misread_position  # noqa: PLC0415

    return misread_position(corner, tape)


def _chance(shortest: Array, longest: Array, length_mm: npt.ArrayLike) -> Array:
    """Share of the draws whose window holds a length."""
    length = np.asarray(length_mm, dtype=np.float64)
    # A draw's window may be empty: its shortest is then above its longest, and none holds.
    low = np.sort(shortest)
    high = np.sort(np.maximum(longest, shortest))
    empty = np.sort(shortest[shortest > longest])
    begun = np.searchsorted(low, length, side="right")
    ended = np.searchsorted(high, length, side="left")
    # An empty window was made one point wide above; that point is taken out again.
    at_point = np.searchsorted(empty, length, side="right") - np.searchsorted(
        empty, length, side="left"
    )
    return np.asarray((begun - ended - at_point) / len(shortest))


def _best_length(shortest: Array, longest: Array) -> float | None:
    """Length with the best chance: the middle of those no worse by one sampling error.

    The curve of the chance is flat about its top, and its very top is noise.
    Middle of the commonest window where no draw's window is open.
    """
    usable = np.isfinite(shortest) & (shortest <= longest)
    if not usable.any():
        both = np.isfinite(shortest)
        if not both.any():
            return None
        return float(0.5 * (np.median(shortest[both]) + np.median(longest[both])))
    tries = np.sort(np.concatenate((shortest[usable], longest[usable])))
    chances = _chance(shortest, longest, tries)
    top = float(chances.max())
    near = tries[chances >= top - math.sqrt(top * (1.0 - top) / len(shortest))]
    return float(0.5 * (near[0] + near[-1]))


def _estimate(drawn: Array, stepped: Array, correlation: Array) -> Estimate:
    """From the draws, and from one step of each coordinate either way (the first row none)."""
    count = len(stepped) // 2
    with np.errstate(invalid="ignore"):
        slopes = 0.5 * (stepped[1 : count + 1] - stepped[count + 1 :])
        first_order = float(np.sqrt(slopes @ correlation @ slopes))
    known = first_order if math.isfinite(first_order) else None
    value, values = float(stepped[0]), drawn[np.isfinite(drawn)]
    if len(values) < 2:
        return Estimate(value, value, math.inf, -math.inf, math.inf, known)
    tail = 50.0 * (1.0 - COVERAGE)
    # As numpy.percentile, which would bring in the module of masked arrays.
    last = len(values) - 1
    ends = np.array((tail, 100.0 - tail)) / 100.0 * last
    low, high = np.interp(ends, np.arange(last + 1), np.sort(values))
    return Estimate(
        value_mm=value,
        mean_mm=float(values.mean()),
        standard_uncertainty_mm=float(values.std(ddof=1)),
        low_mm=float(low),
        high_mm=float(high),
        first_order_mm=known,
    )


def _shares(
    measured: tuple[Coordinate, ...], offsets: Array, drawn: SampledAnswers, length_mm: float
) -> tuple[Share, ...]:
    """Each thing's share of the variance of the window ends, by regression over the draws."""
    closing = drawn.closes
    # A row for each coordinate, and for each end: so they lie in memory.
    inputs = offsets.T if closing.all() else offsets.T[:, closing]
    ends = np.stack((drawn.shortest_mm[closing], drawn.longest_mm[closing]))
    things = list(dict.fromkeys(coordinate.thing for coordinate in measured))
    if inputs.shape[1] <= len(measured) or not np.any(ends.std(axis=1) > 0.0):
        return ()
    mean, count = inputs.mean(axis=1), inputs.shape[1]
    together = (ends - ends.mean(axis=1, keepdims=True)) @ inputs.T
    normal = inputs @ inputs.T - count * np.outer(mean, mean)
    slopes = np.linalg.lstsq(normal, together.T, rcond=None)[0].T
    # Slope times covariance: for independent errors the slope's square times the variance,
    # and the shares of correlated ones still add up to what is explained.
    explained = slopes * together / count
    pulls_first = float(np.mean(length_mm - ends[0] < ends[1] - length_mm))
    variance = ends.var(axis=1)
    weights = np.array([pulls_first, 1.0 - pulls_first])
    weights = np.divide(weights, variance, out=np.zeros(2), where=variance > 0.0)
    share = weights @ explained
    found = []
    for thing in things:
        columns = [place for place, one in enumerate(measured) if one.thing == thing]
        shortest, longest = ends - 0.5 * slopes[:, columns] @ inputs[columns]
        holds = (shortest <= length_mm) & (length_mm <= longest)
        found.append(Share(thing, float(share[columns].sum()), float(holds.sum() / len(offsets))))
    return tuple(sorted(found, key=lambda one: -one.share))
