"""What holds both halves in one line for the welder: V-blocks, shims, clamps, and what is left.

A bar of diameter d lies in a V of angle α with its axis ``d/(2 sin(α/2))`` over the bottom of
the V, so that a thinner bar wants a shim under its block::

      ●══╤════╤═══╗ ╔═══╤═════╤══●
         V    V   ║ ║   V     V        over each V a clamp
       ──┴────┴───────┴─┴─────┴──      one straight base
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.errors import require
from kinematics.making.by_hand import SAW_MM, down_to, nearest, up_to
from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS, Donor, End, Span, Stretch, from_joint
from kinematics.making.refusals import WELDING_ROOM
from kinematics.vectors import Array

# Common practice, no source.
V_ANGLE_DEG = 90.0
BLOCK_MM = 20.0
NARROWEST_BLOCK_MM = 10.0
# Leaves of a feeler gauge laid on one another.
SHIM_STEP_MM = 0.01
SHIM_TOLERANCE_MM = 0.02

# Blocks of a half, from its own joint, with the diameter over each; none, or two.
Blocks = tuple[tuple[Span, float], ...]
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Support:
    """A V-block with a clamp over it, between two distances from the outer joint's centre."""

    end: End
    from_mm: float
    to_mm: float
    diameter_mm: float
    shim_mm: float

    @property
    def middle_mm(self) -> float:
        """Where it carries the bar."""
        return 0.5 * (self.from_mm + self.to_mm)


@dataclass(frozen=True, slots=True)
class Fixture:
    """How both halves are held while they are welded; lengths in mm.

    ``supports`` from the outer joint inwards; ``homeless`` are the halves that have no room for
    two blocks, clear of splines, grooves, boot seats, fillets, welds and the sleeve.
    ``sleeve_waits``: where a whole sleeve stands meanwhile.  ``overall_mm`` is between joint
    centres before welding, ``between_datums_mm`` between the donors' datums, for joints that are
    off.  ``runout_left_mm``: the total indicator reading at the splice that the shims' tolerance
    can leave; None without all supports.
    """

    v_angle_deg: float
    supports: tuple[Support, ...]
    homeless: tuple[End, ...]
    sleeve_waits: Span | None
    torch_mm: Span
    root_gap_mm: float
    overall_mm: float
    between_datums_mm: float
    shim_tolerance_mm: float
    runout_left_mm: float | None

    @property
    def base_mm(self) -> float:
        """How long the base has to be: from the first block's edge to the last one's."""
        if not self.supports:
            return 0.0
        return self.supports[-1].to_mm - self.supports[0].from_mm


def axis_over_v_mm(diameter_mm: float, v_angle_deg: float = V_ANGLE_DEG) -> float:
    """Height of a bar's axis over the bottom of the V that it lies in, mm."""
    return 0.5 * diameter_mm / math.sin(0.5 * math.radians(v_angle_deg))


def fixture(
    plan: CutPlan, v_angle_deg: float = V_ANGLE_DEG, shim_tolerance_mm: float = SHIM_TOLERANCE_MM
) -> Fixture:
    """Where V-blocks and clamps go under a plan's halves, and their shims.

    Each half lies on two blocks as far apart as its plain bar allows, with room for the torch
    between them.  What is welded in it is the butt: the shaft is turned and its weld dressed
    before a sleeve goes over it; without a butt weld it is the sleeve.  A whole sleeve waits
    on its half where it leaves the blocks furthest apart: next to the torch, between the
    blocks, or behind both.  Raises InvalidInput for a V that is none and a tolerance below 0.
    """
    require(
        (0.0 < v_angle_deg < 180.0, "v_angle_deg", "degrees, more than 0 and less than 180"),
        (shim_tolerance_mm >= 0.0, "shim_tolerance_mm", "mm each way, 0 or more"),
    )
    overall = plan.length_mm + plan.splice.shrinkage
    low, high = plan.welded_span_mm
    if plan.splice.butt is not None:
        low, high = plan.splice.butt_span_mm(plan.diameter_mm)
    torch = low - WELDING_ROOM, high + plan.splice.shrinkage + WELDING_ROOM
    end_near = {end: from_joint(end, torch, overall)[0] for end in ENDS}
    places = {end: _two_blocks(_free(plan, end, ((0.0, end_near[end]),))) for end in ENDS}
    waits = None
    on = _waits_on(plan)
    if on is not None:
        end, stop = on
        waiting, places[end] = _waiting(plan, end, stop, end_near[end])
        waits = from_joint(end, waiting, overall)
    # From the outer joint's centre, as all of the shaft is measured.
    placed = sorted(
        (*_marked(from_joint(end, span, overall)), end, diameter)
        for end in ENDS
        for span, diameter in places[end]
    )
    heights = [axis_over_v_mm(diameter, v_angle_deg) for *_, diameter in placed]
    supports = tuple(
        Support(end, low, high, diameter, nearest(max(heights) - height, SHIM_STEP_MM))
        for (low, high, end, diameter), height in zip(placed, heights, strict=True)
    )
    homeless = tuple(end for end in ENDS if not places[end])
    left = None
    if not homeless:
        # Rounded shims are off by half a step on top of what the stock is off.
        each = shim_tolerance_mm + 0.5 * SHIM_STEP_MM
        left = _runout_left_mm(supports, plan.splice.at, overall, each)
    return Fixture(
        v_angle_deg=v_angle_deg,
        supports=supports,
        homeless=homeless,
        sleeve_waits=waits,
        torch_mm=torch,
        root_gap_mm=plan.splice.root_gap,
        overall_mm=overall,
        between_datums_mm=overall - plan.hub.donor.datum.at - plan.gearbox.donor.datum.at,
        shim_tolerance_mm=shim_tolerance_mm,
        runout_left_mm=left,
    )


