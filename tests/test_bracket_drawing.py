"""Drawing brackets: the open outline without a screen, and the window driven by posted events."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest
import shapely
from ezdxf import bbox
from ezdxf.filemanagement import new, readfile

from kinematics.errors import InvalidInput
from kinematics.gaps.outlines import Outline
from scenes.library import example
from sketcher.window.model import bracket_drawing
from sketcher.window.model.cutting_back import to_trim
from sketcher.window.model.document import Document
from sketcher.window.model.drawn_gap import DrawnGaps
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field
from sketcher.window.model.gestures import begin_drag
from sketcher.window.model.open_outline import Aids, OpenOutline, Shape, catchable
from sketcher.window.screen import bracket_files
from sketcher.window.screen.bracket_overlay import overlay
from sketcher.window.screen.dialogs import ChoiceDialog, Files, Pick
from sketcher.window.steps.commands import BY_KEYS, COMMANDS
from sketcher.window.steps.pages import keys_page
from sketcher.window.steps.rows import Note, Spot
from sketcher.window.steps.work_order import WORK_ORDER
from sketcher.words.units import LengthError
from tests.windowing import Hands

SQUARE: Outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))


@pytest.fixture
def hands() -> Iterator[Hands]:
    made = Hands()
    yield made
    made.editor.close()


@pytest.fixture
def editor() -> Iterator[Editor]:
    made = Editor(Document(example("van-front")))
    yield made
    made.close()


def drawn(open_outline: OpenOutline, *places: tuple[float, float]) -> OpenOutline:
    """The open outline after clicks at places."""
    for place in places:
        open_outline = open_outline.pointed(place).put(5.0)
    return open_outline


# The open outline.


def test_clicks_make_an_outline_and_the_first_corner_closes_it() -> None:
    open_outline = drawn(OpenOutline(), (0, 0), (40, 0), (40, 30))
    assert not open_outline.done
    open_outline = drawn(open_outline, (1, 2))
    assert open_outline.done
    assert open_outline.outline() == ((0, 0), (40, 0), (40, 30))


def test_enter_closes_without_the_place_pointed_at() -> None:
    open_outline = drawn(OpenOutline(), (0, 0), (40, 0), (40, 30)).pointed((200, 200)).finished()
    assert open_outline.outline() == ((0, 0), (40, 0), (40, 30))


def test_a_second_click_on_the_last_corner_closes() -> None:
    open_outline = drawn(OpenOutline(), (0, 0), (40, 0), (40, 30), (40, 30))
    assert open_outline.done
    # Two corners make no outline: the click is nothing.
    assert drawn(OpenOutline(), (0, 0), (40, 0), (40, 0)) == drawn(OpenOutline(), (0, 0), (40, 0))


def test_back_takes_the_last_corner_and_at_last_nothing() -> None:
    open_outline = drawn(OpenOutline(), (0, 0), (40, 0))
    assert open_outline.back().corners == ((0, 0),)
    assert open_outline.back().back().back().corners == ()


def test_a_crossing_run_is_told_and_never_finished() -> None:
    open_outline = drawn(OpenOutline(), (0, 0), (100, 100), (100, 0)).pointed((0, 100))
    assert "crosses itself" in open_outline.problem
    with pytest.raises(InvalidInput, match="crosses"):
        open_outline.put().finished()
    assert open_outline.pointed((200, 0)).problem == ""


def test_a_plate_has_its_thickness_pulled_or_typed() -> None:
    open_outline = drawn(OpenOutline("plate"), (0, 0), (100, 0)).finished()
    assert open_outline.thickness_mm is not None
    pulled = open_outline.pointed((50, 4.1))
    assert pulled.thickness_mm == 8.0
    assert shapely.Polygon(pulled.put().outline()).area == pytest.approx(800.0)
    typed = replace(pulled, typed='1/4"').entered("mm")
    assert typed.done
    assert shapely.Polygon(typed.outline()).area == pytest.approx(100 * 6.35)
    assert pulled.back().thickness_mm is None


def test_a_disc_holds_the_circle_that_was_drawn() -> None:
    open_outline = drawn(OpenOutline("round"), (10, 20), (10, 35))
    assert open_outline.done
    outline = shapely.Polygon(open_outline.outline())
    circle = shapely.Point(10, 20).buffer(15.0, quad_segs=256)
    assert outline.buffer(1e-6).covers(circle)
    assert outline.hausdorff_distance(circle) < 0.11


def test_a_disc_has_the_diameter_that_is_typed() -> None:
    pointed = drawn(OpenOutline("round"), (10, 20)).pointed((30, 20))
    disc = shapely.Polygon(replace(pointed, typed="80").entered("mm").outline())
    left, low, right, top = disc.bounds
    assert (right - left, top - low) == pytest.approx((80, 80), abs=0.3)


def test_a_hole_is_opened_to_the_edge() -> None:
    open_outline = drawn(OpenOutline("hole", within=SQUARE), (50, 50), (60, 50))
    left = shapely.Polygon(open_outline.outline())
    assert left.is_valid
    assert not left.contains(shapely.Point(50, 50))
    assert left.area < 10_000 - math.pi * 100
    with pytest.raises(InvalidInput):
        drawn(OpenOutline("hole", within=SQUARE), (500, 500), (510, 500))


@pytest.mark.parametrize(
    ("typed", "end"), [("25", (25.0, 0.0)), ("1 in", (25.4, 0.0)), ("7; 9", (7.0, 9.0))]
)
def test_a_length_or_a_place_is_typed_while_drawing(typed: str, end: tuple[float, float]) -> None:
    open_outline: OpenOutline | None = drawn(OpenOutline(), (0, 0)).pointed((300, 0))
    for character in typed:
        assert open_outline is not None
        open_outline = open_outline.types(character)
    assert open_outline is not None
    assert open_outline.entered("mm").corners[-1] == pytest.approx(end)


def test_what_is_typed_wrong_is_explained() -> None:
    open_outline = drawn(OpenOutline(), (0, 0)).pointed((300, 0))
    with pytest.raises(LengthError, match="expected"):
        replace(open_outline, typed="1;2;3").entered("mm")
    with pytest.raises(LengthError, match="first corner"):
        replace(OpenOutline(), typed="12").entered("mm")
    # A letter of its own is a key of the window, and no length.
    assert open_outline.types("m") is None
    assert open_outline.types(" ") is None


def test_right_angles_and_points_are_kept_when_asked() -> None:
    open_outline = drawn(OpenOutline(), (10, 10))
    assert open_outline.pointed((50, 14), Aids(square=True)).at == (50, 10)
    assert open_outline.pointed((50, 14), Aids(catch=((52, 13),), reach_mm=4)).at == (52, 13)
    assert open_outline.pointed((50, 14), Aids(catch=((62, 13),), reach_mm=4)).at == (50, 14)
    assert open_outline.pointed((51.4, 14), Aids(grid_mm=5.0)).at == (50, 15)


def test_points_to_catch_are_corners_and_what_was_measured(editor: Editor) -> None:
    points = catchable(editor.scene, "bracket[0]")
    assert editor.scene.brackets[1].outline[0] in points
    assert editor.scene.brackets[0].outline[0] not in points
    assert editor.scene.hub.outer_joint[:2] in points


@pytest.mark.parametrize("name", ["van-front", "van-rear", "van-rear-measured"])
def test_points_to_catch_exist_in_every_kind_of_linkage(name: str) -> None:
    assert all(len(point) == 2 for point in catchable(example(name)))


# Drags that keep to something, without a screen.


def dragged(editor: Editor, key: str, by: tuple[float, float]) -> None:
    editor.shown(exact=True)
    start = (300.0, 300.0)
    gesture = begin_drag(editor, "front", key, start)
    assert gesture is not None
    zoom = editor.cameras["front"].zoom
    gesture.move((start[0] + by[0] * zoom, start[1] - by[1] * zoom))
    gesture.drop()


def test_a_corner_dragged_with_right_angles_goes_level_with_its_neighbour(editor: Editor) -> None:
    outline = editor.scene.brackets[0].outline
    (x0, y0), (x1, _) = outline[0], outline[1]
    editor.snapping.square_on = True
    dragged(editor, "bracket[0].outline[1]", (30.0, 1.5))
    assert editor.scene.brackets[0].outline[1] == pytest.approx((x1 + 30.0, y0), abs=0.06)
    assert x0 != x1


def test_an_edge_dragged_with_right_angles_moves_square_to_itself(editor: Editor) -> None:
    before = editor.scene.brackets[0].outline
    editor.snapping.square_on = True
    dragged(editor, "bracket[0].edge[0]", (4.0, 9.0))
    after = editor.scene.brackets[0].outline
    along = (before[1][0] - before[0][0], before[1][1] - before[0][1])
    moved = (after[0][0] - before[0][0], after[0][1] - before[0][1])
    assert along[0] * moved[0] + along[1] * moved[1] == pytest.approx(0.0, abs=1e-2)
    assert math.hypot(*moved) > 1.0


def test_a_corner_catches_a_point(editor: Editor) -> None:
    corner = editor.scene.brackets[0].outline[1]
    x, y = target = (corner[0] + 12.34, corner[1] - 5.67)
    editor.add_bracket((target, (x + 20.0, y), (x + 20.0, y - 20.0)))
    editor.snapping.catch_on = True
    by = (target[0] - corner[0] + 1.0, target[1] - corner[1] + 1.0)
    dragged(editor, "bracket[0].outline[1]", by)
    assert editor.scene.brackets[0].outline[1] == target


def test_a_whole_bracket_goes_on_until_its_corner_catches_a_point(editor: Editor) -> None:
    outline = editor.scene.brackets[0].outline
    x, y = target = (outline[1][0] + 12.34, outline[1][1] - 5.67)
    editor.add_bracket((target, (x + 20.0, y), (x + 20.0, y - 20.0)))
    editor.snapping.catch_on = True
    editor.shown(exact=True)
    camera = editor.cameras["front"]
    drag = begin_drag(editor, "front", "bracket[0]", camera.to_screen(outline[1]))
    assert drag is not None
    drag.move(camera.to_screen((x + 1.0, y + 1.0)))
    drag.drop()
    moved = editor.scene.brackets[0].outline
    for (x1, y1), (x0, y0) in zip(moved, outline, strict=True):
        assert (x1 - x0, y1 - y0) == pytest.approx((12.34, -5.67), abs=1e-6)


def test_an_edge_length_is_set_along_the_edge(editor: Editor) -> None:
    (x0, y0), (x1, y1) = editor.scene.brackets[0].outline[:2]
    field = next(
        field
        for step in WORK_ORDER
        if step.name == "Brackets"
        for row in _rows_of(editor, "bracket[0]")
        for field in getattr(row, "fields", ())
        if field.key == "bracket[0].edge[0]"
    )
    assert editor.type(field, "2 in")
    new = editor.scene.brackets[0].outline
    assert math.dist(new[0], new[1]) == pytest.approx(50.8, abs=1e-3)
    assert (new[1][0] - x0) * (y1 - y0) == pytest.approx((new[1][1] - y0) * (x1 - x0), abs=1e-2)
    assert not editor.type(field, "0")
    assert editor.message is not None
    assert "above 0" in editor.message.text


def _rows_of(editor: Editor, selected: str) -> list[object]:
    editor.select(selected)
    shown = editor.shown(exact=True)
    return [
        row for step in WORK_ORDER if step.name == "Brackets" for row in step.rows(editor, shown)
    ]


def test_what_welding_on_the_car_needs_stands_with_the_brackets(editor: Editor) -> None:
    told = " ".join(row.text for row in _rows_of(editor, "bracket[0]") if isinstance(row, Note))
    assert "extinguisher ready" in told
    assert "more than 6 mm" in told


# The result.


def test_each_smallest_gap_is_told_and_a_click_goes_there() -> None:
    editor = Editor(Document(example("van-front-mount-fouls")))
    spots = [row for row in _rows_of(editor, "") if isinstance(row, Spot)]
    found = editor.shown(exact=True).solved
    assert found is not None
    assert len(spots) == len(found.found.gaps)
    worst = min(found.found.gaps, key=lambda gap: gap.worst.value)
    spot = next(spot for spot in spots if worst.worst.part in spot.text)
    assert spot.state == "past"
    assert "fouls" in spot.text
    assert "against" in spot.detail
    editor.go_to(spot.position)
    at = worst.worst.position
    assert (editor.travel_mm, editor.steer_deg) == (at.travel_mm, at.steer_deg)
    editor.close()


# In the window.


def screen(hands: Hands, *places: tuple[float, float]) -> list[tuple[float, float]]:
    camera = hands.editor.cameras["front"]
    return [camera.to_screen(place) for place in places]


def click(hands: Hands, at: tuple[float, float]) -> None:
    hands.press(at)
    hands.release(at)


def write(hands: Hands, text: str) -> None:
    """Keys pressed with no field to type into."""
    for character in text:
        code = pygame.key.key_code(character)
        hands.post(pygame.KEYDOWN, key=code, mod=0, unicode=character, scancode=0)
    hands.frames()


def drawing(hands: Hands) -> str:
    """The shape that is being drawn; empty for none."""
    return "" if hands.editor.open_outline is None else hands.editor.open_outline.shape


def free(hands: Hands) -> tuple[float, float]:
    """A place of the front view with room round it."""
    return hands.editor.cameras["front"].centre


@pytest.mark.parametrize(("key", "shape"), [("d", "outline"), ("l", "plate"), ("o", "round")])
def test_each_shape_is_one_step_and_selected(hands: Hands, key: str, shape: Shape) -> None:
    before = hands.editor.scene
    count = len(before.brackets)
    x, y = free(hands)
    first, second = screen(hands, (x, y), (x + 60, y + 40))
    hands.key(key)
    assert drawing(hands) == shape
    hands.drag(first, (second[0] - first[0], second[1] - first[1]))
    if shape == "plate":
        hands.key("return")
        hands.key("return")
    assert drawing(hands) == ""
    assert len(hands.editor.scene.brackets) == count + 1
    made = hands.editor.scene.brackets[count]
    assert (made.mounted_on, made.fore) == ("body", None)
    assert made.name
    assert hands.editor.selection == f"bracket[{count}]"
    hands.key("z", ctrl=True)
    assert hands.editor.scene == before
    hands.key("y", ctrl=True)
    assert len(hands.editor.scene.brackets) == count + 1


def test_backspace_takes_a_corner_back_and_removes_nothing(hands: Hands) -> None:
    before = hands.editor.scene
    hands.editor.select("bracket[0]")
    x, y = free(hands)
    hands.key("d")
    for at in screen(hands, (x, y), (x + 60, y), (x + 60, y + 40)):
        click(hands, at)
    hands.key("backspace")
    open_outline = hands.editor.open_outline
    assert open_outline is not None
    assert len(open_outline.corners) == 2
    assert hands.editor.scene is before


def test_a_length_is_typed_in_the_window(hands: Hands) -> None:
    x, y = free(hands)
    hands.key("d")
    start, along, up = screen(hands, (x, y), (x + 60, y), (x + 60, y + 60))
    click(hands, start)
    pygame.key.set_mods(pygame.KMOD_SHIFT)
    hands.move(along)
    pygame.key.set_mods(0)
    write(hands, "80.5")
    hands.key("return")
    open_outline = hands.editor.open_outline
    assert open_outline is not None
    assert math.dist(*open_outline.corners) == pytest.approx(80.5)
    assert hands.editor.steer_deg == 0.0
    hands.move(up)
    hands.key("return")
    assert hands.editor.open_outline is not None
    assert hands.editor.message is not None
    assert "three corners" in hands.editor.message.text


def test_a_crossing_outline_is_told_while_it_is_drawn(hands: Hands) -> None:
    before = hands.editor.scene
    x, y = free(hands)
    hands.key("d")
    for at in screen(hands, (x, y), (x + 60, y + 60), (x + 60, y)):
        click(hands, at)
    (last,) = screen(hands, (x, y + 60))
    hands.move(last)
    hands.frames(2)
    message = hands.editor.message
    assert message is not None
    assert "crosses itself" in message.text
    click(hands, last)
    hands.key("return")
    assert hands.editor.scene is before
    assert hands.editor.open_outline is not None
    hands.key("escape")
    assert hands.editor.open_outline is None


def test_the_gap_is_told_while_drawing_over_the_shaft(hands: Hands) -> None:
    hands.settle()
    pose = hands.editor.shown().pose
    assert pose is not None
    assert pose.shaft is not None
    inner, outer = pose.shaft.inner_joint, pose["hub.outer_joint"]
    middle = ((inner[0] + outer[0]) / 2, (inner[1] + outer[1]) / 2)
    hands.key("d")
    start, end = screen(hands, (middle[0] - 30, middle[1] - 30), (middle[0] + 30, middle[1] + 30))
    hands.press(start)
    hands.move(end)
    hands.frames(2)
    shown = hands.editor.shown()
    gaps = DrawnGaps()
    gaps.look(hands.editor, shown)
    texts = overlay(hands.editor, shown, gaps.look(hands.editor, shown)).texts
    assert any("fouls: overlap" in text for text in texts)
    assert any("over the travel" in text for text in texts)
    # And its two sides, which the drag changes.
    sides = [float(text.split()[0]) for text in texts if re.match(r"\d", text)]
    assert sum(side == pytest.approx(60.0, abs=1.5) for side in sides) == 2
    hands.post(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode="", scancode=0)
    assert hands.editor.open_outline is None
    assert hands.editor.document.undo_label is None


def test_a_drag_shows_the_lengths_that_it_changes(hands: Hands) -> None:
    hands.editor.select("bracket[0]")
    hands.frames(3)
    at = hands.at("bracket[0].outline[0]")
    hands.press(at)
    hands.move((at[0] - 20, at[1] + 10))
    hands.frames(2)
    texts = overlay(hands.editor, hands.editor.shown()).texts
    assert len(texts) == 3
    assert any(text.startswith("out ") for text in texts)
    hands.release((at[0] - 20, at[1] + 10))
    assert overlay(hands.editor, hands.editor.shown()).texts == ()


def test_a_hole_is_cut_into_the_selected_bracket_and_undone(hands: Hands) -> None:
    hands.key("h")
    assert hands.editor.open_outline is None
    hands.key("b")
    made = hands.editor.scene.brackets[-1]
    base = hands.editor.selection
    middle = shapely.Polygon(made.outline).centroid
    hands.key("h")
    start, rim = screen(hands, (middle.x, middle.y), (middle.x + 8, middle.y))
    hands.drag(start, (rim[0] - start[0], rim[1] - start[1]))
    outline = shapely.Polygon(hands.editor.scene.brackets[-1].outline)
    assert not outline.contains(middle)
    assert hands.editor.selection == base
    hands.key("z", ctrl=True)
    assert hands.editor.scene.brackets[-1] == made


def test_what_is_to_trim_is_shown_trimmed_at_once_and_undone() -> None:
    hands = Hands("van-front-mount-fouls")
    hands.editor.open_steps = {"Brackets"}
    hands.editor.select("bracket[0]")
    hands.until(lambda: to_trim(hands.editor))
    (cut,) = to_trim(hands.editor)
    assert cut.bracket == 0
    assert any("trim up to" in text for text in overlay(hands.editor, hands.editor.shown()).texts)
    before = hands.editor.scene
    hands.window.run("trim")
    assert hands.editor.scene != before
    assert hands.editor.message is not None
    assert "trim away" in hands.editor.message.text
    assert to_trim(hands.editor) == ()
    hands.key("z", ctrl=True)
    assert hands.editor.scene == before
    # More than all of it cannot be trimmed.
    assert hands.editor.type(Field("bracket[0].wanted_gap", "wanted gap"), "200")
    hands.until(lambda: to_trim(hands.editor))
    texts = overlay(hands.editor, hands.editor.shown()).texts
    assert "nothing would be left" in texts
    assert not any("trim up to" in text for text in texts)
    hands.editor.close()


def test_the_step_tells_the_gap_and_its_button_goes_there() -> None:
    hands = Hands("van-front-mount-fouls")
    hands.editor.open_steps = {"Brackets"}
    hands.settle()
    place = next(one for one in hands.window.panel.rows if isinstance(one.row, Spot))
    spot = place.row
    assert isinstance(spot, Spot)
    assert "fouls" in spot.text
    assert "against" in " ".join(place.lines)
    click(hands, hands.button(place.id))
    hands.frames(2)
    assert hands.editor.travel_mm == pytest.approx(spot.position.travel_mm, abs=1.0)
    assert hands.editor.selection == spot.key
    hands.editor.close()


def test_a_template_is_written_and_taken_in_again(hands: Hands, tmp_path: Path) -> None:
    hands.editor.select("bracket[0]")
    outline = hands.editor.scene.brackets[0].outline
    for suffix in (".dxf", ".svg", ".pdf"):
        hands.window.run("template")
        dialog = hands.window.dialog
        assert isinstance(dialog, Files)
        path = tmp_path / f"foot{suffix}"
        dialog._path.set_text(str(path))
        hands.key("return")
        assert path.stat().st_size > 100
        assert hands.editor.message is not None
        assert hands.editor.message.kind == "note"
    # The size as a general-purpose library reads it.
    extent = bbox.extents(readfile(tmp_path / "foot.dxf").modelspace())
    left, bottom, right, top = shapely.Polygon(outline).bounds
    assert (extent.size.x, extent.size.y) == pytest.approx((right - left, top - bottom))
    count = len(hands.editor.scene.brackets)
    hands.window.run("take_in")
    dialog = hands.window.dialog
    assert isinstance(dialog, Files)
    dialog._path.set_text(str(tmp_path / "foot.dxf"))
    hands.key("return")
    assert len(hands.editor.scene.brackets) == count + 1
    taken = hands.editor.scene.brackets[count]
    assert taken.name == "foot"
    difference = shapely.Polygon(taken.outline).symmetric_difference(shapely.Polygon(outline))
    assert difference.area < 0.01
    hands.key("z", ctrl=True)
    assert len(hands.editor.scene.brackets) == count


def test_drawings_that_leave_a_question_are_asked_about(hands: Hands, tmp_path: Path) -> None:
    document = new(units=0)
    for x in (0.0, 200.0):
        corners = [(x, 0.0), (x + 50.0, 0.0), (x + 50.0, 20.0)]
        document.modelspace().add_lwpolyline(corners, close=True)
    path = tmp_path / "two.dxf"
    document.saveas(path)
    count = len(hands.editor.scene.brackets)
    hands.editor.unit = "in"
    bracket_files.take_in(hands.editor, hands.window.put_up, path)
    assert isinstance(hands.window.dialog, ChoiceDialog)
    hands.key("return")
    assert isinstance(hands.window.dialog, Pick)
    # 50 by 20 mm, a triangle.
    assert "1: 1.969 in by 0.787 in, 3 corners, 0.78 in²" in hands.window.dialog._names
    hands.window.dialog._pick("1")
    hands.window.dialog.close()
    hands.window.dialog = None
    assert len(hands.editor.scene.brackets) == count + 1
    bracket_files.take_in(hands.editor, hands.window.put_up, tmp_path / "none.svg")
    assert hands.editor.message is not None
    assert "none.svg" in hands.editor.message.text
    assert str(tmp_path) not in hands.editor.message.text


def test_copying_selects_the_copy_and_corners_go_after_the_selected(hands: Hands) -> None:
    hands.editor.select("bracket[0]")
    hands.key("d", ctrl=True)
    last = len(hands.editor.scene.brackets) - 1
    assert hands.editor.selection == f"bracket[{last}]"
    corners = len(hands.editor.scene.brackets[last].outline)
    hands.editor.select(f"bracket[{last}].outline[1]")
    hands.window.run("add_corner")
    assert len(hands.editor.scene.brackets[last].outline) == corners + 1
    assert hands.editor.selection == f"bracket[{last}].outline[2]"


def test_the_keys_of_drawing_are_on_the_keys_page() -> None:
    page = keys_page()
    for name in ("draw_bracket", "draw_plate", "draw_round", "draw_hole", "keep_square"):
        command = COMMANDS[name]
        assert command.keys
        assert BY_KEYS[command.keys[0]] is command
        assert command.help.split("'")[0] in page
    assert "Backspace" in page


def test_drawing_on_another_document_begins_afresh(editor: Editor) -> None:
    bracket_drawing.take_up(editor, "outline")
    bracket_drawing.point(editor, (0.0, 0.0))
    editor.put(Document(example("van-rear")))
    assert editor.open_outline is None


def test_the_cursor_over_an_edge_tells_which_way_it_moves(editor: Editor) -> None:
    level, upright, slanted = (0.0, 0.0), (100.0, 0.0), (100.0, 100.0)
    editor.add_bracket((level, upright, slanted))
    base = f"bracket[{len(editor.scene.brackets) - 1}]"
    drawn_as = editor.scene.brackets[-1].outline
    for edge, (start, end) in enumerate(zip(drawn_as, (*drawn_as[1:], drawn_as[0]), strict=True)):
        (x1, y1), (x2, y2) = start, end
        wanted = (
            pygame.SYSTEM_CURSOR_SIZENS if y1 == y2
            else pygame.SYSTEM_CURSOR_SIZEWE if x1 == x2
            else pygame.SYSTEM_CURSOR_SIZENWSE
        )  # fmt: skip
        cursor = bracket_drawing.edge_cursor(editor.scene, f"{base}.edge[{edge}]")
        assert cursor == wanted, (start, end)
    gone = bracket_drawing.edge_cursor(editor.scene, f"{base}.edge[9]")
    assert gone == pygame.SYSTEM_CURSOR_ARROW


def test_brackets_without_a_name_are_counted(editor: Editor) -> None:
    for _ in range(3):
        editor.add_bracket(((0.0, 0.0), (50.0, 0.0), (50.0, 50.0)))
    assert [one.name for one in editor.scene.brackets[-3:]] == [
        "bracket 1", "bracket 2", "bracket 3",
    ]  # fmt: skip


@pytest.mark.parametrize("shape", ["outline", "hole"])
def test_what_is_drawn_counts_as_on_the_body_and_a_hole_as_its_bracket(shape: Shape) -> None:
    editor = Editor(Document(example("van-front-mount-fouls")))
    # A bracket far from any shaft's depth, which wants more than usual.
    scene = replace(
        editor.scene,
        brackets=(replace(editor.scene.brackets[0], fore=(900.0, 950.0), wanted_gap=17.0),),
    )
    editor.document.apply("far", lambda _: scene)
    editor.select("bracket[0]")
    shown = editor.shown(exact=True)
    assert shown.pose is not None
    assert shown.pose.shaft is not None
    x, y, _ = shown.pose.shaft.inner_joint
    corners = ((x + 60.0, y - 90.0), (x + 90.0, y - 90.0), (x + 90.0, y - 60.0))
    editor.open_outline = OpenOutline(
        shape, corners[:2], corners[2], within=scene.brackets[0].outline
    )
    gaps = DrawnGaps()
    gaps.look(editor, shown)
    gap = gaps.look(editor, shown)
    if gap.here is not None:
        assert gap.here.wanted_mm == (17.0 if shape == "hole" else 6.0)
        # As deep as it is, it stays far from the shaft; at every depth it is near.
        assert (gap.here.gap_mm > 500.0) == (shape == "hole")
    else:
        assert shape == "hole"
    editor.close()
