"""What is seldom done or said: the ways that ordinary work does not come by."""

from __future__ import annotations

import codecs
import io
import math
import sys
from dataclasses import replace
from pathlib import Path

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
from scenes.writing import write_whole
from sketcher.__main__ import main
from sketcher.answers.corner_answers import sweep, worst_gaps
from sketcher.answers.kept import Answers
from sketcher.commands.brackets import bracket_index
from sketcher.drawing.labels import Cells
from sketcher.drawing.picture import Box
from sketcher.interchange.photo_file import PhotoFile
from sketcher.paper.picture_page import paper_page
from sketcher.paper.picture_subject import PictureSubject
from sketcher.window.model import autosave, bracket_drawing, photo_pins
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.model.pointing import Pointing
from sketcher.window.model.reading_edits import add_mark
from sketcher.words.plain import Refused

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
