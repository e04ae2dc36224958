"""What is seldom done or said: the ways that ordinary work does not come by."""

from __future__ import annotations

import codecs
import io
import math
import sys
from dataclasses import replace
from pathlib import Path

import pygame
import pytest
from PIL import Image

from kinematics.gaps.clearance import gaps_and_points
from kinematics.gaps.solids import TurnedBody
from kinematics.linkage.motion import reach_of
from kinematics.making.steels import steel_named
from kinematics.parts import Bracket, Section, Wishbones
from kinematics.sure.certainty import certainty
from kinematics.sure.tape import Tape
from scenes.guessed import set_by_hand
from scenes.keys import EditRefused
from scenes.library import example, example_text
from scenes.photo import Photo
from scenes.writing import scene_text, write_whole
from sketcher.__main__ import main
from sketcher.answers.corner_answers import envelope_outlines, sweep, worst_gaps
from sketcher.answers.kept import Answers
from sketcher.answers.memo import Answer
from sketcher.commands.brackets import bracket_index
from sketcher.drawing.camera import Camera
from sketcher.drawing.labels import Cells
from sketcher.drawing.picture import Box, Picture, Text
from sketcher.drawing.readout import columns_of, row_at
from sketcher.drawing.strokes import shortened
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface
from sketcher.interchange.outline_file import with_outline
from sketcher.interchange.photo_file import PhotoFile
from sketcher.paper.picture_page import paper_page
from sketcher.paper.picture_subject import PictureSubject
from sketcher.window.model import autosave, bracket_drawing, cutting_back, edits, photo_pins
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.model.open_outline import OpenOutline
from sketcher.window.model.pointing import Pointing
from sketcher.window.model.reading_edits import add_mark
from sketcher.window.steps.judged import verdict_of
from sketcher.window.steps.rows import FieldRow, RowHeading
from sketcher.window.steps.work_order import WORK_ORDER
from sketcher.words.answer import brief
from sketcher.words.plain import Refused
from sketcher.words.units import LengthError

FRONT = example("van-front")
FRONT_REACH = reach_of(FRONT.linkage, FRONT.hub)


def test_without_anything_to_meet_there_is_no_gap_and_no_place() -> None:
    bar = TurnedBody.between(
        [400.0, 0.0, 0.0], [0.0, 0.0, 0.0], (Section("bar", 0, 400, (24, 24)),)
    )
    plate = Bracket("plate", ((100, 20), (200, 20), (200, 60)))
    for bodies, brackets in (([], [plate]), ([bar], [])):
        gaps, points = gaps_and_points(bodies, brackets)
        assert gaps.shape == (0,)
        assert points.shape == (0, 3)


def test_hardened_steels_are_known_up_to_forty_millimetres() -> None:
    """EN 10083-3, its column of more than 16 and up to 40 mm (memory)."""
    steel = steel_named("42CrMo4 quenched and tempered")
    assert steel is not None
    assert steel.largest == 40.0


def test_where_hardly_a_draw_gets_everywhere_nothing_is_known_of_a_length() -> None:
    corner = replace(FRONT.corner("left"), brackets=())
    found = certainty(corner, Tape(60.0), draws=2)
    for one in (found.ride_centred, found.shortest, found.longest):
        if math.isinf(one.standard_uncertainty_mm):
            assert (one.low_mm, one.high_mm) == (-math.inf, math.inf)
            assert one.mean_mm == one.value_mm
            break
    else:
        pytest.fail("every draw of a tape that errs by 60 mm closed")


def test_a_thing_that_is_new_is_measured_by_the_hand_that_adds_it() -> None:
    before = replace(FRONT, brackets=(), guessed=("linkage.arm_pivot",))
    bracket = Bracket("plate", ((100, 20), (200, 20), (200, 60)))
    after = replace(
        before, brackets=(bracket,), guessed=("linkage.arm_pivot", "bracket[0].outline")
    )
    left = set_by_hand(before, after).guessed
    assert all(path.startswith("linkage.arm_pivot") for path in left)
    assert left


