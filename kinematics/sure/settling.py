"""Where readings put the points of a car, how well each is known, and which reading is doubtful.

A point that a reading names rests on its readings: where it is drawn counts as
read to ±50 mm, so that a coordinate that no reading fixes stays near there.  All
other coordinates count as read with the tape's error.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from kinematics.errors import InvalidInput, Problem
from kinematics.parts import Side
from kinematics.sure import adjustment
from kinematics.sure.correlated import Correlated
from kinematics.sure.impossible import require_met
from kinematics.sure.measurands import AXES, Measurand
from kinematics.sure.reading_values import CarPoint, ReadingValues
from kinematics.sure.readings import Reading
from kinematics.vectors import Array, read_only

# As well as a coordinate counts as read where a point rests on readings: ± limits, mm.
DRAWN_LIMIT_MM = 50.0
NOT_FIXED_MM = 10.0
# Two-sided 95 % of a normal distribution, and the radius squared of 95 % in two dimensions.
HALF_WIDTH_95 = 1.959964
_RADIUS_95_SQUARED = -2.0 * math.log(0.05)
# The readings contradict one another where a misfit as large comes up less often than this by
# chance: two-sided 0.1 %, as for the single reading.
LEAST_PROBABILITY = 0.001


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Where a point lies with 95 % in one view: half axes, mm, and the long one's direction.

    ``direction_deg`` is from the first of the view's axes towards the second.
    """

    long_mm: float
    short_mm: float
    direction_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class SettledPoint:
    """Where a point is by all readings, mm; ``rests`` where it rests on them alone.

    ``fixed_by`` are the places of the readings that name it.
    """

    name: str
    drawn: Array
    at: Array
    standard_uncertainty_mm: Array
    covariance_mm2: Array
    rests: bool
    fixed_by: tuple[int, ...]

    @property
    def drawn_off_mm(self) -> float:
        """How far it is drawn from where the readings put it."""
        return float(np.linalg.norm(self.at - self.drawn))

    @property
    def not_fixed(self) -> tuple[str, ...]:
        """The coordinates that the readings leave more than ±10 mm."""
        limits = self.standard_uncertainty_mm * math.sqrt(3.0)
        return tuple(place for place, one in zip(AXES, limits, strict=True) if one > NOT_FIXED_MM)

    def ellipse(self, along: Literal["up", "fore"]) -> Ellipse:
        """Its 95 % ellipse in out and up, as seen from the front, or out and fore, from above."""
        both = 0, AXES.index(along)
        places = np.ix_(both, both)
        sizes, axes = np.linalg.eigh(self.covariance_mm2[places])
        short, long = np.sqrt(np.maximum(sizes, 0.0) * _RADIUS_95_SQUARED)
        return Ellipse(float(long), float(short), math.degrees(math.atan2(axes[1, 1], axes[0, 1])))


@dataclass(frozen=True, slots=True)
class CheckedReading:
    """A reading against the settled points; mm, or degrees for a slope.

    ``residual`` is the reading less what the points give.
    """

    reading: Reading
    residual: float
    redundancy: float
    standardised: float

    @property
    def checked(self) -> bool:
        """Whether other readings check this one; where none does, it is off by nothing."""
        return self.redundancy > adjustment.LEAST_REDUNDANCY

    @property
    def misread_by(self) -> float:
        """The amount by which it seems misread, if it alone is: residual / redundancy."""
        return self.residual / self.redundancy if self.redundancy > 0.0 else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """All points by all readings.

    ``covariance_mm2`` is of out, up and fore of every point, one after the other;
    ``suspicious`` the place of the reading that seems misread; ``fit_probability``
    the chance of a misfit at least as large, None where nothing checks anything, and
    ``rest_probability`` the same without the suspicious reading.
    ``contradictions`` are pairs of readings of one number that differ by more than
    their errors.
    """

    points: tuple[SettledPoint, ...]
    readings: tuple[CheckedReading, ...]
    suspicious: int | None
    fit_probability: float | None
    rest_probability: float | None
    contradictions: tuple[tuple[int, int], ...]
    car: tuple[CarPoint, ...] = field(repr=False)
    covariance_mm2: Array = field(repr=False)

    def point(self, name: str) -> SettledPoint:
        """A point by its name."""
        return next(one for one in self.points if one.name == name)

    @property
    def agree(self) -> bool:
        """Whether the readings agree with one another, a suspicious one left out."""
        return self.rest_probability is None or self.rest_probability >= LEAST_PROBABILITY

    @property
    def drawn_off_mm(self) -> float:
        """How far the worst of the points that rest on readings is drawn from its place."""
        return max((one.drawn_off_mm for one in self.points if one.rests), default=0.0)

    def resting(self, side: Side) -> dict[tuple[Measurand, int | None], int]:
        """Where the covariance has the coordinates of one side that rest on readings."""
        return {
            (car.thing, axis): 3 * place + axis
            for place, (car, one) in enumerate(zip(self.car, self.points, strict=True))
            if one.rests and car.side in (None, side)
            for axis in range(3)
        }

    def correlated(self, side: Side) -> Correlated:
        """The coordinates of one side that rest on readings, with their covariance."""
        found = self.resting(side)
        columns = list(found.values())
        return Correlated(tuple(found), read_only(self.covariance_mm2[np.ix_(columns, columns)]))

    def half_width(self, slopes: Array) -> float:
        """95 % half width of a quantity that follows the coordinates by ``slopes``."""
        return HALF_WIDTH_95 * math.sqrt(max(0.0, float(slopes @ self.covariance_mm2 @ slopes)))


