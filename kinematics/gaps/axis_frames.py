r"""One section facing one bracket at one position, seen from the section's axis.

Every section and the bracket it faces have a frame of their own, in which the section is
a trapezoid turned about the first axis and nothing is lost where a point lies close to
that axis:

    q (towards fore)
    |    t: along the axis, from the body's origin
    |    p: across the axis in the front view, so a bracket's depth never shows in it
    p----t     q: across both

A bracket's depth direction is (lean, 0, rise) in it.  Arrays have one row for each
of them; corners add a second axis, in the order of the bracket's outline.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.gaps.solids import Prisms, Profile
from kinematics.vectors import Array, Ints, Mask, Rows

Point3 = tuple[Array, Array, Array]


@dataclass(frozen=True, slots=True, eq=False)
class AxisFrames(Rows):
    """Frames of turned bodies' axes: unit vectors along and across, shape (n, 3) and (n, 2)."""

    origin: Array
    along: Array
    across: Array

    @classmethod
    def of(cls, origin: Array, along: Array) -> AxisFrames:
        """Frames for axes through ``origin`` along unit vectors, both (n, 3)."""
        shown = np.hypot(along[:, 0], along[:, 1])
        # An axis that points straight at the viewer has no direction in the front view.
        end_on = shown < 1e-12
        shown = np.where(end_on, 1.0, shown)
        across = np.empty((len(along), 2))
        across[:, 0] = np.where(end_on, 1.0, -along[:, 1] / shown)
        across[:, 1] = np.where(end_on, 0.0, along[:, 0] / shown)
        return cls(origin, along, across)

    def third(self) -> Array:
        """The third axis, (n, 3): along x across."""
        lean = self.along[:, 2]
        return np.stack(
            [
                -lean * self.across[:, 1],
                lean * self.across[:, 0],
                self.along[:, 0] * self.across[:, 1] - self.along[:, 1] * self.across[:, 0],
            ],
            axis=1,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Facing(Rows):
    """Sections against brackets; see the module's sketch for the frame.

    ``profile`` has one row for each.  ``out`` and ``up`` place the bracket's corners
    relative to the body's origin, ``rear`` its rear face and ``depth`` its extent in
    fore; ``t``, ``p`` and ``q`` are those of the corners at the rear face.
    """

    profile: Profile
    along: Array
    across: Array
    third: Array
    out: Array
    up: Array
    rear: Array
    depth: Array
    t: Array
    p: Array
    q: Array

    @classmethod
    def gather(
        cls, profile: Profile, prisms: Prisms, bracket: Ints, frames: AxisFrames, frame: Ints
    ) -> Facing:
        """The sections of ``profile`` facing a bracket each, in a frame each."""
        own = frames[frame]
        origin, along, across, third = own.origin, own.along, own.across, own.third()
        out = prisms.out[bracket] - origin[:, 0, None]
        up = prisms.up[bracket] - origin[:, 1, None]
        rear = prisms.rear[bracket] - origin[:, 2]
        t = out * along[:, 0, None] + (up * along[:, 1, None] + (rear * along[:, 2])[:, None])
        p = out * across[:, 0, None] + up * across[:, 1, None]
        q = out * third[:, 0, None] + (up * third[:, 1, None] + (rear * third[:, 2])[:, None])
        depth = prisms.front[bracket] - prisms.rear[bracket]
        return cls(profile, along, across, third, out, up, rear, depth, t, p, q)

    def __len__(self) -> int:
        return len(self.depth)

    @property
    def corner(self) -> Point3:
        """The corners at the rear face."""
        return self.t, self.p, self.q

    @property
    def lean(self) -> Array:
        """How far along the axis one mm in fore goes."""
        return self.along[:, 2]

    @property
    def rise(self) -> Array:
        """How far across the axis, along q, one mm in fore goes."""
        return self.third[:, 2]

    def edges(self, sides: Point3) -> tuple[tuple[Point3, Point3], ...]:
        """Where edges start and how they run, (t, p, q) each: in depth, of rear and front face."""
        t, p, q = self.corner
        dt, dq = (self.depth * self.lean)[:, None], (self.depth * self.rise)[:, None]
        in_depth = np.broadcast_to(dt, t.shape), np.zeros_like(t), np.broadcast_to(dq, t.shape)
        return (self.corner, in_depth), (self.corner, sides), ((t + dt, p, q + dq), sides)

    def on_sides(self, place: Point3, sides: Point3, lengths: Array) -> Mask:
        """Whether points of the planes of sides, row by row, lie on the sides themselves."""
        t, p, q = (x - x0 for x, x0 in zip(place, self.corner, strict=True))
        share = t * sides[0] + p * sides[1] + q * sides[2]
        fore = t * self.lean[:, None] + q * self.rise[:, None]
        on_sides: Mask = (
            (share >= 0.0)
            & (share <= lengths * lengths)
            & (lengths > 0.0)
            & (fore >= 0.0)
            & (fore <= self.depth[:, None])
        )
        return on_sides

    def sides(self) -> tuple[Point3, Point3, Array]:
        """Each side's vector and its outward unit normal, (t, p, q), and its length.

        A side of no length has a normal of zeros, so nothing is ever outside it.
        """
        out, up = following(self.out) - self.out, following(self.up) - self.up
        length = np.hypot(out, up)
        unit = np.divide(1.0, length, out=np.zeros_like(length), where=length > 0.0)
        return (
            self.direction(out, up),
            self.direction(up * unit, -out * unit),
            length,
        )

    def direction(self, out: Array, up: Array) -> Point3:
        """(t, p, q) of directions in the front view, row by row."""
        along, across, third = self.along, self.across, self.third
        return (
            out * along[:, 0, None] + up * along[:, 1, None],
            out * across[:, 0, None] + up * across[:, 1, None],
            out * third[:, 0, None] + up * third[:, 1, None],
        )

    def front_view(self, t: Array, p: Array, q: Array) -> tuple[Array, Array]:
        """(out, up) from the body's origin of points, one a row."""
        along, across, third = self.along, self.across, self.third
        return (
            t * along[:, 0] + p * across[:, 0] + q * third[:, 0],
            t * along[:, 1] + p * across[:, 1] + q * third[:, 1],
        )

    def inside_outline(self, out: Array, up: Array) -> Mask:
        """Whether points, one a row, lie inside the bracket's outline: crossings counted."""
        out0, up0 = self.out, self.up
        out1, up1 = following(out0), following(up0)
        x, y = out[:, None], up[:, None]
        astride = (up0 > y) != (up1 > y)
        with np.errstate(invalid="ignore", divide="ignore"):
            crossing = out0 + (y - up0) * (out1 - out0) / (up1 - up0)
        inside: Mask = np.count_nonzero(astride & (x < crossing), axis=1) % 2 == 1
        return inside


def following(corners: Array) -> Array:
    """Each corner's next one, round the outline."""
    return np.concatenate([corners[:, 1:], corners[:, :1]], axis=1)


def pick(values: Array, column: Ints) -> Array:
    """One column per row."""
    picked: Array = values[np.arange(len(values)), column]
    return picked


@dataclass(frozen=True, slots=True, eq=False)
class Nearest:
    """The least distance of each row so far, and where on the bracket: (t, p, q), shape (3, n)."""

    distance: Array
    place: Array

    @classmethod
    def none(cls, count: int) -> Nearest:
        """Nothing found yet."""
        return cls(np.full(count, np.inf), np.full((3, count), np.nan))

    def take(self, distance: Array, t: Array, p: Array, q: Array) -> None:
        """Keep what is nearer."""
        nearer = distance < self.distance
        np.copyto(self.distance, distance, where=nearer)
        for kept, offered in zip(self.place, (t, p, q), strict=True):
            np.copyto(kept, offered, where=nearer)

    def take_least(self, distance: Array, place: Point3) -> None:
        """Keep the least of each row's columns where it is nearer."""
        column = np.argmin(distance, axis=1)
        self.take(pick(distance, column), *(pick(part, column) for part in place))
