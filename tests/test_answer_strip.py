"""The strip along the top: every word in its room, nothing twice, no better than the verdict."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from scenes.guessed import guessed_values, tally
from scenes.keys import with_value
from scenes.library import example
from scenes.model import Scene
from sketcher.answers.kept import Answers
from sketcher.answers.shown import Shown
from sketcher.answers.verdict import Verdict
from sketcher.drawing.answer_strip import draw_answer, draw_bar, length_now
from sketcher.drawing.areas import Area
from sketcher.drawing.labels import Room
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Polygon, Text
from sketcher.drawing.style import style
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.making_edits import start_making
from sketcher.window.model.start import start_scene
from sketcher.window.screen.row_help import HELP_SECONDS
from sketcher.window.steps.judged import verdict_of
from sketcher.words.guesses import guess_words
from tests.windowing import Hands

# The room at 1280 x 720 with a task bar: the answer's pane, px.
NARROW = Area(0, 0, 575, 72)
CONTRADICTS = Verdict(
    "do not cut",
    "Do not cut: the car contradicts the points.",
    (
        (
            "The car and the points do not agree: tape error alone would leave so large a misfit "
            "in less than 1 of 100 trial fits. Do not cut by these points; measure swept length "
            "380.9 mm at bump 60.0 mm again."
        ),
    ),
)
LONG_NAME = Verdict(
    "do not cut",
    "Do not cut at 391.0 mm: a limit is broken.",
    (
        (
            'The gap from "sleeve" to "Motor mount foot, welded to the subframe" is 2.9 mm at full '
            "droop, inside lock, gearbox 0.2 mm outboard, down, 0.7 mm rearward, wanted is 8 mm "
            "(5.1 mm too little)."
        ),
    ),
)


@pytest.fixture(scope="module")
def shown() -> Shown:
    return Answers().show(example("van-front"), "left", 0.0, 0.0, exact=True)


def strip_texts(shown: Shown, told: Verdict | None) -> list[Text]:
    picture = draw_answer(Pane(NARROW, 1.0), shown, "mm", told)
    return [item for item in picture if isinstance(item, Text)]


@pytest.mark.parametrize("told", [CONTRADICTS, LONG_NAME])
def test_a_long_reason_stands_whole(shown: Shown, told: Verdict) -> None:
    texts = strip_texts(shown, told)
    words = " ".join(one.text for one in texts)
    assert words == f"{told.line} {told.because[0]}"
    heights = [one.at[1] for one in texts]
    assert heights == sorted(heights, reverse=True)
    assert all(8.0 <= height <= 64.0 for height in heights)
    assert min(a - b for a, b in itertools.pairwise(heights)) >= 13.0


def untouched() -> tuple[Scene, str]:
    scene = start_scene()
    guesses, values = tally(scene, "left")
    return scene, f"{guesses} of {values} values are still the starting sketch's"


def test_what_the_sentence_says_is_not_said_twice(shown: Shown) -> None:
    scene, brief = untouched()
    names = guess_words(scene, guessed_values(scene, "left"))
    told = Verdict("not sure enough", f"Not sure enough: {brief}.", (f"{brief}: {names}.",))
    words = " ".join(one.text for one in strip_texts(shown, told))
    assert words == f"Not sure enough: {brief}. {names[0].upper()}{names[1:]}."


def test_things_are_named_by_whose_they_are() -> None:
    scene = replace(start_making(start_scene(), "left"), guessed=())
    made = replace(scene, guessed=("shafts.left.donors.hub", "shafts.left.inner_joint.stroke_in"))
    words = guess_words(made, guessed_values(made, "left"))
    assert words == "hub donor and inner joint stroke in"


def test_what_nobody_measured_is_told_at_once() -> None:
    editor = Editor(Document(start_scene()))
    early = Answers().show(editor.scene, "left", 0.0, 0.0)
    assert early.solved is not None
    assert early.solved.certainty is None
    told = verdict_of(editor, early)
    assert told is not None
    assert told.state == "not sure enough"
    assert "starting sketch" in told.line
    editor.close()


@pytest.mark.parametrize(
    ("told", "role"),
    [
        (CONTRADICTS, "note_past"),
        (Verdict("not sure enough", "Not sure enough."), "note_close"),
        (Verdict("fits by what was measured", "Fits."), "note_good"),
        (None, "note"),
    ],
)
def test_the_bar_looks_no_better_than_the_verdict(
    shown: Shown, told: Verdict | None, role: str
) -> None:
    picture = draw_bar(Pane(Area(0, 0, 340, 72), 1.0), shown, "mm", told)
    (marker,) = (item for item in picture if isinstance(item, Polygon) and len(item.points) == 3)
    assert marker.role == role


@pytest.mark.parametrize(
    ("length", "stroke_out", "size", "word"),
    [(None, 24, 340, "window"), (None, 5.5, 340, ""), (None, 3.05, 340, ""), (320.0, 9.0, 340, ""),
     (560.0, 24, 260, "")],
)  # fmt: skip
def test_the_bars_numbers_are_whole_and_apart(
    length: float | None, stroke_out: float, size: int, word: str
) -> None:
    scene = with_value(start_scene(), "shafts.left.inner_joint.stroke_out", stroke_out)
    scene = with_value(scene, "shafts.left.length", length)
    area = Area(0, 0, size, 72)
    picture = draw_bar(Pane(area, 1.0), Answers().show(scene, "left", 0, 0, exact=True), "mm", None)
    room = Room(Pane(area, 1.0).camera, style("light"))
    boxes = [room.box(item) for item in picture if isinstance(item, Text)]
    assert all(box.left >= 0.0 and box.right <= size for box in boxes)
    assert not any(a.overlaps(b) for a, b in itertools.combinations(boxes, 2))
    assert word in [item.text for item in picture if isinstance(item, Text)] or not word


def test_a_long_sentence_in_a_narrow_window_stands_whole(shown: Shown) -> None:
    line = (
        'Not sure enough to cut at the ride-centred 15.378 in (15 3/8"): 12 of 44 values are still '
        "the starting sketch's."
    )
    told = Verdict("not sure enough", line, ("Outer joint, wheel centre and 2 more.",))
    picture = draw_answer(Pane(Area(0, 0, 336, 72), 1.0), shown, "mm", told)
    words = [item.text for item in picture if isinstance(item, Text)]
    assert " ".join(words[:-1]) == line
    assert not words[-1].endswith("…")


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (CONTRADICTS, "measure swept length 380.9 mm at bump 60.0 mm again."),
        (LONG_NAME, '"Motor mount foot, welded to the subframe" is 2.9 mm.'),
        (
            replace(LONG_NAME, because=(LONG_NAME.because[0].replace("foot,", "foot at rest,"),)),
            '"Motor mount foot at rest, welded to the subframe" is 2.9 mm.',
        ),
    ],
)
def test_in_a_narrow_window_a_reason_is_told_in_fewer_words(
    shown: Shown, told: Verdict, said: str
) -> None:
    picture = draw_answer(Pane(Area(0, 0, 336, 72), 1.0), shown, "mm", told)
    words = " ".join(item.text for item in picture if isinstance(item, Text))
    assert words.endswith(said)
    assert "…" not in words


def test_a_problem_has_two_lines_and_what_to_do_has_the_third(shown: Shown) -> None:
    problem = (
        "length: expected a shaft that reaches from the outer joint to the housing axis, 380.1 mm "
        "or more, got 3 mm"
    )
    texts = strip_texts(replace(shown, problem=problem), None)
    assert " ".join(one.text for one in texts[:-1]) == problem
    assert texts[-1].text.endswith("move the point back.")
    heights = [one.at[1] for one in texts]
    assert min(a - b for a, b in itertools.pairwise(heights)) >= 13.0


def test_all_of_the_answer_is_told_under_a_pointer_that_rests_on_it() -> None:
    hands = Hands("van-front-mount-fouls")
    hands.settle()
    answer = hands.window.layout.answer
    hands.move((answer.left + 60, answer.top + 20))
    hands.frames(int(HELP_SECONDS * 60) + 3)
    told = verdict_of(hands.editor, hands.editor.shown())
    assert told is not None
    (one,) = hands.window.callouts.shown
    assert one.text == " ".join((told.line, *told.because, *told.not_looked_at))
    assert " ".join(one.lines) == one.text
    hands.move((answer.left + 60, answer.bottom + 200))
    hands.frames(2)
    assert hands.window.callouts.shown == ()
    hands.editor.close()


def test_the_length_follows_the_pose_while_the_answer_is_older() -> None:
    editor = Editor(Document(example("van-front")))
    try:
        shown = editor.shown(exact=True)
        assert shown.pose is not None
        assert shown.pose.shaft is not None
        longer = replace(shown.pose.shaft, length_mm=shown.pose.shaft.length_mm + 7.0)
        assert (
            length_now(replace(shown, pose=replace(shown.pose, shaft=longer))) == longer.length_mm
        )
        for pose in (None, replace(shown.pose, shaft=None)):
            assert length_now(replace(shown, pose=pose)) == shown.pose.shaft.length_mm
    finally:
        editor.close()


def test_that_there_are_more_reasons_is_never_left_out(shown: Shown) -> None:
    told = Verdict(
        "not sure enough",
        'Not sure enough to cut at 16.122 in (16 1/8"): the gearbox mounts are only tacked.',
        (
            (
                "The gearbox mounts are only tacked: [gearbox.placement] leaves room, and the "
                "length hangs on where they are welded."
            ),
            "Chance 87 % by tape error alone that stroke and margin hold; wanted 95 % or more.",
        ),
    )
    words = " ".join(one.text for one in strip_texts(shown, told))
    assert words.startswith(told.line)
    assert words.endswith("And 1 more.") or told.because[1] in words
    assert "…" not in words
