"""The nearest that the shaft comes to each bracket, with the gearbox anywhere in its box.

The gap at every travel and steer angle is exact at the box's corners, the middles of its
edges and faces, and its centre.  From each bracket's nearest of these the box, and the
travel and steering round it, are searched in ever smaller steps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kinematics.gaps.clearance import ClosestApproach, found_by
from kinematics.gaps.search import Search
from kinematics.linkage.motion import Motion
from kinematics.parts import Corner
from kinematics.shaft.following import follow, follow_each
from kinematics.shaft.fouling import corner_approaches, solids
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.length_window import Position
from kinematics.vectors import Array

MOST_TURNS = 40
# A search starts at half the box and goes on in half steps while they are above this share.
LEAST_STEP = 1e-4
# What is nearer by less than this is looked at in smaller steps, mm.
HARDLY_NEARER_MM = 1e-3


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """One bracket's nearest so far: its approach, the gearbox shift there, and the next step."""

    approach: ClosestApproach
    shift_mm: Array
    step: float = 0.5


def nearest_over_motion(
    corner: Corner, motion: Motion
) -> tuple[tuple[ClosestApproach, Position], ...]:
    """Each bracket's smallest gap over a motion and the gearbox's box, and where it is.

    ``position`` of an approach indexes the motion.  Empty without brackets or sections that
    could meet them.
    """
    if not corner.brackets:
        return ()
    box = GearboxBox.of(corner.gearbox_movement)
    places = box.places()
    shaft = follow(corner.shaft, motion, corner.hub.outer_joint, shift_mm=places)
    found = [
        _Found(replace(one, position=one.position[:-1]), places[one.position[-1]])
        for one in corner_approaches(corner, motion, shaft, places)
    ]
    if len(places) > 1:
        for _ in range(MOST_TURNS):
            if all(one.step < LEAST_STEP for one in found):
                break
            found = _closer(corner, motion, box, found)
    return tuple(
        (
            one.approach,
            Position(
                float(motion.travel_mm[one.approach.position]),
                float(motion.steer_deg[one.approach.position]),
                tuple(one.shift_mm.tolist()),
            ),
        )
        for one in found
    )


def _closer(corner: Corner, motion: Motion, box: GearboxBox, found: list[_Found]) -> list[_Found]:
    """Look a step round each bracket's nearest, and make the step smaller where none is nearer."""
    shape = motion.travel_mm.shape
    last = np.array(shape) - 1
    steps = box.places()
    axes = np.concatenate(([np.zeros(len(shape), np.intp)], np.eye(len(shape), dtype=np.intp)))
    neighbours = np.concatenate((axes, -axes[1:]))
    at, shifts = [], []
    for one in found:
        here = np.clip(np.array(one.approach.position) + neighbours, 0, last)
        there = np.clip(one.shift_mm + one.step * steps, -box.half_mm, box.half_mm)
        at.append(np.repeat(here, len(there), axis=0))
        shifts.append(np.tile(there, (len(here), 1)))
    index, shift = np.concatenate(at), np.concatenate(shifts)
    each = len(neighbours) * len(steps)
    owner = np.repeat([one.approach.bracket for one in found], each)
    some = motion.at(tuple(index.T))
    shaft = follow_each(corner.shaft, some, corner.hub.outer_joint, shift)
    parts = solids(corner, some, shaft, shift[:, None])
    search = Search.of(parts.bodies, corner.brackets, parts.carriers, each_position=False)
    assert search is not None
    known = np.flatnonzero(search.known)
    for one in found:
        search.bracket_best[one.approach.bracket] = one.approach.gap_mm
    # Each bracket is looked at round its own nearest.
    search.below[search.meetings.bracket[:, None] != owner[known]] = np.inf
    search.run()
    closer = []
    for one in found:
        b = one.approach.bracket
        if search.bracket_row[b] < 0:
            closer.append(replace(one, step=0.5 * one.step))
            continue
        probe = int(known[search.bracket_position[b]])
        nearer = found_by(search, b, corner.brackets[b], parts.bodies, tuple(index[probe].tolist()))
        hardly = one.approach.gap_mm - nearer.gap_mm < HARDLY_NEARER_MM
        closer.append(_Found(nearer, shift[probe], 0.5 * one.step if hardly else one.step))
    return closer
