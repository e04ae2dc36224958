"""Drawing brackets: pure steps from one outline to the next.

An outline is a tuple of corners (out, up) in mm, not closed, in either sense of
rotation; a polyline likewise.  Angles are in degrees, positive from out towards up.
Every function returns a new outline.  What no outline can satisfy raises
:class:`~kinematics.errors.InvalidInput` naming the argument.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely.geometry.polygon import orient

from kinematics.errors import require
from kinematics.parts import FrontPoint

Outline = tuple[FrontPoint, ...]
SAW_CUT_MM = 2.0

FLATTENED_TO_MM = 0.1
SHORTEST_EDGE_MM = 1e-3


def rectangle(corner: FrontPoint, opposite: FrontPoint) -> Outline:
    """The rectangle between two opposite corners, counter-clockwise from its lowest left.

    >>> rectangle((30, 0), (10, 5))
    ((10, 0), (30, 0), (30, 5), (10, 5))
    """
    (x0, x1), (y0, y1) = (sorted(pair) for pair in zip(corner, opposite, strict=True))
    across = min(x1 - x0, y1 - y0) >= SHORTEST_EDGE_MM
    require((across, "opposite", "a point across from the corner both ways"))
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def circle(
    centre: FrontPoint, diameter_mm: float, *, flattened_to_mm: float = FLATTENED_TO_MM
) -> Outline:
    """A disc as a polygon that holds it, nowhere more than ``flattened_to_mm`` outside it."""
    require((diameter_mm > 0.0, "diameter_mm", "mm above 0"))
    radius = 0.5 * diameter_mm
    half = math.acos(radius / (radius + flattened_to_mm))
    sides = max(6, math.ceil(math.pi / half))
    reach = radius / math.cos(math.pi / sides)
    return tuple(
        (
            centre[0] + reach * math.cos(2.0 * math.pi * i / sides),
            centre[1] + reach * math.sin(2.0 * math.pi * i / sides),
        )
        for i in range(sides)
    )


def plate(line: Sequence[FrontPoint], thickness_mm: float) -> Outline:
    """A plate of one thickness bent along a polyline, the line in the middle of it.

    Its ends are square and its bends mitred, sharp ones cut off square.  Raises
    InvalidInput where the plate would close round a hole or overlap itself.
    """
    require((thickness_mm > 0.0, "thickness_mm", "mm above 0"))
    kept = [point for i, point in enumerate(line) if i == 0 or point != line[i - 1]]
    require((len(kept) > 1, "line", "two points or more that are apart"))
    path = shapely.LineString(kept)
    body = path.buffer(0.5 * thickness_mm, cap_style="flat", join_style="mitre", mitre_limit=3.0)
    open_ = _in_one_piece(body) and path.is_simple
    require((open_, "line", "a line that leaves no closed hole between its plates"))
    return _corners(body)


def with_hole(outline: Outline, centre: FrontPoint, diameter_mm: float) -> Outline:
    """A round hole, opened to the nearest edge by a saw cut since an outline has no holes.

    A hole that already meets the edge needs no saw cut.  Raises InvalidInput where
    the outline would fall apart or vanish, or the hole misses it.
    """
    whole = shapely.Polygon(outline)
    hole = shapely.Polygon(circle(centre, diameter_mm))
    left = whole.difference(hole)
    if left.geom_type == "Polygon" and left.interiors:
        left = left.difference(saw_cut(hole, whole))
    require((_in_one_piece(left), "diameter_mm", "a hole that leaves the outline in one piece"))
    require((not left.equals(whole), "centre", "a hole that meets the outline"))
    return _corners(left)


def saw_cut(hole: shapely.Polygon, outline: shapely.Polygon) -> shapely.Polygon:
    """What a saw takes between a hole and the outline's nearest edge."""
    return shapely.shortest_line(hole, outline.exterior).buffer(0.5 * SAW_CUT_MM)


def moved_outline(outline: Outline, by: FrontPoint) -> Outline:
    """Moved by (out, up); a copy to set elsewhere is the same step."""
    return tuple((x + by[0], y + by[1]) for x, y in outline)


def edge_length_mm(outline: Outline, edge: int) -> float:
    """Length of the edge from corner ``edge`` to the next."""
    return math.dist(outline[edge], outline[(edge + 1) % len(outline)])


def with_edge_length(outline: Outline, edge: int, length_mm: float) -> Outline:
    """The edge's far corner moved along the edge until it has this length."""
    present = edge_length_mm(outline, edge)
    require((length_mm >= SHORTEST_EDGE_MM, "length_mm", "mm above 0"))
    require((present >= SHORTEST_EDGE_MM, "edge", "an edge that has a direction"))
    corner, share = (edge + 1) % len(outline), length_mm / present
    (x0, y0), (x1, y1) = outline[edge], outline[corner]
    end = (x0 + share * (x1 - x0), y0 + share * (y1 - y0))
    return (*outline[:corner], end, *outline[corner + 1 :])


def square_to(point: FrontPoint, anchor: FrontPoint) -> FrontPoint:
    """A point brought level with an anchor or plumb over it, whichever is nearer.

    >>> square_to((40, 3), (10, 5))
    (40, 5)
    """
    level = abs(point[0] - anchor[0]) >= abs(point[1] - anchor[1])
    return (point[0], anchor[1]) if level else (anchor[0], point[1])


def square_corner(outline: Outline, corner: int, point: FrontPoint) -> FrontPoint:
    """Where a dragged corner makes a right angle with its two neighbours, near ``point``.

    That is on the circle over the line between the neighbours (Thales).
    """
    before, after = outline[corner - 1], outline[(corner + 1) % len(outline)]
    centre = (0.5 * (before[0] + after[0]), 0.5 * (before[1] + after[1]))
    radius = 0.5 * math.dist(before, after)
    away = math.dist(point, centre)
    if away < SHORTEST_EDGE_MM:
        return point
    share = radius / away
    return (
        centre[0] + share * (point[0] - centre[0]),
        centre[1] + share * (point[1] - centre[1]),
    )


def _in_one_piece(shape: shapely.Geometry) -> bool:
    return shape.geom_type == "Polygon" and not shape.is_empty and not shape.interiors


def _corners(shape: shapely.Polygon) -> Outline:
    return tuple((float(x), float(y)) for x, y in orient(shape).exterior.coords[:-1])
