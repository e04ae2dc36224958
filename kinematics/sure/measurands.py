"""What of a corner is measured: its points and lengths, and their coordinates one by one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from typing import Any, Literal, NamedTuple

import numpy as np

from kinematics.errors import InvalidInput, Problem
from kinematics.parts import Corner, Hub, Linkage, Measured, Point

AXES = ("out", "up", "fore")
MeasuredPart = Literal["linkage", "position", "hub", "travel", "inner_joint", "shaft", "mark"]


class Measurand(NamedTuple):
    """A point or a length that is measured: a part and its field.

    ``number`` is the place of a position among those that were measured one by one.
    """

    part: MeasuredPart
    field: str
    number: int | None = None

    def __str__(self) -> str:
        part = self.part if self.number is None else f"{self.part} {self.number + 1}"
        return f"{self.field} of {part}"


OUTER_JOINT = Measurand("hub", "outer_joint")
WHEEL_CENTRE = Measurand("hub", "wheel_centre")
BUMP, DROOP = Measurand("travel", "bump"), Measurand("travel", "droop")
MID_STROKE = Measurand("inner_joint", "mid_stroke")
STROKE_IN = Measurand("inner_joint", "stroke_in")
STROKE_OUT = Measurand("inner_joint", "stroke_out")
LENGTH = Measurand("shaft", "length")


@dataclass(frozen=True, slots=True)
class Coordinate:
    """One measured number, mm: of what, and along which axis.

    ``axis`` is 0, 1 or 2 for out, up and fore of a point, None of a length.
    """

    thing: Measurand
    axis: int | None
    value_mm: float


def points_of(linkage: Linkage, hub: Hub) -> Iterator[tuple[Measurand, Point]]:
    """The points that both sides share: those of the linkage, or its positions, and the hub's."""
    if isinstance(linkage, Measured):
        for number, position in enumerate(linkage.positions):
            yield Measurand("position", "outer_joint", number), position.outer_joint
            if position.wheel_centre is not None:
                yield Measurand("position", "wheel_centre", number), position.wheel_centre
    else:
        for field in fields(linkage):
            yield Measurand("linkage", field.name), getattr(linkage, field.name)
    yield OUTER_JOINT, hub.outer_joint
    yield WHEEL_CENTRE, hub.wheel_centre


def measured_of(corner: Corner) -> Iterator[tuple[Measurand, Any]]:
    """Every point and length that a tape gave.

    The shaft's length stands for how well it can be cut to the length asked for.
    """
    joint, length = corner.shaft.inner_joint, corner.shaft.length
    yield from points_of(corner.linkage, corner.hub)
    yield BUMP, corner.travel.bump
    yield DROOP, corner.travel.droop
    for thing in (MID_STROKE, STROKE_IN, STROKE_OUT):
        yield thing, getattr(joint, thing.field)
    if length is None:
        length = np.linalg.norm(np.subtract(corner.hub.outer_joint, joint.mid_stroke)).item()
    yield LENGTH, length


def coordinates(corner: Corner) -> tuple[Coordinate, ...]:
    """Every number that a tape gave, three of a point."""
    found = []
    for thing, value in measured_of(corner):
        if isinstance(value, tuple):
            found += [Coordinate(thing, axis, float(one)) for axis, one in enumerate(value)]
        else:
            found.append(Coordinate(thing, None, float(value)))
    return tuple(found)


def require_known(things: Iterable[Measurand], corner: Corner, part: str, field: str) -> None:
    """Raise InvalidInput, in that part's field, for things that are not measured of the corner."""
    known = {thing for thing, _ in measured_of(corner)}
    problems = [
        Problem(field, f"expected what is measured of the corner, got {thing}", part)
        for thing in things
        if thing not in known
    ]
    if problems:
        raise InvalidInput(problems)
