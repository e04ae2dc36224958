"""Trimming a bracket so that every shaft it stands beside clears it over the whole motion."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import shapely

from kinematics.errors import KinematicsError, invalid
from kinematics.gaps.trimming import Nearer, Trim, trim
from kinematics.linkage.motion import Motion
from kinematics.parts import Bracket, Corner
from kinematics.shaft.following import follow, gearbox_shifts
from kinematics.shaft.fouling import Solids, solids
from kinematics.shaft.nearest import nearest_over_motion
from kinematics.shaft.whole_motion import unreachable, whole_motion
from kinematics.vectors import Array

# The deepest cut is looked for at points this far apart along the cut's edge, mm.
LOOKED_AT_EVERY_MM = 0.5


class NothingToTrimAgainst(KinematicsError):
    """A bracket cannot be trimmed to clear what is not known."""


def trim_to_clear(corners: Mapping[str, Corner], bracket: Bracket) -> Trim:
    """Trim a bracket to its wanted gap over the whole motion of corners on one linkage.

    The corners, each under the name that an error gives to its shaft, are those of the
    axle that share the bracket, one or both sides: the same linkage, hub,
    travel, steering and gearbox movement, each with its own shaft.
    Travel by the millimetre, steer by the degree, the gearbox anywhere in the box of its
    movement: the positions of :func:`~kinematics.shaft.whole_motion.examine`.

    Raises NothingToTrimAgainst without a shaft outline, or where part of the motion
    is out of reach; InvalidInput for a shaft that is too short to reach.
    """
    first = next(iter(corners.values()))
    motion = whole_motion(first)
    if unreachable(motion):
        raise NothingToTrimAgainst(
            "part of the travel or steering is out of reach: a bracket trimmed over the rest "
            "could still be hit; put the linkage or the travel right first"
        )
    shifts = gearbox_shifts(first.gearbox_movement)
    parts = [_solids(name, corner, motion, shifts) for name, corner in corners.items()]
    bodies = [body for part in parts for body in part.bodies]
    if not bodies:
        raise NothingToTrimAgainst(
            "the shaft has no outline to keep clear of: expected a section of the shaft, "
            "the inner joint or the outer joint"
        )

    def nearer(left: Bracket) -> list[Nearer]:
        found = []
        for name, corner in corners.items():
            alone = replace(corner, brackets=(left,))
            for approach, position in nearest_over_motion(alone, motion):
                there = _solids(name, corner, motion, np.array([position.shift_mm]))
                found.append(Nearer(approach.gap_mm, there.bodies, there.carriers))
        return found

    # One linkage and one gearbox: the carriers of every corner move alike.
    return trim(bodies, bracket, parts[0].carriers, nearer)


def _solids(name: str, corner: Corner, motion: Motion, shifts: Array) -> Solids:
    shaft = follow(corner, motion, shift_mm=shifts)
    if not bool(shaft.reaches.all()):
        message = (
            "expected a shaft that reaches from the outer joint to the housing axis, "
            f"got {shaft.length_mm:g} mm"
        )
        raise invalid(f"{name}.length", message)
    return solids(corner, motion, shaft)


def deepest_cut_mm(trimmed: Trim) -> float:
    """How far in from the bracket's edge as it was the cut goes, mm; 0 without a cut."""
    if not trimmed.needed:
        return 0.0
    edge = shapely.Polygon(trimmed.bracket.outline).exterior
    along = shapely.segmentize(trimmed.cut, LOOKED_AT_EVERY_MM)
    points = shapely.points(shapely.get_coordinates(along))
    return float(shapely.distance(edge, points).max())
