"""Readings in the window: typed or pointed out, the points moving with them at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import pygame
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinematics.sure.readings import Mark, Reading
from scenes.guessed import guessed_values
from scenes.keys import EditRefused
from scenes.library import example
from scenes.model import Scene
from sketcher.answers.next_reading import points_in_scene
from sketcher.answers.points import settle_scene, settled_scene
from sketcher.answers.reading_list import letters, planned_readings, still_to_read
from sketcher.answers.workings import settled_in
from sketcher.window.model import edits, reading_edits
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field
from sketcher.window.model.reading_text import begun, parse_mark, parse_reading
from sketcher.window.model.start import start_scene
from sketcher.window.steps.judged import verdict_of
from sketcher.window.steps.reading_answers import best_reading, chance_told, points_shown
from sketcher.window.steps.reading_rows import ADD_MARK, ADD_READING, TO_READ
from sketcher.window.steps.rows import Note
from sketcher.window.steps.work_order import WORK_ORDER
from sketcher.words.points import unmet_words, value_words
from tests.windowing import Hands

READ = "van-front-readings"
BALL, PIVOT, HOLE = "linkage.ball_joint", "linkage.arm_pivot", "mark.rail hole"


def as_typed(scene: Scene, reading: Reading) -> str:
    """A reading as it would be typed from paper, by the points' names."""
    held = f" at {reading.travel:g}" if reading.travel else ""
    number = value_words(reading).removesuffix(" mm")
    return f"{begun(scene, reading.points, reading.kind)}{number}{held}"


# Typed from paper.


def test_every_reading_of_the_example_can_be_typed_by_name_and_by_letter() -> None:
    scene = example(READ)
    named = letters(scene)
    for reading in scene.readings:
        assert parse_reading(scene, as_typed(scene, reading)) == reading
        short = " ".join(named[path] for path in reading.points)
        held = f" @ {reading.travel:g}" if reading.travel else ""
        text = f"{short.lower()} {reading.kind} {reading.value:g}{held}"
        assert parse_reading(scene, text) == reading


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("AB 330", Reading("distance", (PIVOT, BALL), 330.0)),
        ('A - B: 13"', Reading("distance", (PIVOT, BALL), 330.2)),
        ("arm pivot to rail hole 12 3/4 in ±1/16 in",
         Reading("distance", (PIVOT, HOLE), 323.85, error=1.5875)),
        ('arm pivot to rail hole 12 3/4" ±1/16',
         Reading("distance", (PIVOT, HOLE), 323.85, error=1.5875)),
        ("B across 1336 +-2", Reading("across", (BALL,), 1336.0, error=2.0)),
        ("A B rise −76 at −60", Reading("rise", (PIVOT, BALL), -76.0, travel=-60.0)),
        ("A B slope 5,7° ±0,3 at 50, steer -4",
         Reading("slope", (PIVOT, BALL), 5.7, error=0.3, travel=50.0, steer=-4.0)),
        ("B I 374 at 60 droop", Reading("distance", (BALL, HOLE), 374.0, travel=-60.0)),
        ("B I 374 @ bump 50 steer 4",
         Reading("distance", (BALL, HOLE), 374.0, travel=50.0, steer=4.0)),
        ("B up 188 at ride height", Reading("up", (BALL,), 188.0)),
        ("Rail Hole up 420.5", Reading("up", (HOLE,), 420.5)),
    ],
)  # fmt: skip
def test_a_reading_as_people_type_it(text: str, meant: Reading) -> None:
    found = parse_reading(example(READ), text)
    assert (found.kind, found.points) == (meant.kind, meant.points)
    assert (found.value, found.travel, found.steer) == pytest.approx(
        (meant.value, meant.travel, meant.steer)
    )
    assert found.error == (meant.error if meant.error is None else pytest.approx(meant.error))


def test_a_mark_that_is_called_as_a_point_is_meant_by_that_name() -> None:
    scene = replace(example(READ), marks=(Mark("Strut top", (560.0, 800.0, 0.0)),), readings=())
    found = parse_reading(scene, "strut top to ball joint 640")
    assert found.points == ("mark.Strut top", BALL)


