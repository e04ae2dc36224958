"""The form's widgets: made for what is in view, kept while it is, and given up out of view."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

import pygame
from pygame_gui.core import ObjectID, UIElement
from pygame_gui.core.ui_container import UIContainer
from pygame_gui.elements import UIButton
from pygame_gui.ui_manager import UIManager

from sketcher.drawing.fonts import font_px, width_px
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field
from sketcher.window.model.form import Form
from sketcher.window.screen.entry import Entry
from sketcher.window.screen.form_layout import ROW_HEIGHT, Grid, Placed
from sketcher.window.screen.form_picture import BOX_HEIGHT, button_rects
from sketcher.window.steps.command import Command
from sketcher.window.steps.rows import Buttons, FieldRow, Note, Spot, StepPart

# What a button does: run a command, open or shut a step or part, switch a field between yes
# and no, go to where something was found, show a thing's rows.
Act = tuple[Literal["command", "open", "switch", "go", "show"], str]
# Rows this far out of view keep their widgets, px at UI scale 1.
_BEYOND = 120.0


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A widget that should be there: where, and for what."""

    rect: pygame.Rect
    field: Field | None = None
    act: Act | None = None
    look: str = "@over"


class Widgets:
    """Fields and buttons by their keys."""

    def __init__(
        self,
        manager: UIManager,
        box: UIContainer,
        grid: Grid,
        commands: Mapping[str, Command],
        form: Form,
    ) -> None:
        self._manager = manager
        self._box = box
        self._grid = grid
        self._commands = commands
        self._form = form
        self._entries: dict[str, tuple[Entry, Field]] = {}
        self._buttons: dict[str, tuple[UIButton, Act]] = {}

    @property
    def focused(self) -> Field | None:
        """The field that has the keyboard."""
        for entry, field in self._entries.values():
            if entry.is_focused:
                return field
        return None

    def focus(self, field: Field) -> None:
        """Give a field the keyboard."""
        entry = self.entry(field.key)
        if entry is not None:
            self._manager.set_focus_set(entry.get_focus_set())
            entry.select_all()

    def entry(self, key: str) -> Entry | None:
        """The widget of a field, where it has one."""
        return self._entries[key][0] if key in self._entries else None

    def button(self, key: str) -> UIButton | None:
        """The button of a command, a step, a part or a field to be switched."""
        return self._buttons[key][0] if key in self._buttons else None

    def act_of(self, element: UIElement) -> Act | None:
        """What a button does."""
        return next((act for button, act in self._buttons.values() if button is element), None)

    def update(self, rows: Sequence[Placed], scroll: int, height: int, editor: Editor) -> None:
        """Bring the widgets to the rows: what stays keeps its own."""
        beyond = self._grid.px(_BEYOND)
        in_hand = self._form.in_hand
        wanted: dict[str, _Wanted] = {}
        for place in rows:
            near = place.bottom > scroll - beyond and place.top < scroll + height + beyond
            for key, one in self._of(place, editor):
                held = one.field is not None and in_hand is not None and key == in_hand.key
                if near or held:
                    wanted[key] = one
        for key in [key for key in self._entries if key not in wanted]:
            self._entries.pop(key)[0].kill()  # type: ignore[no-untyped-call]
        for key in [key for key in self._buttons if key not in wanted]:
            self._buttons.pop(key)[0].kill()  # type: ignore[no-untyped-call]
        for key, one in wanted.items():
            rect = one.rect.move(0, -scroll)
            if one.field is not None:
                self._put_entry(key, one.field, rect, editor)
            elif one.act is not None:
                self._put_button(key, one, rect, editor)

    def refresh(self, editor: Editor) -> None:
        """Show what stands in the fields now."""
        for entry, field in self._entries.values():
            text = self._form.text(field, editor)
            if entry.get_text() != text:
                entry.put(text)

    def _put_entry(self, key: str, field: Field, rect: pygame.Rect, editor: Editor) -> None:
        text = self._form.text(field, editor)
        entry = self.entry(key)
        if entry is None:
            touched = partial(self._form.write, field)
            entry = Entry(rect, self._manager, self._box, text, touched)
            self._entries[key] = (entry, field)
            return
        _move(entry, rect)
        if entry.get_text() != text:
            entry.put(text)

    def _put_button(self, key: str, one: _Wanted, rect: pygame.Rect, editor: Editor) -> None:
        assert one.act is not None
        command = self._commands[one.act[1]] if one.act[0] == "command" else None
        text = "" if command is None else command.label(editor)
        button = self.button(key)
        if button is None:
            look = ObjectID(None, one.look) if one.look else None
            button = UIButton(rect, text, self._manager, self._box, object_id=look)
            self._buttons[key] = (button, one.act)
            return
        _move(button, rect)
        if button.text != text:
            button.set_text(text)

    def _of(self, place: Placed, editor: Editor) -> Iterator[tuple[str, _Wanted]]:
        """The widgets of a row, in the form's own px."""
        px, top = self._grid.px, place.top
        whole = pygame.Rect(0, top, self._grid.width - px(16), place.height)
        match place.row:
            case None:
                yield place.id, _Wanted(whole, act=("open", place.step.name))
            case StepPart() as row:
                yield row.key, _Wanted(whole, act=("open", row.key))
            case Spot():
                yield place.id, _Wanted(whole, act=("go", place.id))
            case Note() as row:
                if row.key:
                    yield place.id, _Wanted(whole, act=("show", place.id))
            case Buttons() as row:
                for name, rect in zip(row.commands, button_rects(row, self._grid), strict=True):
                    look = "@check" if self._commands[name].on is not None else ""
                    yield name, _Wanted(rect.move(0, top), act=("command", name), look=look)
            case FieldRow() as row:
                yield from self._of_fields(row, top, editor)
            case _:
                pass

    def _of_fields(self, row: FieldRow, top: int, editor: Editor) -> Iterator[tuple[str, _Wanted]]:
        px, above = self._grid.px, self._grid.px((ROW_HEIGHT - BOX_HEIGHT) / 2)
        cells, _ = self._grid.cells(row, editor.unit)
        for cell in cells:
            unit = round(width_px(cell.unit, font_px("small", self._grid.scale)))
            # What is typed runs up to its unit, and not under it.
            width = px(cell.width) - (unit + px(6) if unit else 0)
            rect = pygame.Rect(px(cell.left), top + above, width, px(BOX_HEIGHT))
            if cell.field.kind == "yes_no":
                yield cell.field.key, _Wanted(rect, act=("switch", cell.field.key))
            else:
                yield cell.field.key, _Wanted(rect, field=cell.field)


def _move(element: UIElement, rect: pygame.Rect) -> None:
    """Put a widget in its place, where it is not there already."""
    if element.relative_rect.topleft != rect.topleft:
        element.set_relative_position(rect.topleft)
    if element.relative_rect.size != rect.size:
        element.set_dimensions(rect.size)
