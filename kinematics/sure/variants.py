"""One corner many times over, each time with other measuring errors.

The closed forms take arrays of linkages as readily as arrays of positions.  A
variant is the corner with an offset added to every coordinate that was
measured; the leading axis of every array here is the variants', the next the
positions'.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from kinematics.errors import InvalidInput, Problem
from kinematics.linkage.knuckle import Geometry, carry, steering_axis
from kinematics.linkage.measured import MeasuredCurve, spline_weights
from kinematics.linkage.motion import solve
from kinematics.linkage.reach import followed_turn, nearby_turn
from kinematics.parts import Corner, Hub, Measured, MeasuredPosition, Point, Strut
from kinematics.vectors import Array, Vec

PLACES = ("out", "up", "fore")
# Points a few millimetres off settle to a millionth of one.
_NEWTON_STEPS = 3


@dataclass(frozen=True, slots=True)
class Coordinate:
    """One measured number: the thing it belongs to by its path in the scene, and which of three.

    ``place`` is 0, 1 or 2 for out, up and fore of a point, and 0 for a length.
    """

    thing: str
    place: int
    value_mm: float
    point: bool

    @property
    def name(self) -> str:
        """The coordinate in words: "hub.outer_joint up"."""
        return f"{self.thing} {PLACES[self.place]}" if self.point else self.thing


def coordinates(corner: Corner, shaft: str = "shafts.left") -> tuple[Coordinate, ...]:
    """Every number that a tape gave, in the scene's order; ``shaft`` is the shaft's path there.

    The shaft's length stands for how well it can be cut to the length asked for.
    """
    return tuple(_coordinates(corner, shaft))


def _coordinates(corner: Corner, shaft: str) -> Iterator[Coordinate]:
    for thing, value in _things(corner, shaft):
        if isinstance(value, float | int):
            yield Coordinate(thing, 0, float(value), point=False)
        else:
            for place, part in enumerate(value):
                yield Coordinate(thing, place, float(part), point=True)


def _things(corner: Corner, shaft: str) -> Iterator[tuple[str, float | Sequence[float]]]:
    linkage, hub, joint = corner.linkage, corner.hub, corner.shaft.inner_joint
    if isinstance(linkage, Measured):
        for number, position in enumerate(linkage.positions):
            yield f"linkage.position[{number}].outer_joint", position.outer_joint
            if position.wheel_centre is not None:
                yield f"linkage.position[{number}].wheel_centre", position.wheel_centre
    else:
        for field in fields(linkage):
            yield f"linkage.{field.name}", getattr(linkage, field.name)
    yield "hub.outer_joint", hub.outer_joint
    yield "hub.wheel_centre", hub.wheel_centre
    yield "travel.bump", corner.travel.bump
    yield "travel.droop", corner.travel.droop
    yield f"{shaft}.inner_joint.mid_stroke", joint.mid_stroke
    yield f"{shaft}.inner_joint.stroke_in", joint.stroke_in
    yield f"{shaft}.inner_joint.stroke_out", joint.stroke_out
    length = corner.shaft.length
    yield (
        f"{shaft}.length",
        np.linalg.norm(np.subtract(hub.outer_joint, joint.mid_stroke)).item()
        if length is None
        else length,
    )


def require_known(things: Sequence[str], corner: Corner, shaft: str, field: str) -> None:
    """Raise InvalidInput for paths that name nothing measured; another side's are let through."""
    known = {coordinate.thing for coordinate in coordinates(corner, shaft)}
    side = f"{shaft}."
    unknown = [
        thing
        for thing in things
        if thing not in known and (thing.startswith(side) or not thing.startswith("shafts."))
    ]
    if unknown:
        raise InvalidInput(
            [
                Problem(field, f"expected one of {', '.join(sorted(known))}, got {thing}")
                for thing in unknown
            ]
        )


@dataclass(frozen=True, slots=True, eq=False)
class Positions:
    """Positions that every variant is asked to take, shape (positions,).

    ``turn_rad`` is where the corner's own arm stands there, near which theirs
    will be; NaN for measured positions.
    """

    travel_mm: Array
    steer_deg: Array
    turn_rad: Array

    @classmethod
    def of(cls, corner: Corner, travel_mm: Array, steer_deg: Array) -> Positions:
        """The positions, with the corner's own arm turns worked out."""
        motion = solve(corner.linkage, corner.hub, travel_mm)
        return cls(travel_mm, steer_deg, np.radians(motion.arm_turn_deg))


