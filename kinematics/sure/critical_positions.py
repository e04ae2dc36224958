"""Which positions of the whole motion can set the answer once the measured points may be off.

The window's shortest length is the largest that any single position asks for, the
longest the smallest; a joint's angle counts where it is largest.  How each follows the
measured coordinates is taken as straight, over a coarse grid of the whole motion, then over
a fine one round what was the worst there in any of some draws.  As few as are the worst in
each of them, within two thousandths of a millimetre or degree, are looked at in all.

Positions measured at different travels err independently, so any of them may come to be
the worst: of a measured path every travel stays that errors can make so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from kinematics.linkage.motion import require_in_reach
from kinematics.linkage.reach import Reach
from kinematics.parts import Corner, Measured, Steering
from kinematics.shaft.following import ride_centred_length_mm, stroke_rows
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.length_window import window_end_mm
from kinematics.shaft.whole_motion import whole_motion
from kinematics.sure.sampling import (
    Candidates,
    CriticalPositions,
    Followed,
    Quantity,
    SampledPlaces,
    allowed_plunge_mm,
)
from kinematics.sure.variants import Positions, Variants
from kinematics.vectors import Array, Ints, distinct

# Millimetres of travel and degrees of steer alike.
COARSE_STEP, FINE_STEP = 5.0, 1.0
# Draws that choose the positions, and try how far straight lines lead astray.
_SAMPLE = 500
# The most that all draws err is as much more than the most that a sample does.
_BEYOND = 1.5
# Of what errors do, so much may hang on where in its box the gearbox is.
_BOX_SHARE = 0.2
# Millimetres and degrees alike.
_CLOSE_ENOUGH = 0.002
_CHORD_MM = 0.5
# Stroke tables steeper than this have no single end of stroke; the chord keeps its sign.
_LEAST_SLOPE = 0.2


def critical_positions(variants: Variants, margin_mm: float) -> CriticalPositions:
    """Find them on a grid of 5 mm and 5 degrees, then by 1 mm and 1 degree round those.

    A measured path, which bends as its errors have it, is followed by 1 mm at once.
    Raises OutOfReach where the corner cannot take its whole motion.
    """
    corner = variants.corner
    every_travel = isinstance(corner.linkage, Measured)
    step = FINE_STEP if every_travel else COARSE_STEP
    motion = whole_motion(corner, step, step)
    require_in_reach(motion)
    grid = Positions.of(corner, motion.travel_mm.ravel(), motion.steer_deg.ravel(), motion.reach)
    found = _worst_of(variants, grid, margin_mm, every_travel=every_travel)
    if not every_travel:
        grid = _round_about(corner, found.positions, motion.reach)
        found = _worst_of(variants, grid, margin_mm, found)
    return _tried(found, variants.part(slice(_SAMPLE)))


def _tried(found: CriticalPositions, variants: Variants) -> CriticalPositions:
    """The same, with how far straight lines lead astray in some variants, twice over.

    Where these close with errors twice as large as well, every variant closes.
    """
    both = np.concatenate((variants.offsets_mm, 2.0 * variants.offsets_mm))
    ends = Variants(variants.corner, variants.coordinates, both).outer_joint(found.ends)[0].up
    here = Followed.of(variants, found.positions)
    closes = np.isfinite(here.outer_joint.up).all(axis=1)
    offsets = variants.offsets_mm[closes]

    def end(one: Candidates) -> Candidates:
        exact, nearly = one.quantity(here, one.places)[closes], one.nearly(offsets)
        worst = nearly[np.arange(len(nearly)), exact.argmax(axis=1)]
        return replace(one, off=2.0 * float(np.max(nearly.max(axis=1) - worst, initial=0.0)))

    def angle(one: Candidates) -> Candidates:
        exact, nearly = one.quantity(here, one.places)[closes], one.nearly(offsets)
        # Where some do not reach the housing axis, all are followed.
        off = np.nan_to_num(np.abs(exact - nearly), nan=np.inf)
        return replace(one, off=2.0 * float(np.max(off, initial=0.0)))

    return replace(
        found,
        shortest=end(found.shortest),
        longest=end(found.longest),
        inner_angle=angle(found.inner_angle),
        outer_angle=angle(found.outer_angle),
        ends=found.ends.taken(np.arange(0 if np.isfinite(ends).all() else ends.shape[1])),
    )


def _round_about(corner: Corner, positions: Positions, within: Reach) -> Positions:
    """The positions and those by the fine step between them and their coarse neighbours."""
    near = np.arange(-COARSE_STEP + FINE_STEP, COARSE_STEP, FINE_STEP)
    travel = positions.travel_mm[:, None, None] + near[:, None]
    steer = positions.steer_deg[:, None, None] + near
    limits, steering = corner.travel, corner.steering or Steering(0.0, 0.0)
    travel = np.clip(travel, -limits.droop, limits.bump)
    steer = np.clip(steer, -steering.outside_lock, steering.inside_lock)
    both = np.stack(np.broadcast_arrays(travel, steer), axis=-1).reshape(-1, 2)
    # Clipped and met from two sides, many come twice.
    travel, steer = distinct(both.round(9), axis=0).T
    return Positions.of(corner, travel, steer, within)


def _worst_of(
    variants: Variants,
    positions: Positions,
    margin_mm: float,
    coarse: CriticalPositions | None = None,
    *,
    every_travel: bool = False,
) -> CriticalPositions:
    """Those of the positions that are worst in a sample of the variants.

    Round what was worst of a coarse grid the gearbox is only where it was worst there.
    """
    corner = variants.corner
    joint = corner.shaft.inner_joint
    travel, steer = positions.travel_mm, positions.steer_deg
    length = corner.shaft.length or ride_centred_length_mm(joint, corner.hub.outer_joint)
    grid = _Grid.of(variants, positions, every_travel=every_travel)
    box = GearboxBox.of(corner.gearbox_movement)
    by_angle = len(stroke_rows(joint)[0]) > 1
    # With one stroke for every angle an end holds for the whole box by itself.
    all_through = box.places() if by_angle else np.zeros((1, 3))

    def at_shifts(shifts: Array, before: Candidates | None) -> SampledPlaces:
        if before is not None:
            shifts = distinct(before.places.shift_mm, axis=0)
        return _places(len(travel), shifts)

    def end(before: Candidates | None, *, outward: bool) -> Candidates:
        places = at_shifts(all_through, before)
        if by_angle:
            places = _stroke_ends(grid.as_taken, places, margin_mm, outward=outward)
        sign = 1.0 if outward else -1.0
        return grid.worst(
            places, lambda seen, at: sign * seen.window_ends_mm(at, margin_mm, outward=outward)
        )

    def angle(before: Candidates | None, limit: float, quantity: Quantity) -> Candidates:
        if before is not None and not len(before.value):
            return before
        # Joint angles are largest at the box's corners.
        return grid.worst(at_shifts(box.corners, before), quantity, limit)

    before = (None,) * 4 if coarse is None else coarse.candidates
    found = (
        end(before[0], outward=True),
        end(before[1], outward=False),
        angle(before[2], joint.max_angle, lambda seen, at: seen.inner_angle_deg(at, length)),
        angle(
            before[3],
            corner.shaft.outer_joint.max_angle,
            lambda seen, at: seen.outer_angle_deg(at, length),
        ),
    )
    # The linkage ceases to close towards the ends first: those are always looked at.
    ends = np.flatnonzero(
        np.isin(travel, (travel.min(), travel.max())) & np.isin(steer, (steer.min(), steer.max()))
    )
    kept = distinct(np.concatenate([ends, *(at.places.position for at in found)]))
    few = positions.taken(kept)
    if coarse is not None:
        few = grid.with_turn_slopes(few)
    shortest, longest, inner, outer = (
        replace(at, positions=few, places=at.places.renumbered(kept)) for at in found
    )
    return CriticalPositions(
        margin_mm, length, few, positions.taken(ends), shortest, longest, inner, outer
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Grid:
    """The corner over the grid of the whole motion: as taken, and with each coordinate stepped.

    ``stepped`` begins with what was taken.  ``steps_mm`` has a step for each coordinate,
    ``drawn_mm`` the offsets of some variants.
    """

    positions: Positions
    as_taken: Followed
    stepped: Followed
    steps_mm: Array
    drawn_mm: Array
    every_travel: bool

    @classmethod
    def of(cls, variants: Variants, positions: Positions, *, every_travel: bool) -> _Grid:
        corner, measured = variants.corner, variants.coordinates
        drawn = variants.offsets_mm[:_SAMPLE]
        steps = drawn.std(axis=0)
        each = np.concatenate((np.zeros((1, len(steps))), np.diag(steps)))
        stepped = Followed.of(Variants(corner, measured, each), positions)
        return cls(positions, stepped.part(slice(1)), stepped, steps, drawn, every_travel)

    def with_turn_slopes(self, positions: Positions) -> Positions:
        """Some positions, with how the arm's turn follows the coordinates there."""
        turned = self.stepped.variants.turn_rad(positions)[1:] - positions.turn_rad
        return replace(positions, turn_slopes=self._by_step(turned))

    def _by_step(self, change: Array) -> Array:
        """Slopes by each coordinate; a step from or to what is out of reach tells nothing."""
        steps = self.steps_mm[:, None]
        change = np.nan_to_num(change)
        return np.divide(change, steps, out=np.zeros_like(change), where=steps > 0.0)

    def worst(
        self, places: SampledPlaces, quantity: Quantity, limit: float = -math.inf
    ) -> Candidates:
        """The places at which the quantity is the largest in any of the variants.

        ``places`` run through all places of the gearbox at one position, then at the next.
        None of them where it stays below the limit by a step of the coarse grid: between two
        steps an angle changes by less.
        """
        value = np.nan_to_num(quantity(self.as_taken, places)[0], nan=-np.inf)
        value = value.reshape(len(self.positions.travel_mm), -1)
        highest = value.max(axis=1)
        worst = np.arange(len(value)) * value.shape[1] + value.argmax(axis=1)
        position = np.arange(len(value))
        if not self.every_travel:
            at_worst = self._straight(quantity, places.taken(worst[[highest.argmax()]]))
            # Where it is less by more than two of them may err, it is worst in none.
            apart = 2.0 * np.abs(self.drawn_mm @ at_worst.slopes).max()
            position = np.flatnonzero(highest >= at_worst.value - apart)
        alone = self._straight(quantity, places.taken(worst[position]))
        strays = self.drawn_mm @ alone.slopes
        errs = _BEYOND * np.abs(strays).max(axis=0)
        if np.isfinite(highest).all() and (alone.value + errs).max() < limit - COARSE_STEP:
            return alone.taken(np.empty(0, dtype=np.intp))
        if self.every_travel:
            chosen = np.flatnonzero(alone.value + errs >= (alone.value - errs).max())
        else:
            chosen = distinct((alone.value + strays).argmax(axis=1))
        position = position[chosen]
        # With the gearbox elsewhere in its box the same errors do nearly the same.
        close = value[position] >= (highest[position] - _BOX_SHARE * errs[chosen])[:, None]
        there = (position[:, None] * value.shape[1] + np.arange(value.shape[1]))[close]
        straight = self._straight(quantity, places.taken(there))
        if self.every_travel:
            return straight
        return straight.taken(_enough(straight.nearly(self.drawn_mm)))

    def _straight(self, quantity: Quantity, places: SampledPlaces) -> Candidates:
        value, *_ = stepped = quantity(self.stepped, places)
        slopes = self._by_step(stepped[1:] - value)
        value = np.nan_to_num(value, nan=-np.inf)
        return Candidates(quantity, self.positions, places, value, slopes, math.inf)


