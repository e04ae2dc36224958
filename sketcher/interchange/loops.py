"""From what a drawing holds to closed outlines: joining ends, flattening arcs, choosing one.

Points are (out, up) in mm, y upwards.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.validation import explain_validity

from kinematics.gaps.outlines import Outline
from kinematics.part import LARGEST_LENGTH
from kinematics.parts import MOST_CORNERS, FrontPoint

# Ends of lines that a drawing program snapped together are closer than this.
SAME_POINT_MM = 0.01
# A micrometre: coordinates stay short in the scene file, and nobody cuts finer.
ROUNDED_TO = 3
SMALLEST_AREA_MM2 = 1.0
MOST_PIECES = 5_000
MOST_LISTED = 6


class OutlineError(Exception):
    """A drawing that gives no outline; says in one line what is wrong, where, what to do."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One run of points from a drawing; ``where`` names it as the drawing does."""

    points: tuple[FrontPoint, ...]
    closed: bool
    where: str


@dataclass(frozen=True, slots=True)
class Loop:
    """One closed outline of a drawing, counter-clockwise."""

    outline: Outline
    where: str

    @property
    def size_mm(self) -> tuple[float, float]:
        """Extent across and upwards."""
        left, bottom, right, top = shapely.Polygon(self.outline).bounds
        return (right - left, top - bottom)

    def __str__(self) -> str:
        (wide, high), (out, up) = self.size_mm, self.outline[0]
        return f"{self.where}, {wide:.1f} x {high:.1f} mm, from {at((out, up))}"


def at(point: FrontPoint) -> str:
    """A place in the drawing, for a message."""
    return f"({point[0]:.1f}, {point[1]:.1f})"


def few_enough(count: int) -> None:
    """Raise OutlineError for a drawing of more lines and curves than one part has."""
    if count > MOST_PIECES:
        raise OutlineError(
            f"expected fewer than {MOST_PIECES} lines and curves, got {count}; "
            "keep only the outline"
        )


def within_reason(points: Iterable[FrontPoint], where: str) -> None:
    """Raise OutlineError for coordinates that are no length on a car."""
    for point in points:
        if not all(math.isfinite(c) and abs(c) <= LARGEST_LENGTH for c in point):
            raise OutlineError(
                f"{where}: expected coordinates below {LARGEST_LENGTH:g} mm in size, "
                f"got ({point[0]:g}, {point[1]:g})"
            )


def closed_loops(pieces: Sequence[Piece]) -> tuple[Loop, ...]:
    """The closed outlines that the pieces make, the largest first.

    Open pieces are joined where their ends meet.  Raises OutlineError where an end
    is left over, or an outline crosses itself.
    """
    few_enough(len(pieces))
    for piece in pieces:
        within_reason(piece.points, piece.where)
    rings = [piece for piece in pieces if piece.closed or _meets_itself(piece)]
    rings += _joined([piece for piece in pieces if not (piece.closed or _meets_itself(piece))])
    loops = [_loop(ring) for ring in rings]
    return tuple(sorted(loops, key=lambda loop: -shapely.Polygon(loop.outline).area))


def chosen(loops: Sequence[Loop], number: int | None = None) -> Loop:
    """The loop asked for, counted from 1, or the only one there is."""
    if not loops:
        raise OutlineError("expected a closed outline, the drawing has none")
    if number is not None:
        if not 1 <= number <= len(loops):
            raise OutlineError(f"expected an outline from 1 to {len(loops)}, got {number}")
        return loops[number - 1]
    if len(loops) == 1:
        return loops[0]
    listed = "; ".join(f"{i}: {loop}" for i, loop in enumerate(loops[:MOST_LISTED], 1))
    more = f"; and {len(loops) - MOST_LISTED} more" if len(loops) > MOST_LISTED else ""
    raise OutlineError(
        f"expected one closed outline, got {len(loops)}; choose one by its number: {listed}{more}"
    )


def _meets_itself(piece: Piece) -> bool:
    ends = math.dist(piece.points[0], piece.points[-1])
    return len(piece.points) > 3 and ends <= SAME_POINT_MM


def _joined(pieces: Sequence[Piece]) -> list[Piece]:
    """Open pieces joined end to end into rings."""
    ends = [piece.points[at] for piece in pieces for at in (0, -1)]
    numbers = iter(_numbered(ends))
    meeting: dict[int, list[int]] = defaultdict(list)
    nodes = []
    for i, piece in enumerate(pieces):
        pair = (next(numbers), next(numbers))
        if pair[0] == pair[1]:
            raise OutlineError(f"{piece.where}: expected a line with a length")
        nodes.append(pair)
        for node in pair:
            meeting[node].append(i)
    for node, around in meeting.items():
        place, piece = ends[node], pieces[around[0]]
        if len(around) == 1:
            raise OutlineError(
                f"{piece.where}: expected a closed outline, its end at {at(place)} meets nothing"
            )
        if len(around) > 2:
            raise OutlineError(
                f"{piece.where}: expected two lines to meet at a corner, "
                f"at {at(place)} there are {len(around)}"
            )
    rings, left = [], set(range(len(pieces)))
    while left:
        first = min(left)
        left.remove(first)
        points = list(pieces[first].points)
        home, node = nodes[first]
        while node != home:
            (i,) = (other for other in meeting[node] if other in left)
            left.remove(i)
            onward = nodes[i][0] == node
            points += pieces[i].points[1:] if onward else pieces[i].points[-2::-1]
            node = nodes[i][1] if onward else nodes[i][0]
        rings.append(Piece(tuple(points), closed=True, where=pieces[first].where))
    return rings


def _numbered(ends: Sequence[FrontPoint]) -> list[int]:
    """A number for each end of a line: the first end's that lies within a hundredth of a mm."""
    places = shapely.points(np.reshape(ends, (-1, 2)))
    near = shapely.STRtree(places).query(places, predicate="dwithin", distance=SAME_POINT_MM)
    numbers = list(range(len(ends)))
    for end, other in sorted(zip(*near.tolist(), strict=True)):
        if other < end and numbers[other] == other:
            numbers[end] = min(numbers[end], other)
    return numbers


def _loop(ring: Piece) -> Loop:
    corners: list[FrontPoint] = []
    for x, y in ring.points:
        corner = (round(x, ROUNDED_TO) + 0.0, round(y, ROUNDED_TO) + 0.0)
        if not corners or math.dist(corner, corners[-1]) > SAME_POINT_MM:
            corners.append(corner)
    while len(corners) > 1 and math.dist(corners[0], corners[-1]) <= SAME_POINT_MM:
        corners.pop()
    if len(corners) < 3:
        raise OutlineError(f"{ring.where}: expected three corners or more")
    if len(corners) > MOST_CORNERS:
        raise OutlineError(
            f"{ring.where}: expected an outline of up to {MOST_CORNERS} corners, "
            f"got {len(corners)}; draw it simpler"
        )
    polygon = shapely.Polygon(corners)
    if not polygon.is_valid:
        reason = explain_validity(polygon).replace("[", " at (").replace("]", ")")
        raise OutlineError(
            f"{ring.where}: expected an outline that does not cross or touch itself: {reason}"
        )
    if polygon.area < SMALLEST_AREA_MM2:
        raise OutlineError(
            f"{ring.where}: expected an outline that encloses {SMALLEST_AREA_MM2:g} mm² or more, "
            f"got {polygon.area:.3g} mm²; are the units right?"
        )
    turned = corners if polygon.exterior.is_ccw else [corners[0], *reversed(corners[1:])]
    return Loop(tuple(turned), ring.where)
