"""Tape errors, trial fit and gearbox placement in the window, through the editor."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from kinematics.errors import InvalidInput, Problem
from kinematics.shaft.mount_room import MountRoom
from kinematics.sure.tape import TapeError
from scenes.keys import EditRefused, NoSuchThing, value_of, with_value
from scenes.library import example, example_text
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.answers.sure import certainty_in_scene
from sketcher.answers.worker import SAY_AFTER_SECONDS, WORKING, Worker
from sketcher.drawing.fonts import font_px, width_px
from sketcher.window.model import certainty_edits, edits
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, parse, show
from sketcher.window.screen.form_layout import Grid
from sketcher.window.steps.certainty_rows import doubt_rows, doubted
from sketcher.window.steps.commands import COMMANDS
from sketcher.window.steps.placement_rows import placement_rows
from sketcher.window.steps.rows import Buttons, Drawing, FieldRow, Note, Row
from sketcher.window.steps.trial_step import TRIAL_STEP
from sketcher.window.steps.work_order import WORK_ORDER
from tests.waiting import PATIENCE_SECONDS, wait_until
from tests.windowing import Hands

MEASURED = "van-rear-measured"


@pytest.fixture
def editor() -> Iterator[Editor]:
    made = Editor(Document(example(MEASURED), text=example_text(MEASURED)))
    yield made
    made.close()


def run(editor: Editor, name: str) -> None:
    COMMANDS[name].run(editor)


def test_a_measurement_says_whether_it_is_a_length_or_plunge(editor: Editor) -> None:
    assert [row.label for row in trial_rows(editor) if isinstance(row, FieldRow)][:2] == [
        "1. length", "2. length",
    ]  # fmt: skip
    editor.do("plunge", lambda scene: with_value(scene, "shafts.left.trial[0].quantity", "plunge"))
    first = next(row for row in trial_rows(editor) if isinstance(row, FieldRow))
    assert first.label == "1. plunge"


def trial_rows(editor: Editor) -> list[Row]:
    return list(TRIAL_STEP.rows(editor, editor.shown()))


def worked_out(editor: Editor) -> list[Row]:
    """The trial step's rows once its answer is there."""
    return rows_at_rest(editor, lambda: trial_rows(editor))


def rows_at_rest(editor: Editor, rows: Callable[[], list[Row]]) -> list[Row]:
    """The rows once nothing that they ask for is being worked out."""

    def go_on() -> None:
        editor.worker.go_on(0.01)
        rows()

    rows()
    wait_until(lambda: not editor.worker.pending, go_on)
    return rows()


def notes(rows: list[Row]) -> str:
    return "\n".join(row.text for row in rows if isinstance(row, Note))


def commands(rows: list[Row]) -> set[str]:
    return {name for row in rows if isinstance(row, Buttons) for name in row.commands}


def field(rows: list[Row], key: str) -> Field:
    return next(
        one for row in rows if isinstance(row, FieldRow) for one in row.fields if one.key == key
    )


# Keys and fields.


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("shafts.left.trial[0].value", 404.0),
        ("shafts.left.trial[4].travel", 50.0),
        ("shafts.left.trial[1].error", None),
        ("shafts.left.doubtful", ("hub.outer_joint",)),
        ("tape.limit", 1.5),
        ("tape.error[1].size", (1.0, 2.0, 3.0)),
        ("gearbox.placement.out", (-2.0, 6.0)),
        ("gearbox.placement.up", (-3.0, 3.0)),
        ("linkage.position[2].outer_joint[1]", 264.0),
    ],
)
def test_the_files_words_name_these_values(key: str, value: object) -> None:
    scene = example(MEASURED)
    changed = with_value(scene, key, value)
    assert value_of(changed, key) == value
    assert with_value(changed, key, value_of(scene, key)) == scene
    assert parse_scene(scene_text(changed, example_text(MEASURED))) == changed


def test_setting_a_value_makes_the_table_that_is_not_there() -> None:
    scene = example("van-front")
    assert scene.tape is None
    with pytest.raises(NoSuchThing):
        value_of(scene, "tape.limit")
    measured = with_value(scene, "tape.limit", 1.0)
    assert measured.tape is not None
    assert measured.tape.limit == 1.0
    roomy = with_value(scene, "gearbox.placement.up", (-4.0, 4.0))
    assert roomy.gearbox_placement == MountRoom((0, 0), (-4, 4))


def test_a_wrong_measurement_is_refused_by_its_key() -> None:
    with pytest.raises(EditRefused, match=r"shafts\.left\.trial\[0\]\.value: expected mm between"):
        with_value(example(MEASURED), "shafts.left.trial[0].value", -3.0)


