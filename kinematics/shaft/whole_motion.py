"""The whole motion of one corner: worst values, where they are, and which limits break."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from kinematics.errors import require
from kinematics.gaps.clearance import ClosestApproach
from kinematics.linkage.motion import Motion, reach_of, solve
from kinematics.linkage.reach import Reach
from kinematics.parts import DEFAULT_MARGIN, Corner, InnerJoint, Steering
from kinematics.shaft.following import (
    Reaching,
    ShaftMotion,
    follow,
    reaching,
    require_reaching,
    ride_centred_length_mm,
    stroke_one_way_mm,
    stroke_rows,
)
from kinematics.shaft.gearbox_box import (
    TURNS,
    Extreme,
    GearboxBox,
    largest_at,
    least,
    least_at,
    moved_corner,
)
from kinematics.shaft.length_window import LengthWindow, Position, length_window, position_at
from kinematics.shaft.nearest import nearest_over_motion
from kinematics.vectors import Array, Ints, Vec, angle_between, distinct, read_only

_SAME = 1e-6

LimitedQuantity = Literal[
    "stroke_left_in", "stroke_left_out", "inner_angle", "outer_angle", "clearance"
]


@dataclass(frozen=True, slots=True)
class Worst:
    """The worst value of one quantity over the whole motion, its limit, and where it is.

    ``limit`` is the least value allowed for strokes left and gaps, the largest
    for angles.  ``part`` names the bracket of a clearance, ``section`` what comes nearest to it.
    """

    quantity: LimitedQuantity
    value: float
    limit: float
    position: Position
    part: str = ""
    section: str = ""

    @property
    def is_angle(self) -> bool:
        """Whether it is an angle in degrees, of which the limit is the largest; else mm."""
        return self.quantity in ("inner_angle", "outer_angle")

    @property
    def to_spare(self) -> float:
        """How far the value is from its limit; negative where the limit is broken."""
        if self.is_angle:
            return self.limit - self.value
        return self.value - self.limit

    @property
    def broken(self) -> bool:
        """Whether the limit is broken, by more than rounding."""
        return self.to_spare < -1e-9


@dataclass(frozen=True, slots=True)
class WorstGap:
    """A bracket's smallest gap over the whole motion, and what meets what there."""

    worst: Worst
    approach: ClosestApproach

    @classmethod
    def of(cls, approach: ClosestApproach, position: Position) -> WorstGap:
        """An approach as a worst value, at the position that it indexes."""
        return cls(
            Worst(
                "clearance",
                approach.gap_mm,
                approach.wanted_gap_mm,
                position,
                approach.bracket_name,
                approach.section_name,
            ),
            approach,
        )


@dataclass(frozen=True, slots=True)
class Unreachable:
    """Travel or steering that the scene asks for and the linkage cannot take."""

    quantity: Literal["travel", "steer"]
    asked: tuple[float, float]
    reachable: tuple[float, float]
    reason: str


@dataclass(frozen=True, slots=True)
class Examination:
    """The answer for one corner over its whole motion.

    ``window`` is None where part of the asked motion is out of reach: a window
    over less than the whole motion would promise what nobody has looked at.
    """

    length_mm: float
    length_given: bool
    ride_centred_length_mm: float
    margin_mm: float
    window: LengthWindow | None
    stroke_left_in: Worst
    stroke_left_out: Worst
    inner_angle: Worst
    outer_angle: Worst
    off_centre_mm: float
    off_centre_at: Position
    unreachable: tuple[Unreachable, ...]
    gaps: tuple[WorstGap, ...]

    @property
    def clearance(self) -> Worst | None:
        """The smallest gap of all; None without brackets or sections to meet them."""
        return min((gap.worst for gap in self.gaps), key=lambda gap: gap.value, default=None)

    @property
    def right_mm(self) -> tuple[float, float] | None:
        """The shortest and the longest length that is right; None where no length is."""
        window = self.window
        return None if window is None or window.empty else (window.shortest_mm, window.longest_mm)

    @property
    def of_joints(self) -> tuple[Worst, ...]:
        """The worst values of the two joints, in the table's order."""
        return (self.stroke_left_in, self.stroke_left_out, self.inner_angle, self.outer_angle)

    @property
    def worst(self) -> tuple[Worst, ...]:
        """The worst values that have a limit, in the table's order, a gap for each bracket last."""
        return (*self.of_joints, *(gap.worst for gap in self.gaps))

    @property
    def broken(self) -> tuple[Worst, ...]:
        """Those whose limit is broken."""
        return tuple(worst for worst in self.worst if worst.broken)


