"""How the shaft follows the wheel: plunge, stroke left, joint angles, swept length.

The inner joint's centre is held on the housing axis.  With w from the
mid-stroke point to the outer joint, a the unit housing axis and L the shaft's
length, its plunge is ``w.a - sqrt(L^2 - |w|^2 + (w.a)^2)``: where a sphere of
radius L about the outer joint meets the axis, on the gearbox's side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from kinematics.errors import InvalidInput, Problem
from kinematics.linkage.motion import Motion
from kinematics.parts import Corner, GearboxMovement, InnerJoint, Point
from kinematics.vectors import Array, Mask, Vec, angle_between, read_only


@dataclass(frozen=True, slots=True, eq=False)
class Reaching:
    """From the mid-stroke point to the outer joint, split along and across the housing axis."""

    axis: Vec
    span: Vec
    along_mm: Array
    across_mm: Array

    @property
    def swept_length_mm(self) -> Array:
        """Straight distance from the mid-stroke point to the outer joint."""
        return self.span.length()

    def plunge_mm(self, length_mm: npt.ArrayLike) -> Array:
        """Plunge of a shaft of this length; NaN where it does not reach the axis."""
        length = np.asarray(length_mm, dtype=np.float64)
        # The product keeps its digits where length and distance are nearly equal.
        level = (length - self.across_mm) * (length + self.across_mm)
        return self.along_mm - np.sqrt(level)

    def length_mm(self, plunge_mm: Array | float) -> Array:
        """Length of the shaft whose plunge this would be."""
        return np.hypot(self.along_mm - plunge_mm, self.across_mm)

    def inner_angle_rad(self, plunge_mm: Array | float) -> Array:
        """Angle between housing axis and shaft."""
        return np.arctan2(self.across_mm, self.along_mm - plunge_mm)


@dataclass(frozen=True, eq=False)
class ShaftMotion:
    """The shaft at every position: the leading axes are the motion's, then the gearbox shifts'.

    ``shift_mm`` is what moved the gearbox, (3,) or (..., shifts, 3).  ``reaches`` is False where
    the shaft is too short to touch the housing axis or the linkage is out of reach; every
    other value is NaN there.  Most is worked out when it is first asked for: a gap needs no angle.
    """

    length_mm: float
    shift_mm: Array
    reaches: Mask
    plunge_mm: Array
    _seen: Reaching = field(repr=False)
    _outer_joint: Vec = field(repr=False)
    _hub_axis: Vec = field(repr=False)
    _inner_joint: InnerJoint = field(repr=False)
    _ride_centred_mm: float = field(repr=False)

    def spread(self, values: npt.NDArray[Any], own_axes: int = 0) -> npt.NDArray[Any]:
        """The motion's values at every position of the shaft: with an axis for several shifts.

        ``own_axes`` of the values come after the positions.
        """
        if self.shift_mm.ndim == 1:
            return values
        return np.expand_dims(values, -1 - own_axes)

    def _full(self, values: Array) -> Array:
        return np.broadcast_to(values, self.plunge_mm.shape)

    @cached_property
    def _along(self) -> Vec:
        return self._seen.span - self._seen.axis * self.plunge_mm

    @cached_property
    def inner_joint(self) -> Array:
        """The inner joint's centre, (..., 3)."""
        return (self._outer_joint - self._along).stacked(self.plunge_mm.shape)

    @cached_property
    def inner_angle_deg(self) -> Array:
        """Between housing axis and shaft."""
        return self._full(np.degrees(self._seen.inner_angle_rad(self.plunge_mm)))

    @cached_property
    def outer_angle_deg(self) -> Array:
        """Between shaft and hub axis."""
        return self._full(np.degrees(angle_between(self._along, self._hub_axis)))

    @cached_property
    def stroke_left_in_mm(self) -> Array:
        """Stroke left before the joint bottoms."""
        stroke = stroke_one_way_mm(self._inner_joint, self.inner_angle_deg, outward=False)
        return self._full(stroke + self.plunge_mm)

    @cached_property
    def stroke_left_out_mm(self) -> Array:
        """Stroke left before the joint pulls apart."""
        stroke = stroke_one_way_mm(self._inner_joint, self.inner_angle_deg, outward=True)
        return self._full(stroke - self.plunge_mm)

    @cached_property
    def swept_length_mm(self) -> Array:
        """From the mid-stroke point to the outer joint, NaN where that is out of reach."""
        return self._full(self._seen.swept_length_mm)

    @property
    def length_change_mm(self) -> Array:
        """Swept length less that at ride height, steering straight."""
        return self._full(self.swept_length_mm - self._ride_centred_mm)


def reaching(
    inner_joint: InnerJoint, outer_joint: Vec, shift_mm: npt.ArrayLike = (0.0, 0.0, 0.0)
) -> Reaching:
    """Where the outer joint stands as the inner joint sees it.

    ``shift_mm`` of shape (..., 3) moves the gearbox output; it must broadcast
    against the outer joint's positions.
    """
    axis = Vec.of(inner_joint.axis).unit()
    span = outer_joint - Vec.of(inner_joint.mid_stroke) - Vec.of(shift_mm)
    return Reaching(
        axis=axis, span=span, along_mm=span.dot(axis), across_mm=span.cross(axis).length()
    )