@pytest.mark.parametrize(
    ("kind", "typed", "value"),
    [
        ("each_way", "6", (-6.0, 6.0)),
        ("each_way", "-4 to 8", (-4.0, 8.0)),
        ("each_way", "-4; 8;", (-4.0, 8.0)),
        ("extent", "-30 … 40", (-30.0, 40.0)),
        ("sizes", "1.5", (1.5,)),
        ("sizes", "2; 1; 1", (2.0, 1.0, 1.0)),
        (
            "names",
            "hub.outer_joint, linkage.lower_pivot",
            ("hub.outer_joint", "linkage.lower_pivot"),
        ),
        ("names", "", ()),
        ("measurement", "-60; 398.5", (-60.0, 398.5, None)),
        ("measurement", "30; plunge −4", (30.0, -4.0, "plunge")),
        ("measurement", '1 in; 15 3/4"', (25.4, 400.05, None)),
    ],
)
def test_fields_of_these_steps_read_what_is_typed(kind: str, typed: str, value: object) -> None:
    found = parse(Field("any", "any", kind), typed, "mm")  # type: ignore[arg-type]
    assert (
        found == pytest.approx(value) if kind == "measurement" and '"' in typed else found == value
    )


@pytest.mark.parametrize(
    ("kind", "typed"),
    [("each_way", "-6"), ("sizes", "1; 2"), ("measurement", "398.5"), ("measurement", "a; b")],
)
def test_and_refuse_what_is_none(kind: str, typed: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        parse(Field("any", "any", kind), typed, "mm")  # type: ignore[arg-type]


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_a_field_shows_is_read_back(unit: str) -> None:
    scene = example(MEASURED)
    for key, kind in (
        ("gearbox.placement.up", "each_way"),
        ("tape.error[0].size", "sizes"),
        ("shafts.left.doubtful", "names"),
    ):
        one = Field(key, key, kind)  # type: ignore[arg-type]
        shown = show(one, scene, unit)  # type: ignore[arg-type]
        read = parse(one, shown, unit)  # type: ignore[arg-type]
        back = value_of(edits.set_value(scene, key, read), key)
        assert back == pytest.approx(value_of(scene, key), abs=1e-3)


def test_points_that_may_move_are_called_what_they_are_called_elsewhere(editor: Editor) -> None:
    one = Field("shafts.left.doubtful", "points that may move", "names")
    assert editor.type(one, "Outer joint, left inner joint's mid-stroke, hub.outer_joint")
    assert editor.scene.left_making.doubtful[:2] == (
        "hub.outer_joint", "shafts.left.inner_joint.mid_stroke",
    )  # fmt: skip
    assert show(one, editor.scene, "mm").startswith("outer joint, left inner joint's mid-stroke")
    assert not editor.type(one, "the third hole")
    assert editor.message is not None
    assert "outer joint" in editor.message.text


# Measure: errors, and what to measure again.


def test_a_point_gets_an_error_of_its_own_and_loses_it(editor: Editor) -> None:
    run(editor, "own_error")
    assert editor.message is not None
    assert "Select a point first" in editor.message.text
    editor.select("hub.wheel_centre")
    run(editor, "own_error")
    assert editor.scene.tape is not None
    assert editor.scene.tape.errors[-1] == TapeError("hub.wheel_centre", (0.7,))
    run(editor, "own_error")
    assert editor.scene == example(MEASURED)


def test_only_points_get_one(editor: Editor) -> None:
    for key in ("bracket[0]", "bracket[0].outline[1]", ""):
        editor.select(key)
        assert doubted(editor) == ""
    editor.select("shafts.left.inner_joint.mid_stroke")
    assert doubted(editor) == "shafts.left.inner_joint.mid_stroke"


def test_what_to_measure_again_leads_to_its_fields(editor: Editor) -> None:

    def sure() -> object:
        solved = editor.shown().solved
        return solved and solved.certainty

    editor.shown(exact=True)
    wait_until(sure, lambda: editor.answers.work_on(0.01))
    rows = list(doubt_rows(editor, editor.shown()))
    assert "chance 87 %" in notes(rows)
    assert "1. inner joint, mid-stroke: 74 % of the doubt" in notes(rows)
    again = next(row for row in rows if isinstance(row, Note) and row.key)
    # A click on it shows the point's own fields.
    assert again.key == "shafts.left.inner_joint.mid_stroke"
    before = editor.scene
    assert editor.type(Field(f"{again.key}[0]", "out"), "239.5")
    assert value_of(editor.scene, "shafts.left.inner_joint.mid_stroke[0]") == 239.5
    # The chance of the old points is not shown for the new ones.
    assert "chance" not in notes(list(doubt_rows(editor, editor.shown())))
    editor.undo()
    assert editor.scene is before


# Trial fit.


def test_the_trial_fit_tells_agreement_residuals_and_changes(editor: Editor) -> None:
    first = trial_rows(editor)
    assert "agree" not in notes(first)
    rows = worked_out(editor)
    assert "The car and the points agree" in notes(rows)
    assert "1. off by +1.13 mm; after the fit +0.01 mm" in notes(rows)
    assert "inner joint, mid-stroke: out 240.00 to 238.89 mm" in notes(rows)
    assert TRIAL_STEP.summary(editor, editor.shown()) == "5 measured, agrees"
    assert "use_fitted" in commands(rows)


def test_fitted_points_are_one_step_of_undo(editor: Editor) -> None:
    run(editor, "use_fitted")
    assert editor.message is not None
    assert "no fitted points yet" in editor.message.text
    before = editor.scene
    worked_out(editor)
    run(editor, "use_fitted")
    assert value_of(editor.scene, "shafts.left.inner_joint.mid_stroke[0]") == 238.89
    assert editor.message is not None
    assert "keep both" in editor.message.text
    editor.undo()
    assert editor.scene is before


def test_an_edit_overtakes_the_answer_that_is_under_way(editor: Editor) -> None:
    trial_rows(editor)
    editor.worker.go_on(0.01)
    assert editor.worker.pending
    value = field(trial_rows(editor), "shafts.left.trial[2].value")
    assert editor.type(value, "411.4")
    rows = worked_out(editor)
    assert "do not agree" in notes(rows)
    assert [row.state for row in rows if isinstance(row, Note) and "agree" in row.text] == ["past"]
    editor.undo()
    # The old answer is not told for the old scene either: it was never finished for it.
    assert "The car and the points agree" in notes(worked_out(editor))


def test_measurements_are_entered_and_removed(editor: Editor) -> None:
    rows = trial_rows(editor)
    add = field(rows, "shafts.left.trial[5]")
    assert editor.type(add, "60; 396")
    last = editor.scene.left_making.trial[-1]
    assert (last.travel, last.value, last.error, last.quantity) == (60, 396, 0.7, "centre_distance")
    run(editor, "remove_measurement")
    assert editor.scene == example(MEASURED)
    assert not editor.type(add, "60")
    assert editor.message is not None
    assert "expected travel; value" in editor.message.text
    assert not editor.type(add, "60; -4")
    assert "shafts.left.trial.value: expected mm between joint centres" in editor.message.text
    assert editor.type(add, "60; plunge -4")
    assert editor.scene.left_making.trial[-1].quantity == "plunge"


def test_distances_are_read_as_plunges_and_back(editor: Editor) -> None:
    before = editor.scene
    plunges = COMMANDS["trial_quantity"].on
    assert plunges is not None
    assert not plunges(editor)
    run(editor, "trial_quantity")
    assert {one.quantity for one in editor.scene.left_making.trial} == {"plunge"}
    assert plunges(editor)
    run(editor, "trial_quantity")
    assert editor.scene == before
    plunged = certainty_edits.add_measurement(before, "left", 60.0, -4.0, "plunge")
    with pytest.raises(EditRefused, match="expected mm between joint centres"):
        certainty_edits.turn_quantity(plunged, "left")


def test_too_few_measurements_are_explained(editor: Editor) -> None:
    for _ in range(3):
        run(editor, "remove_measurement")
    assert "expected measurements at 3 heights or more" in notes(worked_out(editor))
    for _ in range(2):
        run(editor, "remove_measurement")
    assert TRIAL_STEP.summary(editor, editor.shown()) == "nothing measured yet"
    assert "use_fitted" not in commands(trial_rows(editor))


# Gearbox placement.


def placement_worked_out(editor: Editor) -> list[Row]:
    return rows_at_rest(editor, lambda: list(placement_rows(editor)))


def test_the_gearbox_is_shifted_to_its_best_place_in_one_step(editor: Editor) -> None:
    run(editor, "use_best_place")
    assert editor.message is not None
    assert "not known yet" in editor.message.text
    before = editor.scene
    rows = placement_worked_out(editor)
    assert "The gearbox is best 5.0 mm towards the car's right" in notes(rows)
    assert any(isinstance(row, Drawing) for row in rows)
    run(editor, "use_best_place")
    assert value_of(editor.scene, "shafts.left.inner_joint.mid_stroke[0]") == 235
    assert value_of(editor.scene, "shafts.right.inner_joint.mid_stroke[0]") == 249
    editor.undo()
    assert editor.scene is before


def test_without_room_nothing_is_worked_out() -> None:
    scene = replace(example(MEASURED), gearbox_placement=None)
    editor = Editor(Document(scene))
    rows = list(placement_rows(editor))
    assert not editor.worker.pending
    assert [type(row) for row in rows][1:] == [FieldRow, FieldRow]
    room = field(rows, "gearbox.placement.up")
    assert editor.type(room, "4")
    assert editor.scene.gearbox_placement == MountRoom((0, 0), (-4, 4))
    editor.close()
    # Two lengths in inches are read whole, the unit beside them.
    for row in rows[1:]:
        assert isinstance(row, FieldRow)
        (cell,), _ = Grid(344, 1.0).cells(row, "in")
        assert width_px("-0.15748 to 0.3937 in", font_px("normal", 1.0)) < cell.width - 12.0


# What the worker does.


def test_an_answer_is_given_only_for_what_was_asked() -> None:
    worker, begun, go = Worker(), threading.Event(), threading.Event()

    def slow() -> str:
        begun.set()
        go.wait(PATIENCE_SECONDS)
        return "old"

    assert worker.ask("fit", 1, slow).found is None
    worker.go_on(0.1, rested=False)
    assert not begun.is_set(), "it waits until the hand rests"
    worker.go_on(0.1)
    assert begun.wait(PATIENCE_SECONDS)
    worker.go_on(SAY_AFTER_SECONDS)
    assert worker.ask("fit", 1, slow).words == WORKING
    # An edit: from now on something else is asked.
    worker.ask("fit", 2, lambda: "new")
    go.set()
    wait_until(lambda: worker.ask("fit", 2, lambda: "new").found, lambda: worker.go_on(0.01))
    assert worker.ask("fit", 2, lambda: "new").found == "new"
    assert worker.last("fit", 1) is None
    assert not worker.pending
    worker.close()


def test_what_cannot_be_answered_is_told_and_not_tried_again() -> None:
    worker, tries = Worker(), []

    def refuse() -> str:
        tries.append(1)
        raise InvalidInput([Problem("trial", "expected more")])

    wait_until(lambda: worker.ask("fit", 1, refuse).problem, lambda: worker.go_on(0.01))
    assert worker.ask("fit", 1, refuse).problem == "trial: expected more"
    worker.go_on(0.01)
    assert len(tries) == 1
    worker.forget()
    assert worker.last("fit", 1) is None
    worker.close()


# On the real window.


def test_every_step_opens_on_every_kind_of_linkage() -> None:
    for name in (MEASURED, "van-front", "van-rear"):
        hands = Hands(name)
        hands.editor.open_steps = {step.name for step in WORK_ORDER}
        hands.frames(3)
        hands.key("u")
        hands.frames(3)
        hands.editor.close()


def test_a_field_under_the_pointer_lights_its_point() -> None:
    hands = Hands(MEASURED)
    hands.editor.open_steps = {"Measure"}
    hands.frames(3)
    hands.move(hands.field("hub.outer_joint[0]"))
    assert hands.editor.hover == "hub.outer_joint"
    hands.move((hands.window.layout.panel.width / 2, 5.0))
    assert hands.editor.hover == ""
    hands.editor.close()


def test_the_trial_fit_reaches_the_panel_and_its_button_works() -> None:
    hands = Hands(MEASURED)
    hands.editor.open_steps = {"Trial fit"}
    hands.frames(70)
    hands.until(lambda: not hands.editor.worker.pending)
    before = hands.editor.scene
    hands.window.run("use_fitted")
    assert hands.editor.scene is not before
    hands.key("z", ctrl=True)
    assert hands.editor.scene is before
    hands.editor.close()


def test_a_measured_position_is_typed_in_its_own_field() -> None:
    editor = Editor(Document(example(MEASURED)))
    rows = list(WORK_ORDER[0].rows(editor, editor.shown()))
    up = field(rows, "linkage.position[4].outer_joint[1]")
    assert editor.type(up, "350.5")
    moved = edits.move_point(editor.scene, "linkage.position[4].outer_joint", (631.5, 350.0))
    assert moved == example(MEASURED)
    editor.close()


def test_measure_tells_no_chance_by_points_that_the_car_contradicts() -> None:
    scene = example("van-front-making")
    making = scene.left_making
    off = replace(making.trial[0], value=making.trial[0].value + 8.0)
    wrong = replace(scene, left_making=replace(making, trial=(off, *making.trial[1:])))
    for one, contradicts in ((scene, False), (wrong, True)):
        editor = Editor(Document(one))
        worked_out(editor)
        shown = editor.shown()
        assert shown.solved is not None
        sure = certainty_in_scene(one, "left", 3.0, draws=1000)
        known = replace(shown, solved=replace(shown.solved, certainty=sure))
        text = notes(list(doubt_rows(editor, known)))
        assert ("The car contradicts these points" in text) == contradicts
        assert ("of the stroke everywhere: chance" in text) == (not contradicts)
        editor.close()
