"""The inputs: what is bolted to the car, as the scene file describes it.

Every class is frozen and checked when it is made: a value that describes no
real part raises :class:`~kinematics.errors.InvalidInput` with every problem in
it.  Lengths are millimetres, angles degrees; see the package docstring for the
frame.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import shapely

from kinematics.errors import Problem
from kinematics.part import Part

Point = tuple[float, float, float]
FrontPoint = tuple[float, float]
Side = Literal["left", "right"]
Carrier = Literal["body", "arm", "knuckle", "gearbox"]

CARRIERS: tuple[Carrier, ...] = ("body", "arm", "knuckle", "gearbox")
DEFAULT_WANTED_GAP = 6.0
DEFAULT_MARGIN = 3.0
# Tape-measured points are good to half a millimetre; parts closer than this are one point.
SMALLEST_LENGTH = 1e-3
# More corners than any bracket needs only take time.
MOST_CORNERS = 2000
# Positions taken closer together than this say more about the tape than about the linkage.
SMALLEST_TRAVEL_STEP = 1.0


def _front(a: Point, b: Point) -> float:
    return math.dist(a[:2], b[:2])


def _hub_axis_problems(outer_joint: Point, wheel_centre: Point) -> Iterable[Problem]:
    out, _, fore = (b - a for a, b in zip(outer_joint, wheel_centre, strict=True))
    if math.hypot(out, fore) < SMALLEST_LENGTH:
        yield Problem(
            "wheel_centre", "expected a point outboard of outer_joint, not straight above it"
        )


@dataclass(frozen=True, slots=True)
class Strut(Part):
    """A telescopic strut clamped to the knuckle, over one arm.

    The sliding axis runs through ``strut_top`` and ``strut_lower`` as drawn at
    ride height; the steering axis from ``ball_joint`` to ``strut_top``.
    """

    arm_pivot: Point
    ball_joint: Point
    strut_top: Point
    strut_lower: Point

    @property
    def kind(self) -> str:
        """The linkage's kind, as the scene file names it."""
        return "strut"

    def _problems(self) -> Iterable[Problem]:
        if _front(self.arm_pivot, self.ball_joint) < SMALLEST_LENGTH:
            yield Problem("ball_joint", "expected a point away from arm_pivot in the front view")
        if math.dist(self.strut_top, self.strut_lower) < SMALLEST_LENGTH:
            yield Problem("strut_lower", "expected a point away from strut_top")
        if math.dist(self.strut_top, self.ball_joint) < SMALLEST_LENGTH:
            yield Problem("ball_joint", "expected a point away from strut_top")


@dataclass(frozen=True, slots=True)
class Wishbones(Part):
    """Two arms; the steering axis runs through the two ball joints."""

    lower_pivot: Point
    lower_ball_joint: Point
    upper_pivot: Point
    upper_ball_joint: Point

    @property
    def kind(self) -> str:
        """The linkage's kind, as the scene file names it."""
        return "wishbones"

    def _problems(self) -> Iterable[Problem]:
        if _front(self.lower_pivot, self.lower_ball_joint) < SMALLEST_LENGTH:
            yield Problem(
                "lower_ball_joint", "expected a point away from lower_pivot in the front view"
            )
        if _front(self.upper_pivot, self.upper_ball_joint) < SMALLEST_LENGTH:
            yield Problem(
                "upper_ball_joint", "expected a point away from upper_pivot in the front view"
            )
        if _front(self.lower_ball_joint, self.upper_ball_joint) < SMALLEST_LENGTH:
            yield Problem(
                "upper_ball_joint", "expected a point away from lower_ball_joint in the front view"
            )


@dataclass(frozen=True, slots=True)
class MeasuredPosition(Part):
    """Where the outer joint's centre was found at one travel, steering straight.

    ``wheel_centre`` at the same travel gives the hub axis; None where it was not taken.
    """

    travel: float
    outer_joint: Point
    wheel_centre: Point | None = None

    def _problems(self) -> Iterable[Problem]:
        if self.wheel_centre is not None:
            yield from _hub_axis_problems(self.outer_joint, self.wheel_centre)


