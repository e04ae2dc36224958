"""Dialogs: choices, files, and pages to read.  Only where something could be lost, or is asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pygame
import pygame_gui
from pygame_gui.elements import UIButton, UISelectionList, UITextBox, UITextEntryLine, UIWindow
from pygame_gui.ui_manager import UIManager

from sketcher.window.screen.layout import ScreenLayout

_UP = ".. (folder above)"


class Dialog:
    """A window over the sheet that blocks what is under it; ``closed`` once it is done."""

    def __init__(
        self, manager: UIManager, layout: ScreenLayout, title: str, width: float, height: float
    ) -> None:
        self.manager = manager
        self.scale = layout.scale
        screen = layout.screen
        wide = min(round(width * layout.scale), screen.width - 16)
        high = min(round(height * layout.scale), screen.height - 16)
        rect = pygame.Rect((screen.width - wide) // 2, (screen.height - high) // 2, wide, high)
        self.window = UIWindow(rect, manager, title, draggable=False)
        self.window.set_blocking(True)
        inner = self.window.get_container().get_size()
        self.width, self.height = inner[0] / layout.scale, inner[1] / layout.scale
        self.closed = False

    def rect(self, x: float, y: float, width: float, height: float) -> pygame.Rect:
        """A rectangle in the dialog, px at UI scale 1."""
        scale = self.scale
        return pygame.Rect(
            round(x * scale), round(y * scale), round(width * scale), round(height * scale)
        )

    def close(self) -> None:
        """Take the dialog away."""
        if not self.closed:
            self.closed = True
            self.window.kill()  # type: ignore[no-untyped-call]

    def enter(self) -> None:
        """What the Enter key does."""

    def handle(self, event: pygame.Event) -> None:
        """Follow an event."""
        if event.type == pygame_gui.UI_WINDOW_CLOSE and event.ui_element is self.window:
            self.closed = True
        elif event.type == pygame.KEYDOWN and event.key == pygame.K_ESCAPE:
            self.close()
        elif event.type == pygame.KEYDOWN and event.key in (pygame.K_RETURN, pygame.K_KP_ENTER):
            self.enter()


class ChoiceDialog(Dialog):
    """A question, and a button for each answer; the first is what Enter means."""

    def __init__(
        self,
        manager: UIManager,
        layout: ScreenLayout,
        title: str,
        text: str,
        answers: Sequence[tuple[str, Callable[[], None]]],
    ) -> None:
        super().__init__(manager, layout, title, 560, 216)
        UITextBox(text, self.rect(8, 4, self.width - 16, self.height - 52), manager,
                  container=self.window)  # fmt: skip
        width = (self.width - 16 - 8 * (len(answers) - 1)) / len(answers)
        self._answers: dict[UIButton, Callable[[], None]] = {}
        for i, (label, act) in enumerate(answers):
            button = UIButton(
                self.rect(8 + i * (width + 8), self.height - 40, width, 32),
                label, manager, container=self.window,
            )  # fmt: skip
            self._answers[button] = act

    def enter(self) -> None:
        """Take the first answer."""
        self._take(next(iter(self._answers.values())))

    def handle(self, event: pygame.Event) -> None:
        """Take the answer whose button is pressed."""
        if event.type == pygame_gui.UI_BUTTON_PRESSED and event.ui_element in self._answers:
            self._take(self._answers[event.ui_element])
            return
        super().handle(event)

    def _take(self, act: Callable[[], None]) -> None:
        self.close()
        act()


class PageDialog(Dialog):
    """A page to read."""

    def __init__(self, manager: UIManager, layout: ScreenLayout, title: str, text: str) -> None:
        super().__init__(manager, layout, title, 720, 640)
        UITextBox(text, self.rect(0, 0, self.width, self.height), manager, container=self.window)

    def enter(self) -> None:
        """Enough read."""
        self.close()


class Pick(Dialog):
    """One of a list."""

    def __init__(
        self,
        manager: UIManager,
        layout: ScreenLayout,
        title: str,
        items: Sequence[tuple[str, str]],
        pick: Callable[[str], None],
    ) -> None:
        super().__init__(manager, layout, title, 560, 96 + 28 * max(len(items), 3))
        self._pick = pick
        self._names = dict(items)
        self._list = UISelectionList(
            self.rect(8, 8, self.width - 16, self.height - 16),
            [label for label, _ in items], manager, container=self.window,
        )  # fmt: skip

    def handle(self, event: pygame.Event) -> None:
        """Take the item that is clicked."""
        if (
            event.type == pygame_gui.UI_SELECTION_LIST_NEW_SELECTION
            and event.ui_element is self._list
        ):
            self.close()
            self._pick(self._names[event.text])
            return
        super().handle(event)


class Files(Dialog):
    """A file to open, or to write to."""

    def __init__(
        self,
        manager: UIManager,
        layout: ScreenLayout,
        title: str,
        start: Path,
        suffixes: Sequence[str],
        pick: Callable[[Path], None],
        *,
        writing: bool,
    ) -> None:
        super().__init__(manager, layout, title, 640, 480)
        self._suffixes = tuple(suffixes)
        self._pick = pick
        self._writing = writing
        self._layout = layout
        self._folder = start if start.is_dir() else start.parent
        name = "" if start.is_dir() else start.name
        width = self.width - 16
        self._path = UITextEntryLine(
            self.rect(8, 8, width, 28), manager, container=self.window,
            initial_text=str(self._folder / name),
        )  # fmt: skip
        self._list = UISelectionList(
            self.rect(8, 44, width, self.height - 92), [], manager, container=self.window,
            allow_double_clicks=True,
        )  # fmt: skip
        half = (width - 8) / 2
        low = self.height - 40
        self._go = UIButton(
            self.rect(8, low, half, 32), "Write" if writing else "Open", manager,
            container=self.window,
        )  # fmt: skip
        self._back = UIButton(
            self.rect(16 + half, low, half, 32), "Cancel", manager, container=self.window
        )
        self._fill()
        manager.set_focus_set(self._path.get_focus_set())

    def enter(self) -> None:
        """Take the path that stands in the field."""
        self._take(Path(self._path.get_text().strip()).expanduser())

    def handle(self, event: pygame.Event) -> None:
        """Follow buttons and list."""
        element = getattr(event, "ui_element", None)
        if event.type == pygame_gui.UI_BUTTON_PRESSED and element is self._go:
            self.enter()
        elif event.type == pygame_gui.UI_BUTTON_PRESSED and element is self._back:
            self.close()
        elif element is self._list and event.type in (
            pygame_gui.UI_SELECTION_LIST_NEW_SELECTION,
            pygame_gui.UI_SELECTION_LIST_DOUBLE_CLICKED_SELECTION,
        ):
            chosen = self._folder.parent if event.text == _UP else self._folder / event.text
            if event.type == pygame_gui.UI_SELECTION_LIST_DOUBLE_CLICKED_SELECTION:
                self._take(chosen)
            elif chosen.is_dir():
                self._enter_folder(chosen)
            else:
                self._path.set_text(str(chosen))
        else:
            super().handle(event)

    def _take(self, path: Path) -> None:
        if path.is_dir():
            self._enter_folder(path)
            return
        if self._writing and path.suffix.lower() not in self._suffixes:
            path = path.with_name(path.name + self._suffixes[0])
        self.close()
        self._pick(path)

    def _enter_folder(self, folder: Path) -> None:
        name = Path(self._path.get_text()).name if self._writing else ""
        self._folder = folder
        self._path.set_text(str(folder / name))
        self._fill()

    def _fill(self) -> None:
        try:
            items = sorted(self._folder.iterdir(), key=lambda item: item.name.lower())
        except OSError:
            items = []
        seen = [item for item in items if not item.name.startswith(".")]
        folders = [f"{item.name}/" for item in seen if item.is_dir()]
        files = [item.name for item in seen if item.suffix.lower() in self._suffixes]
        self._list.set_item_list([_UP, *folders, *files])
