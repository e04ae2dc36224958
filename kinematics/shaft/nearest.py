"""The nearest that the shaft comes to each bracket, with the gearbox anywhere in its box.

The gap at every travel and steer angle is exact at the box's corners and its centre.  From
each bracket's nearest of these (of an overlap, from every corner), and from the ends of travel
and steering that are hardly farther off, the box and the positions round it are searched in ever
smaller steps.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import product

import numpy as np

from kinematics.gaps.clearance import ClosestApproach, found_by
from kinematics.gaps.search import Search
from kinematics.linkage.motion import Motion
from kinematics.parts import Corner
from kinematics.shaft.following import follow
from kinematics.shaft.fouling import corner_approaches, solids
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.length_window import Position
from kinematics.vectors import Array

MOST_TURNS = 40
# Shares of the box.  Where neither the first step nor the least finds a nearer place, there is
# none: a gap is all but convex in the shift.  Otherwise it goes on in half steps.
FIRST_STEP, LEAST_STEP = 0.5, 2e-3
FURTHER = (1.0, 2.0, 4.0)
# Steps along the box's axes alone stand still on a crease that runs across it: so many more
# go all ways.
ALL_WAYS = 40
# What is nearer by less than this is looked at in smaller steps, mm.
HARDLY_NEARER_MM = 1e-3
# How much nearer a search may come than the box's corners and centre: a share of its size.
MAY_COME_NEARER = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """One bracket's nearest so far: its approach, the gearbox shift there, and the next step."""

    approach: ClosestApproach
    shift_mm: Array
    step: float = FIRST_STEP
    # Where it went last, mm: the way goes on there along a valley.
    gone_mm: Array = field(default_factory=lambda: np.zeros(3))


def all_ways(count: int) -> Array:
    """Unit vectors spread evenly all round, shape (count, 3): a spiral of golden angles."""
    turn = np.arange(count) * np.pi * (3.0 - np.sqrt(5.0))
    high = 1.0 - (2.0 * np.arange(count) + 1.0) / count
    flat = np.sqrt(1.0 - high * high)
    return np.stack((flat * np.cos(turn), flat * np.sin(turn), high), axis=1)


def nearest_over_motion(
    corner: Corner, motion: Motion
) -> tuple[tuple[ClosestApproach, Position], ...]:
    """Each bracket's smallest gap over a motion and the gearbox's box, and where it is.

    ``position`` of an approach indexes the motion.  Empty without brackets or sections that
    could meet them.
    """
    if not corner.brackets:
        return ()
    box, joint = GearboxBox.of(corner.gearbox_movement), corner.shaft.inner_joint
    if not joint.sections and all(one.mounted_on != "gearbox" for one in corner.brackets):
        box = box.across(joint.axis)
    places = np.concatenate((np.zeros((1, 3)), box.corners))
    shaft = follow(corner, motion, shift_mm=places)
    found = [
        _Found(replace(one, position=one.position[:-1]), places[one.position[-1]])
        for one in corner_approaches(corner, motion, shaft)
    ]
    if len(places) > 1:
        found += _ends(corner, motion, places, found)
        # How deep an axis has gone into a bracket may be deepest in several places.
        found += [
            _Found(replace(one.approach, gap_mm=np.inf), shift)
            for one in found
            if one.approach.gap_mm < 0.0
            for shift in box.corners
        ]
        for _ in range(MOST_TURNS):
            open_ = [one for one in found if one.step >= LEAST_STEP]
            if not open_:
                break
            settled = [one for one in found if one.step < LEAST_STEP]
            found = settled + _closer(corner, motion, box, open_)
    nearest: dict[int, _Found] = {}
    for one in sorted(found, key=lambda one: (one.approach.bracket, one.approach.gap_mm)):
        nearest.setdefault(one.approach.bracket, one)
    return tuple(
        (
            one.approach,
            Position(
                float(motion.travel_mm[one.approach.position]),
                float(motion.steer_deg[one.approach.position]),
                tuple(one.shift_mm.tolist()),
            ),
        )
        for one in nearest.values()
    )


