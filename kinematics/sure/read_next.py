"""Which reading, of those not taken yet, would leave the least doubt in a number.

One reading more is an update of rank one of the covariance C (Sherman and
Morrison): with slopes a and variance s² of the reading, and slopes g of the
number, its variance becomes g'Cg − (g'Ca)²/(s² + a'Ca).  Nothing is solved again.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from kinematics.errors import InvalidInput
from kinematics.parts import Bracket, Side
from kinematics.sure.measurands import MID_STROKE, OUTER_JOINT
from kinematics.sure.reading_values import CarPoint, ReadingValues
from kinematics.sure.readings import Reading, ReadingKind
from kinematics.sure.settling import HALF_WIDTH_95, Settled
from kinematics.vectors import Array, read_only

BEST = 5
# Shorter than this two points are one place for a tape, longer it sags.
SHORTEST_MM, LONGEST_MM = 20.0, 3000.0


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading worth taking: its value as the points have it now, and the half width after it."""

    reading: Reading
    half_width: float


def ride_centred_slopes(settled: Settled, side: Side) -> Array:
    """How the ride-centred length of one side follows the coordinates of every point."""
    names = [(one.thing, one.side) for one in settled.car]
    inner, outer = names.index((MID_STROKE, side)), names.index((OUTER_JOINT, None))
    span = settled.points[outer].at - settled.points[inner].at
    slopes = np.zeros((len(names), 3))
    length = float(np.linalg.norm(span))
    if length > 0.0:
        slopes[outer], slopes[inner] = span / length, -span / length
    return slopes.reshape(-1)


@dataclass(frozen=True, slots=True, eq=False)
class Unread:
    """Readings not taken yet, their values as the points have them now.

    ``slopes``, shape (readings, coordinates), is how they follow the coordinates of every
    point; ``variance`` what would be measured varies by: the reading's own and the points'.
    """

    readings: tuple[Reading, ...]
    slopes: Array
    variance: Array


def unread(
    settled: Settled,
    brackets: Sequence[Bracket] = (),
    measured: Collection[frozenset[str]] = (),
) -> Unread:
    """What could be read.

    Between points that rest on readings, at ride height: distances that no bracket
    stands in the way of, heights, distances from centreline and plumb line, and
    across to the car's other side.  ``measured`` are pairs of points whose distance is known
    already from elsewhere.
    """
    taken = {("distance", both) for both in measured}
    taken |= {(one.reading.kind, frozenset(one.reading.points)) for one in settled.readings
             if not (one.reading.travel or one.reading.steer)}  # fmt: skip
    could = _candidates(settled, brackets)
    wanted = [one for one in could if (one.kind, frozenset(one.points)) not in taken]
    values = ReadingValues(settled.car, wanted)(np.zeros(3 * len(settled.car))).values
    found = (_valued(one, value) for one, value in zip(wanted, values.tolist(), strict=True))
    return as_unread(settled, [one for one in found if one is not None])


def as_unread(settled: Settled, readings: Sequence[Reading]) -> Unread:
    """Some readings as if they were not taken yet."""
    slopes = ReadingValues(settled.car, readings)(np.zeros(3 * len(settled.car))).slopes
    own = np.array([one.standard_uncertainty for one in readings]) ** 2
    spread = np.einsum("ij,jk,ik->i", slopes, settled.covariance_mm2, slopes, optimize=True)
    return Unread(tuple(readings), read_only(slopes), read_only(own + spread))


def read_next(
    settled: Settled, slopes: Array, could: Unread, best: int = BEST
) -> tuple[NextReading, ...]:
    """Of what ``could`` be read what leaves the least doubt in a number, best first.

    ``slopes`` are those of the number by the coordinates of every point.
    """
    covariance = settled.covariance_mm2
    told = could.slopes @ (covariance @ slopes)
    variance = float(slopes @ covariance @ slopes) - told**2 / could.variance
    order = np.argsort(variance, kind="stable")
    half_width = HALF_WIDTH_95 * np.sqrt(np.maximum(variance, 0.0))
    telling = order[told[order] ** 2 > 0.0][:best]
    return tuple(NextReading(could.readings[n], float(half_width[n])) for n in telling)


def _valued(reading: Reading, value: float) -> Reading | None:
    """The reading as the points have it; None where it would be none."""
    try:
        return replace(reading, value=round(value, 1))
    except InvalidInput:
        return None


def _candidates(settled: Settled, brackets: Sequence[Bracket]) -> Iterator[Reading]:
    resting = [car for car, one in zip(settled.car, settled.points, strict=True) if one.rests]
    single: tuple[ReadingKind, ...] = ("up", "out", "fore")
    for one in resting:
        for kind in single:
            yield Reading(kind, (one.name,), 1.0)
        # The other side has the same hub and arms; its gearbox output lies elsewhere.
        if one.thing.part in ("linkage", "position", "hub"):
            yield Reading("across", (one.name,), 1.0)
    # With shafts on both sides, the marks are on the first one's.
    both = {one.side for one in settled.car} >= {"left", "right"}
    solids = [(shapely.Polygon(one.outline), one.fore) for one in brackets]
    for one, other in itertools.combinations(resting, 2):
        sides = {one.side, other.side}
        marked = "mark" in (one.thing.part, other.thing.part)
        if sides == {"left", "right"} or (both and marked and "right" in sides):
            continue
        if not SHORTEST_MM <= math.dist(one.at, other.at) <= LONGEST_MM:
            continue
        if not any(_in_the_way(outline, fore, one, other) for outline, fore in solids):
            yield Reading("distance", (one.name, other.name), 1.0)


def _in_the_way(
    outline: shapely.Polygon, fore: tuple[float, float] | None, one: CarPoint, other: CarPoint
) -> bool:
    """Whether the straight line between two points passes through a bracket."""
    start, end = np.array(one.at), np.array(other.at)
    line = shapely.LineString((start[:2], end[:2]))
    inside = outline.intersection(line)
    length = line.length
    if inside.is_empty or inside.length < 1.0 or length == 0.0:
        return False
    if fore is None:
        return True
    ends = shapely.get_coordinates(inside).tolist()
    along = [line.project(shapely.Point(one)) / length for one in ends]
    depths = [start[2] + share * (end[2] - start[2]) for share in (min(along), max(along))]
    return bool(min(depths) < max(fore) and max(depths) > min(fore))