@dataclass(frozen=True, slots=True)
class Measured(Part):
    """No linkage at all: positions taken on the car at several travels.

    Ride height is the hub's own points, so travel 0 is not repeated here.
    """

    positions: tuple[MeasuredPosition, ...]

    @property
    def kind(self) -> str:
        """The linkage's kind, as the scene file names it."""
        return "measured"

    def _problems(self) -> Iterable[Problem]:
        travels = sorted((0.0, *(position.travel for position in self.positions)))
        if len(self.positions) < 2:
            yield Problem(
                "position", "expected positions at two travels or more, besides ride height"
            )
        elif min(b - a for a, b in itertools.pairwise(travels)) < SMALLEST_TRAVEL_STEP:
            yield Problem(
                "position",
                f"expected travels {SMALLEST_TRAVEL_STEP:g} mm apart or more; "
                "travel 0 is ride height, which [hub] gives",
            )
        if len({position.wheel_centre is None for position in self.positions}) > 1:
            yield Problem("position", "expected wheel_centre at every travel or at none")


ArmLinkage = Strut | Wishbones
Linkage = ArmLinkage | Measured


@dataclass(frozen=True, slots=True)
class Hub(Part):
    """The hub axis runs from the outer joint's centre through the wheel centre."""

    outer_joint: Point
    wheel_centre: Point

    def _problems(self) -> Iterable[Problem]:
        yield from _hub_axis_problems(self.outer_joint, self.wheel_centre)


@dataclass(frozen=True, slots=True)
class Travel(Part):
    """Wheel travel from ride height: ``bump`` above and ``droop`` below, both positive."""

    bump: float
    droop: float

    def _problems(self) -> Iterable[Problem]:
        for name in ("bump", "droop"):
            if getattr(self, name) < 0:
                yield Problem(name, "expected mm from ride height, 0 or more")


@dataclass(frozen=True, slots=True)
class Steering(Part):
    """Steer angle of this wheel at each lock, degrees, both positive."""

    inside_lock: float
    outside_lock: float

    def _problems(self) -> Iterable[Problem]:
        for name in ("inside_lock", "outside_lock"):
            if not 0 <= getattr(self, name) < 90:
                yield Problem(name, "expected degrees from 0 to less than 90")


@dataclass(frozen=True, slots=True)
class GearboxMovement(Part):
    """How far the gearbox outputs move on their mounts, each way."""

    out: float = 0.0
    up: float = 0.0
    fore: float = 0.0

    def _problems(self) -> Iterable[Problem]:
        for name in ("out", "up", "fore"):
            if getattr(self, name) < 0:
                yield Problem(name, "expected mm each way, 0 or more")


@dataclass(frozen=True, slots=True)
class Section(Part):
    """One piece of a turned outline: distances along the axis of what it belongs to.

    On the shaft they count from the outer joint's centre towards the inner joint; on
    the inner joint's housing from mid-stroke along the housing axis, plus outboard; on
    the outer joint's body from its centre along the hub axis, plus towards the wheel.
    ``diameter`` is (at ``from_``, at ``to``); equal for a plain bar.
    """

    name: str
    from_: float
    to: float
    diameter: tuple[float, float]

    def _problems(self) -> Iterable[Problem]:
        if self.to <= self.from_:
            yield Problem("to", "expected mm along the shaft, more than from")
        if min(self.diameter) < 0 or max(self.diameter) <= 0:
            yield Problem("diameter", "expected mm above 0, or [d_from, d_to] for a taper")


