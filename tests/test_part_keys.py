"""A scene's paths and what the mechanics name: the same both ways, one side at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from kinematics.errors import InvalidInput, Problem
from kinematics.sure.measurands import LENGTH, MID_STROKE, OUTER_JOINT, measured_of
from kinematics.sure.tape import Tape, TapeError
from scenes.keys import value_of
from scenes.library import example, example_text
from scenes.model import SIDES
from scenes.part_keys import in_scene, path_of, tape_on, things_at
from sketcher.__main__ import main


@pytest.mark.parametrize("name", ["van-front", "van-rear", "van-rear-measured"])
def test_what_is_measured_of_a_corner_stands_in_the_scene_under_its_path(name: str) -> None:
    scene = example(name)
    for side in scene.sides:
        corner = scene.corner(side)
        for thing, value in measured_of(corner):
            path = path_of(thing, side)
            assert value_of(scene, path) in (value, None)
            assert things_at([path], corner, side, "tape.error") == {path: thing}


def test_points_that_readings_can_name_stand_in_the_scene_under_their_paths() -> None:
    scene = example("van-front-readings")
    for path, at in scene.points.items():
        if not path.startswith("mark."):
            assert value_of(scene, path) == at


def test_the_tape_of_one_side_leaves_the_other_side_s_things_out() -> None:
    scene = example("van-front")
    errors = [
        TapeError(path, (size,))
        for size, path in enumerate(
            ("hub.outer_joint", "shafts.left.length", "shafts.right.inner_joint.mid_stroke"), 1
        )
    ]
    found = {side: tape_on(Tape(0.5, tuple(errors)), scene.corner(side), side) for side in SIDES}
    hub, left, right = (OUTER_JOINT, (1,)), (LENGTH, (2,)), (MID_STROKE, (3,))
    for side, expected in zip(SIDES, ([hub, left], [hub, right]), strict=True):
        tape = found[side]
        assert tape is not None
        assert tape.limit == 0.5
        assert [(one.thing, one.size) for one in tape.errors] == expected
    assert tape_on(None, scene.corner("left"), "left") is None


@pytest.mark.parametrize(
    "path", ["hub.nut", "linkage.position[0].outer_joint", "shafts.far.length"]
)
def test_a_path_to_what_is_not_measured_is_refused_with_those_that_are(path: str) -> None:
    corner = example("van-front").corner("left")
    with pytest.raises(InvalidInput) as refused:
        tape_on(Tape(errors=(TapeError(path, (1.0,)),)), corner, "left")
    line = str(refused.value)
    assert line.startswith(
        "tape.error: expected one of hub.outer_joint, hub.wheel_centre, linkage."
    )
    assert line.endswith(f"shafts.left.length, travel.bump, travel.droop, got {path}")


def test_a_problem_of_the_mechanics_is_named_by_the_scene_s_key() -> None:
    found = [
        Problem("wheel_centre", "a", "position", 2),
        Problem("length", "b", "shaft"),
        Problem("", "c", "reading", 0),
        Problem("margin", "d"),
    ]
    assert list(map(str, in_scene(found, "right"))) == [
        "linkage.position[2].wheel_centre: a",
        "shafts.right.length: b",
        "reading[0]: c",
        "margin: d",
    ]
    assert str(in_scene(found)[1]) == "length: b"


def test_a_position_that_contradicts_its_travel_is_named_as_the_file_has_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = example_text("van-rear-measured")
    path = tmp_path / "raised.toml"
    path.write_text(text.replace("wheel_centre = [699.5, 317]", "wheel_centre = [699.5, 377]"))
    assert main(["report", str(path)]) == 2
    assert "linkage.position[3].wheel_centre: expected up near 317" in capsys.readouterr().err
