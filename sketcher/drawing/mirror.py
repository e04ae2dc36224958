"""A picture seen from the other side: the car's right side, which lies to the left in front view.

Both sides are measured, solved and laid out alike; only what is printed is turned over, its
texts staying readable.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sketcher.drawing.picture import (
    Arc,
    Circle,
    Handle,
    Horizontal,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Primitive,
    Text,
)

_OTHER: dict[Horizontal, Horizontal] = {"left": "right", "centre": "centre", "right": "left"}


def mirrored(picture: Picture, about_x: float) -> Picture:
    """The picture turned over about an upright line; texts keep the room that they had."""
    return Picture(tuple(_turned_over(item, about_x) for item in picture))


def _turned_over(item: Primitive, about_x: float) -> Primitive:
    def over(point: Point2) -> Point2:
        return (2.0 * about_x - point[0], point[1])

    changes: dict[str, Any]
    match item:
        case Line():
            changes = {"start": over(item.start), "end": over(item.end)}
        case Lines():
            changes = {"segments": tuple((over(a), over(b)) for a, b in item.segments)}
        case Polyline() | Polygon():
            changes = {"points": tuple(map(over, item.points))}
        case Circle():
            changes = {"centre": over(item.centre)}
        case Arc():
            changes = {
                "centre": over(item.centre),
                "start_deg": 180.0 - item.end_deg,
                "end_deg": 180.0 - item.start_deg,
            }
        case Text():
            hand = _OTHER[item.horizontal]
            changes = {"at": over(item.at), "horizontal": hand, "angle_deg": -item.angle_deg}
        case Handle():
            changes = {"at": over(item.at)}
    return replace(item, **changes)