def _enough(values: Array) -> Ints:
    """The fewest columns, about, whose largest is within the tolerance of every row's largest."""
    holds = values >= values.max(axis=1, keepdims=True) - _CLOSE_ENOUGH
    kept = []
    while len(holds):
        kept.append(int(holds.sum(axis=0).argmax()))
        holds = holds[~holds[:, kept[-1]]]
    return np.array(sorted(kept))


def _places(positions: int, shifts_mm: Array) -> SampledPlaces:
    """Every position at every shift of the gearbox."""
    position = np.repeat(np.arange(positions), len(shifts_mm))
    nothing = np.zeros(len(position))
    return SampledPlaces(position, np.tile(shifts_mm, (positions, 1)), nothing, nothing + 1.0)


def _stroke_ends(
    as_taken: Followed, places: SampledPlaces, margin_mm: float, *, outward: bool
) -> SampledPlaces:
    """The same places with the plunge at which the corner as taken has the margin left there."""
    joint = as_taken.variants.corner.shaft.inner_joint
    seen = as_taken.seen(places)
    plunge = seen.plunge_mm(window_end_mm(joint, seen, margin_mm, outward=outward))
    allowed = [
        allowed_plunge_mm(joint, seen, plunge + step, margin_mm, outward=outward)
        for step in (-_CHORD_MM, _CHORD_MM)
    ]
    slope = 1.0 - (allowed[1] - allowed[0]) / (2.0 * _CHORD_MM)
    return replace(places, plunge_mm=plunge[0], slope=np.maximum(slope[0], _LEAST_SLOPE))
