"""What a scene file says, read: values, defaults, the contract's own example."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from kinematics.errors import InvalidInput, Problem
from kinematics.parts import (
    Bracket,
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
from scenes.errors import SceneError, shown, shown_key
from scenes.library import example, example_text
from scenes.model import Scene
from scenes.reading import parse_scene
from scenes.tables import Table

FULL = """
format = 1
title = "A van"
notes = "Numbers invented"

[linkage]
kind = "strut"
arm_pivot = [352, 212]
ball_joint = [690, 196, 4]
strut_top = [604, 778, -22]
strut_lower = [664, 342, 2]

[hub]
outer_joint = [676, 301, 0]
wheel_centre = [748, 300, 0]

[travel]
bump = 75
droop = 85

[steering]
inside_lock = 36
outside_lock = 30

[gearbox.movement]
out = 4
up = 6
fore = 8

[shafts.left]
length = 398.5
[shafts.left.inner_joint]
mid_stroke = [282, 318, -6]
axis = [1, 0, 0]
stroke_in = 24
stroke_out = 22
max_angle = 23
stroke_at_angle = [[0, 24, 22], [15, 20, 18], [23, 8, 6]]
[shafts.left.outer_joint]
max_angle = 45
[[shafts.left.section]]
name = "bar"
from = 60
to = 330
diameter = 24
[[shafts.left.section]]
from = 330
to = 380
diameter = [24, 60]

[[bracket]]
name = "mount foot"
mounted_on = "gearbox"
outline = [[470, 240], [520, 240], [520, 275], [470, 275]]
fore = [-30, 40]
wanted_gap = 8

