"""One corner many times over, each time with other measuring errors.

The closed forms take arrays of linkages as readily as arrays of positions.  A
variant is the corner with an offset added to every coordinate that was
measured; the leading axis of every array here is the variants', the next the
positions'.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, TypeVar

import numpy as np

from kinematics.linkage.knuckle import Geometry, carry, steering_axis
from kinematics.linkage.measured import MeasuredCurve, spline_weights
from kinematics.linkage.motion import solve
from kinematics.linkage.reach import Reach, followed_turn, nearby_turn
from kinematics.parts import Corner, Measured, Strut
from kinematics.sure.measurands import (
    AXES,
    LENGTH,
    STROKE_IN,
    STROKE_OUT,
    Coordinate,
    Measurand,
    MeasuredPart,
    measured_of,
    points_of,
)
from kinematics.vectors import Array, Ints, Vec, read_only

T = TypeVar("T")

# Points a few millimetres off settle to a millionth of one.
_NEWTON_STEPS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Positions:
    """Positions that variants are asked to take: (positions,) each, or (variants, 1) its own.

    ``turn_rad`` is where the corner's own arm stands there, near which theirs
    will be; NaN for measured positions.  ``direction`` is which way it turns to rise, 1 or -1.
    ``turn_slopes``, shape (coordinates, positions), is how it follows the coordinates, rad/mm,
    where that is known.
    """

    travel_mm: Array
    steer_deg: Array
    turn_rad: Array
    direction: float
    turn_slopes: Array | None = None

    def __post_init__(self) -> None:
        for array in (self.travel_mm, self.steer_deg, self.turn_rad):
            read_only(array)
        if self.turn_slopes is not None:
            read_only(self.turn_slopes)

    @classmethod
    def of(
        cls, corner: Corner, travel_mm: Array, steer_deg: Array, within: Reach | None = None
    ) -> Positions:
        """The positions, with the corner's own arm turns worked out."""
        travels, back = np.unique(travel_mm, return_inverse=True)
        motion = solve(corner.linkage, corner.hub, travels, within=within)
        return cls(
            travel_mm, steer_deg, np.radians(motion.arm_turn_deg)[back], motion.reach.direction
        )

    def taken(self, some: Ints) -> Positions:
        """Some of the positions."""
        return replace(
            self,
            travel_mm=self.travel_mm[some],
            steer_deg=self.steer_deg[some],
            turn_rad=self.turn_rad[some],
            turn_slopes=None if self.turn_slopes is None else self.turn_slopes[:, some],
        )

    def one_each(self, some: Ints, offsets_mm: Array) -> Positions:
        """One of the positions for each variant, shape (variants, 1), its arm's turn nearer."""
        turn = self.turn_rad[some]
        if self.turn_slopes is not None:
            turn = turn + (offsets_mm @ self.turn_slopes)[np.arange(len(some)), some]
        travel, steer = self.travel_mm[some], self.steer_deg[some]
        return Positions(travel[:, None], steer[:, None], turn[:, None], self.direction)


