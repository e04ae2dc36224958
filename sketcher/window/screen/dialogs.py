"""Dialogs: choices, files, and pages to read.  Only where something could be lost, or is asked.

A dialog is what is asked; its widgets are made when it is put up, and made again for a
screen of another size.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from html import escape
from pathlib import Path

import pygame
import pygame_gui
from pygame_gui.elements import UIButton, UISelectionList, UITextBox, UITextEntryLine, UIWindow
from pygame_gui.ui_manager import UIManager

from sketcher.window.screen.layout import ScreenLayout
from sketcher.words.plain import printable

_UP = ".. (folder above)"
# The words of each answer's button, and what it does.
Answers = tuple[tuple[str, Callable[[], None]], ...]


class Dialog:
    """A window over the sheet that blocks what is under it; ``closed`` once it is done.

    ``wide`` and ``high`` are px at UI scale 1.
    """

    window: UIWindow
    # A rectangle in the dialog, px at UI scale 1.
    rect: Callable[..., pygame.Rect]

    def __init__(self, title: str, wide: float, high: float) -> None:
        self.title = title
        self._wide, self._high = wide, high
        self.closed = False
        self.width = self.height = 0.0
        self._buttons: dict[object, Callable[[], None]] = {}

    def put_up(self, manager: UIManager, layout: ScreenLayout, seen: tuple[int, int]) -> None:
        """Make the widgets, in the middle of the ``seen`` px of a screen."""
        self.rect, screen = layout.rect, layout.screen
        wide = min(layout.px(self._wide), screen.width - 16)
        high = min(layout.px(self._high), screen.height - 16)
        left = max(min(screen.width, seen[0]) - wide, 0) // 2
        top = max(min(screen.height, seen[1]) - high, 0) // 2
        rect = pygame.Rect(left, top, wide, high)
        self.window = UIWindow(rect, manager, self.title, draggable=False)
        self.window.set_blocking(True)
        inner = self.window.get_container().get_size()
        self.width, self.height = inner[0] / layout.scale, inner[1] / layout.scale
        self._buttons.clear()
        self._fill(manager)

    def remember(self) -> None:
        """Keep what was typed and chosen, before the widgets are made again."""

    def close(self) -> None:
        """Take the dialog away."""
        if not self.closed:
            self.closed = True
            self.window.kill()  # type: ignore[no-untyped-call]

    def enter(self) -> None:
        """What the Enter key does."""

    def handle(self, event: pygame.Event) -> None:
        """Follow an event."""
        if event.type == pygame_gui.UI_BUTTON_PRESSED and event.ui_element in self._buttons:
            self._buttons[event.ui_element]()
        elif event.type == pygame_gui.UI_WINDOW_CLOSE and event.ui_element is self.window:
            self.closed = True
        elif event.type == pygame.KEYDOWN and event.key == pygame.K_ESCAPE:
            self.close()
        elif event.type == pygame.KEYDOWN and event.key in (pygame.K_RETURN, pygame.K_KP_ENTER):
            self.enter()

    def _fill(self, manager: UIManager) -> None:
        """Make what is in the dialog."""

    def _button(
        self, manager: UIManager, rect: pygame.Rect, label: str, act: Callable[[], None]
    ) -> None:
        self._buttons[UIButton(rect, label, manager, container=self.window)] = act


class ChoiceDialog(Dialog):
    """A question, and a button for each answer; the first is what Enter means."""

    def __init__(self, title: str, text: str, answers: Answers, high: float = 216) -> None:
        super().__init__(title, 560, high)
        self.text = text
        self._answers = answers

    def enter(self) -> None:
        """Take the first answer."""
        self._take(self._answers[0][1])

    def _fill(self, manager: UIManager) -> None:
        UITextBox(self.text, self.rect(8, 4, self.width - 16, self.height - 52), manager,
                  container=self.window)  # fmt: skip
        width = (self.width - 8) / len(self._answers)
        for i, (label, act) in enumerate(self._answers):
            rect = self.rect(8 + i * width, self.height - 40, width - 8, 32)
            self._button(manager, rect, label, partial(self._take, act))

    def _take(self, act: Callable[[], None]) -> None:
        self.close()
        act()


class PageDialog(Dialog):
    """A page to read."""

    def __init__(self, title: str, text: str) -> None:
        super().__init__(title, 720, 640)
        self.text = text

    def enter(self) -> None:
        """Enough read."""
        self.close()

    def _fill(self, manager: UIManager) -> None:
        area = self.rect(0, 0, self.width, self.height)
        UITextBox(self.text, area, manager, container=self.window)


class Pick(Dialog):
    """One of a list."""

    def __init__(
        self, title: str, items: Sequence[tuple[str, str]], pick: Callable[[str], None]
    ) -> None:
        super().__init__(title, 560, 96 + 28 * max(len(items), 3))
        self._pick = pick
        self._names = dict(items)

    def handle(self, event: pygame.Event) -> None:
        """Take the item that is clicked."""
        picked = event.type == pygame_gui.UI_SELECTION_LIST_NEW_SELECTION
        if picked and event.ui_element is self._list:
            self.close()
            self._pick(self._names[event.text])
        else:
            super().handle(event)

    def _fill(self, manager: UIManager) -> None:
        self._list = UISelectionList(
            self.rect(8, 8, self.width - 16, self.height - 16),
            list(self._names), manager, container=self.window,
        )  # fmt: skip


class Files(Dialog):
    """A file to open, or to write to; ``refuse`` is told in one line what cannot be."""

    def __init__(
        self,
        title: str,
        start: Path,
        suffixes: Sequence[str],
        pick: Callable[[Path], None],
        refuse: Callable[[str], None],
        *,
        writing: bool,
    ) -> None:
        super().__init__(title, 640, 480)
        self._suffixes = tuple(suffixes)
        self._pick = pick
        self._refuse = refuse
        self._writing = writing
        self._folder = start if is_folder(start) else start.parent
        self._typed = str(start)
        self._items: dict[str, Path] = {}
        self._first = True

    def enter(self) -> None:
        """Take the path that stands in the field."""
        text = self._path.get_text().strip()
        named = [path for path in self._items.values() if shown_path(path) == text]
        if named:
            self._take(named[0])
            return
        try:
            # A bare name is one in the folder that is shown.
            path = self._folder / Path(text).expanduser()
        except RuntimeError:
            self._refuse(f"{printable(text)}: there is nobody of that name here")
        else:
            self._take(path)

    def handle(self, event: pygame.Event) -> None:
        """Follow the list."""
        twice = event.type == pygame_gui.UI_SELECTION_LIST_DOUBLE_CLICKED_SELECTION
        chosen_in_list = twice or event.type == pygame_gui.UI_SELECTION_LIST_NEW_SELECTION
        if chosen_in_list and event.ui_element is self._list:
            chosen = self._folder.parent if event.text == _UP else self._items[event.text]
            if twice or is_folder(chosen):
                self._take(chosen)
            else:
                self._path.set_text(shown_path(chosen))
        else:
            super().handle(event)

    def remember(self) -> None:
        """Keep the path as it is typed so far."""
        self._typed = self._path.get_text()

    def _fill(self, manager: UIManager) -> None:
        width = self.width - 16
        self._path = UITextEntryLine(
            self.rect(8, 8, width, 28), manager, container=self.window,
            initial_text=shown_path(Path(self._typed)) if self._typed else "",
        )  # fmt: skip
        self._list = UISelectionList(
            self.rect(8, 44, width, self.height - 92), [], manager, container=self.window,
            allow_double_clicks=True,
        )  # fmt: skip
        half, low = (width - 8) / 2, self.height - 40
        go = "Write" if self._writing else "Open"
        self._button(manager, self.rect(8, low, half, 32), go, self.enter)
        self._button(manager, self.rect(16 + half, low, half, 32), "Cancel", self.close)
        self._list_folder(self._folder)
        manager.set_focus_set(self._path.get_focus_set())
        if self._first:
            # What is typed first takes the place of what is proposed.
            self._first = False
            self._path.select_range = [0, len(self._path.get_text())]

    def _take(self, path: Path) -> None:
        try:
            if path.is_dir():
                self._enter_folder(path)
                return
            if self._writing and path.suffix.lower() not in self._suffixes:
                path = path.with_name(path.name + self._suffixes[0])
            # Raises what opening or writing would stumble over, while another can be chosen.
            path.exists()
        except (OSError, RuntimeError, ValueError) as error:
            self._refuse(f"{shown_path(path)}: {why_not(error)}")
            return
        self.close()
        self._pick(path)

    def _enter_folder(self, folder: Path) -> None:
        if self._list_folder(folder):
            name = Path(self._path.get_text()).name if self._writing else ""
            self._folder = folder
            self._path.set_text(shown_path(folder / name))

    def _list_folder(self, folder: Path) -> bool:
        """List what is in a folder; whether it may be entered."""
        try:
            items = sorted(folder.iterdir(), key=lambda item: item.name.lower())
        except (OSError, RuntimeError, ValueError) as error:
            self._refuse(f"{shown_path(folder)}: {why_not(error)}")
            return False
        self._items.clear()
        seen = [item for item in items if not item.name.startswith(".")]
        folders = [item for item in seen if is_folder(item)]
        files = [item for item in seen if item.suffix.lower() in self._suffixes]
        for item in (*folders, *(one for one in files if one not in folders)):
            label = f"{printable(item.name)}{'/' if item in folders else ''}"
            self._items.setdefault(label, item)
        self._list.set_item_list([_UP, *self._items])
        return True


def is_folder(path: Path) -> bool:
    """Whether a path is a folder, as far as that can be found out."""
    try:
        return path.is_dir()
    except (OSError, RuntimeError, ValueError):
        return False


def nothing() -> None:
    """What a button does that only closes its dialog."""


def strong(name: str) -> str:
    """A name in bold as it stands, whatever markup is in it."""
    return f"<b>{escape(printable(name), quote=False)}</b>"


def shown_path(path: Path) -> str:
    """A path as letters that can be shown."""
    return printable(str(path))


def why_not(error: Exception) -> str:
    """What the system says about a path, in a few words."""
    if isinstance(error, OSError) and error.strerror:
        return error.strerror[0].lower() + error.strerror[1:]
    text = str(error) or type(error).__name__
    return text[0].lower() + text[1:]
