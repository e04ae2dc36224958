"""A monkey at the window: random events by the ten thousand, and nothing may break.

It pushes, presses and types, resizes the window down to a stamp, opens dialogs, runs
commands (other linkages among them), zooms to extremes and back, and changes the file
underneath.  Run with ``python -m tests.monkey --events 100000 --seed 1``; what it did last
is printed where something breaks.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
import time
from collections import deque
from collections.abc import Iterator
from contextlib import chdir, contextmanager
from pathlib import Path
from unittest import mock

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from scenes.library import example_names, example_text
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.drawing.picture import Point2
from sketcher.window.model.document import Document
from sketcher.window.screen.app import collect_seldom
from sketcher.window.screen.dialogs import ChoiceDialog, Files
from sketcher.window.steps.commands import COMMANDS
from tests.windowing import Hands

EVENTS_PER_FRAME = 40
EVENTS_PER_CHECK = 2_000
KEYS = (
    *"abcdefghijklmnopqrstuvwxyz01259.,-=/",
    *("left", "right", "up", "down", "home", "page up", "page down", "f1"),
    *("delete", "backspace", "escape", "tab", "return", "space"),
)
TEXTS = ("3", "7", ".", "-", " ", "1/2", "mm", '"', "in", "x", "…", "391", "1e9", "\N{SNOWMAN}")
SIZES = ((1280, 800), (1280, 800), (1920, 1080), (960, 600), (640, 480), (200, 120), (90, 70),
         (40, 30))  # fmt: skip
# It would end itself.
NOT_RUN = ("quit",)


class Monkey:
    """Pushes the pointer about, presses what it finds, and types nonsense."""

    def __init__(self, hands: Hands, seed: int, folder: Path) -> None:
        self.hands = hands
        self.random = random.Random(seed)
        self.at: Point2 = (400.0, 300.0)
        self.folder = folder
        self.done: deque[str] = deque(maxlen=60)

    def act(self) -> None:
        """One random event, more often near what can be taken hold of."""
        acts = {
            self._move: 450, self._press: 150, self._release: 180, self._wheel: 36, self._key: 130,
            self._type: 44, self._quit: 3, self._resize: 2, self._command: 8,
            self._change_file: 3, self._answer: 4, self._zoom: 3,
        }  # fmt: skip
        (act,) = self.random.choices(list(acts), list(acts.values()))
        act()

    def _move(self) -> None:
        width, height = self.hands.window.surface.get_size()
        if self.random.random() < 0.5:
            self.at = (self.at[0] + self.random.gauss(0, 15), self.at[1] + self.random.gauss(0, 15))
        elif self.hands.window.canvas.seen and self.random.random() < 0.5:
            seen = self.hands.window.canvas.seen
            view = self.random.choice(sorted(seen))
            handles = seen[view].picture.handles
            if handles:
                self.at = seen[view].camera.to_screen(self.random.choice(handles).at)
        else:
            self.at = (self.random.uniform(0, width), self.random.uniform(0, height))
        self.at = (min(max(self.at[0], 0.0), width - 1.0), min(max(self.at[1], 0.0), height - 1.0))
        self._post(pygame.MOUSEMOTION, pos=self._pos(), rel=(0, 0), buttons=(0, 0, 0))

    def _press(self) -> None:
        self._button(pygame.MOUSEBUTTONDOWN)

    def _release(self) -> None:
        self._button(pygame.MOUSEBUTTONUP)

    def _button(self, kind: int) -> None:
        button = self.random.choices((1, 2, 3), (8, 1, 1))[0]
        self._post(kind, pos=self._pos(), button=button)

    def _wheel(self) -> None:
        self._turn(self.random.choice((-3, -1, 1, 3)))

    def _zoom(self) -> None:
        y = self.random.choice((-400, -40, 40, 400))
        for _ in range(self.random.choice((1, 20))):
            self._turn(y)

    def _turn(self, y: int) -> None:
        self._post(pygame.MOUSEWHEEL, x=0, y=y, precise_x=0.0, precise_y=float(y), flipped=False)

    def _type(self) -> None:
        self._post(pygame.TEXTINPUT, text=self.random.choice(TEXTS))

    def _quit(self) -> None:
        self._post(pygame.QUIT)

    def _key(self) -> None:
        mod = self.random.choices(
            (0, pygame.KMOD_CTRL, pygame.KMOD_SHIFT, pygame.KMOD_CTRL | pygame.KMOD_SHIFT),
            (6, 2, 1, 1),
        )[0]
        key = pygame.key.key_code(self.random.choice(KEYS))
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            self._post(kind, key=key, mod=mod, unicode="", scancode=0)

    def _resize(self) -> None:
        size = self.random.choice(SIZES)
        self.done.append(f"resize {size}")
        self.hands.window.resize(pygame.display.set_mode(size))

    def _command(self) -> None:
        """Any command, from wherever the wheel stands: a linkage from the end of its travel too."""
        if self.hands.window.dialog is not None or self.hands.window.dragging:
            return
        names = sorted(set(COMMANDS) - set(NOT_RUN))
        for name in (*self.random.choices(("full_bump", "full_droop", "fit"), k=1),
                     self.random.choice(names)):  # fmt: skip
            self.done.append(f"run {name}")
            self.hands.window.run(name)

    def _answer(self) -> None:
        """A button of a question, or Enter, which what is in the dialog seldom lets be hit."""
        dialog = self.hands.window.dialog
        if isinstance(dialog, ChoiceDialog):
            label, act = self.random.choice(dialog._answers)
            self.done.append(f"answer {label}")
            dialog._take(act)
        elif dialog is not None:
            self.done.append("enter")
            dialog.enter()

    def _change_file(self) -> None:
        """Somebody else writes to the file, or takes it away; the window then looks."""
        path = self.folder / "underneath.toml"
        how = self.random.choice(("example", "broken", "cut off", "gone", "not text", "open"))
        self.done.append(f"file {how}")
        text = example_text(self.random.choice(example_names()))
        if how == "gone":
            path.unlink(missing_ok=True)
        elif how == "not text":
            path.write_bytes(b"\xff\x00" + text.encode())
        else:
            cut = self.random.randrange(len(text)) if how == "cut off" else len(text)
            changed = text.replace("= [", "= [nan, ", 3) if how == "broken" else text
            path.write_text(changed[:cut], encoding="utf-8")
        window = self.hands.window
        window.notice_disk()
        if how == "open" and window.dialog is None and not window.dragging:
            window.open_file(path)

    def _pos(self) -> tuple[int, int]:
        return (int(self.at[0]), int(self.at[1]))

    def _post(self, kind: int, **values: object) -> None:
        self.done.append(f"{pygame.event.event_name(kind)} {values}")
        self.hands.window.handle(pygame.Event(kind, values))


@contextmanager
def in_folder(folder: Path) -> Iterator[list[BaseException]]:
    """Whatever is written is written there; gives the faults of the answers as they come."""
    take, faults = Files._take, []

    def taken(self: Files, path: Path) -> None:
        take(self, folder / path.name if path.name else folder)

    def fault(error: BaseException, **_: object) -> None:
        faults.append(error)

    with (
        chdir(folder),
        mock.patch.object(Files, "_take", taken),
        mock.patch("sketcher.answers.memo.traceback.print_exception", fault),
    ):
        yield faults


def run(name: str, seed: int, events: int, folder: Path, *, told: bool = False) -> int:
    """Let a monkey at an example; how many times it had something that can be undone.

    Raises what breaks, and AssertionError where the scene is none that a file could hold.
    """
    with in_folder(folder) as faults:
        hands = Hands(name, (1280, 800))
        monkey = Monkey(hands, seed, folder)
        seen, count, began = 0, 0, time.monotonic()
        try:
            for count in range(1, events + 1):
                monkey.act()
                if not count % EVENTS_PER_FRAME:
                    hands.frames()
                    seen += hands.editor.document.undo_label is not None
                if faults:
                    raise faults[0]
                hands.window.running = True
                if not count % EVENTS_PER_CHECK:
                    check(hands.editor.document)
                if told and not count % 5_000:
                    print(f"{name}: {count} events, {time.monotonic() - began:.0f} s", flush=True)
        except BaseException:
            print(f"{name}, seed {seed}, event {count}; what was done last:", file=sys.stderr)
            print("\n".join(monkey.done), file=sys.stderr)
            raise
        finally:
            hands.editor.close()
        check(hands.editor.document)
        return seen


def check(document: Document) -> None:
    """The scene makes a file that says the same."""
    scene = document.scene
    assert parse_scene(scene_text(scene)) == scene


def main() -> None:
    """Let monkeys at the examples in turn, for so many events altogether."""
    parser = argparse.ArgumentParser(prog="python -m tests.monkey", description=main.__doc__)
    parser.add_argument("--events", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--example", choices=example_names(), action="append")
    arguments = parser.parse_args()
    names = arguments.example or example_names()
    collect_seldom()
    for number, name in enumerate(names):
        with tempfile.TemporaryDirectory() as folder:
            each = arguments.events // len(names)
            run(name, arguments.seed + number, each, Path(folder), told=True)
    print(f"{arguments.events} events run clean")


if __name__ == "__main__":
    main()
