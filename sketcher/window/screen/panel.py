"""The work order on screen: steps that open in place, their fields and buttons.

A widget is made when the rows change and touched only when its text does: setting
a text field costs a third of a millisecond.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pygame
from pygame_gui.core import ObjectID, UIElement
from pygame_gui.elements import (
    UIButton,
    UIDropDownMenu,
    UIImage,
    UILabel,
    UIScrollingContainer,
    UITextEntryLine,
)
from pygame_gui.ui_manager import UIManager

from kinematics.parts import CARRIERS
from sketcher.answers.shown import Shown
from sketcher.drawing.area_picture import Ink, fitted, wrapped
from sketcher.drawing.areas import Area
from sketcher.drawing.fonts import font_px
from sketcher.drawing.picture import Picture
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface
from sketcher.window.model.desk import Desk
from sketcher.window.model.fields import Field, show
from sketcher.window.screen.layout import Layout
from sketcher.window.steps.commands import Command
from sketcher.window.steps.rows import Buttons, Drawing, FieldRow, Heading, Note, Row, Spot, Step
from sketcher.window.steps.work_order import WORK_ORDER

STEP_HEIGHT, ROW_HEIGHT, HEADING_HEIGHT, NOTE_HEIGHT, BUTTON_HEIGHT = 36, 28, 24, 18, 28
_LABEL_WIDTH = 96
_MOST_NOTE_LINES = 6
_SPOT_LINES = 3


@dataclass(slots=True)
class _Entry:
    """A field on screen and the text it was last given."""

    field: Field
    key: str
    widget: UITextEntryLine
    text: str


class Panel:
    """The work order's widgets."""

    def __init__(self, manager: UIManager, layout: Layout, commands: Mapping[str, Command]) -> None:
        self._manager = manager
        self._layout = layout
        self._commands = commands
        area = layout.panel
        self._box = UIScrollingContainer(
            pygame.Rect(area.left, area.top, area.width, area.height),
            manager,
            allow_scroll_x=False,
        )
        self._made: list[UIElement] = []
        self._entries: list[_Entry] = []
        self._notes: list[tuple[UILabel, str]] = []
        self._steps: dict[UIElement, Step] = {}
        self._summaries: dict[str, tuple[UILabel, str]] = {}
        self._buttons: dict[UIButton, str] = {}
        self._choices: dict[UIElement, Field] = {}
        self._spots: list[tuple[UIButton, list[UILabel], Spot]] = []
        self._signature: object = None
        self._focused: _Entry | None = None

    def update(self, desk: Desk, shown: Shown, *, in_place: bool = False) -> None:
        """Bring the widgets up to date.

        Making them anew takes longer than a frame: ``in_place``, while something is
        dragged, leaves that for later.
        """
        rows = {
            step.name: list(step.rows(desk, shown))
            for step in WORK_ORDER
            if step.name in desk.open_steps
        }
        signature = [
            (
                step.name,
                [self._shape(row, desk) for row in rows.get(step.name, ())],
                step.name in rows,
            )
            for step in WORK_ORDER
        ]
        if signature != self._signature:
            if in_place:
                return
            self._make(desk, rows)
            self._signature = signature
        self._refresh(desk, shown, rows)

    def pressed(self, element: UIElement, desk: Desk) -> str | None:
        """Handle a pressed button: open or shut a step, or give back a command's name."""
        step = self._steps.get(element)
        if step is not None:
            desk.open_steps ^= {step.name}
            return None
        spot = next((row for button, _, row in self._spots if button is element), None)
        if spot is not None:
            desk.go_to(spot.position)
            desk.select(spot.key)
            return None
        return self._buttons.get(element) if isinstance(element, UIButton) else None

    def finished(self, element: UIElement, desk: Desk) -> bool:
        """Take what was typed into a field when Enter ends it."""
        entry = next((one for one in self._entries if one.widget is element), None)
        if entry is None:
            return False
        self._take(entry, desk)
        return True

    def chosen(self, element: UIElement, text: str, desk: Desk) -> None:
        """Take what was chosen from a list."""
        field = self._choices.get(element)
        if field is not None:
            desk.type(field, text)

    def follow_focus(self, desk: Desk) -> None:
        """Light what the focused field belongs to, and take what was typed where focus is gone."""
        focused = next((one for one in self._entries if one.widget.is_focused), None)
        if focused is self._focused:
            return
        left, self._focused = self._focused, focused
        if left is not None and left in self._entries:
            self._take(left, desk)
        desk.lit = focused.key if focused is not None else ""

    @property
    def typing(self) -> bool:
        """Whether a field has the keyboard."""
        return any(entry.widget.is_focused for entry in self._entries)

    def give_up(self) -> None:
        """Put back the text that the focused field had."""
        entry = self._focused
        if entry is not None and entry in self._entries:
            entry.widget.set_text(entry.text)
            entry.widget.unfocus()  # type: ignore[no-untyped-call]

    def to_next(self, desk: Desk, step: int) -> None:
        """Move the keyboard to the next field, or the one before."""
        entry = self._focused
        if entry is None or entry not in self._entries:
            return
        following = self._entries[(self._entries.index(entry) + step) % len(self._entries)]
        key = following.field.key
        self._take(entry, desk)
        target = next((one for one in self._entries if one.field.key == key), None)
        if target is not None:
            self._manager.set_focus_set(target.widget.get_focus_set())
            target.widget.select_range = [0, len(target.widget.get_text())]

    def key_at(self, point: tuple[float, float]) -> str:
        """What of the scene the field under the pointer belongs to; empty where none is."""
        if not self._layout.panel.holds(point):
            return ""
        held = (one for one in self._entries if one.widget.rect.collidepoint(point))
        return next((one.key for one in held), "")

    def focus(self, key: str) -> None:
        """Put the keyboard into a field."""
        for entry in self._entries:
            if entry.field.key == key:
                self._manager.set_focus_set(entry.widget.get_focus_set())
                entry.widget.select_range = [0, len(entry.widget.get_text())]

    def kill(self) -> None:
        """Remove every widget."""
        self._box.kill()  # type: ignore[no-untyped-call]

    def _take(self, entry: _Entry, desk: Desk) -> None:
        typed = entry.widget.get_text()
        if typed == entry.text:
            return
        before = entry.text
        entry.text = typed
        if not desk.type(entry.field, typed):
            entry.widget.set_text(before)
            entry.text = before

    def _refresh(self, desk: Desk, shown: Shown, rows: Mapping[str, list[Row]]) -> None:
        for step in WORK_ORDER:
            label, text = self._summaries[step.name]
            new = self._fitted(step.summary(desk, shown))
            if new != text:
                label.set_text(new)
                self._summaries[step.name] = (label, new)
        for entry in self._entries:
            text = show(entry.field, desk.scene, desk.unit)
            if text != entry.text and not entry.widget.is_focused:
                entry.widget.set_text(text)
                entry.text = text
        for button, name in self._buttons.items():
            label_now = self._commands[name].label(desk)
            if label_now != button.text:
                button.set_text(label_now)
        self._refresh_spots([row for some in rows.values() for row in some])
        texts = [
            line for some in rows.values() for row in some if isinstance(row, Note)
            for line in self._lines(row)
        ]  # fmt: skip
        for i, ((label, old), new) in enumerate(zip(self._notes, texts, strict=True)):
            if old != new:
                label.set_text(new)
                self._notes[i] = (label, new)

    def _refresh_spots(self, rows: list[Row]) -> None:
        for i, row in enumerate(row for row in rows if isinstance(row, Spot)):
            if row != self._spots[i][2]:
                self._tell_spot(i, row)

    def _shape(self, row: Row, desk: Desk) -> object:
        """What of a row decides which widgets it needs; a list cannot be told its choice."""
        match row:
            case Note():
                return (len(self._lines(row)), row.state)
            case Spot():
                return (Spot, row.state)
            case FieldRow():
                chosen = [
                    show(field, desk.scene, desk.unit)
                    for field in row.fields
                    if field.kind == "choice"
                ]
                return (row.label, row.fields, chosen)
            case _:
                return row

    def _fitted(self, summary: str) -> str:
        scale = self._layout.scale
        return fitted(summary, (self._wide - 136) * scale, font_px("small", scale))

    def _lines(self, note: Note) -> list[str]:
        scale = self._layout.scale
        size = font_px("small", scale)
        width = self._layout.panel.width - 48 * scale
        lines = wrapped(note.text, width, size, False, _MOST_NOTE_LINES)
        return lines + [""] * (note.lines - len(lines))

    def _make(self, desk: Desk, rows: Mapping[str, list[Row]]) -> None:
        for element in self._made:
            element.kill()  # type: ignore[no-untyped-call]
        self._made.clear()
        self._entries.clear()
        self._notes.clear()
        self._steps.clear()
        self._summaries.clear()
        self._buttons.clear()
        self._choices.clear()
        self._spots.clear()
        self._focused = None
        y = 8.0
        for step in WORK_ORDER:
            y = self._make_step(step, y, is_open=step.name in rows)
            for row in rows.get(step.name, ()):
                y += self._make_row(row, y, desk)
            if step.name in rows:
                y += 8
        scale = self._layout.scale
        width = self._layout.panel.width - round(16 * scale)
        self._box.set_scrollable_area_dimensions((width, round((y + 8) * scale)))

    def _make_step(self, step: Step, y: float, *, is_open: bool) -> float:
        sign = "–" if is_open else "+"
        button = self._button(
            f"{sign}  {step.name}", self._rect(0, y, self._wide - 8, STEP_HEIGHT - 4), "@step"
        )
        self._steps[button] = step
        label = self._label("", 116, y, self._wide - 132, STEP_HEIGHT - 4, "@right")
        self._summaries[step.name] = (label, "")
        return y + STEP_HEIGHT

    def _make_row(self, row: Row, y: float, desk: Desk) -> float:
        match row:
            case Heading():
                name, *columns = row.text.split("\t")
                self._label(name, 12, y, self._wide, HEADING_HEIGHT, "@heading")
                for i, column in enumerate(columns):
                    x, width = self._column(i, len(columns))
                    self._label(column, x + 4, y, width, HEADING_HEIGHT, "@heading")
                return HEADING_HEIGHT
            case FieldRow():
                return self._make_fields(row, y, desk)
            case Buttons():
                return self._make_buttons(row, y, desk)
            case Spot():
                return self._make_spot(row, y, desk)
            case Drawing():
                self._picture(row, self._rect(8, y, self._wide - 16, row.height), desk)
                return row.height + 8
            case Note():
                lines = self._lines(row)
                style = "@past" if row.state == "past" else "@soft"
                for i, line in enumerate(lines):
                    label = self._label(
                        line, 12, y + i * NOTE_HEIGHT, self._wide - 24, NOTE_HEIGHT, style
                    )
                    self._notes.append((label, line))
                return len(lines) * NOTE_HEIGHT + 4

    def _make_fields(self, row: FieldRow, y: float, desk: Desk) -> float:
        scale = self._layout.scale
        words = fitted(row.label, _LABEL_WIDTH * scale, font_px("small", scale))
        label = self._label(words, 12, y, _LABEL_WIDTH, ROW_HEIGHT - 4, "@soft")
        if row.help or words != row.label:
            label.set_tooltip(f"{row.label}. {row.help}".strip() if row.help else row.label)
        for i, field in enumerate(row.fields):
            x, width = self._column(i, len(row.fields))
            if field.kind == "choice":
                self._choice(field, self._rect(x, y, width, ROW_HEIGHT - 4), desk)
            else:
                self._entry(field, row.key, x, y, width, desk)
        return ROW_HEIGHT

    def _make_buttons(self, row: Buttons, y: float, desk: Desk) -> float:
        count = len(row.commands)
        width = (self._wide - 24 - 8 * (count - 1)) / count
        for i, name in enumerate(row.commands):
            command = self._commands[name]
            rect = self._rect(12 + i * (width + 8), y + 2, width, BUTTON_HEIGHT - 2)
            button = self._button(command.label(desk), rect, "", command.help)
            self._buttons[button] = name
        return BUTTON_HEIGHT + 6

    def _make_spot(self, row: Spot, y: float, desk: Desk) -> float:
        def mark(ink: Ink) -> Picture:
            ink.mark(ink.width / 2, ink.height / 2, row.state, 5)
            return ink.picture

        self._picture(Drawing(24, mark), self._rect(8, y, 20, 24), desk)
        tip = "Put the wheel where this is, and select it."
        button = self._button("", self._rect(28, y, self._wide - 40, 24), "@spot", tip)
        style = "@past" if row.state == "past" else "@soft"
        labels = [
            self._label("", 32, y + 24 + i * NOTE_HEIGHT, self._wide - 40, NOTE_HEIGHT, style)
            for i in range(_SPOT_LINES)
        ]
        self._spots.append((button, labels, row))
        self._tell_spot(len(self._spots) - 1, row)
        return 24 + _SPOT_LINES * NOTE_HEIGHT + 4

    def _tell_spot(self, index: int, row: Spot) -> None:
        button, labels, _ = self._spots[index]
        room = (self._wide - 56) * self._layout.scale
        small = font_px("small", self._layout.scale)
        lines = wrapped(row.detail, room, small, False, _SPOT_LINES)
        lines += [""] * (_SPOT_LINES - len(lines))
        text = fitted(row.text, room, small)
        if text != button.text:
            button.set_text(text)
        for label, line in zip(labels, lines, strict=True):
            if line != label.text:
                label.set_text(line)
        self._spots[index] = (button, labels, row)

    def _picture(self, row: Drawing, rect: pygame.Rect, desk: Desk) -> None:
        ink = Ink(Area(0, 0, rect.width, rect.height), self._layout.scale)
        surface = pygame.Surface(rect.size)
        surface.fill(style(desk.theme).palette.sheet)
        paint_surface(surface, row.draw(ink), ink.camera, style(desk.theme))
        self._made.append(UIImage(rect, surface, self._manager, container=self._box))

    @property
    def _wide(self) -> float:
        """Room for rows, px at UI scale 1, the scroll bar left out."""
        return self._layout.panel.width / self._layout.scale - 16

    def _column(self, index: int, count: int) -> tuple[float, float]:
        left = 12 + _LABEL_WIDTH
        room = self._wide - left - 8
        width = (room - 4 * (max(count, 1) - 1)) / count
        return (left + index * (width + 4), width)

    def _rect(self, x: float, y: float, width: float, height: float) -> pygame.Rect:
        scale = self._layout.scale
        return pygame.Rect(
            round(x * scale), round(y * scale), round(width * scale), round(height * scale)
        )

    def _label(
        self, text: str, x: float, y: float, width: float, height: float, style: str
    ) -> UILabel:
        label = UILabel(
            self._rect(x, y, width, height),
            text,
            self._manager,
            self._box,
            object_id=ObjectID(None, style),
        )
        self._made.append(label)
        return label

    def _button(self, text: str, rect: pygame.Rect, style: str = "", tip: str = "") -> UIButton:
        button = UIButton(
            rect,
            text,
            self._manager,
            self._box,
            tool_tip_text=tip or None,
            object_id=ObjectID(None, style) if style else None,
        )
        self._made.append(button)
        return button

    def _choice(self, field: Field, rect: pygame.Rect, desk: Desk) -> None:
        now = show(field, desk.scene, desk.unit)
        widget = UIDropDownMenu(list(CARRIERS), now, rect, self._manager, self._box)
        self._made.append(widget)
        self._choices[widget] = field

    def _entry(self, field: Field, key: str, x: float, y: float, width: float, desk: Desk) -> None:
        text = show(field, desk.scene, desk.unit)
        widget = UITextEntryLine(
            self._rect(x, y, width, ROW_HEIGHT - 4), self._manager, self._box, initial_text=text
        )
        widget.set_tooltip(field.help or None)
        self._made.append(widget)
        self._entries.append(_Entry(field, key, widget, text))