def steps(lowest: float, highest: float, step: float) -> Array:
    """Both ends and every multiple of ``step`` between them, 0 included; step above 0."""
    require((step > 0.0, "step", f"a step above 0, got {step:g}"))
    first, last = np.ceil(lowest / step), np.floor(highest / step)
    inner = np.arange(first, last + 1.0) * step + 0.0
    # A multiple that is an end but for its last binary digit is that end.
    near = _SAME * step
    inner = inner[(inner > lowest + near) & (inner < highest - near) | (inner == 0.0)]
    ends = [lowest, highest]
    return read_only(distinct(np.concatenate((inner, ends))))


def travel_steps(corner: Corner, step_mm: float) -> Array:
    """Travels from full droop to full bump, ride height and both ends among them, mm."""
    return steps(-corner.travel.droop, corner.travel.bump, step_mm)


def steer_steps(steering: Steering | None, step_deg: float) -> Array:
    """Steer angles from lock to lock, straight ahead and both locks among them, degrees."""
    if steering is None:
        return read_only(np.zeros(1))
    return steps(-steering.outside_lock, steering.inside_lock, step_deg)


def whole_motion(
    corner: Corner,
    travel_step_mm: float = 1.0,
    steer_step_deg: float = 1.0,
    within: Reach | None = None,
) -> Motion:
    """The motion over travel (rows) and steer (columns); of travel out of reach only the ends."""
    if within is None:
        within = reach_of(corner.linkage, corner.hub)
    travel = travel_steps(corner, travel_step_mm)
    # Asked for far out of reach, the steps there would only cost time.
    wanted = (travel >= within.lowest_mm) & (travel <= within.highest_mm)
    wanted[[0, -1]] = True
    return solve(
        corner.linkage,
        corner.hub,
        travel[wanted][:, None],
        steer_steps(corner.steering, steer_step_deg)[None, :],
        within=within,
    )


def examine(
    corner: Corner,
    margin_mm: float = DEFAULT_MARGIN,
    motion: Motion | None = None,
    *,
    turns: int = TURNS,
) -> Examination:
    """Examine one corner over travel, steer and gearbox movement.

    ``motion`` defaults to the whole motion in steps of 1 mm and 1 degree.  ``turns``: how
    closely the gearbox's box is searched for what has no closed form.
    Raises InvalidInput where the shaft is too short to reach from the outer
    joint to the housing axis, or the linkage stands on a dead point.
    """
    require((margin_mm >= 0.0, "margin", f"mm, 0 or more, got {margin_mm:g}"))
    if motion is None:
        motion = whole_motion(corner)
    joint = corner.shaft.inner_joint
    box = GearboxBox.of(corner.gearbox_movement, turns)
    # Every angle, and the plunge that pulls apart, is worst at a corner of the box.
    across = box.across(joint.axis)
    bent = follow(corner, motion, shift_mm=across.corners)
    require_reaching(motion, bent)
    beyond, length_mm = unreachable(motion), bent.length_mm
    still = reaching(joint, motion.outer_joint_parts)
    corners = box.pulled_in(joint.axis)
    at_corners = reaching(joint, motion.outer_joint_parts[..., None], corners)
    with np.errstate(invalid="ignore"):
        plunge, shift = box.least_plunge(still, length_mm)
        pushed_in = least(plunge, shift)
        pulled = at_corners.plunge_mm(length_mm)
        pulled = np.broadcast_to(pulled, (*motion.travel_mm.shape, len(corners)))
        pulled_out = largest_at(pulled, corners)
        stroke_in, stroke_out = _strokes_left(
            joint, motion, box, length_mm, (plunge, still, shift), (pulled, at_corners, corners)
        )
        window = None if beyond else length_window(joint, motion, box, margin_mm)
    outer_limit = corner.shaft.outer_joint.max_angle
    off_centre = max(pushed_in, pulled_out, key=lambda extreme: abs(extreme.value))

    def worst(quantity: LimitedQuantity, extreme: Extreme, limit: float) -> Worst:
        return Worst(quantity, extreme.value, limit, position_at(motion, extreme))

    return Examination(
        length_mm=length_mm,
        length_given=corner.shaft.length is not None,
        ride_centred_length_mm=ride_centred_length_mm(joint, corner.hub.outer_joint),
        margin_mm=margin_mm,
        window=window,
        stroke_left_in=worst("stroke_left_in", stroke_in, margin_mm),
        stroke_left_out=worst("stroke_left_out", stroke_out, margin_mm),
        inner_angle=worst(
            "inner_angle", largest_at(bent.inner_angle_deg, across.corners), joint.max_angle
        ),
        outer_angle=worst(
            "outer_angle", _largest_outer_angle(joint, motion, across, bent), outer_limit
        ),
        off_centre_mm=off_centre.value,
        off_centre_at=position_at(motion, off_centre),
        unreachable=beyond,
        gaps=tuple(
            WorstGap.of(approach, position)
            for approach, position in nearest_over_motion(corner, motion)
        ),
    )


