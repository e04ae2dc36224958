"""How far the shaft stays from every bracket, exact in three dimensions.

The gap of two solids apart is their distance.  Where they overlap it is negative
by the depth of the overlap measured along the shaft's radius.  The results are
exact where they are asked for, though few are worked out: for each
position the smallest gap and its bracket; for each bracket its smallest gap over
the whole motion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.gaps.search import Search
from kinematics.gaps.solids import TurnedBody, common_positions
from kinematics.parts import Bracket
from kinematics.poses import CarrierPose, Carriers
from kinematics.vectors import Array, Ints, read_only

Feature = Literal["corner", "edge", "front face", "rear face", "inside"]

BODY_ONLY: Carriers = {"body": CarrierPose.still()}
# Points this close to a corner or an edge are on it, mm.
ON_FEATURE = 1e-4


@dataclass(frozen=True, slots=True)
class ClosestApproach:
    """Where a bracket and the turned bodies come closest over the motion.

    ``position`` indexes the leading axes of the arrays; ``body`` and ``section``
    the turned body and its section.  ``feature`` of the bracket at ``corner``: that
    corner of the outline, or the edge from it to the next, at whatever depth
    ``point_mm`` tells; faces and the inside have no corner.  ``point_mm`` is on the
    bracket as drawn at ride height.
    """

    bracket: int
    bracket_name: str
    gap_mm: float
    wanted_gap_mm: float
    position: tuple[int, ...]
    body: int
    section: int
    section_name: str
    feature: Feature
    corner: int | None
    point_mm: tuple[float, float, float]

    @property
    def holds(self) -> bool:
        """Whether the wanted gap is met."""
        return self.gap_mm >= self.wanted_gap_mm


@dataclass(frozen=True, slots=True, eq=False)
class Clearance:
    """Smallest gaps over brackets at each position, and over the motion for each bracket.

    ``gap_mm`` and ``nearest`` (index of the bracket) have the shape of the positions;
    NaN and −1 where a position is unknown or nothing can be met.  ``approaches`` has
    one entry for each bracket, in order; empty where nothing can be met.
    """

    gap_mm: Array
    nearest: Ints
    approaches: tuple[ClosestApproach, ...]

    @property
    def worst(self) -> ClosestApproach | None:
        """The smallest gap of all."""
        return min(self.approaches, key=lambda one: one.gap_mm, default=None)


def clearance(
    bodies: Sequence[TurnedBody],
    brackets: Sequence[Bracket],
    carriers: Carriers = BODY_ONLY,
    *,
    each_position: bool = True,
    each_bracket: bool = True,
) -> Clearance:
    """Smallest gaps at every position and for every bracket, mm.

    The positions of ``bodies`` and ``carriers`` broadcast together.  While something is
    dragged, ``each_bracket`` False leaves ``approaches`` empty and takes half the time;
    ``each_position`` False leaves ``gap_mm`` unknown and takes two thirds.
    Raises KeyError where a bracket is mounted on a carrier that is not given.
    """
    search = Search.of(
        bodies, brackets, carriers, each_position=each_position, each_bracket=each_bracket
    )
    shape = common_positions(bodies, carriers)
    gap, nearest = np.full(shape, np.nan), np.full(shape, -1, dtype=np.intp)
    approaches: list[ClosestApproach] = []
    if search is not None:
        search.run()
        if each_position:
            gap[search.known] = search.best
            nearest[search.known] = search.table.bracket[search.best_row]
        places = np.argwhere(search.known)
        for b, bracket in enumerate(brackets if each_bracket else ()):
            position = tuple(places[search.bracket_position[b]].tolist())
            approaches.append(found_by(search, b, bracket, bodies, position))
    return Clearance(read_only(gap), read_only(nearest), tuple(approaches))


def gaps_and_points(
    bodies: Sequence[TurnedBody],
    brackets: Sequence[Bracket],
    carriers: Carriers = BODY_ONLY,
) -> tuple[Array, Array]:
    """Each bracket's smallest gap, mm, and where on the bracket as drawn, shape (brackets, 3).

    The same as the approaches of :func:`clearance` in half the time, for the one position of
    a frame: what they meet is left out.  Empty where nothing can be met.
    """
    search = Search.of(bodies, brackets, carriers, each_position=False)
    if search is None:
        return np.empty(0), np.empty((0, 3))
    search.run()
    return read_only(search.bracket_best), read_only(search.bracket_point)


def approach(
    b: int,
    bracket: Bracket,
    bodies: Sequence[TurnedBody],
    *,
    body: int,
    section: int,
    position: tuple[int, ...],
    gap_mm: float,
    point: Sequence[float],
) -> ClosestApproach:
    """What was worked out for bracket ``b``: its gap to a body's section, from a point of it."""
    x, y, z = point
    feature, corner = feature_at(bracket, (x, y, z))
    return ClosestApproach(
        bracket=b,
        bracket_name=bracket.name,
        gap_mm=gap_mm,
        wanted_gap_mm=bracket.wanted_gap,
        position=position,
        body=body,
        section=section,
        section_name=bodies[body].sections[section].name,
        feature=feature,
        corner=corner,
        point_mm=(x, y, z),
    )


def found_by(
    search: Search,
    b: int,
    bracket: Bracket,
    bodies: Sequence[TurnedBody],
    position: tuple[int, ...],
) -> ClosestApproach:
    """What a finished search found for its bracket ``b``."""
    row = search.bracket_row[b]
    return approach(
        b,
        bracket,
        bodies,
        body=int(search.table.body[row]),
        section=int(search.table.section[row]),
        position=position,
        gap_mm=float(search.bracket_best[b]),
        point=search.bracket_point[b].tolist(),
    )


def feature_at(bracket: Bracket, point: tuple[float, float, float]) -> tuple[Feature, int | None]:
    """What part of a bracket a point of it, mm, is on, and the corner where that begins."""
    outline = np.array(bracket.outline)
    place = np.array(point[:2])
    from_corner = np.hypot(*(outline - place).T)
    corner = int(np.argmin(from_corner))
    if from_corner[corner] < ON_FEATURE:
        return "corner", corner
    run = np.roll(outline, -1, axis=0) - outline
    share = np.sum((place - outline) * run, axis=1) / np.sum(run * run, axis=1)
    foot = outline + np.clip(share, 0.0, 1.0)[:, None] * run
    from_edge = np.hypot(*(foot - place).T)
    edge = int(np.argmin(from_edge))
    if from_edge[edge] < ON_FEATURE:
        return "edge", edge
    rear, front = bracket.fore or (np.inf, np.inf)
    if abs(point[2] - front) < ON_FEATURE:
        return "front face", None
    return ("rear face" if abs(point[2] - rear) < ON_FEATURE else "inside"), None
