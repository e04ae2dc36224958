"""Marks and readings of the scene file: read strictly, written as they were read."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kinematics.errors import InvalidInput
from kinematics.sure.readings import Mark, Reading
from scenes.errors import SceneError
from scenes.keys import value_of, with_value
from scenes.library import example, example_text
from scenes.model import Scene
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.window.model.linkage_edits import change_linkage

MARKED = """
[[mark]]                       # behind the tow eye
name = "rail hole"
at = [455, 420, 120]
"""
READ = """
[[reading]]
between = ["linkage.ball_joint", "mark.rail hole"]
distance = 342
error = 1
[[reading]]
of = "linkage.ball_joint"      # by the long rule
up = 188
[[reading]]
of = "linkage.ball_joint"
across = 1336
[[reading]]
between = ["linkage.arm_pivot", "linkage.ball_joint"]
rise = -17
[[reading]]
between = ["linkage.arm_pivot", "linkage.ball_joint"]
slope = -2.9
travel = -60
steer = 5
[[reading]]
of = "shafts.right.inner_joint.mid_stroke"
fore = -8.5
"""


@pytest.fixture(scope="module")
def text() -> str:
    return example_text("van-front") + MARKED + READ


@pytest.fixture(scope="module")
def scene(text: str) -> Scene:
    return parse_scene(text)


def test_marks_and_readings_are_read(scene: Scene) -> None:
    assert scene.marks == (Mark("rail hole", (455.0, 420.0, 120.0)),)
    first, second, across, rise, slope, fore = scene.readings
    ball, pivot = "linkage.ball_joint", "linkage.arm_pivot"
    assert first == Reading("distance", (ball, "mark.rail hole"), 342.0, 1.0)
    assert second == Reading("up", (ball,), 188.0)
    assert across == Reading("across", (ball,), 1336.0)
    assert rise == Reading("rise", (pivot, ball), -17.0)
    assert slope == Reading("slope", (pivot, ball), -2.9, None, -60.0, 5.0)
    assert fore == Reading("fore", ("shafts.right.inner_joint.mid_stroke",), -8.5)
    assert example("van-front").readings == ()


def test_an_error_left_out_is_the_tape_s_or_the_gauge_s(scene: Scene) -> None:
    """A class II tape to a surface: 0.7 up to 1 m, 0.9 up to 2 m."""
    assert [one.limit for one in scene.readings] == [1.0, 0.7, 0.9, 0.7, 0.2, 0.7]


def test_written_and_read_again_it_is_the_same_scene(text: str, scene: Scene) -> None:
    assert parse_scene(scene_text(scene)) == scene
    assert scene_text(scene, text) == text


def test_a_reading_taken_out_leaves_the_others_their_comments(text: str, scene: Scene) -> None:
    fewer = replace(scene, readings=scene.readings[1:])
    written = scene_text(fewer, text)
    assert parse_scene(written) == fewer
    assert "# by the long rule" in written
    assert "# behind the tow eye" in written


def test_keys_name_marks_and_readings(scene: Scene) -> None:
    assert value_of(scene, "mark[0].at[2]") == 120.0
    assert value_of(scene, "reading[0].distance") == 342.0
    changed = with_value(scene, "reading[0].error", 2.0)
    assert changed.readings[0].error == 2.0
    assert with_value(scene, "reading[4].slope", -3.1).readings[4].value == -3.1


@pytest.mark.parametrize(
    ("wrong", "line"),
    [
        ('of = "linkage.nut"\nup = 3', "reading[0].of: expected the path of a point ("),
        ('of = "linkage.bal_joint"\nup = 3', 'did you mean "linkage.ball_joint"?'),
        (
            'of = "mark.rail"\nup = 3',
            'reading[0].of: expected a mark that is in the scene ("rail hole"), got "mark.rail"',
        ),
        ('of = "hub.outer_joint"\nup = 3\nout = 4', "reading[0]: expected one number: up, out"),
        ('of = "hub.outer_joint"', "got none"),
        ("up = 3", "reading[0]: expected between = [two points] or of = one point, got none"),
        ('of = "hub.outer_joint"\ndistance = 3', "expected up, out, fore, across with of"),
        ('between = ["hub.outer_joint", "hub.wheel_centre"]\nup = 3', "with between, got up"),
        ('between = ["hub.outer_joint", "hub.outer_joint"]\nrise = 3', "two different points"),
        ('between = ["hub.outer_joint"]\nrise = 3', "expected two different points"),
        ('between = "hub.outer_joint"\nrise = 3', "expected the paths of two points"),
        (
            'of = "hub.outer_joint"\nbetween = ["hub.outer_joint", "hub.wheel_centre"]\nrise = 1',
            "got both",
        ),
        ('of = "hub.outer_joint"\nup = nan', "reading[0].up: expected a number"),
        ('of = "hub.outer_joint"\nup = inf', "reading[0].up: expected a number"),
        ('of = "hub.outer_joint"\nup = "3"', "reading[0].up: expected a number"),
        ('of = "hub.outer_joint"\nup = 3\nerror = 0', "reading[0].error: expected a limit"),
        ('of = "hub.outer_joint"\nacross = 0', "reading[0].across: expected mm, above 0"),
        (
            'between = ["hub.outer_joint", "hub.wheel_centre"]\ndistance = -1',
            "reading[0].distance: expected mm, above 0",
        ),
        (
            'between = ["hub.outer_joint", "hub.wheel_centre"]\nslope = 91',
            "reading[0].slope: expected degrees from",
        ),
        ('of = "hub.outer_joint"\nup = 3\nheld = 1', "reading[0].held: unknown key"),
    ],
)
def test_a_wrong_reading_is_one_line(wrong: str, line: str) -> None:
    with pytest.raises(SceneError) as refused:
        parse_scene(example_text("van-front") + MARKED + f"[[reading]]\n{wrong}\n")
    (problem,) = refused.value.problems
    assert line in str(problem)
    assert "\n" not in str(problem)


@pytest.mark.parametrize(
    ("wrong", "line"),
    [
        ('name = "rail hole"\nat = [1, 2]', 'mark: expected each name once, got "rail hole"'),
        ('name = "other"', "mark[1].at: missing"),
        ("at = [1, 2]", "mark[1].name: missing"),
        ('name = " "\nat = [1, 2]', "mark[1].name: expected a name"),
        ('name = "other"\nat = [1, inf]', "mark[1].at: expected [out, up]"),
    ],
)
def test_a_wrong_mark_is_one_line(wrong: str, line: str) -> None:
    with pytest.raises(SceneError) as refused:
        parse_scene(example_text("van-front") + MARKED + f"[[mark]]\n{wrong}\n")
    (problem,) = refused.value.problems
    assert line in str(problem)


def test_a_mark_that_readings_name_cannot_go(scene: Scene) -> None:
    with pytest.raises(InvalidInput, match="expected a mark that is in the scene"):
        replace(scene, marks=())


def test_another_linkage_takes_readings_of_lost_points_with_it(scene: Scene) -> None:
    changed = change_linkage(scene, "wishbones")
    assert [one.kind for one in changed.readings] == ["fore"]