def _strokes_left(
    joint: InnerJoint,
    motion: Motion,
    box: GearboxBox,
    length_mm: float,
    pushed_in: tuple[Array, Reaching, Vec],
    pulled_out: tuple[Array, Reaching, Array],
) -> tuple[Extreme, Extreme]:
    """The least stroke left before bottoming and before pulling apart, anywhere in the box.

    The least plunge comes with what is seen with the gearbox at rest and the shift that has it,
    the plunge at the box's corners with what is seen there and their shifts.
    """
    plunge, still, shift = pushed_in
    pulled, seen_at_corners, corners = pulled_out
    angles, inward, outward = stroke_rows(joint)
    if len(angles) == 1:
        return (
            least(inward[0] + plunge, shift),
            least_at(outward[0] - pulled, corners),
        )
    outer = Vec.of(motion.outer_joint.reshape(-1, 3))

    def left(seen: Reaching, plunge: Array, *, outward: bool) -> Array:
        angle = np.degrees(seen.inner_angle_rad(plunge))
        stroke = stroke_one_way_mm(joint, angle, outward=outward)
        return stroke - plunge if outward else stroke + plunge

    def least_left(somewhere: Array, *, outward: bool) -> Extreme:
        def at(rows: Ints, shifts: Array) -> Array:
            seen = reaching(joint, outer[rows[:, None]], shifts)
            return left(seen, seen.plunge_mm(length_mm), outward=outward)

        return box.least_anywhere(at, somewhere.ravel())

    bottoming = left(moved_corner(still, shift), plunge, outward=False)
    apart = left(seen_at_corners, pulled, outward=True).min(axis=-1)
    return (
        least_left(bottoming, outward=False),
        least_left(apart, outward=True),
    )


def _largest_outer_angle(
    joint: InnerJoint, motion: Motion, box: GearboxBox, shaft: ShaftMotion
) -> Extreme:
    """The largest angle of the outer joint, anywhere in the box."""
    axis, hub = Vec.of(joint.axis), motion.hub_axis_parts
    if not bool(np.any(hub.dot(axis) < 0.0)):
        return largest_at(shaft.outer_angle_deg, box.corners)
    outer, hub = (Vec.of(x.reshape(-1, 3)) for x in (motion.outer_joint, motion.hub_axis))

    def negative(rows: Ints, shifts: Array) -> Array:
        seen = reaching(joint, outer[rows[:, None]], shifts)
        along_shaft = seen.span - seen.axis * seen.plunge_mm(shaft.length_mm)
        return -np.degrees(angle_between(along_shaft, hub[rows[:, None]]))

    found = box.least_anywhere(negative, -shaft.outer_angle_deg.max(axis=-1).ravel())
    return replace(found, value=-found.value)


def unreachable(motion: Motion) -> tuple[Unreachable, ...]:
    """What of a motion the linkage cannot do, and what it can."""
    if bool(np.all(motion.in_reach)):
        return ()
    limits, travel, steer = motion.reach, motion.travel_mm, motion.steer_deg
    found: list[Unreachable] = []
    asked = (float(travel.min()), float(travel.max()))
    low, high = asked[0] < limits.lowest_mm, asked[1] > limits.highest_mm
    if low or high:
        reason = limits.lowest_reason if low else limits.highest_reason
        found.append(Unreachable("travel", asked, (limits.lowest_mm, limits.highest_mm), reason))
    in_travel = (travel >= limits.lowest_mm) & (travel <= limits.highest_mm)
    refused = steer[in_travel & ~motion.in_reach]
    if refused.size:
        # Angles that every travel in reach can take.
        able = steer[~np.isin(steer, refused)]
        found.append(
            Unreachable(
                "steer",
                (float(steer.min()), float(steer.max())),
                (float(able.min(initial=0.0)), float(able.max(initial=0.0))),
                limits.steer_reason,
            )
        )
    return tuple(found)
