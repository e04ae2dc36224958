"""Every figure of the table, by the definitions written out and by the solver, row by row."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinematics.linkage.motion import solve
from kinematics.parts import Bracket, Corner, Hub, Strut, Travel, Wishbones
from kinematics.shaft.following import follow
from kinematics.shaft.fouling import corner_clearance
from scenes.library import example
from scenes.model import Side
from sketcher.commands import table
from tests.strategies import corners

Plane = np.ndarray[tuple[int], np.dtype[np.float64]]
Row = dict[str, str]
# What is left after rounding to the last of six digits.
WRITTEN = 0.51e-6


def rows_of(text: str) -> list[Row]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def column(rows: Sequence[Row], name: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([float(row[name]) for row in rows])


def plane(points: dict[str, tuple[float, float]]) -> dict[str, tuple[float, float, float]]:
    return {name: (out, up, 0.0) for name, (out, up) in points.items()}


def cross(a: Plane, b: Plane) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def table_of(corner: Corner, steer: Sequence[float] = (0.0,), step: float = 10.0) -> list[Row]:
    return rows_of(table.table_csv(corner, step_mm=step, steer_deg=steer)[0])


@settings(max_examples=25)
@given(corners(), st.floats(-1, 1), st.floats(6, 40))
def test_every_row_is_what_the_kinematics_say(corner: Corner, turn: float, step: float) -> None:
    """The same positions asked for one at a time give the same figures."""
    steering = corner.steering
    assert steering is not None
    corner = replace(corner, shaft=replace(corner.shaft, length=None))
    lock = steering.inside_lock if turn > 0 else steering.outside_lock
    rows = table_of(corner, (0.0, turn * lock), step)
    for row in rows[:: max(1, len(rows) // 4)]:
        # Travel and steer are written to six digits, and so much do the others move with them.
        motion = solve(corner.linkage, corner.hub, float(row["travel_mm"]), float(row["steer_deg"]))
        shaft = follow(corner, motion)
        expected = {
            "arm_angle_deg": motion.arm_angle_deg,
            "strut_length_mm": motion.strut_length_mm,
            "upper_arm_angle_deg": motion.upper_arm_angle_deg,
            "camber_deg": motion.camber_deg,
            "wheel_out_mm": motion.wheel_centre[0],
            "wheel_up_mm": motion.wheel_centre[1],
            "outer_joint_out_mm": motion.outer_joint[0],
            "outer_joint_up_mm": motion.outer_joint[1],
            "outer_joint_fore_mm": motion.outer_joint[2],
            "swept_length_mm": shaft.swept_length_mm,
            "length_change_mm": shaft.length_change_mm,
            "plunge_mm": shaft.plunge_mm,
            "stroke_left_in_mm": shaft.stroke_left_in_mm,
            "stroke_left_out_mm": shaft.stroke_left_out_mm,
            "inner_angle_deg": shaft.inner_angle_deg,
            "outer_angle_deg": shaft.outer_angle_deg,
        }
        for name, value in expected.items():
            if value is not None:
                assert float(row[name]) == pytest.approx(float(value), abs=5e-6), name


def test_gaps_are_those_of_the_clearance() -> None:
    corner = example("van-front-mount-fouls").corner("left")
    travel = np.array([-80.0, 0.0, 70.0])
    motion = solve(corner.linkage, corner.hub, travel, 35.0)
    gaps = corner_clearance(corner, motion, follow(corner, motion))
    rows = table_of(corner, (35.0,), step=1000.0)
    assert column(rows, "clearance_mm") == pytest.approx(gaps.gap_mm, abs=WRITTEN)
    names = [corner.brackets[index].name for index in gaps.nearest]
    assert [row["nearest_bracket"] for row in rows] == names


def test_the_plane_strut_by_hand() -> None:
    """A strut without depth, against the definitions written out in the plane."""
    p = {
        "arm_pivot": (350.0, 210.0),
        "ball_joint": (690.0, 195.0),
        "strut_top": (600.0, 780.0),
        "strut_lower": (662.0, 340.0),
    }
    hub = Hub((676.0, 301.0, 0.0), (748.0, 299.0, 0.0))
    corner = replace(
        example("van-front").corner("left"), linkage=Strut(**plane(p)), hub=hub, brackets=()
    )
    rows = table_of(corner)
    pivot, ball, top, lower = (np.array(p[name]) for name in p)
    arm = math.dist(ball, pivot)
    along = (lower - top) / math.dist(lower, top)
    offset = cross(along, ball - top)
    past_lower = float((ball - lower) @ along)
    outer_ride, wheel_ride = np.array(hub.outer_joint[:2]), np.array(hub.wheel_centre[:2])
    for row in rows:
        value = {key: float(text) for key, text in row.items() if text and "bracket" not in key}
        angle = math.radians(value["arm_angle_deg"])
        moved = pivot + arm * np.array([math.cos(angle), math.sin(angle)])
        # The ball joint keeps its offset from the sliding axis, and its place along it.
        down = moved - top
        reach = math.sqrt(down @ down - offset**2)
        assert value["strut_length_mm"] == pytest.approx(reach - past_lower, abs=2e-5)
        # The knuckle turns as its sliding axis does.
        turn = (
            math.atan2(down[1], down[0])
            - math.atan2(offset, reach)
            - math.atan2(along[1], along[0])
        )
        c, s = math.cos(turn), math.sin(turn)
        turned = np.array([[c, -s], [s, c]])
        wheel = moved + turned @ (wheel_ride - ball)
        outer = moved + turned @ (outer_ride - ball)
        assert [value["wheel_out_mm"], value["wheel_up_mm"]] == pytest.approx(wheel, abs=2e-5)
        assert wheel[1] - wheel_ride[1] == pytest.approx(value["travel_mm"], abs=2e-5)
        assert [value["outer_joint_out_mm"], value["outer_joint_up_mm"]] == pytest.approx(
            outer, abs=2e-5
        )
        assert value["outer_joint_fore_mm"] == 0.0
        hub_axis = (wheel - outer) / math.dist(wheel, outer)
        assert value["camber_deg"] == pytest.approx(-math.degrees(math.asin(hub_axis[1])), abs=1e-5)
    assert column(rows, "travel_mm")[8] == 0.0
    assert float(rows[8]["arm_angle_deg"]) == pytest.approx(
        math.degrees(math.atan2(-15, 340)), abs=WRITTEN
    )


def test_the_plane_four_bar_by_hand() -> None:
    """Wishbones without depth: rigid distances kept, arms and camber as their points say."""
    p = {
        "lower_pivot": (330.0, 190.0),
        "lower_ball_joint": (680.0, 175.0),
        "upper_pivot": (400.0, 410.0),
        "upper_ball_joint": (640.0, 430.0),
    }
    hub = Hub((650.0, 300.0, 0.0), (720.0, 298.0, 0.0))
    corner = replace(
        example("van-rear").corner("left"), linkage=Wishbones(**plane(p)), hub=hub, brackets=()
    )
    points = {name: np.array(value) for name, value in p.items()}
    lower_arm = math.dist(points["lower_pivot"], points["lower_ball_joint"])
    upper_arm = math.dist(points["upper_pivot"], points["upper_ball_joint"])
    for row in table_of(corner):
        lower, upper = (
            math.radians(float(row[name])) for name in ("arm_angle_deg", "upper_arm_angle_deg")
        )
        low = points["lower_pivot"] + lower_arm * np.array([math.cos(lower), math.sin(lower)])
        high = points["upper_pivot"] + upper_arm * np.array([math.cos(upper), math.sin(upper)])
        wheel = np.array([float(row["wheel_out_mm"]), float(row["wheel_up_mm"])])
        outer = np.array([float(row["outer_joint_out_mm"]), float(row["outer_joint_up_mm"])])
        drawn = {
            (low.tobytes(), high.tobytes()): math.dist(
                points["lower_ball_joint"], points["upper_ball_joint"]
            ),
            (low.tobytes(), wheel.tobytes()): math.dist(
                points["lower_ball_joint"], hub.wheel_centre[:2]
            ),
            (high.tobytes(), wheel.tobytes()): math.dist(
                points["upper_ball_joint"], hub.wheel_centre[:2]
            ),
            (high.tobytes(), outer.tobytes()): math.dist(
                points["upper_ball_joint"], hub.outer_joint[:2]
            ),
            (outer.tobytes(), wheel.tobytes()): math.dist(hub.outer_joint, hub.wheel_centre),
        }
        for (a, b), distance in drawn.items():
            assert math.dist(np.frombuffer(a), np.frombuffer(b)) == pytest.approx(
                distance, abs=2e-5
            )
        rise = float(row["wheel_up_mm"]) - hub.wheel_centre[1]
        assert rise == pytest.approx(float(row["travel_mm"]), abs=2e-6)


@pytest.mark.parametrize("side", ["left", "right"])
def test_shaft_columns_by_the_contracts_formulas(side: Side) -> None:
    scene = example("van-front")
    shaft = scene.corner(side).shaft
    joint = shaft.inner_joint
    rows = table_of(scene.corner(side), (-29.0, 0.0, 35.0))
    ride = math.dist(scene.hub.outer_joint, joint.mid_stroke)
    length = shaft.length or ride
    angles, inward, outward = zip(*joint.stroke_at_angle, strict=True)
    a = np.array(joint.axis) / math.hypot(*joint.axis)
    for row in rows:
        outer = np.array([float(row[f"outer_joint_{axis}_mm"]) for axis in ("out", "up", "fore")])
        w = outer - joint.mid_stroke
        plunge = w @ a - math.sqrt(length**2 - w @ w + (w @ a) ** 2)
        along = w - plunge * a
        inner = math.degrees(math.acos(along @ a / length))
        left_in = np.interp(inner, angles, inward) + plunge
        left_out = np.interp(inner, angles, outward) - plunge
        assert float(row["swept_length_mm"]) == pytest.approx(math.sqrt(w @ w), abs=3e-6)
        assert float(row["length_change_mm"]) == pytest.approx(math.sqrt(w @ w) - ride, abs=3e-6)
        assert float(row["plunge_mm"]) == pytest.approx(plunge, abs=3e-6)
        assert float(row["inner_angle_deg"]) == pytest.approx(inner, abs=3e-6)
        assert float(row["stroke_left_in_mm"]) == pytest.approx(left_in, abs=1e-5)
        assert float(row["stroke_left_out_mm"]) == pytest.approx(left_out, abs=1e-5)


def test_a_value_at_infinity_is_an_empty_cell() -> None:
    """Equal parallel arms: the instant centre is nowhere, and the row is sound."""
    linkage = Wishbones((300, 200, 0), (650, 200, 0), (300, 400, 0), (650, 400, 0))
    corner = replace(
        example("van-rear").corner("left"),
        linkage=linkage,
        hub=Hub((640.0, 300.0, 0.0), (710.0, 300.0, 0.0)),
        travel=Travel(20.0, 20.0),
        brackets=(),
    )
    row = table_of(corner, step=20.0)[1]
    assert row["travel_mm"] == "0.000000"
    assert row["instant_centre_out_mm"] == ""
    assert float(row["camber_deg"]) == 0.0


def test_a_bracket_without_a_name_has_its_gap_all_the_same() -> None:
    corner = example("van-front").corner("left")
    box = Bracket("", ((500, 100), (520, 100), (520, 120)))
    rows = table_of(replace(corner, brackets=(box,)))
    assert {row["nearest_bracket"] for row in rows} == {""}
    assert min(column(rows, "clearance_mm")) > 0.0


def test_gap_columns_are_empty_without_brackets_or_outline() -> None:
    corner = example("van-front").corner("left")
    bare = replace(corner.shaft, sections=())
    for lacking in (replace(corner, brackets=()), replace(corner, shaft=bare)):
        rows = table_of(lacking)
        assert {(row["clearance_mm"], row["nearest_bracket"]) for row in rows} == {("", "")}
