"""Many variants of a corner followed through the positions that can set the answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from kinematics.parts import InnerJoint
from kinematics.shaft.following import Reaching, stroke_one_way_mm, stroke_rows
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.sure.variants import Positions, Variants
from kinematics.vectors import Array, Ints, Mask, Vec, angle_between, read_only

# Variants at a time: the arrays of one batch stay in the processor's cache.
_BATCH = 4_000
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

    def one_each(self, some: Ints) -> SampledPlaces:
        """The same for as many variants, each at one of the places and followed to it alone."""
        return SampledPlaces(
            np.zeros(1, dtype=np.intp),
            self.shift_mm[some][:, None],
            self.plunge_mm[some][:, None],
            self.slope[some][:, None],
        )


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
    stroke = stroke_one_way_mm(joint, angle, outward=outward)
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

    def part(self, part: slice) -> Followed:
        """Some of the variants."""
        joint, span, axis = self.outer_joint[part], self.span[part], self.hub_axis[part]
        return Followed(self.variants.part(part), joint, span, axis, self.made_mm[part])

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
            span = self.span[:, places.position] - axis * end
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
            hub = self.hub_axis[:, places.position]
            return np.degrees(angle_between(seen.span - seen.axis * plunge, hub))

    def seen(self, places: SampledPlaces) -> Reaching:
        """Where the outer joint stands as the inner joint sees it."""
        axis = Vec.of(self.variants.corner.shaft.inner_joint.axis).unit()
        span = self.span[:, places.position] - Vec.of(places.shift_mm)
        return Reaching(axis, span, span.dot(axis), span.cross(axis).length())


# What can be too large at a place, shape (variants, places).
Quantity = Callable[["Followed", SampledPlaces], Array]


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """The places at which a quantity may be the largest, and how it follows the coordinates there.

    ``value`` is that of the corner as taken, shape (places,), ``slopes`` by each coordinate,
    (coordinates, places).  ``off`` is how far the straight lines that they make may lead astray,
    infinite where that is not known: how far from an angle they may be, or, of an end of the
    window, how far below the straight line that is the highest the worst place's own may lie.
    """

    quantity: Quantity
    positions: Positions
    places: SampledPlaces
    value: Array
    slopes: Array
    off: float

    def __post_init__(self) -> None:
        for array in (self.value, self.slopes):
            read_only(array)

    def nearly(self, offsets_mm: Array) -> Array:
        """The quantity along the straight line, shape (variants, places)."""
        # Place by place in memory: so the largest of each variant is found four times as fast.
        return np.asarray(self.value[:, None] + self.slopes.T @ offsets_mm.T).T

    def taken(self, some: Ints) -> Candidates:
        """Some of the places."""
        return replace(
            self,
            places=self.places.taken(some),
            value=self.value[some],
            slopes=self.slopes[:, some],
        )

    def largest(self, variants: Variants) -> Array:
        """The largest of each variant, shape (variants,); NaN where it does not get there.

        Only places that may be the worst by their straight lines are followed.
        """
        first = int(self.value.argmax())
        apart = np.abs(self.slopes - self.slopes[:, first, None])
        may_pass = self.value + variants.most_mm @ apart
        some = self.taken(np.flatnonzero(may_pass >= self.value[first] - self.off))
        nearly = some.nearly(variants.offsets_mm)
        rows, columns = np.nonzero(nearly >= nearly.max(axis=1, keepdims=True) - self.off)
        values = some.exact(variants, rows, columns)
        return np.maximum.reduceat(values, np.searchsorted(rows, np.arange(len(variants))))

    def stays_within(self, variants: Variants, limit: float) -> Mask:
        """Whether each variant has it at or below the limit everywhere, shape (variants,)."""
        may_pass = self.value + variants.most_mm @ np.abs(self.slopes)
        some = self.taken(np.flatnonzero(may_pass >= limit - self.off))
        nearly = some.nearly(variants.offsets_mm)
        within = nearly <= limit
        rows, columns = np.nonzero(np.abs(nearly - limit) <= self.off)
        within[rows, columns] = some.exact(variants, rows, columns) <= limit
        return np.asarray(within.all(axis=1))

    def exact(self, variants: Variants, rows: Ints, columns: Ints) -> Array:
        """The quantity of some of the variants, in rising order, each followed to a place.

        NaN at every place where a variant does not get to its first.
        """
        found = np.full(len(rows), np.nan)
        first = np.diff(rows, prepend=-1) > 0
        found[first] = self._followed(variants, rows[first], columns[first])
        # With errors as large as the linkage most variants get nowhere, and that takes longest.
        further = ~first & np.isfinite(found[first])[np.cumsum(first) - 1]
        found[further] = self._followed(variants, rows[further], columns[further])
        return found

    def _followed(self, variants: Variants, rows: Ints, columns: Ints) -> Array:
        """The same wherever they get."""
        found = np.empty(len(rows))
        for start in range(0, len(rows), _BATCH):
            batch = slice(start, start + _BATCH)
            some = variants.part(rows[batch])
            position = self.places.position[columns[batch]]
            here = Followed.of(some, self.positions.one_each(position, some.offsets_mm))
            found[batch] = self.quantity(here, self.places.one_each(columns[batch]))[:, 0]
        return found


@dataclass(frozen=True, slots=True, eq=False)
class CriticalPositions:
    """The positions that can set the window's ends and the largest joint angles of a corner.

    ``longest`` has the end below zero, so that the largest counts.  ``ends`` are positions at
    which the linkage may not close, however much the points err; none where it surely does.
    """

    margin_mm: float
    length_mm: float
    positions: Positions
    ends: Positions
    shortest: Candidates
    longest: Candidates
    inner_angle: Candidates
    outer_angle: Candidates

    @property
    def candidates(self) -> tuple[Candidates, Candidates, Candidates, Candidates]:
        """Those of all four, in this order."""
        return (self.shortest, self.longest, self.inner_angle, self.outer_angle)


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
    shaft, made = variants.corner.shaft, variants.offset_mm("shaft", "length")[:, 0]
    shortest = critical.shortest.largest(variants)
    longest = -critical.longest.largest(variants)
    closes = np.isfinite(shortest) & np.isfinite(longest)
    if len(critical.ends.travel_mm):
        closes &= _closes(variants, critical.ends)
    inner = critical.inner_angle.stays_within(variants, shaft.inner_joint.max_angle)
    outer = critical.outer_angle.stays_within(variants, shaft.outer_joint.max_angle)
    span = variants.point("hub", "outer_joint") - variants.point("inner_joint", "mid_stroke")
    return SampledAnswers(
        ride_mm=span.length()[:, 0],
        shortest_mm=np.where(closes, shortest - made, np.inf),
        longest_mm=np.where(closes, longest - made, -np.inf),
        angles_hold=inner & outer & closes,
        closes=closes,
    )


def _closes(variants: Variants, positions: Positions) -> Mask:
    size = max(1, _BATCH // len(positions.travel_mm))
    parts = (variants.part(slice(n, n + size)) for n in range(0, len(variants), size))
    return np.concatenate(
        [np.isfinite(part.outer_joint(positions)[0].up).all(axis=1) for part in parts]
    )
