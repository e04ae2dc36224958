"""Gestures on the editor: what a drag does, without a screen."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from kinematics.errors import InvalidInput, Problem
from scenes.keys import has, value_of
from scenes.library import example
from sketcher.answers import corner_answers
from sketcher.answers.kept import Answers
from sketcher.answers.shown import Shown
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import View
from sketcher.window.model import edits
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.field_texts import FieldError
from sketcher.window.model.fields import Field, parse, show
from sketcher.window.model.gestures import (
    DragEdge,
    DragLength,
    DragPoint,
    Pan,
    begin_drag,
    zoom,
)
from sketcher.window.model.wheel_drags import DragSteer, DragTravel, DragWheel
from sketcher.window.steps.rows import FieldRow
from sketcher.window.steps.work_order import WORK_ORDER, step_of


@pytest.fixture
def editor() -> Editor:
    made = Editor(Document(example("van-front")))
    for view in ("front", "above"):
        name: View = "front" if view == "front" else "above"
        made.cameras[name] = Camera(800.0, 600.0, (500.0, 300.0), 2.0)
    return made


def test_a_body_fixed_point_follows_the_pointer_exactly(editor: Editor) -> None:
    editor.set_travel(40.0)
    drag = DragPoint(editor, "front", "linkage.arm_pivot", (100.0, 100.0))
    drag.move((120.0, 90.0))
    assert value_of(editor.scene, "linkage.arm_pivot") == (348.0, 210.0, 0.0)
    drag.cancel()
    assert value_of(editor.scene, "linkage.arm_pivot") == (338, 205, 0)


@pytest.mark.parametrize("key", ["hub.outer_joint", "linkage.ball_joint", "hub.wheel_centre"])
def test_a_point_that_rides_along_stays_near_the_pointer(editor: Editor, key: str) -> None:
    editor.set_travel(50.0)
    before = editor.shown().pose
    assert before is not None
    drag = begin_drag(editor, "front", key, (100.0, 100.0))
    assert drag is not None
    drag.move((110.0, 92.0))
    after = editor.shown(exact=True).pose
    assert after is not None
    moved = (after[key][0] - before[key][0], after[key][1] - before[key][1])
    assert moved == pytest.approx((5.0, 4.0), abs=1.5)


def test_the_grid_snaps_dragged_points(editor: Editor) -> None:
    editor.toggle_grid()
    drag = DragPoint(editor, "front", "linkage.strut_top", (0.0, 0.0))
    drag.move((9.0, 0.0))
    assert value_of(editor.scene, "linkage.strut_top") == (580.0, 790.0, -30.0)
    drag.drop()
    assert editor.document.undo_label == "move strut top"


def test_a_refused_drag_says_why_and_keeps_the_last_good_scene(editor: Editor) -> None:
    drag = DragPoint(editor, "front", "linkage.ball_joint", (0.0, 0.0))
    drag.move((-20.0, 0.0))
    good = editor.scene
    drag.move(((338 - 668) * 2.0, (188 - 205) * 2.0))
    assert editor.scene is good
    assert editor.message is not None
    assert "away from arm_pivot" in editor.message.text


def test_a_bracket_and_its_edge_move_whole(editor: Editor) -> None:
    outline = value_of(editor.scene, "bracket[0].outline")
    whole = begin_drag(editor, "front", "bracket[0]", (0.0, 0.0))
    assert whole is not None
    whole.move((20.0, 10.0))
    whole.drop()
    moved = value_of(editor.scene, "bracket[0].outline")
    assert [(x + 10, y - 5) for x, y in outline] == list(moved)
    edge = begin_drag(editor, "front", f"bracket[0].edge[{len(outline) - 1}]", (0.0, 0.0))
    assert isinstance(edge, DragEdge)
    edge.move((-10.0, 0.0))
    edge.drop()
    after = value_of(editor.scene, "bracket[0].outline")
    assert after[0][0] == moved[0][0] - 5
    assert after[-1][0] == moved[-1][0] - 5
    assert after[1] == moved[1]


def test_an_edge_dragged_upwards_goes_up(editor: Editor) -> None:
    before = value_of(editor.scene, "bracket[0].outline")
    edge = begin_drag(editor, "front", "bracket[0].edge[0]", (0.0, 0.0))
    assert isinstance(edge, DragEdge)
    # Pixels count downwards, two to a millimetre.
    edge.move((0.0, -16.0))
    edge.drop()
    after = value_of(editor.scene, "bracket[0].outline")
    assert [y - before[i][1] for i, (_, y) in enumerate(after)] == [8.0, 8.0, 0.0, 0.0]
    assert [x for x, _ in after] == [x for x, _ in before]


def test_a_bracket_moves_in_depth_from_above(editor: Editor) -> None:
    fore = value_of(editor.scene, "bracket[0].fore")
    assert fore is not None
    drag = begin_drag(editor, "above", "bracket[0]", (0.0, 0.0))
    assert drag is not None
    drag.move((0.0, -20.0))
    assert value_of(editor.scene, "bracket[0].fore") == (fore[0] + 10, fore[1] + 10)


def test_the_wheel_is_taken_up_and_down_and_round(editor: Editor) -> None:
    drag = DragWheel(editor, "front", (400.0, 300.0))
    drag.move((400.0, 240.0))
    assert editor.travel_mm == 30.0
    drag.move((400.0, -4000.0))
    assert editor.travel_mm == 70.0
    drag.cancel()
    assert editor.travel_mm == 0.0
    pivot = editor.cameras["above"].to_screen((668.0, 6.0))
    steer = DragWheel(editor, "above", (pivot[0], pivot[1] - 200.0))
    steer.move((pivot[0] + 200.0, pivot[1] - 200.0))
    assert editor.steer_deg == 35.0


def test_travel_and_steer_scales(editor: Editor) -> None:
    drag = DragTravel(editor, lambda point: point[0] - 100.0, (130.4, 0.0))
    assert editor.travel_mm == 30.0
    drag.move((0.0, 0.0))
    assert editor.travel_mm == -80.0
    drag.drop()
    steer = DragSteer(editor, Area(0, 0, 640, 40), (290.0, 0.0))
    assert editor.steer_deg == 0.0
    steer.move((640.0, 0.0))
    assert editor.steer_deg == 35.0
    steer.cancel()
    assert (editor.travel_mm, editor.steer_deg) == (-80.0, 0.0)


def test_the_length_is_dragged_along_its_bar(editor: Editor) -> None:
    drag = DragLength.begin(editor, Area(0, 0, 332, 72), 1.0)
    assert drag is not None
    drag.move((16.0 + 300.0, 30.0))
    longest = value_of(editor.scene, "shafts.left.length")
    drag.move((16.0, 30.0))
    assert value_of(editor.scene, "shafts.left.length") < 391 < longest
    drag.cancel()
    assert value_of(editor.scene, "shafts.left.length") == 391


def test_pan_and_zoom_keep_the_place_under_the_pointer(editor: Editor) -> None:
    camera = editor.cameras["front"]
    pan = Pan(editor, "front", (10.0, 10.0))
    pan.move((60.0, 30.0))
    assert editor.cameras["front"].to_world((60.0, 30.0)) == pytest.approx(
        camera.to_world((10.0, 10.0))
    )
    pan.cancel()
    assert editor.cameras["front"] == camera
    zoom(editor, "front", 4.0, (200.0, 100.0))
    assert editor.cameras["front"].to_world((200.0, 100.0)) == pytest.approx(
        camera.to_world((200.0, 100.0))
    )


def test_every_field_shows_what_it_reads_back() -> None:
    editor = Editor(Document(example("van-front")))
    editor.select("bracket[0]")
    editor.open_steps |= {f"Making/{name}" for name in ("Donors", "Splice and sleeve", "Drive")}
    shown = editor.shown()
    fields = [
        field
        for step in WORK_ORDER
        for row in step.rows(editor, shown)
        if isinstance(row, FieldRow)
        for field in row.fields
    ]
    assert len(fields) > 40
    for field in fields:
        assert field.label
        if not has(editor.scene, field.key):
            # Part of a table that the scene leaves out.
            continue
        text, before = show(field, editor.scene, "mm"), editor.scene
        back = edits.set_value(before, field.key, parse(field, text, "mm"))
        assert show(field, back, "mm") == text
        # Inches have five digits at most; what stands in a field changes nothing.
        editor.unit = "in"
        inches = show(field, before, "in")
        if field.kind == "length":
            assert len(re.sub(r"^-?0\.0*|\D", "", inches)) <= 5
            read = parse(field, text, "mm")
            assert parse(field, inches, "in") == pytest.approx(read, rel=5e-5, abs=0.002)
        assert editor.type(field, inches)
        assert editor.scene == before
        editor.unit = "mm"
        if step_of(field.key) in ("Measure", "Length"):
            assert field.help


@pytest.mark.parametrize(
    ("kind", "text", "line"),
    [
        ("angle", "steep", "expected degrees"),
        ("extent", "-30", "expected two lengths"),
        ("rows", "0 24", "expected rows"),
        ("choice", "roof", "expected one of body"),
        ("length", "12 foo", "expected"),
    ],
)
def test_wrong_texts_are_explained(kind: str, text: str, line: str) -> None:
    field = Field("x", "x", kind)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match=line):
        parse(field, text, "mm")
    assert issubclass(FieldError, ValueError)


def test_late_parts_catch_up_with_the_scene_that_was_dragged() -> None:
    scene = example("van-front")
    answers, fresh = Answers(), Answers()
    answers.show(scene, "left", 20.0, 10.0, exact=True)
    moved = scene
    for step in range(1, 8):
        moved = edits.nudge(scene, "linkage.arm_pivot", (float(step), 1.0))
        answers.show(moved, "left", 20.0, 10.0)
    shown = answers.show(moved, "left", 20.0, 10.0)
    while answers.pending:
        shown = answers.show(moved, "left", 20.0, 10.0)
    wanted = fresh.show(moved, "left", 20.0, 10.0, exact=True)
    assert shown.pose == wanted.pose
    assert shown.solved is not None
    assert wanted.solved is not None
    assert shown.solved.envelope == wanted.solved.envelope
    assert (shown.solved.gap_mm == wanted.solved.gap_mm).all()  # type: ignore[union-attr]
    exact = answers.show(moved, "left", 20.0, 10.0, exact=True)
    assert exact.solved is not None
    assert exact.solved.found == wanted.solved.found


def test_the_answer_over_the_whole_motion_comes_from_the_worker() -> None:
    scene = example("van-rear")
    answers = Answers()

    def settle() -> bool:
        answers.show(scene, "left", 0.0, 0.0)
        while answers.pending:
            answers.show(scene, "left", 0.0, 0.0)
        return answers.exact

    before = settle()
    answers.work_on(0.01)
    assert [before, settle()] == [False, True]
    answers.close()


def test_a_side_without_a_shaft_keeps_the_last_good_picture() -> None:
    scene = example("van-front")
    answers = Answers()
    good = answers.show(scene, "right", 0.0, 0.0, exact=True)
    shown = answers.show(replace(scene, right=None), "right", 0.0, 0.0, exact=True)
    assert shown.pose == good.pose
    assert "no right shaft" in shown.problem
    again = answers.show(scene, "right", 0.0, 0.0, exact=True)
    assert again.problem == ""


def test_what_only_the_whole_motion_shows_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise InvalidInput([Problem("length", "expected a longer shaft")])

    monkeypatch.setattr(corner_answers, "whole_answer", refuse)
    scene = example("van-front")
    at_once = Answers().show(scene, "left", 0.0, 0.0, exact=True)
    assert at_once.problem == "length: expected a longer shaft"
    assert at_once.solved is not None
    late = Answers()

    def settle() -> Shown:
        shown = late.show(scene, "left", 0.0, 0.0)
        while late.pending:
            shown = late.show(scene, "left", 0.0, 0.0)
        return shown

    settle()
    late.work_on(0.01)
    assert settle().problem == at_once.problem
    assert not late.worker.pending
    late.close()


@pytest.mark.parametrize(
    "part", ["sweep", "envelope_outlines", "gap_curve", "worst_gaps", "gaps_at", "whole_answer"]
)
@pytest.mark.parametrize("error", [InvalidInput([Problem("part", "fails")]), ZeroDivisionError()])
def test_a_part_that_fails_is_told_and_not_tried_again(
    part: str, error: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers, scene, tries = Answers(), example("van-front"), []
    good = answers.show(scene, "left", 0.0, 0.0, exact=True)

    def fail(*_: object) -> None:
        tries.append(part)
        raise error

    monkeypatch.setattr(corner_answers, part, fail)
    moved = edits.nudge(scene, "linkage.arm_pivot", (1.0, 0.0))
    shown = answers.show(moved, "left", 0.0, 0.0, exact=True)
    words = "part: fails" if isinstance(error, InvalidInput) else "ZeroDivisionError"
    assert words in shown.problem
    assert shown.solved is not None
    assert good.solved is not None
    count = len(tries)
    assert answers.show(moved, "left", 0.0, 0.0, exact=True).problem == shown.problem
    assert not answers.pending
    assert len(tries) == count
    # Something else is asked for again.
    monkeypatch.undo()
    assert answers.show(scene, "left", 0.0, 0.0, exact=True).problem == ""


def test_a_length_far_too_short_is_answered_with_what_is_wrong() -> None:
    scene = example("van-front")
    short = edits.set_value(scene, "shafts.left.length", 15.4)
    answers, after_a_good_one = Answers(), Answers()
    after_a_good_one.show(scene, "left", 0.0, 0.0, exact=True)
    for one in (answers, after_a_good_one):
        shown = one.show(short, "left", 0.0, 0.0, exact=True)
        assert "expected a shaft that reaches" in shown.problem
        assert not one.pending
