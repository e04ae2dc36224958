"""The gearbox anywhere in the box of its movement: nothing there is worse than what is told."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from kinematics.gaps.clearance import clearance
from kinematics.linkage.motion import solve
from kinematics.parts import (
    Bracket,
    Corner,
    GearboxMovement,
    Hub,
    InnerJoint,
    OuterJoint,
    Section,
    Shaft,
    Steering,
    Strut,
    Travel,
    Wishbones,
)
from kinematics.shaft.following import follow
from kinematics.shaft.fouling import solids
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.whole_motion import examine
from kinematics.vectors import Array, Vec
from scenes.library import example
from tests import strategies
from tests.box_audit import MARGIN, OF_THE_STROKE, SEARCHED, shifts_in, worse_by

ROUNDED = 1e-9
ARMS = Wishbones(
    lower_pivot=(280.0, 172.7, 0.0),
    lower_ball_joint=(620.0, 208.04, 0.0),
    upper_pivot=(340.0, 350.0, 0.0),
    upper_ball_joint=(594.26, 468.11, 0.0),
)
LEVEL_HUB = Hub((636.39, 260.0, 0.0), (686.39, 260.0, 0.0))


@settings(max_examples=25, phases=[Phase.reuse, Phase.generate])
@given(
    strategies.corners(table=None),
    st.lists(strategies.brackets(), max_size=2),
    st.integers(0, 999),
)
def test_no_place_in_the_box_is_worse(corner: Corner, near: list[Bracket], seed: int) -> None:
    table = bool(corner.shaft.inner_joint.stroke_at_angle)
    found = worse_by(corner, near, 1000, seed)
    assume(found)
    for name, worse_by_mm in found.items():
        searched = name.startswith("gap") or (table and name in OF_THE_STROKE)
        # Closed forms miss nothing but rounding.
        assert worse_by_mm <= (SEARCHED if searched else ROUNDED), (name, worse_by_mm)


def test_the_middle_of_an_edge_decides_where_the_housing_is_level_with_the_wheel() -> None:
    corner = example("van-rear").corner("left")
    joint = replace(corner.shaft.inner_joint, axis=(1.0, 0.0, 0.0), stroke_at_angle=())
    up = corner.hub.outer_joint[1]
    level = replace(joint, mid_stroke=(joint.mid_stroke[0], up, corner.hub.outer_joint[2]))
    level_corner = replace(
        corner,
        shaft=replace(corner.shaft, inner_joint=level, length=None),
        gearbox_movement=GearboxMovement(0.0, 5.0, 5.0),
        brackets=(),
    )
    motion = solve(corner.linkage, corner.hub, np.zeros((1, 1)), np.zeros((1, 1)))
    found = examine(level_corner, 0.0, motion)
    assert found.window is not None
    # Level with the wheel the outer joint is nearest to where it bottoms.
    across = found.window.longest_mm - (corner.hub.outer_joint[0] - level.mid_stroke[0])
    assert across == pytest.approx(level.stroke_in, abs=1e-9)
    assert found.window.bottoms_at.shift_mm == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    assert found.stroke_left_in.position.shift_mm == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_a_gap_that_is_smallest_between_the_ends_of_a_movement() -> None:
    # A post behind the bar, as high as the bar passes at half its movement down.
    corner = example("van-rear").corner("left")
    motion = solve(corner.linkage, corner.hub, np.zeros((1, 1)), np.zeros((1, 1)))
    bar = (Section("bar", 60.0, 330.0, (24.0, 24.0)),)
    moving = replace(
        corner,
        shaft=replace(corner.shaft, sections=bar),
        gearbox_movement=GearboxMovement(0.0, 8.0, 0.0),
    )
    joint, hub = corner.shaft.inner_joint.mid_stroke, corner.hub.outer_joint
    # At the post the shaft's own height moves by a share of the gearbox's.
    out = 0.5 * (joint[0] + hub[0])
    up = 0.5 * (joint[1] + hub[1]) - 2.0
    post = Bracket("post", ((out, up), (out + 1e-2, up), (out, up + 1e-2)), fore=(-80.0, -40.0))
    (gap,) = examine(replace(moving, brackets=(post,)), MARGIN, motion).gaps
    assert -8.0 < gap.worst.position.shift_mm[1] < 8.0
    shifts = np.zeros((4001, 3))
    shifts[:, 1] = np.linspace(-8.0, 8.0, 4001)
    shaft = follow(moving, motion, shift_mm=shifts)
    parts = solids(moving, motion, shaft)
    everywhere = clearance(parts.bodies, (post,), parts.carriers).gap_mm
    assert gap.worst.value <= everywhere.min() + SEARCHED
    assert min(everywhere[..., 0].min(), everywhere[..., -1].min()) > gap.worst.value + 0.02


def test_an_outer_joint_whose_axis_points_away_from_the_housing_is_worst_along_an_edge() -> None:
    # Hub and housing axis more than 90 degrees apart: no corner of the box is the worst place.
    corner = example("van-front").corner("left")
    out, up, fore = corner.hub.outer_joint
    joint = replace(
        corner.shaft.inner_joint,
        mid_stroke=(out - 267.0, up - 40.0, fore - 243.0),
        axis=(1.0, -0.5, -3.5),
        stroke_at_angle=(),
    )
    corner = replace(
        corner,
        shaft=replace(corner.shaft, inner_joint=joint, length=334.0),
        gearbox_movement=GearboxMovement(4.0, 28.0, 1.0),
        brackets=(),
    )
    motion = solve(corner.linkage, corner.hub, np.zeros((1, 1)), np.array([[-40.0]]))
    box = GearboxBox.of(corner.gearbox_movement)
    found = examine(corner, MARGIN, motion).outer_angle
    followed = partial(follow, corner, motion)
    assert found.value > followed(shift_mm=box.corners).outer_angle_deg.max() + 0.3
    everywhere = followed(shift_mm=box.places(tuple(np.linspace(-1.0, 1.0, 33))))
    assert found.value == pytest.approx(everywhere.outer_angle_deg.max(), abs=SEARCHED)
    there = followed(shift_mm=found.position.shift_mm)
    assert found.value == pytest.approx(there.outer_angle_deg.item(), abs=ROUNDED)


def test_a_gap_with_a_crease_across_the_box() -> None:
    # Steps along the box's axes alone stand still 0.002 mm above the least.
    corner = Corner(
        linkage=Strut(
            arm_pivot=(314.96, 187.21, -14.87),
            ball_joint=(718.06, 152.49, -8.75),
            strut_top=(601.97, 745.34, -35.34),
            strut_lower=(611.51, 316.66, -10.08),
        ),
        hub=Hub((635.96, 295.19, -2.66), (723.03, 291.43, 1.22)),
        travel=Travel(50.72, 73.57),
        shaft=Shaft(
            InnerJoint(
                mid_stroke=(298.09, 305.51, -17.41),
                stroke_in=25.29,
                stroke_out=20.41,
                max_angle=25.74,
                axis=(1.0, -0.08, -0.04),
                sections=(Section("housing", -50.0, 10.0, (80.0, 80.0)),),
            ),
            OuterJoint(44.83),
            sections=(Section("cup", 300.0, 360.0, (60.0, 80.0)),),
        ),
        steering=Steering(37.7, 20.99),
        gearbox_movement=GearboxMovement(7.8, 7.71, 2.19),
        brackets=(
            Bracket(
                "stay",
                ((362.79, 398.24), (306.56, 374.24), (373.8, 376.63)),
                "gearbox",
                (-33.94, 7.55),
            ),
        ),
    )
    motion = solve(corner.linkage, corner.hub, np.array([[-73.57]]), np.array([[37.7]]))
    shaft = follow(corner, motion, shift_mm=shifts_in(corner, 4000, 1))
    parts = solids(corner, motion, shaft)
    (nearest,) = clearance(
        parts.bodies, corner.brackets, parts.carriers, each_position=False
    ).approaches
    (gap,) = examine(corner, MARGIN, motion).gaps
    assert gap.worst.value <= nearest.gap_mm + 0.5 * SEARCHED


def test_a_gap_that_is_least_on_one_lock_with_the_gearbox_aside_and_on_the_other_without() -> None:
    # At the box's ends and middle the outside lock is nearer, by 0.002 mm.
    corner = Corner(
        linkage=ARMS,
        hub=LEVEL_HUB,
        travel=Travel(30.0, 72.86),
        shaft=Shaft(
            InnerJoint((241.69, 323.4, 0.0), 15.0, 15.0, 20.0, (1.0, 0.02, 0.0)), OuterJoint(42.0)
        ),
        steering=Steering(25.95, 20.0),
        gearbox_movement=GearboxMovement(out=1.12),
    )
    outline = ((365.5, 229.32), (370.5, 229.32), (370.5, 234.32), (365.5, 234.32))
    assert max(worse_by(corner, [Bracket("stay", outline, "gearbox")], 400, 0).values()) < SEARCHED


def test_a_length_that_is_least_along_a_crease() -> None:
    # The crease, where the stroke begins to shrink faster, runs across a box that is all but flat.
    corner = Corner(
        linkage=Strut(
            arm_pivot=(290.0, 187.64, 19.99),
            ball_joint=(674.68, 176.69, 2.58),
            strut_top=(575.47, 753.38, -31.09),
            strut_lower=(655.36, 302.83, -9.07),
        ),
        hub=Hub((620.0, 276.62, -0.82), (670.0, 276.62, -3.05)),
        travel=Travel(42.45, 30.0),
        shaft=Shaft(
            InnerJoint(
                mid_stroke=(299.99, 307.78, 0.02),
                stroke_in=17.36,
                stroke_out=22.45,
                max_angle=24.95,
                axis=(1.0, 0.13, 0.14),
                stroke_at_angle=((0.0, 17.36, 22.45), (13.89, 13.888, 19.08), (20.01, 5.21, 8.98)),
            ),
            OuterJoint(44.66),
        ),
        steering=Steering(22.51, 32.83),
        gearbox_movement=GearboxMovement(up=4.55, fore=0.02),
    )
    assert max(worse_by(corner, [], 4000, 231).values()) < SEARCHED


@pytest.mark.parametrize("goes_with_the_gearbox", ["nothing", "a bracket", "the housing"])
def test_sliding_along_the_housing_axis_counts_only_for_what_slides(
    goes_with_the_gearbox: str,
) -> None:
    corner = example("van-front").corner("left")
    joint = replace(corner.shaft.inner_joint, axis=(2.0, 0.0, 0.0))
    brackets = corner.brackets
    if goes_with_the_gearbox == "a bracket":
        brackets = tuple(replace(one, mounted_on="gearbox") for one in brackets)
    if goes_with_the_gearbox == "the housing":
        joint = replace(joint, sections=(Section("housing", 0.0, 60.0, (90.0, 90.0)),))
    corner = replace(
        corner, brackets=brackets, shaft=replace(corner.shaft, inner_joint=joint, length=391.0)
    )
    motion = solve(corner.linkage, corner.hub, np.array([-80.0, 0.0, 70.0])[:, None], [[-29.0, 35]])
    found = examine(corner, MARGIN, motion)
    shifts = shifts_in(corner, 1000, 1)
    shaft = follow(corner, motion, shift_mm=shifts)
    parts = solids(corner, motion, shaft)
    everywhere = clearance(parts.bodies, corner.brackets, parts.carriers, each_position=False)
    for gap, one in zip(found.gaps, everywhere.approaches, strict=True):
        assert gap.worst.value <= one.gap_mm + SEARCHED
    assert found.inner_angle.value >= shaft.inner_angle_deg.max() - ROUNDED
    assert found.outer_angle.value >= shaft.outer_angle_deg.max() - ROUNDED
    # Where sliding moves nothing, none is told.
    told = [found.inner_angle, found.outer_angle]
    if goes_with_the_gearbox == "nothing":
        told += [gap.worst for gap in found.gaps]
    assert [one.position.shift_mm[0] for one in told] == [0.0] * len(told)


def test_a_housing_that_leans_past_the_outer_joint_is_farthest_the_other_way() -> None:
    # The joint pulled out lies 0.8 mm above the outer joint, its mid-stroke 1 mm below.
    corner = Corner(
        linkage=ARMS,
        hub=LEVEL_HUB,
        travel=Travel(0.1, 0.1),
        shaft=Shaft(
            InnerJoint((241.69, 259.0, 0.0), 15.0, 15.0, 20.0, (1.0, 0.15, 0.0)), OuterJoint(42.0)
        ),
        steering=Steering(0.5, 0.5),
        gearbox_movement=GearboxMovement(up=5.0),
    )
    assert max(worse_by(corner, [], 400, 0).values()) < ROUNDED


def test_the_farthest_and_the_nearest_place_of_the_box() -> None:
    def left(span: Array, shift: Vec) -> float:
        return math.dist(span, (float(shift.out), float(shift.up), float(shift.fore)))

    box = GearboxBox.of(GearboxMovement(3.0, 4.0, 5.0))
    rng = np.random.default_rng(3)
    for span in rng.uniform(-6.0, 6.0, (40, 3)) * rng.choice((0.01, 1.0), (40, 3)):
        far, near = box.away_from(Vec.of(span)), box.towards(Vec.of(span))
        assert left(span, far) == pytest.approx(np.linalg.norm(span - box.corners, axis=1).max())
        beyond = np.maximum(np.abs(span) - (3.0, 4.0, 5.0), 0.0)
        assert left(span, near) == pytest.approx(np.linalg.norm(beyond))
