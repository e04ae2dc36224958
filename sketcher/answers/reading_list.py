"""The readings to take under the car: which, and in the order in which one crawls."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from kinematics.parts import Measured
from kinematics.sure.readings import Reading, ReadingKind
from scenes.model import Scene
from scenes.part_keys import path_of
from scenes.readings import MARK

# How many marks each point is measured to, the nearest ones.
_MARKS_EACH = 3
PLACES_TO_STAND = ("at the wheel", "under the arm", "under the gearbox", "under the bonnet")
_POSITION = "linkage.position"
_WHEEL, _ARM, _GEARBOX, _BONNET = range(len(PLACES_TO_STAND))
_KINDS: tuple[ReadingKind, ...] = ("up", "out", "across", "fore", "rise", "slope", "distance")


@dataclass(frozen=True, slots=True)
class Stop:
    """One place where one stands or lies, and the readings taken there by their places."""

    where: str
    travel_mm: float
    steer_deg: float
    readings: tuple[int, ...]


def planned_readings(scene: Scene) -> tuple[Reading, ...]:
    """Readings that would fix every point of a scene twice over; their values are those drawn.

    What the scene has readings for already is left to them.
    """
    return tuple(scene.readings) or tuple(_planned(scene))


def all_readings(scene: Scene) -> tuple[Reading, ...]:
    """The readings that a scene has, and those of the paper list that it has not."""
    return (*scene.readings, *still_to_read(scene))


def still_to_read(scene: Scene) -> tuple[Reading, ...]:
    """The readings of the paper list that the scene has not, in the order in which one crawls."""
    taken = {_number_of(one) for one in scene.readings}
    left = [one for one in _planned(scene) if _number_of(one) not in taken]
    stops = in_crawl_order(left, position_travels(scene))
    return tuple(left[place] for stop in stops for place in stop.readings)


def position_travels(scene: Scene) -> Mapping[str, float]:
    """Where the wheel is held for each point of a position that is measured on the car."""
    linkage = scene.linkage
    if not isinstance(linkage, Measured):
        return {}
    return {
        path_of(thing): linkage.positions[thing.number].travel
        for thing, _, _ in scene.measured_points()
        if thing.number is not None
    }


def _number_of(reading: Reading) -> object:
    """What a reading is the number of, whichever way it was taken."""
    kind = "out" if reading.kind == "across" else reading.kind
    return (kind, frozenset(reading.points), reading.travel, reading.steer)


def _planned(scene: Scene) -> Iterator[Reading]:
    points = scene.points
    marks = [path for path in points if path.startswith(MARK)]
    own = [path for path in points if not path.startswith((MARK, _POSITION))]
    elsewhere = [path for path in points if path.startswith(_POSITION)]

    def of(kind: ReadingKind, path: str, value: float) -> Reading:
        return Reading(kind, (path,), value)

    for path in (*own, *marks, *elsewhere):
        out, up, fore = points[path]
        yield of("up", path, up)
        twice = path.startswith("hub.") or "ball_joint" in path or "strut_top" in path
        if twice and out > 0.0:
            yield of("across", path, 2.0 * out)
        else:
            yield of("out", path, out)
        yield of("fore", path, fore)
    # With shafts on both sides, the marks are on the first one's.
    both = len(scene.sides) > 1
    for path in own:
        if both and path.startswith("shafts.right."):
            continue
        nearest = sorted(marks, key=lambda mark: math.dist(points[mark], points[path]))
        for other in nearest[:_MARKS_EACH]:
            yield Reading("distance", (path, other), max(math.dist(points[path], points[other]), 1))
    for first, second in (
        ("linkage.arm_pivot", "linkage.ball_joint"),
        ("linkage.lower_pivot", "linkage.lower_ball_joint"),
        ("linkage.upper_pivot", "linkage.upper_ball_joint"),
        ("linkage.strut_top", "linkage.strut_lower"),
        ("linkage.ball_joint", "hub.outer_joint"),
        ("linkage.lower_ball_joint", "hub.outer_joint"),
        ("hub.outer_joint", "hub.wheel_centre"),
    ):
        if first in points and second in points:
            yield Reading("distance", (first, second), math.dist(points[first], points[second]))


def in_crawl_order(
    readings: Sequence[Reading], held_at: Mapping[str, float] | None = None
) -> tuple[Stop, ...]:
    """The readings by where one has to be for them, the wheel moved as seldom as can be.

    Ride height first; at each height round the car once, rule and plumb line before the tape.
    ``held_at`` is where the wheel is held for points of measured positions.
    """

    def stand(place: int) -> tuple[bool, tuple[float, float], int]:
        held = _held(readings[place], held_at or {})
        return held != (0.0, 0.0), held, max(map(_place, readings[place].points))

    places = range(len(readings))
    order = sorted(places, key=lambda place: (stand(place), _KINDS.index(readings[place].kind)))
    return tuple(
        Stop(PLACES_TO_STAND[where], *held, tuple(here))
        for (_, held, where), here in groupby(order, key=stand)
    )


def _held(reading: Reading, held_at: Mapping[str, float]) -> tuple[float, float]:
    """Where the wheel is held for a reading: travel and steer."""
    held = next((held_at[path] for path in reading.points if path in held_at), None)
    return (reading.travel, reading.steer) if held is None else (held, 0.0)


def _place(path: str) -> int:
    if path.startswith("shafts."):
        return _GEARBOX
    if path.startswith("hub."):
        return _WHEEL
    if path.endswith(("strut_top", "upper_pivot")):
        return _BONNET
    return _WHEEL if path.startswith(_POSITION) else _ARM


def letters(scene: Scene) -> dict[str, str]:
    """A letter for each point, in the scene's order; a second one after Z."""
    names = {}
    for place, path in enumerate(scene.points):
        more, letter = divmod(place, 26)
        names[path] = (chr(ord("A") + more - 1) if more else "") + chr(ord("A") + letter)
    return names
