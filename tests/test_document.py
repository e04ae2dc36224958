"""The model behind the window: edits, history, selection, files, autosave; no screen anywhere."""

from __future__ import annotations

import math
import os
import random
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from kinematics.parts import GearboxMovement
from kinematics.shaft.length_window import LengthWindow, Position
from scenes.keys import EditRefused, NoSuchThing, has, value_of, with_value
from scenes.library import example, example_names, example_text
from scenes.model import Scene
from scenes.reading import parse_scene, read_scene
from scenes.writing import write_scene
from sketcher.drawing.picture import View
from sketcher.window.model import edits
from sketcher.window.model.autosave import Autosave, leftovers
from sketcher.window.model.document import Document

FIRST = "van-front"
BRACKETS = "van-front-mount-fouls"
POINTS = (
    "linkage.arm_pivot",
    "linkage.ball_joint",
    "linkage.strut_top",
    "linkage.strut_lower",
    "hub.outer_joint",
    "hub.wheel_centre",
    "shafts.left.inner_joint.mid_stroke",
)


def edit_at_random(random_: random.Random) -> Callable[[Scene], Scene]:
    by = (random_.uniform(-3, 3), random_.uniform(-3, 3))
    view: View = random_.choice(("front", "above"))
    choices: list[Callable[[Scene], Scene]] = [
        lambda scene: edits.nudge(scene, random_.choice(POINTS), by, view),
        lambda scene: edits.set_length(scene, "left", 385 + random_.random() * 10),
        lambda scene: edits.set_value(scene, "travel.bump", random_.uniform(20, 80)),
        lambda scene: edits.set_value(scene, "gearbox.movement.up", random_.uniform(0, 9)),
        lambda scene: edits.to_ride_centred(scene, "left"),
        lambda scene: edits.copy_side(scene, "left", "right"),
        lambda scene: edits.steer(scene, steers=random_.random() < 0.5),
        lambda scene: edits.copy_bracket(scene, "bracket[0]", by),
        lambda scene: edits.move_bracket(scene, "bracket[0]", by, view),
        lambda scene: edits.turn_bracket(scene, "bracket[0]", random_.uniform(-20, 20)),
        lambda scene: edits.mirror_bracket(scene, "bracket[0]"),
        lambda scene: edits.insert_corner(scene, "bracket[0]", 1),
        lambda scene: edits.add_bracket(scene, ((100, 100), (140, 100), (140, 130))),
        lambda scene: (
            edits.remove_bracket(scene, f"bracket[{len(scene.brackets) - 1}]")
            if len(scene.brackets) > 1
            else scene
        ),
    ]
    return random_.choice(choices)


def test_five_hundred_edits_undone_give_back_the_first_scene() -> None:
    first = example(BRACKETS)
    document, random_, done = Document(first), random.Random(3), 0
    while done < 500:
        before = document.scene
        try:
            document.apply("edit", edit_at_random(random_))
        except EditRefused:
            assert document.scene is before
            continue
        done += document.scene is not before
    last = document.scene
    assert last != first
    for _ in range(500):
        assert document.undo() == "edit"
    assert document.scene is first
    assert document.undo() is None
    for _ in range(500):
        document.redo()
    assert document.scene is last


def test_a_drag_is_one_step_and_escape_gives_back_what_was() -> None:
    document = Document(example(FIRST))
    first = document.scene
    document.begin("move")
    for step in range(1, 30):
        document.preview(partial(edits.nudge, key="linkage.arm_pivot", by=(step, 0.0)))
    assert value_of(document.scene, "linkage.arm_pivot[0]") == 338 + 29
    document.cancel()
    assert document.scene is first
    assert document.undo_label is None
    document.begin("move")
    document.preview(lambda scene: edits.nudge(scene, "linkage.arm_pivot", (5, 0)))
    document.commit()
    assert document.undo() == "move"
    assert document.scene is first


def test_undo_during_a_drag_takes_back_only_the_drag() -> None:
    document = Document(example(FIRST))
    document.apply("length", lambda scene: edits.set_length(scene, "left", 390.0))
    kept = document.scene
    document.begin("move")
    document.preview(lambda scene: edits.nudge(scene, "hub.wheel_centre", (1, 1)))
    document.undo()
    assert document.scene is kept


def test_a_refused_preview_keeps_the_last_good_one() -> None:
    document = Document(example(FIRST))
    document.begin("move")
    document.preview(lambda scene: edits.move_point(scene, "linkage.ball_joint", (660.0, 190.0)))
    good = document.scene
    with pytest.raises(EditRefused, match=r"linkage\.ball_joint: expected a point away from"):
        document.preview(
            lambda scene: edits.move_point(scene, "linkage.ball_joint", (338.0, 205.0))
        )
    assert document.scene is good


