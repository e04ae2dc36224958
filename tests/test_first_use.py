"""A first page of readings at the smallest screen: everything in view, whole, and legible."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pygame
import pytest

from kinematics.shaft.whole_motion import examine
from scenes.guessed import guessed_values
from scenes.library import example, example_names
from scenes.reading import read_scene
from sketcher.answers.kept import Answers
from sketcher.answers.position_values import ROWS, position_values
from sketcher.answers.shown import nearest_gap
from sketcher.answers.sure import certainty_in_scene
from sketcher.answers.verdict import Verdict
from sketcher.answers.workings import workings
from sketcher.drawing.answer_strip import draw_answer
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, size_px, width_px
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Box, Lines, Polygon, Text
from sketcher.drawing.plot_layout import layout
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.readout import draw_readout
from sketcher.drawing.sketch import SketchExtras
from sketcher.window.model.certainty_edits import add_measurement
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.field_texts import FieldKind
from sketcher.window.model.fields import Field, field_of, parse
from sketcher.window.model.start import start_scene
from sketcher.window.screen.layout import lay_out
from sketcher.window.screen.panes import draw_title
from sketcher.window.screen.row_help import HELP_SECONDS
from sketcher.window.steps.commands import COMMANDS
from sketcher.words.certainty import short_chance
from sketcher.words.guesses import guess_words
from tests.drawn import front
from tests.test_drawing_plots import COLUMN
from tests.windowing import Hands

SMALLEST = (1264, 624)


@pytest.fixture
def hands() -> Iterator[Hands]:
    hands = Hands(size=SMALLEST)
    yield hands
    hands.editor.close()


def test_a_step_that_is_opened_comes_into_view(hands: Hands) -> None:
    panel, area = hands.window.panel, hands.window.layout.panel
    hands.editor.open_steps = {"Measure"}
    hands.frames(2)
    panel.scroll_by(10_000)
    hands.frames()
    head = hands.button("step:Making")
    hands.press(head)
    hands.release(head)
    hands.frames(2)
    assert "Making" in hands.editor.open_steps
    opened = [one for one in panel.rows if one.step.name == "Making"]
    seen = [one for one in opened if one.top >= panel.scroll]
    assert opened[0] in seen, "its head stays in view"
    whole = opened[-1].bottom - opened[0].top <= area.height
    last = panel.scroll + area.height
    assert (opened[-1].bottom <= last) if whole else opened[0].top == panel.scroll


def told(hands: Hands) -> str:
    """The help that stands beside the form once the pointer has rested."""
    for _ in range(2):
        hands.window.frame(HELP_SECONDS + 0.1)
    found = hands.window.panel.help
    return "" if found is None else found[1]


def test_help_gives_way_to_a_hand_that_types_and_follows_what_is_scrolled(hands: Hands) -> None:
    hands.editor.open_steps = {"Measure"}
    hands.frames(2)
    hands.move(hands.field("linkage.ball_joint[0]"))
    assert "ball joint" in told(hands).lower()
    hands.post(pygame.TEXTINPUT, text="6")
    assert not told(hands)
    hands.move(hands.field("linkage.ball_joint[1]"))
    hands.window.panel.scroll_by(48)
    assert told(hands)
    assert "ball joint" not in told(hands).lower(), "what is under the pointer after scrolling"


def test_no_direction_stands_between_what_is_read_off_a_joint(hands: Hands) -> None:
    hands.editor.open_steps = {"Measure"}
    hands.frames(2)
    keys = [field.key for field in hands.window.panel.fields]
    joint = "shafts.left.inner_joint"
    read = [f"{joint}.{name}" for name in ("stroke_in", "stroke_out", "max_angle")]
    start = keys.index(f"{joint}.mid_stroke[2]")
    assert keys[start + 1 : start + 4] == read


def test_a_name_typed_first_replaces_the_proposed_path(hands: Hands, tmp_path: Path) -> None:
    hands.window.save_as()
    dialog = hands.window.dialog
    assert dialog is not None
    hands.frames()
    for letter in str(tmp_path / "mine.toml"):
        hands.post(pygame.TEXTINPUT, text=letter)
    hands.key("return")
    assert read_scene(tmp_path / "mine.toml").title == hands.editor.scene.title
    # A bare name is one in the folder that the dialog shows.
    hands.window.save_as()
    hands.frames()
    for letter in "other":
        hands.post(pygame.TEXTINPUT, text=letter)
    hands.key("return")
    assert (tmp_path / "other.toml").exists()


def test_readout_names_are_whole_where_there_is_room() -> None:
    scene, answers = example("van-front"), Answers()
    shown = answers.show(scene, "left", 0.0, 0.0, exact=True)
    rows = position_values(shown, "mm", nearest_gap(shown))
    texts = [
        item
        for item in draw_readout(Pane(Area(0, 0, 566, 138), 1.0), rows, "", {}, 2)
        if isinstance(item, Text)
    ]
    assert {row.name for row in rows} <= {text.text for text in texts}
    # Where there is none, the help on the row tells a bracket's name.
    (gap,) = (row for row in rows if row.name.startswith("gap, "))
    assert f'"{gap.name.removeprefix("gap, ")}"' in gap.help
    size = size_px("small", 96 / 25.4)
    for text in texts:
        wide = width_px(text.text, size)
        assert text.horizontal != "left" or text.at[0] + wide <= 566.0
    by_line: dict[float, list[tuple[float, float]]] = {}
    for text in texts:
        left = text.at[0] - (width_px(text.text, size) if text.horizontal == "right" else 0.0)
        by_line.setdefault(text.at[1], []).append((left, left + width_px(text.text, size)))
    for spans in by_line.values():
        for one, other in pairwise(sorted(spans)):
            assert one[1] <= other[0], "no text runs into another"


def test_nothing_is_written_under_what_covers_the_view() -> None:
    _, camera = front(size=(566, 350))
    view = camera.box
    covered = (
        Box(view.left, view.top - view.height * 0.34, view.centre[0] - 40.0, view.top),
        Box(view.left + view.width * 0.37, view.bottom, view.right, view.bottom + 90.0),
    )
    picture, camera = front(size=(566, 350), shown=SketchExtras(covered=covered))
    size = size_px("small", camera.pixels_per_paper_mm)
    for item in picture:
        if not isinstance(item, Text) or item.size != "small":
            continue
        wide, high = width_px(item.text, size) / camera.zoom, size * CAPITAL_HEIGHT / camera.zoom
        left = item.at[0] - {"left": 0.0, "centre": 0.5, "right": 1.0}[item.horizontal] * wide
        low = item.at[1] - {"bottom": 0.0, "middle": 0.5, "top": 1.0}[item.vertical] * high
        for box in covered:
            apart = left >= box.right or left + wide <= box.left
            assert apart or low >= box.top or low + high <= box.bottom, item.text
    bars = [item for item in picture if isinstance(item, Polygon) and item.role == "scale_empty"]
    assert max(x for x, _ in bars[0].points) < covered[1].left


def test_no_line_of_the_grid_strikes_through_a_word() -> None:
    camera = Camera(328, 430).in_pixels()
    size = size_px("small", camera.pixels_per_paper_mm)
    picture = plots_picture(COLUMN, layout(COLUMN, camera))
    words = [
        item for item in picture if isinstance(item, Text) and item.role.startswith("band_word")
    ]
    assert words
    lines = [
        line
        for item in picture
        if isinstance(item, Lines) and item.role == "plot_grid"
        for line in item.segments
    ]
    for word in words:
        wide = width_px(word.text, size)
        left = word.at[0] - (wide if word.horizontal == "right" else 0.0)
        low = word.at[1] - (size * CAPITAL_HEIGHT if word.vertical == "top" else 0.0)
        for (x1, y), (x2, _) in lines:
            beside = x2 <= left or x1 >= left + wide
            assert beside or not low < y < low + size * CAPITAL_HEIGHT, word.text


def test_the_strip_tells_the_chance_once_it_is_known() -> None:
    scene = example("van-front")
    shown = Answers().show(scene, "left", 0.0, 0.0, exact=True)
    assert shown.solved is not None
    sure = certainty_in_scene(scene, "left", shown.solved.found.margin_mm, draws=1000)
    known = replace(shown, solved=replace(shown.solved, certainty=sure))
    told = Verdict("fits by what was measured", "391 mm fits by what was measured.")
    picture = draw_answer(Pane(Area(0, 0, 900, 72), 1.0), known, "mm", told)
    words = " ".join(x.text for x in picture if isinstance(x, Text) and x.size == "small")
    assert short_chance(sure)[1:] in words
    # Where there is one line less and little room, fewer words stand whole.
    told = Verdict("fits by what was measured", "391 mm fits by what was measured. " * 3)
    picture = draw_answer(Pane(Area(0, 0, 565, 72), 1.0), known, "mm", told)
    (words,) = (x.text for x in picture if isinstance(x, Text) and x.size == "small")
    assert short_chance(sure)[1:] in words
    assert not words.endswith("…")


def test_typed_places_still_count_once_readings_name_their_points() -> None:
    editor = Editor(Document(start_scene()))
    for key, text in (("arm_pivot[0]", "338,5"), ("arm_pivot[1]", "204"), ("ball_joint[0]", "667")):
        assert editor.type(field_of(f"linkage.{key}"), text)
    mark, reading = (Field(f"{kind}.new", kind, kind) for kind in ("mark", "reading"))
    assert editor.type(mark, "rail hole; 455; 420; 120")
    assert editor.type(reading, "ball joint to rail hole 335")
    assert editor.type(reading, "arm pivot to rail hole 273")
    taken = {(one.kind, one.points[0], one.value) for one in editor.scene.readings}
    pivot, ball = "linkage.arm_pivot", "linkage.ball_joint"
    assert taken == {
        ("distance", ball, 335.0), ("distance", pivot, 273.0),
        ("out", pivot, 338.5), ("up", pivot, 204.0), ("out", ball, 667.0),
    }  # fmt: skip
    editor.undo()
    assert [one.kind for one in editor.scene.readings] == ["out", "distance"]
    editor.close()


def test_a_dragged_place_is_no_reading() -> None:
    editor = Editor(Document(start_scene()))
    pivot = "linkage.arm_pivot"
    assert editor.type(field_of(f"{pivot}[0]"), "338,5")
    editor.select(pivot)
    editor.nudge(3, 0)
    reading = Field("reading.new", "reading", "reading")
    assert editor.type(reading, "arm pivot to ball joint 330")
    assert [one.kind for one in editor.scene.readings] == ["distance"]
    editor.close()


@pytest.mark.parametrize(
    ("kind", "typed", "value"),
    [
        ("measurement", "60 droop; 391,7", (-60.0, 391.7, None)),
        ("measurement", "at 60 droop 391,7", (-60.0, 391.7, None)),
        ("measurement", "ride height 390,9", (0.0, 390.9, None)),
        ("measurement", "bump 50 388,8", (50.0, 388.8, None)),
        ("rows", "at 12 deg 21 in 21 out, at 23 deg 9 in 7 out", ((12, 21, 21), (23, 9, 7))),
        ("rows", "12° 21,5 21, 23 9 7", ((12, 21.5, 21), (23, 9, 7))),
    ],
)
def test_numbers_are_taken_as_they_stand_on_paper(
    kind: FieldKind, typed: str, value: object
) -> None:
    assert parse(Field("key", "field", kind), typed, "mm") == value


def test_a_doubt_names_what_is_still_a_guess() -> None:
    scene = start_scene()
    shaft = "shafts.left.section"
    left = replace(scene, guessed=(f"{shaft}[0]", f"{shaft}[1].from", "linkage.arm_pivot[1]"))
    assert guess_words(left, guessed_values(left, "left")) == "outer boot, bar and arm pivot"
    words = guess_words(scene, guessed_values(scene, "left"))
    assert words.startswith("arm pivot, ball joint, strut top, strut lower and ")


def test_a_trial_fit_of_too_few_heights_is_told_in_words_alone() -> None:
    scene = example("van-front")
    few = add_measurement(scene, "left", -60.0, 391.7, None)
    found = examine(scene.corner("left"))
    works = workings(few, "left", found, 100)
    assert works.trial_problem.startswith("expected measurements at")


@pytest.mark.parametrize("name", example_names())
def test_a_title_stands_whole_in_the_title_block(name: str) -> None:
    title = lay_out(*SMALLEST, 1.0, ROWS).title
    pane = Pane(Area(0, 0, title.width, title.height), 1.0)
    editor = Editor(Document(example(name)))
    picture = draw_title(pane, editor, editor.cameras["front"], "mm")
    texts = [item for item in picture if isinstance(item, Text)]
    words = " ".join(item.text for item in texts if item.role == "label_strong")
    assert words == example(name).title
    assert all(8.0 < item.at[1] < title.height - 4.0 for item in texts)
    editor.close()


def test_a_stroke_that_stays_as_the_joint_bends_is_said_by_a_box() -> None:
    editor = Editor(Document(start_scene()))
    command, key = COMMANDS["stroke_stays_left"], "shafts.left.inner_joint"
    assert command.on is not None
    assert not command.on(editor)
    command.run(editor)
    assert command.on(editor)
    joint = editor.scene.corner("left").shaft.inner_joint
    assert joint.stroke_at_angle == ((0.0, 22.0, 22.0),)
    # What is typed of the stroke later is said of every angle, too.
    for name, text in (("stroke_in", "23"), ("stroke_out", "20,5")):
        assert editor.type(field_of(f"{key}.{name}"), text)
    assert command.on(editor)
    joint = editor.scene.corner("left").shaft.inner_joint
    assert joint.stroke_at_angle == ((0.0, 23.0, 20.5),)
    command.run(editor)
    assert not editor.scene.corner("left").shaft.inner_joint.stroke_at_angle
    assert editor.type(field_of(f"{key}.stroke_at_angle"), "0 23 20,5; 15 20 18")
    command.run(editor)
    assert editor.message is not None
    assert "clear them first" in editor.message.text
    assert editor.type(field_of(f"{key}.stroke_in"), "24")
    rows = editor.scene.corner("left").shaft.inner_joint.stroke_at_angle
    assert rows[0] == (0.0, 23.0, 20.5), "rows that were typed are what they are"
    editor.close()


def test_a_shaft_without_an_outline_is_given_one_that_counts_as_not_measured() -> None:
    scene = example("van-front")
    assert scene.left is not None
    editor = Editor(Document(replace(scene, left=replace(scene.left, sections=()))))
    COMMANDS["start_outline"].run(editor)
    left = editor.scene.left
    assert left is not None
    assert [one.name for one in left.sections] == ["outer boot", "bar", "inner boot"]
    assert left.sections[-1].to < 391.0
    assert len(guessed_values(editor.scene, "left")) == 9
    COMMANDS["start_outline"].run(editor)
    assert editor.message is not None
    assert "there is an outline here" in editor.message.text
    editor.close()