@dataclass(frozen=True, slots=True)
class InnerJoint(Part):
    """The plunging joint in the gearbox output.

    ``axis`` is kept as given; its length does not matter.  Rows of
    ``stroke_at_angle`` are (angle, stroke in, stroke out); a table that starts
    above 0 is joined to ``stroke_in`` and ``stroke_out`` at 0 degrees.
    ``sections`` are the housing's outline, which moves with the gearbox.
    """

    mid_stroke: Point
    stroke_in: float
    stroke_out: float
    max_angle: float
    axis: Point = (1.0, 0.0, 0.0)
    stroke_at_angle: tuple[tuple[float, float, float], ...] = ()
    sections: tuple[Section, ...] = ()

    def _problems(self) -> Iterable[Problem]:
        if math.hypot(*self.axis) < 1e-9:
            yield Problem("axis", "expected a direction [out, up, fore] that is not zero")
        elif self.axis[0] <= 0:
            yield Problem("axis", "expected a direction that points outboard (out above 0)")
        for name in ("stroke_in", "stroke_out"):
            if getattr(self, name) < 0:
                yield Problem(name, "expected mm from mid-stroke, 0 or more")
        if not 0 < self.max_angle < 90:
            yield Problem("max_angle", "expected degrees above 0 and below 90")
        angles = [row[0] for row in self.stroke_at_angle]
        if any(not 0 <= angle < 90 for angle in angles):
            yield Problem("stroke_at_angle", "expected angles from 0 to less than 90 degrees")
        elif any(b <= a for a, b in itertools.pairwise(angles)):
            yield Problem("stroke_at_angle", "expected rows in order of rising angle")
        elif any(min(row[1:]) < 0 for row in self.stroke_at_angle):
            yield Problem("stroke_at_angle", "expected strokes of 0 mm or more")


@dataclass(frozen=True, slots=True)
class OuterJoint(Part):
    """The fixed joint in the hub; ``sections`` are its body's outline, which turns with the hub."""

    max_angle: float
    sections: tuple[Section, ...] = ()

    def _problems(self) -> Iterable[Problem]:
        if not 0 < self.max_angle < 90:
            yield Problem("max_angle", "expected degrees above 0 and below 90")


@dataclass(frozen=True, slots=True)
class Shaft(Part):
    """One side's shaft; ``length`` between joint centres, None while undecided."""

    inner_joint: InnerJoint
    outer_joint: OuterJoint
    length: float | None = None
    sections: tuple[Section, ...] = ()

    def _problems(self) -> Iterable[Problem]:
        if self.length is not None and self.length <= 0:
            yield Problem("length", "expected mm between joint centres, above 0")


@dataclass(frozen=True, slots=True)
class Bracket(Part):
    """A prism: its front-view outline at ride height over its ``fore`` extent.

    ``fore`` None means at every depth.
    """

    name: str
    outline: tuple[FrontPoint, ...]
    mounted_on: Carrier = "body"
    fore: tuple[float, float] | None = None
    wanted_gap: float = DEFAULT_WANTED_GAP

    def _problems(self) -> Iterable[Problem]:
        if len(self.outline) < 3:
            yield Problem("outline", "expected three corners [out, up] or more")
        elif len(self.outline) > MOST_CORNERS:
            yield Problem(
                "outline",
                f"expected {MOST_CORNERS} corners or fewer, got {len(self.outline)}; "
                "a few dozen follow any bracket",
            )
        else:
            polygon = shapely.Polygon(self.outline)
            if not polygon.is_valid:
                yield Problem("outline", "expected an outline that does not cross or touch itself")
            elif polygon.area < SMALLEST_LENGTH**2:
                yield Problem("outline", "expected an outline that encloses an area")
        if self.mounted_on not in CARRIERS:
            yield Problem("mounted_on", "expected one of body, arm, knuckle, gearbox")
        if self.fore is not None and self.fore[1] <= self.fore[0]:
            yield Problem("fore", "expected [rear, front] in mm with front above rear")
        if self.wanted_gap < 0:
            yield Problem("wanted_gap", "expected mm, 0 or more")


@dataclass(frozen=True, slots=True)
class Corner(Part):
    """One corner of the car: all that decides how its shaft moves and what it meets."""

    linkage: Linkage
    hub: Hub
    travel: Travel
    shaft: Shaft
    steering: Steering | None = None
    gearbox_movement: GearboxMovement = GearboxMovement()
    brackets: tuple[Bracket, ...] = ()

    def _problems(self) -> Iterable[Problem]:
        if isinstance(self.linkage, Measured) and any(
            bracket.mounted_on == "arm" for bracket in self.brackets
        ):
            yield Problem(
                "bracket",
                "expected mounted_on body, knuckle or gearbox: a measured linkage has no arm",
            )
