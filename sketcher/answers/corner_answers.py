"""What is asked about one corner, each by itself: poses, sweep, gaps, envelope, whole motion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.errors import KinematicsError
from kinematics.gaps.clearance import ClosestApproach, clearance, gaps_and_points
from kinematics.gaps.envelope import envelope
from kinematics.linkage.motion import Motion, solve
from kinematics.linkage.reach import Reach
from kinematics.parts import Corner, FrontPoint, Point
from kinematics.shaft.following import ShaftMotion, follow, require_reaching
from kinematics.shaft.fouling import solids
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import (
    Examination,
    WorstGap,
    examine,
    steps,
    travel_steps,
    whole_motion,
)
from kinematics.vectors import Array, read_only
from sketcher.answers.pose import Pose, carried, pose_at
from sketcher.answers.states import State, room_state

# Positions along the travel of a sweep; its curves are smooth far below this.
SWEEP_TRAVELS = 41
# Of the search through the gearbox's box, while the hand moves; the whole answer is closer.
QUICK_TURNS = 2
ENVELOPE_TRAVELS = 13
ENVELOPE_WITHIN_MM = 1.0

Outlines = tuple[tuple[FrontPoint, ...], ...]


@dataclass(frozen=True, slots=True)
class PoseGap:
    """The gap of one bracket at one pose.

    ``bracket`` is its index in the corner: the scene's brackets, then strut tube and
    arm.  ``at`` is the point on it, at this pose, that is nearest the shaft.
    ``gap_mm`` is negative where they overlap.
    """

    bracket: int
    gap_mm: float
    wanted_mm: float
    at: Point

    @property
    def state(self) -> State:
        """Good, closer than wanted, or fouling."""
        return room_state(self.gap_mm, self.wanted_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Poses:
    """The pose at ride height and the one asked for, None where that is out of reach.

    ``motion`` has both, in this order.
    """

    ride: Pose
    here: Pose | None
    motion: Motion


@dataclass(frozen=True, slots=True, eq=False)
class Sweep:
    """The whole travel at a few steer angles.

    ``corner`` is what it is over.  ``motion`` and ``shaft`` have travel along the first
    axis and the steer angles (outside lock, straight, inside lock) along the second.
    """

    corner: Corner
    motion: Motion
    shaft: ShaftMotion

    @property
    def steer_deg(self) -> Array:
        """The steer angles of the curves."""
        return np.asarray(self.motion.steer_deg[0])


def poses(corner: Corner, within: Reach | None, travel_mm: float, steer_deg: float) -> Poses:
    """Both poses in one go, and the reach of the linkage where that is not known yet.

    Raises KinematicsError where the linkage does not close as drawn.
    """
    motion = solve(corner.linkage, corner.hub, [0.0, travel_mm], [0.0, steer_deg], within=within)
    shaft = follow(corner, motion)
    ride = pose_at(corner, motion, shaft, 0)
    if ride is None:
        raise KinematicsError("linkage: the points do not close at ride height")
    return Poses(ride, pose_at(corner, motion, shaft, 1), motion)


def sweep(corner: Corner, within: Reach) -> Sweep:
    """The curves of the plots.

    Raises InvalidInput where the shaft is too short.
    """
    low, high = -corner.travel.droop, corner.travel.bump
    travel = (
        steps(low, high, (high - low) / (SWEEP_TRAVELS - 1))
        if high - low > 1e-3
        else travel_steps(corner, 1.0)
    )
    motion = _at_locks(corner, within, travel)
    shaft = follow(corner, motion)
    require_reaching(motion, shaft)
    return Sweep(corner, motion, shaft)


def _at_locks(corner: Corner, within: Reach, travel_mm: Array) -> Motion:
    """Every travel with the wheel straight ahead and, where it steers, at both locks."""
    steering = corner.steering
    steer = [0.0] if steering is None else [-steering.outside_lock, 0.0, steering.inside_lock]
    at, turned = travel_mm[:, None], np.unique(steer)[None, :]
    return solve(corner.linkage, corner.hub, at, turned, within=within)


def swept_answer(over: Sweep, margin_mm: float) -> Examination:
    """The answer over a sweep's positions, gaps left out.

    Raises InvalidInput where the shaft is too short with the gearbox moved.
    """
    return examine(replace(over.corner, brackets=()), margin_mm, over.motion, turns=QUICK_TURNS)


def whole_answer(corner: Corner, within: Reach, margin_mm: float) -> Examination:
    """The answer over the whole motion, every mm and degree."""
    return examine(corner, margin_mm, whole_motion(corner, within=within))


def can_touch(corner: Corner) -> bool:
    """Whether there is anything that the shaft could touch, and an outline that touches."""
    return bool(corner.brackets and corner.shaft.sections)


def gap_curve(corner: Corner, over: Sweep) -> Array:
    """The smallest gap at each position of a sweep, mm."""
    parts = solids(corner, over.motion, over.shaft)
    found = clearance(parts.bodies, corner.brackets, parts.carriers, each_bracket=False)
    return read_only(found.gap_mm)


def worst_gaps(corner: Corner, over: Sweep, indices: Sequence[int]) -> tuple[WorstGap | None, ...]:
    """The smallest gap over a sweep of each bracket asked about, None where it is not met."""
    parts = solids(corner, over.motion, over.shaft)
    brackets = [corner.brackets[index] for index in indices]
    found = clearance(parts.bodies, brackets, parts.carriers, each_position=False).approaches
    if not found:
        return (None,) * len(brackets)
    return tuple(
        _worst(approach, over.motion, index) for approach, index in zip(found, indices, strict=True)
    )


def _worst(approach: ClosestApproach, motion: Motion, index: int) -> WorstGap:
    travel, steer, *_ = approach.position
    at = (travel, steer)
    position = Position(float(motion.travel_mm[at]), float(motion.steer_deg[at]))
    return WorstGap.of(replace(approach, bracket=index), position)


def gaps_at(
    corner: Corner, within: Reach, pose: Pose, motion: Motion | None = None
) -> tuple[PoseGap, ...]:
    """Each bracket's gap at one pose, and the point where it is.

    ``motion``, at that pose alone, saves solving it again.
    """
    if pose.shaft is None or not can_touch(corner):
        return ()
    if motion is None:
        motion = solve(corner.linkage, corner.hub, pose.travel_mm, pose.steer_deg, within=within)
    parts = solids(corner, motion, follow(corner, motion))
    gaps, points = gaps_and_points(parts.bodies, corner.brackets, parts.carriers)
    return tuple(
        PoseGap(index, gap, bracket.wanted_gap, carried((out, up, fore), bracket, pose))
        for index, (bracket, gap, (out, up, fore)) in enumerate(
            zip(corner.brackets, gaps.tolist(), points.tolist(), strict=False)
        )
    )


def envelope_outlines(corner: Corner, within: Reach) -> Outlines:
    """What the shaft sweeps in the front view, world mm."""
    if not corner.shaft.sections:
        return ()
    travel = np.linspace(-corner.travel.droop, corner.travel.bump, ENVELOPE_TRAVELS)
    motion = _at_locks(corner, within, travel)
    parts = solids(corner, motion, follow(corner, motion))
    swept = envelope(parts.bodies[:1], within_mm=ENVELOPE_WITHIN_MM).outline
    return tuple(
        tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
        for part in getattr(swept, "geoms", [swept])
        if not part.is_empty
    )
