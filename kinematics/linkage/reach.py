"""Which travel is in reach, and the arm turn that gives an asked travel.

The wheel centre's rise is followed from ride height, in both directions, until
the linkage cannot close or the rise turns back (a dead point).  Between those
ends the rise belongs to exactly one turn of the arm, found by Newton's method
with the exact derivative, kept inside a bracket.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from kinematics.errors import require
from kinematics.linkage.knuckle import Geometry, Slide, carry, rates, steering_axis
from kinematics.vectors import Array, Mask, read_only

TRAVEL_TOLERANCE_MM = 1e-10
_SAMPLES = 385
_REFINE_SAMPLES = 257
_REFINE_ROUNDS = 3
# As close to where the linkage ceases to close as rounding lets it be followed.
_LAST_SHARE = 1.0 - 1e-7
_MOST_STEPS = 60
# Newton's step after this one is its square, far below any tape.
_LAST_STEP_RAD = 1e-4
_BEYOND_GUESS_RAD = 0.25
_HALVINGS = 40
_MISSED_MM = 1e-4
# A wheel that rises less than this per radian of the arm stands on a dead point.
_LEAST_RATE_MM = 1e-6

CANNOT_CLOSE = "the linkage cannot close"
DEAD_POINT = "the linkage passes a dead point"
CANNOT_STEER = "the wheel cannot turn that far about this steering axis"


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """The travel in reach of a linkage with its steering straight, mm, and why it ends there.

    ``steer_reason`` says why a steer angle is out of reach where the travel is in reach.
    """

    lowest_mm: float
    highest_mm: float
    lowest_reason: str
    highest_reason: str
    turns_rad: Array
    rises_mm: Array
    steer_reason: str = CANNOT_STEER

    @property
    def direction(self) -> float:
        """Which way the arm turns for the wheel to rise, 1 or -1; 1 without an arm."""
        return -1.0 if np.any(np.diff(self.turns_rad) < 0.0) else 1.0


def rise(geometry: Geometry, turn_rad: Array) -> tuple[Array, Array]:
    """Rise of the wheel centre above ride height (mm) and its rate (mm/rad), steering straight.

    NaN where the linkage cannot close.
    """
    carried = carry(geometry, steering_axis(geometry, turn_rad))
    wheel = carried.point(geometry.wheel_centre)
    rate = rates(geometry, carried).of(carried, wheel)
    return wheel.up - geometry.wheel_centre.up, rate.up


def closing_turns(geometry: Geometry) -> tuple[float, float]:
    """The turns of one linkage's arm, rad, between which the linkage closes; 0 among them.

    Law of cosines on the distance from the ball joint to the strut top or the
    upper pivot.  Where the arm can go all the way round, a whole turn either way:
    between two dead points it may take nearly as much.
    """
    arm = geometry.arm
    if geometry.slide is not None:
        span = geometry.top - geometry.arm_pivot
        constant = float(arm.dot(arm) + span.dot(span) - 2.0 * arm.fore * span.fore)
        least_squared, most_squared = _strut_bounds(geometry.slide)
    else:
        assert geometry.upper_pivot is not None
        span = geometry.upper_pivot - geometry.arm_pivot
        constant = float(arm.out**2 + arm.up**2 + span.out**2 + span.up**2)
        knuckle, upper = geometry.top - geometry.ball_joint, geometry.top - geometry.upper_pivot
        lengths = np.hypot(knuckle.out, knuckle.up), np.hypot(upper.out, upper.up)
        least_squared = float(lengths[0] - lengths[1]) ** 2
        most_squared = float(lengths[0] + lengths[1]) ** 2
    product = 2.0 * float(np.hypot(arm.out, arm.up) * np.hypot(span.out, span.up))
    # The angle from the span to the arm: the distance grows with its size, up to half a turn.
    drawn = float(
        np.arctan2(span.out * arm.up - span.up * arm.out, span.out * arm.out + span.up * arm.up)
    )
    # A product of 0: the fixed point lies on the arm's own pivot, and the distance stays.
    nearest_cos = (constant - least_squared) / product if product else math.inf
    furthest_cos = (constant - most_squared) / product if product else -math.inf
    nearest = math.acos(max(nearest_cos, -1.0)) if nearest_cos <= 1.0 else None
    furthest = math.acos(min(furthest_cos, 1.0)) if furthest_cos >= -1.0 else None
    low, high = abs(drawn) - 2.0 * math.pi, abs(drawn) + 2.0 * math.pi
    if nearest is not None:
        low, high = nearest, 2.0 * math.pi - nearest
    elif furthest is not None:
        low = -furthest
    if furthest is not None:
        high = furthest
    low, high = min(low - abs(drawn), 0.0), max(high - abs(drawn), 0.0)
    return (-high, -low) if drawn < 0.0 else (low, high)


def _strut_bounds(slide: Slide) -> tuple[float, float]:
    """Squares of the distances from ball joint to strut top at which a strut's length ends."""
    offset_squared = float(slide.offset_squared)
    no_length = float(slide.along_mm) ** 2 + offset_squared
    if slide.mode < 0.0:
        return offset_squared, no_length
    return (no_length if slide.along_mm > 0.0 else offset_squared), math.inf