def settle(
    points: Sequence[CarPoint], readings: Sequence[Reading], drawn_limit_mm: float = DRAWN_LIMIT_MM
) -> Settled:
    """The adjustment of all readings and typed coordinates at once.

    ``drawn_limit_mm`` is how well a coordinate that rests on readings counts as drawn.

    Raises InvalidInput for readings that cannot be met, or were taken where the
    linkage does not go, or lead nowhere; NotSettled where their errors lie too far apart.
    """
    require_met(points, readings)
    named: dict[str, list[int]] = defaultdict(list)
    for place, reading in enumerate(readings):
        for name in reading.points:
            named[name].append(place)
    rests = [one.name in named or one.thing.part == "mark" for one in points]
    loose, both = (drawn_limit_mm / math.sqrt(3.0),) * 3, zip(points, rests, strict=True)
    own = np.array([loose if rests_on else one.sigma_mm for one, rests_on in both]).reshape(-1)
    free = own > 0.0
    values = ReadingValues(points, readings)

    def predict(offsets: Array) -> adjustment.Prediction:
        every = np.zeros(len(own))
        every[free] = offsets
        found = values(every)
        assert found.curvature is not None
        whole = found.curvature
        return adjustment.Prediction(
            found.values, found.slopes[:, free], lambda factors: whole(factors)[np.ix_(free, free)]
        )

    observed = np.array([one.value for one in readings])
    sigma = np.array([one.standard_uncertainty for one in readings])
    try:
        found = adjustment.adjust(predict, observed, sigma, own[free])
    except adjustment.NotSettled as error:
        drawn = values(np.zeros(len(own))).values
        if isinstance(error, adjustment.TooFarApart) or not np.isfinite(drawn).all():
            raise
        raise InvalidInput([_furthest_off(readings, drawn)]) from error
    offsets = np.zeros(len(own))
    offsets[free] = found.offsets
    covariance = np.zeros((len(own), len(own)))
    covariance[np.ix_(free, free)] = found.covariance
    at = values.drawn + offsets.reshape(-1, 3)
    uncertainty = np.sqrt(np.diag(covariance)).reshape(-1, 3)
    # Where a point is drawn is no observation: it neither adds to the misfit nor to the freedom.
    as_drawn = np.repeat(rests, 3)[free]
    freedom = round(float(found.redundancy.sum() + found.own_redundancy[~as_drawn].sum()))
    misfit = found.misfit - float(np.sum((found.offsets / own[free])[as_drawn] ** 2))
    sizes = adjustment.standardised(found.residuals / sigma, found.redundancy)
    misread = adjustment.suspicious(sizes, found.redundancy)
    checked = np.stack((found.residuals, found.redundancy, sizes), axis=1)
    # The misfit falls by the square of a reading's size when it is left out.
    rest = misfit if misread is None else misfit - float(sizes[misread]) ** 2
    left = freedom if misread is None else freedom - 1
    return Settled(
        points=tuple(
            SettledPoint(
                one.name,
                read_only(values.drawn[n].copy()),
                read_only(at[n].copy()),
                read_only(uncertainty[n].copy()),
                read_only(covariance[3 * n : 3 * n + 3, 3 * n : 3 * n + 3].copy()),
                rests[n],
                tuple(dict.fromkeys(named[one.name])) if one.name in named else (),
            )
            for n, one in enumerate(points)
        ),
        readings=tuple(
            CheckedReading(reading, *figures)
            for reading, figures in zip(readings, checked.tolist(), strict=True)
        ),
        suspicious=misread,
        fit_probability=_chance(misfit, freedom),
        rest_probability=_chance(rest, left),
        contradictions=_contradictions(readings),
        car=tuple(
            replace(one, at=(float(a), float(b), float(c)))
            for one, (a, b, c) in zip(points, at, strict=True)
        ),
        covariance_mm2=read_only(covariance),
    )


def _furthest_off(readings: Sequence[Reading], drawn: Array) -> Problem:
    """Which reading is furthest, by its own error, from what the points give as drawn."""
    off = [
        abs(one.value - there) / one.standard_uncertainty
        for one, there in zip(readings, drawn.tolist(), strict=True)
    ]
    worst = int(np.argmax(off))
    one = readings[worst]
    unit = "deg" if one.kind == "slope" else "mm"
    return Problem(
        one.kind,
        f"expected a number nearer to {drawn[worst]:.1f} {unit}, as its points are drawn, got "
        f"{one.value:g} {unit}; the readings do not settle on points near them",
        "reading",
        worst,
    )


def _chance(misfit: float, freedom: int) -> float | None:
    return adjustment.chance_of_misfit(max(misfit, 0.0), freedom) if freedom > 0 else None


def _one_number(reading: Reading) -> tuple[object, float, float]:
    """What a reading is a number of, that number, and its limit: across is twice an out."""
    kind, value, limit = reading.kind, reading.value, reading.limit
    points = reading.points
    if kind == "across":
        kind, value, limit = "out", 0.5 * value, 0.5 * limit
    if len(points) == 2 and points[0] > points[1]:
        points = points[::-1]
        value = value if kind == "distance" else -value
    return (kind, points, reading.travel, reading.steer), value, limit


def _contradictions(readings: Sequence[Reading]) -> tuple[tuple[int, int], ...]:
    numbers = [_one_number(one) for one in readings]
    return tuple(
        (first, second)
        for first, second in itertools.combinations(range(len(numbers)), 2)
        if numbers[first][0] == numbers[second][0]
        and abs(numbers[first][1] - numbers[second][1])
        > (numbers[first][2] + numbers[second][2]) * (1.0 + 1e-9)
    )
