"""The whole motion of one corner: worst values, where they are, and which limits break."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.errors import InvalidInput, Problem
from kinematics.gaps.clearance import ClosestApproach
from kinematics.linkage.motion import Motion, reach_of, solve
from kinematics.linkage.reach import Reach
from kinematics.parts import DEFAULT_MARGIN, Corner, Steering
from kinematics.shaft.following import (
    ShaftMotion,
    follow,
    gearbox_shifts,
    ride_centred_length_mm,
)
from kinematics.shaft.fouling import corner_approaches
from kinematics.shaft.length_window import LengthWindow, Position, length_window, position_at
from kinematics.vectors import Array, read_only

_SAME = 1e-6

Quantity = Literal["stroke_left_in", "stroke_left_out", "inner_angle", "outer_angle", "clearance"]


@dataclass(frozen=True, slots=True)
class Worst:
    """The worst value of one quantity over the whole motion, its limit, and where it is.

    ``limit`` is the least value allowed for strokes left and gaps, the largest
    for angles.  ``part`` names the bracket of a clearance.
    """

    quantity: Quantity
    value: float
    limit: float
    position: Position
    part: str = ""

    @property
    def to_spare(self) -> float:
        """How far the value is from its limit; negative where the limit is broken."""
        if self.quantity in ("inner_angle", "outer_angle"):
            return self.limit - self.value
        return self.value - self.limit

    @property
    def broken(self) -> bool:
        """Whether the limit is broken, by more than rounding."""
        return self.to_spare < -1e-9


@dataclass(frozen=True, slots=True)
class Gap:
    """A bracket's smallest gap over the whole motion, and what meets what there."""

    worst: Worst
    approach: ClosestApproach


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
    gaps: tuple[Gap, ...]

    @property
    def clearance(self) -> Worst | None:
        """The smallest gap of all; None without brackets or sections to meet them."""
        return min((gap.worst for gap in self.gaps), key=lambda gap: gap.value, default=None)

    @property
    def worst(self) -> tuple[Worst, ...]:
        """The worst values that have a limit, in the table's order, a gap for each bracket last."""
        return (
            self.stroke_left_in,
            self.stroke_left_out,
            self.inner_angle,
            self.outer_angle,
            *(gap.worst for gap in self.gaps),
        )

    @property
    def broken(self) -> tuple[Worst, ...]:
        """Those whose limit is broken."""
        return tuple(worst for worst in self.worst if worst.broken)


def steps(lowest: float, highest: float, step: float) -> Array:
    """Both ends and every multiple of ``step`` between them, 0 included; step above 0."""
    if not step > 0.0:
        raise InvalidInput([Problem("step", f"expected a step above 0, got {step:g}")])
    first, last = np.ceil(lowest / step), np.floor(highest / step)
    inner = np.arange(first, last + 1.0) * step + 0.0
    # A multiple that is an end but for its last binary digit is that end.
    near = _SAME * step
    inner = inner[(inner > lowest + near) & (inner < highest - near) | (inner == 0.0)]
    ends = [lowest, highest]
    return read_only(np.unique(np.concatenate((inner, ends))))


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
    corner: Corner, margin_mm: float = DEFAULT_MARGIN, motion: Motion | None = None
) -> Examination:
    """Examine one corner over travel, steer and gearbox movement.

    ``motion`` defaults to the whole motion in steps of 1 mm and 1 degree.
    Raises InvalidInput where the shaft is too short to reach from the outer
    joint to the housing axis, or the linkage stands on a dead point.
    """
    if not margin_mm >= 0.0:
        raise InvalidInput([Problem("margin", f"expected mm, 0 or more, got {margin_mm:g}")])
    if motion is None:
        motion = whole_motion(corner)
    joint = corner.shaft.inner_joint
    shifts = gearbox_shifts(corner.gearbox_movement)
    shaft = follow(corner.shaft, motion, corner.hub.outer_joint, shift_mm=shifts)
    require_reaching(motion, shaft)
    beyond = unreachable(motion)

    def worst(quantity: Quantity, values: Array, limit: float) -> Worst:
        largest = quantity in ("inner_angle", "outer_angle")
        index = int(np.nanargmax(values) if largest else np.nanargmin(values))
        return Worst(quantity, float(values.flat[index]), limit, position_at(motion, shifts, index))

    off_centre = int(np.nanargmax(np.abs(shaft.plunge_mm)))
    return Examination(
        length_mm=shaft.length_mm,
        length_given=corner.shaft.length is not None,
        ride_centred_length_mm=ride_centred_length_mm(joint, corner.hub.outer_joint),
        margin_mm=margin_mm,
        window=None if beyond else length_window(joint, motion, shifts, margin_mm),
        stroke_left_in=worst("stroke_left_in", shaft.stroke_left_in_mm, margin_mm),
        stroke_left_out=worst("stroke_left_out", shaft.stroke_left_out_mm, margin_mm),
        inner_angle=worst("inner_angle", shaft.inner_angle_deg, joint.max_angle),
        outer_angle=worst("outer_angle", shaft.outer_angle_deg, corner.shaft.outer_joint.max_angle),
        off_centre_mm=float(shaft.plunge_mm.flat[off_centre]),
        off_centre_at=position_at(motion, shifts, off_centre),
        unreachable=beyond,
        gaps=_gaps(corner, motion, shaft, shifts),
    )


def _gaps(corner: Corner, motion: Motion, shaft: ShaftMotion, shifts: Array) -> tuple[Gap, ...]:
    return tuple(
        Gap(
            Worst(
                "clearance",
                approach.gap_mm,
                approach.wanted_gap_mm,
                _position(motion, shifts, approach.position),
                approach.bracket_name,
            ),
            approach,
        )
        for approach in corner_approaches(corner, motion, shaft, shifts)
    )


def _position(motion: Motion, shifts: Array, place: tuple[int, ...]) -> Position:
    *rest, shift = place
    out, up, fore = (float(value) for value in shifts[shift])
    return Position(
        float(motion.travel_mm[tuple(rest)]), float(motion.steer_deg[tuple(rest)]), (out, up, fore)
    )


def require_reaching(motion: Motion, shaft: ShaftMotion) -> None:
    """Raise InvalidInput where the shaft is too short to reach the housing axis."""
    short = motion.in_reach & ~shaft.reaches
    if not bool(np.any(short)):
        return
    raise InvalidInput(
        [
            Problem(
                "length",
                f"expected a shaft that reaches from the outer joint to the housing axis, "
                f"got {shaft.length_mm:g} mm",
            )
        ]
    )


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
        able = np.setdiff1d(steer, refused)
        found.append(
            Unreachable(
                "steer",
                (float(steer.min()), float(steer.max())),
                (float(able.min(initial=0.0)), float(able.max(initial=0.0))),
                limits.steer_reason,
            )
        )
    return tuple(found)
