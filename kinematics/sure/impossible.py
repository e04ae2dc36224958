"""Readings that no points can meet, however they lie."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kinematics.errors import InvalidInput, Problem
from kinematics.sure.measurands import AXES
from kinematics.sure.reading_values import CarPoint
from kinematics.sure.readings import Reading

# Readings that miss each other by more than this were not misread by a line or two.
UNMET_MM = 25.0


def require_met(points: Sequence[CarPoint], readings: Sequence[Reading]) -> None:
    """Raise InvalidInput for distances far shorter than other readings let their points be.

    Their heights, rises, distances from centreline and plumb line, and distances to a
    third point taken at the same position of the wheel are held against each.
    """
    problems = []
    sides = {one.name: one.side for one in points}
    # One that leads across the centreline closes no triangle with those of one side.
    across = {
        place
        for place, one in enumerate(readings)
        if one.kind == "distance" and {sides[name] for name in one.points} == {"left", "right"}
    }
    known = _Known.of([one for place, one in enumerate(readings) if place not in across])
    for place, one in enumerate(readings):
        if one.kind != "distance":
            continue
        least = known.apart(one)
        if place not in across:
            least = max(least, known.by_triangle(one))
        if least > one.value + one.limit + UNMET_MM:
            problems.append(
                Problem(
                    "distance",
                    f"expected {math.ceil(least - one.limit):g} mm or more between "
                    f"{one.points[0]} and {one.points[1]}, for other readings put them that far "
                    f"apart, got {one.value:g}",
                    "reading",
                    place,
                )
            )
    if problems:
        raise InvalidInput(problems)


@dataclass(frozen=True, slots=True)
class _Known:
    """What was read at each position of the wheel: the value and the limit of each number."""

    single: dict[tuple[object, ...], tuple[float, float]]
    rises: dict[tuple[object, ...], tuple[float, float]]
    distances: dict[tuple[object, ...], tuple[float, float]]

    @classmethod
    def of(cls, readings: Sequence[Reading]) -> _Known:
        known = cls({}, {}, {})
        for one in readings:
            held = (one.travel, one.steer)
            kind, value, limit = one.kind, one.value, one.limit
            if kind == "across":
                kind, value, limit = "out", 0.5 * value, 0.5 * limit
            if kind in AXES:
                known.single[(kind, one.points[0], held)] = (value, limit)
            elif kind == "rise":
                known.rises[(frozenset(one.points), held)] = (value, limit)
            elif kind == "distance":
                known.distances[(frozenset(one.points), held)] = (value, limit)
        return known

    def apart(self, one: Reading) -> float:
        """The least distance by what is known of out, up and fore of both points."""
        held = (one.travel, one.steer)
        gaps = []
        for place in AXES:
            first, second = (self.single.get((place, name, held)) for name in one.points)
            if first and second:
                gaps.append(abs(first[0] - second[0]) - first[1] - second[1])
        rise = self.rises.get((frozenset(one.points), held))
        if rise:
            gaps.append(abs(rise[0]) - rise[1])
        # A rise and two heights say the same: the larger of them counts.
        return max(gaps, default=0.0)

    def by_triangle(self, one: Reading) -> float:
        """The least distance by the distances of both points to a third one."""
        held = (one.travel, one.steer)
        first, second = one.points
        to_first = {
            next(iter(ends - {first})): found  # type: ignore[operator]
            for (ends, at), found in self.distances.items()
            if at == held and first in ends and second not in ends  # type: ignore[operator]
        }
        least = 0.0
        for third, (value, limit) in to_first.items():
            other = self.distances.get((frozenset((second, third)), held))
            if other:
                least = max(least, abs(value - other[0]) - limit - other[1])
        return least
