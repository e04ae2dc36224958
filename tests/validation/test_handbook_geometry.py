"""Distances and shadows that any handbook of solid geometry gives in closed form.

Source: elementary analytic geometry (point to line, line to line, right circular
cone), e.g. Bronshtein & Semendyayev, *Handbook of Mathematics*, chapter on
analytical geometry in space; formulas from memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from kinematics.gaps.clearance import ClosestApproach, clearance
from kinematics.gaps.envelope import envelope
from kinematics.gaps.solids import TurnedBody
from kinematics.parts import Bracket, Section


def along_out(*sections: Section) -> TurnedBody:
    return TurnedBody(np.zeros(3), np.array([1.0, 0, 0]), sections)


def rectangle(
    x0: float, y0: float, x1: float, y1: float, *, fore: tuple[float, float] | None = None
) -> Bracket:
    return Bracket("plate", ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), fore=fore)


def one_gap(body: TurnedBody, bracket: Bracket) -> tuple[float, ClosestApproach]:
    found = clearance([body], [bracket])
    return float(found.gap_mm), found.approaches[0]


def test_parallel_face_above_a_bar() -> None:
    gap, _ = one_gap(along_out(Section("bar", 0, 200, (24, 24))), rectangle(50, 40, 90, 60))
    assert gap == pytest.approx(40 - 12, abs=1e-12)


def test_skew_lines() -> None:
    # Bar along out, bracket's edge along fore, 30 apart: shortest between skew lines.
    gap, where = one_gap(
        along_out(Section("bar", -200, 200, (20, 20))),
        Bracket("wedge", ((0, 30), (10, 60), (-10, 60)), fore=(-100, 100)),
    )
    assert gap == pytest.approx(30 - 10, abs=1e-12)
    assert where.feature == "corner"
    assert where.corner == 0


def test_face_before_the_end_of_a_bar() -> None:
    gap, _ = one_gap(along_out(Section("bar", 0, 100, (20, 20))), rectangle(115, -50, 125, 50))
    assert gap == pytest.approx(15, abs=1e-12)


def test_rim_of_a_bar_against_a_corner() -> None:
    # The rim is 10 above the axis; the corner 12 further on and 5 higher: 13.
    gap, where = one_gap(along_out(Section("bar", 0, 100, (20, 20))), rectangle(112, 15, 140, 40))
    assert gap == pytest.approx(13, abs=1e-12)
    assert where.point_mm[:2] == pytest.approx((112, 15))


def test_tilted_bar_meets_a_face_with_its_rim() -> None:
    # Axis 30 deg below the horizontal: the rim's lowest point is r cos 30 below its centre.
    a = math.radians(30)
    body = TurnedBody(
        np.array([0.0, 100, 0]),
        np.array([math.cos(a), -math.sin(a), 0]),
        (Section("bar", 0, 100, (30, 30)),),
    )
    gap, where = one_gap(body, rectangle(-50, -20, 200, 0))
    assert gap == pytest.approx(100 - 100 * math.sin(a) - 15 * math.cos(a), abs=1e-12)
    assert where.feature == "edge"


def test_bar_tilted_in_depth_before_a_front_face() -> None:
    # Seen from above it leaves the plate at 20 deg; its near end's rim is nearest.
    a = math.radians(20)
    body = TurnedBody(
        np.array([0.0, 0, 50]),
        np.array([math.cos(a), 0, math.sin(a)]),
        (Section("bar", 0, 150, (24, 24)),),
    )
    gap, where = one_gap(body, rectangle(-60, -60, 60, 60, fore=(-10, 10)))
    assert gap == pytest.approx(50 - 12 * math.cos(a) - 10, abs=1e-12)
    assert where.feature == "front face"


def test_flank_of_a_cone_against_a_corner() -> None:
    # Radius 10 to 40 over 40: the flank makes an angle with tan = 3/4, so cos = 4/5.
    # Beside the flank's middle (20, 25) by 20 along its normal (-3/5, 4/5): (8, 41).
    gap, where = one_gap(
        along_out(Section("boot", 0, 40, (20, 80))),
        Bracket("wedge", ((8, 41), (0, 70), (-30, 60))),
    )
    assert gap == pytest.approx(20, abs=1e-12)
    assert where.corner == 0


def test_overlap_is_the_depth_along_the_radius() -> None:
    gap, _ = one_gap(along_out(Section("bar", 0, 200, (30, 30))), rectangle(50, 11, 90, 60))
    assert gap == pytest.approx(11 - 15, abs=1e-12)


def test_axis_through_a_plate_overlaps_by_the_radius() -> None:
    gap, where = one_gap(along_out(Section("bar", 0, 200, (30, 30))), rectangle(50, -60, 54, 60))
    assert gap == pytest.approx(-15, abs=1e-12)
    assert where.feature == "edge"


def test_taper_through_a_plate_overlaps_by_the_radius_there() -> None:
    # Radius 10 at 0 and 30 at 100; the plate's far side is at 54: 10 + 0.54 * 20.
    gap, _ = one_gap(along_out(Section("boot", 0, 100, (20, 60))), rectangle(50, -60, 54, 60))
    assert gap == pytest.approx(-20.8, abs=1e-12)


def test_shaft_wholly_inside_a_block() -> None:
    gap, where = one_gap(
        along_out(Section("bar", 0, 50, (10, 20))),
        rectangle(-100, -100, 100, 100, fore=(-100, 100)),
    )
    assert gap == pytest.approx(-10, abs=1e-12)
    assert where.feature == "inside"


def test_small_block_wholly_inside_a_shaft() -> None:
    gap, _ = one_gap(
        along_out(Section("drum", 0, 100, (100, 100))),
        rectangle(40, 20, 50, 30, fore=(-2, 2)),
    )
    assert gap == pytest.approx(20 - 50, abs=1e-12)


LENGTH, RADIUS, SWING = 400.0, 14.0, math.radians(24)


def swung(diameter: float, steps: int) -> TurnedBody:
    angle = np.linspace(0, SWING, steps)
    axis = np.stack([np.cos(angle), np.sin(angle), 0 * angle], axis=1)
    return TurnedBody(np.zeros(3), axis, (Section("bar", 0, LENGTH, (diameter, diameter)),))


def test_round_ended_bar_swung_about_one_end() -> None:
    # Half L² phi + (2 L + L phi) r + pi r²: the sector a thin line sweeps, grown by r.
    exact = 47671.796
    printed = 0.5 * LENGTH**2 * SWING + (2 * LENGTH + LENGTH * SWING) * RADIUS + math.pi * RADIUS**2
    assert printed == pytest.approx(exact, abs=1e-3)
    thin = envelope([swung(1e-6, 50)], grown_mm=RADIUS)
    assert thin.outline.area == pytest.approx(exact, rel=1e-3)
    assert thin.outline.area > exact - thin.outline.length * thin.true_within_mm


def test_flat_ended_bar_swung_about_one_end() -> None:
    # Two halves of the bar and the sector of its far corner, radius sqrt(L² + r²).
    exact = LENGTH * RADIUS + 0.5 * (LENGTH**2 + RADIUS**2) * (
        SWING + 2 * math.atan(RADIUS / LENGTH)
    )
    shadow = envelope([swung(2 * RADIUS, 200)])
    assert shadow.outline.area == pytest.approx(exact, rel=1e-4)
