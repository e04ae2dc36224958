"""Twenty thousand random events: no exception, and a scene that still makes a file."""

from __future__ import annotations

import random
from pathlib import Path

import pygame
import pytest

from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.drawing.picture import Point2
from sketcher.window.screen.dialogs import Files
from tests.windowing import Hands

EVENTS, FEWER = 20_000, 5_000
EVENTS_PER_FRAME = 40
KEYS = (
    *"abcdefghijklmnopqrstuvwxyz01259.,-=/",
    *("left", "right", "up", "down", "home", "page up", "page down", "f1"),
    *("delete", "backspace", "escape", "tab", "return", "space"),
)
TEXTS = ("3", "7", ".", "-", " ", "1/2", "mm", '"', "in", "x", "…", "391")


class Monkey:
    """Pushes the pointer about, presses what it finds, and types nonsense."""

    def __init__(self, hands: Hands, seed: int) -> None:
        self.hands = hands
        self.random = random.Random(seed)
        self.at: Point2 = (400.0, 300.0)

    def act(self) -> None:
        """One random event, more often near what can be taken hold of."""
        choice = self.random.random()
        if choice < 0.45:
            self._move()
        elif choice < 0.60:
            self._button(pygame.MOUSEBUTTONDOWN)
        elif choice < 0.78:
            self._button(pygame.MOUSEBUTTONUP)
        elif choice < 0.82:
            y = self.random.choice((-3, -1, 1, 3))
            self._post(
                pygame.MOUSEWHEEL, x=0, y=y, precise_x=0.0, precise_y=float(y), flipped=False
            )
        elif choice < 0.95:
            self._key()
        elif choice < 0.995:
            self._post(pygame.TEXTINPUT, text=self.random.choice(TEXTS))
        else:
            self._post(pygame.QUIT)

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

    def _button(self, kind: int) -> None:
        button = self.random.choices((1, 2, 3), (8, 1, 1))[0]
        self._post(kind, pos=self._pos(), button=button)

    def _key(self) -> None:
        mod = self.random.choices(
            (0, pygame.KMOD_CTRL, pygame.KMOD_SHIFT, pygame.KMOD_CTRL | pygame.KMOD_SHIFT),
            (6, 2, 1, 1),
        )[0]
        key = pygame.key.key_code(self.random.choice(KEYS))
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            self._post(kind, key=key, mod=mod, unicode="", scancode=0)

    def _pos(self) -> tuple[int, int]:
        return (int(self.at[0]), int(self.at[1]))

    def _post(self, kind: int, **values: object) -> None:
        self.hands.window.handle(pygame.Event(kind, values))


@pytest.mark.parametrize(
    ("name", "seed", "events"),
    [
        ("van-front", 20, EVENTS),
        ("van-rear", 1, FEWER),
        ("van-rear-measured", 2, FEWER),
        ("van-front-making", 3, FEWER),
    ],
)
def test_a_monkey_leaves_a_valid_scene(
    name: str, seed: int, events: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Whatever it writes, it writes here.
    monkeypatch.chdir(tmp_path)
    take = Files._take
    monkeypatch.setattr(
        Files,
        "_take",
        lambda self, path: take(self, tmp_path / path.name if path.name else tmp_path),
    )
    hands = Hands(name, (1280, 800))
    monkey = Monkey(hands, seed)
    seen = 0
    for count in range(events):
        monkey.act()
        if not count % EVENTS_PER_FRAME:
            hands.frames()
            seen += hands.editor.document.undo_label is not None
        hands.window.running = True
    scene = hands.editor.scene
    assert parse_scene(scene_text(scene)) == scene
    assert seen > events / EVENTS_PER_FRAME / 10
    hands.editor.close()