def test_selection_comes_back_with_undo_and_makes_no_step() -> None:
    document = Document(example(BRACKETS))
    document.select("bracket[0].outline[1]")
    document.select("bracket[0]")
    assert document.undo_label is None
    document.apply("remove", lambda scene: edits.remove_bracket(scene, "bracket[0]"))
    assert document.selection in ("", "bracket[0]")
    document.select("hub.wheel_centre")
    document.undo()
    assert document.selection == "bracket[0]"
    document.redo()
    assert document.selection == "hub.wheel_centre"


def test_a_selected_corner_that_is_gone_leaves_its_bracket_selected() -> None:
    document = Document(example(BRACKETS))
    corners = len(document.scene.brackets[0].outline)
    document.select(f"bracket[0].outline[{corners - 1}]")
    document.apply("corner", lambda scene: edits.remove_corner(scene, "bracket[0]", 0))
    assert document.selection == "bracket[0]"


@pytest.mark.parametrize("name", example_names())
def test_every_point_of_a_scene_file_can_be_read_and_set_by_its_path(name: str) -> None:
    scene = example(name)
    for key in ("hub.outer_joint", "hub.wheel_centre", "shafts.left.inner_joint.mid_stroke"):
        moved = edits.move_point(scene, key, (1.5, 2.5), "above")
        assert value_of(moved, key) == (1.5, value_of(scene, key)[1], 2.5)
        assert with_value(moved, key, value_of(scene, key)) == scene


def test_keys_follow_the_files_words() -> None:
    scene = example(BRACKETS)
    assert value_of(scene, "gearbox.movement.up") == scene.gearbox_movement.up
    assert scene.left is not None
    assert value_of(scene, "shafts.left.section[1].from") == scene.left.sections[1].from_
    assert value_of(scene, "bracket[0].outline[2]") == scene.brackets[0].outline[2]
    for key in ("", "nothing", "bracket[99]", "linkage.upper_pivot", "hub..", "a b", "hub[0]"):
        assert not has(scene, key)
    with pytest.raises(NoSuchThing, match="no such thing"):
        value_of(scene, "linkage.upper_pivot")


@pytest.mark.parametrize(
    ("key", "value", "line"),
    [
        ("travel.bump", -1.0, "travel.bump: expected mm from ride height"),
        ("shafts.left.length", -3.0, "shafts.left.length: expected mm between joint centres"),
        ("hub.wheel_centre[1]", float("nan"), "hub.wheel_centre: expected finite numbers"),
        ("bracket[0].outline", ((0, 0), (9, 9), (9, 0), (0, 9)), "bracket[0].outline: expected"),
    ],
)
def test_a_wrong_value_is_refused_in_one_line_that_names_it(
    key: str, value: object, line: str
) -> None:
    with pytest.raises(EditRefused) as error:
        with_value(example(BRACKETS), key, value)
    assert str(error.value).startswith(line)
    assert "\n" not in str(error.value)


def test_length_buttons() -> None:
    scene = example(FIRST)
    assert scene.right is not None
    centred = edits.to_ride_centred(scene, "right")
    assert value_of(centred, "shafts.right.length") == pytest.approx(
        math.dist(scene.right.inner_joint.mid_stroke, scene.hub.outer_joint), abs=0.05
    )
    here = Position(0.0, 0.0)
    window = LengthWindow(3.0, 385.0, 407.0, here, here)
    assert value_of(edits.to_middle_of_window(scene, "left", window), "shafts.left.length") == 396
    with pytest.raises(EditRefused, match="no window"):
        edits.to_middle_of_window(scene, "left", LengthWindow(3.0, 407.0, 385.0, here, here))


def test_bracket_edits() -> None:
    scene = edits.add_bracket(example(FIRST), ((0, 0), (40, 0), (40, 20), (0, 20)))
    key = f"bracket[{len(scene.brackets) - 1}]"
    turned = value_of(edits.turn_bracket(scene, key, 90), key).outline
    assert turned == ((30, -10), (30, 30), (10, 30), (10, -10))
    assert len(value_of(edits.insert_corner(scene, key, 3), key).outline) == 5
    assert value_of(edits.insert_corner(scene, key, 3), f"{key}.outline[4]") == (0, 10)
    once = edits.mirror_bracket(scene, key)
    assert value_of(edits.mirror_bracket(once, key), key) == value_of(scene, key)
    copied = edits.copy_bracket(scene, key, (5, 5))
    assert copied.brackets[-1].name != copied.brackets[-2].name
    triangle = edits.remove_corner(scene, key, 0)
    with pytest.raises(EditRefused, match="three corners"):
        edits.remove_corner(triangle, key, 0)


def test_snapping_keeps_numbers_short() -> None:
    assert edits.snapped((0.31, 12.349), None) == (0.3, 12.3)
    assert edits.snapped((7.0, 12.6), 5.0) == (5.0, 15.0)


