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
from kinematics.vectors import Array, Ints, Mask

Point3 = tuple[Array, Array, Array]


@dataclass(frozen=True, slots=True, eq=False)
class AxisFrames:
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

    def __getitem__(self, rows: Ints | slice) -> AxisFrames:
        return AxisFrames(self.origin[rows], self.along[rows], self.across[rows])

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
class Facing:
    """Sections against brackets; see the module's sketch for the frame.

    ``profile`` has one row for each.  ``out`` and ``up`` place the bracket's corners
    relative to the body's origin, ``rear`` its rear face and ``depth`` its extent in
    fore; ``corner`` holds (t, p, q) of the corners at the rear face.
    """

    profile: Profile
    along: Array
    across: Array
    third: Array
    out: Array
    up: Array
    rear: Array
    depth: Array
    corner: Point3

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
        corner = (
            out * along[:, 0, None] + (up * along[:, 1, None] + (rear * along[:, 2])[:, None]),
            out * across[:, 0, None] + up * across[:, 1, None],
            out * third[:, 0, None] + (up * third[:, 1, None] + (rear * third[:, 2])[:, None]),
        )
        depth = prisms.front[bracket] - prisms.rear[bracket]
        return cls(profile, along, across, third, out, up, rear, depth, corner)

    def __getitem__(self, rows: Ints | Mask) -> Facing:
        return Facing(
            self.profile[rows],  # type: ignore[index]
            self.along[rows],
            self.across[rows],
            self.third[rows],
            self.out[rows],
            self.up[rows],
            self.rear[rows],
            self.depth[rows],
            (self.corner[0][rows], self.corner[1][rows], self.corner[2][rows]),
        )

    def __len__(self) -> int:
        return len(self.depth)

    @property
    def lean(self) -> Array:
        """How far along the axis one mm in fore goes."""
        return self.along[:, 2]

    @property
    def rise(self) -> Array:
        """How far across the axis, along q, one mm in fore goes."""
        return self.third[:, 2]

    def front_corners(self) -> Point3:
        """(t, p, q) of the corners at the front face."""
        t, p, q = self.corner
        return t + (self.depth * self.lean)[:, None], p, q + (self.depth * self.rise)[:, None]

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
    """The least distance of each row so far, and where on the bracket, (t, p, q)."""

    distance: Array
    t: Array
    p: Array
    q: Array

    @classmethod
    def none(cls, count: int) -> Nearest:
        """Nothing found yet."""
        return cls(
            np.full(count, np.inf), np.full(count, np.nan), np.full(count, np.nan),
            np.full(count, np.nan),
        )  # fmt: skip

    def take(self, distance: Array, t: Array, p: Array, q: Array) -> None:
        """Keep what is nearer."""
        nearer = distance < self.distance
        for kept, offered in (
            (self.distance, distance),
            (self.t, t),
            (self.p, p),
            (self.q, q),
        ):
            np.copyto(kept, offered, where=nearer)
