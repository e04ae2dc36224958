"""Whether the finished shaft carries its torque, on page 2 beside the order of work."""

from __future__ import annotations

import math

from kinematics.strength import Strength, Stressed
from sketcher.shopsheet.amounts import both
from sketcher.shopsheet.blocks import Blocks, Heading, Words
from sketcher.shopsheet.subject import Subject

_HEADING = Heading("Strength")


def strength_blocks(subject: Subject) -> Blocks:
    """The weakest place against the governing torque, and what none of this covers."""
    works = subject.workings
    if works.plan is None:
        return ()
    if works.torque is None or works.strength is None or works.whirl is None:
        missing = "the scene has no drive" if works.torque is None else "the cut plan is refused"
        return (_HEADING, Words(f"Strength was not looked at: {missing}.", "missing"))
    torque, strong, turning = works.torque, works.strength, works.whirl
    by = "tyre grip" if torque.governed_by == "grip" else "the engine, with its shock factor"
    speed = "enough" if turning.holds else "too near: the shaft may whip"
    lines = [
        Words(
            f"Torque {torque.governing_nm:.0f} N·m, governed by {by}. Weakest: "
            f"{_named(strong.weakest)}. Wanted is {strong.wanted_factor:g} or more: "
            f"{'holds' if strong.holds else 'does not hold'}. "
            f"Twist {strong.twist_deg:.1f}°. First whirl at {turning.first_whirl_rpm:.0f} rpm "
            f"against {turning.top_speed_rpm:.0f} rpm at top speed: {speed}."
        ),
    ]
    if strong.yields_at:
        where = ", ".join(one.name for one in strong.yields_at)
        lines.append(Words(f"Cracks may begin, for the peak stress passes yield: {where}."))
    return (_HEADING, *lines, Words(_not_covered(strong), "small"))


def _named(one: Stressed) -> str:
    # Rounded down: no factor is shown better than it is.
    factor = math.floor(one.factor_of_safety * 100.0 + 1e-9) / 100.0
    return f"{one.name} at {both(one.from_mm)}, factor of safety {factor:.2f}"


def _not_covered(strong: Strength) -> str:
    return f"Not covered: {'; '.join(strong.not_covered)}."
