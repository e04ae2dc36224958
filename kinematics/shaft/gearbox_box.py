r"""Where in the box of its movement the gearbox is worst for a shaft: anywhere in it.

Moving the gearbox by s moves the outer joint by -s as the inner joint sees it, so
over all shifts it lies in a box d - s.  Most answers are in closed form:

- a point of the housing axis is farthest from a box at one of the corners, and nearest
  where each coordinate is held between the box's ends;
- a shaft of length L has plunge p where the outer joint lies on the sphere round the axis'
  point at p.  Plunge is a convex function of the shift, so it is largest at a corner.  It
  is smallest where the box just touches the sphere: the box's point nearest to the axis'
  point at p has a plunge of p or less, and turn by turn both settle;
- the sine of the inner joint's angle is (distance from the axis) / L, convex: a corner.
  The cosine of the outer joint's is linear in the shift less plunge times the cosine between
  hub and housing axis, concave while these two point the same way: a corner.

What follows the stroke's table is none of these and is searched for, and so is the outer
joint's angle where hub and housing axis point more than 90 degrees apart.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from kinematics.parts import GearboxMovement, Point
from kinematics.shaft.following import Reaching
from kinematics.vectors import Array, Ints, Vec, read_only

# Positions looked at closely: at the box's 27 places, then the best of them all through it.
LOOKED_AT = 400
SEARCHED = 40
# So often the first step, a share of the box, may be halved: to hundredths of a millimetre.
TURNS = 12
FIRST_STEP = 0.5
MOST_TRIES = 40
# The best of them are followed along creases, which run across the box at any slope.
POLISHED = 4
_SETTLED_MM = 1e-12
_MOST_TURNS = 30

_AXES = np.concatenate((np.eye(3), -np.eye(3)))
_CREASES = np.array([a + slope * b for a in _AXES for b in _AXES for slope in 0.5 ** np.arange(9)])

Value = Callable[[Ints, Array], Array]


@dataclass(frozen=True, slots=True)
class Extreme:
    """A quantity's worst value, at a flat index into the positions and a gearbox shift, mm."""

    value: float
    index: int
    shift_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class GearboxBox:
    """All the shifts that the mounts allow: up to ``half_mm``, shape (3,), either way.

    ``turns``: how often what is searched for in it halves its steps.
    """

    half_mm: Array
    turns: int = TURNS

    @classmethod
    def of(cls, movement: GearboxMovement, turns: int = TURNS) -> GearboxBox:
        """The box of a movement."""
        return cls(read_only(np.array([movement.out, movement.up, movement.fore])), turns)

    def places(self, steps: tuple[float, ...] = (0.0, -1.0, 1.0)) -> Array:
        """Every combination of ``steps`` times the half sizes, shape (n, 3), each once."""
        ways = [steps if half > 0.0 else (0.0,) for half in self.half_mm]
        return read_only(np.array(list(product(*ways))) * self.half_mm + 0.0)

    @property
    def corners(self) -> Array:
        """The box's corners, shape (n, 3): fewer than 8 where it is flat."""
        return self.places((-1.0, 1.0))

    def across(self, axis: Point) -> GearboxBox:
        """The box without shifts that only slide the gearbox along its housing axis.

        They move no shaft and bend no joint: what is asked of those is the same all along.
        """
        along = np.abs(axis) == np.linalg.norm(axis)
        return replace(self, half_mm=read_only(np.where(along, 0.0, self.half_mm)))

    def pulled_in(self, axis: Point) -> Array:
        """The corners at which a shaft may be pulled out most, shape (n, 3).

        Sliding the gearbox in along its housing axis only pulls farther.
        """
        across = self.across(axis)
        return across.corners - (self.half_mm - across.half_mm)

    def towards(self, span: Vec) -> Vec:
        """The shift that brings what lies ``span`` away nearest."""
        return Vec(
            *(
                np.clip(part, -half, half)
                for part, half in zip((span.out, span.up, span.fore), self.half_mm, strict=True)
            )
        )

    def away_from(self, span: Vec) -> Vec:
        """The corner that puts what lies ``span`` away farthest."""
        return Vec(
            *(
                np.where(part > 0.0, -half, half)
                for part, half in zip((span.out, span.up, span.fore), self.half_mm, strict=True)
            )
        )

    def least_plunge(self, still: Reaching, length_mm: float) -> tuple[Array, Vec]:
        """The smallest plunge of a shaft anywhere in the box, mm, and the shift there.

        ``still`` is the outer joint as the inner joint sees it with the gearbox at rest.
        """
        shift = self.towards(still.span - still.axis * still.plunge_mm(length_mm))
        plunge = moved_corner(still, shift).plunge_mm(length_mm)
        # Housing axes along out settle at once, tilted ones in a few turns.
        for _ in range(_MOST_TURNS):  # pragma: no branch
            nearer = self.towards(still.span - still.axis * plunge)
            less = moved_corner(still, nearer).plunge_mm(length_mm)
            settled = not bool(np.any(plunge - less > _SETTLED_MM))
            shift, plunge = nearer, less
            if settled:
                break
        return plunge, shift

    def least_anywhere(self, value: Value, start: Array) -> Extreme:
        """Where a quantity is least over positions and box, searched for.

        ``value`` takes flat indices of positions (n,) and shifts (n, m, 3) and answers (n, m);
        ``start`` has the quantity at some shift of each position, shape (positions,).
        """

        def known(values: Array) -> Array:
            return np.where(np.isfinite(values), values, np.inf)

        start = known(start)
        count = min(LOOKED_AT, len(start))
        rows = np.argpartition(start, count - 1)[:count]
        places = self.places()
        found = known(value(rows, np.broadcast_to(places, (count, *places.shape))))
        order = np.argsort(found.min(axis=1))[:SEARCHED]
        rows, found = rows[order], found[order]
        centre, best = places[found.argmin(axis=1)], found.min(axis=1)
        least_step = 0.5**self.turns
        step = np.full(len(rows), FIRST_STEP)
        for _ in range(MOST_TRIES):
            open_ = np.flatnonzero(step >= least_step)
            if not len(open_):
                break
            own = step[open_]
            around = centre[open_, None] + places * own[:, None, None]
            probes = np.clip(around, -self.half_mm, self.half_mm)
            found = known(value(rows[open_], probes))
            column = found.argmin(axis=1)
            nearer = found.min(axis=1)
            better = nearer < best[open_]
            centre[open_[better]] = probes[better, column[better]]
            best[open_[better]] = nearer[better]
            # Where neither the first step nor the least finds less, there is none.
            smaller = np.where(own == FIRST_STEP, least_step, 0.5 * own)
            again = np.where(own == least_step, 0.5 * FIRST_STEP, own)
            step[open_] = np.where(better, again, smaller)
        few = np.argsort(best)[:POLISHED]
        rows, centre, best = rows[few], centre[few], best[few]
        step = np.full(len(rows), FIRST_STEP)
        for _ in range(MOST_TRIES):
            probes = centre[:, None] + _CREASES * self.half_mm * step[:, None, None]
            probes = np.clip(probes, -self.half_mm, self.half_mm)
            found = known(value(rows, probes))
            column, nearer = found.argmin(axis=1), found.min(axis=1)
            better = nearer < best - _SETTLED_MM
            if not better.any() and bool((step < least_step).all()):
                break
            centre[better] = probes[better, column[better]]
            best = np.minimum(best, nearer)
            step = np.where(better, step, 0.25 * step)
        least = int(best.argmin())
        out, up, fore = (centre[least] + 0.0).tolist()
        return Extreme(float(best[least]), int(rows[least]), (out, up, fore))


def moved_corner(still: Reaching, shift: Vec) -> Reaching:
    """What is seen with the gearbox shifted."""
    span = still.span - shift
    return Reaching(
        axis=still.axis,
        span=span,
        along_mm=span.dot(still.axis),
        across_mm=span.cross(still.axis).length(),
    )


def least(values: Array, shift: Vec) -> Extreme:
    """The least of values, each at its own shift; the positions' axes are those of ``values``."""
    index = int(np.nanargmin(values))
    out, up, fore = (
        float(np.broadcast_to(part, values.shape).flat[index]) + 0.0
        for part in (shift.out, shift.up, shift.fore)
    )
    return Extreme(float(values.flat[index]), index, (out, up, fore))


def least_at(values: Array, shifts_mm: Array) -> Extreme:
    """The least of values of shape (*positions, shifts)."""
    flat = int(np.nanargmin(values))
    index, shift = divmod(flat, len(shifts_mm))
    out, up, fore = shifts_mm[shift].tolist()
    return Extreme(float(values.flat[flat]), index, (out, up, fore))


def largest_at(values: Array, shifts_mm: Array) -> Extreme:
    """The largest of them."""
    found = least_at(-values, shifts_mm)
    return Extreme(-found.value, found.index, found.shift_mm)
