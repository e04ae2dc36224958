"""Which thing of a picture is under the pointer."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import shapely

from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import (
    Circle,
    Handle,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Primitive,
    Text,
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
    unique: dict[str, Hit] = {}
    for _, one in found:
        unique.setdefault(one.key, one)
    return tuple(unique.values())


def _distance(item: Primitive, at: Point2) -> tuple[TargetKind, float]:
    """How the pointer meets a primitive, and its distance in world mm; 0 inside an area."""
    match item:
        case Handle():
            return "point", math.dist(item.at, at)
        case Text():
            return "edge", math.dist(item.at, at)
        case Circle():
            return "area", max(math.dist(item.centre, at) - item.radius, 0.0)
        case Polygon():
            return "area", shapely.Polygon(item.points).distance(shapely.Point(at))
        case Line():
            shape = shapely.LineString((item.start, item.end))
        case Lines():
            shape = shapely.MultiLineString(item.segments)
        case _:
            shape = shapely.LineString(item.points)
    return "edge", shape.distance(shapely.Point(at))