@dataclass(frozen=True, slots=True, eq=False)
class Variants:
    """A corner's variants: ``offsets_mm`` of shape (variants, coordinates)."""

    corner: Corner
    coordinates: tuple[Coordinate, ...]
    offsets_mm: Array

    def __len__(self) -> int:
        return len(self.offsets_mm)

    def part(self, part: slice) -> Variants:
        """Some of the variants."""
        return Variants(self.corner, self.coordinates, self.offsets_mm[part])

    def offset_mm(self, ending: str) -> Array:
        """Offsets of the length whose path ends so, shape (variants, 1)."""
        return self.offsets_mm[:, self._column(ending), None]

    def point(self, ending: str) -> Vec:
        """The point whose path ends so, in each variant: components of shape (variants, 1)."""
        first = self._column(ending)
        out, up, fore = (
            self.coordinates[first + place].value_mm + self.offsets_mm[:, first + place, None]
            for place in range(3)
        )
        return Vec(out, up, fore)

    def _column(self, ending: str) -> int:
        return next(
            column
            for column, coordinate in enumerate(self.coordinates)
            if coordinate.thing.endswith(ending)
        )

    def travel_mm(self, positions: Positions) -> Array:
        """The positions' travels in each variant: full bump and droop move with their errors."""
        travel, limits = positions.travel_mm, self.corner.travel
        bump, droop = self.offset_mm("travel.bump"), self.offset_mm("travel.droop")
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
        travels, first, back = np.unique(
            positions.travel_mm, return_index=True, return_inverse=True
        )
        once = Positions(travels, positions.steer_deg[first], positions.turn_rad[first])
        turn = nearby_turn(geometry, self.travel_mm(once), once.turn_rad, _NEWTON_STEPS)
        lost = np.isnan(turn)
        if lost.any():
            rows, columns = lost.any(axis=1), lost.any(axis=0)
            some = Variants(self.corner, self.coordinates, self.offsets_mm[rows])
            where = Positions(travels[columns], once.steer_deg[columns], once.turn_rad[columns])
            turn[np.ix_(rows, columns)] = followed_turn(
                some._geometry(), some.travel_mm(where), where.turn_rad
            )
        with np.errstate(invalid="ignore", divide="ignore"):
            steered = steering_axis(geometry, turn[:, back])
            carried = carry(geometry, steered, np.radians(positions.steer_deg))
            return carried.point(geometry.outer_joint), carried.hub_axis

    def _geometry(self) -> Geometry:
        linkage = self.corner.linkage
        names = [f"linkage.{field.name}" for field in fields(linkage)]
        a, b, c, d, outer, wheel = (
            self.point(name) for name in (*names, "hub.outer_joint", "hub.wheel_centre")
        )
        if isinstance(linkage, Strut):
            return Geometry(a, b, c, d, None, outer, wheel)
        # Both kinds in the order of their own fields.
        return Geometry(a, b, d, None, c, outer, wheel)

    def _measured(self, positions: Positions) -> tuple[Vec, Vec]:
        linkage = self.corner.linkage
        assert isinstance(linkage, Measured)
        curve = MeasuredCurve.of(linkage, self.corner.hub)
        travels = [0.0, *(position.travel for position in linkage.positions)]
        order = np.argsort(travels)
        # A travel beyond the outermost position is no further than a tape's error: held there.
        travel = np.clip(self.travel_mm(positions), curve.knots_mm[0], curve.knots_mm[-1])
        weights = spline_weights(curve.knots_mm, travel)
        weights[:, positions.steer_deg != 0.0] = np.nan
        paths = [f"linkage.position[{number}]" for number in range(len(linkage.positions))]

        def curve_of(name: str) -> Vec:
            knots = [self.point(f"{path}.{name}") for path in ("hub", *paths)]
            out, up, fore = (
                np.einsum(
                    "vpk,vk->vp",
                    weights,
                    np.concatenate([getattr(knots[knot], place) for knot in order], axis=1),
                )
                for place in PLACES
            )
            return Vec(out, up, fore)

        outer = curve_of("outer_joint")
        if curve.hub_measured:
            return outer, (curve_of("wheel_centre") - outer).unit()
        axis = (self.point("hub.wheel_centre") - self.point("hub.outer_joint")).unit()
        still = outer.out * 0.0
        return outer, Vec(axis.out + still, axis.up + still, axis.fore + still)


def varied_corner(corner: Corner, chosen: Sequence[Coordinate], offsets_mm: Array) -> Corner:
    """The corner with offsets added to some of its measured coordinates.

    Raises InvalidInput where that leaves no real part.
    """
    values: dict[str, list[float]] = {}
    for one in coordinates(corner, "shaft"):
        values.setdefault(one.thing, []).append(one.value_mm)
    for one, offset in zip(chosen, offsets_mm, strict=True):
        # The shaft's own path is whatever the scene calls it.
        thing = one.thing
        if thing.startswith("shafts."):
            thing = "shaft." + thing.split(".", 2)[2]
        values[thing][one.place] += float(offset)

    def point(thing: str) -> Point:
        out, up, fore = values[thing]
        return (out, up, fore)

    linkage = corner.linkage
    if isinstance(linkage, Measured):
        linkage = Measured(
            tuple(
                MeasuredPosition(
                    position.travel,
                    point(f"linkage.position[{number}].outer_joint"),
                    position.wheel_centre and point(f"linkage.position[{number}].wheel_centre"),
                )
                for number, position in enumerate(linkage.positions)
            )
        )
    else:
        linkage = type(linkage)(*(point(f"linkage.{field.name}") for field in fields(linkage)))
    joint = corner.shaft.inner_joint
    stroke_in = values["shaft.inner_joint.stroke_in"][0]
    stroke_out = values["shaft.inner_joint.stroke_out"][0]
    table = tuple(
        (angle, inward + stroke_in - joint.stroke_in, outward + stroke_out - joint.stroke_out)
        for angle, inward, outward in joint.stroke_at_angle
    )
    length = None if corner.shaft.length is None else values["shaft.length"][0]
    return replace(
        corner,
        linkage=linkage,
        hub=Hub(point("hub.outer_joint"), point("hub.wheel_centre")),
        travel=replace(
            corner.travel, bump=values["travel.bump"][0], droop=values["travel.droop"][0]
        ),
        shaft=replace(
            corner.shaft,
            inner_joint=replace(
                joint,
                mid_stroke=point("shaft.inner_joint.mid_stroke"),
                stroke_in=stroke_in,
                stroke_out=stroke_out,
                stroke_at_angle=table,
            ),
            length=length,
        ),
    )