def _ends(corner: Corner, motion: Motion, places: Array, found: list[_Found]) -> list[_Found]:
    """Where else a bracket may come nearest: the wheel up or down, on one lock or the other."""
    hardly = MAY_COME_NEARER * float(np.linalg.norm(places[-1]))
    nearest = {one.approach.bracket: one.approach for one in found}
    ends: list[_Found] = []
    for end in product(*({0, n - 1} for n in motion.travel_mm.shape)):
        # With its neighbours: where one of them is nearer, it leads to the nearest of all.
        first = tuple(max(i - 1, 0) for i in end)
        some = motion.at(tuple(slice(i, i + 2) for i in first))
        shaft = follow(corner, some, shift_mm=places)
        for one in corner_approaches(corner, some, shaft):
            least, (*here, place) = nearest[one.bracket], one.position
            position = tuple(a + i for a, i in zip(first, here, strict=True))
            near = 0.0 <= least.gap_mm <= one.gap_mm < least.gap_mm + hardly
            if near and position == end != least.position:
                ends.append(_Found(replace(one, position=end), places[place]))
    return ends


def _closer(corner: Corner, motion: Motion, box: GearboxBox, found: list[_Found]) -> list[_Found]:
    """Look a step round each bracket's nearest, and make the step smaller where none is nearer."""
    shape = motion.travel_mm.shape
    last = np.array(shape) - 1
    steps = np.concatenate((box.places(), all_ways(ALL_WAYS) * box.half_mm))
    axes = np.concatenate(([np.zeros(len(shape), np.intp)], np.eye(len(shape), dtype=np.intp)))
    neighbours = np.concatenate((axes, -axes[1:]))
    at, shifts = [], []
    for one in found:
        here = np.clip(np.array(one.approach.position) + neighbours, 0, last)
        there = np.concatenate((one.step * steps, np.outer(FURTHER, one.gone_mm)))
        there = np.clip(one.shift_mm + there, -box.half_mm, box.half_mm)
        at.append(np.repeat(here, len(there), axis=0))
        shifts.append(np.tile(there, (len(here), 1)))
    index, shift = np.concatenate(at), np.concatenate(shifts)
    each = len(neighbours) * (len(steps) + len(FURTHER))
    owner = np.repeat(np.arange(len(found)), each)
    brackets = [corner.brackets[one.approach.bracket] for one in found]
    some = motion.at(tuple(index.T))
    shaft = follow(corner, some, shift_mm=shift[:, None])
    parts = solids(corner, some, shaft)
    search = Search.of(parts.bodies, brackets, parts.carriers, each_position=False)
    assert search is not None
    known = np.flatnonzero(search.known)
    search.bracket_best[:] = [one.approach.gap_mm for one in found]
    # Each is looked at round its own place.
    search.below[search.table.bracket[:, None] != owner[known]] = np.inf
    search.run()
    closer = []
    for b, (one, bracket) in enumerate(zip(found, brackets, strict=True)):
        if search.bracket_row[b] < 0:
            step = LEAST_STEP if one.step == FIRST_STEP else 0.5 * one.step
            closer.append(replace(one, step=step))
            continue
        probe = int(known[search.bracket_position[b]])
        nearer = found_by(search, b, bracket, parts.bodies, tuple(index[probe].tolist()))
        nearer = replace(nearer, bracket=one.approach.bracket)
        hardly = one.approach.gap_mm - nearer.gap_mm < HARDLY_NEARER_MM
        step = 0.5 * one.step if hardly else one.step
        step = 0.5 * FIRST_STEP if one.step == LEAST_STEP else step
        closer.append(_Found(nearer, shift[probe], step, shift[probe] - one.shift_mm))
    return closer
