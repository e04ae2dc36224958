"""Dialogs, files that change underneath, and unsaved work: what the window must not lose."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pygame
import pytest
from pygame_gui.elements import UIWindow

from kinematics.errors import InvalidInput, Problem
from scenes.library import example, example_text
from scenes.reading import read_scene
from scenes.writing import write_scene
from sketcher.answers import corner_answers
from sketcher.window.model import autosave, edits
from sketcher.window.model.document import Document
from sketcher.window.screen import app
from sketcher.window.screen.dialogs import ChoiceDialog, Dialog, Files
from tests.waiting import PATIENCE_SECONDS
from tests.windowing import Hands

NO_LINUX = "only on Linux"


@pytest.fixture
def hands() -> Iterator[Hands]:
    hands = Hands()
    yield hands
    hands.editor.close()


@pytest.fixture
def van(tmp_path: Path) -> Path:
    path = tmp_path / "van.toml"
    path.write_text(example_text("van-front"), encoding="utf-8")
    return path


def resized(hands: Hands, width: int, height: int) -> None:
    hands.window.resize(pygame.display.set_mode((width, height)))
    hands.frames(2)


def said(hands: Hands) -> str:
    assert hands.editor.message is not None
    return hands.editor.message.text


def windows_up(hands: Hands) -> int:
    sprites = hands.window.manager.get_sprite_group().sprites()
    return sum(isinstance(sprite, UIWindow) for sprite in sprites)


# Dialogs.


def test_every_dialog_survives_resizing_and_still_answers(hands: Hands) -> None:
    done: list[str] = []
    lost = Document.recovered(example("van-rear"), "", None)
    hands.window.offer("found", lost, lambda: done.append("taken"), lambda: done.append("thrown"))
    resized(hands, 1000, 700)
    hands.key("t")
    hands.key("return")
    assert done == ["taken"]
    for put_up in (hands.window.show_keys, hands.window.examples, hands.window.save_as):
        hands.window.take_down()
        put_up()
        kind = type(hands.window.dialog)
        resized(hands, 1280, 800)
        resized(hands, 1000, 640)
        assert type(hands.window.dialog) is kind
        assert windows_up(hands) == 1
        hands.key("escape")
        assert hands.window.dialog is None
        assert windows_up(hands) == 0


def test_a_half_typed_path_survives_resizing(hands: Hands, tmp_path: Path) -> None:
    hands.window.save_as()
    assert isinstance(hands.window.dialog, Files)
    hands.window.dialog._path.set_text(str(tmp_path / "half"))
    resized(hands, 1000, 640)
    hands.key("return")
    assert (tmp_path / "half.toml").exists()


def test_closing_twice_asks_once(hands: Hands) -> None:
    hands.editor.do("length", lambda s: edits.set_length(s, "left", 392.5))
    hands.window.show_keys()
    for _ in range(3):
        hands.post(pygame.QUIT)
        hands.frames()
    assert isinstance(hands.window.dialog, ChoiceDialog)
    assert windows_up(hands) == 1
    hands.key("escape")
    assert [hands.window.running, hands.window.dialog] == [True, None]
    hands.post(pygame.QUIT)
    again: Dialog | None = hands.window.dialog
    assert isinstance(again, ChoiceDialog)
    again._answers[1][1]()
    assert [hands.window.running] == [False]


def test_closing_in_the_middle_of_a_drag_asks_about_it_and_ends_the_drag(hands: Hands) -> None:
    before = hands.value("linkage.ball_joint")
    at = hands.at("linkage.ball_joint")
    hands.press(at)
    hands.move((at[0] + 30.0, at[1]))
    hands.post(pygame.QUIT)
    assert isinstance(hands.window.dialog, ChoiceDialog)
    moved = hands.value("linkage.ball_joint")
    assert moved != before
    hands.key("escape")
    hands.move((at[0] + 60.0, at[1]))
    assert hands.value("linkage.ball_joint") == moved
    hands.editor.undo()
    assert hands.value("linkage.ball_joint") == before


def test_giving_up_a_save_ends_nothing_later(hands: Hands, tmp_path: Path) -> None:
    hands.editor.do("length", lambda s: edits.set_length(s, "left", 392.5))
    hands.post(pygame.QUIT)
    hands.key("return")
    assert isinstance(hands.window.dialog, Files)
    hands.key("escape")
    hands.key("s", ctrl=True)
    hands.type(str(tmp_path / "mine.toml"))
    assert (tmp_path / "mine.toml").exists()
    assert hands.window.running


def test_a_window_forced_small_is_survived(hands: Hands) -> None:
    for size in ((300, 200), (90, 70), (40, 30), (1, 1)):
        resized(hands, *size)
        for put_up in (hands.window.show_keys, hands.window.save_as):
            put_up()
            hands.frames()
    resized(hands, 1280, 800)
    assert isinstance(hands.window.dialog, Files)
    hands.key("escape")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason=NO_LINUX)
@pytest.mark.usefixtures("few_draws")
def test_resizing_and_dialogs_leave_no_memory_behind(hands: Hands) -> None:
    def megabytes() -> float:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGESIZE") / 1e6

    def use() -> None:
        for count in range(4):
            resized(hands, 1000 + 20 * count, 700)
            for put_up in (hands.window.show_keys, hands.window.save_as):
                put_up()
                hands.frames()
                hands.key("escape")

    app.collect_seldom()
    # Libraries, the worker and the allocator fill up for a few rounds, and then no more.
    for _ in range(5):
        use()
        hands.settle()
    # What the worker is at takes room of its own.
    hands.until(lambda: not hands.editor.answers.pending)
    before = megabytes()
    for _ in range(3):
        use()
        hands.settle()
    # Without letting go of old widgets it is three times as much.
    assert megabytes() - before < 25.0


def test_another_linkage_that_does_not_close_is_drawn_as_it_stands(
    hands: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise InvalidInput([Problem("linkage", "expected one that closes")])

    monkeypatch.setattr(corner_answers, "poses", refuse)
    rear = example("van-rear")
    hands.editor.do("linkage", lambda s: replace(s, linkage=rear.linkage, strut_tube=None))
    assert hands.editor.scene.linkage is rear.linkage
    hands.frames(2)
    hands.window.fit()
    hands.frames(2)
    assert "expected one that closes" in hands.editor.shown().problem
    hands.at("linkage.lower_pivot")


# Choosing a file.


def refused_file(hands: Hands, text: str) -> str:
    """What is said where a path is typed into the dialog; it stays up for another."""
    hands.editor.message = None
    hands.window.open()
    hands.type(text)
    assert isinstance(hands.window.dialog, Files)
    line = said(hands)
    assert "\n" not in line
    hands.frames(2)
    hands.window.take_down()
    return line


def test_paths_that_are_none_are_one_line_each(hands: Hands, tmp_path: Path) -> None:
    assert "nobody" in refused_file(hands, "~nobody-of-this-name/van.toml")
    assert "name too long" in refused_file(hands, str(tmp_path / ("x" * 300)))
    ends = tmp_path / "one", tmp_path / "two"
    ends[0].symlink_to(ends[1])
    ends[1].symlink_to(ends[0])
    hands.window.open()
    hands.type(str(ends[0]))
    assert hands.window.dialog is None
    assert "cannot be read" in said(hands)
    assert "links" in said(hands)


def test_a_folder_that_may_not_be_entered_is_one_line(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    listing = Path.iterdir

    def guarded(self: Path) -> Iterator[Path]:
        # Whoever runs the tests as root may enter everything.
        if self == closed:
            raise PermissionError(13, "Permission denied")
        return listing(self)

    monkeypatch.setattr(Path, "iterdir", guarded)
    assert "permission denied" in refused_file(hands, str(closed))
    monkeypatch.setattr(hands.window, "_folder", lambda: closed)
    hands.window.open()
    assert "permission denied" in said(hands)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason=NO_LINUX)
def test_names_that_are_no_text_are_listed_and_opened(hands: Hands, tmp_path: Path) -> None:
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/van-\xff.toml"))
    odd.write_text(example_text("van-rear"), encoding="utf-8")
    (tmp_path / "line\nbreak").mkdir()
    hands.window.open()
    hands.type(str(tmp_path))
    dialog = hands.window.dialog
    assert isinstance(dialog, Files)
    hands.frames(2)
    assert "van- .toml" in dialog._items
    dialog._path.set_text(f"{tmp_path}/van- .toml")
    hands.key("return")
    hands.frames(2)
    assert hands.editor.document.path == odd
    hands.window.save_as()
    hands.frames(2)


def test_markup_in_a_name_is_shown_as_it_stands(hands: Hands, tmp_path: Path) -> None:
    path = tmp_path / "a<b>&c.toml"
    path.write_text("x", encoding="utf-8")
    hands.window.save_as()
    hands.type(str(path))
    assert isinstance(hands.window.dialog, ChoiceDialog)
    assert "a&lt;b&gt;&amp;c.toml" in hands.window.dialog.text
    hands.frames(2)


# Files that change underneath.


def test_a_changed_file_that_is_refused_is_told_until_it_is_mended(hands: Hands, van: Path) -> None:
    hands.window.open_file(van)
    hands.settle()
    good = van.read_text(encoding="utf-8")
    van.write_text(good.replace("[hub]", "[hubb]"), encoding="utf-8")
    assert hands.window.notice_disk()
    assert "hub" in said(hands)
    assert "read again" not in said(hands)
    assert "older than the file" in said(hands)
    assert "older than the file" in hands.editor.shown().outdated
    hands.frames(2)
    # Told once; saving over it asks.
    assert not hands.window.notice_disk()
    hands.key("s", ctrl=True)
    assert isinstance(hands.window.dialog, ChoiceDialog)
    hands.key("return")
    assert "[hubb]" in van.read_text(encoding="utf-8")
    van.write_text(good.replace("391", "390"), encoding="utf-8")
    assert hands.window.notice_disk()
    assert hands.editor.shown().outdated == ""
    assert hands.value("shafts.left.length") == 390.0


def test_saving_over_a_file_that_somebody_else_changed_asks(hands: Hands, van: Path) -> None:
    hands.window.open_file(van)
    hands.editor.do("length", lambda s: edits.set_length(s, "left", 392.5))
    write_scene(van, edits.set_length(hands.editor.scene, "left", 387.25))
    hands.key("s", ctrl=True)
    hands.key("return")
    assert "387.25" in van.read_text(encoding="utf-8")
    hands.key("s", ctrl=True)
    assert isinstance(hands.window.dialog, ChoiceDialog)
    save_over = hands.window.dialog._answers[1][1]
    hands.key("escape")
    save_over()
    assert "392.5" in van.read_text(encoding="utf-8")


# Unsaved work.


def left_behind(folder: Path, van: Path) -> autosave.Leftover:
    """Work on a file that a window left behind."""
    document = Document.open(van)
    document.apply("length", lambda scene: edits.set_length(scene, "left", 377.0))
    keeper = autosave.Autosave(folder)
    keeper.keep(document.text, document.path, document.on_disk)
    assert keeper._lock is not None
    keeper._lock.close()
    (found,) = autosave.leftovers(folder)
    return found


def test_the_offer_tells_both_times_and_what_differs(tmp_path: Path, van: Path) -> None:
    found = left_behind(tmp_path / "state", van)
    older = found.saved_at.timestamp() - 3600.0
    os.utime(van, (older, older))
    words = " ".join(autosave.sentences(found))
    assert f"kept at {autosave.time_words(found.saved_at)}" in words
    assert autosave.time_words(datetime.fromtimestamp(older, UTC)) in words
    assert "it is older than what was kept" in words
    assert "They differ in: left shaft, length." in words
    newer = older + 7200.0
    os.utime(van, (newer, newer))
    assert "it is newer than what was kept" in " ".join(autosave.sentences(found))
    van.unlink()
    assert "not there any more" in " ".join(autosave.sentences(found))


def test_what_differs_is_named() -> None:
    one = example("van-front")
    first, *others = one.brackets
    other = replace(
        edits.set_length(one, "right", 380.0),
        title="another",
        brackets=(replace(first, wanted_gap=9.0), *others),
    )
    assert list(autosave.what_differs(one, other)) == [
        "right shaft, length",
        f'bracket "{first.name}"',
        "title",
    ]
    assert not list(autosave.what_differs(one, one))


@pytest.mark.parametrize("changed", [False, True])
def test_newer_work_is_not_overwritten_by_what_is_brought_back(
    changed: bool, hands: Hands, tmp_path: Path, van: Path
) -> None:
    found = left_behind(tmp_path / "state", van)
    if changed:
        write_scene(van, edits.set_length(found.scene, "left", 366.5))
    hands.window.put(Document.recovered(found.scene, found.text, found.path, found.on_disk))
    assert hands.editor.document.changed_on_disk() is changed
    hands.window.save()
    assert (hands.window.dialog is not None) is changed
    length = 366.5 if changed else 377.0
    assert read_scene(van).left == replace(found.scene.left, length=length)  # type: ignore[type-var]


RUN = """
import signal, sys
# A run in the background of a shell ignores Ctrl+C, and hands that down.
signal.signal(signal.SIGINT, signal.default_int_handler)
from sketcher.window.screen import window
from sketcher.__main__ import main
class Edited(window.Window):
    count = 0
    def frame(self, seconds):
        super().frame(seconds)
        Edited.count += 1
        if Edited.count == 3:
            from sketcher.window.model import edits
            self.editor.do("length", lambda s: edits.set_length(s, "left", 371.5))
            print("edited", flush=True)
        if Edited.count > 3 and "fault" in sys.argv:
            raise ZeroDivisionError
