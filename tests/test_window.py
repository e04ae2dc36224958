"""The real window, driven by events without a screen."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from scenes.errors import SceneError
from scenes.keys import value_of
from scenes.library import example, example_names, example_text
from scenes.reading import read_scene
from scenes.writing import write_scene
from sketcher.answers.position_values import ROWS
from sketcher.drawing.areas import natural_scale
from sketcher.window.model import autosave, bracket_drawing, edits
from sketcher.window.model.document import Document
from sketcher.window.model.start import start_scene
from sketcher.window.screen import app
from sketcher.window.screen.dialogs import ChoiceDialog, Files, PageDialog, Pick
from sketcher.window.screen.layout import lay_out
from sketcher.window.steps.command import by_window
from sketcher.window.steps.commands import BY_KEYS, COMMANDS, ON_FOOT
from sketcher.window.steps.pages import chord_words, keys_page, measure_list
from tests.windowing import Hands


@pytest.fixture
def hands() -> Iterator[Hands]:
    made = Hands()
    yield made
    made.editor.close()


def test_every_example_opens_and_shows_its_answer() -> None:
    for name in example_names():
        hands = Hands(name)
        hands.settle()
        shown = hands.editor.shown()
        assert shown.closes
        assert shown.solved is not None
        assert shown.solved.exact
        assert len(hands.window.canvas.rows) == ROWS


def test_the_window_does_what_commands_leave_to_it(hands: Hands) -> None:
    asked = {name for name, command in COMMANDS.items() if command.run is by_window}
    assert set(hands.window.acts()) == asked


def test_dragging_a_pivot_is_one_step_of_undo(hands: Hands) -> None:
    before = hands.editor.scene
    hands.drag(hands.at("linkage.arm_pivot"), (20.0, 0.0), steps=12)
    moved = hands.value("linkage.arm_pivot[0]")
    zoom = hands.editor.cameras["front"].zoom
    assert moved == pytest.approx(338 + 20 / zoom, abs=0.06 + 1 / zoom)
    assert hands.value("linkage.arm_pivot[2]") == 0.0
    assert hands.editor.selection == "linkage.arm_pivot"
    hands.key("z", ctrl=True)
    assert hands.editor.scene is before
    hands.key("y", ctrl=True)
    assert hands.value("linkage.arm_pivot[0]") == moved


def test_escape_during_a_drag_gives_back_what_was(hands: Hands) -> None:
    before = hands.editor.scene
    start = hands.at("hub.outer_joint")
    hands.press(start)
    hands.move((start[0] + 30, start[1] + 5))
    hands.frames(2)
    assert hands.editor.scene is not before
    hands.key("escape")
    assert hands.editor.scene is before
    assert hands.editor.document.undo_label is None


def test_a_click_selects_and_moves_nothing(hands: Hands) -> None:
    before = hands.editor.scene
    at = hands.at("linkage.ball_joint")
    hands.press(at)
    hands.release(at)
    assert hands.editor.selection == "linkage.ball_joint"
    assert hands.editor.open_steps == {"Measure"}
    assert hands.editor.scene is before


def test_arrow_keys_push_by_a_millimetre_or_a_tenth(hands: Hands) -> None:
    hands.editor.select("linkage.strut_top")
    hands.key("right")
    hands.key("up", shift=True)
    assert hands.value("linkage.strut_top") == (576.0, 790.1, -30.0)


def test_a_value_typed_in_inches_is_kept_in_mm(hands: Hands) -> None:
    hands.editor.open_steps = {"Measure"}
    hands.frames(2)
    hands.focus("linkage.arm_pivot[1]")
    hands.frames(2)
    hands.type('8 1/8"')
    assert hands.value("linkage.arm_pivot[1]") == pytest.approx(8.125 * 25.4)


def test_a_wrong_value_is_explained_and_changes_nothing(hands: Hands) -> None:
    before = hands.editor.scene
    hands.editor.open_steps = {"Length"}
    hands.frames(2)
    hands.focus("shafts.left.length")
    hands.frames(2)
    hands.type("long")
    assert hands.editor.scene is before
    message = hands.editor.message
    assert message is not None
    assert "expected a length" in message.text
    assert "long" in message.text


def test_letters_typed_in_a_field_are_no_commands(hands: Hands) -> None:
    hands.editor.open_steps = {"Length"}
    hands.frames(2)
    hands.focus("shafts.left.length")
    hands.frames(2)
    hands.key("g")
    hands.key("delete")
    assert hands.editor.grid_mm is None


def test_typing_in_a_field_lights_the_thing(hands: Hands) -> None:
    hands.editor.open_steps = {"Measure"}
    hands.frames(2)
    hands.focus("hub.wheel_centre[1]")
    hands.frames(2)
    assert hands.editor.lit == "hub.wheel_centre"


def test_the_plots_the_wheel_and_keys_move_the_travel(hands: Hands) -> None:
    hands.settle()
    where = hands.window.canvas.plots.where
    assert where is not None
    box = where.box
    middle = where.camera.to_screen(((box.left + box.right) / 2, (box.bottom + box.top) / 2))
    right = where.camera.to_screen((box.right, box.top))[0]
    hands.drag(middle, (right - middle[0] - 1, 0.0))
    assert hands.editor.travel_mm == pytest.approx(70.0, abs=1.0)
    hands.key("home")
    assert hands.editor.travel_mm == 0.0
    hands.key("page up")
    hands.key("page up")
    assert hands.editor.travel_mm == 2.0
    hands.key("page down", shift=True)
    assert hands.editor.travel_mm == -80.0
    hands.key(".", shift=True)
    assert hands.editor.steer_deg == 35.0
    assert hands.editor.document.undo_label is None


def test_steering_control_and_playing(hands: Hands) -> None:
    area = hands.window.layout.steer
    hands.drag((area.left + area.width / 2, area.top + 34), (-500.0, 0.0))
    assert hands.editor.steer_deg == -29.0
    hands.key("p")
    assert hands.editor.playing
    hands.frames(40)
    assert hands.editor.travel_mm != 0.0
    hands.key("p")
    assert not hands.editor.playing


def test_the_mark_in_the_bar_changes_the_length(hands: Hands) -> None:
    hands.settle()
    bar = hands.window.layout.bar
    hands.drag((bar.left + bar.width * 0.45, bar.top + 30), (bar.width * 0.2, 0.0))
    length = hands.value("shafts.left.length")
    assert isinstance(length, float)
    assert length > 392.0
    hands.key("z", ctrl=True)
    assert hands.value("shafts.left.length") == 391


def test_length_buttons(hands: Hands) -> None:
    hands.settle()
    hands.window.run("ride_centred")
    assert hands.value("shafts.left.length") == 390.5
    hands.window.run("middle")
    found = hands.editor.shown(exact=True).solved
    assert found is not None
    window = found.found.window
    assert window is not None
    middle = (window.shortest_mm + window.longest_mm) / 2
    assert hands.value("shafts.left.length") == pytest.approx(middle, abs=0.051)
    hands.window.run("undecided")
    assert hands.value("shafts.left.length") is None


def test_sides_switch_and_a_missing_side_starts_as_a_copy() -> None:
    hands = Hands("van-rear")
    hands.window.put(Document(replace(hands.editor.scene, right=None)))
    hands.key("s")
    sides = [hands.editor.side]
    assert hands.editor.scene.right == hands.editor.scene.left
    hands.key("z", ctrl=True)
    assert [*sides, hands.editor.side] == ["right", "left"]
    hands.settle()


def test_brackets_are_added_shaped_and_removed(hands: Hands) -> None:
    count = len(hands.editor.scene.brackets)
    hands.key("b")
    assert len(hands.editor.scene.brackets) == count + 1
    key = f"bracket[{count}]"
    assert hands.editor.selection == key
    hands.frames(3)
    corner = f"{key}.outline[2]"
    before = hands.value(corner)
    hands.drag(hands.at(corner), (12.0, -6.0))
    assert hands.value(corner) != before
    hands.window.run("turn_left")
    hands.key("delete")
    assert len(value_of(hands.editor.scene, f"{key}.outline")) == 3
    hands.editor.select(key)
    hands.key("delete")
    assert len(hands.editor.scene.brackets) == count


def test_a_bracket_is_drawn_by_dragging_or_corner_by_corner(hands: Hands) -> None:
    hands.settle()
    count = len(hands.editor.scene.brackets)
    camera = hands.editor.cameras["front"]
    hands.key("d")
    start = camera.to_screen((340.0, 470.0))
    hands.drag(start, (40.0, 30.0))
    outline = value_of(hands.editor.scene, f"bracket[{count}].outline")
    assert len(outline) == 4
    assert outline[3] == pytest.approx((340.0, 470.0), abs=1.5)
    hands.key("d")
    for corner in ((300.0, 410.0), (380.0, 410.0), (340.0, 440.0)):
        at = camera.to_screen(corner)
        hands.press(at)
        hands.release(at)
    hands.key("return")
    triangle = value_of(hands.editor.scene, f"bracket[{count + 1}].outline")
    assert triangle[2] == pytest.approx((340.0, 440.0), abs=1.5)
    hands.key("d")
    hands.key("escape")
    assert hands.editor.open_outline is None
    assert len(hands.editor.scene.brackets) == count + 2


def test_an_outline_that_crosses_itself_is_refused(hands: Hands) -> None:
    count = len(hands.editor.scene.brackets)
    bracket_drawing.take_up(hands.editor, "outline")
    for corner in ((0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)):
        bracket_drawing.point(hands.editor, corner)
        bracket_drawing.put_corner(hands.editor)
    bracket_drawing.finish(hands.editor)
    assert len(hands.editor.scene.brackets) == count
    assert hands.editor.message is not None
    assert "cross" in hands.editor.message.text


def test_shift_keeps_the_pencil_to_right_angles(hands: Hands) -> None:
    bracket_drawing.take_up(hands.editor, "outline")
    bracket_drawing.point(hands.editor, (10.0, 10.0))
    bracket_drawing.put_corner(hands.editor)
    hands.editor.snapping.square_held = True
    bracket_drawing.point(hands.editor, (50.0, 14.0))
    assert hands.editor.open_outline is not None
    assert hands.editor.open_outline.at == (50.0, 10.0)


def test_a_double_click_on_an_edge_puts_a_corner_there(hands: Hands) -> None:
    hands.key("b")
    hands.frames(3)
    base = hands.editor.selection
    (x1, y1), (x2, y2) = value_of(hands.editor.scene, f"{base}.outline")[2:4]
    at = hands.editor.cameras["front"].to_screen(((x1 + x2) / 2, (y1 + y2) / 2))
    for _ in range(2):
        hands.press(at)
        hands.release(at)
    assert len(value_of(hands.editor.scene, f"{base}.outline")) == 5


def test_what_a_bracket_is_mounted_on_is_chosen_from_a_list(hands: Hands) -> None:
    hands.editor.select("bracket[0]")
    hands.editor.open_steps = {"Brackets"}
    hands.frames(4)
    at = hands.field("bracket[0].mounted_on")
    hands.press(at)
    hands.release(at)
    hands.frames(3)
    (beside,) = hands.window.callouts.shown
    words = [answer.words for answer in beside.answers]
    rects = [rect for _, rect in hands.window.callouts.places(beside)]
    last = rects[words.index("gearbox")].center
    hands.press(last)
    hands.release(last)
    hands.frames(3)
    assert hands.value("bracket[0].mounted_on") == "gearbox"
    hands.key("z", ctrl=True)
    assert hands.value("bracket[0].mounted_on") == "body"


def test_a_bracket_is_trimmed_to_clear_in_one_step() -> None:
    hands = Hands("van-front-mount-fouls")
    outline = hands.value("bracket[0].outline")
    hands.editor.select("bracket[0]")
    hands.window.run("trim")
    started = [hands.editor.worker.pending]
    hands.until(lambda: not hands.editor.worker.pending)
    assert started == [True]
    assert hands.value("bracket[0].outline") != outline
    found = hands.editor.shown(exact=True).solved
    assert found is not None
    assert all(gap.worst.to_spare > -0.01 for gap in found.found.gaps)
    hands.key("z", ctrl=True)
    assert hands.value("bracket[0].outline") == outline
    hands.editor.close()


def test_a_pose_that_cannot_close_is_told_and_undone(hands: Hands) -> None:
    hands.settle()
    hands.editor.do("far", lambda s: edits.move_point(s, "linkage.arm_pivot", (669.0, 188.0)))
    hands.editor.set_travel(40.0)
    hands.settle()
    shown = hands.editor.shown()
    assert "out of reach" in shown.problem
    assert not shown.closes
    assert shown.pose is not None
    assert hands.window.canvas.seen["front"].picture.with_role("unreached")
    hands.key("z", ctrl=True)
    hands.settle()
    assert hands.editor.shown().problem == ""


def test_a_shaft_that_is_too_short_is_told(hands: Hands) -> None:
    hands.editor.do("short", lambda s: edits.set_length(s, "left", 8.0))
    hands.settle()
    assert "too short" in hands.editor.shown().problem or "reaches" in hands.editor.shown().problem


def test_zoom_keeps_what_is_under_the_pointer(hands: Hands) -> None:
    at = hands.at("linkage.arm_pivot")
    hands.move(at)
    hands.post(pygame.MOUSEWHEEL, x=0, y=3, precise_x=0.0, precise_y=3.0, flipped=False)
    hands.frames(2)
    assert hands.at("linkage.arm_pivot") == pytest.approx(at, abs=1.5)
    hands.drag((hands.window.layout.front.right - 40, 300), (-50.0, 20.0), button=2)
    assert hands.at("linkage.arm_pivot") == pytest.approx((at[0] - 50, at[1] + 20), abs=1.5)
    hands.key("f")
    hands.frames(2)
    assert hands.at("linkage.arm_pivot") == pytest.approx(at, abs=1.5)


def test_dragging_the_wheel_in_both_views(hands: Hands) -> None:
    hands.settle()
    wheel = hands.editor.cameras["front"].to_screen((735.0, 480.0))
    hands.drag(wheel, (0.0, -20.0))
    assert hands.editor.travel_mm == pytest.approx(20 / hands.editor.cameras["front"].zoom, abs=1.1)
    above = hands.editor.cameras["above"].to_screen((716.0, 220.0))
    hands.drag(above, (8.0, 0.0))
    assert hands.editor.steer_deg > 2.0


def test_points_move_from_above_too(hands: Hands) -> None:
    hands.settle()
    up = hands.value("linkage.ball_joint[1]")
    hands.drag(hands.at("linkage.ball_joint", "above"), (0.0, -8.0))
    assert hands.value("linkage.ball_joint[1]") == up
    assert float(str(hands.value("linkage.ball_joint[2]"))) > 6.0


def test_units_theme_and_scale_change_at_a_key(hands: Hands) -> None:
    hands.key("u")
    assert hands.editor.unit == "in"
    hands.key("t")
    assert hands.editor.theme == "dark"
    pixel = hands.window.surface.get_at((4, 400))
    assert max(pixel[:3]) < 60
    hands.key("=", ctrl=True)
    assert hands.window.layout.scale == 1.25
    hands.settle()


def test_save_reopen_and_exports(hands: Hands, tmp_path: Path) -> None:
    hands.editor.do("length", lambda s: edits.set_length(s, "left", 392.5))
    hands.key("s", ctrl=True)
    dialog = hands.window.dialog
    assert isinstance(dialog, Files)
    path = tmp_path / "mine.toml"
    hands.type(str(path))
    assert hands.window.dialog is None
    assert value_of(read_scene(path), "shafts.left.length") == 392.5
    assert not hands.editor.document.dirty
    hands.key("t", ctrl=True)
    hands.type(str(tmp_path / "table.csv"))
    with (tmp_path / "table.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert {row["steer_deg"] for row in rows} == {"-29.000000", "0.000000", "35.000000"}
    for name in ("sketch.png", "sketch.svg"):
        hands.key("p", ctrl=True)
        hands.type(str(tmp_path / name))
    assert pygame.image.load(tmp_path / "sketch.png").get_width() >= 1000
    hands.key("p", ctrl=True, shift=True)
    hands.type(str(tmp_path / "sheet.pdf"))
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    head = (tmp_path / "sketch.svg").read_text(encoding="utf-8")[:400]
    assert re.search(r'width="[\d.]+mm"', head)


def test_unsaved_changes_are_asked_about(hands: Hands) -> None:
    hands.editor.do("length", lambda s: edits.set_length(s, "left", 392.5))
    hands.post(pygame.QUIT)
    assert isinstance(hands.window.dialog, ChoiceDialog)
    hands.key("escape")
    assert hands.window.running
    hands.key("n", ctrl=True)
    hands.key("escape")
    assert hands.value("shafts.left.length") == 392.5


def test_nothing_is_asked_where_nothing_is_lost(hands: Hands) -> None:
    hands.window.quit()
    assert hands.window.dialog is None
    assert not hands.window.running


def test_a_file_that_cannot_be_read_is_explained(hands: Hands, tmp_path: Path) -> None:
    before = hands.editor.scene
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\n[hub]\n", encoding="utf-8")
    hands.window.open_file(bad)
    assert hands.editor.scene is before
    message = hands.editor.message
    assert message is not None
    assert message.text.startswith("bad.toml: ")
    assert "more" in message.text


def test_a_file_changed_on_disk_is_noticed(hands: Hands, tmp_path: Path) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text("van-front"), encoding="utf-8")
    hands.window.open_file(path)
    write_scene(path, edits.set_length(hands.editor.scene, "left", 388.0))
    hands.window.notice_disk()
    assert hands.value("shafts.left.length") == 388.0
    hands.editor.do("length", lambda s: edits.set_length(s, "left", 390.0))
    write_scene(path, edits.set_length(hands.editor.scene, "left", 387.0))
    hands.window.notice_disk()
    assert isinstance(hands.window.dialog, ChoiceDialog)


def test_unsaved_work_of_a_crash_is_offered(hands: Hands) -> None:
    lost = edits.set_length(example("van-front"), "left", 377.0)
    done: list[str] = []
    acts = (lambda: done.append("taken"), lambda: done.append("thrown away"))
    hands.window.offer("found", Document.recovered(lost, "", None), *acts)
    hands.frames(2)
    hands.key("return")
    assert done == ["taken"]
    assert hands.value("shafts.left.length") == 377.0
    assert hands.editor.document.dirty


def test_the_window_opens_and_ends(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text("van-rear"), encoding="utf-8")
    folder = tmp_path / "state"
    monkeypatch.setattr(autosave, "state_folder", lambda: folder)
    pygame.display.init()
    pygame.event.post(pygame.Event(pygame.QUIT))
    assert app.run(path) == 0
    assert list(folder.iterdir()) == []
    with pytest.raises(SceneError):
        app.run(tmp_path / "none.toml")


def test_unsaved_work_is_kept_and_forgotten_once_saved(hands: Hands, tmp_path: Path) -> None:
    keeper = autosave.Autosave(tmp_path / "state")
    app.keep(hands.window, keeper)
    assert not list((tmp_path / "state").glob("*.json"))
    hands.editor.do("length", lambda s: edits.set_length(s, "left", 392.5))
    app.keep(hands.window, keeper)
    (kept,) = (tmp_path / "state").glob("*.json")
    assert "392.5" in kept.read_text(encoding="utf-8")
    hands.editor.document.save(tmp_path / "van.toml")
    app.keep(hands.window, keeper)
    assert not kept.exists()
    keeper.close()


def test_pages_open_and_close(hands: Hands) -> None:
    hands.key("f1")
    assert isinstance(hands.window.dialog, PageDialog)
    hands.key("escape")
    hands.key("m")
    assert isinstance(hands.window.dialog, PageDialog)
    hands.key("return")
    hands.key("e", ctrl=True)
    assert isinstance(hands.window.dialog, Pick)
    hands.key("escape")
    assert hands.window.dialog is None


def test_the_keys_page_shows_every_key() -> None:
    page = keys_page()
    for chord in BY_KEYS:
        assert chord_words(chord) in page
    assert {name for group in ON_FOOT for name in group} <= set(COMMANDS)


def test_the_measure_list_names_every_point_and_the_dangers() -> None:
    for scene in (example("van-front"), example("van-rear")):
        words = " ".join(item.what for item in measure_list(scene))
        for name in type(scene.linkage).__slots__:
            assert name.split("_")[-1] in words
        assert all(item.how and item.tool for item in measure_list(scene))
    tools = " ".join(item.tool for item in measure_list(example("van-front")))
    assert "spring compressor" in tools
    assert "axle stands" in tools


def test_an_empty_scene_starts_from_a_layout_that_works() -> None:
    hands = Hands()
    hands.window.new()
    hands.settle()
    shown = hands.editor.shown()
    assert hands.editor.scene == start_scene()
    assert shown.problem == ""
    assert shown.solved is not None
    assert not shown.solved.found.broken


@pytest.mark.parametrize("size", [(1280, 720), (1280, 800), (1920, 1080), (3840, 2160)])
def test_areas_stay_apart_and_the_sketch_is_the_largest(size: tuple[int, int]) -> None:
    layout = lay_out(*size, natural_scale(size[1]), ROWS)
    areas = [
        layout.strip, layout.panel, layout.readout, layout.front, layout.plots, layout.steer,
        layout.foot,
    ]  # fmt: skip
    for i, one in enumerate(areas):
        assert one.left >= 0
        assert one.right <= size[0]
        assert one.bottom <= size[1]
        for other in areas[i + 1 :]:
            apart = (
                one.right <= other.left
                or other.right <= one.left
                or one.bottom <= other.top
                or other.bottom <= one.top
            )
            assert apart
    sizes = {area: area.width * area.height for area in areas}
    assert max(sizes, key=lambda area: sizes[area]) == layout.front


def test_commands_load_no_window() -> None:
    code = (
        "import sketcher.__main__, sys; "
        "sys.exit('sketcher.window' in sys.modules or 'pygame_gui' in sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_a_window_too_small_or_a_scale_too_large_still_draws() -> None:
    hands = Hands(size=(1280, 720))
    for _ in range(14):
        hands.key("=", ctrl=True)
    assert hands.window.layout.screen.width <= 1280
    hands.window.resize(pygame.display.set_mode((640, 400)))
    hands.frames(3)
    hands.window.resize(pygame.display.set_mode((1280, 800)))
    for _ in range(20):
        hands.key("-", ctrl=True)
    hands.settle()
