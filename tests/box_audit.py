"""The gearbox anywhere in the box of its movement: how much worse is any place than is told?

``python -m tests.box_audit --corners 200 --seed 1`` looks at 4,000 random places in each box,
at the ends and the middle of travel and steer; the tests look at fewer.
"""

from __future__ import annotations

import argparse
from dataclasses import replace

import numpy as np
from hypothesis import HealthCheck, Phase, assume, given, seed, settings
from hypothesis import strategies as st

from kinematics.gaps.clearance import clearance
from kinematics.linkage.motion import solve
from kinematics.parts import Bracket, Corner, Section
from kinematics.shaft.following import follow, reaching
from kinematics.shaft.fouling import solids
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.length_window import window_ends_mm
from kinematics.shaft.whole_motion import examine
from kinematics.vectors import Array
from tests import strategies

MARGIN = 3.0
# What a search may miss, mm and degrees.
SEARCHED = 1e-3
# Those are searched where the stroke shrinks with the angle, and closed forms where not.
OF_THE_STROKE = ("stroke left in", "stroke left out", "shortest length", "longest length")
OUTLINE = (
    Section("boot", 30.0, 100.0, (80.0, 40.0)),
    Section("bar", 100.0, 280.0, (24.0, 30.0)),
    Section("cup", 280.0, 330.0, (60.0, 84.0)),
)


def shifts_in(corner: Corner, count: int, seed: int) -> Array:
    """Random places all through the box, some on its faces, edges and corners."""
    rng = np.random.default_rng(seed)
    share = rng.uniform(-1.0, 1.0, (count, 3))
    share = np.where(rng.random((count, 3)) < 0.15, np.sign(share), share)
    return share * GearboxBox.of(corner.gearbox_movement).half_mm


def worse_by(corner: Corner, near: list[Bracket], count: int, seed: int) -> dict[str, float]:
    """How much worse than what is told the worst of some places is, mm and degrees; below 0: not.

    Empty of a corner that does not reach everywhere.
    """
    corner = replace(
        corner, brackets=tuple(near), shaft=replace(corner.shaft, length=None, sections=OUTLINE)
    )
    assert corner.steering is not None
    motion = solve(
        corner.linkage,
        corner.hub,
        np.array([-corner.travel.droop, 0.0, corner.travel.bump])[:, None],
        np.array([-corner.steering.outside_lock, 0.0, corner.steering.inside_lock])[None, :],
    )
    if not motion.in_reach.all():
        return {}
    shifts = shifts_in(corner, count, seed)
    shaft = follow(corner, motion, shift_mm=shifts)
    if not shaft.reaches.all():
        return {}
    told = examine(corner, MARGIN, motion)
    joint = corner.shaft.inner_joint
    seen = reaching(joint, motion.outer_joint_parts[..., None], shifts)
    shortest, longest = window_ends_mm(joint, seen, MARGIN)
    assert told.window is not None
    found = {
        "stroke left in": told.stroke_left_in.value - shaft.stroke_left_in_mm.min(),
        "stroke left out": told.stroke_left_out.value - shaft.stroke_left_out_mm.min(),
        "shortest length": shortest.max() - told.window.shortest_mm,
        "longest length": told.window.longest_mm - longest.min(),
        "inner angle": shaft.inner_angle_deg.max() - told.inner_angle.value,
        "outer angle": shaft.outer_angle_deg.max() - told.outer_angle.value,
        "off centre": np.abs(shaft.plunge_mm).max() - abs(told.off_centre_mm),
    }
    parts = solids(corner, motion, shaft)
    everywhere = clearance(parts.bodies, corner.brackets, parts.carriers, each_position=False)
    for number, (gap, one) in enumerate(zip(told.gaps, everywhere.approaches, strict=True)):
        found[f"gap {number + 1}"] = gap.worst.value - one.gap_mm
    return {name: float(value) for name, value in found.items()}


def main() -> None:
    """Look at random corners; tell the worst of each kind, and fail where one is missed."""
    parser = argparse.ArgumentParser(prog="python -m tests.box_audit", description=main.__doc__)
    parser.add_argument("--corners", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    worst: dict[str, float] = {}
    corners = 0

    @seed(arguments.seed)
    @settings(
        max_examples=arguments.corners,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(
        strategies.corners(table=None),
        st.lists(strategies.brackets(), max_size=2),
        st.integers(0, 999),
    )
    def look(corner: Corner, near: list[Bracket], places_seed: int) -> None:
        nonlocal corners
        found = worse_by(corner, near, 4000, places_seed)
        assume(found)
        corners += 1
        for name, value in found.items():
            worst[name] = max(worst.get(name, value), value)
            if not value <= SEARCHED:
                print(f"{name} is worse by {value:.6f}: {corner}, {near}, {places_seed}")

    look()
    for name, value in worst.items():
        print(f"{name:16} {value:+.2e}")
    if not all(value <= SEARCHED for value in worst.values()):
        raise SystemExit(1)
    print(f"{corners} corners: nothing in a box is worse by more than {SEARCHED} mm or deg")


if __name__ == "__main__":
    main()
