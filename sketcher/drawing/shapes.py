"""Outlines of parts, hatching and arrowheads: plain geometry of the drawing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely

from kinematics.vectors import Array
from sketcher.drawing.picture import Point2

Segment = tuple[Point2, Point2]
_DISC_SIDES = 24


def unit(a: Point2, b: Point2) -> Point2:
    """Direction from one point to another; to the right where they are one."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    return (dx / length, dy / length) if length > 1e-9 else (1.0, 0.0)


def pointing(angle_deg: float) -> Point2:
    """The direction at an angle, counter-clockwise from the right."""
    return (math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))


def angle_of(direction: Point2) -> float:
    """The angle at which a direction points, degrees from −180 to 180."""
    return math.degrees(math.atan2(direction[1], direction[0]))


def along(start: Point2, direction: Point2, distance: float, aside: float = 0.0) -> Point2:
    """The point a distance along a direction, and aside to its left."""
    u, v = direction
    return (start[0] + u * distance - v * aside, start[1] + v * distance + u * aside)


def between(a: Point2, b: Point2, part: float) -> Point2:
    """The point at a part of the way from one to another."""
    return (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)


def disc(centre: Point2, radius: float, sides: int = _DISC_SIDES) -> list[Point2]:
    """Corners of a round outline."""
    x, y = centre
    return [(x + radius * c, y + radius * s) for c, s in _round(sides)]


@lru_cache(maxsize=8)
def _round(sides: int) -> tuple[Point2, ...]:
    step = 2.0 * math.pi / sides
    return tuple((math.cos(step * i), math.sin(step * i)) for i in range(sides))


def hull(points: Sequence[Point2] | Array) -> tuple[Point2, ...]:
    """The convex outline round points; empty where they enclose nothing."""
    outline = shapely.convex_hull(shapely.multipoints(np.asarray(points, dtype=np.float64)))
    if not isinstance(outline, shapely.Polygon):
        return ()
    return to_points(shapely.get_coordinates(outline)[:-1])


def to_points(coordinates: Array) -> tuple[Point2, ...]:
    """An array of shape (n, 2) as points."""
    return tuple(zip(*coordinates.T.tolist(), strict=True))


@lru_cache(maxsize=16)
def link(a: Point2, radius_a: float, b: Point2, radius_b: float) -> tuple[Point2, ...]:
    """The outline of a link: two round ends and the straight lines that touch both."""
    sides = 32
    return hull([*disc(a, radius_a, sides), *disc(b, radius_b, sides)])


def strip(a: Point2, b: Point2, half_a: float, half_b: float | None = None) -> tuple[Point2, ...]:
    """The outline of a bar or taper between two points, by half its thickness at each."""
    direction = unit(a, b)
    end = half_a if half_b is None else half_b
    return (
        along(a, direction, 0.0, half_a),
        along(b, direction, 0.0, end),
        along(b, direction, 0.0, -end),
        along(a, direction, 0.0, -half_a),
    )


def bellows(a: Point2, b: Point2, half_a: float, half_b: float, fold: float) -> tuple[Point2, ...]:
    """The outline of a boot: a taper with folds about ``fold`` long, crests on the taper."""
    length = math.dist(a, b)
    folds = min(max(2, round(length / max(fold, 1e-6))), 9)
    direction = unit(a, b)
    depth = 0.12 * max(half_a, half_b)
    upper: list[Point2] = []
    for i in range(2 * folds + 1):
        part = i / (2 * folds)
        half = half_a + (half_b - half_a) * part
        if i % 2:
            half -= min(depth, half * 0.4)
        upper.append((part * length, half))
    top = [along(a, direction, s, half) for s, half in upper]
    bottom = [along(a, direction, s, -half) for s, half in reversed(upper)]
    return (*top, *bottom)


def arrowhead(tip: Point2, direction: Point2, length: float) -> tuple[Point2, ...]:
    """A closed filled arrowhead that points along ``direction`` (ISO 129-1), 20 degrees wide."""
    half = length * math.tan(math.radians(10.0))
    return (tip, along(tip, direction, -length, half), along(tip, direction, -length, -half))


def cross(at: Point2, half: float, *, slanted: bool = False) -> tuple[Segment, ...]:
    """Two lines across a point: level and plumb, or from corner to corner."""
    x, y = at
    ways = ((half, half), (half, -half)) if slanted else ((half, 0.0), (0.0, half))
    return tuple(((x - u, y - v), (x + u, y + v)) for u, v in ways)


def torn(x: float, from_y: float, to_y: float, step: float) -> tuple[Point2, ...]:
    """Where a bar that goes on is broken off: a run of points to and fro across its end."""
    return tuple(
        (x + (0.0 if i in (0, 6) else step if i % 2 else -step), from_y + (to_y - from_y) * i / 6.0)
        for i in range(7)
    )


@lru_cache(maxsize=64)
def hatching(
    outline: tuple[Point2, ...], pitch: float, angle_deg: float = 45.0
) -> tuple[Segment, ...]:
    """Parallel lines across an outline (ISO 128-50), fixed to the sheet so they do not crawl."""
    turn = math.radians(angle_deg)
    c, s = math.cos(turn), math.sin(turn)
    # In axes along and across the hatching.
    turned = [(x * c + y * s, -x * s + y * c) for x, y in outline]
    low, high = min(v for _, v in turned), max(v for _, v in turned)
    lines = math.floor((high - low) / pitch)
    if lines > 400:
        return ()
    segments: list[Segment] = []
    level = math.ceil(low / pitch) * pitch
    closed = [*turned, turned[0]]
    while level < high:
        crossings = sorted(
            u1 + (level - v1) / (v2 - v1) * (u2 - u1)
            for (u1, v1), (u2, v2) in pairwise(closed)
            if (v1 > level) != (v2 > level)
        )
        segments.extend(
            ((u1 * c - level * s, u1 * s + level * c), (u2 * c - level * s, u2 * s + level * c))
            for u1, u2 in zip(crossings[::2], crossings[1::2], strict=False)
        )
        level += pitch
    return tuple(segments)


def ground_ticks(
    a: Point2, b: Point2, count: int, length: float, *, right: bool = True
) -> tuple[Segment, ...]:
    """The slanted ticks of a surface fixed to the body, on the right of the way from a to b."""
    direction = unit(a, b)
    side = -1.0 if right else 1.0
    span = math.dist(a, b)
    step = span / count
    return tuple(
        (
            start := along(a, direction, (i + 0.5) * step),
            along(start, direction, -length * 0.7, side * length),
        )
        for i in range(count)
    )
