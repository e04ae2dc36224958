"""Many variants of a corner followed through the positions that can set the answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.parts import InnerJoint
from kinematics.shaft.following import Reaching, stroke_rows, usable_stroke_mm
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.sure.variants import Positions, Variants
from kinematics.vectors import Array, Ints, Mask, Vec, angle_between, read_only

# Variants times positions at a time: the arrays of one batch stay in the processor's cache.
_BATCH = 20_000
_CHORD_STEPS = 4


@dataclass(frozen=True, slots=True, eq=False)
class SampledPlaces:
    """A position of the motion and a place of the gearbox each: shapes (places,) and (places, 3).

    ``plunge_mm`` is where the corner's own stroke ends there, and ``slope`` how
    fast the stroke left falls as the plunge nears that end; both are used with a
    table of strokes only.
    """

    position: Ints
    shift_mm: Array
    plunge_mm: Array
    slope: Array

    def __post_init__(self) -> None:
        for array in (self.position, self.shift_mm, self.plunge_mm, self.slope):
            read_only(array)

    def taken(self, some: Ints) -> SampledPlaces:
        """Some of the places."""
        return SampledPlaces(
            self.position[some], self.shift_mm[some], self.plunge_mm[some], self.slope[some]
        )

    def renumbered(self, kept: Ints) -> SampledPlaces:
        """The same places where only the positions ``kept``, in rising order, are followed."""
        number = np.searchsorted(kept, self.position)
        return SampledPlaces(number, self.shift_mm, self.plunge_mm, self.slope)


@dataclass(frozen=True, slots=True, eq=False)
class CriticalPositions:
    """The positions that can set the window's ends and the largest joint angles of a corner."""

    margin_mm: float
    length_mm: float
    positions: Positions
    shortest: SampledPlaces
    longest: SampledPlaces
    inner_angle: SampledPlaces
    outer_angle: SampledPlaces


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
class Followed:
    """Variants at every one of some positions; ``span`` leads from mid-stroke to outer joint."""

    variants: Variants
    outer_joint: Vec
    span: Vec
    hub_axis: Vec
    made_mm: Array

    @classmethod
    def of(cls, variants: Variants, positions: Positions) -> Followed:
        """Follow each variant to each position; NaN where it does not get there."""
        outer, hub_axis = variants.outer_joint(positions)
        mid = variants.point("inner_joint", "mid_stroke")
        return cls(variants, outer, outer - mid, hub_axis, variants.offset_mm("shaft", "length"))

    def window_ends_mm(self, places: SampledPlaces, margin_mm: float, *, outward: bool) -> Array:
        """The shortest shaft that each place takes, or the longest; shape (variants, places).

        Where the stroke is the same at every angle it holds with the gearbox anywhere in its box.
        """
        corner = self.variants.corner
        joint = corner.shaft.inner_joint
        less = margin_mm - self.variants.offset_mm(
            "inner_joint", "stroke_out" if outward else "stroke_in"
        )
        angles, inward, outwards = stroke_rows(joint)
        if len(angles) == 1:
            axis = Vec.of(joint.axis).unit()
            end = outwards[0] - less if outward else less - inward[0]
            span = _taken(self.span, places.position) - axis * end
            box = GearboxBox.of(corner.gearbox_movement)
            return (span - (box.away_from(span) if outward else box.towards(span))).length()
        seen = self.seen(places)
        plunge = np.broadcast_to(places.plunge_mm, seen.along_mm.shape)
        for _ in range(_CHORD_STEPS):
            allowed = allowed_plunge_mm(joint, seen, plunge, less, outward=outward)
            plunge = plunge - (plunge - allowed) / places.slope
        return seen.length_mm(plunge)

    def inner_angle_deg(self, places: SampledPlaces, length_mm: float) -> Array:
        """Inner joint's angle of a shaft cut for this length; NaN where it does not reach."""
        seen = self.seen(places)
        with np.errstate(invalid="ignore"):
            plunge = seen.plunge_mm(length_mm + self.made_mm)
        return np.degrees(seen.inner_angle_rad(plunge))

    def outer_angle_deg(self, places: SampledPlaces, length_mm: float) -> Array:
        """Outer joint's angle of a shaft cut for this length; NaN where it does not reach."""
        seen = self.seen(places)
        with np.errstate(invalid="ignore"):
            plunge = seen.plunge_mm(length_mm + self.made_mm)
            hub = _taken(self.hub_axis, places.position)
            return np.degrees(angle_between(seen.span - seen.axis * plunge, hub))

    def seen(self, places: SampledPlaces) -> Reaching:
        """Where the outer joint stands as the inner joint sees it."""
        axis = Vec.of(self.variants.corner.shaft.inner_joint.axis).unit()
        span = _taken(self.span, places.position) - Vec.of(places.shift_mm)
        return Reaching(axis, span, span.dot(axis), span.cross(axis).length())


def _taken(vec: Vec, places: Ints) -> Vec:
    return Vec(vec.out[:, places], vec.up[:, places], vec.fore[:, places])


@dataclass(frozen=True, slots=True, eq=False)
class SampledAnswers:
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


def answers(variants: Variants, critical: CriticalPositions) -> SampledAnswers:
    """Ride-centred length, window ends and joint angles of every variant."""
    size = max(1, _BATCH // len(critical.positions.travel_mm))
    batches = [
        _batch(variants.part(slice(first, first + size)), critical)
        for first in range(0, len(variants), size)
    ]
    return SampledAnswers(
        ride_mm=np.concatenate([batch.ride_mm for batch in batches]),
        shortest_mm=np.concatenate([batch.shortest_mm for batch in batches]),
        longest_mm=np.concatenate([batch.longest_mm for batch in batches]),
        angles_hold=np.concatenate([batch.angles_hold for batch in batches]),
        closes=np.concatenate([batch.closes for batch in batches]),
    )


def _batch(variants: Variants, critical: CriticalPositions) -> SampledAnswers:
    shaft, margin, length = variants.corner.shaft, critical.margin_mm, critical.length_mm
    here = Followed.of(variants, critical.positions)
    made = here.made_mm[:, 0]
    closes = np.all(np.isfinite(here.outer_joint.up), axis=1)
    shortest = here.window_ends_mm(critical.shortest, margin, outward=True).max(axis=1) - made
    longest = here.window_ends_mm(critical.longest, margin, outward=False).min(axis=1) - made
    inner = here.inner_angle_deg(critical.inner_angle, length) <= shaft.inner_joint.max_angle
    outer = here.outer_angle_deg(critical.outer_angle, length) <= shaft.outer_joint.max_angle
    span = variants.point("hub", "outer_joint") - variants.point("inner_joint", "mid_stroke")
    return SampledAnswers(
        ride_mm=span.length()[:, 0],
        shortest_mm=np.where(closes, shortest, np.inf),
        longest_mm=np.where(closes, longest, -np.inf),
        angles_hold=np.all(inner, axis=1) & np.all(outer, axis=1),
        closes=closes,
    )
