"""Which reading, of those not taken yet, would raise the chance of a length the most.

The draws behind the chance are drawn together as one reading more would draw them: a
draw whose points say y more than the points as they are for what is read, and that
the tape says e more on top, moves by −K (y + e), K = Ca / (s² + a'Ca).  C is the
points' covariance, a the slopes and s² the variance of the reading.  What is left
spreads by C − Ca a'C / (s² + a'Ca), as solving again would have it (Sherman and
Morrison).  The reading is taken to say what the points say now, so that the length
judged and the middle of the draws stay.

The motion is then followed again through every draw, for ends of the length window
bend where points are hardly fixed.  Since they are the same draws, most of the
chance's own sampling error falls out of what it rises by.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.parts import Side
from kinematics.sure.certainty import KEPT_DRAWS, Certainty
from kinematics.sure.read_next import BEST, Unread, as_unread
from kinematics.sure.readings import Reading
from kinematics.sure.sampling import answers
from kinematics.sure.settling import Settled
from kinematics.sure.variants import Variants
from kinematics.vectors import Array, Mask, distinct

# How many draws are followed for every reading, to find the few that all of them are for.
_FEW_DRAWS = 250
_SEED = 1


@dataclass(frozen=True, slots=True)
class NextForChance:
    """A reading worth taking: its value as the points have it now, and the chance after it."""

    reading: Reading
    chance: float


def read_next_for_chance(
    settled: Settled, side: Side, sure: Certainty, could: Unread, best: int = BEST
) -> tuple[NextForChance, ...]:
    """Of what ``could`` be read what raises the chance of the length judged, the most first.

    ``sure`` is the certainty of this side of the car whose points ``settled`` are.
    """
    draws = _Draws.of(settled, side, sure)
    if not could.readings or not draws.columns:
        return ()
    # Taken as straight, the many draws tell readings apart that the few cannot; where points
    # are hardly fixed it is the other way round.
    ranked = (_nearly(draws, could), _followed(draws, could, _FEW_DRAWS))
    promising = np.concatenate([np.argsort(-one, kind="stable")[:best] for one in ranked])
    some = as_unread(settled, [could.readings[place] for place in distinct(promising)])
    chances = _followed(draws, some)
    order = np.argsort(-chances, kind="stable")
    better = [place for place in order if chances[place] > sure.chance][:best]
    return tuple(NextForChance(some.readings[n], float(chances[n])) for n in better)


def chance_after(
    settled: Settled, side: Side, sure: Certainty, readings: Sequence[Reading]
) -> Array:
    """The chance of the length judged after each of some readings, were it taken alone."""
    draws = _Draws.of(settled, side, sure)
    if not readings or not draws.columns:
        return np.full(len(readings), sure.chance)
    return _followed(draws, as_unread(settled, readings))


@dataclass(frozen=True, slots=True, eq=False)
class _Draws:
    """The first draws of a chance, and whether each holds the length.

    ``columns`` are those of coordinates that rest on readings, ``places`` where these are
    among the coordinates of the settled points.
    """

    settled: Settled
    sure: Certainty
    columns: list[int]
    places: list[int]
    holds: Mask

    @classmethod
    def of(cls, settled: Settled, side: Side, sure: Certainty) -> _Draws:
        rows = settled.resting(side)
        names = [(one.thing, one.axis) for one in sure.first_draws.coordinates]
        both = [(column, rows[name]) for column, name in enumerate(names) if name in rows]
        count = len(sure.first_draws)
        holds = _holds(sure, sure.shortest_draws_mm[:count], sure.longest_draws_mm[:count])
        return cls(settled, sure, [one for one, _ in both], [two for _, two in both], holds)

    def shifts(self, could: Unread) -> tuple[Array, Array]:
        """How far each draw goes by each reading, (readings, draws), and along what.

        That is K, shape (readings, columns).
        """
        covariance = self.settled.covariance_mm2[:, self.places]
        # What marks and the other side add is not in the draws: it comes on top, by chance.
        told = could.slopes @ covariance
        own = self.settled.covariance_mm2[np.ix_(self.places, self.places)]
        by_draws = np.linalg.lstsq(own, told.T, rcond=None)[0]
        left = np.maximum(could.variance - np.einsum("rc,cr->r", told, by_draws), 0.0)
        rng = np.random.default_rng(_SEED)
        on_top = rng.standard_normal(len(self.sure.first_draws))
        said = self.sure.first_draws.offsets_mm[:, self.columns] @ by_draws
        found = said.T + np.sqrt(left)[:, None] * on_top
        return found, told / could.variance[:, None]


def _holds(sure: Certainty, shortest: Array, longest: Array) -> Mask:
    return np.asarray((shortest <= sure.length_mm) & (sure.length_mm <= longest))


def _nearly(draws: _Draws, could: Unread) -> Array:
    """The chances after each reading with the window's ends taken as straight."""
    sure = draws.sure
    closing = np.isfinite(sure.shortest_draws_mm[: len(draws.holds)])
    if not closing.any():
        return np.zeros(len(could.readings))
    shifts = draws.shifts(could)[0][:, closing]
    ends = [one[: len(closing)][closing] for one in (sure.shortest_draws_mm, sure.longest_draws_mm)]
    # The end's own slope along what the reading says, by regression.
    moved = [
        end - (shifts @ (end - end.mean()) / closing.sum() / could.variance)[:, None] * shifts
        for end in ends
    ]
    return np.asarray(_holds(sure, *moved).sum(axis=1) / len(closing))


def _followed(draws: _Draws, could: Unread, most: int = KEPT_DRAWS) -> Array:
    """The chances after each reading, every draw followed through its motion again."""
    sure, first = draws.sure, draws.sure.first_draws.part(slice(most))
    shifts, gains = draws.shifts(could)
    count = len(first)
    offsets = np.tile(first.offsets_mm, (len(gains), 1))
    offsets[:, draws.columns] -= shifts[:, :count].reshape(-1, 1) * np.repeat(gains, count, axis=0)
    after = answers(Variants(first.corner, first.coordinates, offsets), sure.critical)
    holds = _holds(sure, after.shortest_mm, after.longest_mm).reshape(len(gains), count)
    rise: Array = holds.mean(axis=1) - draws.holds[:count].mean()
    return np.clip(sure.chance + rise, 0.0, 1.0).astype(np.float64)