def _marked(edges: Span) -> Span:
    """A block's edges on marks that a saw's rule has."""
    low, high = edges
    return up_to(low, SAW_MM), down_to(high, SAW_MM)


def _waits_on(plan: CutPlan) -> tuple[End, float] | None:
    """The half that a whole sleeve waits on while the butt is welded, and how far back it goes."""
    sleeve = plan.splice.sleeve
    if sleeve is None or sleeve.split or plan.splice.butt is None:
        return None
    butt = plan.splice.butt_span_mm(plan.diameter_mm)
    stops = {end: plan.cut(end).slides_to_mm(sleeve.bore) for end in ENDS}
    room = {end: from_joint(end, butt, plan.length_mm)[0] - stops[end] for end in ENDS}
    end = max(ENDS, key=lambda end: room[end])
    return end, stops[end]


def _waiting(plan: CutPlan, end: End, stop_mm: float, near_mm: float) -> tuple[Span, Blocks]:
    """Where the sleeve waits on its half, and the blocks there, as far apart as they go."""
    assert plan.splice.sleeve is not None  # asked only for a splice that has one
    long = plan.splice.sleeve.length
    starts = [near_mm - long]
    # Behind the first block, which has its place as near to the joint as there is plain bar.
    behind = (low for (low, _), _ in _free(plan, end, ((0.0, near_mm),)))
    starts += [
        max(stop_mm, low + width) for low in behind for width in (NARROWEST_BLOCK_MM, BLOCK_MM)
    ]
    starts.append(stop_mm)
    spans = [(start, start + long) for start in starts if start >= stop_mm]
    found = [
        (span, _two_blocks(_free(plan, end, ((0.0, span[0]), (span[1], near_mm)))))
        for span in spans
        if span[1] <= near_mm
    ]
    nowhere: tuple[Span, Blocks] = (near_mm - long, near_mm), ()
    return max(found, key=lambda one: _apart(one[1]), default=nowhere)


def _apart(blocks: Blocks) -> float:
    """Twice as far as from the middle of the first block to that of the last."""
    if not blocks:
        return -math.inf
    (first, _), (last, _) = blocks
    return sum(last) - sum(first)


def _free(plan: CutPlan, end: End, within: Sequence[Span]) -> Iterator[tuple[Span, float]]:
    """Plain bar within spans that a block may stand under, from the half's own joint."""
    cut, donor = plan.cut(end), plan.cut(end).donor
    turned = math.inf if cut.turned_from_mm is None else cut.turned_from_mm
    for stretch, from_mm, to_mm in _plain_bar(donor):
        bare = max(from_mm, turned + plan.splice.turn_radius)
        for low, high, diameter in (
            (from_mm, min(to_mm, turned), stretch.diameter),
            (bare, to_mm, min(stretch.diameter, plan.diameter_mm)),
        ):
            for start, stop in within:
                span = max(low, start), min(high, stop)
                if span[1] - span[0] >= NARROWEST_BLOCK_MM - _ROUNDING:
                    yield span, diameter


def _plain_bar(donor: Donor) -> Iterator[tuple[Stretch, float, float]]:
    """Stretches of plain bar, each from where to where: clear of the fillet at a thicker one.

    Up to the seat of a boot that cannot come off, the bar is under boot and joint.
    """
    stretches = donor.stretches
    seats = [] if donor.joint_comes_off else [s.to for s in stretches if s.kind == "boot"]
    covered = max(seats, default=0.0)
    for before, stretch, after in zip(
        (None, *stretches), stretches, (*stretches[1:], None), strict=False
    ):
        if stretch.kind == "bar" and stretch.from_ >= covered:
            shoulders = (
                stretch.radius if one is not None and one.diameter > stretch.diameter else 0.0
                for one in (before, after)
            )
            low, high = shoulders
            yield stretch, stretch.from_ + low, stretch.to - high


def _two_blocks(free: Iterator[tuple[Span, float]]) -> Blocks:
    """Two blocks as far apart as they go; none where there is no room for both."""
    stretches = list(free)
    if not stretches:
        return ()
    (first, thin), (last, thick) = stretches[0], stretches[-1]
    width = min(BLOCK_MM, first[1] - first[0], last[1] - last[0])
    if len(stretches) == 1:
        width = min(BLOCK_MM, 0.5 * (first[1] - first[0]))
    if width < NARROWEST_BLOCK_MM:
        return ()
    return ((first[0], first[0] + width), thin), ((last[1] - width, last[1]), thick)


def _runout_left_mm(
    supports: Sequence[Support], splice_mm: float, overall_mm: float, each_mm: float
) -> float:
    """Worst total indicator reading at the splice when every support is off by as much.

    Each half's axis is a line through its two supports; the welded shaft turns about the
    line through its joint centres, which are at the outer ends of both.
    """
    middles = [one.middle_mm for one in supports]

    def axis(first: int, at_mm: float) -> Array:
        """How high a half's axis lies at a place, for each mm that each support is too high."""
        a, b = middles[first : first + 2]
        row = np.zeros(len(middles))
        row[first : first + 2] = (b - at_mm) / (b - a), (at_mm - a) / (b - a)
        return row

    part = splice_mm / overall_mm
    turns = (1.0 - part) * axis(0, 0.0) + part * axis(2, overall_mm)
    worst = max(float(np.sum(np.abs(axis(half, splice_mm) - turns))) for half in (0, 2))
    return 2.0 * each_mm * worst
