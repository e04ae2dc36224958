"""The program as a person has it: a window on a screen, a mouse, a keyboard, and files."""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from scenes.keys import value_of
from scenes.library import example, example_text
from scenes.reading import read_scene
from scenes.writing import scene_text
from sketcher.answers.reading_list import letters
from sketcher.drawing.picture import Point2
from sketcher.window.model.reading_edits import add_mark, settled, with_reading
from sketcher.window.model.start import start_scene
from sketcher.window.screen.app import FRAME_AROUND
from sketcher.words.units import Unit
from tests.paper_lists import KEYS_A_SECOND, PaperList, paper_list
from tests.waiting import PATIENCE_SECONDS, wait_until
from tests.windowing import FIRST, Hands

SIZE = (1280, 800)
# The window leaves room around itself for a title bar and a task bar.
SCREEN = (SIZE[0] + FRAME_AROUND[0], SIZE[1] + FRAME_AROUND[1])
CORNER = (FRAME_AROUND[0] / 2, FRAME_AROUND[1] / 2)

pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="only on Linux"),
    pytest.mark.skipif(
        not (shutil.which("Xvfb") and shutil.which("xdotool")),
        reason="Xvfb and xdotool are not installed",
    ),
]


def _on_screen(at: Point2) -> tuple[str, str]:
    """A place in the window where it stands on the screen."""
    return (str(round(at[0] + CORNER[0])), str(round(at[1] + CORNER[1])))


class Screen:
    """A screen of its own and the hands before it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        read, write = os.pipe()
        # Without a reset: who comes while the server starts afresh, for its last client has gone,
        # is turned away.
        self.server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", "{}x{}x24".format(*SCREEN),
             "-fbdir", str(folder), "-noreset"],
            pass_fds=(write,), stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(write)
        with os.fdopen(read) as stream:
            number = stream.readline().strip()
        self.environment = {
            **os.environ,
            "DISPLAY": f":{number}",
            "SDL_VIDEODRIVER": "x11",
            "XDG_STATE_HOME": str(folder / "state"),
        }
        self.program: subprocess.Popen[bytes] | None = None
        self._pixels = b""

    def open(self, path: Path | None) -> None:
        """Start the program, on a scene where one is given, and wait for its window."""
        self.program = subprocess.Popen(
            [sys.executable, "-m", "sketcher", *([str(path)] if path else [])], env=self.environment
        )
        self.until(self._shows)
        # What is pressed before the first frames has nothing to meet.
        self.until(self._still)

    def _shows(self) -> bool:
        # One look at a time: a search that waits ends with an error where a window of the
        # start goes away under it.
        assert self.program is not None
        assert self.program.poll() is None
        look = ["xdotool", "search", "--onlyvisible", "--pid", str(self.program.pid)]
        found = subprocess.run(look, env=self.environment, capture_output=True, check=False)
        return found.returncode == 0 and bool(found.stdout.strip())

    def _still(self) -> bool:
        # The screen's memory, painted and as it was half a second before.
        was, self._pixels = self._pixels, (self.folder / "Xvfb_screen0").read_bytes()
        time.sleep(0.5)
        return self._pixels == was and len(set(self._pixels[len(self._pixels) // 2 :])) > 100

    def do(self, *words: str) -> None:
        """One thing that hands do."""
        subprocess.run(
            ["xdotool", *words], env=self.environment, check=True, timeout=PATIENCE_SECONDS,
            stdout=subprocess.DEVNULL,
        )  # fmt: skip

    def key(self, *chords: str) -> None:
        """Press keys one after the other."""
        for chord in chords:
            self.do("key", chord)
            time.sleep(0.15)

    def type(self, text: str) -> None:
        """Type a text over what stands in the field, and Enter."""
        self.key("ctrl+a")
        self.do("type", "--delay", "20", text)
        self.key("Return")

    def click(self, at: Point2) -> None:
        """A click of the left button."""
        self.do("mousemove", *_on_screen(at), "click", "1")
        time.sleep(0.2)

    def drag(self, start: Point2, by: Point2) -> None:
        """A drag with the left button."""
        self.do("mousemove", *_on_screen(start), "mousedown", "1")
        for step in range(1, 6):
            to = (start[0] + by[0] * step / 5, start[1] + by[1] * step / 5)
            self.do("mousemove", *_on_screen(to))
            time.sleep(0.03)
        self.do("mouseup", "1")
        time.sleep(0.2)

    def until(self, done: Callable[[], bool]) -> None:
        """Wait for something to be so."""
        wait_until(done, pause_seconds=0.1)

    def ended(self) -> int:
        """The program's exit code once it has ended."""
        assert self.program is not None
        return self.program.wait(PATIENCE_SECONDS)

    def close(self) -> None:
        """Take everything down."""
        for process in (self.program, self.server):
            if process is not None and process.poll() is None:
                process.kill()
                process.wait()


@pytest.fixture
def screen(tmp_path: Path) -> Iterator[Screen]:
    made = Screen(tmp_path)
    yield made
    made.close()


