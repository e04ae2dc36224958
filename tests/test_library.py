"""The examples: found by name, answered, and each showing what it is there for."""

from __future__ import annotations

import pytest

from kinematics.parts import Steering, Strut, Wishbones
from kinematics.shaft.whole_motion import examine, whole_motion
from scenes.errors import SceneError
from scenes.library import example, example_names, example_text
from scenes.model import NoSuchSide, Scene
from scenes.reading import parse_scene


def test_names_and_the_plain_case_first() -> None:
    names = example_names()
    assert names[0] == "van-front"
    assert len(names) >= 4
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("name", example_names())
def test_each_is_a_scene_that_can_be_answered(name: str) -> None:
    scene = example(name)
    assert parse_scene(example_text(name), name) == scene
    assert scene.title
    assert scene.sides
    for side in scene.sides:
        corner = scene.corner(side)
        assert corner.shaft.inner_joint is not None
        found = examine(corner, motion=whole_motion(corner, 5.0, 15.0))
        assert found.unreachable == ()


def test_an_unknown_name_is_refused_with_those_there_are() -> None:
    with pytest.raises(SceneError) as caught:
        example("cathedral")
    (problem,) = caught.value.problems
    assert str(problem).startswith('no example "cathedral"; expected one of van-front')
    for name in example_names():
        assert name in str(problem)


def test_a_strut_front_with_both_shafts() -> None:
    scene = example("van-front")
    assert isinstance(scene.linkage, Strut)
    assert scene.sides == ("left", "right")
    assert scene.steering is not None


def test_a_double_wishbone_rear_that_does_not_steer() -> None:
    scene = example("van-rear")
    assert isinstance(scene.linkage, Wishbones)
    # Said, and not left out.
    assert scene.steering == Steering(0.0, 0.0)
    assert not scene.steers


def test_a_first_guess_that_bottoms() -> None:
    found = examine(example("van-front-too-long").corner("left"))
    assert found.stroke_left_in.value < 0.0
    assert "stroke_left_in" in [worst.quantity for worst in found.broken]


def test_a_bracket_in_the_way() -> None:
    corner = example("van-front-mount-fouls").corner("left")
    found = examine(corner, motion=whole_motion(corner, 5.0, 15.0))
    assert found.clearance is not None
    assert found.clearance.broken


class TestSides:
    LEFT_ONLY: Scene = parse_scene(example_text("van-front").partition("[shafts.right]")[0])

    def test_only_what_there_is(self) -> None:
        assert self.LEFT_ONLY.sides == ("left",)
        assert self.LEFT_ONLY.shaft("right") is None
        assert self.LEFT_ONLY.shaft("left") is self.LEFT_ONLY.left

    def test_a_side_without_a_shaft_is_refused(self) -> None:
        with pytest.raises(NoSuchSide, match=r"shafts\.right: this scene has no right shaft"):
            self.LEFT_ONLY.corner("right")

    def test_a_corner_holds_all_that_decides(self) -> None:
        scene = example("van-front")
        corner = scene.corner("right")
        assert corner.shaft == scene.right
        assert corner.hub == scene.hub
        assert corner.travel == scene.travel
        assert corner.steering == scene.steering
        assert corner.gearbox_movement == scene.gearbox_movement
        assert corner.brackets == scene.brackets
