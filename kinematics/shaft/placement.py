"""Where to weld the gearbox mounts: the shift that leaves most to spare on both sides at once.

While the mounts are only tacked the gearbox can go sideways and up.  Sideways
moves one side's inner joint outboard and the other's inboard, so what helps one
shaft costs the other.  Each limit's spare is put as a share of the limit: 0 is
at the limit, below 0 past it.  Some limits are close everywhere and hardly move,
such as the outer joint's angle at full lock; the worst share alone would give
away stroke for them.  So each is held against the most that its kind has
anywhere in the room, on either side, and a place is as good as the limit that
keeps the least.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from kinematics.errors import require
from kinematics.linkage.motion import Motion, require_in_reach
from kinematics.parts import DEFAULT_MARGIN, DEFAULT_WANTED_GAP, Bracket, Corner, Side
from kinematics.shaft.following import Reaching, follow, gearbox_shifts, reaching, usable_stroke_mm
from kinematics.shaft.fouling import corner_approaches
from kinematics.shaft.length_window import window_ends_mm
from kinematics.shaft.mount_room import MountRoom
from kinematics.shaft.whole_motion import whole_motion
from kinematics.vectors import Array, Ints, Vec, angle_between, distinct, read_only

SpareQuantity = Literal["stroke", "inner_angle", "outer_angle", "clearance"]
# Sideways is + towards the car's left, as y in ISO 8855: outboard there, inboard on the right.
OUTBOARD: Mapping[Side, float] = {"left": 1.0, "right": -1.0}
POINTS = 21
_TRAVEL_STEP_MM = 4.0
_STEER_STEP_DEG = 4.0
_GAP_TRAVEL_STEP_MM = 15.0
_GAP_STEER_STEP_DEG = 15.0
# Every so far between the ends of the room it is looked which positions are worst.
_TRIALS = 3

SpareGap = Callable[[Corner], float]


@dataclass(frozen=True, slots=True)
class Spare:
    """What one limit of one side has to spare, as a share of it; below 0 it is broken.

    Stroke: what is left beyond the margin, of half the stroke (of a free shaft,
    half the width of its length window).  Angles: of the joint's limit.
    Clearance: the gap beyond the wanted one, of a usual wanted gap; more than
    all of it counts as all.  ``kept`` is the share against the largest that
    the same quantity has anywhere in the room, on either side.
    """

    side: Side
    quantity: SpareQuantity
    share: float
    kept: float


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the gearbox and what it leaves, worst first; lengths by side, mm."""

    lateral_mm: float
    up_mm: float
    spares: tuple[Spare, ...]
    lengths_mm: Mapping[Side, float]

    @property
    def worst(self) -> Spare:
        """The limit that keeps the least; broken where its share is below 0."""
        return self.spares[0]


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """The map over the room, every array of shape (lateral, up).

    ``kept`` is what the limit that keeps least keeps, and ``worst`` says which
    one that is: an index into ``limits``.  ``share`` is the smallest
    spare share of any; ``shares`` has all, shape (limits, lateral, up).
    ``best`` keeps most; ``now`` is the place as drawn.
    """

    lateral_mm: Array
    up_mm: Array
    limits: tuple[tuple[Side, SpareQuantity], ...]
    kept: Array
    worst: Ints
    share: Array
    best: Place
    now: Place
    shares: Array = field(repr=False)


def placed_corner(corner: Corner, side: Side, lateral_mm: float, up_mm: float) -> Corner:
    """The corner with the gearbox, and the brackets on it, set elsewhere."""
    out = OUTBOARD[side] * lateral_mm
    joint = corner.shaft.inner_joint
    mid = joint.mid_stroke
    return replace(
        corner,
        shaft=replace(
            corner.shaft,
            inner_joint=replace(joint, mid_stroke=(mid[0] + out, mid[1] + up_mm, mid[2])),
        ),
        brackets=tuple(
            _moved(bracket, out, up_mm) if bracket.mounted_on == "gearbox" else bracket
            for bracket in corner.brackets
        ),
    )


def _moved(bracket: Bracket, out: float, up: float) -> Bracket:
    return replace(bracket, outline=tuple((x + out, y + up) for x, y in bracket.outline))