def reach(geometry: Geometry) -> Reach:
    """Follow one linkage from ride height to both ends of its travel.

    Raises InvalidInput where the linkage stands on a dead point at ride height.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        return _reach(geometry, np.array(closing_turns(geometry))[:, None])


def _reach(geometry: Geometry, ends: Array) -> Reach:
    """Follow to both ends at once: one row for each."""

    def follow(shares: Array) -> tuple[Array, Array, Array]:
        # Towards where the linkage ceases to close, the rise bends like a square root; over
        # these shares of the way it is smooth.
        turns = ends * np.sin(0.5 * np.pi * shares)
        return turns, *rise(geometry, turns)

    rows = np.arange(2)
    shares = np.tile(np.linspace(0.0, _LAST_SHARE, _SAMPLES), (2, 1))
    turns, rises, slopes = follow(shares)
    moves = abs(slopes[0, 0]) > _LEAST_RATE_MM
    require((moves, "linkage", "points that are not on a dead point at ride height"))
    direction = np.sign(slopes[0, 0])
    unsound = ~(slopes * direction > 0.0)
    # A row without an unsound sample leads to where the linkage ceases to close.
    cannot_close = ~unsound.any(axis=1)
    stops = np.where(cannot_close, _SAMPLES - 1, unsound.argmax(axis=1))
    kept = [(turns[row, :stop], rises[row, :stop]) for row, stop in enumerate(stops)]
    inside = shares[rows, np.where(cannot_close, stops, stops - 1)]
    outside = shares[rows, stops]
    for refined in range(_REFINE_ROUNDS):
        shares = np.linspace(inside, outside, _REFINE_SAMPLES, axis=1)
        turns, rises, slopes = follow(shares)
        unsound = ~(slopes * direction > 0.0)
        unsound[:, 0], unsound[:, -1] = False, True
        stops = unsound.argmax(axis=1)
        inside, outside = shares[rows, stops - 1], shares[rows, stops]
        # Beside where it ceases to close a slope bends sharply: once is not enough.
        if refined and np.isfinite(rises[rows, stops]).all():
            break
    cannot_close |= ~np.isfinite(rises[rows, stops])
    last_turns, last_rises = turns[rows, stops - 1], rises[rows, stops - 1]
    # Between samples so close together the slope falls to the dead point along a straight line,
    # and the rise follows a cubic through both of them.
    slope, beyond = slopes[rows, stops - 1], slopes[rows, stops]
    width, share = turns[rows, stops] - last_turns, slope / (slope - beyond)
    rest = 1.0 - share
    cubic = (
        (1.0 + 2.0 * share) * rest**2 * last_rises
        + (1.0 + 2.0 * rest) * share**2 * rises[rows, stops]
        + share * rest * width * (rest * slope - share * beyond)
    )
    turned_back = np.isfinite(cubic) & ~cannot_close
    last_turns = np.where(turned_back, last_turns + share * width, last_turns)
    last_rises = np.where(turned_back, cubic, last_rises)
    (low_turns, low_rises), (high_turns, high_rises) = kept
    # np.interp wants rising travel, whichever way the arm turns for it.
    order = slice(None) if direction > 0.0 else slice(None, None, -1)
    all_turns = np.concatenate((last_turns[:1], low_turns[:0:-1], high_turns, last_turns[1:]))
    all_rises = np.concatenate((last_rises[:1], low_rises[:0:-1], high_rises, last_rises[1:]))
    reasons = [CANNOT_CLOSE if ended else DEAD_POINT for ended in cannot_close][order]
    return Reach(
        lowest_mm=float(all_rises[order][0]),
        highest_mm=float(all_rises[order][-1]),
        lowest_reason=reasons[0],
        highest_reason=reasons[1],
        turns_rad=read_only(all_turns[order]),
        rises_mm=read_only(all_rises[order]),
    )


def turn_for_travel(geometry: Geometry, travel_mm: Array, within: Reach) -> Array:
    """Turn of the arm (rad) that lifts the wheel centre by ``travel_mm``; NaN out of reach.

    Accurate to ``TRAVEL_TOLERANCE_MM`` in travel.
    """
    in_reach = (travel_mm >= within.lowest_mm) & (travel_mm <= within.highest_mm)
    after = np.clip(np.searchsorted(within.rises_mm, travel_mm), 1, len(within.rises_mm) - 1)
    before_turn, after_turn = within.turns_rad[after - 1], within.turns_rad[after]
    low, high = np.minimum(before_turn, after_turn), np.maximum(before_turn, after_turn)
    rising = within.direction > 0.0
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


def nearby_turn(
    geometry: Geometry, travel_mm: Array, guess_rad: Array, direction: float, steps: int = 4
) -> Array:
    """Turn of the arm for many linkages that differ little from one already solved.

    ``guess_rad`` is that one's answer, and ``direction`` the way its arm turns to rise, 1 or -1;
    each Newton step doubles the right digits.  NaN where that does not settle: beside a dead
    point, or where the linkage does not get there; :func:`followed_turn` can tell.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        turn = guess_rad
        sound: Mask = np.isfinite(guess_rad)
        for _ in range(steps):
            risen, slope = rise(geometry, turn)
            step = (risen - travel_mm) / slope
            turn = turn - step
            sound = (np.abs(step) < _LAST_STEP_RAD) & (slope * direction > 0.0)
            if sound.all():
                break
    return np.where(sound, turn, np.nan)


def followed_turn(geometry: Geometry, travel_mm: Array, guess_rad: Array) -> Array:
    """The same by halving between ride height and somewhat beyond the guess.

    NaN where the linkage does not get there: it cannot close, or passes a dead
    point on the way.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        direction = np.sign(rise(geometry, np.zeros(1))[1])
        upwards = np.sign(travel_mm)
        shape = np.broadcast_shapes(travel_mm.shape, guess_rad.shape)
        near = np.zeros(shape)
        far = guess_rad + np.sign(guess_rad) * _BEYOND_GUESS_RAD + near
        for _ in range(_HALVINGS):
            middle = 0.5 * (near + far)
            risen, slope = rise(geometry, middle)
            # Past a dead point, or where it cannot close, is too far as well.
            short = (slope * direction > 0.0) & ((travel_mm - risen) * upwards >= 0.0)
            near = np.where(short, middle, near)
            far = np.where(short, far, middle)
        missed = np.abs(rise(geometry, near)[0] - travel_mm)
    return np.where(missed < _MISSED_MM, near, np.nan)
