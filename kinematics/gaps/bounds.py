"""Every section against every bracket at every position: bounds for all, exact gaps for few.

Rows are combinations of one section and one bracket; columns are positions.  The
bracket's box in the axis' own frame gives a bound below each gap at little cost;
exact gaps are worked out only where a bound says that they can decide.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.gaps.axis_frames import AxisFrames, Facing
from kinematics.gaps.overlap import overlap
from kinematics.gaps.separation import separation
from kinematics.gaps.solids import Prisms, Profile, TurnedBody, common_positions, fore_extent
from kinematics.parts import Bracket
from kinematics.poses import Carriers
from kinematics.vectors import Array, Ints, Mask, distinct

# Corners worked out in one go: enough to hide the cost of a call, few enough to stay in cache.
CHUNK = 18_000
# Corners whose place along the axes is looked at in one go, to bound what is held in memory.
BOX_CHUNK = 1_000_000


@dataclass(frozen=True, slots=True, eq=False)
class GapTable:
    """Sections of turned bodies, each against a bracket, at every position.

    Row r has section ``section[r]`` of body ``body[r]`` against bracket
    ``bracket[r]``; its axis is seen in frame ``frame[r]``, and position i of that
    frame stands at ``frame[r] * positions + i`` in ``frames``.
    """

    positions: int
    frames: AxisFrames
    prisms: Prisms
    profile: Profile
    body: Ints
    section: Ints
    bracket: Ints
    frame: Ints

    @classmethod
    def of(
        cls,
        bodies: Sequence[TurnedBody],
        brackets: Sequence[Bracket],
        carriers: Carriers,
    ) -> tuple[GapTable, Mask]:
        """The table at every position where everything is known, and the mask of those."""
        mounts = sorted({bracket.mounted_on for bracket in brackets})
        seen = [body.seen_from(carriers[mount]) for mount in mounts for body in bodies]
        shape = common_positions(bodies, carriers)
        flat = [body.flat(shape) for body in seen]
        known = np.ones(int(np.prod(shape)), dtype=np.bool_)
        for body in flat:
            known &= np.isfinite(body.origin).all(axis=1) & np.isfinite(body.axis).all(axis=1)
        if not known.all():
            flat = [TurnedBody(b.origin[known], b.axis[known], b.sections) for b in flat]
        frames = AxisFrames.of(
            np.concatenate([body.origin for body in flat]),
            np.concatenate([body.axis for body in flat]),
        )
        prisms = Prisms.of(brackets)
        if prisms.depthless.any() and known.any():
            extents = [fore_extent(body) for body in flat if body.sections]
            rear, front = min(e[0] for e in extents), max(e[1] for e in extents)
            prisms = prisms.reaching(rear - 1.0, front + 1.0)
        combinations = np.array(
            [
                (j, k, b, mounts.index(bracket.mounted_on) * len(bodies) + j)
                for b, bracket in enumerate(brackets)
                for j, body in enumerate(bodies)
                for k in range(len(body.sections))
            ],
            dtype=np.intp,
        ).reshape(-1, 4)
        profile = Profile.of([bodies[j].sections[k] for j, k in combinations[:, :2]])
        found = cls(int(known.sum()), frames, prisms, profile, *combinations.T.copy())
        return found, known.reshape(shape)

    def bounds(self) -> Array:
        """Below every gap, mm, shape (rows, positions).

        Exact for boxes square to the shaft; the least that the bracket's box in the
        axis' frame allows for anything else.
        """
        below = np.empty((len(self.bracket), self.positions))
        for frame in distinct(self.frame):
            rows = np.flatnonzero(self.frame == frame)
            those, which = np.unique(self.bracket[rows], return_inverse=True)
            profile = self.profile[rows]
            together = max(1, BOX_CHUNK // (len(those) * self.prisms.out.shape[1]))
            for begin in range(0, self.positions, together):
                end = min(begin + together, self.positions)
                part = slice(frame * self.positions + begin, frame * self.positions + end)
                first, last, aside = _boxes(self.frames, part, self.prisms, those)
                before = first[which] - profile.end[:, None]
                beyond = np.maximum(before, profile.start[:, None] - last[which])
                over = aside[which] - profile.radius[:, None]
                apart = np.sqrt(np.maximum(beyond, 0.0) ** 2 + np.maximum(over, 0.0) ** 2)
                # Within the section's length only what lies across counts, a depth too.
                below[rows, begin:end] = np.where(beyond <= 0.0, over, apart)
        return below

    def gaps(self, row: Ints, position: Ints, below: Array, within: Array) -> tuple[Array, Array]:
        """Exact gaps of m rows at a position each, mm, where below ``within``; and where.

        ``below`` are their bounds.  Elsewhere the gap is no smaller than ``within``
        and no smaller than it truly is.  The point that decides each, (m, 3), is the bracket's,
        in its own ride-height frame.
        """
        gap, point = np.empty(len(row)), np.empty((len(row), 3))
        together = max(1, CHUNK // self.prisms.out.shape[1])
        for start in range(0, len(row), together):
            part = slice(start, start + together)
            self._gaps(row[part], position[part], below[part], within[part], gap[part], point[part])
        return gap, point

    def _gaps(
        self, row: Ints, position: Ints, below: Array, within: Array, gap: Array, point: Array
    ) -> None:
        frame = self.frame[row] * self.positions + position
        facing = Facing.gather(
            self.profile[row], self.prisms, self.bracket[row], self.frames, frame
        )
        gap[:] = np.inf
        place = np.zeros((3, len(row)))
        close = np.flatnonzero(below < 0.0)
        if len(close):
            deepest = overlap(facing[close])
            meets = deepest.distance < 0.0
            gap[close[meets]] = deepest.distance[meets]
            place[:, close[meets]] = deepest.place[:, meets]
        clear = np.flatnonzero(gap == np.inf)
        if len(clear):
            everything = len(clear) == len(row)
            nearest = separation(facing if everything else facing[clear], within[clear])
            gap[clear] = nearest.distance
            place[:, clear] = nearest.place
        t, p, q = place
        out, up = facing.front_view(t, p, q)
        origin = self.frames.origin[frame]
        point[:, 0] = origin[:, 0] + out
        point[:, 1] = origin[:, 1] + up
        point[:, 2] = origin[:, 2] + t * facing.lean + q * facing.rise


def _boxes(
    frames: AxisFrames, part: slice, prisms: Prisms, rows: Ints
) -> tuple[Array, Array, Array]:
    """Brackets' boxes in each axis' frame: where they begin and end along, how far aside."""
    own = frames[part]
    origin = own.origin
    count = len(rows)
    corners = np.stack([prisms.out[rows].ravel(), prisms.up[rows].ravel()], axis=1)
    depth = np.stack([prisms.rear[rows], prisms.front[rows]])[:, :, None] - origin[:, 2]

    def extent(direction: Array) -> tuple[Array, Array]:
        seen = (corners @ direction[:, :2].T).reshape(count, -1, len(origin))
        seen -= np.sum(origin[:, :2] * direction[:, :2], axis=1)
        low, high = seen.min(axis=1), seen.max(axis=1)
        if direction.shape[1] == 3:
            deep = depth * direction[:, 2]
            low += np.minimum(deep[0], deep[1])
            high += np.maximum(deep[0], deep[1])
        return low, high

    first, last = extent(own.along)
    p_low, p_high = extent(own.across)
    q_low, q_high = extent(own.third())
    p = np.maximum(np.maximum(p_low, -p_high), 0.0)
    q = np.maximum(np.maximum(q_low, -q_high), 0.0)
    return first, last, np.sqrt(p * p + q * q)