window.Window = Edited
from sketcher.window.screen import app
app.Window = Edited
app.EVERY_SECONDS = 1e9
sys.exit(main(sys.argv[1:2]))
"""


def ended(van: Path, state: Path, how: Callable[[subprocess.Popen[str]], None], *more: str) -> int:
    """Run the window, edit in it, and end it somehow; its exit code."""
    environment = {
        **os.environ, "SDL_VIDEODRIVER": "dummy", "XDG_STATE_HOME": str(state),
        "LOCALAPPDATA": str(state), "HOME": str(state), "SDL_NO_SIGNAL_HANDLERS": "0",
    }  # fmt: skip
    with subprocess.Popen(
        [sys.executable, "-c", RUN, str(van), *more],
        env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        try:
            assert process.stdout.readline() == "edited\n"
            how(process)
            process.communicate(timeout=PATIENCE_SECONDS)
        finally:
            process.kill()
        return process.returncode


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason=NO_LINUX)
@pytest.mark.parametrize(
    ("number", "more"),
    [(signal.SIGTERM, ()), (signal.SIGINT, ()), (0, ("fault",))],
)
def test_whatever_ends_the_window_keeps_unsaved_work(
    number: int, more: tuple[str, ...], van: Path, tmp_path: Path
) -> None:
    state = tmp_path / "state"
    state.mkdir()
    code = ended(van, state, lambda process: process.send_signal(number) if number else None, *more)
    assert code == (128 + number if number else 1)
    (kept,) = state.rglob("unsaved-*.json")
    (found,) = autosave.leftovers(kept.parent)
    assert found.scene == edits.set_length(example("van-front"), "left", 371.5)
    assert found.path == van


def test_a_window_on_a_small_screen_leaves_room_for_its_frame(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(pygame.display, "get_desktop_sizes", lambda: [(1280, 720)])
    wide, high = app._size()
    assert wide <= 1280 - 10
    assert high <= 720 - 90
    monkeypatch.setattr(pygame.display, "get_desktop_sizes", lambda: [(3840, 2160)])
    assert app._size() == (3456, 1944)
