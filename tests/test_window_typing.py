"""What is typed is followed at once and taken when the field is left; a reading's line, too."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame
import pytest

from kinematics.sure.readings import Reading
from scenes.library import example
from sketcher.answers.points import settle_scene, settled_scene
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, show
from sketcher.window.model.form import Form
from sketcher.window.model.reading_text import line_of, parse_reading
from sketcher.window.model.typed_edits import tried_out
from sketcher.window.screen.bars import hint_for
from sketcher.window.steps.reading_answers import settled_shown
from sketcher.window.steps.reading_rows import ADD_READING
from sketcher.window.steps.rows import FieldRow, Note
from sketcher.words.points import short_residual
from tests.windowing import Hands

READ = "van-front-readings"
BALL, PIVOT, HOLE = "linkage.ball_joint", "linkage.arm_pivot", "mark.rail hole"
SCENE = example(READ)
# Ball joint to rail hole, 335 mm.
PLACE = next(n for n, one in enumerate(SCENE.readings)
             if one.points == (BALL, HOLE) and not one.travel)  # fmt: skip
NUMBER, LINE = f"reading[{PLACE}].distance", f"reading[{PLACE}].line"


@pytest.fixture
def hands() -> Iterator[Hands]:
    made = Hands(READ, (1280, 720))
    made.editor.open_steps = {"Measure", "Measure/Readings"}
    made.frames(3)
    yield made
    made.editor.close()


def begin(hands: Hands, text: str) -> None:
    """Type a text into the field in hand, and leave it there."""
    hands.key("a", ctrl=True)
    for letter in text:
        hands.post(pygame.TEXTINPUT, text=letter)
        hands.frames(2)
    hands.frames(2)


def test_a_reading_that_is_typed_takes_the_points_along_before_it_is_taken(hands: Hands) -> None:
    editor, before = hands.editor, hands.editor.scene
    hands.focus(NUMBER)
    begin(hands, "33")
    assert editor.scene is before, "half a number is none"
    begin(hands, "337.5")
    assert editor.document.standing is before
    assert editor.scene.readings[PLACE].value == 337.5
    wanted = settled_scene(replace(before, readings=editor.scene.readings))
    for path, at in wanted.points.items():
        assert editor.scene.points[path] == pytest.approx(at, abs=0.1), path
    told = settled_shown(editor)
    assert told is not None
    assert told.readings[PLACE].reading.value == 337.5
    rows = [place.row for place in hands.window.panel.rows if place.has(NUMBER)]
    assert isinstance(rows[0], FieldRow)
    assert rows[0].label == short_residual(told.readings[PLACE])
    assert not editor.document.dirty
    assert editor.document.undo_label is None
    assert "distance = 335" in editor.document.text, "what is only being typed is not saved"
    hands.key("escape")
    assert editor.scene is before
    assert not editor.document.trying


def test_what_was_followed_is_taken_as_one_step(hands: Hands) -> None:
    editor, before = hands.editor, hands.editor.scene
    hands.focus(NUMBER)
    begin(hands, "337.5")
    hands.key("return")
    assert editor.document.standing.readings[PLACE].value == 337.5
    assert settle_scene(editor.scene).drawn_off_mm < 0.05
    editor.undo()
    assert editor.scene == before
    assert editor.document.undo_label is None


def test_a_reading_typed_from_paper_is_followed_and_no_row_comes_before_it_is_taken(
    hands: Hands,
) -> None:
    editor, count = hands.editor, len(hands.editor.scene.readings)
    hands.focus(ADD_READING)
    begin(hands, "A E 327")
    assert editor.scene.readings[count:] == (
        Reading("distance", (PIVOT, "hub.outer_joint"), 327.0),
    )
    assert len(editor.document.standing.readings) == count
    assert not [place for place in hands.window.panel.rows if place.has(f"reading[{count}].error")]
    begin(hands, "A E")
    assert hands.window.form.typed[ADD_READING] == "A E"
    hands.key("escape")
    assert editor.scene.readings == SCENE.readings


def test_residuals_do_not_wait_for_what_takes_longer(
    hands: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(hands.editor.worker, "go_on", lambda *_, **__: None)
    assert hands.editor.type(Field(NUMBER, "reading"), "336")
    hands.frames(2)
    told = settled_shown(hands.editor)
    assert told is not None
    assert told.readings[PLACE].reading.value == 336.0


def test_a_coordinate_that_is_typed_moves_its_point(hands: Hands) -> None:
    editor, key = hands.editor, f"{BALL}[1]"
    hands.focus(key)
    begin(hands, "194")
    assert editor.scene.points[BALL][1] == 194.0
    assert editor.document.standing.points[BALL][1] != 194.0
    begin(hands, "194 mmm")
    assert editor.scene.points[BALL][1] == 194.0, "the last that could be read stays"
    hands.key("escape")
    assert editor.scene == SCENE


@pytest.mark.parametrize(
    ("key", "kind", "text"),
    [
        (NUMBER, "length", "-3"),
        (NUMBER, "length", "1 3/"),
        (NUMBER, "length", "3000"),
        (ADD_READING, "reading", "B nowhere 330"),
        (ADD_READING, "reading", ""),
        (LINE, "reading_line", "B"),
        ("reading[99].line", "reading_line", "A B 330"),
        ("reading[99].up", "length", "330"),
        (f"{BALL}[0]", "length", ""),
        ("reading[0].travel", "length", "9000"),
        ("title", "text", "another"),
        ("travel.bump", "length", "60"),
    ],
)
def test_what_makes_no_scene_is_not_followed(key: str, kind: str, text: str) -> None:
    field = Field(key, "field", kind)  # type: ignore[arg-type]
    found = tried_out(SCENE, field, text, "mm", {})
    assert found is None


def test_a_reading_that_is_there_already_is_followed_as_another_one() -> None:
    again = line_of(SCENE, SCENE.readings[PLACE])
    found = tried_out(SCENE, Field(ADD_READING, "reading", "reading"), again, "mm", {})
    assert found is not None
    assert found[0].readings[-1] == SCENE.readings[PLACE]
    other = line_of(SCENE, SCENE.readings[0])
    found = tried_out(SCENE, Field(LINE, "reading", "reading_line"), other, "mm", {})
    assert found is not None
    assert found[0].readings[PLACE] == SCENE.readings[0]


def test_what_waits_in_another_field_is_not_followed() -> None:
    editor, form = Editor(Document(SCENE)), Form()
    field, other = Field(NUMBER, "reading"), Field("reading[0].up", "reading")
    form.enter(field)
    form.write(field, "337.5")
    assert form.follow(editor)
    assert not form.follow(editor), "once is enough"
    assert editor.scene is not SCENE
    form.write(field, "no number")
    form.follow(editor)
    assert not form.leave(editor)
    assert editor.scene is SCENE
    form.enter(other)
    form.follow(editor)
    assert editor.scene is SCENE
    editor.close()


def test_a_refused_reading_is_not_lost_when_the_list_goes_on(hands: Hands) -> None:
    form, editor, count = hands.window.form, hands.editor, len(hands.editor.scene.readings)
    hands.focus(ADD_READING)
    hands.type("B Q 230")
    assert form.typed[ADD_READING] == "B Q 230"
    # The same number is what was refused, mended.
    hands.type("B E 230 at nowhere")
    assert not editor.put_aside
    hands.type("F fore 1")
    assert editor.scene.readings[count:] == (Reading("fore", ("hub.wheel_centre",), 1.0),)
    (aside,) = editor.put_aside.values()
    assert form.text(aside, editor) == "B E 230 at nowhere"
    assert form.said[aside.key].kind == "refused"
    rows = [place.row for place in hands.window.panel.rows if place.has(aside.key)]
    assert isinstance(rows[0], FieldRow)
    assert rows[0].label == "not taken"
    assert form.in_hand is not None
    assert form.in_hand.key == ADD_READING, "the next one follows"
    hands.focus(aside.key)
    hands.type("A fore 2")
    assert editor.scene.readings[-1] == Reading("fore", (PIVOT,), 2.0)
    assert not editor.put_aside
    hands.type("B nowhere 7")
    hands.type("G fore 3")
    hands.focus(next(iter(editor.put_aside)))
    hands.key("a", ctrl=True)
    hands.key("backspace")
    hands.key("return")
    hands.frames(2)
    assert not editor.put_aside
    assert not form.refused
    assert len(editor.scene.readings) == count + 3


# The line of a reading.


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_every_reading_has_a_line_that_is_read_back_as_it_was(unit: str) -> None:
    own = Reading("slope", (PIVOT, BALL), 5.7, error=0.3, travel=50.0, steer=-4.5)
    for reading in (*SCENE.readings, own):
        back = parse_reading(SCENE, line_of(SCENE, reading, unit), unit)  # type: ignore[arg-type]
        assert (back.kind, back.points, back.error is None) == (
            reading.kind, reading.points, reading.error is None,
        )  # fmt: skip
        for name in ("value", "travel", "steer", "limit"):
            assert getattr(back, name) == pytest.approx(getattr(reading, name), abs=5e-4)


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("B F 115", Reading("distance", (BALL, "hub.wheel_centre"), 115.0)),
        ("B J rise 232", Reading("rise", (BALL, HOLE), 232.0)),
        ("ball joint across 1336 ±2 at -60",
         Reading("across", (BALL,), 1336.0, error=2.0, travel=-60.0)),
    ],
)  # fmt: skip
def test_kind_and_points_of_a_reading_are_changed_in_its_line(line: str, meant: Reading) -> None:
    named = line_of(SCENE, SCENE.readings[PLACE]).split()[1]
    editor = Editor(Document(SCENE))
    assert editor.type(Field(LINE, "reading", "reading_line"), line.replace("J", named))
    assert editor.scene.readings[PLACE] == meant
    assert len(editor.scene.readings) == len(SCENE.readings)
    assert settle_scene(editor.scene).drawn_off_mm < 0.05
    editor.undo()
    assert editor.scene == SCENE
    assert editor.document.undo_label is None
    editor.close()


def test_the_line_of_a_reading_that_is_gone_is_refused() -> None:
    editor = Editor(Document(SCENE))
    assert not editor.type(Field("reading[99].line", "reading", "reading_line"), "A B 330")
    assert editor.scene == SCENE
    editor.close()


def test_a_number_that_a_line_shows_with_fewer_digits_stays_as_it_was() -> None:
    exact = replace(SCENE.readings[PLACE], value=335.0123456)
    readings = (*SCENE.readings[:PLACE], exact, *SCENE.readings[PLACE + 1 :])
    scene = replace(SCENE, readings=readings)
    editor = Editor(Document(scene), unit="in")
    field = Field(LINE, "reading", "reading_line")
    line = show(field, scene, "in")
    assert editor.type(field, line)
    assert editor.scene == scene
    assert editor.type(field, f"{line} at 1")
    assert editor.scene.readings[PLACE] == replace(exact, travel=25.4)
    editor.close()


def test_a_line_that_is_no_reading_stays_with_the_reason(hands: Hands) -> None:
    hands.editor.select(f"reading[{PLACE}]")
    hands.frames(2)
    hands.focus(LINE)
    hands.type("B up and away")
    said = hands.window.form.said[LINE]
    assert "expected a length" in said.text
    assert hands.window.form.typed[LINE] == "B up and away"
    assert hands.editor.scene == SCENE


def test_other_points_are_picked_in_the_sketch(hands: Hands) -> None:
    hands.editor.select(f"reading[{PLACE}]")
    hands.frames(2)
    hands.window.run("other_points")
    for point in (PIVOT, "mark[0].at"):
        hands.press(hands.at(point))
        hands.release(hands.at(point))
        hands.frames(2)
    form = hands.window.form
    assert form.in_hand is not None
    assert form.in_hand.key == LINE
    hands.key("return")
    assert hands.editor.scene.readings[PLACE] == Reading("distance", (PIVOT, HOLE), 335.0)
    assert hands.editor.pointing is None
    assert [p.row.text for p in hands.window.panel.rows
            if isinstance(p.row, Note) and p.row.text.startswith(f"{PLACE + 1}. A–")]  # fmt: skip
    hands.key("z", ctrl=True)
    assert hands.editor.scene == SCENE


def test_a_reading_is_not_said_to_be_pushed_by_arrow_keys(hands: Hands) -> None:
    hands.editor.hover = ""
    hands.editor.select(f"reading[{PLACE}]")
    assert hint_for(hands.editor) == "Reading is selected."
    hands.editor.select(BALL)
    assert "Arrow keys push it by 1 mm" in hint_for(hands.editor)


def test_other_points_need_a_reading_that_is_selected() -> None:
    hands = Hands(READ, (1280, 720))
    hands.editor.select("")
    hands.window.run("other_points")
    assert hands.editor.pointing is None
    assert hands.editor.message is not None
    assert "Select a reading first" in hands.editor.message.text
    hands.editor.close()
