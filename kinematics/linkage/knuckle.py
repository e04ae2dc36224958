r"""How the linkage carries the knuckle: closed forms for one arm turn and steer angle.

The knuckle is a rigid body.  Two points on its steering axis and the heading of
its hub axis fix it:

    strut                          wishbones

      T  strut_top (fixed)           PU----BU   upper arm
      |\                                   |
      | \  sliding axis, fixed             |    steering axis
      |  S   in the knuckle                |
      | /                                  |
      B---A  arm                     PL----BL   lower arm

1. The arm turns by ``turn`` about its pivot (axis parallel to fore): B.
2. Strut: the knuckle's point at T follows from |T - B|, an inverted
   slider-crank with the ball joint offset from the sliding axis.
   Wishbones: the upper ball joint is the crossing of two circles.
   Either way the assembly mode is the sign that the ride-height drawing has.
3. The steering axis k is known in the knuckle and in the car.  The hub axis h
   makes a fixed angle with k; its heading asks h . n = 0 for the horizontal
   normal n of the heading, a linear equation in the cosine and sine of the
   turn about k.

Points are arrays of shape (..., 3): one linkage, or many that differ by their
measuring errors.  Formulas: plane loop closure as in any text on mechanisms
(inverted slider-crank, four-bar); the step to space is vector algebra.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.parts import ArmLinkage, Hub, Strut
from kinematics.vectors import Array, Vec


@dataclass(frozen=True, slots=True, eq=False)
class Slide:
    """A strut's sliding axis as drawn, seen from the ball joint.

    ``along_mm`` leads from the ball joint to ``strut_lower`` along the axis and
    ``offset_squared`` is the square of the ball joint's distance from it: the
    crank's offset.  ``mode`` is -1 where the strut top lies the other way along
    the axis than ``direction`` leads, as seen from the ball joint.
    """

    direction: Vec
    lower: Vec
    along_mm: Array
    offset_squared: Array
    mode: Array


@dataclass(frozen=True, eq=False)
class Geometry:
    """A linkage and its hub as drawn at ride height, with what never changes worked out.

    ``top`` is the strut top, or the upper ball joint; ``upper_pivot`` and
    ``strut_lower`` are None for the other kind of linkage.
    """

    arm_pivot: Vec
    ball_joint: Vec
    top: Vec
    strut_lower: Vec | None
    upper_pivot: Vec | None
    outer_joint: Vec
    wheel_centre: Vec

    @classmethod
    def of(cls, linkage: ArmLinkage, hub: Hub) -> Geometry:
        """The geometry of one linkage."""
        points = [getattr(part, name) for part in (linkage, hub) for name in part.__match_args__]
        return cls.through(map(Vec.of, points), strut=isinstance(linkage, Strut))

    @classmethod
    def through(cls, points: Iterable[Vec], *, strut: bool) -> Geometry:
        """Linkages of one kind by their own four points and the hub's, in their fields' order."""
        arm_pivot, ball_joint, third, fourth, outer_joint, wheel_centre = points
        if strut:
            return cls(arm_pivot, ball_joint, third, fourth, None, outer_joint, wheel_centre)
        return cls(arm_pivot, ball_joint, fourth, None, third, outer_joint, wheel_centre)

    @cached_property
    def arm(self) -> Vec:
        """From the (lower) arm's pivot to its ball joint."""
        return self.ball_joint - self.arm_pivot

    @cached_property
    def hub_axis(self) -> Vec:
        """Unit vector from the outer joint towards the wheel centre."""
        return (self.wheel_centre - self.outer_joint).unit()

    @cached_property
    def straight_normal(self) -> Vec:
        """Horizontal, and square to the hub axis as drawn: straight ahead."""
        hub = self.hub_axis
        return Vec(-hub.fore, np.zeros_like(hub.out), hub.out).unit()

    def normal(self, steer_rad: Array) -> Vec:
        """The same at a steer angle."""
        ahead, sin, cos = self.straight_normal, np.sin(steer_rad), np.cos(steer_rad)
        out = ahead.out * cos + ahead.fore * sin
        return Vec(out, np.zeros_like(out), ahead.fore * cos - ahead.out * sin)

    @cached_property
    def heading_mode(self) -> Array:
        """Which of the two turns about the steering axis gives the heading as drawn: 1 or -1."""
        axis = self.top - self.ball_joint
        # first = axis x second, and second is the normal less a share of the axis (see carry).
        return np.where(self.hub_axis.dot(axis.cross(self.straight_normal)) < 0.0, -1.0, 1.0)

    @cached_property
    def slide(self) -> Slide | None:
        """The strut's sliding axis; None for wishbones."""
        if self.strut_lower is None:
            return None
        drawn = self.top - self.strut_lower
        length = drawn.length()
        direction = drawn / length
        lower = self.strut_lower - self.ball_joint
        along = lower.dot(direction)
        offset = lower - direction * along
        return Slide(
            direction=direction,
            lower=lower,
            along_mm=along,
            offset_squared=offset.dot(offset),
            mode=np.where(length + along < 0.0, -1.0, 1.0),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Steered:
    """The steering axis in the knuckle and in the car; ``strut_length`` is None for wishbones."""

    ball_joint: Vec
    top: Vec
    axis_in_knuckle: Vec
    axis: Vec
    length: Array
    strut_length: Array | None


@dataclass(frozen=True, slots=True, eq=False)
class Carried:
    """The knuckle's pose: two orthonormal triads, one drawn in it and one in the car."""

    steered: Steered
    origin: Vec
    axes_in_knuckle: tuple[Vec, Vec, Vec]
    axes: tuple[Vec, Vec, Vec]
    hub_axis: Vec
    heading_normal: Vec

    def direction(self, direction: Vec) -> Vec:
        """A direction drawn at ride height, carried with the knuckle."""
        a, b, c = (direction.dot(axis) for axis in self.axes_in_knuckle)
        x, y, z = self.axes
        return x * a + y * b + z * c

    def point(self, point: Vec) -> Vec:
        """A point drawn at ride height, carried with the knuckle."""
        return self.steered.ball_joint + self.direction(point - self.origin)

    def rotation(self, shape: tuple[int, ...]) -> Array:
        """What takes directions drawn at ride height to where they point now, (*shape, 3, 3)."""
        rotation = np.zeros((*shape, 3, 3))
        # Over whole motions four times as fast as products of stacked axes.
        for now, drawn in zip(self.axes, self.axes_in_knuckle, strict=True):
            for row, to in enumerate(now.arrays):
                for column, of in enumerate(drawn.arrays):
                    rotation[..., row, column] += to * of
        return rotation


def steering_axis(geometry: Geometry, turn_rad: Array) -> Steered:
    """The steering axis after the arm has turned; NaN where the linkage cannot close."""
    ball_joint = geometry.arm_pivot + geometry.arm.turned(turn_rad)
    if geometry.slide is not None:
        return _strut_axis(geometry, geometry.slide, ball_joint)
    assert geometry.upper_pivot is not None
    return _wishbone_axis(geometry, geometry.upper_pivot, ball_joint)


def _strut_axis(geometry: Geometry, slide: Slide, ball_joint: Vec) -> Steered:
    to_top = geometry.top - ball_joint
    squared = to_top.dot(to_top)
    strut_length = slide.mode * np.sqrt(squared - slide.offset_squared) - slide.along_mm
    # A strut of no length has gone through its own top mount.
    strut_length = np.where(strut_length > 0.0, strut_length, np.nan)
    length = np.sqrt(squared)
    return Steered(
        ball_joint=ball_joint,
        top=geometry.top,
        axis_in_knuckle=(slide.lower + slide.direction * strut_length) / length,
        axis=to_top / length,
        length=length,
        strut_length=strut_length,
    )


def _wishbone_axis(geometry: Geometry, upper_pivot: Vec, ball_joint: Vec) -> Steered:
    drawn = geometry.top - geometry.ball_joint
    # Both ball joints keep their fore, so the loop closes in the front view.
    drawn_span = upper_pivot - geometry.ball_joint
    mode = np.sign(drawn_span.out * drawn.up - drawn_span.up * drawn.out)
    knuckle_squared = drawn.out**2 + drawn.up**2
    arm = geometry.top - upper_pivot
    span_out = upper_pivot.out - ball_joint.out
    span_up = upper_pivot.up - ball_joint.up
    span_squared = span_out**2 + span_up**2
    along = 0.5 * (1.0 + (knuckle_squared - arm.out**2 - arm.up**2) / span_squared)
    aside = mode * np.sqrt(knuckle_squared / span_squared - along**2)
    axis = Vec(
        along * span_out - aside * span_up,
        along * span_up + aside * span_out,
        drawn.fore,
    )
    length = drawn.length()
    return Steered(
        ball_joint=ball_joint,
        top=ball_joint + axis,
        axis_in_knuckle=drawn / length,
        axis=axis / length,
        length=length,
        strut_length=None,
    )


def carry(geometry: Geometry, steered: Steered, steer_rad: Array | None = None) -> Carried:
    """The knuckle's pose at a steer angle, or straight ahead.

    NaN where its wheel cannot take that heading.
    """
    normal = geometry.straight_normal if steer_rad is None else geometry.normal(steer_rad)
    hub = geometry.hub_axis
    drawn_axis, axis = steered.axis_in_knuckle, steered.axis

    along = hub.dot(drawn_axis)
    side_in_knuckle = drawn_axis.cross(hub)
    across = side_in_knuckle.length()
    side_in_knuckle = side_in_knuckle / across
    swing_in_knuckle = side_in_knuckle.cross(drawn_axis)

    lean = axis.dot(normal)
    flat = np.sqrt(1.0 - lean * lean)
    second = (normal - axis * lean) / flat
    first = axis.cross(second)
    sin = -along * lean / (across * flat)
    # Two headings of the hub axis lie in the wanted plane, one each way along it;
    # the drawing at ride height points the way of `heading_mode`.
    cos = geometry.heading_mode * np.sqrt(1.0 - sin * sin)
    swing = first * cos + second * sin
    side = axis.cross(swing)
    return Carried(
        steered=steered,
        origin=geometry.ball_joint,
        axes_in_knuckle=(drawn_axis, swing_in_knuckle, side_in_knuckle),
        axes=(axis, swing, side),
        hub_axis=axis * along + swing * across,
        heading_normal=normal,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Rates:
    """First derivatives by the arm's turn (per radian), the steer angle held."""

    spin: Vec
    ball_joint: Vec

    def of(self, carried: Carried, point: Vec) -> Vec:
        """Velocity of a point of the knuckle, given where it is now."""
        return self.ball_joint + self.spin.cross(point - carried.steered.ball_joint)


def rates(geometry: Geometry, carried: Carried) -> Rates:
    """How fast the knuckle moves as the arm turns.

    The top of the steering axis may move only along ``give`` (the strut's
    sliding axis, or the upper arm's arc), which fixes the spin across the axis;
    the held heading fixes the spin about it.
    """
    steered = carried.steered
    arm = steered.ball_joint - geometry.arm_pivot
    ball_joint = Vec(-arm.up, arm.out, np.zeros_like(arm.out))
    if geometry.slide is not None:
        give = carried.direction(geometry.slide.direction)
    else:
        assert geometry.upper_pivot is not None
        upper = steered.top - geometry.upper_pivot
        give = Vec(-upper.up, upper.out, np.zeros_like(upper.out))
    axis = steered.axis
    slip = ball_joint.dot(axis) / give.dot(axis)
    across = axis.cross(give * slip - ball_joint) / steered.length
    turning = carried.hub_axis.cross(carried.heading_normal)
    about = -across.dot(turning) / axis.dot(turning)
    return Rates(spin=across + axis * about, ball_joint=ball_joint)
