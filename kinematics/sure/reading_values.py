"""What points give for readings, and how that follows the points: closed forms.

A reading taken with the wheel held elsewhere is of the points as the linkage
carries them there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.errors import invalid
from kinematics.linkage.knuckle import Geometry
from kinematics.linkage.reach import followed_turn, nearby_turn, reach, turn_for_travel
from kinematics.linkage.sensitivity import POINTS, carried_points
from kinematics.parts import SMALLEST_LENGTH, Point, Side
from kinematics.sure.adjustment import Prediction
from kinematics.sure.measurands import Measurand
from kinematics.sure.readings import READING_KINDS, Reading
from kinematics.vectors import Array, Ints, Vec

_ORDER = {
    "arm_pivot": 0, "ball_joint": 1, "strut_top": 2, "strut_lower": 3,
    "lower_pivot": 0, "lower_ball_joint": 1, "upper_pivot": 2, "upper_ball_joint": 3,
    "outer_joint": 4, "wheel_centre": 5,
}  # fmt: skip
_KINDS = {kind: place for place, kind in enumerate(READING_KINDS)}
_DISTANCE, _RISE, _SLOPE, _UP, _OUT, _FORE, _ACROSS = range(len(READING_KINDS))


@dataclass(frozen=True, slots=True)
class CarPoint:
    """A point of the car as drawn, by the name that readings have for it.

    ``sigma_mm`` is how far each coordinate may be off as typed, standard uncertainties;
    0 for what is known exactly.  ``side`` is that of a gearbox output.
    """

    name: str
    thing: Measurand
    at: Point
    sigma_mm: tuple[float, float, float]
    side: Side | None = None


class ReadingValues:
    """Values and slopes of readings for any offsets of the points' coordinates.

    Coordinates are out, up and fore of every point, one point after the other.
    Raises InvalidInput for a reading at a position that the linkage as drawn does
    not take, or that positions measured one by one cannot tell.
    """

    def __init__(self, points: Sequence[CarPoint], readings: Sequence[Reading]) -> None:
        self.points = tuple(points)
        self.readings = tuple(readings)
        self.drawn = np.array([one.at for one in points], dtype=np.float64).reshape(-1, 3)
        names = {one.name: place for place, one in enumerate(points)}
        both = [[names[name] for name in (one.points * 2)[:2]] for one in readings]
        self._first, self._second = np.array(both, dtype=np.intp).reshape(-1, 2).T
        self._kind = np.array([_KINDS[one.kind] for one in readings], dtype=np.intp)
        sides = [one.side for one in points]
        # The other side's gearbox output lies beyond the centreline.
        mirrored = [{sides[a], sides[b]} == {"left", "right"} for a, b in both]
        self._sign = np.where(np.array(mirrored, dtype=bool), -1.0, 1.0)
        drawn_out = self._sign * self.drawn[self._second, 0] - self.drawn[self._first, 0]
        self._way = np.where(drawn_out < 0.0, -1.0, 1.0)
        held = [(one.travel, one.steer) for one in readings]
        self._held = sorted({one for one in held if one != (0.0, 0.0)})
        where = {one: place + 1 for place, one in enumerate(self._held)} | {(0.0, 0.0): 0}
        self._position = np.array([where[one] for one in held], dtype=np.intp)
        self._own = self._linkage_rows() if self._held else None
        self._strut = any(one.thing.field == "strut_top" for one in points)
        self._turn_rad = self._turns() if self._held else np.empty(0)

    def _linkage_rows(self) -> Ints:
        rows = np.full(POINTS, -1, dtype=np.intp)
        for place, one in enumerate(self.points):
            if one.thing.part in ("linkage", "hub"):
                rows[_ORDER[one.thing.field]] = place
        if (rows < 0).any():
            place = next(n for n, one in enumerate(self.readings) if one.travel or one.steer)
            wanted = (
                "expected no travel and no steer: positions measured one by one do not tell where "
                "other points went"
            )
            raise invalid("", wanted, "reading", place)
        return rows

    def _turns(self) -> Array:
        geometry = Geometry.through(map(Vec.of, self.drawn[self._own]), strut=self._strut)
        within = reach(geometry)
        self._direction = within.direction
        turns = turn_for_travel(geometry, np.array([travel for travel, _ in self._held]), within)
        carried = self._carried(self.drawn, turns)
        for place, one in enumerate(self.readings):
            at = self._position[place] - 1
            if at < 0 or np.isfinite(carried[0][at]).all():
                continue
            if np.isnan(turns[at]):
                what, value = "travel", f"{one.travel:g} mm"
                wanted = f"from {within.lowest_mm:.1f} mm to {within.highest_mm:+.1f} mm"
            else:
                what, value, wanted = "steer", f"{one.steer:g}", "that the wheel can take there"
            raise invalid(what, f"expected a {what} {wanted}, got {value}", "reading", place)
        return turns

    def _carried(self, points: Array, turns: Array) -> tuple[Array, Array]:
        steer = np.radians([steer for _, steer in self._held])
        return carried_points(points[self._own], turns, steer, strut=self._strut)

    def __call__(self, offsets_mm: Array) -> Prediction:
        """Values, shape (readings,), their slopes (readings, coordinates) and curvature."""
        points = self.drawn + offsets_mm.reshape(-1, 3)
        every = np.broadcast_to(points, (1 + len(self._held), *points.shape))
        slopes = None
        if self._held:
            geometry = Geometry.through(map(Vec.of, points[self._own]), strut=self._strut)
            travel = np.array([travel for travel, _ in self._held])
            turns = nearby_turn(geometry, travel, self._turn_rad, self._direction)
            if np.isnan(turns).any():
                turns = followed_turn(geometry, travel, self._turn_rad)
            else:
                # The next points asked about will be near these.
                self._turn_rad = turns
            carried, slopes = self._carried(points, turns)
            every = every.copy()
            every[1:, self._own] = carried
        following = self._following(slopes)
        first, second = (following[self._position, one] for one in (self._first, self._second))
        mirror = np.stack((self._sign, np.ones_like(self._sign), np.ones_like(self._sign)), axis=1)
        span = every[self._position, self._second] * mirror - every[self._position, self._first]
        span_slopes = second * mirror[:, :, None] - first
        values, by_span, bent = self._of_span(span)
        for one, axis, factor in (
            (_UP, 1, 1.0), (_OUT, 0, 1.0), (_FORE, 2, 1.0), (_ACROSS, 0, 2.0),
        ):  # fmt: skip
            chosen = self._kind == one
            values[chosen] = factor * every[self._position, self._first][chosen, axis]
            span_slopes[chosen] = first[chosen]
            by_span[chosen, axis] = factor

        def curvature(factors: Array) -> Array:
            held = np.einsum("nij,njc->nic", bent * factors[:, None, None], span_slopes)
            flat = span_slopes.reshape(3 * len(span_slopes), span_slopes.shape[2])
            return np.asarray(flat.T @ held.reshape(flat.shape))

        return Prediction(values, np.einsum("nk,nkc->nc", by_span, span_slopes), curvature)

    def _of_span(self, span: Array) -> tuple[Array, Array, Array]:
        """Distances, rises and slopes with their first and second derivatives by the span."""
        kind, count = self._kind, len(span)
        values, by_span, bent = span[:, 1].copy(), np.zeros((count, 3)), np.zeros((count, 3, 3))
        by_span[kind == _RISE, 1] = 1.0
        chosen = kind == _DISTANCE
        length = np.linalg.norm(span[chosen], axis=1)
        # Two points in one place are apart in every direction alike: any will do.
        apart = np.where(length[:, None] > 0.0, span[chosen], np.ones(3))
        unit = apart / np.linalg.norm(apart, axis=1)[:, None]
        values[chosen], by_span[chosen] = length, unit
        across = np.eye(3) - unit[:, :, None] * unit[:, None, :]
        bent[chosen] = across / np.maximum(length, SMALLEST_LENGTH)[:, None, None]
        chosen = kind == _SLOPE
        # A gauge leans past upright without a jump: which way is outboard is as drawn.
        way = self._way[chosen]
        out, up = span[chosen, 0] * way, span[chosen, 1]
        squared = np.maximum(out**2 + up**2, SMALLEST_LENGTH**2)
        values[chosen] = np.degrees(np.arctan2(up, out))
        by_span[chosen, 0] = np.degrees(-up * way / squared)
        by_span[chosen, 1] = np.degrees(out / squared)
        bent[chosen, 0, 0] = np.degrees(2.0 * out * up / squared**2)
        bent[chosen, 1, 1] = -bent[chosen, 0, 0]
        bent[chosen, 0, 1] = np.degrees((up**2 - out**2) * way / squared**2)
        bent[chosen, 1, 0] = bent[chosen, 0, 1]
        return values, by_span, bent

    def _following(self, carried: Array | None) -> Array:
        """How every point follows the coordinates: (positions, points, 3, coordinates)."""
        count, positions = len(self.points), 1 + len(self._held)
        slopes = np.tile(np.eye(3 * count), (positions, 1, 1))
        if carried is not None:
            held, own, axes = np.arange(1, positions), np.asarray(self._own), np.arange(3)
            moved = slopes.reshape(positions, count, 3, count, 3)
            by_own = carried.reshape(-1, POINTS, 3, POINTS, 3)
            moved[np.ix_(held, own, axes, own, axes)] = by_own
        return slopes.reshape(positions, count, 3, 3 * count)
