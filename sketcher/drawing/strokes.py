"""Lines as pygame can draw them well: hairlines side by side, dashes, and what is in view."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

import pygame
import shapely

from sketcher.drawing.picture import Point2
from sketcher.drawing.shapes import to_points

# Two hairlines closer than this leave no lighter line between them.
SPACING = 0.7
# Lines thinner than this, px, are single hairlines.
HAIRLINE = 1.25
# Wider lines have their middle filled.
STOUT = 4.0
# Runs of more points are taken for smooth curves.
MANY = 44
MITRE_LIMIT = 2.0
# Points nearer than this are one, px.
TOUCHING = 1e-3
# Filling and level lines take time by their size, seen or not; what reaches beyond this is cut.
FAR = 20000.0


def side_by_side(points: Sequence[Point2], width: float) -> Iterator[Sequence[Point2]]:
    """The hairlines that make up an open run of a width."""
    if width < HAIRLINE:
        yield points
        return
    normals = mitres(points, closed=False)
    for offset in hairlines((width - 1.0) / 2.0):
        yield beside(points, normals, offset)


def beside(points: Sequence[Point2], normals: Sequence[Point2], by: float) -> list[Point2]:
    """A run moved aside along its normals."""
    return [(x + u * by, y + v * by) for (x, y), (u, v) in zip(points, normals, strict=True)]


@lru_cache(maxsize=64)
def hairlines(reach: float) -> tuple[float, ...]:
    """Where the hairlines of a line lie across it."""
    lines = max(2, math.ceil(2.0 * reach / SPACING) + 1)
    return tuple(-reach + 2.0 * reach * i / (lines - 1) for i in range(lines))


def near(points: Sequence[Point2]) -> bool:
    """Whether every point is near enough to any screen."""
    # A plain loop takes half the time of all(), and this is asked of all that is painted.
    for x, y in points:  # noqa: SIM110
        if not (-FAR < x < FAR and -FAR < y < FAR):
            return False
    return True


def upright_box(points: Sequence[Point2]) -> tuple[int, int, int, int] | None:
    """Left, top, width and height of an outline that is an upright rectangle; else None."""
    if len(points) != 4:
        return None
    (x1, y1), (x2, y2), (x3, y3), (x4, y4) = points
    level_first = x1 == x4 and x2 == x3 and y1 == y2 and y3 == y4
    if not level_first and not (x1 == x2 and x3 == x4 and y2 == y3 and y4 == y1):
        return None
    left, top = round(min(x1, x3)), round(min(y1, y3))
    return (left, top, round(max(x1, x3)) - left, round(max(y1, y3)) - top)


def clipped_outline(points: Sequence[Point2], surface: pygame.Surface) -> Sequence[Point2]:
    """The part of an outline near the surface; of several parts the largest."""
    width, height = surface.get_size()
    outline = shapely.make_valid(shapely.Polygon(points))
    part = shapely.clip_by_rect(outline, -100.0, -100.0, width + 100.0, height + 100.0)
    pieces = [piece for piece in shapely.get_parts(part) if isinstance(piece, shapely.Polygon)]
    largest = max(pieces, key=lambda piece: float(piece.area), default=None)
    return () if largest is None else to_points(shapely.get_coordinates(largest.exterior))


def in_view(points: Sequence[Point2], surface: pygame.Surface) -> Iterator[Sequence[Point2]]:
    """The run itself, or where it reaches far out the stretches of it near the surface."""
    if near(points):
        yield points
        return
    area = surface.get_rect().inflate(200, 200)
    for a, b in pairwise(points):
        cut = area.clipline(*shortened(a, b))
        if cut:
            yield cut


def shortened(a: Point2, b: Point2) -> tuple[Point2, Point2]:
    """The line between two points without what lies further out than its integers reach."""
    far = max(abs(v) for v in (*a, *b))
    if far < FAR:
        return a, b
    line = shapely.clip_by_rect(shapely.LineString((a, b)), -FAR, -FAR, FAR, FAR)
    coordinates = shapely.get_coordinates(line)
    return (a, a) if len(coordinates) < 2 else to_points(coordinates)[:2]  # type: ignore[return-value]


def mitres(points: Sequence[Point2], *, closed: bool) -> list[Point2]:
    """At each point the unit normal, lengthened at corners so that parallel lines keep apart."""
    sides: list[Point2] = []
    last: Point2 = (0.0, -1.0)
    following = [*points[1:], points[0]]
    for (x1, y1), (x2, y2) in zip(points, following, strict=True):
        dx, dy = x2 - x1, y2 - y1
        length = math.hypot(dx, dy)
        if length > 1e-9:
            last = (-dy / length, dx / length)
        sides.append(last)
    normals: list[Point2] = []
    for before, after in zip((sides[-1], *sides[:-1]), sides, strict=True):
        u, v = before[0] + after[0], before[1] + after[1]
        square = u * u + v * v
        stretch = min(2.0 / square, MITRE_LIMIT) if square > 1e-9 else 0.0
        normals.append((u * stretch, v * stretch))
    if not closed:
        normals[0], normals[-1] = sides[0], sides[-2]
    return normals


def apart(points: Sequence[Point2]) -> list[Point2]:
    """The points without those that lie on the one before."""
    kept = [points[0]]
    for point in points[1:]:
        _join(kept, point)
    return kept


def _join(run: list[Point2], point: Point2) -> None:
    # A line of no length has no direction to be antialiased along.
    (x1, y1), (x2, y2) = run[-1], point
    if abs(x2 - x1) > TOUCHING or abs(y2 - y1) > TOUCHING:
        run.append(point)


def dashed(points: Sequence[Point2], dashes: tuple[float, ...]) -> Iterator[list[Point2]]:
    """The drawn pieces of a run: dash, gap, dash, gap… along its length."""
    which, left = 0, dashes[0]
    piece: list[Point2] = [points[0]]
    for (x1, y1), (x2, y2) in pairwise(points):
        length = math.hypot(x2 - x1, y2 - y1)
        done = 0.0
        while length - done > left:
            done += left
            t = done / length
            at = (x1 + (x2 - x1) * t, y1 + (y2 - y1) * t)
            if which % 2 == 0:
                _join(piece, at)
                if len(piece) > 1:
                    yield piece
            piece = [at]
            which = (which + 1) % len(dashes)
            left = dashes[which]
        left -= length - done
        if which % 2 == 0:
            _join(piece, (x2, y2))
    if which % 2 == 0 and len(piece) > 1:
        yield piece
