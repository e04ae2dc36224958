"""Which travel is in reach, and the arm turn that gives an asked travel.

The wheel centre's rise is followed from ride height, in both directions, until
the linkage cannot close or the rise turns back (a dead point).  Between those
ends the rise belongs to exactly one turn of the arm, found by Newton's method
with the exact derivative, kept inside a bracket.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.carriage import Geometry, carry, rates, steering_axis
from kinematics.errors import InvalidInput, Problem
from kinematics.vectors import Array

TRAVEL_TOLERANCE_MM = 1e-10
_SAMPLES = 721
_REFINE_SAMPLES = 257
_REFINE_ROUNDS = 6
_MOST_STEPS = 60
# A wheel that rises less than this per radian of the arm stands on a dead point.
_LEAST_RATE_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """The travel in reach of a linkage with its steering straight, mm, and why it ends there."""

    lowest_mm: float
    highest_mm: float
    lowest_reason: str
    highest_reason: str
    turns_rad: Array
    rises_mm: Array


CANNOT_CLOSE = "the linkage cannot close"
DEAD_POINT = "the linkage passes a dead point"


def rise(geometry: Geometry, turn_rad: Array) -> tuple[Array, Array]:
    """Rise of the wheel centre above ride height (mm) and its rate (mm/rad), steering straight.

    NaN where the linkage cannot close.
    """
    carried = carry(geometry, steering_axis(geometry, turn_rad), 0.0)
    wheel = carried.point(geometry.wheel_centre)
    rate = rates(geometry, carried).of(carried, wheel)
    return wheel.up - geometry.wheel_centre.up, rate.up


def reach(geometry: Geometry) -> Reach:
    """Follow the linkage from ride height to both ends of its travel.

    Raises InvalidInput where the linkage stands on a dead point at ride height.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        turns = np.linspace(-np.pi, np.pi, _SAMPLES)
        middle = _SAMPLES // 2
        turns[middle] = 0.0
        rises, slopes = rise(geometry, turns)
        direction = np.sign(slopes[middle])
        if not abs(slopes[middle]) > _LEAST_RATE_MM:
            raise InvalidInput(
                [Problem("linkage", "expected points that are not on a dead point at ride height")]
            )
        sound = slopes * direction > 0.0
        wrong = np.flatnonzero(~sound)
        first = int(wrong[wrong < middle].max(initial=-1)) + 1
        last = int(wrong[wrong > middle].min(initial=_SAMPLES)) - 1
        low_turn, low_rise, low_reason = _end(geometry, turns, first, -1, direction)
        high_turn, high_rise, high_reason = _end(geometry, turns, last, +1, direction)
    all_turns = np.concatenate(([low_turn], turns[first : last + 1], [high_turn]))
    all_rises = np.concatenate(([low_rise], rises[first : last + 1], [high_rise]))
    ends = ((low_rise, low_reason), (high_rise, high_reason))
    if direction < 0.0:
        # np.interp wants rising travel, whichever way the arm turns for it.
        all_turns, all_rises, ends = all_turns[::-1], all_rises[::-1], ends[::-1]
    return Reach(
        lowest_mm=float(all_rises[0]),
        highest_mm=float(all_rises[-1]),
        lowest_reason=ends[0][1],
        highest_reason=ends[1][1],
        turns_rad=all_turns,
        rises_mm=all_rises,
    )


def _end(
    geometry: Geometry, turns: Array, good: int, step: int, direction: float
) -> tuple[float, float, str]:
    """The last sound turn beyond sample ``good``, its rise, and what stops it there."""
    inside = float(turns[good])
    beyond = good + step
    if not 0 <= beyond < len(turns):
        return inside, float(rise(geometry, turns[good])[0]), DEAD_POINT
    outside = float(turns[beyond])
    closes = True
    for _ in range(_REFINE_ROUNDS):
        trial = np.linspace(inside, outside, _REFINE_SAMPLES)
        rises, slopes = rise(geometry, trial)
        wrong = ~(slopes * direction > 0.0)
        wrong[0], wrong[-1] = False, True
        stop = int(np.argmax(wrong))
        closes = bool(np.isfinite(rises[stop]))
        inside, outside = float(trial[stop - 1]), float(trial[stop])
    return (
        inside,
        float(rise(geometry, np.asarray(inside))[0]),
        (DEAD_POINT if closes else CANNOT_CLOSE),
    )


def turn_for_travel(geometry: Geometry, travel_mm: Array, within: Reach) -> Array:
    """Turn of the arm (rad) that lifts the wheel centre by ``travel_mm``; NaN out of reach.

    Accurate to ``TRAVEL_TOLERANCE_MM`` in travel.
    """
    in_reach = (travel_mm >= within.lowest_mm) & (travel_mm <= within.highest_mm)
    after = np.clip(np.searchsorted(within.rises_mm, travel_mm), 1, len(within.rises_mm) - 1)
    before_turn, after_turn = within.turns_rad[after - 1], within.turns_rad[after]
    low, high = np.minimum(before_turn, after_turn), np.maximum(before_turn, after_turn)
    rising = within.turns_rad[-1] > within.turns_rad[0]
    turn = np.interp(travel_mm, within.rises_mm, within.turns_rad)
    with np.errstate(invalid="ignore", divide="ignore"):
        for _ in range(_MOST_STEPS):
            risen, slope = rise(geometry, turn)
            error = risen - travel_mm
            if np.all(~in_reach | (np.abs(error) <= TRAVEL_TOLERANCE_MM)):
                break
            too_far = (error > 0.0) == rising
            high = np.where(too_far, turn, high)
            low = np.where(too_far, low, turn)
            step = turn - error / slope
            # Newton leaves the bracket only beside a dead point, where halving still closes in.
            inside = (step > low) & (step < high)
            settled = np.abs(error) <= TRAVEL_TOLERANCE_MM
            turn = np.where(settled, turn, np.where(inside, step, 0.5 * (low + high)))
    return np.where(in_reach, turn, np.nan)


def nearby_turn(geometry: Geometry, travel_mm: Array, guess_rad: Array, steps: int = 4) -> Array:
    """Turn of the arm for many linkages that differ little from one already solved.

    ``guess_rad`` is that one's answer; each Newton step doubles the right digits.
    """
    turn = guess_rad
    with np.errstate(invalid="ignore", divide="ignore"):
        for _ in range(steps):
            risen, slope = rise(geometry, turn)
            turn = turn - (risen - travel_mm) / slope
    return turn
