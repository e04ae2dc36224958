"""The nearest that the shaft comes to each bracket, with the gearbox anywhere in its box.

The gap at every travel and steer angle is exact at the box's corners and its centre.  From
each bracket's nearest of these (of an overlap, from every corner), and from the ends of travel
and steering that are hardly farther off, the box and the positions round it are searched in ever
smaller steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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
from kinematics.vectors import Array, Ints

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
class _Nearest:
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
        _Nearest(replace(one, position=one.position[:-1]), places[one.position[-1]])
        for one in corner_approaches(corner, motion, shaft)
    ]
    if len(places) > 1:
        found += _ends(corner, motion, places, found)
        # How deep an axis has gone into a bracket may be deepest in several places.
        found += [
            _Nearest(replace(one.approach, gap_mm=np.inf), shift)
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
    nearest: dict[int, _Nearest] = {}
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


def _ends(corner: Corner, motion: Motion, places: Array, found: list[_Nearest]) -> list[_Nearest]:
    """Where else a bracket may come nearest: the wheel up or down, on one lock or the other."""
    hardly = MAY_COME_NEARER * float(np.linalg.norm(places[-1]))
    last = np.array(motion.travel_mm.shape) - 1
    ends = np.array(list(product(*({0, n} for n in last.tolist()))))
    # With its neighbours: where one of them is nearer, it leads to the nearest of all.
    inwards = (
        np.array(list(product((0, 1), repeat=len(last)))) * np.where(ends == 0, 1, -1)[:, None]
    )
    blocks = np.clip(ends[:, None] + inwards, 0, last).reshape(-1, len(last))
    sought = [
        _Sought(one.approach, number, one.approach.gap_mm + hardly)
        for one in found
        for number, end in enumerate(ends.tolist())
        if one.approach.gap_mm >= 0.0 and one.approach.position != tuple(end)
    ]
    owner = np.repeat(np.arange(len(ends)), inwards.shape[1] * len(places))
    at = _Places(np.repeat(blocks, len(places), axis=0), np.tile(places, (len(blocks), 1)), owner)
    return [
        one
        for asked, one in zip(sought, _searched(corner, motion, at, sought), strict=True)
        if one is not None and one.approach.position == tuple(ends[asked.owner].tolist())
    ]


def _closer(
    corner: Corner, motion: Motion, box: GearboxBox, found: list[_Nearest]
) -> list[_Nearest]:
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
    each = len(neighbours) * (len(steps) + len(FURTHER))
    owner = np.repeat(np.arange(len(found)), each)
    places = _Places(np.concatenate(at), np.concatenate(shifts), owner)
    sought = [_Sought(one.approach, b, one.approach.gap_mm) for b, one in enumerate(found)]
    closer = []
    for one, nearer in zip(found, _searched(corner, motion, places, sought), strict=True):
        if nearer is None:
            step = LEAST_STEP if one.step == FIRST_STEP else 0.5 * one.step
            closer.append(replace(one, step=step))
            continue
        hardly = one.approach.gap_mm - nearer.approach.gap_mm < HARDLY_NEARER_MM
        step = 0.5 * one.step if hardly else one.step
        step = 0.5 * FIRST_STEP if one.step == LEAST_STEP else step
        closer.append(replace(nearer, step=step, gone_mm=nearer.shift_mm - one.shift_mm))
    return closer


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Positions by their indices into a motion, with a gearbox shift each, and whose they are."""

    index: Ints
    shift_mm: Array
    owner: Ints


@dataclass(frozen=True, slots=True, eq=False)
class _Sought:
    """A gap sought below another, at the places of one owner, of the bracket of an approach."""

    approach: ClosestApproach
    owner: int
    below_mm: float


def _searched(
    corner: Corner, motion: Motion, at: _Places, sought: Sequence[_Sought]
) -> Iterator[_Nearest | None]:
    """The smallest gap of each that is sought; None where it is not below what it should be."""
    if not sought:
        return
    brackets = [corner.brackets[one.approach.bracket] for one in sought]
    some = motion.at(tuple(at.index.T))
    parts = solids(corner, some, follow(corner, some, shift_mm=at.shift_mm[:, None]))
    search = Search.of(parts.bodies, brackets, parts.carriers, each_position=False)
    if search is None:
        # The linkage gets to none of these places.
        yield from [None] * len(sought)
        return
    known = np.flatnonzero(search.known)
    search.bracket_best[:] = [one.below_mm for one in sought]
    owner = np.array([one.owner for one in sought])
    search.below[owner[search.table.bracket][:, None] != at.owner[known]] = np.inf
    search.run()
    for b, (one, bracket) in enumerate(zip(sought, brackets, strict=True)):
        if search.bracket_row[b] < 0:
            yield None
            continue
        probe = int(known[search.bracket_position[b]])
        nearer = found_by(search, b, bracket, parts.bodies, tuple(at.index[probe].tolist()))
        yield _Nearest(replace(nearer, bracket=one.approach.bracket), at.shift_mm[probe])