[[bracket]]
outline = [[470, 140], [520, 140], [520, 175]]
"""

LEAST = """
format = 1
[linkage]
kind = "wishbones"
lower_pivot = [306, 178]
lower_ball_joint = [642, 166, 8]
upper_pivot = [372, 392]
upper_ball_joint = [618, 418, -6]
[hub]
outer_joint = [640, 288]
wheel_centre = [702, 287]
[travel]
bump = 0
droop = 0.5
[shafts.right]
[shafts.right.inner_joint]
mid_stroke = [240, 300]
stroke_in = 22
stroke_out = 22
max_angle = 22
[shafts.right.outer_joint]
max_angle = 45
"""


def test_every_key() -> None:
    joint = InnerJoint(
        (282.0, 318.0, -6.0),
        24.0,
        22.0,
        23.0,
        (1.0, 0.0, 0.0),
        ((0.0, 24.0, 22.0), (15.0, 20.0, 18.0), (23.0, 8.0, 6.0)),
    )
    bar = Section("bar", 60.0, 330.0, (24.0, 24.0))
    boot = Section("", 330.0, 380.0, (24.0, 60.0))
    assert parse_scene(FULL) == Scene(
        title="A van",
        notes="Numbers invented",
        linkage=Strut(
            (352.0, 212.0, 0.0), (690.0, 196.0, 4.0), (604.0, 778.0, -22.0), (664.0, 342.0, 2.0)
        ),
        hub=Hub((676.0, 301.0, 0.0), (748.0, 300.0, 0.0)),
        travel=Travel(75.0, 85.0),
        steering=Steering(36.0, 30.0),
        gearbox_movement=GearboxMovement(4.0, 6.0, 8.0),
        left=Shaft(joint, OuterJoint(45.0), 398.5, (bar, boot)),
        brackets=(
            Bracket(
                "mount foot",
                ((470.0, 240.0), (520.0, 240.0), (520.0, 275.0), (470.0, 275.0)),
                "gearbox",
                (-30.0, 40.0),
                8.0,
            ),
            Bracket("bracket 2", ((470.0, 140.0), (520.0, 140.0), (520.0, 175.0))),
        ),
    )


def test_what_is_left_out_has_its_default() -> None:
    scene = parse_scene(LEAST)
    assert scene.linkage == Wishbones(
        (306.0, 178.0, 0.0), (642.0, 166.0, 8.0), (372.0, 392.0, 0.0), (618.0, 418.0, -6.0)
    )
    assert scene.steering is None
    assert scene.gearbox_movement == GearboxMovement(0.0, 0.0, 0.0)
    assert scene.left is None
    assert scene.right is not None
    assert scene.right.length is None
    assert scene.right.sections == ()
    assert scene.right.inner_joint.axis == (1.0, 0.0, 0.0)
    assert scene.right.inner_joint.stroke_at_angle == ()
    assert scene.right.inner_joint.mid_stroke == (240.0, 300.0, 0.0)
    assert scene.brackets == ()
    assert (scene.title, scene.notes) == ("", "")
    assert scene.travel == Travel(0.0, 0.5)


def test_a_bracket_without_fore_is_at_every_depth_and_rides_on_the_body() -> None:
    bracket = parse_scene(FULL).brackets[1]
    assert bracket.fore is None
    assert bracket.mounted_on == "body"
    assert bracket.wanted_gap == 6.0


def test_part_of_the_movement_may_be_left_out() -> None:
    text = FULL.replace("out = 4\n", "").replace("fore = 8\n", "")
    assert parse_scene(text).gearbox_movement == GearboxMovement(0.0, 6.0, 0.0)
    assert parse_scene(LEAST + "[gearbox]\n").gearbox_movement == GearboxMovement()


def test_whole_numbers_and_others_are_the_same() -> None:
    assert parse_scene(FULL.replace("bump = 75", "bump = 75.0")) == parse_scene(FULL)
    assert parse_scene(FULL.replace("bump = 75", "bump = 7.5e1")) == parse_scene(FULL)
    assert parse_scene(FULL.replace("bump = 75", "bump = 0x4B")) == parse_scene(FULL)


def test_the_order_of_tables_does_not_matter() -> None:
    head, *tables = LEAST.split("\n[")
    turned = "\n[".join([head, *reversed(tables)])
    assert parse_scene(turned) == parse_scene(LEAST)


def test_an_error_says_where_it_is_from() -> None:
    with pytest.raises(SceneError) as caught:
        parse_scene("x = \n", "my-van.toml")
    assert caught.value.source == "my-van.toml"
    assert "not a TOML file" in str(caught.value)
    assert "line 1" in str(caught.value)


class TestShown:
    @pytest.mark.parametrize(
        ("value", "text"),
        [
            ("x", '"x"'),
            (12, "12"),
            (1.5, "1.5"),
            (True, "true"),
            ([1, "a"], '[1, "a"]'),
            (math.nan, "NaN"),
            ("ß", '"ß"'),
            ("a\nb", '"a\\nb"'),
            (object(), "object"),
        ],
    )
    def test_on_one_line(self, value: object, text: str) -> None:
        assert shown(value) == text

    def test_not_too_long(self) -> None:
        assert len(shown("x" * 1000)) == 40
        assert shown("x" * 1000).endswith("…")

    def test_lists_inside_themselves(self) -> None:
        endless: list[object] = []
        endless.append(endless)
        assert shown(endless) == "list"

    def test_keys_that_need_quotes(self) -> None:
        assert shown_key("ball_joint") == "ball_joint"
        assert shown_key("a b") == '"a b"'
        assert shown_key("") == '""'
        assert shown_key("größe") == '"größe"'


class TestTable:
    def test_a_flag(self) -> None:
        table = Table({"on": True, "off": 0}, "part", [])
        assert table.flag("on", default=False) is True
        assert table.flag("left_out", default=True) is True
        assert table.flag("off", default=False) is None
        assert [str(problem) for problem in table.problems] == [
            "part.off: expected true or false, got 0"
        ]


class TestParts:
    """A part made in code is checked as one from a file is."""

    def test_numbers_must_be_finite(self) -> None:
        with pytest.raises(InvalidInput, match="bump: expected finite numbers"):
            Travel(math.nan, 1.0)
        with pytest.raises(InvalidInput, match="wheel_centre: expected finite numbers"):
            Hub((0.0, 0.0, 0.0), (math.inf, 0.0, 0.0))
        with pytest.raises(InvalidInput, match="droop: expected finite numbers"):
            Travel(1.0, 2e5)

    def test_all_problems_are_told(self) -> None:
        with pytest.raises(InvalidInput) as caught:
            InnerJoint((0.0, 0.0, 0.0), -1.0, -2.0, 95.0, (-1.0, 0.0, 0.0))
        assert [problem.field for problem in caught.value.problems] == [
            "axis",
            "stroke_in",
            "stroke_out",
            "max_angle",
        ]
        assert str(caught.value).count("; ") == 3

    @pytest.mark.parametrize(
        ("points", "field"),
        [
            (((0, 0, 0), (0, 0, 9), (300, 300, 0), (200, 100, 0)), "ball_joint"),
            (((0, 0, 0), (300, 0, 0), (300, 0, 0), (200, 100, 0)), "ball_joint"),
            (((0, 0, 0), (300, 0, 0), (300, 300, 0), (300, 300, 0)), "strut_lower"),
        ],
    )
    def test_struts_without_length(self, points: tuple[tuple[float, ...], ...], field: str) -> None:
        with pytest.raises(InvalidInput) as caught:
            Strut(*points)  # type: ignore[arg-type]
        assert [problem.field for problem in caught.value.problems] == [field]

    @pytest.mark.parametrize(
        ("points", "fields"),
        [
            (((0, 0, 0), (0, 0, 9), (0, 200, 0), (300, 200, 0)), ["lower_ball_joint"]),
            (((0, 0, 0), (300, 0, 0), (0, 200, 0), (0, 200, 5)), ["upper_ball_joint"]),
            (((0, 0, 0), (300, 0, 0), (0, 200, 0), (300, 0, 5)), ["upper_ball_joint"]),
        ],
    )
    def test_wishbones_without_length(
        self, points: tuple[tuple[float, ...], ...], fields: list[str]
    ) -> None:
        with pytest.raises(InvalidInput) as caught:
            Wishbones(*points)  # type: ignore[arg-type]
        assert [problem.field for problem in caught.value.problems] == fields

    @pytest.mark.parametrize(
        ("change", "field"),
        [
            ({"outline": ((0.0, 0.0), (1e-4, 0.0), (0.0, 1e-4))}, "outline"),
            ({"outline": ((0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.0))}, "outline"),
            ({"mounted_on": "roof"}, "mounted_on"),
            ({"fore": (4.0, 4.0)}, "fore"),
            ({"wanted_gap": -1.0}, "wanted_gap"),
        ],
    )
    def test_brackets_that_are_none(self, change: dict[str, object], field: str) -> None:
        plate = Bracket("plate", ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)))
        with pytest.raises(InvalidInput) as caught:
            replace(plate, **change)  # type: ignore[arg-type]
        assert [problem.field for problem in caught.value.problems] == [field]

    def test_a_problem_without_a_field(self) -> None:
        assert str(Problem("", "nothing there")) == "nothing there"


def test_a_bracket_that_is_not_named_is_called_by_its_number() -> None:
    text = f"{example_text('van-rear')}\n[[bracket]]\noutline = [[0, 0], [9, 0], [9, 9]]\n"
    number = len(example("van-rear").brackets) + 1
    assert parse_scene(text).brackets[-1].name == f"bracket {number}"
