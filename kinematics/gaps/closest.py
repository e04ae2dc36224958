"""Closest approaches over motions too large to look at position by position.

Travel by the millimetre, steer by the degree and every corner of the gearbox
movement make hundreds of thousands of positions.  A gap changes by no more than
its section moves, so one position speaks for the block around it: where its gap
less the farthest that the block's positions move the section is still above the
smallest gap known, the whole block is out.  The rest is divided and looked at
again, down to single positions: the answer is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from kinematics.gaps.bounds import GapTable
from kinematics.gaps.clearance import BODY_ONLY, ClosestApproach, approach, clearance
from kinematics.gaps.search import Search
from kinematics.gaps.solids import Profile, TurnedBody, common_positions
from kinematics.parts import Bracket
from kinematics.poses import CarrierPose, Carriers
from kinematics.vectors import Array, Ints

# Positions along each of the first two axes that one speaks for, level by level: as many on
# either side of it, so that none is far.
BLOCKS = (9, 3, 1)
# Motions of fewer positions are looked at whole.
SMALL = 3000
# Gaps worked out first of all, to have a gap to beat.
SEEDS = 32
# More than two ways of closing in on one gap may differ by, mm.
SURELY_LESS = 1e-4


def closest_approaches(
    bodies: Sequence[TurnedBody],
    brackets: Sequence[Bracket],
    carriers: Carriers = BODY_ONLY,
) -> tuple[ClosestApproach, ...]:
    """Each bracket's smallest gap over the whole motion, in order; exact, mm.

    The first two axes of the positions must be in the order of the motion (travel
    and steer); further ones may be in any.  The same as ``clearance(...).approaches``
    for less work where positions are many.  Empty where nothing can be met.
    """
    bodies = [body for body in bodies if body.sections]
    if not brackets or not bodies:
        return ()
    seen = {
        mount: [body.seen_from(carriers[mount]) for body in bodies]
        for mount in dict.fromkeys(bracket.mounted_on for bracket in brackets)
    }
    shape = common_positions(bodies, carriers)
    count = int(np.prod(shape))
    if count <= SMALL:
        return clearance(bodies, brackets, carriers).approaches
    found: list[ClosestApproach | None] = [None] * len(brackets)
    for mount, own in seen.items():
        motion = _Motion([body.flat(shape) for body in own], shape)
        for b, bracket in enumerate(brackets):
            if bracket.mounted_on == mount:
                found[b] = motion.closest(b, bracket)
    return tuple(one for one in found if one is not None)


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """The smallest gap worked out so far, with the place and the section it was worked out for."""

    gap_mm: float = np.inf
    place: int = -1
    body: int = -1
    section: int = -1
    point: tuple[float, ...] = ()

    def or_less(self, table: GapTable, row: Ints, place: Ints, gap: Array, point: Array) -> _Found:
        """It, or the smallest of some more that were worked out."""
        if not len(gap) or not gap.min() < self.gap_mm:
            return self
        i = int(np.argmin(gap))
        body, section = int(table.body[row[i]]), int(table.section[row[i]])
        return _Found(float(gap[i]), int(place[i]), body, section, tuple(point[i].tolist()))


class _Motion:
    """The turned bodies in one carrier's frame, at all positions laid out in one row."""

    def __init__(self, bodies: Sequence[TurnedBody], shape: tuple[int, ...]) -> None:
        self.bodies = bodies
        self.shape = shape
        # Blocks span the first two axes; a missing second one has a single place.
        self.grid = (*shape, 1)[:2]
        self.others = int(np.prod(shape[2:]))
        self.known = np.ones(int(np.prod(shape)), dtype=np.bool_)
        for body in bodies:
            self.known &= np.isfinite(body.origin[:, 0]) & np.isfinite(body.axis[:, 0])
        self.first = self._whole(BLOCKS[0])
        self.first_spread = self._spread(*self.first)

    def closest(self, b: int, bracket: Bracket) -> ClosestApproach | None:
        """The bracket's smallest gap: divide the blocks that may hold it, and look again."""
        blocks, spread = self.first, self.first_spread
        best = _Found()
        for size, smaller in pairwise(BLOCKS):
            open_, best = self._still_open(blocks[0], spread, bracket, best)
            blocks = self._divided(blocks[1][open_], smaller, size)
            if smaller > 1:
                spread = self._spread(*blocks)
        places = blocks[0][self.known[blocks[0]]]
        search = Search.of(
            self._bodies_at(places),
            [bracket],
            {bracket.mounted_on: CarrierPose.still()},
            each_position=False,
            at_most=best.gap_mm,
        )
        if search is not None:
            search.run()
            # What is left may hold nothing smaller than what was worked out on the way.
            if search.bracket_row[0] >= 0:
                row, place = search.bracket_row, places[search.bracket_position]
                gap, point = search.bracket_best, search.bracket_point
                best = best.or_less(search.table, row, place, gap, point)
        if best.place < 0:
            return None
        position = tuple(int(i) for i in np.unravel_index(best.place, self.shape))
        return approach(
            b,
            bracket,
            self.bodies,
            body=best.body,
            section=best.section,
            position=position,
            gap_mm=best.gap_mm,
            point=best.point,
        )

    def _bodies_at(self, places: Ints) -> list[TurnedBody]:
        return [TurnedBody(x.origin[places], x.axis[places], x.sections) for x in self.bodies]

    def _still_open(
        self, speakers: Ints, spread: Array, bracket: Bracket, best: _Found
    ) -> tuple[Ints, _Found]:
        """Blocks that may hold a smaller gap than the smallest found so far, and that one."""
        known = self.known[speakers]
        unknown = np.flatnonzero(~known)
        if not known.any():
            return unknown, best
        places = speakers[known]
        table, _ = GapTable.of(
            self._bodies_at(places), [bracket], {bracket.mounted_on: CarrierPose.still()}
        )
        spread = spread[:, known]
        lower = table.bounds()
        if best.place < 0:
            seeds = np.argpartition(lower, min(SEEDS, lower.size - 1), axis=None)[:SEEDS]
            row, position = np.divmod(seeds, table.positions)
            found = table.gaps(row, position, lower[row, position], np.full(len(row), np.inf))
            best = best.or_less(table, row, places[position], *found)
        # A box allows too much: work out every speaker whose block hangs on it.
        row, position = np.nonzero(lower - spread <= best.gap_mm)
        within = max(best.gap_mm, 0.0) + spread[row, position] + SURELY_LESS
        found = table.gaps(row, position, lower[row, position], within)
        best = best.or_less(table, row, places[position], *found)
        lower[row, position] = np.minimum(found[0], within)
        least = lower - spread
        # A gap that may close may be an overlap, as deep as the section's radius.
        least = np.where(least > 0.0, least, -table.profile.radius[:, None])
        open_ = (least <= best.gap_mm).any(axis=0)
        return np.concatenate([np.flatnonzero(known)[open_], unknown]), best

    def _whole(self, size: int) -> tuple[Ints, Ints]:
        """Blocks of ``size`` by ``size`` places, the last ones filled up with their edge."""
        index = np.arange(len(self.known)).reshape(*self.grid, self.others)
        index = np.pad(index, [*((0, -count % size) for count in self.grid), (0, 0)], mode="edge")
        blocks = index.reshape(len(index) // size, size, -1, size, self.others)
        return self._speakers(blocks.transpose(0, 2, 4, 1, 3).reshape(-1, size * size))

    def _divided(self, members: Ints, size: int, whole: int) -> tuple[Ints, Ints]:
        parts = whole // size
        smaller = members.reshape(-1, parts, size, parts, size).transpose(0, 1, 3, 2, 4)
        return self._speakers(smaller.reshape(-1, size * size))

    def _speakers(self, members: Ints) -> tuple[Ints, Ints]:
        """Blocks, each once, and the place in the middle of each."""
        side = int(np.sqrt(members.shape[1]))
        middle = members[:, (side // 2) * side + side // 2]
        # Blocks that are all filling repeat their neighbour's edge.
        middle, first = np.unique(middle, return_index=True)
        return middle, members[first]

    def _spread(self, speakers: Ints, members: Ints) -> Array:
        """How far a block's positions move each section from its speaker's, (rows, blocks), mm."""
        spread = []
        for body in self.bodies:
            profile = Profile.of(body.sections)
            turn, shift = (
                [part[members] - part[speakers][:, None] for part in np.ascontiguousarray(along.T)]
                for along in (body.axis, body.origin)
            )
            both, turned, shifted = _dot(shift, turn), _dot(turn, turn), _dot(shift, shift)
            most_turned = np.sqrt(_largest(turned))
            # Between its ends a section moves no farther than the farther of them.
            moved = {
                end: np.sqrt(_largest(shifted + end * (2.0 * both + end * turned)))
                for end in {*profile.start.tolist(), *profile.end.tolist()}
            }
            spread += [
                np.maximum(moved[start], moved[end]) + radius * most_turned
                for start, end, radius in zip(
                    profile.start.tolist(), profile.end.tolist(), profile.radius, strict=True
                )
            ]
        return np.stack(spread)


def _dot(a: Sequence[Array], b: Sequence[Array]) -> Array:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _largest(values: Array) -> Array:
    """The largest of each block, 0 or more, of what is known of it."""
    return np.asarray(np.fmax.reduce(values, axis=1, initial=0.0))