def smallest_spare_gap(corner: Corner) -> float:
    """Smallest gap beyond the wanted one of any bracket, mm, on a coarse motion; inf without."""
    if not corner.brackets:
        return float("inf")
    motion = whole_motion(corner, _GAP_TRAVEL_STEP_MM, _GAP_STEER_STEP_DEG)
    shifts = gearbox_shifts(corner.gearbox_movement)
    shaft = follow(corner, motion, shift_mm=shifts)
    approaches = corner_approaches(corner, motion, shaft)
    return min(
        (one.gap_mm - corner.brackets[one.bracket].wanted_gap for one in approaches),
        default=float("inf"),
    )


def place_gearbox(
    corners: Mapping[Side, Corner],
    room: MountRoom,
    *,
    margin_mm: float = DEFAULT_MARGIN,
    free: bool = False,
    points: int = POINTS,
    spare_gap: SpareGap | None = None,
) -> Placement:
    """Map what each place leaves, and find the best.

    ``corners`` are the sides that have a shaft.  A shaft with a length keeps
    it, unless ``free``; a shaft without takes the middle of its length window
    at each place.  ``spare_gap`` answers for one corner as placed, with its
    length; it is asked once for every place of the map.

    Raises InvalidInput without a side; OutOfReach where the linkage cannot take
    its whole motion.
    """
    require((corners, "corners", "a shaft on the left, the right or both"))
    lateral = _axis(room.lateral, points)
    up = _axis(room.up, points)
    # Where the gearbox stands as drawn is asked for too, last, be it in the room or not.
    places = np.stack(np.meshgrid(lateral, up, indexing="ij"), axis=-1).reshape(-1, 2)
    places = np.concatenate((places, np.zeros((1, 2))))
    limits: list[tuple[Side, SpareQuantity]] = []
    rows: list[Array] = []
    lengths: dict[Side, Array] = {}
    for side, corner in corners.items():
        asked = _Placing.of(side, corner, room, margin_mm, free=free)
        lengths[side], found = asked.answered(places)
        if spare_gap is not None:
            gaps = [
                spare_gap(_as_placed(corner, side, place, float(length)))
                for place, length in zip(places, lengths[side], strict=True)
            ]
            found["clearance"] = np.minimum(np.array(gaps) / DEFAULT_WANTED_GAP, 1.0)
        limits.extend((side, quantity) for quantity in found)
        rows.extend(found.values())
    shares = np.stack(rows)
    kept = _kept(shares, [quantity for _, quantity in limits])
    shape = (len(lateral), len(up))

    def place(index: int) -> Place:
        spares = [
            Spare(*limit, float(share), float(part))
            for limit, share, part in zip(limits, shares[:, index], kept[:, index], strict=True)
        ]
        return Place(
            float(places[index, 0]),
            float(places[index, 1]),
            tuple(sorted(spares, key=lambda spare: spare.kept)),
            {side: float(values[index]) for side, values in lengths.items()},
        )

    def mapped(values: Array) -> Array:
        return read_only(values[:-1].reshape(shape))

    return Placement(
        lateral_mm=lateral,
        up_mm=up,
        limits=tuple(limits),
        kept=mapped(kept.min(axis=0)),
        worst=kept[:, :-1].argmin(axis=0).reshape(shape),
        share=mapped(shares.min(axis=0)),
        best=place(int(kept[:, :-1].min(axis=0).argmax())),
        now=place(len(places) - 1),
        shares=read_only(shares[:, :-1].reshape(len(limits), *shape)),
    )


def _kept(shares: Array, quantities: Sequence[SpareQuantity]) -> Array:
    """Each share against its quantity's largest in the room; as it is where none is above 0.

    The last column is the place as drawn, which need not be in the room.
    """
    own = shares[:, :-1].max(axis=1)
    most = np.array(
        [
            max(one for one, other in zip(own, quantities, strict=True) if other == quantity)
            for quantity in quantities
        ]
    )[:, None]
    kept: Array = np.divide(shares, most, out=shares.copy(), where=most > 0.0)
    return kept


def _axis(limits: tuple[float, float], points: int) -> Array:
    """Shifts from least to most; one where there is no room."""
    if limits[0] == limits[1]:
        return read_only(np.array([limits[0]]))
    return read_only(np.linspace(limits[0], limits[1], points))


def _as_placed(corner: Corner, side: Side, place: Array, length_mm: float) -> Corner:
    moved = placed_corner(corner, side, float(place[0]), float(place[1]))
    return replace(moved, shaft=replace(moved.shaft, length=length_mm))


