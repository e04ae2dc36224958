"""Nothing of the window goes missing, help covers no field, and inches go everywhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame
import pytest

from kinematics.parts import Measured, Travel
from scenes.library import example
from sketcher.drawing.fonts import font_px, width_px
from sketcher.window.model.document import Document
from sketcher.window.model.edits import set_value
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.screen.dialogs import ChoiceDialog
from sketcher.window.steps.rows import Spot
from sketcher.words.units import MM_PER_INCH
from tests.windowing import Hands


@pytest.fixture
def hands() -> Iterator[Hands]:
    made = Hands(size=(1280, 720))
    yield made
    made.editor.close()


def test_nothing_is_blank_while_it_plays_under_a_tooltip(hands: Hands) -> None:
    hands.settle()
    layout = hands.window.layout
    areas = (layout.answer, layout.plots, layout.readout, layout.above)
    hands.editor.play()
    foot = layout.foot
    hands.move((foot.right - 40.0, foot.top + foot.height / 2))
    for _ in range(60):
        hands.frames()
        for area in areas:
            rect = (area.left, area.top, area.width, area.height)
            seen = pygame.transform.average_color(hands.window.surface.subsurface(rect))
            blank = hands.window.surface.get_at((2, layout.panel.bottom - 2))
            assert seen[:3] != blank[:3]


def test_a_row_of_the_form_tells_what_it_is_beside_itself(hands: Hands) -> None:
    hands.editor.open_steps = {"Measure"}
    hands.frames(2)
    hands.move(hands.field("linkage.arm_pivot[1]"))
    hands.frames(60)
    (told,) = hands.window.callouts.shown
    assert "Above the level floor" in " ".join(told.lines)
    # It covers no field.
    assert told.rect[0] >= hands.window.layout.panel.right
    hands.move((640.0, 300.0))
    hands.frames(2)
    assert hands.window.callouts.shown == ()


def test_grid_and_arrow_keys_go_by_inches(hands: Hands) -> None:
    editor = hands.editor
    editor.toggle_unit()
    editor.select("linkage.strut_top")
    before = float(str(hands.value("linkage.strut_top[0]")))
    hands.key("right")
    assert hands.value("linkage.strut_top[0]") == pytest.approx(before + MM_PER_INCH / 8)
    hands.key("left", shift=True)
    step = MM_PER_INCH / 8 - MM_PER_INCH / 64
    assert hands.value("linkage.strut_top[0]") == pytest.approx(before + step)
    editor.toggle_grid()
    assert editor.message is not None
    assert '1/8"' in editor.message.text
    assert editor.grid_mm == pytest.approx(3.175)
    editor.toggle_unit()
    assert editor.grid_mm == 5.0


def test_travels_of_an_inch_scene_stay_as_they_are() -> None:
    bump, droop = 2.75 * MM_PER_INCH, 3.125 * MM_PER_INCH
    scene = replace(example("van-front"), travel=Travel(bump, droop))
    changed = change_linkage(scene, "measured")
    assert isinstance(changed.linkage, Measured)
    travels = [position.travel for position in changed.linkage.positions]
    assert travels == pytest.approx([-droop, -droop / 2, bump / 2, bump])
    hands = Hands(size=(1280, 720))
    hands.window.put(Document(changed))
    hands.editor.toggle_unit()
    hands.settle()
    texts = hands.window.canvas.seen["front"].picture.texts
    assert "measured at +2.750" in texts
    hands.editor.close()


def test_all_that_was_in_view_stays_in_view_at_another_size(hands: Hands) -> None:
    hands.settle()
    for size in ((960, 600), (1600, 900), (1024, 768)):
        hands.window.resize(pygame.display.set_mode(size))
        hands.frames(3)
        front = hands.window.layout.front
        for handle in hands.window.canvas.seen["front"].picture.handles:
            assert front.holds(hands.editor.cameras["front"].to_screen(handle.at)), handle.key
    hands.post(pygame.MOUSEMOTION, pos=front_middle(hands), rel=(0, 0), buttons=(0, 0, 0))
    hands.post(pygame.MOUSEWHEEL, x=0, y=3, precise_x=0.0, precise_y=3.0, flipped=False)
    zoom = hands.editor.cameras["front"].zoom
    hands.window.resize(pygame.display.set_mode((1280, 720)))
    assert hands.editor.cameras["front"].zoom == pytest.approx(zoom)


def front_middle(hands: Hands) -> tuple[int, int]:
    front = hands.window.layout.front
    return (front.left + front.width // 2, front.top + front.height // 2)


def test_what_stands_in_a_field_untaken_is_asked_about_before_it_goes(hands: Hands) -> None:
    hands.editor.open_steps = {"Measure"}
    hands.frames(2)
    hands.focus("travel.bump")
    for letter in "7o":
        hands.post(pygame.TEXTINPUT, text=letter)
    hands.key("n", ctrl=True)
    assert isinstance(hands.window.dialog, ChoiceDialog)
    assert "bump" in hands.window.dialog.text
    hands.key("escape")
    assert hands.window.form.typed == {"travel.bump": "7o"}


def test_help_goes_once_the_pointer_is_off_to_draw(hands: Hands) -> None:
    hands.editor.open_steps = {"Brackets"}
    hands.frames(2)
    at = hands.button("draw_bracket")
    hands.press(at)
    hands.release(at)
    hands.frames(60)
    assert hands.editor.open_outline is not None
    assert hands.window.callouts.shown
    hands.move((700.0, 330.0))
    hands.frames(2)
    assert hands.window.callouts.shown == ()


def test_the_wheel_goes_by_eighths_in_inches(hands: Hands) -> None:
    hands.key("page up")
    assert hands.editor.travel_mm == 1.0
    hands.key("home")
    hands.editor.toggle_unit()
    hands.key("page down")
    assert hands.editor.travel_mm == pytest.approx(-MM_PER_INCH / 8)


def test_what_is_said_of_a_bracket_with_a_long_name_stands_whole(hands: Hands) -> None:
    name = "Motor mount foot, welded to the subframe behind the rack"
    hands.editor.do("name", lambda scene: set_value(scene, "bracket[0].name", name))
    hands.editor.open_steps = {"Brackets"}
    hands.settle()
    (row,) = (
        place.row for place in hands.window.panel.rows
        if isinstance(place.row, Spot) and place.row.key == "bracket[0]"
    )  # fmt: skip
    room = hands.window.layout.panel.width - 58
    assert width_px(row.text, font_px("small", 1.0), bold=True) < room
    assert row.text.endswith("mm")


def test_both_diameters_of_a_taper_can_be_read_in_inches(hands: Hands) -> None:
    hands.editor.open_steps = {"Brackets"}
    hands.editor.toggle_unit()
    hands.frames(2)
    hands.window.panel.scroll_by(5000)
    hands.frames(2)
    for number, section in enumerate(hands.editor.scene.corner("left").shaft.sections):
        entry = hands.window.panel.widgets.entry(f"shafts.left.section[{number}].diameter")
        assert entry is not None
        text = entry.get_text()
        assert (" to " in text) == (section.diameter[0] != section.diameter[1])
        assert width_px(text, font_px("normal", 1.0)) < entry.rect.width - 6


def test_room_is_kept_for_what_is_to_be_trimmed(hands: Hands) -> None:
    hands.window.put(Document(example("van-front-mount-fouls")))
    hands.editor.open_steps = {"Brackets"}
    hands.editor.select("bracket[0]")
    hands.settle()
    before = hands.button("remove")
    hands.until(lambda: hands.shows("trim away"))
    assert hands.button("remove") == before
