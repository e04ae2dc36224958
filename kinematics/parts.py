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
from typing import ClassVar, Literal

import shapely

from kinematics.errors import Check
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


def _apart(a: Point, b: Point) -> bool:
    return math.dist(a, b) >= SMALLEST_LENGTH


def _apart_in_front(a: Point, b: Point) -> bool:
    return math.dist(a[:2], b[:2]) >= SMALLEST_LENGTH


def rising(fore: tuple[float, float] | None) -> bool:
    """Whether an extent in fore, where one is given, runs from rear to front."""
    return fore is None or fore[0] < fore[1]


def _hub_axis(outer_joint: Point, wheel_centre: Point) -> Check:
    outboard = math.dist(outer_joint[::2], wheel_centre[::2]) >= SMALLEST_LENGTH
    return outboard, "wheel_centre", "a point outboard of outer_joint, not straight above it"


@dataclass(frozen=True, slots=True)
class Strut(Part):
    """A telescopic strut clamped to the knuckle, over one arm.

    The sliding axis runs through ``strut_top`` and ``strut_lower`` as drawn at
    ride height; the steering axis from ``ball_joint`` to ``strut_top``.
    """

    # Each linkage's kind, as the scene file names it.
    kind: ClassVar[str] = "strut"

    arm_pivot: Point
    ball_joint: Point
    strut_top: Point
    strut_lower: Point

    def _checks(self) -> Iterable[Check]:
        arm = _apart_in_front(self.arm_pivot, self.ball_joint)
        yield arm, "ball_joint", "a point away from arm_pivot in the front view"
        slide = _apart(self.strut_top, self.strut_lower)
        yield slide, "strut_lower", "a point away from strut_top"
        yield _apart(self.strut_top, self.ball_joint), "ball_joint", "a point away from strut_top"


@dataclass(frozen=True, slots=True)
class Wishbones(Part):
    """Two arms; the steering axis runs through the two ball joints."""

    kind: ClassVar[str] = "wishbones"

    lower_pivot: Point
    lower_ball_joint: Point
    upper_pivot: Point
    upper_ball_joint: Point

    def _checks(self) -> Iterable[Check]:
        for one, other in (
            ("lower_pivot", "lower_ball_joint"),
            ("upper_pivot", "upper_ball_joint"),
            ("lower_ball_joint", "upper_ball_joint"),
        ):
            apart = _apart_in_front(getattr(self, one), getattr(self, other))
            yield apart, other, f"a point away from {one} in the front view"


@dataclass(frozen=True, slots=True)
class MeasuredPosition(Part):
    """Where the outer joint's centre was found at one travel, steering straight.

    ``wheel_centre`` at the same travel gives the hub axis; None where it was not taken.
    """

    travel: float
    outer_joint: Point
    wheel_centre: Point | None = None

    def _checks(self) -> Iterable[Check]:
        if self.wheel_centre is not None:
            yield _hub_axis(self.outer_joint, self.wheel_centre)


@dataclass(frozen=True, slots=True)
class Measured(Part):
    """No linkage at all: positions taken on the car at several travels.

    Ride height is the hub's own points, so travel 0 is not repeated here.
    """

    kind: ClassVar[str] = "measured"

    positions: tuple[MeasuredPosition, ...]

    def _checks(self) -> Iterable[Check]:
        travels = sorted((0.0, *(position.travel for position in self.positions)))
        few = len(self.positions) < 2
        yield not few, "position", "positions at two travels or more, besides ride height"
        least = SMALLEST_TRAVEL_STEP
        right = f"travels {least:g} mm apart or more; travel 0 is ride height, which [hub] gives"
        yield few or min(b - a for a, b in itertools.pairwise(travels)) >= least, "position", right
        alike = len({position.wheel_centre is None for position in self.positions}) < 2
        yield alike, "position", "wheel_centre at every travel or at none"


ArmLinkage = Strut | Wishbones
Linkage = ArmLinkage | Measured


@dataclass(frozen=True, slots=True)
class Hub(Part):
    """The hub axis runs from the outer joint's centre through the wheel centre."""

    outer_joint: Point
    wheel_centre: Point

    def _checks(self) -> Iterable[Check]:
        yield _hub_axis(self.outer_joint, self.wheel_centre)


