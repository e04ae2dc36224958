"""Which positions of the whole motion decide once the measured points may be off.

The window's shortest length is the largest that any single position asks for,
the longest the smallest.  Errors in the measured points raise and lower what
the positions ask for, all together for the most part: what one position gains
on another grows with how far the mechanism turns between them.  A position
that lies further below the peak than that cannot come to decide.

Of those that can, few do: each one's answer is nearly linear in the errors, so
slopes say for a sample of draws which one would be largest, and the fewest that
serve all of the sample to a few micrometres are kept.  The slopes only choose
the positions; what is answered there is exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kinematics.linkage.motion import Motion, require_in_reach
from kinematics.parts import Corner
from kinematics.shaft.following import (
    Reaching,
    follow,
    gearbox_shifts,
    reaching,
    ride_centred_length_mm,
)
from kinematics.shaft.length_window import window_ends_mm
from kinematics.shaft.whole_motion import whole_motion
from kinematics.sure.sampling import (
    Deciding,
    Ints,
    Pairs,
    allowed_plunge_mm,
    joint_angles,
    window_ends,
)
from kinematics.sure.variants import Positions, Variants
from kinematics.vectors import Array

TRAVEL_STEP_MM = 3.0
STEER_STEP_DEG = 3.0
# Travel that turns arm and shaft by a radian; a round figure below most cars'.
_TRAVEL_PER_RADIAN_MM = 300.0
# Several points err together: three standard deviations of some six of them.
_TOGETHER = 4.0
_SAMPLE = 1000
_MISSED_MM = 0.003
_MISSED_DEG = 0.01
_CHORD_MM = 0.5
# Stroke tables steeper than this have no single end of stroke; the chord keeps its sign.
_LEAST_SLOPE = 0.2


def deciding(variants: Variants, sigma_mm: Array, error_mm: float, margin_mm: float) -> Deciding:
    """Find them on a grid of 3 mm and 3 degrees.

    ``sigma_mm`` is each coordinate's standard uncertainty, ``error_mm`` the
    largest error of any.  Raises OutOfReach where the corner cannot take its
    whole motion.
    """
    corner = variants.corner
    wide = _candidates(corner, error_mm, margin_mm)
    steps = np.concatenate((np.zeros((1, len(sigma_mm))), np.diag(sigma_mm), -np.diag(sigma_mm)))
    stepped = Variants(corner, variants.coordinates, steps)
    outer, hub_axis = stepped.outer_joint(wide.positions)
    span = outer - stepped.point("inner_joint.mid_stroke")
    made = stepped.offset_mm(".length")
    sample = variants.offsets_mm[:_SAMPLE]
    units = np.divide(sample, sigma_mm, out=np.zeros_like(sample), where=sigma_mm > 0.0)
    inner, at_hub = joint_angles(corner, span, hub_axis, made, wide)
    return _narrowed(
        corner,
        wide,
        _fewest(window_ends(stepped, span, wide, outward=True), units, _MISSED_MM),
        _fewest(-window_ends(stepped, span, wide, outward=False), units, _MISSED_MM),
        np.union1d(_fewest(inner, units, _MISSED_DEG), _fewest(at_hub, units, _MISSED_DEG)),
    )


def _fewest(stepped: Array, units: Array, missed: float) -> Ints:
    """The fewest pairs among which the largest of all is found in every sampled draw.

    ``stepped`` of shape (1 + 2 coordinates, pairs) holds the answers at no error
    and one standard uncertainty either way; ``units`` the sampled errors in
    standard uncertainties.
    """
    count = units.shape[1]
    slopes = 0.5 * (stepped[1 : count + 1] - stepped[count + 1 :])
    values = np.nan_to_num(stepped[0] + units @ np.nan_to_num(slopes), nan=-np.inf)
    largest = values.max(axis=1)
    found = np.full(len(values), -np.inf)
    kept: list[int] = [int(np.nan_to_num(stepped[0], nan=-np.inf).argmax())]
    while True:
        found = np.maximum(found, values[:, kept[-1]])
        short = largest - found > missed
        if not short.any():
            return np.unique(kept)
        serves = values[short] >= largest[short, None] - 0.5 * missed
        kept.append(int(serves.sum(axis=0).argmax()))


def _narrowed(
    corner: Corner, wide: Deciding, shortest: Ints, longest: Ints, angles: Ints
) -> Deciding:
    """Only these pairs, and the positions they need beside the ends of the motion."""
    travel, steer = wide.positions.travel_mm, wide.positions.steer_deg
    # The linkage ceases to close towards the ends first: those are always looked at.
    ends = np.flatnonzero(
        np.isin(travel, (travel.min(), travel.max())) & np.isin(steer, (steer.min(), steer.max()))
    )
    kept = [
        pairs.taken(places)
        for pairs, places in (
            (wide.shortest, shortest),
            (wide.longest, longest),
            (wide.angles, angles),
        )
    ]
    wanted = np.unique(np.concatenate([ends, *(pairs.position for pairs in kept)]))
    kept = [pairs.moved(np.searchsorted(wanted, pairs.position)) for pairs in kept]
    return Deciding(
        wide.margin_mm,
        wide.length_mm,
        Positions.of(corner, travel[wanted], steer[wanted]),
        *kept,
    )


def _candidates(corner: Corner, error_mm: float, margin_mm: float) -> Deciding:
    """Every pair of the grid that may come to decide."""
    motion = whole_motion(corner, TRAVEL_STEP_MM, STEER_STEP_DEG)
    require_in_reach(motion)
    joint = corner.shaft.inner_joint
    shifts = gearbox_shifts(corner.gearbox_movement)
    seen = reaching(joint, motion.outer_joint_parts, shifts[:, None, None, :])
    shortest, longest = window_ends_mm(joint, seen, margin_mm)
    shaft = follow(corner.shaft, motion, corner.hub.outer_joint, shift_mm=shifts)
    asked = _Asked(motion, _TOGETHER * error_mm)
    # What the errors turn the shaft by, and what that makes of a gearbox shift.
    turn = asked.error_mm / ride_centred_length_mm(joint, corner.hub.outer_joint)
    near = turn * float(np.abs(shifts).max(initial=0.0))
    # The hub axis, between two points close together, turns most.
    angle = math.degrees(1.0 / math.dist(corner.hub.outer_joint, corner.hub.wheel_centre))
    by_angle = [
        asked.may_decide(angles, angle, near * angle)
        for angles in (shaft.inner_angle_deg, shaft.outer_angle_deg)
    ]
    columns = motion.travel_mm.shape[1]

    def pairs(index: Ints, ends_mm: Array | None, *, outward: bool) -> Pairs:
        shift, row, column = index
        position = row * columns + column
        nothing = np.zeros(len(position))
        if ends_mm is None or not joint.stroke_at_angle:
            return Pairs(position, shifts[shift], nothing, nothing + 1.0)
        chosen = (shift, row, column)
        here = Reaching(seen.axis, seen.span, seen.along_mm[chosen], seen.across_mm[chosen])
        plunge = here.plunge_mm(ends_mm[chosen])
        allowed = [
            allowed_plunge_mm(joint, here, plunge + step, margin_mm, outward=outward)
            for step in (-_CHORD_MM, _CHORD_MM)
        ]
        slope = 1.0 - (allowed[1] - allowed[0]) / (2.0 * _CHORD_MM)
        return Pairs(position, shifts[shift], plunge, np.maximum(slope, _LEAST_SLOPE))

    return Deciding(
        margin_mm,
        shaft.length_mm,
        Positions.of(corner, motion.travel_mm.ravel(), motion.steer_deg.ravel()),
        shortest=pairs(asked.may_decide(shortest, 1.0, near), shortest, outward=True),
        longest=pairs(asked.may_decide(-longest, 1.0, near), longest, outward=False),
        angles=pairs(np.concatenate(by_angle, axis=1), None, outward=True),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """What may come to decide over a motion of travel (rows) and steer (columns)."""

    motion: Motion
    error_mm: float

    def may_decide(self, values: Array, per_mm: float, near: float) -> Ints:
        """Where values of shape (shifts, travels, steers) may be largest: indices (3, pairs).

        ``per_mm`` is how much of a value a millimetre of error makes; each
        position comes with every gearbox shift within ``near`` of its best.
        """
        values = np.nan_to_num(values, nan=-np.inf)
        best = values.max(axis=0)
        peak = np.unravel_index(int(best.argmax()), best.shape)
        travel, steer = self.motion.travel_mm, np.radians(self.motion.steer_deg)
        turned = np.abs(travel - travel[peak]) / _TRAVEL_PER_RADIAN_MM
        turned += np.abs(steer - steer[peak])
        row, column = np.nonzero(best >= best[peak] - self.error_mm * per_mm * turned)
        shift, place = np.nonzero(values[:, row, column] >= best[row, column] - near)
        return np.stack((shift, row[place], column[place]))
