"""How much of a bracket has to go for the shaft to clear it, and what outline is left.

A point of the outline stands for a column through the bracket's depth.  It has to
go where any of that column comes closer to a turned body than the wanted gap:
where the body, grown by the gap and cut to the bracket's depths, shows in the
front view.  Bodies that pass before or behind the bracket by more than the gap
take nothing.  The outline that is left is checked against every position by
:mod:`kinematics.gaps.clearance`, and cut again where it still falls short.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from kinematics.gaps.bounds import GapTable
from kinematics.gaps.clearance import BODY_ONLY
from kinematics.gaps.closest import closest_approaches
from kinematics.gaps.front_views import front_views_between
from kinematics.gaps.outlines import saw_cut
from kinematics.gaps.search import Search
from kinematics.gaps.solids import TurnedBody, fore_of_sections
from kinematics.parts import Bracket, FrontPoint
from kinematics.poses import Carriers
from kinematics.vectors import Mask, distinct

# No corner of a front view stands out by more than so much.
STANDS_OUT_MM = 0.1
# Outlines are given to a hundredth; what rounding may take back is cut away beforehand.
ROUNDED_TO = 2
ROUNDING_MM = 0.01
# Corners of a cut edge lie this much farther back than they must, so that there are few.
EASED_MM = 0.2
SMALLEST_PIECE_MM2 = 0.5
MOST_CUTS = 12
# Front views united at once; neighbours on a track hardly differ.
MOST_OUTLINES = 400


@dataclass(frozen=True, slots=True, eq=False)
class Trim:
    """What trimming a bracket to its wanted gap takes.

    ``cut`` is the part of the outline that has to go.  ``outline`` is what is left,
    None where nothing is; of several pieces it is the largest, and ``fell_off``
    holds the others.  ``holes_opened`` counts closed holes that a saw cut from the
    edge had to open, as an outline has no holes.  ``gap_mm`` is the smallest gap of
    what is left.
    """

    bracket: Bracket
    cut: shapely.Polygon | shapely.MultiPolygon
    outline: tuple[FrontPoint, ...] | None
    fell_off: tuple[tuple[FrontPoint, ...], ...]
    holes_opened: int
    gap_mm: float

    @property
    def needed(self) -> bool:
        """Whether anything has to go."""
        return bool(self.cut.area > 0.0)

    @property
    def trimmed(self) -> Bracket | None:
        """The bracket with what is left of its outline; None where nothing is."""
        return None if self.outline is None else replace(self.bracket, outline=self.outline)


@dataclass(frozen=True, slots=True, eq=False)
class Nearer:
    """Positions that were not given to :func:`trim`, and the smallest gap that they leave."""

    gap_mm: float
    bodies: tuple[TurnedBody, ...]
    carriers: Carriers


def trim(
    bodies: Sequence[TurnedBody],
    bracket: Bracket,
    carriers: Carriers = BODY_ONLY,
    nearer: Callable[[Bracket], Sequence[Nearer]] = lambda _: (),
) -> Trim:
    """Trim a bracket so that every position given leaves its wanted gap.

    Cut edges lie up to 0.25 mm farther back than they must, which saves corners.
    ``nearer`` names what else comes nearest to what is left, between the positions given.
    Raises KeyError where the bracket's carrier is not given.
    """
    whole = shapely.Polygon(bracket.outline)
    taken = shapely.Polygon()
    pieces, holes = [whole], 0
    left, gone = bracket, False
    between: Sequence[Nearer] = ()
    given_hold = False
    for attempt in range(MOST_CUTS):
        close = []
        if not given_hold:
            close = [_short_of_gap(bodies, carriers, left)]
            given_hold = close[0].is_empty
        if given_hold:
            between = nearer(left)
            close = [
                _short_of_gap(one.bodies, one.carriers, left)
                for one in between
                if one.gap_mm < bracket.wanted_gap
            ]
            if all(shape.is_empty for shape in close):
                break
        # A little farther back each time, so that rounding cannot keep it going.
        grown = [shape.buffer(ROUNDING_MM * attempt) for shape in close]
        taken = shapely.union_all([taken, *grown])
        pieces, holes = _left_of(whole, taken)
        gone = not pieces
        if gone:
            break
        left = replace(bracket, outline=_corners(pieces[0]))
    gaps = [] if gone else [one.gap_mm for one in closest_approaches(bodies, [left], carriers)]
    gaps += [] if gone else [one.gap_mm for one in between]
    return Trim(
        bracket=bracket,
        cut=shapely.MultiPolygon(_polygons(whole.difference(shapely.union_all(pieces)))),
        outline=None if gone else left.outline,
        fell_off=tuple(_corners(piece) for piece in pieces[1:]),
        holes_opened=holes,
        gap_mm=min(gaps, default=np.inf),
    )


def _short_of_gap(
    bodies: Sequence[TurnedBody], carriers: Carriers, bracket: Bracket
) -> shapely.Polygon | shapely.MultiPolygon:
    """Front view of all that comes closer than the wanted gap; empty where nothing does."""
    search = Search.of(bodies, [bracket], carriers, each_bracket=False, at_most=bracket.wanted_gap)
    if search is None:
        return shapely.Polygon()
    search.run()
    short = search.best < bracket.wanted_gap
    return _too_close(search.table, bracket, short) if short.any() else shapely.Polygon()


def _too_close(
    table: GapTable, bracket: Bracket, short: Mask
) -> shapely.Polygon | shapely.MultiPolygon:
    """Front view of all that comes closer than the wanted gap, in the bracket's depths."""
    gap = bracket.wanted_gap + ROUNDING_MM
    row, position = np.nonzero((table.bounds() < gap) & short)
    frame = table.frame[row] * table.positions + position
    profile = table.profile[row]
    if bracket.fore is not None:
        own = table.frames[frame]
        rear, front = fore_of_sections(profile, own.along[:, 2])
        centre = own.origin[:, 2]
        meets = np.flatnonzero(
            (centre + front + gap > bracket.fore[0]) & (centre + rear - gap < bracket.fore[1])
        )
        frame, profile = frame[meets], profile[meets]
    if len(frame) > MOST_OUTLINES:
        some = distinct(np.linspace(0, len(frame) - 1, MOST_OUTLINES).astype(np.intp))
        frame, profile = frame[some], profile[some]
    shapes: shapely.Polygon | shapely.MultiPolygon = shapely.union_all(
        front_views_between(
            table.frames[frame],
            profile,
            grown_mm=gap,
            between_fore=bracket.fore,
            stands_out_mm=STANDS_OUT_MM,
        )
    )
    return shapes


