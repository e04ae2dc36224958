"""The solids that may meet: bodies turned about an axis, and prisms seen from the front.

A turned body is a stack of flat-ended cylinders and cone frusta on one axis: the
shaft with its sleeves and boots, the inner joint's housing, the outer joint's
body.  A bracket is a prism: its front outline over its extent in fore.  Every
bracket is kept still, as drawn at ride height, and the turned bodies are carried
into the frame of whatever it is mounted on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from kinematics.parts import Bracket, Section
from kinematics.poses import CarrierPose, Carriers
from kinematics.vectors import Array, Rows, Vec, read_only


@dataclass(frozen=True, slots=True, eq=False)
class TurnedBody:
    """A body of revolution at many positions.

    ``origin`` (..., 3) in mm and unit ``axis`` (..., 3) broadcast together; the
    distances of ``sections`` are counted from the origin along the axis.
    """

    origin: Array
    axis: Array
    sections: tuple[Section, ...]

    @classmethod
    def between(
        cls, start: npt.ArrayLike, towards: npt.ArrayLike, sections: Sequence[Section]
    ) -> TurnedBody:
        """The body on the line from one point towards another, both (..., 3).

        The shaft runs from the outer joint's centre towards the inner joint's.
        """
        origin = np.asarray(start, dtype=np.float64)
        along = np.asarray(towards, dtype=np.float64) - origin
        with np.errstate(invalid="ignore", divide="ignore"):
            axis = along / Vec.of(along).length()[..., None]
        return cls(read_only(np.array(origin)), read_only(axis), tuple(sections))

    @property
    def positions(self) -> tuple[int, ...]:
        """Shape of the positions."""
        return np.broadcast_shapes(self.origin.shape, self.axis.shape)[:-1]

    def seen_from(self, carrier: CarrierPose) -> TurnedBody:
        """The same body in the ride-height frame of a moving carrier."""
        return TurnedBody(
            carrier.carried_back(self.origin), carrier.turned_back(self.axis), self.sections
        )

    def flat(self, positions: tuple[int, ...]) -> TurnedBody:
        """The body with its positions broadcast and laid out along one axis."""
        shape = (*positions, 3)
        return TurnedBody(
            np.ascontiguousarray(np.broadcast_to(self.origin, shape)).reshape(-1, 3),
            np.ascontiguousarray(np.broadcast_to(self.axis, shape)).reshape(-1, 3),
            self.sections,
        )


def common_positions(bodies: Sequence[TurnedBody], carriers: Carriers) -> tuple[int, ...]:
    """Shape of the positions of all bodies and carriers together."""
    return np.broadcast_shapes(
        *(body.positions for body in bodies),
        *(carrier.moved.shape[:-1] for carrier in carriers.values()),
        *(c.rotation.shape[:-2] for c in carriers.values() if c.rotation is not None),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Profile(Rows):
    """Sections as arrays: from ``start`` to ``end`` along the axis, with a radius at each."""

    start: Array
    end: Array
    start_radius: Array
    end_radius: Array

    @classmethod
    def of(cls, sections: Sequence[Section]) -> Profile:
        """The sections of one body, in their order."""
        rows = np.array(
            [(s.from_, s.to, 0.5 * s.diameter[0], 0.5 * s.diameter[1]) for s in sections]
        ).reshape(-1, 4)
        return cls(*rows.T.copy())

    @property
    def slope(self) -> Array:
        """Growth of the radius per mm along the axis."""
        return (self.end_radius - self.start_radius) / (self.end - self.start)

    @property
    def radius(self) -> Array:
        """The greater of the two radii."""
        return np.maximum(self.start_radius, self.end_radius)

    def __len__(self) -> int:
        return len(self.start)


def fore_of_sections(profile: Profile, lean: Array) -> tuple[Array, Array]:
    """Rearmost and foremost point of sections, counted from their origins, mm.

    ``lean`` is the fore component of their unit axes; it broadcasts with the profile.
    """
    aside = np.sqrt(np.maximum(1.0 - lean * lean, 0.0))
    start, end = lean * profile.start, lean * profile.end
    by_start, by_end = aside * profile.start_radius, aside * profile.end_radius
    return (
        np.minimum(start - by_start, end - by_end),
        np.maximum(start + by_start, end + by_end),
    )


def fore_extent(body: TurnedBody) -> tuple[float, float]:
    """The rearmost and foremost that a flat body's sections ever reach, mm."""
    rear, front = fore_of_sections(Profile.of(body.sections), body.axis[:, 2, None])
    centre = body.origin[:, 2, None]
    return float((centre + rear).min()), float((centre + front).max())


@dataclass(frozen=True, slots=True, eq=False)
class Prisms:
    """Brackets as arrays, one row each, corners counter-clockwise.

    Rows with fewer corners repeat their last one.  ``depthless`` rows run through
    every depth: what touches them never lies outside the turned bodies' own extent
    in fore, so their ``rear`` and ``front`` may be set to anything beyond that.
    """

    out: Array
    up: Array
    rear: Array
    front: Array
    depthless: npt.NDArray[np.bool_]

    @classmethod
    def of(cls, brackets: Sequence[Bracket]) -> Prisms:
        """The brackets in their order."""
        columns = max((len(bracket.outline) for bracket in brackets), default=3)
        outlines = np.empty((len(brackets), columns, 2))
        for row, bracket in zip(outlines, brackets, strict=True):
            corners = np.array(bracket.outline)
            out, up = (corners - corners[0]).T
            # Twice the area that it goes round.
            if out @ np.roll(up, -1) < up @ np.roll(out, -1):
                corners = corners[::-1]
            row[: len(corners)] = corners
            row[len(corners) :] = corners[-1]
        rear, front = np.array([b.fore or (-1.0, 1.0) for b in brackets]).reshape(-1, 2).T.copy()
        depthless = np.array([b.fore is None for b in brackets], dtype=np.bool_)
        return cls(outlines[..., 0].copy(), outlines[..., 1].copy(), rear, front, depthless)

    def reaching(self, rear: float, front: float) -> Prisms:
        """The same, with the depthless rows running from ``rear`` to ``front``, mm."""
        rears = np.where(self.depthless, rear, self.rear)
        fronts = np.where(self.depthless, front, self.front)
        return replace(self, rear=rears, front=fronts)