def _ends(motion: Motion) -> list[int]:
    """Flat indices of the ends of travel at both locks."""
    rows, columns = motion.travel_mm.shape
    return [0, columns - 1, (rows - 1) * columns, rows * columns - 1]


@dataclass(frozen=True, slots=True, eq=False)
class _Placing:
    """One side's shaft at any place: the positions that are worst somewhere in the room."""

    side: Side
    corner: Corner
    margin_mm: float
    length_mm: float | None
    outer_joint: Vec
    hub_axis: Vec

    @classmethod
    def of(
        cls, side: Side, corner: Corner, room: MountRoom, margin_mm: float, *, free: bool
    ) -> _Placing:
        motion = whole_motion(corner, _TRAVEL_STEP_MM, _STEER_STEP_DEG)
        require_in_reach(motion)
        shape = motion.travel_mm.shape
        length = None if free else corner.shaft.length

        def over(chosen: Array) -> _Placing:
            return cls(
                side,
                corner,
                margin_mm,
                length,
                Vec.of(motion.outer_joint.reshape(-1, 3)[chosen]),
                Vec.of(motion.hub_axis.reshape(-1, 3)[chosen]),
            )

        everywhere = over(np.arange(shape[0] * shape[1]))
        trials = np.stack(
            np.meshgrid(_axis(room.lateral, _TRIALS), _axis(room.up, _TRIALS)), axis=-1
        ).reshape(-1, 2)
        worst = [place for trial in trials for place in everywhere.worst_positions(trial)]
        return over(distinct(np.array(_ends(motion) + worst)))

    def seen(self, places: Array) -> Reaching:
        """The outer joint as the inner joint sees it, shape (places, positions, shifts)."""
        shifts = gearbox_shifts(self.corner.gearbox_movement)
        at = np.zeros((len(places), 1, 1, 3))
        at[..., 0] = OUTBOARD[self.side] * places[:, 0, None, None]
        at[..., 1] = places[:, 1, None, None]
        return reaching(self.corner.shaft.inner_joint, self.outer_joint[..., None], at + shifts)

    def spares(self, places: Array) -> tuple[Array, dict[SpareQuantity, Array]]:
        """Length at each place, and each limit's spare share (places, positions, shifts)."""
        joint, limit = self.corner.shaft.inner_joint, self.corner.shaft.outer_joint.max_angle
        half_stroke = 0.5 * (joint.stroke_in + joint.stroke_out)
        seen = self.seen(places)
        shortest = longest = None
        lengths = np.full(len(places), self.length_mm or 0.0)
        if self.length_mm is None:
            shortest, longest = window_ends_mm(joint, seen, self.margin_mm)
            lengths = 0.5 * (shortest.max(axis=(1, 2)) + longest.min(axis=(1, 2)))
        length = lengths[:, None, None]
        with np.errstate(invalid="ignore"):
            plunge = seen.plunge_mm(length)
            inner = np.degrees(seen.inner_angle_rad(plunge))
            outer = np.degrees(
                angle_between(seen.span - seen.axis * plunge, self.hub_axis[..., None])
            )
        if shortest is not None and longest is not None:
            left = np.minimum(length - shortest, longest - length)
        else:
            stroke_in, stroke_out = usable_stroke_mm(joint, inner)
            left = np.minimum(stroke_in + plunge, stroke_out - plunge) - self.margin_mm
        found: dict[SpareQuantity, Array] = {
            "stroke": left / half_stroke if half_stroke > 0.0 else left,
            "inner_angle": 1.0 - inner / joint.max_angle,
            "outer_angle": 1.0 - outer / limit,
        }
        # Where the shaft does not reach the housing axis, nothing is left.
        return lengths, {
            quantity: np.nan_to_num(values, nan=-np.inf) for quantity, values in found.items()
        }

    def answered(self, places: Array) -> tuple[Array, dict[SpareQuantity, Array]]:
        """Length and each limit's worst spare share at each place, shape (places,)."""
        lengths, found = self.spares(places)
        return lengths, {quantity: values.min(axis=(1, 2)) for quantity, values in found.items()}

    def worst_positions(self, place: Array) -> list[int]:
        """The positions at which each limit is worst there, for each gearbox shift."""
        _, found = self.spares(place[None])
        return [int(position) for values in found.values() for position in values[0].argmin(axis=0)]
