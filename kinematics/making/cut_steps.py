"""The order of work for a cut plan: what is done to which end, with its numbers.

The end that cannot be cut twice is cut once, to its finished length, and only then
measured: whatever it came to, the other end, left long by its trim, makes up for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import End, other_end

Work = Literal[
    "ask first",
    "weld a test piece",
    "measure the sleeve",
    "check the donor",
    "take the joint off",
    "keep the joint cool",
    "mark and cut",
    "turn down",
    "bore",
    "measure",
    "trim",
    "turn the spigot",
    "bevel",
    "slide the boot on",
    "slide the sleeve on",
    "set the gap",
    "tack",
    "check runout",
    "check length",
    "weld the butt",
    "dress the weld flush",
    "set the sleeve",
    "weld the seams",
    "weld the sleeve",
    "fit joint and boot",
    "fasten the boot",
]


@dataclass(frozen=True, slots=True)
class MakingStep:
    """One thing to do.

    ``from_joint_mm`` tells where, along the donor of ``end`` (for the sleeve: from the outer
    joint's centre); ``length_mm`` how long or how deep;
    ``diameter_mm`` and ``angle_deg`` to what.  ``once``: there is no second try.
    """

    action: Work
    end: End | None = None
    from_joint_mm: float | None = None
    length_mm: float | None = None
    diameter_mm: float | None = None
    angle_deg: float | None = None
    once: bool = False


def cut_steps(plan: CutPlan) -> tuple[MakingStep, ...]:
    """All steps in the order in which they are done."""
    first, second = plan.first, other_end(plan.first)
    return (
        *_before_cutting(plan),
        *(MakingStep("check the donor", end) for end in (first, second)),
        *_joints(plan, "take the joint off", "keep the joint cool"),
        *_cut_and_turn(plan, first),
        *_prepare(plan, first),
        MakingStep("measure", first, plan.cut(first).cut_mm),
        *_cut_and_turn(plan, second),
        *_trimmed(plan, second),
        *_prepare(plan, second),
        *_joining(plan),
        *_joints(plan, "fit joint and boot", "fasten the boot"),
    )


def _before_cutting(plan: CutPlan) -> Iterator[MakingStep]:
    """What the marks hang on: once a donor is cut it is too late to find out."""
    yield MakingStep("ask first")
    splice = plan.splice
    if splice.butt is not None:
        yield MakingStep("weld a test piece", length_mm=splice.shrinkage)
    if splice.sleeve is not None:
        yield MakingStep("measure the sleeve", diameter_mm=splice.sleeve.bore)


def _joints(plan: CutPlan, off: Work, on: Work) -> Iterator[MakingStep]:
    """What is done to each end's joint where it comes off, and where it stays on."""
    for end in (plan.first, other_end(plan.first)):
        yield MakingStep(off if plan.cut(end).donor.joint_comes_off else on, end)


def _cut_and_turn(plan: CutPlan, end: End) -> Iterator[MakingStep]:
    cut = plan.cut(end)
    yield MakingStep("mark and cut", end, cut.first_cut_mm, once=not cut.donor.cut_twice)
    if cut.turned_from_mm is not None:
        long, size = cut.first_cut_mm - cut.turned_from_mm, plan.diameter_mm
        yield MakingStep("turn down", end, cut.turned_from_mm, length_mm=long, diameter_mm=size)


def _trimmed(plan: CutPlan, end: End) -> Iterator[MakingStep]:
    cut = plan.cut(end)
    if cut.trim_mm > 0.0:
        yield MakingStep("trim", end, cut.cut_mm, length_mm=cut.trim_mm)


def _prepare(plan: CutPlan, end: End) -> Iterator[MakingStep]:
    """Spigot or bore, then the bevel that is measured from the finished face."""
    butt, face = plan.splice.butt, plan.cut(end).face_mm
    if butt is None:
        return
    if butt.spigot_length > 0.0:
        if butt.spigot_on == end:
            long, size = butt.spigot_length, butt.bore - butt.spigot_clearance
            yield MakingStep("turn the spigot", end, face, length_mm=long, diameter_mm=size)
        else:
            deep, size = plan.bore_depth_mm, butt.bore
            yield MakingStep("bore", end, face, length_mm=deep, diameter_mm=size)
    deep = plan.splice.depth_mm(plan.diameter_mm)
    yield MakingStep("bevel", end, face, length_mm=deep, angle_deg=butt.bevel_angle)


def _joining(plan: CutPlan) -> Iterator[MakingStep]:
    splice, span = plan.splice, plan.splice.sleeve_span_mm
    sleeve = splice.sleeve
    tacked = (
        MakingStep("tack"),
        MakingStep("check length", length_mm=plan.length_mm + splice.shrinkage),
        MakingStep("check runout"),
    )
    for end in (plan.first, other_end(plan.first)):
        # Past a joint that stays, and past a welded splice, no boot goes.
        if not plan.cut(end).donor.joint_comes_off:
            yield MakingStep("slide the boot on", end)
    if sleeve is not None and not sleeve.split:
        yield MakingStep("slide the sleeve on", length_mm=sleeve.length, diameter_mm=sleeve.bore)
    if splice.root_gap > 0.0:
        yield MakingStep("set the gap", length_mm=splice.root_gap)
    if splice.butt is not None:
        yield from tacked
        yield MakingStep("weld the butt")
        yield MakingStep("check runout")
        if sleeve is not None:
            yield MakingStep("dress the weld flush", diameter_mm=plan.diameter_mm)
    if sleeve is not None and span is not None:
        yield MakingStep("set the sleeve", from_joint_mm=span[0], length_mm=sleeve.length)
        if splice.butt is None:
            yield from tacked
        if sleeve.split:
            yield MakingStep("weld the seams", length_mm=sleeve.length)
        yield MakingStep("weld the sleeve", length_mm=sleeve.leg_mm)
        yield MakingStep("check runout")
    yield MakingStep("check length", length_mm=plan.length_mm)
