"""How far the shaft stays from every bracket, exact in three dimensions.

The gap of two solids apart is their distance.  Where they overlap it is negative
by the depth of the overlap measured along the shaft's radius.  The results are
exact where they are asked for, though few pairs are worked out: for each
position the smallest gap and its bracket; for each bracket its smallest gap over
the whole motion.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.meetings import Meetings
from kinematics.parts import Bracket, Carrier
from kinematics.solids import CarrierPose, Ints, TurnedBody
from kinematics.vectors import Array, Mask, read_only

Feature = Literal["corner", "edge", "front face", "rear face", "inside"]

BODY_ONLY: Mapping[Carrier, CarrierPose] = {"body": CarrierPose.still()}
# Points this close to a corner or an edge are on it, mm.
ON_FEATURE = 1e-4
# Pairs worked out for each bracket in the first round; four times as many in each further one.
FIRST_BATCH = 4


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

    @property
    def short_of_wanted(self) -> tuple[ClosestApproach, ...]:
        """The brackets that come closer than their wanted gap."""
        return tuple(one for one in self.approaches if not one.holds)


def clearance(
    bodies: Sequence[TurnedBody],
    brackets: Sequence[Bracket],
    carriers: Mapping[Carrier, CarrierPose] = BODY_ONLY,
) -> Clearance:
    """Smallest gaps at every position and for every bracket, mm.

    The positions of ``bodies`` and ``carriers`` broadcast together.  Raises KeyError
    where a bracket is mounted on a carrier that is not given.
    """
    search = _Search.of(bodies, brackets, carriers)
    if search is None:
        shape = _positions(bodies, carriers)
        return Clearance(
            read_only(np.full(shape, np.nan)), read_only(np.full(shape, -1, dtype=np.intp)), ()
        )
    search.run()
    return search.result(bodies, brackets)


def every_gap(
    bodies: Sequence[TurnedBody],
    bracket: Bracket,
    carriers: Mapping[Carrier, CarrierPose] = BODY_ONLY,
) -> Array:
    """One bracket's exact gap at every position, mm; NaN where a position is unknown."""
    return clearance(bodies, [bracket], carriers).gap_mm


def _positions(
    bodies: Sequence[TurnedBody], carriers: Mapping[Carrier, CarrierPose]
) -> tuple[int, ...]:
    return np.broadcast_shapes(
        *(body.positions for body in bodies),
        *(carrier.moved.shape[:-1] for carrier in carriers.values()),
        *(c.rotation.shape[:-2] for c in carriers.values() if c.rotation is not None),
    )


@dataclass(slots=True, eq=False)
class _Search:
    """Work in hand: bounds shrink to what is still open, bests fall."""

    meetings: Meetings
    known: Mask
    below: Array
    best: Array
    best_row: Ints
    bracket_best: Array
    bracket_row: Ints
    bracket_position: Ints
    bracket_point: Array

    @classmethod
    def of(
        cls,
        bodies: Sequence[TurnedBody],
        brackets: Sequence[Bracket],
        carriers: Mapping[Carrier, CarrierPose],
    ) -> _Search | None:
        if not brackets or not any(body.sections for body in bodies):
            return None
        meetings, known = Meetings.of(bodies, brackets, carriers)
        count = meetings.positions
        if not count:
            return None
        return cls(
            meetings,
            known,
            meetings.bounds(),
            np.full(count, np.inf),
            np.full(count, -1, dtype=np.intp),
            np.full(len(brackets), np.inf),
            np.full(len(brackets), -1, dtype=np.intp),
            np.full(len(brackets), -1, dtype=np.intp),
            np.full((len(brackets), 3), np.nan),
        )

    def run(self) -> None:
        """Work out pairs, the most promising first, until no bound can beat a best."""
        count = self.meetings.positions
        columns = np.arange(count)
        batch = FIRST_BATCH
        while True:
            self._try(np.argmin(self.below, axis=0), columns)
            self._try(*self._most_promising(batch))
            batch *= 4
            open_ = self.below < np.maximum(
                self.best, self.bracket_best[self.meetings.bracket, None]
            )
            row, position = np.nonzero(open_)
            if len(row) <= count:
                self._try(row, position)
                return

    def _most_promising(self, batch: int) -> tuple[Ints, Ints]:
        """Rows and positions of each bracket's lowest bounds, a batch for each."""
        rows, positions = [], []
        for bracket, best in enumerate(self.bracket_best):
            own = np.flatnonzero(self.meetings.bracket == bracket)
            below = self.below[own].ravel()
            some = np.flatnonzero(below < best)
            if len(some) > batch:
                some = some[np.argpartition(below[some], batch)[:batch]]
            row, position = np.divmod(some, self.meetings.positions)
            rows.append(own[row])
            positions.append(position)
        return np.concatenate(rows), np.concatenate(positions)

    def _try(self, row: Ints, position: Ints) -> None:
        bracket = self.meetings.bracket[row]
        below = self.below[row, position]
        within = np.maximum(self.best[position], self.bracket_best[bracket])
        useful = below < within
        row, position, bracket = row[useful], position[useful], bracket[useful]
        if not len(row):
            return
        found = self.meetings.gaps(row, position, below[useful], within[useful])
        self.below[row, position] = np.inf
        order = np.lexsort((row, -found.gap))
        # Later writes win: the smallest gap of each position comes last.
        smaller = order[found.gap[order] < self.best[position[order]]]
        self.best[position[smaller]] = found.gap[smaller]
        self.best_row[position[smaller]] = row[smaller]
        smaller = order[found.gap[order] < self.bracket_best[bracket[order]]]
        self.bracket_best[bracket[smaller]] = found.gap[smaller]
        self.bracket_row[bracket[smaller]] = row[smaller]
        self.bracket_position[bracket[smaller]] = position[smaller]
        self.bracket_point[bracket[smaller]] = found.point[smaller]

    def result(self, bodies: Sequence[TurnedBody], brackets: Sequence[Bracket]) -> Clearance:
        gap = np.full(self.known.shape, np.nan)
        nearest = np.full(self.known.shape, -1, dtype=np.intp)
        gap[self.known] = self.best
        nearest[self.known] = self.meetings.bracket[self.best_row]
        places = np.argwhere(self.known)
        return Clearance(
            read_only(gap),
            read_only(nearest),
            tuple(
                self._approach(b, bracket, bodies, tuple(places[self.bracket_position[b]].tolist()))
                for b, bracket in enumerate(brackets)
            ),
        )

    def _approach(
        self, b: int, bracket: Bracket, bodies: Sequence[TurnedBody], position: tuple[int, ...]
    ) -> ClosestApproach:
        row = self.bracket_row[b]
        body, section = int(self.meetings.body[row]), int(self.meetings.section[row])
        point = tuple(self.bracket_point[b].tolist())
        feature, corner = feature_at(bracket, point)
        return ClosestApproach(
            bracket=b,
            bracket_name=bracket.name,
            gap_mm=float(self.bracket_best[b]),
            wanted_gap_mm=bracket.wanted_gap,
            position=position,
            body=body,
            section=section,
            section_name=bodies[body].sections[section].name,
            feature=feature,
            corner=corner,
            point_mm=point,
        )


def feature_at(
    bracket: Bracket, point: tuple[float, float, float]
) -> tuple[Feature, int | None]:
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
    if bracket.fore is not None and abs(point[2] - bracket.fore[1]) < ON_FEATURE:
        return "front face", None
    if bracket.fore is not None and abs(point[2] - bracket.fore[0]) < ON_FEATURE:
        return "rear face", None
    return "inside", None
