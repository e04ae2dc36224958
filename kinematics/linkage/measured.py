"""Outer-joint positions taken on the car, in place of a linkage.

Through the positions at their travels runs a cubic spline whose first two and
last two pieces are one polynomial each (not-a-knot); through three positions
that is a parabola.  A wheel's path is close to an arc of long radius, which
such a curve follows to far less than a tape can see.  Beyond the outermost
positions nothing was looked at, so nothing is answered.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.errors import InvalidInput, Problem
from kinematics.linkage.reach import Reach
from kinematics.parts import Hub, Measured, Point
from kinematics.vectors import Array, Vec, read_only

NOT_MEASURED = "no position was measured beyond"
NOT_STEERED = "the positions were measured with the wheel straight ahead"
# A wheel centre that disagrees with its own travel by more was taken at another travel.
RISE_TOLERANCE_MM = 3.0


def spline_weights(knots_mm: Array, travel_mm: Array) -> Array:
    """What each knot's value counts for at each travel, shape (*travel, knots).

    The curve is linear in the measured values, so their errors pass through
    the same weights.  NaN beyond the outermost knots.
    """
    # The only spline here: scipy's costs a third of a second to import, on every report.
    bends = _bend_weights(knots_mm)
    values = np.eye(len(knots_mm))
    last = len(knots_mm) - 2
    piece = np.clip(np.searchsorted(knots_mm, travel_mm, side="right") - 1, 0, last)
    width = np.diff(knots_mm)[piece][..., None]
    after = (travel_mm - knots_mm[piece])[..., None]
    before = width - after
    weights: Array = (
        values[piece] * before
        + values[piece + 1] * after
        - (bends[piece] * (width + before) + bends[piece + 1] * (width + after))
        * before
        * after
        / 6
    ) / width
    outside = (travel_mm < knots_mm[0]) | (travel_mm > knots_mm[-1])
    weights[outside] = np.nan
    return weights


def _bend_weights(knots_mm: Array) -> Array:
    """What each knot's value counts for in the second derivative at each knot, (knots, knots).

    Slopes meet at the inner knots; the third derivative passes through the first
    and the last of them (not-a-knot; C. de Boor, A Practical Guide to Splines, ch. IV).
    """
    count, width = len(knots_mm), np.diff(knots_mm)
    equations, asked = np.zeros((count, count)), np.zeros((count, count))
    for knot in range(1, count - 1):
        h, k = width[knot - 1], width[knot]
        equations[knot, knot - 1 : knot + 2] = h / 6, (h + k) / 3, k / 6
        asked[knot, knot - 1 : knot + 2] = 1 / h, -1 / h - 1 / k, 1 / k
    if count == 3:
        # One inner knot: a parabola, which bends alike everywhere.
        equations[0, :2] = equations[2, 1:] = 1, -1
    else:
        for row, at in ((0, 0), (count - 1, count - 3)):
            h, k = width[at], width[at + 1]
            equations[row, at : at + 3] = k, -h - k, h
    weights: Array = np.asarray(np.linalg.solve(equations, asked), dtype=np.float64)
    return weights


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredCurve:
    """The positions in order of travel, ride height among them.

    ``hub_measured`` is False where no wheel centres were taken: the hub axis
    then keeps its direction from ride height, and the outer joint's angle leaves
    out what the camber changes.
    """

    knots_mm: Array
    outer_joints: Array
    wheel_centres: Array
    ride_height: int
    hub_measured: bool
    reach: Reach

    @classmethod
    def of(cls, linkage: Measured, hub: Hub) -> MeasuredCurve:
        """The curve through the measured positions and the hub's own at ride height.

        Raises InvalidInput where a wheel centre has not risen by its travel.
        """
        ride = hub.wheel_centre
        axle = tuple(w - o for w, o in zip(ride, hub.outer_joint, strict=True))
        rows: list[tuple[float, Point, Point]] = [(0.0, hub.outer_joint, ride)]
        problems = []
        for number, position in enumerate(linkage.positions):
            outer = position.outer_joint
            wheel = position.wheel_centre
            if wheel is None:
                wheel = (outer[0] + axle[0], outer[1] + axle[1], outer[2] + axle[2])
            elif abs(wheel[1] - ride[1] - position.travel) > RISE_TOLERANCE_MM:
                problems.append(
                    Problem(
                        "wheel_centre",
                        f"expected up near {ride[1] + position.travel:g} mm at travel "
                        f"{position.travel:g} mm, got {wheel[1]:g} mm",
                        "position",
                        number,
                    )
                )
            rows.append((position.travel, outer, wheel))
        if problems:
            raise InvalidInput(problems)
        rows.sort()
        knots = np.array([row[0] for row in rows])
        nothing = read_only(np.empty(0))
        return cls(
            knots_mm=read_only(knots),
            outer_joints=read_only(np.array([row[1] for row in rows])),
            wheel_centres=read_only(np.array([row[2] for row in rows])),
            ride_height=int(np.flatnonzero(knots == 0.0)[0]),
            hub_measured=linkage.positions[0].wheel_centre is not None,
            reach=Reach(
                lowest_mm=float(knots[0]),
                highest_mm=float(knots[-1]),
                lowest_reason=NOT_MEASURED,
                highest_reason=NOT_MEASURED,
                turns_rad=nothing,
                rises_mm=nothing,
                steer_reason=NOT_STEERED,
            ),
        )

    def at(self, travel_mm: Array) -> tuple[Vec, Vec]:
        """Outer joint and wheel centre at each travel; NaN where nothing was measured."""
        weights = spline_weights(self.knots_mm, travel_mm)
        return Vec.of(weights @ self.outer_joints), Vec.of(weights @ self.wheel_centres)

    def rotation(self, hub_axis: Vec) -> Array:
        """What carries the knuckle from ride height: the shortest turn of its hub axis.

        Shape (..., 3, 3).  A turn about the hub axis itself cannot be seen from
        two points on it and is taken as none.
        """
        drawn = Vec.of(self.wheel_centres[self.ride_height] - self.outer_joints[self.ride_height])
        drawn = drawn.unit()
        turn = drawn.cross(hub_axis)
        # Rodrigues' formula with the sine in the length of ``turn``.
        share = 1.0 / (1.0 + drawn.dot(hub_axis))
        axis, each = turn.stacked(), np.eye(3)
        along = share[..., None, None] * (axis[..., :, None] * axis[..., None, :])
        across = np.cross(each, axis[..., None, :])
        return read_only(along + across + drawn.dot(hub_axis)[..., None, None] * each)
