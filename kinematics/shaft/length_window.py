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

from kinematics.linkage.motion import Motion
from kinematics.parts import SMALLEST_LENGTH, InnerJoint
from kinematics.shaft.following import Reaching, reaching, stroke_one_way_mm, stroke_rows
from kinematics.shaft.gearbox_box import Extreme, GearboxBox, least, moved_corner
from kinematics.vectors import Array, Ints, Mask, Vec

_CONTRACTIONS = 40
_SCANS = 65
_HALVINGS = 44
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


def position_at(motion: Motion, extreme: Extreme) -> Position:
    """Where something is worst."""
    return Position(
        float(motion.travel_mm.flat[extreme.index]),
        float(motion.steer_deg.flat[extreme.index]),
        extreme.shift_mm,
    )


def length_window(
    inner_joint: InnerJoint, motion: Motion, box: GearboxBox, margin_mm: float
) -> LengthWindow:
    """The length window over a motion with the gearbox anywhere in its box.

    Closed form; searched for where the usable stroke depends on the joint's angle.
    Positions out of reach do not count: check ``motion.in_reach`` first.
    """
    still = reaching(inner_joint, motion.outer_joint_parts)
    angles, inward, outward = stroke_rows(inner_joint)
    pulled, pushed = outward[0] - margin_mm, margin_mm - inward[0]
    far = box.away_from(still.span - still.axis * pulled)
    near = box.towards(still.span - still.axis * pushed)
    if len(angles) == 1:
        apart = least(-moved_corner(still, far).length_mm(pulled), far)
        bottom = least(moved_corner(still, near).length_mm(pushed), near)
    else:
        outer = Vec.of(motion.outer_joint.reshape(-1, 3))

        def end(seen: Reaching, *, outward: bool) -> Array:
            return window_end_mm(inner_joint, seen, margin_mm, outward=outward)

        def at(rows: Ints, shifts: Array) -> Reaching:
            return reaching(inner_joint, outer[rows[:, None]], shifts)

        shortest = end(moved_corner(still, far), outward=True)
        longest = end(moved_corner(still, near), outward=False)
        apart = box.least_anywhere(lambda *place: -end(at(*place), outward=True), -shortest.ravel())
        bottom = box.least_anywhere(lambda *place: end(at(*place), outward=False), longest.ravel())
    return LengthWindow(
        margin_mm=margin_mm,
        shortest_mm=-apart.value,
        longest_mm=bottom.value,
        pulls_apart_at=position_at(motion, apart),
        bottoms_at=position_at(motion, bottom),
    )


def window_ends_mm(
    inner_joint: InnerJoint, seen: Reaching, margin_mm: float
) -> tuple[Array, Array]:
    """The shortest and the longest shaft that each position by itself would take, mm."""
    return (
        window_end_mm(inner_joint, seen, margin_mm, outward=True),
        window_end_mm(inner_joint, seen, margin_mm, outward=False),
    )


def window_end_mm(
    inner_joint: InnerJoint, seen: Reaching, margin_mm: float, *, outward: bool
) -> Array:
    """The shortest shaft that each position takes before it pulls apart, or the longest, mm."""
    limits = _PlungeLimits(inner_joint, seen, margin_mm)
    with np.errstate(invalid="ignore"):
        if limits.gentle:
            return seen.length_mm(_fixed(limits.highest if outward else limits.lowest))
        return seen.length_mm(limits.searched()[0 if outward else 1])


@dataclass(frozen=True, slots=True, eq=False)
class _PlungeLimits:
    """What plunge keeps the margin where the usable stroke depends on the joint's angle.

    A longer shaft plunges less and bends its joint less, so both the plunge and
    what is allowed of it move with the length.
    """

    inner_joint: InnerJoint
    seen: Reaching
    margin_mm: float

    @property
    def most_stroke_mm(self) -> float:
        """The longest stroke either way, at any angle."""
        joint = self.inner_joint
        rows = joint.stroke_at_angle
        return max(joint.stroke_in, joint.stroke_out, *(max(row[1:]) for row in rows))

    @property
    def gentle(self) -> bool:
        """Whether what is allowed changes by less than half of any change of the plunge."""
        angles, inward, outward = stroke_rows(self.inner_joint)
        if len(angles) < 2:
            return True
        strokes = np.array((inward, outward))
        steepest = np.max(np.abs(np.diff(strokes) / np.diff(np.radians(angles))))
        across, along = self.seen.across_mm, self.seen.along_mm
        shortest = np.maximum(along - self.most_stroke_mm - self.margin_mm, 0.0)
        # The joint's angle changes by sin(angle)/length per mm of plunge.
        bend = across / np.maximum(across**2 + shortest**2, SMALLEST_LENGTH**2)
        return bool(np.nanmax(bend) * steepest < 0.5)

    def highest(self, plunge: Array | float) -> Array:
        """The highest plunge that the joint's angle at this plunge allows, mm."""
        return self._stroke_mm(plunge, outward=True) - self.margin_mm

    def lowest(self, plunge: Array | float) -> Array:
        """The lowest plunge that the joint's angle at this plunge allows, mm."""
        return self.margin_mm - self._stroke_mm(plunge, outward=False)

    def _stroke_mm(self, plunge: Array | float, *, outward: bool) -> Array:
        angle = np.degrees(self.seen.inner_angle_rad(plunge))
        return stroke_one_way_mm(self.inner_joint, angle, outward=outward)

    def searched(self) -> tuple[Array, Array]:
        """The highest and lowest plunge where the margin may be lost and found again.

        That is so of steep tables; of others the highest and the lowest allow themselves.

        The ends of the first stretch of plunge, from pushed in to pulled out,
        that keeps both margins; where none does, the ends that each margin has alone.
        """

        def keeps_in(plunge: Array | float) -> Mask:
            return plunge >= self.lowest(plunge)

        def keeps_out(plunge: Array | float) -> Mask:
            return plunge <= self.highest(plunge)

        reach = self.most_stroke_mm + self.margin_mm
        grid, step = np.linspace(-reach, reach, _SCANS, retstep=True)
        start = np.full_like(self.seen.along_mm, reach)
        stop = np.full_like(start, -reach)
        alone = stop.copy()
        begun = np.zeros(start.shape, dtype=bool)
        ended = begun.copy()
        for plunge in grid:
            holds_in, holds_out = keeps_in(plunge), keeps_out(plunge)
            start = np.where(holds_in & ~begun, plunge, start)
            alone = np.where(holds_out, plunge, alone)
            begun |= holds_in
            ended |= begun & ~(holds_in & holds_out)
            stop = np.where(begun & ~ended, plunge, stop)
        never = stop < start
        stop = np.where(never, alone, stop)

        return (
            _last(lambda plunge: keeps_out(plunge) & (keeps_in(plunge) | never), stop, stop + step),
            _last(keeps_in, start, start - step),
        )


def _fixed(allowed: Callable[[Array | float], Array]) -> Array:
    """The plunge that allows itself."""
    plunge = allowed(0.0)
    # Halving with each step, it settles before the steps run out.
    for _ in range(_CONTRACTIONS):  # pragma: no branch
        before, plunge = plunge, allowed(plunge)
        if not bool(np.any(np.abs(plunge - before) > _PLUNGE_TOLERANCE_MM)):
            break
    return plunge


def _last(holds: Callable[[Array], Mask], inside: Array, outside: Array) -> Array:
    """The last value that holds on the way from one that does to one that does not."""
    for _ in range(_HALVINGS):
        middle = 0.5 * (inside + outside)
        good = holds(middle)
        inside, outside = np.where(good, middle, inside), np.where(good, outside, middle)
    return inside
