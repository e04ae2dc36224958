"""Readings that no points can meet, however they lie, and which of them is to blame."""

from __future__ import annotations

import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kinematics.errors import InvalidInput, Problem
from kinematics.sure.measurands import AXES
from kinematics.sure.reading_values import CarPoint
from kinematics.sure.readings import Reading

# Readings that miss each other by more than this were not misread by a line or two.
UNMET_MM = 25.0
_MOST_NAMED = 3


def require_met(points: Sequence[CarPoint], readings: Sequence[Reading]) -> None:
    """Raise InvalidInput for readings that others leave no room for, by far.

    Distances are held against heights, rises, distances from centreline and plumb line of
    their points, and against the distances of both to a third one, all taken at the same
    position of the wheel.  Of those that contradict one another the one is named that is in
    most contradictions; of one alone, the distance that is too short.
    """
    left = [*_contradictions(points, readings)]
    problems = []
    while left:
        counts = Counter(place for one in left for place in one.allowed)
        most = max(counts.values())
        place = next(
            (one.short for one in left if counts[one.short] == most),
            next(place for place, count in counts.items() if count == most),
        )
        mine = [one for one in left if place in one.allowed]
        problems.append((place, _problem(place, readings[place], mine)))
        left = [one for one in left if place not in one.allowed]
    if problems:
        raise InvalidInput([problem for _, problem in sorted(problems, key=lambda one: one[0])])


@dataclass(frozen=True, slots=True)
class _Contradiction:
    """Readings that cannot hold together, each with what the others allow it, mm.

    ``short`` is the distance among them that is too short for the others.
    """

    allowed: dict[int, tuple[float, float]]
    short: int


def _problem(place: int, reading: Reading, mine: Sequence[_Contradiction]) -> Problem:
    low = max(one.allowed[place][0] for one in mine) - reading.limit
    high = min(one.allowed[place][1] for one in mine) + reading.limit
    short = reading.value < low
    wanted = f"{math.ceil(low):g} mm or more" if short else f"{math.floor(high):g} mm or less"
    of = "between" if len(reading.points) == 2 else "of"
    others = sorted({other for one in mine for other in one.allowed} - {place})
    named = [f"{other + 1}" for other in others[:_MOST_NAMED]]
    if len(others) > _MOST_NAMED:
        named.append(f"{len(others) - _MOST_NAMED} more")
    *most, last = named
    whose = f"readings {', '.join(most)} and {last} leave" if most else f"reading {last} leaves"
    return Problem(
        reading.kind,
        f"expected {wanted} {of} {' and '.join(reading.points)}, for {whose} no "
        f"{'less' if short else 'more'}, got {reading.value:g} mm",
        "reading",
        place,
    )


def _contradictions(
    points: Sequence[CarPoint], readings: Sequence[Reading]
) -> Iterator[_Contradiction]:
    sides = {one.name: one.side for one in points}
    at: dict[tuple[float, float], list[int]] = defaultdict(list)
    for place, one in enumerate(readings):
        at[one.travel, one.steer].append(place)
    for places in at.values():
        distances = [place for place in places if readings[place].kind == "distance"]
        if not distances:
            continue
        yield from _of_coordinates(readings, places, distances)
        # One that leads across the centreline closes no triangle with those of one side.
        ends = {place: {sides[name] for name in readings[place].points} for place in distances}
        one_side = [place for place in distances if ends[place] != {"left", "right"}]
        yield from _of_triangles(readings, one_side)


def _of_coordinates(
    readings: Sequence[Reading], places: Sequence[int], distances: Sequence[int]
) -> Iterator[_Contradiction]:
    """Distances shorter than their points are apart along one axis."""
    single: dict[tuple[str, str], list[int]] = defaultdict(list)
    rises: dict[frozenset[str], list[int]] = defaultdict(list)
    for place in places:
        one = readings[place]
        if one.kind == "rise":
            rises[frozenset(one.points)].append(place)
        elif one.kind in (*AXES, "across"):
            single["out" if one.kind == "across" else one.kind, one.points[0]].append(place)
    for distance in distances:
        one = readings[distance]
        far = one.value + one.limit
        for place in rises[frozenset(one.points)]:
            rise = readings[place]
            least = abs(rise.value) - rise.limit
            if least > far + UNMET_MM:
                yield _Contradiction({distance: (least, math.inf), place: (-far, far)}, distance)
        first, second = one.points
        for axis in AXES:
            for a, b in itertools.product(single[axis, first], single[axis, second]):
                (at_a, off_a), (at_b, off_b) = _coordinate(readings[a]), _coordinate(readings[b])
                least = abs(at_a - at_b) - off_a - off_b
                if least > far + UNMET_MM:
                    yield _Contradiction(
                        {
                            distance: (least, math.inf),
                            a: _twice(readings[a], at_b, far + off_b),
                            b: _twice(readings[b], at_a, far + off_a),
                        },
                        distance,
                    )


def _coordinate(reading: Reading) -> tuple[float, float]:
    """A coordinate and its limit; across is twice an out."""
    part = 0.5 if reading.kind == "across" else 1.0
    return part * reading.value, part * reading.limit


def _twice(reading: Reading, middle: float, reach: float) -> tuple[float, float]:
    """What a coordinate may be, as its reading has it."""
    times = 2.0 if reading.kind == "across" else 1.0
    return times * (middle - reach), times * (middle + reach)


def _of_triangles(
    readings: Sequence[Reading], distances: Sequence[int]
) -> Iterator[_Contradiction]:
    """Three points of which one distance is longer than the way round by the third."""
    between: dict[frozenset[str], list[int]] = defaultdict(list)
    for place in distances:
        between[frozenset(readings[place].points)].append(place)
    names = sorted({name for ends in between for name in ends})
    for a, b, c in itertools.combinations(names, 3):
        sides = [between.get(frozenset(ends), []) for ends in ((a, b), (a, c), (b, c))]
        for places in itertools.product(*sides):
            three = {place: readings[place] for place in places}
            longest = max(places, key=lambda place: readings[place].value)
            others = [place for place in places if place != longest]
            round_about = sum(three[place].value + three[place].limit for place in others)
            if three[longest].value - three[longest].limit <= round_about + UNMET_MM:
                continue
            allowed = {}
            for place in places:
                p, q = (one for other, one in three.items() if other != place)
                off = p.limit + q.limit
                allowed[place] = (abs(p.value - q.value) - off, p.value + q.value + off)
            short = min(others, key=lambda place: readings[place].value)
            yield _Contradiction(allowed, short)
