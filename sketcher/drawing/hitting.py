"""Which thing of a picture is under the pointer."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

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
)

# A target is at least 10 px across its middle to each side, at UI scale 1.
REACH_PX = 10.0
TargetKind = Literal["point", "edge", "area"]
_RANK: dict[TargetKind, int] = {"point": 0, "edge": 1, "area": 2}


@dataclass(frozen=True, slots=True)
class Hit:
    """A thing under the pointer."""

    key: str
    kind: TargetKind


def hit(picture: Picture, camera: Camera, point_px: Point2, *, prefer: str = "") -> Hit | None:
    """The thing to take hold of at device px: a point before an edge before an area.

    Of two points in reach the nearer is taken, of two edges the one on top;
    ``prefer`` names a key that wins among its own kind, such as what is selected.
    """
    found = hits(picture, camera, point_px)
    if not found:
        return None
    kind = found[0].kind
    return next((item for item in found if item.key == prefer and item.kind == kind), found[0])


def hits(picture: Picture, camera: Camera, point_px: Point2) -> tuple[Hit, ...]:
    """Everything in reach of device px, the likeliest first, each key once."""
    reach = REACH_PX * camera.ui_scale
    at = camera.to_world(point_px)
    found: list[tuple[tuple[int, float, int], Hit]] = []
    for order, item in enumerate(picture.primitives):
        if not item.key:
            continue
        kind, distance = _distance(item, at)
        distance *= camera.zoom
        if distance <= (reach if kind == "point" else reach * 0.6):
            nearness = distance if kind == "point" else 0.0
            found.append(((_RANK[kind], nearness, -order), Hit(item.key, kind)))
    found.sort(key=lambda pair: pair[0])
    seen: set[str] = set()
    unique: list[Hit] = []
    for _, item_hit in found:
        if item_hit.key not in seen:
            seen.add(item_hit.key)
            unique.append(item_hit)
    return tuple(unique)


def _distance(item: Primitive, at: Point2) -> tuple[TargetKind, float]:
    """How the pointer meets a primitive, and its distance in world mm; 0 inside an area."""
    kind: TargetKind = "edge"
    match item:
        case Handle():
            kind, distance = "point", math.dist(item.at, at)
        case Line():
            distance = to_segment(at, item.start, item.end)
        case Lines():
            distance = _to_nearest(at, item.segments)
        case Polyline() | Arc():
            distance = _to_nearest(at, pairwise(item.points))
        case Circle():
            kind, distance = "area", max(math.dist(item.centre, at) - item.radius, 0.0)
        case Polygon():
            kind = "area"
            outline = pairwise((*item.points, item.points[0]))
            distance = 0.0 if inside(at, item.points) else _to_nearest(at, outline)
        case _:
            distance = math.dist(item.at, at)
    return kind, distance


def _to_nearest(at: Point2, segments: Iterable[tuple[Point2, Point2]]) -> float:
    return min((to_segment(at, a, b) for a, b in segments), default=math.inf)


def to_segment(at: Point2, a: Point2, b: Point2) -> float:
    """Distance from a point to a straight line between two others."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    if square == 0.0:
        return math.dist(at, a)
    t = min(1.0, max(0.0, ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / square))
    return math.hypot(at[0] - a[0] - t * dx, at[1] - a[1] - t * dy)


def inside(at: Point2, points: tuple[Point2, ...]) -> bool:
    """Whether a point lies inside a closed outline (crossings of a ray, even and odd)."""
    x, y = at
    odd = False
    for (x1, y1), (x2, y2) in zip(points, (*points[1:], points[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            odd = not odd
    return odd
