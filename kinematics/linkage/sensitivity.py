"""How the linkage's points, carried to a position, follow the points as drawn.

Closed form, by the implicit function theorem: the knuckle's pose is held by six
equations, and their derivatives give what its six small motions make of a small
shift of any drawn point::

    the ball joint stays on its arm's circle, and keeps its fore
    strut: the strut top stays on the sliding axis (two)
    wishbones: the same two of the upper ball joint as of the lower
    the hub axis keeps the heading asked for
    the wheel centre has risen by the travel asked for

The last one holds with the steering straight: a steered wheel keeps the arm
where its travel put it.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass

import numpy as np

from kinematics.linkage.knuckle import Carried, Geometry, carry, steering_axis
from kinematics.vectors import Array, Mask, Vec, read_only

# Rows of the points below: the linkage's four in the order of its own fields, then the hub's.
ARM_PIVOT, BALL_JOINT, OUTER_JOINT, WHEEL_CENTRE = 0, 1, 4, 5
STRUT_TOP, STRUT_LOWER = 2, 3
UPPER_PIVOT, UPPER_BALL_JOINT = 2, 3
_ON_KNUCKLE = (BALL_JOINT, OUTER_JOINT, WHEEL_CENTRE, 3)
POINTS = 6
_UP = np.array([0.0, 1.0, 0.0])
_FORE = np.array([0.0, 0.0, 1.0])
_FRONT = np.array([1.0, 1.0, 0.0])
# Selects each point of the drawing: shape (6 points, 3, 18 coordinates).
_DRAWN = np.eye(3 * POINTS).reshape(POINTS, 3, 3 * POINTS)


def carried_points(
    drawn: Array, turn_rad: Array, steer_rad: Array, *, strut: bool
) -> tuple[Array, Array]:
    """The six points carried to arm turns and steer angles of shape (positions,), and slopes.

    The points have shape (positions, 6, 3), mm; what they make of the drawing's coordinates
    (positions, 6, 3, 18), the last axis being out, up and fore of the six drawn points one
    after the other.  Where the linkage cannot close both are NaN, and on a dead point the
    slopes of all.
    """
    geometry = Geometry.through(map(Vec.of, drawn), strut=strut)
    with np.errstate(invalid="ignore", divide="ignore"):
        axis = steering_axis(geometry, turn_rad)
        straight = _Pose.of(geometry, drawn, carry(geometry, axis, 0.0 * turn_rad))
        steered = straight
        if np.any(steer_rad):
            steered = _Pose.of(geometry, drawn, carry(geometry, axis, steer_rad))
    closes = np.asarray(np.isfinite(steered.points + straight.points).all(axis=(1, 2)))
    slopes = np.full((len(turn_rad), POINTS, 3, 3 * POINTS), np.nan)
    # On a dead point, to the last digit, nothing says which way the knuckle goes.
    with contextlib.suppress(np.linalg.LinAlgError):
        ball, spin = straight.taken(closes).motions()
        if steered is not straight:
            _, spin = steered.taken(closes).motions(ball)
        slopes[closes] = steered.taken(closes).slopes(ball, spin)
    return read_only(steered.points), read_only(slopes)


@dataclass(frozen=True, slots=True, eq=False)
class _Pose:
    """The knuckle at some positions: where its points are, and its rotation (positions, 3, 3)."""

    drawn: Array
    points: Array
    rotation: Array
    strut_share: Array | None
    heading: Array

    @classmethod
    def of(cls, geometry: Geometry, drawn: Array, carried: Carried) -> _Pose:
        shape = np.broadcast_shapes(
            carried.steered.ball_joint.out.shape, carried.hub_axis.out.shape
        )
        points = np.broadcast_to(drawn, (*shape, POINTS, 3)).copy()
        for row in _ON_KNUCKLE:
            points[:, row] = carried.point(Vec.of(drawn[row])).stacked(shape)
        share = None
        if geometry.slide is not None:
            assert carried.steered.strut_length is not None
            share = np.broadcast_to(
                carried.steered.strut_length
                / np.linalg.norm(drawn[STRUT_TOP] - drawn[STRUT_LOWER]),
                shape,
            )
        normal = carried.heading_normal
        heading = np.broadcast_to(np.arctan2(normal.out, normal.fore), shape)
        return cls(drawn, points, carried.rotation(shape), share, heading)

    def taken(self, places: Mask) -> _Pose:
        """Some of the positions."""
        share = None if self.strut_share is None else self.strut_share[places]
        return _Pose(
            self.drawn, self.points[places], self.rotation[places], share, self.heading[places]
        )

    def slopes(self, ball: Array, spin: Array) -> Array:
        """What the drawing's coordinates make of the points, by the knuckle's small motions."""
        slopes = np.broadcast_to(_DRAWN, (len(ball), *_DRAWN.shape)).copy()
        for row in _ON_KNUCKLE:
            lever = self.points[:, row] - self.points[:, BALL_JOINT]
            slopes[:, row] = ball + np.cross(spin, lever[:, :, None], axis=1) + self._turned(row)
        return slopes

    def _turned(self, row: int, less: int = BALL_JOINT) -> Array:
        """A drawn vector's shift, carried with the knuckle: (positions, 3, 18)."""
        turned: Array = self.rotation @ (_DRAWN[row] - _DRAWN[less])
        return turned

    def motions(self, ball: Array | None = None) -> tuple[Array, Array]:
        """The ball joint's shift and the knuckle's small rotation, each (positions, 3, 18).

        Both follow from the six equations; where the ball joint's shift is known from
        straight steering, the rotation from the three others.
        """
        closing = (
            self._strut_rows()
            if self.strut_share is not None
            else self._circle_rows(UPPER_BALL_JOINT, UPPER_PIVOT)
        )
        rows = [*closing, self._heading_row()]
        if ball is None:
            rows = [*self._circle_rows(BALL_JOINT, ARM_PIVOT), *rows, self._travel_row()]
        matrix = np.stack(
            [np.concatenate((shift, spin), axis=1) for shift, spin, _ in rows], axis=1
        )
        right = np.stack([side for _, _, side in rows], axis=1)
        if ball is None:
            both = np.linalg.solve(matrix, right)
            return both[:, :3], both[:, 3:]
        return ball, np.linalg.solve(matrix[:, :, 3:], right - matrix[:, :, :3] @ ball)

    def _along(self, direction: Array, row: int) -> tuple[Array, Array, Array]:
        """A point's shift along a direction: by the ball joint's, the spin's, the drawing's."""
        lever = self.points[:, row] - self.points[:, BALL_JOINT]
        return (
            direction,
            np.cross(lever, direction),
            np.einsum("pk,pkc->pc", direction, self._turned(row)),
        )

    def _every(self, direction: Array) -> Array:
        return np.broadcast_to(direction, (len(self.points), 3))

    def _circle_rows(self, row: int, pivot: int) -> list[tuple[Array, Array, Array]]:
        """A ball joint stays on its arm's circle, and keeps its fore."""
        now = (self.points[:, row] - self.drawn[pivot]) * _FRONT
        was = (self.drawn[row] - self.drawn[pivot]) * _FRONT
        shift, spin, own = self._along(now, row)
        circle = was @ (_DRAWN[row] - _DRAWN[pivot]) + now @ _DRAWN[pivot] - own
        shift_fore, spin_fore, own_fore = self._along(self._every(_FORE), row)
        return [(shift, spin, circle), (shift_fore, spin_fore, _FORE @ _DRAWN[row] - own_fore)]

    def _strut_rows(self) -> list[tuple[Array, Array, Array]]:
        """The strut top stays on the sliding axis: no shift across it, two ways."""
        assert self.strut_share is not None
        drawn = self.drawn[STRUT_TOP] - self.drawn[STRUT_LOWER]
        first = np.cross(drawn, _FORE if abs(drawn[2]) < 0.7 * np.linalg.norm(drawn) else _UP)
        second = np.cross(drawn, first)
        lever = self.drawn[STRUT_TOP] - self.points[:, BALL_JOINT]
        share = self.strut_share[:, None, None]
        shift = (
            _DRAWN[STRUT_TOP]
            - self._turned(STRUT_LOWER)
            - share * self._turned(STRUT_TOP, STRUT_LOWER)
        )
        rows = []
        for drawn_across in (first, second):
            across = self.rotation @ (drawn_across / np.linalg.norm(drawn_across))
            rows.append((across, np.cross(lever, across), np.einsum("pk,pkc->pc", across, shift)))
        return rows

    def _heading_row(self) -> tuple[Array, Array, Array]:
        """The hub axis stays across the normal of its heading, which turns with the drawing."""
        sin, cos, nothing = np.sin(self.heading), np.cos(self.heading), 0.0 * self.heading
        normal = np.stack((sin, nothing, cos), axis=1)
        turning = np.stack((cos, nothing, -sin), axis=1)
        axis = self.points[:, WHEEL_CENTRE] - self.points[:, OUTER_JOINT]
        drawn = self.drawn[WHEEL_CENTRE] - self.drawn[OUTER_JOINT]
        shift = _DRAWN[WHEEL_CENTRE] - _DRAWN[OUTER_JOINT]
        heading = (drawn[2] * shift[0] - drawn[0] * shift[2]) / (drawn[0] ** 2 + drawn[2] ** 2)
        own = np.einsum("pk,pkc->pc", normal, self._turned(WHEEL_CENTRE, OUTER_JOINT))
        swing = np.sum(axis * turning, axis=1)[:, None] * heading
        return np.zeros_like(normal), np.cross(axis, normal), -own - swing

    def _travel_row(self) -> tuple[Array, Array, Array]:
        shift, spin, own = self._along(self._every(_UP), WHEEL_CENTRE)
        return shift, spin, _UP @ _DRAWN[WHEEL_CENTRE] - own