def _left_of(
    whole: shapely.Polygon, taken: shapely.Polygon | shapely.MultiPolygon
) -> tuple[list[shapely.Polygon], int]:
    """Pieces that are left, the largest first, and how many holes had to be opened."""
    eased = taken.buffer(EASED_MM).simplify(EASED_MM)
    pieces, holes = [], 0
    for piece in _polygons(whole.difference(eased)):
        opened = piece
        while opened.interiors:
            holes += 1
            hole = shapely.Polygon(opened.interiors[0])
            gone = shapely.union_all([hole, saw_cut(hole, opened)])
            opened = max(_polygons(opened.difference(gone)), key=lambda part: part.area)
        rounded = shapely.Polygon(np.round(np.array(opened.exterior.coords), ROUNDED_TO))
        pieces += [
            part for part in _polygons(rounded.buffer(0.0)) if part.area > SMALLEST_PIECE_MM2
        ]
    return sorted(pieces, key=lambda part: -part.area), holes


def _polygons(shape: shapely.Geometry) -> list[shapely.Polygon]:
    return [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]


def _corners(piece: shapely.Polygon) -> tuple[FrontPoint, ...]:
    """The outline's corners, counter-clockwise, those in the middle of an edge left out."""
    ring = piece.simplify(0.0).exterior
    corners = [(float(x), float(y)) for x, y in ring.coords[:-1]]
    return tuple(corners if ring.is_ccw else reversed(corners))
