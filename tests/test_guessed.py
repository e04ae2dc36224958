"""What nobody has measured yet: read, kept, written, and taken out by a hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scenes.errors import SceneError
from scenes.guessed import guessed_values, tally, with_guesses
from scenes.keys import value_of
from scenes.library import example, example_text
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.answers.pose import pose_as_drawn
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Circle
from sketcher.drawing.sketch import front_view
from sketcher.drawing.style import style
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.model.making_edits import start_making
from sketcher.window.model.start import start_scene

TEXT = example_text("van-front")


def with_guessed(line: str) -> str:
    return TEXT.replace("format = 1\n", f"format = 1\n{line}\n", 1)


def test_guessed_paths_are_read_and_written_at_the_top() -> None:
    text = with_guessed('guessed = ["linkage.arm_pivot", "travel.bump"]')
    scene = parse_scene(text)
    assert scene.guessed == ("linkage.arm_pivot", "travel.bump")
    assert guessed_values(scene) == (
        "linkage.arm_pivot[0]", "linkage.arm_pivot[1]", "linkage.arm_pivot[2]", "travel.bump",
    )  # fmt: skip
    assert scene_text(scene, text) == text
    patched = scene_text(scene, TEXT)
    assert parse_scene(patched) == scene
    assert patched.index("guessed") < patched.index("[linkage]")
    assert "# centre of the arm's inner bush" in patched
    assert parse_scene(scene_text(scene)) == scene


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('guessed = "travel.bump"', "guessed: expected paths"),
        ("guessed = [1]", "guessed: expected paths"),
        ('guessed = ["travel.bumb"]', "guessed[0]: expected paths"),
        ('guessed = ["travel.bump", "linkage.lower_pivot"]', "guessed[1]: expected paths"),
        ('guessed = ["title"]', "guessed[0]: expected paths"),
        ('guessed = ["drive.gear"]', "guessed[0]: expected paths"),
        ('guessed = [""]', "guessed[0]: expected paths"),
    ],
)
def test_a_path_to_nothing_is_refused(line: str, said: str) -> None:
    with pytest.raises(SceneError) as refused:
        parse_scene(with_guessed(line))
    (problem,) = str(refused.value).splitlines()
    assert problem.startswith(said)


def test_a_new_scene_is_all_guesses() -> None:
    scene = start_scene()
    for side in ("left", "right"):
        guesses, values = tally(scene, side)
        assert guesses == values > 30
    assert parse_scene(scene_text(scene)) == scene


def test_a_hand_takes_out_what_it_sets_and_no_more() -> None:
    editor = Editor(Document(start_scene()))
    before = len(guessed_values(editor.scene))
    assert editor.type(Field("linkage.arm_pivot[0]", "out"), "338,5")
    assert "linkage.arm_pivot" not in editor.scene.guessed
    assert "linkage.arm_pivot[1]" in editor.scene.guessed
    # What is typed is measured, even where it comes to the same number.
    assert editor.type(Field("travel.bump", "bump"), f"{editor.scene.travel.bump:g}")
    assert len(guessed_values(editor.scene)) == before - 2
    editor.select("hub.outer_joint")
    editor.nudge(1, 0)
    assert len(guessed_values(editor.scene)) == before - 3
    editor.undo()
    editor.undo()
    assert "travel.bump" in editor.scene.guessed
    editor.close()


def test_what_is_only_started_is_a_guess() -> None:
    scene = start_making(example("van-front"), "left")
    assert "shafts.left.donors.hub.usable_to" in guessed_values(scene)
    assert guessed_values(scene, "left")
    assert not guessed_values(scene, "right")
    gone = replace(scene, left_making=example("van-front").left_making)
    assert parse_scene(scene_text(gone)).guessed == ()


def test_another_linkage_has_new_points_to_measure() -> None:
    scene = with_guesses(example("van-front"), ("linkage.arm_pivot[1]",))
    changed = change_linkage(scene, "wishbones")
    guesses = guessed_values(changed)
    assert value_of(changed, "linkage.lower_pivot") == value_of(scene, "linkage.arm_pivot")
    assert "linkage.lower_pivot[1]" in guesses
    assert "linkage.lower_pivot[0]" not in guesses
    assert "linkage.upper_pivot[0]" in guesses
    assert all(path.startswith("linkage.upper") for path in guesses[1:])


def test_points_that_nobody_measured_have_an_open_ring_in_the_sketch() -> None:
    scene = with_guesses(example("van-front"), ("linkage.arm_pivot", "travel.bump"))
    ride = pose_as_drawn(scene.linkage, scene.hub)
    camera = Camera(800.0, 600.0, (500.0, 300.0), 1.0)
    rings = front_view(scene, "left", ride, ride, camera).with_role("guessed")
    assert [ring.centre for ring in rings if isinstance(ring, Circle)] == [(338.0, 205.0)]
    assert style().mark("guessed").fill is None
    assert style().mark("guessed").line == "dashed"