def test_a_stream_is_written_to_and_stays(capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    write_whole(Path("/dev/stdout"), b"written")
    assert capfdbinary.readouterr().out == b"written"


@pytest.mark.parametrize(
    ("error", "told"),
    [(OSError(28, "No space left on device"), "No space left on device"), (OSError(), "OSError")],
)
def test_an_answer_that_cannot_be_written_is_told(
    error: OSError, told: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Full(io.StringIO):
        def flush(self) -> None:
            raise error

    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", Full())
        patch.setattr("sketcher.__main__._let_go", lambda _: None)
        assert main(["report", "--example", "van-rear", "--side", "left"]) == 2
    assert f"the answer cannot be written: {told}" in capsys.readouterr().err


def test_a_shaft_without_an_outline_has_no_gap_to_any_bracket() -> None:
    corner = FRONT.corner("left")
    bare = replace(corner, shaft=replace(corner.shaft, sections=()))
    over = sweep(bare, FRONT_REACH)
    assert worst_gaps(bare, over, (0, 1)) == (None, None)
    assert None not in worst_gaps(corner, sweep(corner, FRONT_REACH), (0, 1))


def test_a_scene_without_a_shaft_is_not_said_to_close() -> None:
    bare = replace(FRONT, left=None, right=None)
    shown = Answers().show(bare, "left", 0.0, 0.0)
    assert shown.solved is None
    assert shown.pose is None
    assert shown.problem
    assert not shown.closes
    with pytest.raises(Refused, match=shown.problem[:20]):
        PictureSubject.of(bare, "left", 0.0, 0.0)


def test_of_one_bracket_no_name_is_asked() -> None:
    one = replace(FRONT, brackets=FRONT.brackets[:1])
    assert bracket_index(one, None) == 0


def test_what_cannot_be_spelt_out_is_an_error_still(capsys: pytest.CaptureFixture[str]) -> None:
    main(["report", "--example", "van-rear", "--side", "left"])
    capsys.readouterr()
    spelt = codecs.lookup_error("spelt")
    with pytest.raises(UnicodeDecodeError):
        spelt(UnicodeDecodeError("ascii", b"\xff", 0, 1, "not in range"))
    assert spelt(UnicodeEncodeError("ascii", "a−5°☃", 1, 5, "no")) == (
        "-5 deg?".replace("5", "?"),
        5,
    )


def test_a_name_that_no_file_can_have_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["table", "--example", "van-rear", "--side", "left", "-o", "a\0b.csv"]) == 2
    assert "a b.csv: no file can have this name" in capsys.readouterr().err
    assert main(["table", "--example", "van-rear", "--side", "left", "-o", f"{'a' * 300}.csv"]) == 2
    assert "cannot be written: File name too long" in capsys.readouterr().err


@pytest.mark.parametrize("closed", [True, False])
def test_a_run_of_lines_far_beyond_the_view_is_marked_to_its_end(closed: bool) -> None:
    cells = Cells(Box(0.0, 0.0, 400.0, 400.0), 4.0)
    far = 1e6
    cells.take_run(((-far, 200.0), (far, 200.0), (far, -far), (-far, -far)), closed=closed)
    assert cells.count_box(Box(0.0, 196.0, 400.0, 204.0)) > 0
    cells = Cells(Box(0.0, 0.0, 400.0, 400.0), 4.0)
    # The last side alone crosses the view.
    cells.take_run(((200.0, -far), (far, -far), (far, far), (200.0, far)), closed=closed)
    assert (cells.count_box(Box(196.0, 0.0, 204.0, 400.0)) > 0) == closed


def test_a_scale_that_no_sheet_holds_is_named() -> None:
    subject = PictureSubject.of(FRONT, "left", 0.0, 0.0)
    with pytest.raises(Refused, match="fits A0, got 50 : 1"):
        paper_page(subject, "sketch", 50.0)


# ---- what the window keeps -----------------------------------------------------------------


def left_behind(folder: Path, van: Path | None = None) -> Path:
    keeper = autosave.Autosave(folder)
    keeper.keep(example_text("van-front"), van)
    assert keeper._lock is not None
    keeper._lock.close()
    return keeper._file


def test_what_a_window_that_is_gone_kept_is_found_without_its_lock(tmp_path: Path) -> None:
    lock = left_behind(tmp_path).with_suffix(".lock")
    assert len(autosave.leftovers(tmp_path)) == 1
    lock.unlink()
    assert len(autosave.leftovers(tmp_path)) == 1
    # A lock that cannot be looked at may be a running window's.
    lock.mkdir()
    assert autosave.leftovers(tmp_path) == ()


def test_a_file_that_can_no_longer_be_read_is_told_in_the_offer(tmp_path: Path) -> None:
    van = tmp_path / "van.toml"
    van.write_text("format = 1\n", encoding="utf-8")
    left_behind(tmp_path / "state", van)
    (found,) = autosave.leftovers(tmp_path / "state")
    told = autosave.sentences(found)[-1]
    assert told.startswith("Its file cannot be read: ")
    assert told.endswith("linkage: missing; expected a table [linkage].")


@pytest.mark.parametrize("number", [1, 2, 3])
def test_marks_without_a_name_are_numbered(number: int) -> None:
    scene = FRONT
    for _ in range(number):
        scene = add_mark(scene, "", (400.0, 300.0, 0.0))
    assert scene.marks[-1].name == f"mark {number}"
    assert len({mark.name for mark in scene.marks}) == len(scene.marks)


def test_an_outline_that_makes_no_bracket_stays_open() -> None:
    editor = Editor(Document(FRONT))
    before = editor.scene
    bracket_drawing.take_up(editor, "outline")
    # The sides cross.
    for place in ((300.0, 300.0), (400.0, 400.0), (400.0, 300.0), (300.0, 400.0)):
        bracket_drawing.point(editor, place)
        bracket_drawing.put_corner(editor)
    bracket_drawing.finish(editor)
    assert editor.scene is before
    assert editor.open_outline is not None
    assert not editor.open_outline.done
    assert editor.message is not None
    crossed = ((300.0, 300.0), (400.0, 400.0), (400.0, 300.0), (300.0, 400.0))
    assert not editor.add_bracket(crossed)
    assert editor.add_bracket(((300.0, 300.0), (400.0, 300.0), (400.0, 400.0)))
    editor.close()


def test_a_linkage_on_a_dead_point_has_no_positions_to_take() -> None:
    linkage = Wishbones((0, 0, 0), (0, 300, 0), (200, 0, 0), (200, 300, 0))
    torn = replace(FRONT, linkage=linkage, brackets=(), strut_tube=None, arm=None, readings=())
    with pytest.raises(EditRefused, match="dead point at ride height"):
        change_linkage(torn, "measured")


def pinned(count: int) -> Photo:
    places = ((0.0, 0.0), (800.0, 0.0), (800.0, 600.0), (0.0, 600.0), (400.0, 300.0))
    pins = [(x, 600.0 - y, x, y) for x, y in places[:count]]
    if count == 5:
        pins[4] = (400.0, 300.0, 410.0, 300.0)
    return Photo("front.jpg", tuple(pins))


def test_the_pin_that_is_furthest_off_is_named() -> None:
    editor = Editor(Document(replace(FRONT, photo=pinned(5))))
    setattr(editor.photo, "file", lambda *_: PhotoFile(Image.new("RGB", (800, 600)), 26.0))  # noqa: B010
    told = editor.photo.words(editor.worker, editor.scene, None, "mm")
    assert "pin 5 is furthest off" in told[0]
    assert "5.9 mm" in told[0] or "6.0 mm" in told[0]
    editor.close()


def test_a_pin_waits_for_its_photo() -> None:
    editor = Editor(Document(replace(FRONT, photo=pinned(4))))
    for problem, told in (("", "photo: it is being read"), ("photo: no.jpg", "photo: no.jpg")):
        editor.photo.problem = problem
        setattr(editor.photo, "file", lambda *_: None)  # noqa: B010
        editor.pointing = Pointing("pin", ("linkage.ball_joint",))
        photo_pins.click_pin(editor, "", (0.0, 0.0))
        assert editor.message is not None
        assert editor.message.text == told
    editor.close()


# ---- the rest ------------------------------------------------------------------------------


@pytest.mark.parametrize(("x", "y", "row"), [
    (5.0, 27.9, None), (5.0, 28.0, 0), (5.0, 49.9, 0), (5.0, 50.0, 1), (5.0, 93.9, 2),
    (5.0, 94.0, None), (305.0, 28.0, 3), (305.0, 72.0, None),
])  # fmt: skip
def test_a_row_of_the_readout_is_found_under_its_place(x: float, y: float, row: int | None) -> None:
    wide = next(float(w) for w in range(100, 2000) if columns_of(float(w)) == 2)
    assert row_at(x / 600.0 * wide, y, wide, 5) == row
    # In one column all five are one under another.
    assert row_at(5.0, 28.0 + 4.5 * 22.0, wide - 1.0, 5) == 4
    assert row_at(5.0, 28.0 + 5.5 * 22.0, wide - 1.0, 5) is None


def test_a_sweep_goes_up_and_down_again() -> None:
    editor = Editor(Document(FRONT))
    low, high = editor.scene.travel_range
    editor.set_travel(low)
    editor.play()
    seen = []
    for _ in range(8):
        editor.pass_time(0.5)
        seen.append((editor.travel_mm - low) / (high - low))
    # Four seconds from droop to bump and back.
    assert seen == pytest.approx([0.25, 0.5, 0.75, 1.0, 0.75, 0.5, 0.25, 0.0], abs=1e-9)
    editor.play()
    editor.pass_time(1.0)
    assert (editor.travel_mm - low) / (high - low) == pytest.approx(0.0, abs=1e-9)
    editor.close()


def test_corners_of_several_brackets_are_set_at_once() -> None:
    scene = replace(FRONT, brackets=())
    for up in (100.0, 200.0):
        scene = edits.add_bracket(scene, ((0.0, up), (9.0, up), (9.0, up + 9.0)))
    moved = edits.set_corners(
        scene, {"bracket[0].outline[0][1]": 98.0, "bracket[1].outline[2][0]": 12.0}
    )
    assert moved.brackets[0].outline == ((0.0, 98.0), (9.0, 100.0), (9.0, 109.0))
    assert moved.brackets[1].outline == ((0.0, 200.0), (9.0, 200.0), (12.0, 209.0))


def test_a_bracket_among_others_is_reshaped_in_its_place() -> None:
    outline = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0))
    scene = replace(FRONT, brackets=())
    for name in ("one", "two", "three"):
        scene = with_outline(scene, name, outline)
    wider = ((0.0, 0.0), (19.0, 0.0), (9.0, 9.0))
    reshaped = with_outline(scene, "two", wider)
    assert [one.name for one in reshaped.brackets] == ["one", "two", "three"]
    assert [one.outline for one in reshaped.brackets] == [outline, wider, outline]