@dataclass(frozen=True, slots=True)
class Travel(Part):
    """Wheel travel from ride height: ``bump`` above and ``droop`` below, both positive."""

    bump: float
    droop: float

    def _checks(self) -> Iterable[Check]:
        for name in ("bump", "droop"):
            yield getattr(self, name) >= 0, name, "mm from ride height, 0 or more"


@dataclass(frozen=True, slots=True)
class Steering(Part):
    """Steer angle of this wheel at each lock, degrees, both positive."""

    inside_lock: float
    outside_lock: float

    def _checks(self) -> Iterable[Check]:
        for name in ("inside_lock", "outside_lock"):
            yield 0 <= getattr(self, name) < 90, name, "degrees from 0 to less than 90"


@dataclass(frozen=True, slots=True)
class GearboxMovement(Part):
    """How far the gearbox outputs move on their mounts, each way."""

    out: float = 0.0
    up: float = 0.0
    fore: float = 0.0

    def _checks(self) -> Iterable[Check]:
        for name in ("out", "up", "fore"):
            yield getattr(self, name) >= 0, name, "mm each way, 0 or more"


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

    def _checks(self) -> Iterable[Check]:
        yield self.to > self.from_, "to", "mm along the shaft, more than from"
        solid = min(self.diameter) >= 0 and max(self.diameter) > 0
        yield solid, "diameter", "mm above 0, or [d_from, d_to] for a taper"


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

    def _checks(self) -> Iterable[Check]:
        nowhere = math.hypot(*self.axis) < 1e-9
        yield not nowhere, "axis", "a direction [out, up, fore] that is not zero"
        outboard = nowhere or self.axis[0] > 0
        yield outboard, "axis", "a direction that points outboard (out above 0)"
        for name in ("stroke_in", "stroke_out"):
            yield getattr(self, name) >= 0, name, "mm from mid-stroke, 0 or more"
        yield 0 < self.max_angle < 90, "max_angle", "degrees above 0 and below 90"
        angles = [row[0] for row in self.stroke_at_angle]
        if any(not 0 <= angle < 90 for angle in angles):
            yield False, "stroke_at_angle", "angles from 0 to less than 90 degrees"
        elif any(b <= a for a, b in itertools.pairwise(angles)):
            yield False, "stroke_at_angle", "rows in order of rising angle"
        elif any(min(row[1:]) < 0 for row in self.stroke_at_angle):
            yield False, "stroke_at_angle", "strokes of 0 mm or more"


@dataclass(frozen=True, slots=True)
class OuterJoint(Part):
    """The fixed joint in the hub; ``sections`` are its body's outline, which turns with the hub."""

    max_angle: float
    sections: tuple[Section, ...] = ()

    def _checks(self) -> Iterable[Check]:
        yield 0 < self.max_angle < 90, "max_angle", "degrees above 0 and below 90"


@dataclass(frozen=True, slots=True)
class Shaft(Part):
    """One side's shaft; ``length`` between joint centres, None while undecided."""

    inner_joint: InnerJoint
    outer_joint: OuterJoint
    length: float | None = None
    sections: tuple[Section, ...] = ()

    def _checks(self) -> Iterable[Check]:
        yield self.length is None or self.length > 0, "length", "mm between joint centres, above 0"


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

    def _checks(self) -> Iterable[Check]:
        count = len(self.outline)
        few = f"{MOST_CORNERS} corners or fewer, got {count}; a few dozen follow any bracket"
        yield count >= 3, "outline", "three corners [out, up] or more"
        yield count <= MOST_CORNERS, "outline", few
        if 3 <= count <= MOST_CORNERS:
            polygon = shapely.Polygon(self.outline)
            sound = polygon.is_valid
            yield sound, "outline", "an outline that does not cross or touch itself"
            encloses = not sound or polygon.area >= SMALLEST_LENGTH**2
            yield encloses, "outline", "an outline that encloses an area"
        yield self.mounted_on in CARRIERS, "mounted_on", "one of body, arm, knuckle, gearbox"
        yield rising(self.fore), "fore", "[rear, front] in mm with front above rear"
        yield self.wanted_gap >= 0, "wanted_gap", "mm, 0 or more"


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

    def _checks(self) -> Iterable[Check]:
        armless = isinstance(self.linkage, Measured)
        on_arm = armless and any(bracket.mounted_on == "arm" for bracket in self.brackets)
        other = "mounted_on body, knuckle or gearbox: a measured linkage has no arm"
        yield not on_arm, "bracket", other
