"""The sides' buttons and the foot: what the pointer would do, and the commands in reach."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import pygame
from pygame_gui.core import ObjectID, UIElement
from pygame_gui.elements import UIButton, UITooltip
from pygame_gui.ui_manager import UIManager

from scenes.model import SIDES
from sketcher.drawing.areas import Area
from sketcher.drawing.fonts import font_px, width_px
from sketcher.drawing.pane import Pane, wrapped
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface
from sketcher.window.model.editor import Editor, movable, name_of
from sketcher.window.screen.layout import ScreenLayout
from sketcher.window.steps.command import Command
from sketcher.window.steps.commands import ON_FOOT
from sketcher.window.steps.pages import chord_words

_GAP, _GROUP_GAP, _BUTTON_HEIGHT = 4.0, 12.0, 26.0


class Bars:
    """Buttons of the strip and the foot, and the line of words beside them."""

    def __init__(
        self,
        manager: UIManager,
        layout: ScreenLayout,
        commands: Mapping[str, Command],
        editor: Editor,
    ) -> None:
        self._manager = manager
        self._layout = layout
        self._commands = commands
        self._named: dict[UIElement, str] = {}
        self._buttons: dict[str, UIButton] = {}
        self._cursor = -1
        self.was_covered = False
        self._words_width = self._make_foot(editor)
        self._sides: dict[str, UIButton] = {}
        self._make_sides(editor)

    def _make_foot(self, editor: Editor) -> float:
        """Buttons from the right; how much room is left for words."""
        scale, foot = self._layout.scale, self._layout.foot
        size = font_px("normal", scale)
        x = foot.width - 8 * scale
        top = foot.top + (foot.height - _BUTTON_HEIGHT * scale) / 2
        for group in reversed(ON_FOOT):
            for name in reversed(group):
                labels = _labels_of(self._commands[name], editor)
                width = max(width_px(text, size) for text in labels) + 14 * scale
                x -= width
                rect = pygame.Rect(
                    round(x), round(top), round(width), round(_BUTTON_HEIGHT * scale)
                )
                self._button(name, rect, editor, ObjectID(None, "@quiet"))
                x -= _GAP * scale
            x -= (_GROUP_GAP - _GAP) * scale
        return x / scale - 16

    def _make_sides(self, editor: Editor) -> None:
        half = (self._layout.sides.width / self._layout.scale - 24) / 2
        for i, side in enumerate(SIDES):
            rect = self._layout.rect(8 + i * (half + 8), 8, half, 26)
            button = UIButton(
                rect, f"{side.capitalize()} shaft", self._manager,
                tool_tip_text="Each side of the car has a shaft of its own.",
                object_id=ObjectID(None, "@side"),
            )  # fmt: skip
            self._sides[side] = button
            self._named[button] = f"side:{side}"
        for i, name in enumerate(("play", "ride_height")):
            self._button(name, self._layout.rect(8 + i * (half + 8), 40, half, 24), editor)

    def _button(
        self, name: str, rect: pygame.Rect, editor: Editor, look: ObjectID | None = None
    ) -> None:
        command = self._commands[name]
        label, tip = command.label(editor), _tip(command)
        button = UIButton(rect, label, self._manager, tool_tip_text=tip, object_id=look)
        self._named[button] = name
        self._buttons[name] = button

    def update(self, editor: Editor) -> None:
        """Bring labels and the chosen side up to date."""
        for name, button in self._buttons.items():
            label = self._commands[name].label(editor)
            if label != button.text:
                button.set_text(label)
        for side, button in self._sides.items():
            chosen = side == editor.side
            if chosen != button.is_selected:
                (button.select if chosen else button.unselect)()  # type: ignore[no-untyped-call]

    def pressed(self, element: UIElement) -> str | None:
        """The command of a pressed button."""
        return self._named.get(element)

    @property
    def tip_shown(self) -> bool:
        """Whether a tooltip lies over the window."""
        return any(
            isinstance(sprite, UITooltip) for sprite in self._manager.get_sprite_group().sprites()
        )

    def set_cursor(self, cursor: int) -> None:
        """Show what a drag would do."""
        if cursor != self._cursor:
            self._cursor = cursor
            self._manager.set_active_cursor(pygame.cursors.Cursor(cursor))

    def paint(self, surface: pygame.Surface, editor: Editor, hint: str) -> None:
        """The line of words: a message where there is one, otherwise what the pointer would do."""
        foot, scale = self._layout.foot, self._layout.scale
        area = Area(foot.left, foot.top, round((self._words_width + 16) * scale), foot.height)
        pane = Pane(area, scale)
        message = editor.message
        width, middle = self._words_width - 24, foot.height / scale / 2
        if message is not None and message.kind == "refusal":
            pane.mark(14, middle, "past", 5)
            self._write(pane, 26, message.text, "note_past", width - 10)
        else:
            text = self._short(hint, width) if message is None else message.text
            self._write(pane, 8, text, "note", width)
        paint_surface(surface, pane.picture, pane.camera, style(editor.theme))

    def _fits(self, text: str, width: float) -> bool:
        scale = self._layout.scale
        lines = wrapped(text, width * scale, font_px("small", scale), False, 2)
        return not lines[-1].endswith("…")

    def _short(self, hint: str, width: float) -> str:
        """A hint without the sentences that there is no room for; half a one is none."""
        while ". " in hint and not self._fits(hint, width):
            hint = hint[: hint.rindex(". ") + 1]
        return hint if self._fits(hint, width) else ""

    def paint_whole(self, surface: pygame.Surface, editor: Editor) -> None:
        """A message that the foot has no room for, whole, over the form's last rows."""
        message, scale = editor.message, self._layout.scale
        if message is None or self._fits(message.text, self._words_width - 34):
            return
        panel, foot = self._layout.panel, self._layout.foot
        room = panel.width - 44 * scale
        lines = wrapped(message.text, room, font_px("small", scale), False, 12)
        height = round((16 + 15 * len(lines)) * scale)
        area = Area(round(8 * scale), foot.top - height, panel.width - round(16 * scale), height)
        palette = style(editor.theme).palette
        surface.fill(palette.paper, area)
        colour = palette.past if message.kind == "refusal" else palette.faint
        pygame.draw.rect(surface, colour, area, max(1, round(scale)))
        pane = Pane(area, scale)
        for i, line in enumerate(lines):
            pane.text(12, 15 + 15 * i, line, "note", size="small")
        paint_surface(surface, pane.picture, pane.camera, style(editor.theme))

    def _write(self, pane: Pane, x: float, text: str, role: Literal["note", "note_past"],
               width: float) -> None:  # fmt: skip
        rows = pane.rows(text, role, within=width, most=2, size="small")
        first = pane.height / 2 - 7.5 * (len(rows) - 1)
        for i, row in enumerate(rows):
            pane.text(x, first + 15 * i, row, role, size="small")