def test_what_stands_behind_plus_or_minus_is_in_the_unit_of_its_number() -> None:
    for text, error in (("A B 335 mm ±1", 1.0), ("A B 33.5 cm ±1", 1.0), ("A B 13 ±1/32", 0.79375)):
        assert parse_reading(example(READ), text, "in").error == pytest.approx(error)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("A Q 330", "expected points that are there .A arm pivot, B ball joint"),
        ("B 188", "expected up, out, fore, across after one point"),
        ("B rise 4", "of one point"),
        ("A B up 4", "of one point"),
        ("A B", "expected points and a number"),
        ("330 A B", "expected points and a number"),
        ("up B 188", "expected points and a number"),
        ("A B 330 mmm", "expected"),
        ("B across -3", "above 0"),
    ],
)
def test_what_is_no_reading_is_refused_in_one_line(text: str, told: str) -> None:
    with pytest.raises(EditRefused, match=told) as caught:
        parse_reading(example(READ), text)
    assert "\n" not in str(caught.value)


def test_a_mark_is_typed_with_its_place() -> None:
    assert parse_mark("rail hole; 455; 420") == ("rail hole", (455.0, 420.0, 0.0))
    assert parse_mark("bolt; 15 1/2 in; 8 in; -5 in", "mm")[1] == pytest.approx(
        (393.7, 203.2, -127)
    )
    with pytest.raises(EditRefused, match="name; out; up; fore"):
        parse_mark("rail hole 455 420")


# Edits.


def test_typed_one_after_the_other_a_new_scene_comes_to_where_the_readings_put_it() -> None:
    read = example(READ)
    scene = replace(start_scene(), marks=read.marks)
    for reading in read.readings:
        scene = reading_edits.settled(reading_edits.with_reading(scene, reading))
    assert scene.readings == read.readings
    for path, at in settled_scene(read).points.items():
        assert scene.points[path] == pytest.approx(at, abs=0.05), path
    left = guessed_values(scene)
    assert not [path for path in left if path.startswith(("linkage.", "hub.")) or "mid_str" in path]
    assert "travel.bump" in left, "nobody has read that"


@settings(max_examples=8, deadline=None)
@given(place=st.integers(0, 53), by=st.floats(-4.0, 4.0))
def test_a_reading_that_is_changed_takes_its_points_along(place: int, by: float) -> None:
    scene = example(READ)
    reading = scene.readings[place]
    by = by * 0.1 if reading.kind == "slope" else by
    value = round(reading.value + by, 1)
    key = f"reading[{place}].{reading.kind}"
    changed = edits.set_value(scene, key, value)
    assert changed.readings[place] == replace(reading, value=value)
    assert settle_scene(changed).drawn_off_mm <= 0.05
    back = edits.set_value(changed, key, reading.value)
    assert settle_scene(back).drawn_off_mm <= 0.05
    for path, at in scene.points.items():
        assert back.points[path] == pytest.approx(at, abs=0.1), path


def test_only_what_a_reading_fixes_is_a_guess_no_longer() -> None:
    scene = reading_edits.with_reading(start_scene(), Reading("up", (BALL,), 188.0))
    scene = reading_edits.settled(scene)
    assert scene.points[BALL][1] == pytest.approx(188.0, abs=0.02)
    guesses = guessed_values(scene)
    assert f"{BALL}[1]" not in guesses
    assert {f"{BALL}[0]", f"{BALL}[2]"} <= set(guesses)


def test_readings_that_cannot_be_met_stay_and_the_points_too() -> None:
    scene = example(READ)
    place = next(n for n, one in enumerate(scene.readings) if one.points == (PIVOT, BALL))
    changed = edits.set_value(scene, f"reading[{place}].distance", 30.0)
    assert changed.readings[place].value == 30.0
    assert dict(changed.points) == dict(scene.points)


def test_why_readings_cannot_be_met_is_said_without_keys() -> None:
    scene = edits.set_value(example(READ), "reading[29].distance", 3300.0)
    found = settled_in(scene).problem
    assert "linkage.ball_joint" in found
    said = unmet_words(found, list(scene.points))
    assert said.startswith("reading 30: expected ")
    assert "mm or less between arm pivot and ball joint, for readings " in said
    assert "linkage" not in said
    inches = unmet_words(found, list(scene.points), "in")
    assert " in or less between arm pivot and ball joint, for readings " in inches
    assert "got 129.921 in" in inches
    assert " mm" not in inches


