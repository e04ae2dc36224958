"""A window in memory for tests: events go in, the document and the pixels come out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pygame

from scenes.keys import value_of
from scenes.library import example, example_text
from sketcher.drawing.picture import Point2
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.screen.window import Window
from tests.waiting import wait_until

FIRST = "van-front"


class Hands:
    """A window, and hands that move its pointer and press its keys."""

    def __init__(self, name: str = FIRST, size: tuple[int, int] = (1280, 800)) -> None:
        pygame.display.init()
        surface = pygame.display.set_mode(size)
        self.window = Window(Editor(Document(example(name), text=example_text(name))), surface)
        self.frames(3)

    @property
    def editor(self) -> Editor:
        return self.window.editor

    def value(self, key: str) -> object:
        return value_of(self.editor.scene, key)

    def frames(self, count: int = 1, seconds: float = 1 / 60) -> None:
        for _ in range(count):
            self.window.frame(seconds)
            for event in pygame.event.get():
                self.window.handle(event)

    def settle(self) -> None:
        """Frames until every part had its turn and the whole motion is answered.

        How sure the answer is takes longer, and is not waited for.
        """
        answers = self.editor.answers
        self.frames(2)
        self.until(lambda: not answers.pending or (answers.exact and answers.weighing))

    def until(self, done: Callable[[], object]) -> None:
        """Frames until something is so, and two more, in which it is shown."""
        # A hand that rests: time goes by in longer steps.
        wait_until(done, lambda: self.frames(seconds=0.1))
        self.frames(2)

    def shows(self, words: str) -> bool:
        """Whether some row of the form says this."""
        return any(words in getattr(place.row, "text", "") for place in self.window.panel.rows)

    def at(self, key: str, view: str = "front") -> Point2:
        """Where a point of the scene is on screen, as painted."""
        seen = self.window.canvas.seen["front" if view == "front" else "above"]
        handle = next(handle for handle in seen.picture.handles if handle.key == key)
        return seen.camera.to_screen(handle.at)

    def post(self, kind: int, **values: object) -> None:
        self.window.handle(pygame.Event(kind, values))

    def move(self, to: Point2) -> None:
        pos = (round(to[0]), round(to[1]))
        self.post(pygame.MOUSEMOTION, pos=pos, rel=(0, 0), buttons=(0, 0, 0))

    def press(self, at: Point2, button: int = 1) -> None:
        self.move(at)
        self.post(pygame.MOUSEBUTTONDOWN, pos=(round(at[0]), round(at[1])), button=button)
        self.frames()

    def release(self, at: Point2, button: int = 1) -> None:
        self.post(pygame.MOUSEBUTTONUP, pos=(round(at[0]), round(at[1])), button=button)
        self.frames()

    def drag(self, start: Point2, by: Point2, steps: int = 5, button: int = 1) -> None:
        self.press(start, button)
        to = start
        for step in range(1, steps + 1):
            to = (start[0] + by[0] * step / steps, start[1] + by[1] * step / steps)
            self.move(to)
            self.frames()
        self.release(to, button)

    def key(self, name: str, *, ctrl: bool = False, shift: bool = False, text: str = "") -> None:
        mod = (pygame.KMOD_CTRL if ctrl else 0) | (pygame.KMOD_SHIFT if shift else 0)
        code = pygame.key.key_code(name)
        self.post(pygame.KEYDOWN, key=code, mod=mod, unicode=text, scancode=0)
        self.post(pygame.KEYUP, key=code, mod=mod, unicode=text, scancode=0)
        self.frames()

    def type(self, text: str) -> None:
        """Type a text and Enter, with the keyboard in a field."""
        self.key("a", ctrl=True)
        for letter in text:
            self.post(pygame.TEXTINPUT, text=letter)
        self.key("return")
        self.frames(2)

    def focus(self, key: str) -> None:
        """Put the keyboard into a field of an open step."""
        self.window.panel.focus(key, self.editor)
        self.frames()

    def field(self, key: str) -> Point2:
        """Where a field is on screen."""
        entry = self.window.panel.widgets.entry(key)
        assert entry is not None
        return (float(entry.rect.centerx), float(entry.rect.centery))

    def button(self, key: str) -> Point2:
        """Where a button of the form is on screen: a command, a step's or a part's head."""
        button = self.window.panel.widgets.button(key)
        assert button is not None
        return (float(button.rect.centerx), float(button.rect.centery))

    def picture(self, path: Path) -> None:
        pygame.image.save(self.window.surface, path)