def hint_for(editor: Editor) -> str:
    """What taking hold of the thing under the pointer, or the open outline, would do."""
    if editor.pointing is not None:
        return editor.pointing.words
    return _hint_of(editor) if editor.open_outline is None else editor.open_outline.words


def _hint_of(editor: Editor) -> str:
    key = editor.hover
    if key in ("wheel", "knuckle"):
        return "Drag the wheel: up and down for travel; in the view from above to steer."
    if ".edge[" in key:
        return "Drag the edge; double click puts a corner there."
    if key and movable(editor.scene, key):
        return f"{name_of(key).capitalize()}: drag to move, arrow keys push by {_push(editor)}."
    if key:
        return "Click to see its fields."
    if editor.selection:
        name = name_of(editor.selection).capitalize()
        pushed = f" Arrow keys push it by {_push(editor)}."
        return f"{name} is selected.{pushed if movable(editor.scene, editor.selection) else ''}"
    return "F1 shows all keys. M is the measure list."


def _push(editor: Editor) -> str:
    return "1 mm" if editor.unit == "mm" else '1/8"'


def _tip(command: Command) -> str:
    keys = " or ".join(chord_words(key) for key in command.keys)
    return f"{command.help} ({keys})" if keys else command.help


def _labels_of(command: Command, editor: Editor) -> tuple[str, ...]:
    """Every label that the button may have, for its width."""
    other = {"grid": "Snap 5 mm", "units": "Inches", "theme": "Light"}.get(command.name)
    return (command.label(editor), other) if other else (command.label(editor),)
