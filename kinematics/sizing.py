"""How long the shaft has to be: the length window and what sets its ends.

With P_out and P_in the housing-axis points at ``stroke_out - margin`` and
``-(stroke_in - margin)``, a length keeps the margin at a position exactly when
it lies in ``[|O - P_out|, |O - P_in|]``; the window is what all positions share.
Where the usable stroke shrinks with the joint's angle, P_out and P_in of each
position are those at which the stroke left is exactly the margin.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinematics.motion import Motion
from kinematics.parts import InnerJoint
from kinematics.shaft import Reaching, reaching, usable_stroke_mm
from kinematics.vectors import Array

_CONTRACTIONS = 14
_HALVINGS = 60
_PLUNGE_TOLERANCE_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Position:
    """One position of the whole motion: wheel travel, steer angle, gearbox shift."""

    travel_mm: float
    steer_deg: float
    shift_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class LengthWindow:
    """Shaft lengths that keep the margin at both ends of the stroke at every position.

    Empty when ``shortest_mm`` exceeds ``longest_mm``.  A shorter shaft would
    pull apart first at ``pulls_apart_at``, a longer one bottom at ``bottoms_at``.
    """

    margin_mm: float
    shortest_mm: float
    longest_mm: float
    pulls_apart_at: Position
    bottoms_at: Position

    @property
    def empty(self) -> bool:
        """Whether no length keeps the margin everywhere."""
        return self.shortest_mm > self.longest_mm

    @property
    def shortfall_mm(self) -> float:
        """By how much the ends of an empty window pass each other; 0 otherwise."""
        return max(0.0, self.shortest_mm - self.longest_mm)

    @property
    def middle_mm(self) -> float:
        """Half way between the ends."""
        return 0.5 * (self.shortest_mm + self.longest_mm)

    def holds(self, length_mm: float) -> bool:
        """Whether this length keeps the margin everywhere."""
        return self.shortest_mm <= length_mm <= self.longest_mm


def position_at(motion: Motion, shifts_mm: Array, index: int) -> Position:
    """The position behind a flat index into arrays of shape (shifts, *motion)."""
    shift, *rest = np.unravel_index(index, (len(shifts_mm), *motion.travel_mm.shape))
    out, up, fore = (float(value) for value in shifts_mm[shift])
    return Position(
        float(motion.travel_mm[tuple(rest)]), float(motion.steer_deg[tuple(rest)]), (out, up, fore)
    )


def length_window(
    inner_joint: InnerJoint, motion: Motion, shifts_mm: Array, margin_mm: float
) -> LengthWindow:
    """The length window over a motion and gearbox shifts of shape (n, 3).

    Positions out of reach do not count: check ``motion.in_reach`` first.
    """
    seen = reaching(
        inner_joint,
        motion.outer_joint_parts,
        shifts_mm.reshape(len(shifts_mm), *(1 for _ in motion.travel_mm.shape), 3),
    )
    shortest, longest = window_ends_mm(inner_joint, seen, margin_mm)
    apart, bottom = int(np.nanargmax(shortest)), int(np.nanargmin(longest))
    return LengthWindow(
        margin_mm=margin_mm,
        shortest_mm=float(shortest.flat[apart]),
        longest_mm=float(longest.flat[bottom]),
        pulls_apart_at=position_at(motion, shifts_mm, apart),
        bottoms_at=position_at(motion, shifts_mm, bottom),
    )


def window_ends_mm(
    inner_joint: InnerJoint, seen: Reaching, margin_mm: float
) -> tuple[Array, Array]:
    """The shortest and the longest shaft that each position by itself would take, mm."""
    with np.errstate(invalid="ignore"):
        return (
            seen.length_mm(_end_plunge(inner_joint, seen, margin_mm, outward=True)),
            seen.length_mm(_end_plunge(inner_joint, seen, margin_mm, outward=False)),
        )


def _end_plunge(
    inner_joint: InnerJoint, seen: Reaching, margin_mm: float, *, outward: bool
) -> Array:
    """Plunge at which the stroke left at one end is exactly the margin."""
    end = 1 if outward else 0
    sign = 1.0 if outward else -1.0
    if not inner_joint.stroke_at_angle:
        stroke = inner_joint.stroke_out if outward else inner_joint.stroke_in
        return np.asarray(sign * (stroke - margin_mm))

    def allowed(plunge: Array) -> Array:
        angle = np.degrees(seen.inner_angle_rad(plunge))
        return sign * (usable_stroke_mm(inner_joint, angle)[end] - margin_mm)

    plunge = allowed(np.zeros_like(seen.along_mm))
    # The joint's angle changes by sin(angle)/length per mm of plunge, so this contracts fast.
    for _ in range(_CONTRACTIONS):
        plunge = allowed(plunge)
    if bool(np.any(np.abs(allowed(plunge) - plunge) > _PLUNGE_TOLERANCE_MM)):
        return _halved(inner_joint, allowed, margin_mm, seen.along_mm)
    return plunge


def _halved(
    inner_joint: InnerJoint, allowed: Callable[[Array], Array], margin_mm: float, along: Array
) -> Array:
    """The same by halving, for stroke tables too steep for contraction."""
    rows = inner_joint.stroke_at_angle
    reach = margin_mm + max(
        inner_joint.stroke_in, inner_joint.stroke_out, *(max(row[1:]) for row in rows)
    )
    low, high = np.full_like(along, -reach), np.full_like(along, reach)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        beyond = middle > allowed(middle)
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    return 0.5 * (low + high)