def test_what_lies_out_of_a_painters_reach_is_cut_off_along_its_line() -> None:
    near = ((-19_999.0, 3.0), (19_999.0, -3.0))
    assert shortened(*near) == near
    a, b = shortened((0.0, 0.0), (40_000.0, 20_000.0))
    assert a == pytest.approx((0.0, 0.0))
    assert b == pytest.approx((20_000.0, 10_000.0))
    assert shortened((0.0, 30_000.0), (5.0, 30_000.0)) == ((0.0, 30_000.0), (0.0, 30_000.0))


@pytest.mark.parametrize(("bump", "droop"), [(400.0, 80.0), (70.0, 400.0), (400.0, 400.0)])
def test_a_picture_beyond_the_reach_is_refused_with_what_is_within(
    bump: float, droop: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = replace(FRONT, travel=replace(FRONT.travel, bump=bump, droop=droop), brackets=())
    path = tmp_path / "far.toml"
    path.write_text(scene_text(scene), encoding="utf-8")
    told = ["picture", str(path), "-o", str(tmp_path / "a.svg"), "--travel"]
    assert main([*told, "399"]) == 2
    words = " ".join(capsys.readouterr().err.split())
    low = max(-droop, math.ceil(FRONT_REACH.lowest_mm * 10.0) / 10.0)
    high = min(bump, math.floor(FRONT_REACH.highest_mm * 10.0) / 10.0)
    assert f"from {brief(low, sign=True)} to {brief(high, sign=True)} mm" in words


def test_what_is_refused_of_a_list_waits_in_its_own_list() -> None:
    editor = Editor(Document(example("van-front-readings")))
    editor.open_steps = {"Measure", "Measure/Readings"}
    for key, kind in (("a", "reading"), ("b", "mark")):
        editor.put_aside[key] = Field(key, key, kind)  # type: ignore[arg-type]
    listed = [*WORK_ORDER[0].rows(editor, editor.shown())]
    names = [row.text if isinstance(row, RowHeading) else "" for row in listed]
    marks = next(number for number, name in enumerate(names) if name.startswith("Marks"))
    waiting = {
        row.fields[0].key: number
        for number, row in enumerate(listed)
        if isinstance(row, FieldRow) and row.label == "not taken"
    }
    assert waiting.keys() == {"a", "b"}
    assert waiting["a"] < marks < waiting["b"]
    editor.close()


@pytest.mark.parametrize(("at", "inside"), [
    ((0.06, 0.06), True), ((799.94, 40.0), True), ((0.06, 599.94), True), ((799.94, 599.94), True),
    ((-0.06, 300.0), False), ((800.06, 300.0), False), ((400.0, -0.06), False),
    ((400.0, 600.06), False),
])  # fmt: skip
def test_a_pin_is_set_up_to_the_photos_edge(at: tuple[float, float], inside: bool) -> None:
    editor = Editor(Document(replace(FRONT, photo=pinned(4))))
    setattr(editor.photo, "file", lambda *_: PhotoFile(Image.new("RGB", (800, 600)), 26.0))  # noqa: B010
    editor.pointing = Pointing("pin", ("linkage.ball_joint",))
    # The photo lies as it is, a pixel to a mm: its corner is (0, 0) of the car.
    photo_pins.click_pin(editor, "", at)
    assert (len(photo_pins.all_pins(editor)) == 5) == inside
    editor.close()


@pytest.mark.parametrize(("corners", "at"), [((), (9.0, 9.0)), (((0.0, 0.0),), None), ((), None)])
def test_a_length_alone_begins_no_outline(
    corners: tuple[tuple[float, float], ...], at: tuple[float, float] | None
) -> None:
    begun = OpenOutline("outline", corners, at, typed="20")
    with pytest.raises(LengthError, match="out; up for the first corner"):
        begun.entered("mm")


def ink(turn: float) -> tuple[int, int]:
    surface = pygame.Surface((200, 200))
    surface.fill((255, 255, 255))
    word = Picture((Text((0.0, 0.0), "HHHHHH", "label", angle_deg=turn),))
    paint_surface(surface, word, Camera(200.0, 200.0), style("light"))
    dark = pygame.mask.from_threshold(surface, (0, 0, 0), (160, 160, 160))
    first, *others = dark.get_bounding_rects()
    box = first.unionall(others)
    return box.width, box.height


def test_turned_words_stand_on_end() -> None:
    wide, high = ink(0.0)
    tall = ink(90.0)
    assert wide > 3 * high
    assert abs(tall[0] - high) <= 6
    assert abs(tall[1] - wide) <= 6


def test_only_a_round_thing_with_a_rim_has_a_diameter() -> None:
    there = ((0.0, 0.0), (3.0, 4.0))
    assert OpenOutline("round", there[:1], there[1]).diameter_mm == 10.0
    assert OpenOutline("round", there[:1]).diameter_mm == 0.0
    assert OpenOutline("round").diameter_mm == 0.0
    assert OpenOutline("outline", there).diameter_mm == 0.0


def test_the_envelope_is_the_shafts_alone() -> None:
    corner = FRONT.corner("left")
    bell = (Section("bell", -30.0, 40.0, (200.0, 200.0)),)
    outer = replace(corner.shaft.outer_joint, sections=bell)
    belled = replace(corner, shaft=replace(corner.shaft, outer_joint=outer))
    assert envelope_outlines(belled, FRONT_REACH) == envelope_outlines(corner, FRONT_REACH)
    bare = replace(corner, shaft=replace(corner.shaft, sections=()))
    assert envelope_outlines(bare, FRONT_REACH) == ()


@pytest.mark.parametrize(("name", "asked"), [("van-front-mount-fouls", True), ("van-front", False)])
def test_only_of_a_bracket_that_falls_short_it_is_asked_what_has_to_go(
    name: str, asked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    editor = Editor(Document(example(name)))
    shown = editor.shown(exact=True)
    assert shown.solved is not None
    assert shown.solved.exact
    names: list[str] = []
    monkeypatch.setattr(editor.worker, "ask", lambda name, *_, **__: names.append(name))
    cutting_back.ask_to_trim(editor, shown)
    assert names == ([cutting_back.NAME] if asked else [])
    editor.close()


@pytest.mark.parametrize("name", ["van-front-readings", "van-front"])
def test_a_verdict_waits_for_readings_where_there_are_any(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    editor = Editor(Document(example(name)))
    shown = editor.shown(exact=True)
    names: list[str] = []

    def ask(name: str, *_: object, **__: object) -> Answer:
        names.append(name)
        return Answer()

    monkeypatch.setattr(editor.worker, "ask", ask)
    verdict_of(editor, shown)
    assert ("readings" in names) == (name == "van-front-readings")
    editor.close()