def type_list(screen: Screen, paper: PaperList, unit: Unit, path: Path) -> None:
    """Type a paper list into a new scene without touching the mouse, and save it."""
    screen.open(None)
    screen.key("ctrl+n", *(("u",) if unit == "in" else ()), "Tab")
    delay = str(1000 // KEYS_A_SECOND)
    # The last number is not ended by Enter: saving takes what is being typed, too.
    words: list[str] = []
    for text in paper.lines:
        enter = ("key", "--delay", delay, "Return") if words else ()
        line = ("type", "--args", "1", "--delay", delay, "--", text) if text else ()
        words += [*enter, *line]
    screen.do(*words)
    screen.key("ctrl+s")
    screen.type(str(path))
    screen.until(path.exists)


def test_a_paper_list_is_saved_as_it_was_typed(screen: Screen, tmp_path: Path) -> None:
    # In inches, with their fractions; whole lists in both units are typed in test_form.
    paper, path = paper_list("in", 1, most=9), tmp_path / "list.toml"
    type_list(screen, paper, "in", path)
    assert scene_text(read_scene(path)) == scene_text(paper.scene)


def test_a_scene_is_typed_from_paper_readings_alone(screen: Screen, tmp_path: Path) -> None:
    paper, path = example("van-front-readings"), tmp_path / "read.toml"
    points = {"linkage.arm_pivot", "linkage.ball_joint", *(f"mark.{m.name}" for m in paper.marks)}
    readings = [one for one in paper.readings if set(one.points) <= points]
    wanted = start_scene()
    for mark in paper.marks:
        wanted = add_mark(wanted, mark.name, mark.at)
    named = letters(wanted)
    for reading in readings:
        wanted = settled(with_reading(wanted, reading))

    screen.open(None)
    # Readings, and behind their field the one for marks.
    screen.key("ctrl+n", "n", "Tab")
    places = [(mark.name, *(f"{x:g}" for x in mark.at)) for mark in paper.marks]
    type_lines(screen, ["; ".join(place) for place in places])
    screen.key("Escape", "Escape", "n")
    type_lines(
        screen,
        [
            f"{' '.join(named[path] for path in one.points)} {one.kind} {one.value:g}"
            f"{f' at {one.travel:g}' if one.travel else ''}"
            for one in readings
        ],
    )
    screen.key("ctrl+s")
    screen.type(str(path))
    screen.until(path.exists)
    saved = read_scene(path)
    assert saved.readings == tuple(readings)
    assert saved.marks == wanted.marks
    assert scene_text(saved) == scene_text(wanted), "and the points are where the readings say"


def type_lines(screen: Screen, lines: list[str]) -> None:
    """Type lines into the field in hand, each with Enter."""
    words: list[str] = []
    for line in lines:
        words += ["type", "--args", "1", "--delay", "25", "--", line]
        words += ["key", "--delay", "25", "Return"]
    screen.do(*words)


def test_drag_sweep_type_undo_save_export_and_reopen(screen: Screen, tmp_path: Path) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text(FIRST), encoding="utf-8")
    # A window of the same size in memory tells where things are.
    twin = Hands(FIRST, SIZE)
    twin.settle()
    pivot = twin.at("linkage.arm_pivot")
    twin.press(pivot)
    twin.release(pivot)
    twin.frames(3)
    up = twin.field("linkage.arm_pivot[1]")
    plots = twin.window.layout.plots

    screen.open(path)
    screen.drag(pivot, (30.0, 0.0))
    screen.drag((plots.left + 130.0, plots.top + 60.0), (80.0, 0.0))
    screen.click(up)
    screen.type("207.5")
    screen.key("ctrl+s")
    screen.until(lambda: value_of(read_scene(path), "linkage.arm_pivot[1]") == 207.5)
    scene = read_scene(path)
    moved = value_of(scene, "linkage.arm_pivot")
    zoom = twin.editor.cameras["front"].zoom
    assert moved[0] == pytest.approx(338 + 30 / zoom, abs=0.1 + 1 / zoom)
    assert "# centre of the arm's inner bush" in path.read_text(encoding="utf-8")

    screen.key("Escape", "ctrl+z", "ctrl+s")
    was = (moved[0], 205.0, 0.0)
    screen.until(lambda: value_of(read_scene(path), "linkage.arm_pivot") == was)

    screen.key("ctrl+t")
    screen.type(str(tmp_path / "table.csv"))
    screen.until((tmp_path / "table.csv").exists)
    screen.key("ctrl+p")
    screen.type(str(tmp_path / "sketch.svg"))
    screen.until((tmp_path / "sketch.svg").exists)
    with (tmp_path / "table.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert float(rows[0]["travel_mm"]) == -80.0
    assert (tmp_path / "sketch.svg").read_text(encoding="utf-8").startswith("<")

    screen.key("ctrl+q")
    assert screen.ended() == 0
    assert not list((tmp_path / "state").rglob("unsaved-*"))


def test_work_lost_in_a_crash_is_brought_back(screen: Screen, tmp_path: Path) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text(FIRST), encoding="utf-8")
    twin = Hands(FIRST, SIZE)
    screen.open(path)
    screen.click(twin.at("linkage.strut_top"))
    screen.key("Right", "Right")
    state = tmp_path / "state"
    # The last push is kept, too, and not only the first.
    screen.until(lambda: any("577" in one.read_text() for one in state.rglob("unsaved-*")))
    assert screen.program is not None
    screen.program.kill()
    screen.program.wait()
    assert value_of(read_scene(path), "linkage.strut_top[0]") == 575

    screen.open(path)
    screen.key("Return", "ctrl+s", "ctrl+q")
    assert screen.ended() == 0
    assert value_of(read_scene(path), "linkage.strut_top[0]") == 577
    assert not list(state.rglob("unsaved-*"))