@dataclass(frozen=True, eq=False)
class Variants:
    """A corner's variants: ``offsets_mm`` of shape (variants, coordinates)."""

    corner: Corner
    coordinates: tuple[Coordinate, ...]
    offsets_mm: Array

    def __len__(self) -> int:
        return len(self.offsets_mm)

    @cached_property
    def most_mm(self) -> Array:
        """How far each coordinate is off at most, shape (coordinates,)."""
        return np.asarray(np.maximum(self.offsets_mm.max(axis=0), -self.offsets_mm.min(axis=0)))

    def part(self, part: slice | Ints) -> Variants:
        """Some of the variants."""
        # Coordinate by coordinate, for so they are asked for.
        return Variants(self.corner, self.coordinates, self.offsets_mm.T[:, part].T)

    def offset_mm(self, part: MeasuredPart, length: str) -> Array:
        """Offsets of a length, shape (variants, 1)."""
        return self.offsets_mm[:, self._column(part, length), None]

    def point(self, part: MeasuredPart, point: str, number: int | None = None) -> Vec:
        """A point in each variant: components of shape (variants, 1)."""
        first = self._column(part, point, number)
        out, up, fore = (
            self.coordinates[first + axis].value_mm + self.offsets_mm[:, first + axis, None]
            for axis in range(3)
        )
        return Vec(out, up, fore)

    def _column(self, part: MeasuredPart, field: str, number: int | None = None) -> int:
        thing = (part, field, number)
        return next(column for column, one in enumerate(self.coordinates) if one.thing == thing)

    def travel_mm(self, positions: Positions) -> Array:
        """The positions' travels in each variant: full bump and droop move with their errors."""
        travel, limits = positions.travel_mm, self.corner.travel
        bump, droop = self.offset_mm("travel", "bump"), self.offset_mm("travel", "droop")
        up = np.maximum(travel, 0.0) / limits.bump if limits.bump else np.zeros_like(travel)
        down = np.minimum(travel, 0.0) / limits.droop if limits.droop else np.zeros_like(travel)
        return travel + bump * up + droop * down

    def outer_joint(self, positions: Positions) -> tuple[Vec, Vec]:
        """Outer joint and hub axis at each position; NaN where a variant does not get there."""
        if isinstance(self.corner.linkage, Measured):
            return self._measured(positions)
        return self._carried(positions)

    def _carried(self, positions: Positions) -> tuple[Vec, Vec]:
        geometry = self._geometry()
        if positions.travel_mm.ndim > 1:
            turn = self._turned(geometry, positions)
        else:
            _, first, back = np.unique(positions.travel_mm, return_index=True, return_inverse=True)
            turn = self._turned(geometry, positions.taken(first))[:, back]
        with np.errstate(invalid="ignore", divide="ignore"):
            steered = steering_axis(geometry, turn)
            carried = carry(geometry, steered, np.radians(positions.steer_deg))
            return carried.point(geometry.outer_joint), carried.hub_axis

    def turn_rad(self, positions: Positions) -> Array:
        """The arm's turn at each position with the steering straight, (variants, positions).

        NaN where a variant does not get there.
        """
        return self._turned(self._geometry(), positions)

    def _turned(self, geometry: Geometry, positions: Positions) -> Array:
        travel, guess = self.travel_mm(positions), positions.turn_rad
        turn = nearby_turn(geometry, travel, guess, positions.direction, _NEWTON_STEPS)
        lost = np.isnan(turn)
        if lost.any():
            rows, columns = lost.any(axis=1), lost.any(axis=0)
            where = np.ix_(rows, columns)
            some = Variants(self.corner, self.coordinates, self.offsets_mm[rows])
            near = np.broadcast_to(guess, turn.shape)[where]
            turn[where] = followed_turn(some._geometry(), travel[where], near)
        return turn

    def _geometry(self) -> Geometry:
        linkage = self.corner.linkage
        points = (self.point(*thing) for thing, _ in points_of(linkage, self.corner.hub))
        return Geometry.through(points, strut=isinstance(linkage, Strut))

    def _measured(self, positions: Positions) -> tuple[Vec, Vec]:
        linkage = self.corner.linkage
        assert isinstance(linkage, Measured)
        curve = MeasuredCurve.of(linkage, self.corner.hub)
        travels = [0.0, *(position.travel for position in linkage.positions)]
        order = np.argsort(travels)
        # A travel beyond the outermost position is no further than a tape's error: held there.
        travel = np.clip(self.travel_mm(positions), curve.knots_mm[0], curve.knots_mm[-1])
        weights = spline_weights(curve.knots_mm, travel)
        weights[np.broadcast_to(positions.steer_deg != 0.0, travel.shape)] = np.nan

        def curve_of(name: str) -> Vec:
            others = (self.point("position", name, n) for n in range(len(linkage.positions)))
            knots = [self.point("hub", name), *others]
            out, up, fore = (
                np.einsum(
                    "vpk,vk->vp",
                    weights,
                    np.concatenate([getattr(knots[knot], axis) for knot in order], axis=1),
                )
                for axis in AXES
            )
            return Vec(out, up, fore)

        outer = curve_of("outer_joint")
        if curve.hub_measured:
            return outer, (curve_of("wheel_centre") - outer).unit()
        axis = (self.point("hub", "wheel_centre") - self.point("hub", "outer_joint")).unit()
        still = outer.out * 0.0
        return outer, Vec(axis.out + still, axis.up + still, axis.fore + still)


def varied_corner(corner: Corner, chosen: Sequence[Coordinate], offsets_mm: Array) -> Corner:
    """The corner with offsets added to some of its measured coordinates.

    Raises InvalidInput where that leaves no real part.
    """
    new: dict[Measurand, Any] = dict(measured_of(corner))
    for one, offset in zip(chosen, offsets_mm, strict=True):
        if one.axis is None:
            new[one.thing] += float(offset)
        else:
            point = list(new[one.thing])
            point[one.axis] += float(offset)
            new[one.thing] = tuple(point)

    def varied(part: T, name: MeasuredPart, number: int | None = None, **more: Any) -> T:
        own = {
            thing.field: value
            for thing, value in new.items()
            if (thing.part, thing.number) == (name, number)
        }
        return replace(part, **own, **more)  # type: ignore[type-var]

    linkage = corner.linkage
    if isinstance(linkage, Measured):
        positions = enumerate(linkage.positions)
        linkage = Measured(tuple(varied(one, "position", number) for number, one in positions))
    else:
        linkage = varied(linkage, "linkage")
    joint = corner.shaft.inner_joint
    stroke_in, stroke_out = new[STROKE_IN], new[STROKE_OUT]
    table = tuple(
        (angle, inward + stroke_in - joint.stroke_in, outward + stroke_out - joint.stroke_out)
        for angle, inward, outward in joint.stroke_at_angle
    )
    return replace(
        corner,
        linkage=linkage,
        hub=varied(corner.hub, "hub"),
        travel=varied(corner.travel, "travel"),
        shaft=replace(
            corner.shaft,
            inner_joint=varied(joint, "inner_joint", stroke_at_angle=table),
            length=None if corner.shaft.length is None else new[LENGTH],
        ),
    )