# Asked for again at every step of a search.
@lru_cache(maxsize=8)
def stroke_rows(
    inner_joint: InnerJoint,
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Angles (deg) and the strokes in and out (mm) between which the usable stroke is straight.

    No row gives more than the joint has straight: there it bottoms or pulls apart.
    """
    rows: Sequence[tuple[float, float, float]] = inner_joint.stroke_at_angle
    if not rows or rows[0][0] > 0.0:
        rows = ((0.0, inner_joint.stroke_in, inner_joint.stroke_out), *rows)
    angles, inward, outward = zip(*rows, strict=True)
    most_in, most_out = inner_joint.stroke_in, inner_joint.stroke_out
    return (
        angles,
        tuple(min(stroke, most_in) for stroke in inward),
        tuple(min(stroke, most_out) for stroke in outward),
    )


def usable_stroke_mm(inner_joint: InnerJoint, inner_angle_deg: Array) -> tuple[Array, Array]:
    """Stroke from mid-stroke to bottoming and to pulling apart at a joint angle, mm.

    Straight lines between the rows of ``stroke_at_angle``, held beyond the last.
    """
    return (
        stroke_one_way_mm(inner_joint, inner_angle_deg, outward=False),
        stroke_one_way_mm(inner_joint, inner_angle_deg, outward=True),
    )


def stroke_one_way_mm(inner_joint: InnerJoint, inner_angle_deg: Array, *, outward: bool) -> Array:
    """One of them: that to pulling apart, or that to bottoming."""
    angles, *ways = stroke_rows(inner_joint)
    stroke = ways[1 if outward else 0]
    if len(angles) == 1:
        # The stroke stays, yet is unknown where the angle is.
        return 0.0 * inner_angle_deg + stroke[0]
    return np.asarray(np.interp(inner_angle_deg, angles, stroke))


def ride_centred_length_mm(inner_joint: InnerJoint, outer_joint: Point) -> float:
    """The swept length at ride height, steering straight: the shaft sits at mid-stroke there."""
    return float(reaching(inner_joint, Vec.of(outer_joint)).swept_length_mm)


def follow(
    corner: Corner,
    motion: Motion,
    length_mm: float | None = None,
    shift_mm: npt.ArrayLike = (0.0, 0.0, 0.0),
) -> ShaftMotion:
    """A corner's shaft at every position of its motion.

    ``length_mm`` None takes the shaft's own length, or the ride-centred length where it has
    none.  ``shift_mm`` moves the gearbox output: (3,) holds everywhere; of shape (shifts, 3) or
    (*positions, shifts, 3) it adds an axis after the motion's, at each position the same
    shifts or its own.
    """
    shifts = np.asarray(shift_mm, dtype=np.float64)
    several = shifts.ndim > 1
    outer, hub_axis = motion.outer_joint_parts, motion.hub_axis_parts
    shape = motion.travel_mm.shape
    if several:
        outer, hub_axis = outer[..., None], hub_axis[..., None]
        shape = np.broadcast_shapes((*shape, 1), shifts.shape[:-1])
    joint = corner.shaft.inner_joint
    centred = ride_centred_length_mm(joint, corner.hub.outer_joint)
    length = length_mm or corner.shaft.length or centred
    seen = reaching(joint, outer, shifts)
    for part in (*seen.span.arrays, seen.along_mm, seen.across_mm):
        read_only(np.asarray(part))
    with np.errstate(invalid="ignore"):
        plunge = np.broadcast_to(seen.plunge_mm(length), shape)
    return ShaftMotion(
        float(length),
        read_only(shifts.copy()),
        read_only(np.asarray(np.isfinite(plunge))),
        plunge,
        seen,
        outer,
        hub_axis,
        joint,
        centred,
    )


def gearbox_shifts(movement: GearboxMovement) -> Array:
    """The gearbox positions that count, shape (n, 3), mm: centre first, faces, then corners.

    Movements of 0 give no positions of their own.
    """
    reach = np.array([movement.out, movement.up, movement.fore])
    signs = np.stack(np.meshgrid([-1, 0, 1], [-1, 0, 1], [-1, 0, 1], indexing="ij"), -1)
    signs = signs.reshape(-1, 3)
    moved = np.count_nonzero(signs, axis=1)
    chosen = np.concatenate([signs[moved == count] for count in (0, 1, 3)])
    shifts = chosen * reach + 0.0
    _, first = np.unique(shifts, axis=0, return_index=True)
    return read_only(shifts[np.sort(first)])


def require_reaching(motion: Motion, shaft: ShaftMotion) -> None:
    """Raise InvalidInput where the shaft is too short to reach the housing axis."""
    short = shaft.spread(motion.in_reach) & ~shaft.reaches
    if not bool(np.any(short)):
        return
    raise InvalidInput(
        [
            Problem(
                "length",
                f"expected a shaft that reaches from the outer joint to the housing axis, "
                f"got {shaft.length_mm:g} mm",
                "shaft",
            )
        ]
    )
