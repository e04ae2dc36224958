"""Many variants of a corner followed through the positions that decide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.parts import Corner, InnerJoint
from kinematics.shaft.following import Reaching, usable_stroke_mm
from kinematics.sure.variants import Positions, Variants
from kinematics.vectors import Array, Mask, Vec, angle_between

Ints = npt.NDArray[np.intp]

# Variants at a time: the arrays of one batch stay in the processor's cache.
_BATCH = 500
_CHORD_STEPS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """A position and a gearbox shift each: shapes (pairs,) and (pairs, 3).

    ``plunge_mm`` is where the corner's own stroke ends there, and ``slope`` how
    fast the stroke left falls as the plunge nears that end.
    """

    position: Ints
    shift_mm: Array
    plunge_mm: Array
    slope: Array

    def taken(self, places: Ints) -> Pairs:
        """Some of the pairs."""
        return Pairs(
            self.position[places], self.shift_mm[places], self.plunge_mm[places], self.slope[places]
        )

    def moved(self, position: Ints) -> Pairs:
        """The same pairs, their positions numbered otherwise."""
        return Pairs(position, self.shift_mm, self.plunge_mm, self.slope)


@dataclass(frozen=True, slots=True, eq=False)
class Deciding:
    """The positions that set the window's ends and the largest joint angles of a corner."""

    margin_mm: float
    length_mm: float
    positions: Positions
    shortest: Pairs
    longest: Pairs
    angles: Pairs


def allowed_plunge_mm(
    joint: InnerJoint,
    seen: Reaching,
    plunge: Array,
    less: Array | float,
    *,
    outward: bool,
) -> Array:
    """The plunge that the usable stroke allows at the angle of this plunge, ``less`` kept back."""
    angle = np.degrees(seen.inner_angle_rad(plunge))
    stroke = usable_stroke_mm(joint, angle)[1 if outward else 0]
    return stroke - less if outward else less - stroke


@dataclass(frozen=True, slots=True, eq=False)
class Answers:
    """What each variant answers, shape (variants,).

    The window's ends are those for the length asked for: by how much the
    finished shaft misses it is in them already.  Where a variant does not get
    everywhere, they are infinite and shortest stands above longest.
    """

    ride_mm: Array
    shortest_mm: Array
    longest_mm: Array
    angles_hold: Mask
    closes: Mask


def answers(variants: Variants, spots: Deciding) -> Answers:
    """Ride-centred length, window ends and joint angles of every variant."""
    batches = [
        _batch(variants.part(slice(first, first + _BATCH)), spots)
        for first in range(0, len(variants), _BATCH)
    ]
    return Answers(
        ride_mm=np.concatenate([batch.ride_mm for batch in batches]),
        shortest_mm=np.concatenate([batch.shortest_mm for batch in batches]),
        longest_mm=np.concatenate([batch.longest_mm for batch in batches]),
        angles_hold=np.concatenate([batch.angles_hold for batch in batches]),
        closes=np.concatenate([batch.closes for batch in batches]),
    )


def _batch(variants: Variants, spots: Deciding) -> Answers:
    corner = variants.corner
    outer, hub_axis = variants.outer_joint(spots.positions)
    mid = variants.point("inner_joint.mid_stroke")
    span = outer - mid
    made = variants.offset_mm(".length")
    closes = np.all(np.isfinite(outer.up), axis=1)
    shortest = window_ends(variants, span, spots, outward=True).max(axis=1) - made[:, 0]
    longest = window_ends(variants, span, spots, outward=False).min(axis=1) - made[:, 0]
    inner, at_hub = joint_angles(corner, span, hub_axis, made, spots)
    limits = corner.shaft.inner_joint.max_angle, corner.shaft.outer_joint.max_angle
    return Answers(
        ride_mm=(variants.point("hub.outer_joint") - mid).length()[:, 0],
        shortest_mm=np.where(closes, shortest, np.inf),
        longest_mm=np.where(closes, longest, -np.inf),
        angles_hold=np.all((inner <= limits[0]) & (at_hub <= limits[1]), axis=1),
        closes=closes,
    )


def _taken(vec: Vec, places: Ints) -> Vec:
    return Vec(vec.out[:, places], vec.up[:, places], vec.fore[:, places])


def _seen(corner: Corner, span: Vec, pairs: Pairs) -> Reaching:
    axis = Vec.of(corner.shaft.inner_joint.axis).unit()
    span = _taken(span, pairs.position) - Vec.of(pairs.shift_mm)
    return Reaching(axis, span, span.dot(axis), span.cross(axis).length())


def window_ends(variants: Variants, span: Vec, spots: Deciding, *, outward: bool) -> Array:
    """Window ends of the deciding pairs by themselves, shape (variants, pairs)."""
    joint = variants.corner.shaft.inner_joint
    pairs = spots.shortest if outward else spots.longest
    seen = _seen(variants.corner, span, pairs)
    less = spots.margin_mm - variants.offset_mm("stroke_out" if outward else "stroke_in")
    if not joint.stroke_at_angle:
        return seen.length_mm(joint.stroke_out - less if outward else less - joint.stroke_in)
    plunge = np.broadcast_to(pairs.plunge_mm, seen.along_mm.shape)
    for _ in range(_CHORD_STEPS):
        allowed = allowed_plunge_mm(joint, seen, plunge, less, outward=outward)
        plunge = plunge - (plunge - allowed) / pairs.slope
    return seen.length_mm(plunge)


def joint_angles(
    corner: Corner, span: Vec, hub_axis: Vec, made: Array, spots: Deciding
) -> tuple[Array, Array]:
    """Inner and outer joint's angle, degrees, of the deciding pairs, shape (variants, pairs).

    The shaft has the length asked for plus ``made``; NaN where it does not
    reach the housing axis.
    """
    seen = _seen(corner, span, spots.angles)
    hub = _taken(hub_axis, spots.angles.position)
    with np.errstate(invalid="ignore"):
        plunge = seen.plunge_mm(spots.length_mm + made)
        inner = np.degrees(seen.inner_angle_rad(plunge))
        return inner, np.degrees(angle_between(seen.span - seen.axis * plunge, hub))