def test_a_mark_is_renamed_in_its_readings_and_removed_with_them() -> None:
    scene = example(READ)
    renamed = edits.set_value(scene, "mark[0].name", "big hole")
    assert renamed.marks[0].name == "big hole"
    of_it = [one for one in scene.readings if HOLE in one.points]
    assert len([one for one in renamed.readings if "mark.big hole" in one.points]) == len(of_it)
    assert edits.set_value(renamed, "mark[0].name", "rail hole") == scene
    gone = reading_edits.remove_mark(scene, 0)
    assert len(gone.readings) == len(scene.readings) - len(of_it)
    with pytest.raises(EditRefused, match="each name once"):
        edits.set_value(scene, "mark[0].name", "sill seam")


def test_what_is_still_to_read_is_the_paper_list_less_what_is_read() -> None:
    scene = replace(example("van-front"), marks=example(READ).marks)
    wanted = still_to_read(scene)
    assert set(wanted) == set(planned_readings(scene))
    taken = reading_edits.settled(reading_edits.with_reading(scene, wanted[3]))
    assert wanted[3].points not in [one.points for one in still_to_read(taken)
                                    if one.kind == wanted[3].kind]  # fmt: skip
    assert len(still_to_read(taken)) == len(wanted) - 1


def test_undo_gives_back_the_points_with_the_reading() -> None:
    scene = example(READ)
    editor = Editor(Document(scene))
    assert editor.do("reading", partial(edits.set_value, key="reading[0].up", value=207.0))
    assert editor.scene.points[PIVOT] != scene.points[PIVOT]
    editor.undo()
    assert editor.scene == scene
    editor.close()


@pytest.mark.parametrize(("text", "asked"), [("A B 340", False), ("A B 340 in", True)])
def test_a_reading_that_takes_a_point_far_away_is_asked_about(text: str, asked: bool) -> None:
    editor = Editor(Document(start_scene()))
    assert editor.type(Field(ADD_READING, "reading", "reading"), text)
    message = "" if editor.message is None else editor.message.text
    assert ("is the number meant?" in message) == asked
    editor.close()


# The window.


@pytest.fixture
def hands() -> Iterator[Hands]:
    made = Hands(READ, (1280, 720))
    made.editor.open_steps = {"Measure", "Measure/Readings"}
    made.frames(3)
    yield made
    made.editor.close()


def test_two_points_and_a_number_make_a_reading(hands: Hands) -> None:
    count = len(hands.editor.scene.readings)
    hands.key("n", text="n")
    hands.post(pygame.TEXTINPUT, text="n")
    assert hands.window.form.typed[ADD_READING] == "", "the key's own letter is not typed"
    for point in (PIVOT, "hub.outer_joint"):
        hands.press(hands.at(point))
        hands.release(hands.at(point))
        hands.frames(2)
    for letter in "330":
        hands.post(pygame.TEXTINPUT, text=letter)
    hands.key("return")
    hands.frames(2)
    (new,) = hands.editor.scene.readings[count:]
    assert new == Reading("distance", (PIVOT, "hub.outer_joint"), 330.0)
    form = hands.window.form
    assert form.in_hand is not None
    assert form.in_hand.key == ADD_READING, "the next one follows"
    hands.key("escape")
    hands.key("escape")
    assert hands.editor.pointing is None
    hands.key("z", ctrl=True)
    assert len(hands.editor.scene.readings) == count


def test_readings_and_marks_are_typed_one_after_the_other(hands: Hands) -> None:
    count = len(hands.editor.scene.readings)
    hands.focus(ADD_READING)
    hands.type("F fore 1")
    hands.type("A fore 2")
    assert [one.value for one in hands.editor.scene.readings[count:]] == [1.0, 2.0]
    hands.focus(ADD_MARK)
    hands.type("jack point; 600; 190; -400")
    assert hands.editor.scene.marks[-1].at == (600.0, 190.0, -400.0)
    hands.focus(ADD_READING)
    hands.type("F nowhere 1")
    assert ADD_READING in hands.window.form.said, "it says what would be right"
    assert hands.window.form.typed[ADD_READING] == "F nowhere 1"


