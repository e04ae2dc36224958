"""Poses and pictures of the examples, for the tests of the drawing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

import numpy as np

from kinematics.linkage.motion import solve
from kinematics.shaft.following import follow
from scenes.library import example
from scenes.model import Scene, Side
from sketcher.answers.pose import Pose, pose_at
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import (
    Arc,
    Circle,
    Handle,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Primitive,
    Text,
)
from sketcher.drawing.sketch import SketchExtras, front_view, world_box


def pose(scene: Scene, travel_mm: float, steer_deg: float = 0.0, side: Side = "left") -> Pose:
    corner = scene.corner(side)
    motion = solve(corner.linkage, corner.hub, np.array([travel_mm]), np.array([steer_deg]))
    shaft = follow(corner, motion)
    found = pose_at(corner, motion, shaft, 0)
    assert found is not None
    return found


def front(
    name: str = "van-front",
    travel_mm: float = 0.0,
    steer_deg: float = 0.0,
    size: tuple[int, int] = (1280, 800),
    shown: SketchExtras | None = None,
) -> tuple[Picture, Camera]:
    scene = example(name)
    ride = pose(scene, 0.0)
    camera = Camera(*size).fitted(world_box(scene, ride, "left"))
    now = pose(scene, travel_mm, steer_deg)
    return front_view(scene, "left", now, ride, camera, shown), camera


def points_of(item: Primitive) -> Iterable[Point2]:
    """Points whose box holds the primitive; of a text only where it is anchored."""
    match item:
        case Line():
            return (item.start, item.end)
        case Lines():
            return (point for segment in item.segments for point in segment)
        case Circle():
            (x, y), r = item.centre, item.radius
            return ((x - r, y - r), (x + r, y + r))
        case Polyline() | Polygon() | Arc():
            return item.points
        case Text() | Handle():
            return (item.at,)


# What gives way to words, which are as wide as the library of the screen has them.
AROUND_WORDS = {"dimension", "dimension_past", "faint", "curve", "curve_inside", "curve_outside"}


def laid(items: Iterable[Primitive]) -> Iterator[str]:
    """Where things of each kind lie, in numbers that any change of any of them changes.

    Of words, how they are set.
    """
    places: dict[str, list[float]] = {}
    seats: Counter[str] = Counter()
    for item in items:
        if isinstance(item, Text):
            backed = " backed" if item.backed else ""
            seats[f"{item.role} {item.size} {item.horizontal} {item.vertical}{backed}"] += 1
        elif not (isinstance(item, Line) and item.role in AROUND_WORDS):
            numbers = [value for point in points_of(item) for value in point]
            places.setdefault(f"{type(item).__name__} {item.role}", []).extend(numbers)
    for name, values in sorted(places.items()):
        # Weights in no order twice, so that what changes places is seen, too.
        total = np.array(values) @ np.cos(np.arange(len(values)) ** 1.5)
        yield f"{name} {len(values)} {total:.7g}"
    yield from (f"{count} {seat}" for seat, count in sorted(seats.items()))