def test_saving_keeps_comments_and_clears_dirty(tmp_path: Path) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text(FIRST), encoding="utf-8")
    document = Document.open(path)
    states = [document.dirty]
    document.apply("length", lambda scene: edits.set_length(scene, "left", 389.5))
    states.append(document.dirty)
    document.save()
    states.append(document.dirty)
    assert states == [False, True, False]
    assert not document.changed_on_disk()
    assert value_of(read_scene(path), "shafts.left.length") == 389.5
    assert "# centre of the arm's inner bush" in path.read_text(encoding="utf-8")
    document.save(tmp_path / "other.toml")
    assert document.path == tmp_path / "other.toml"


def test_undoing_back_to_what_is_saved_leaves_nothing_to_save() -> None:
    document = Document(example(FIRST))
    document.apply("length", lambda scene: edits.set_length(scene, "left", 389.5))
    document.undo()
    assert not document.dirty


def test_a_file_changed_by_somebody_else_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text(FIRST), encoding="utf-8")
    document = Document.open(path)
    os.utime(path, ns=(1, 1))
    assert not document.changed_on_disk()
    write_scene(path, edits.set_length(document.scene, "left", 380.0))
    changed = [document.changed_on_disk()]
    document.keep_mine()
    changed.append(document.changed_on_disk())
    assert changed == [True, False]
    assert document.dirty
    path.unlink()
    assert not document.changed_on_disk()


def test_autosave_is_removed_on_a_clean_end_and_found_after_a_crash(tmp_path: Path) -> None:
    text = example_text(FIRST)
    keeper = Autosave(tmp_path)
    keeper.keep(text, None)
    assert leftovers(tmp_path) == ()
    keeper.close()
    assert list(tmp_path.iterdir()) == []
    crash = (
        "import os, sys, pathlib\n"
        "from sketcher.window.model.autosave import Autosave\n"
        "from scenes.library import example_text\n"
        "folder = pathlib.Path(sys.argv[1])\n"
        f"Autosave(folder).keep(example_text({FIRST!r}), folder / 'van.toml')\n"
        "os._exit(9)\n"
    )
    subprocess.run([sys.executable, "-c", crash, str(tmp_path)], check=False)
    (found,) = leftovers(tmp_path)
    assert found.scene == parse_scene(text)
    assert found.path == (tmp_path / "van.toml").resolve()
    document = Document.recovered(found.scene, found.text, found.path)
    assert document.dirty
    found.discard()
    assert leftovers(tmp_path) == ()


def test_a_damaged_autosave_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "unsaved-00.json").write_text('{"text": 3}', encoding="utf-8")
    (tmp_path / "unsaved-01.json").write_text("nonsense", encoding="utf-8")
    assert leftovers(tmp_path) == ()


def test_the_model_loads_without_a_screen() -> None:
    code = (
        "import sketcher.window.model.document, sketcher.window.model.autosave, sys; "
        "sys.exit('pygame' in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_what_there_is_none_of_is_said_and_taken_back() -> None:
    bare = replace(example("van-front"), brackets=(), gearbox_movement=GearboxMovement(1.0))
    solid, alone = edits.turn_solid_mounts(bare), edits.turn_nothing_near(bare)
    assert solid.gearbox_movement == GearboxMovement()
    assert solid.none_of == frozenset({"gearbox.movement"})
    assert alone.none_of == frozenset({"bracket"})
    assert edits.turn_nothing_near(alone) == bare
    # A bracket drawn after all, and nothing stands near no longer.
    assert edits.add_bracket(alone, ((0, 0), (9, 0), (9, 9))).none_of == frozenset()
    with pytest.raises(EditRefused, match="there are brackets here"):
        edits.turn_nothing_near(example("van-front"))


def test_what_is_tried_out_is_shown_and_is_no_step() -> None:
    document = Document(example(FIRST))
    seen = []
    for tried in (None, example("van-rear"), None):
        document.try_out(tried)
        seen.append((document.trying, document.scene))
        assert document.standing == example(FIRST)
        assert document.undo_label is None
    assert seen == [
        (False, example(FIRST)), (True, example("van-rear")), (False, example(FIRST)),
    ]  # fmt: skip


def test_brought_back_it_knows_its_file_as_it_was_when_the_work_was_kept(tmp_path: Path) -> None:
    path, scene = tmp_path / "van.toml", example(FIRST)
    path.write_text(example_text(FIRST), encoding="utf-8")
    kept = Document.open(path).on_disk
    assert not Document.recovered(scene, "", path).changed_on_disk()
    path.write_text(example_text(FIRST) + "\n# somebody else\n", encoding="utf-8")
    assert not Document.recovered(scene, "", path).changed_on_disk()
    assert Document.recovered(scene, "", path, kept).changed_on_disk()
    path.unlink()
    assert Document.recovered(scene, "", path, kept).on_disk is None
    assert Document.recovered(scene, "", None, kept).on_disk is None