def test_a_click_places_a_mark(hands: Hands) -> None:
    hands.window.run("place_mark")
    camera = hands.editor.cameras["front"]
    at = camera.to_screen((480.0, 430.0))
    hands.press(at)
    hands.release(at)
    hands.frames(2)
    mark = hands.editor.scene.marks[-1]
    assert mark.at[:2] == pytest.approx((480.0, 430.0), abs=1.0 / camera.zoom)
    hands.type("tow eye")
    assert hands.editor.scene.marks[-1].name == "tow eye"


def test_the_sheet_to_take_along_is_written(hands: Hands, tmp_path: Path) -> None:
    path = tmp_path / "readings.pdf"
    hands.window.export("reading_sheet")
    hands.type(str(path))
    hands.frames(4)
    assert path.read_bytes().startswith(b"%PDF")


def test_a_point_dragged_off_its_readings_says_so_and_is_put_back(hands: Hands) -> None:
    before = hands.editor.scene
    hands.drag(hands.at(BALL), (30.0, 0.0))
    message = hands.editor.message
    assert message is not None
    assert message.text.startswith("Ball joint is drawn ")
    assert "from where its readings put it" in message.text
    hands.key("k", text="k")
    for path, at in before.points.items():
        assert hands.editor.scene.points[path] == pytest.approx(at, abs=0.05)


def test_the_number_of_what_to_read_next_is_typed_beside_it(hands: Hands) -> None:
    until_known(hands)
    key = "reading.new, next, 1"
    count = len(hands.editor.scene.readings)
    best = points_in_scene(hands.editor.scene).next[hands.editor.side][0].reading
    hands.focus(key)
    hands.type(f"{best.value:g}")
    (new,) = hands.editor.scene.readings[count:]
    assert new == best


def test_where_the_chance_is_low_what_raises_it_comes_first(hands: Hands) -> None:
    low = edits.set_value(hands.editor.scene, "shafts.left.length", 384.0)
    hands.window.put(Document(low))
    hands.editor.open_steps = {"Measure", "Measure/Readings"}
    hands.until(lambda: chance_told(hands.editor))
    told = chance_told(hands.editor)
    assert told is not None
    assert told.low
    until_known(hands)
    notes = [p.row.text for p in hands.window.panel.rows if isinstance(p.row, Note)]
    first = next(text for text in notes if text.startswith("1. Measure "))
    assert "the chance of 384.0 mm goes from 94 to 95." in first
    assert best_reading(hands.editor) == told.next[0].reading
    verdict = verdict_of(hands.editor, hands.editor.shown())
    assert verdict is not None
    assert "the chance of 384.0 mm goes from 94 to 95." in verdict.because[1]


def test_the_list_goes_as_on_paper_and_each_number_typed_is_a_reading(hands: Hands) -> None:
    scene = replace(example("van-front"), marks=example(READ).marks)
    hands.window.put(Document(scene))
    hands.editor.open_steps = {"Measure", "Measure/Readings", f"Measure/{TO_READ}"}
    hands.frames(3)
    wanted = still_to_read(scene)
    first = f"reading.new, {begun(scene, wanted[0].points, wanted[0].kind).strip()}"
    hands.focus(first)
    for reading in wanted[:3]:
        hands.type(f"{reading.value:g}")
    assert hands.editor.scene.readings == wanted[:3]


def test_of_many_remarks_the_first_are_listed_and_the_rest_is_counted(hands: Hands) -> None:
    scene = example(READ)
    hands.window.put(Document(replace(scene, readings=scene.readings[:6])))
    hands.editor.open_steps = {"Measure", "Measure/Readings"}
    until_known(hands)
    notes = [row.text for row in WORK_ORDER[0].rows(hands.editor, hands.editor.shown())
             if isinstance(row, Note)]  # fmt: skip
    more = notes.index("And 3 more.")
    # Nine points are not fixed, and a line tells of the one that is not where it was read.
    assert sum("nothing fixes" in note or "names it" in note for note in notes[:more]) == 6


def until_known(hands: Hands) -> None:
    """Frames until the readings are adjusted."""
    hands.until(lambda: points_shown(hands.editor))
