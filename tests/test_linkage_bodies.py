"""Strut tube and arm are checked like brackets, and never shown farther away than they are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon

from kinematics.errors import InvalidInput
from kinematics.linkage.bodies import Arm, StrutTube, arm_bracket, strut_tube_bracket
from kinematics.parts import Strut, Wishbones
from kinematics.shaft.whole_motion import examine
from scenes.errors import SceneError
from scenes.library import example, example_text
from scenes.reading import parse_scene
from scenes.writing import scene_text
from tests.strategies import linkages, struts

UPRIGHT = Strut((300, 200, 0), (680, 200, 0), (650, 800, 0), (650, 350, 0))


def test_an_upright_tube_is_its_own_rectangle() -> None:
    bracket = strut_tube_bracket(StrutTube(52, 20, 220), UPRIGHT)
    assert Polygon(bracket.outline).bounds == pytest.approx((624, 370, 676, 570))
    assert bracket.fore == pytest.approx((-26, 26))
    assert (bracket.name, bracket.mounted_on, bracket.wanted_gap) == ("strut tube", "knuckle", 6)


@given(
    struts(),
    st.floats(10, 90),
    st.floats(-80, 200),
    st.floats(5, 300),
    st.floats(0, 1),
    st.floats(0, 7),
)
def test_no_point_of_the_tube_is_outside_its_bracket(
    strut: Strut, diameter: float, start: float, length: float, share: float, turn: float
) -> None:
    bracket = strut_tube_bracket(StrutTube(diameter, start, start + length), strut)
    axis = np.subtract(strut.strut_top, strut.strut_lower)
    axis /= np.linalg.norm(axis)
    side = np.cross(axis, [0.3, 0.1, 1.0])
    side /= np.linalg.norm(side)
    rim = 0.5 * diameter * (np.cos(turn) * side + np.sin(turn) * np.cross(axis, side))
    out, up, fore = np.array(strut.strut_lower) + (start + share * length) * axis + rim
    assert bracket.fore is not None
    assert bracket.fore[0] - 1e-6 <= fore <= bracket.fore[1] + 1e-6
    assert Polygon(bracket.outline).distance(Point(out, up)) < 1e-6


def test_a_tube_that_is_seen_end_on_is_a_square() -> None:
    lying = replace(UPRIGHT, strut_top=(650, 350, 400))
    bracket = strut_tube_bracket(StrutTube(50, 0, 100), lying)
    assert Polygon(bracket.outline).bounds == pytest.approx((625, 325, 675, 375))
    assert bracket.fore == pytest.approx((0, 100))


@pytest.mark.parametrize("out", [680, -80])
def test_an_arm_stands_above_and_below_its_line(out: float) -> None:
    # Above stays up whichever way the arm runs.
    bracket = arm_bracket(Arm(22, 10, (-70, 40)), replace(UPRIGHT, ball_joint=(out, 200, 0)))
    low, high = sorted((300, out))
    assert Polygon(bracket.outline).bounds == pytest.approx((low, 190, high, 222))
    assert (bracket.name, bracket.mounted_on, bracket.fore) == ("arm", "arm", (-70, 40))


@given(linkages())
def test_an_arm_is_as_long_as_between_its_joints(linkage: Strut | Wishbones) -> None:
    outline = arm_bracket(Arm(15, 15), linkage).outline
    ends = (
        (linkage.arm_pivot, linkage.ball_joint)
        if isinstance(linkage, Strut)
        else (linkage.lower_pivot, linkage.lower_ball_joint)
    )
    long = np.hypot(*np.subtract(ends[1][:2], ends[0][:2]))
    assert Polygon(outline).area == pytest.approx(30 * long)


def test_they_are_examined_after_the_brackets() -> None:
    scene = replace(
        example("van-front"), strut_tube=StrutTube(50, 40, 200), arm=Arm(18, 18, (-60, 50))
    )
    found = examine(scene.corner("left"))
    names = [gap.worst.part for gap in found.gaps]
    assert names == [*(bracket.name for bracket in scene.brackets), "strut tube", "arm"]
    bare = [gap.worst.value for gap in examine(example("van-front").corner("left")).gaps]
    assert [gap.worst.value for gap in found.gaps[: len(bare)]] == pytest.approx(bare)


def test_a_thick_arm_under_the_shaft_breaks_its_wanted_gap() -> None:
    scene = replace(example("van-front"), arm=Arm(95, 18))
    assert "arm" in [worst.part for worst in examine(scene.corner("left")).broken]


TABLES = """
[strut_tube]   # with the spring seat off
diameter = 51.5
from = -20
to = 180

[arm]
above = 22
below = 14
fore = [-90, 45]
wanted_gap = 8
"""


def test_read_and_written_back() -> None:
    text = example_text("van-front") + TABLES
    scene = parse_scene(text)
    assert scene.strut_tube == StrutTube(51.5, -20, 180)
    assert scene.arm == Arm(22, 14, (-90, 45), 8)
    assert scene_text(scene, text) == text
    assert parse_scene(scene_text(scene)) == scene
    changed = replace(scene, strut_tube=StrutTube(60, -20, 180), arm=Arm(20, 14))
    again = scene_text(changed, text)
    assert "# with the spring seat off" in again
    assert parse_scene(again) == changed


@pytest.mark.parametrize(
    ("was", "now", "line"),
    [
        ("diameter = 51.5", "diameter = 0", "strut_tube.diameter: expected mm above 0, got 0"),
        (
            "diameter = 51.5",
            'diameter = "thick"',
            'strut_tube.diameter: expected a number, mm, got "thick"',
        ),
        (
            "to = 180",
            "to = -30",
            "strut_tube.to: expected mm from strut_lower towards strut_top, more than from",
        ),
        ("from = -20", "start = -20", "strut_tube.from: missing"),
        ("above = 22", "above = -14", "arm.above: expected mm that make a thickness"),
        ("fore = [-90, 45]", "fore = [45, -90]", "arm.fore: expected [rear, front]"),
        ("fore = [-90, 45]", "fore = 45", "arm.fore: expected [rear, front] in mm, got 45"),
        ("wanted_gap = 8", "wanted_gap = -1", "arm.wanted_gap: expected mm, 0 or more, got -1"),
        ("to = 180", "to = 180\nwanted_gap = -1", "strut_tube.wanted_gap: expected mm, 0 or more"),
    ],
)
def test_refused_in_words(was: str, now: str, line: str) -> None:
    text = example_text("van-front") + TABLES
    assert was in text
    with pytest.raises(SceneError) as caught:
        parse_scene(text.replace(was, now))
    assert any(str(problem).startswith(line) for problem in caught.value.problems), caught.value


def test_a_strut_tube_needs_a_strut() -> None:
    with pytest.raises(SceneError, match=r"strut_tube: expected only where the linkage is a strut"):
        parse_scene(example_text("van-rear") + TABLES)


def test_sizes_beyond_any_part_are_refused() -> None:
    with pytest.raises(InvalidInput, match="arm: expected sizes of a real part"):
        replace(example("van-front"), arm=Arm(1e5, 1e5))


def test_positions_taken_on_the_car_have_no_arm() -> None:
    with pytest.raises(InvalidInput, match="expected only with a linkage that has an arm"):
        arm_bracket(Arm(10.0, 10.0), example("van-rear-measured").linkage)
