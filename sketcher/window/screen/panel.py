"""The work order on screen: steps that open in place, their fields and commands.

Rows are data.  What is in view has widgets by the keys of its fields and commands, and a
widget stays as long as its row does: nothing that happens elsewhere takes the keyboard away
or moves the row in hand.
"""

from __future__ import annotations

from collections.abc import Mapping

import pygame
from pygame_gui.core import UIElement
from pygame_gui.core.ui_container import UIContainer
from pygame_gui.ui_manager import UIManager

from sketcher.answers.shown import Shown
from sketcher.drawing.picture import Point2
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, show
from sketcher.window.model.form import Form
from sketcher.window.screen.form_layout import Grid, Placed, placed
from sketcher.window.screen.form_picture import FormPicture
from sketcher.window.screen.form_scroll import FormScroll
from sketcher.window.screen.form_states import look_of
from sketcher.window.screen.form_widgets import Widgets
from sketcher.window.screen.layout import ScreenLayout
from sketcher.window.screen.row_help import RowHelp
from sketcher.window.steps.command import Command
from sketcher.window.steps.rows import FieldRow, Note, Row, Spot
from sketcher.window.steps.work_order import WORK_ORDER


class Panel(FormScroll):
    """The form: rows in their places, widgets for those in view, what is typed and said."""

    def __init__(
        self, manager: UIManager, layout: ScreenLayout, commands: Mapping[str, Command], form: Form
    ) -> None:
        area = layout.panel
        super().__init__(Grid(area.width, layout.scale), area)
        self.form = form
        self._commands = commands
        self._manager = manager
        box = UIContainer(pygame.Rect(area), manager)
        self.widgets = Widgets(manager, box, self._grid, commands, self.form)
        self._picture = FormPicture(self._grid, area.height)
        self._painted: object = None
        self._pointed = ""
        self._pointer: Point2 = (-1.0, -1.0)
        self._help = RowHelp(self._grid, commands)
        self._last: Field | None = None

    # Rows, and their places.

    def update(self, editor: Editor, shown: Shown, *, in_place: bool = False) -> None:
        """Bring rows and widgets up to date; ``in_place``, no row comes, goes or moves."""
        self.form.settle(editor)
        rows: dict[str, list[Row]] = {
            step.name: list(step.rows(editor, shown))
            for step in WORK_ORDER
            if step.name in editor.open_steps
        }
        new = placed(WORK_ORDER, rows, self._grid)
        moved = _shape(new) != _shape(self.rows)
        if moved and in_place:
            return
        if moved:
            held = self.form.in_hand
            self.hold(new, "" if held is None else held.key, self._pointed)
        self.rows = new
        self.bring_wanted(aside=bool(editor.lit))
        self.widgets.update(new, self.scroll, self._area.height, editor)
        self._paint(editor, shown)

    def scroll_by(self, by: int) -> None:
        """Scroll by device px."""
        super().scroll_by(by)
        self._look_under()

    def paint(self, surface: pygame.Surface) -> None:
        """Paint the rows; their widgets are drawn over them."""
        surface.blit(self._picture.surface, self._area[:2])

    def _paint(self, editor: Editor, shown: Shown) -> None:
        look = look_of(self.rows, self.form, editor, shown, self._commands, self._pointed)
        shows = (self.rows, self.scroll, look)
        if shows != self._painted:
            self._painted = shows
            self._picture.paint(self.rows, self.scroll, self.height, look)

    # The hand.

    @property
    def typing(self) -> bool:
        """Whether a field has the keyboard."""
        return self.widgets.focused is not None

    @property
    def fields(self) -> list[Field]:
        """Every field that is typed into, in the order in which the hand goes through them."""
        return [
            field
            for place in self.rows
            if isinstance(place.row, FieldRow)
            for field in place.row.fields
            if field.kind != "yes_no"
        ]

    def follow_focus(self, editor: Editor) -> None:
        """Take what was typed where the keyboard has gone elsewhere, and light what has it."""
        focused = self.widgets.focused
        if focused == self.form.in_hand:
            return
        if self.form.in_hand is not None:
            self.form.leave(editor)
        editor.lit = ""
        if focused is not None:
            self.form.enter(focused)
            self._last = focused
            editor.lit = self._thing_of(focused)

    def enter(self, field: Field, editor: Editor) -> None:
        """Put a field in hand: in view, with the keyboard, its value selected."""
        if self.form.in_hand != field:
            self.form.leave(editor)
        place = self.row_of(field.key)
        if place is None:
            return
        self.form.enter(field)
        self._last = field
        self.bring(place)
        self.widgets.update(self.rows, self.scroll, self._area.height, editor)
        self.widgets.focus(field)
        editor.lit = self._thing_of(field)

    def begin(self, key: str, text: str, editor: Editor) -> None:
        """Put a field in hand with a text begun: what is typed goes on behind it."""
        field = next((one for one in self.fields if one.key == key), None)
        if field is None:
            return
        self.form.said.pop(key, None)
        self.form.write(field, text)
        self.enter(field, editor)
        entry = self.widgets.entry(key)
        if entry is not None:
            entry.put(text)
            entry.set_caret((len(text), (0, 0)))

    def focus(self, key: str, editor: Editor) -> None:
        """Put the field of a key in hand."""
        field = next((one for one in self.fields if one.key == key), None)
        if field is not None:
            self.enter(field, editor)

    def to_first(self, editor: Editor, shown: Shown) -> None:
        """Open Measure and put its first number in hand."""
        editor.open_steps = {"Measure"}
        self.scroll = 0
        self.update(editor, shown)
        self.enter(self.fields[0], editor)

    def key(self, event: pygame.Event, editor: Editor, shown: Shown) -> bool:
        """Do what a key does in the field in hand; whether it was for that."""
        field = self.widgets.focused
        if field is None:
            return False
        self.follow_focus(editor)
        back = bool(event.mod & pygame.KMOD_SHIFT)
        if event.key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_TAB):
            said = self.form.said.get(field.key)
            asked = said is not None and said.kind == "asked"
            if event.key != pygame.K_TAB and asked and field.key not in self.form.typed:
                self.form.answer(field.key, None, editor)
            self.go_on(editor, shown, -1 if back else 1)
        elif event.key in (pygame.K_UP, pygame.K_DOWN):
            by = 1 if event.key == pygame.K_UP else -1
            self.form.step(field, editor, by, fine=back)
            self.widgets.refresh(editor)
        elif event.key == pygame.K_ESCAPE:
            self.form.give_back(field)
            self.widgets.refresh(editor)
            self.let_go(editor)
        else:
            return False
        return True

    def go_on(self, editor: Editor, shown: Shown, by: int) -> None:
        """Take what stands in the field in hand, and go on to the next field, or back."""
        field = self.form.in_hand
        if field is None:
            return
        # Readings and measurements are typed one after the other into one field.
        again = field.kind in ("reading", "mark", "measurement")
        again = again and by > 0 and bool(self.form.typed.get(field.key))
        before = [one.key for one in self.fields]
        self.form.take(field, editor)
        # What was taken may have brought fields, and taken others away.
        self.update(editor, shown)
        there = {one.key: one for one in self.fields}
        same = next((one.key for one in self.fields if one.kind == field.kind), "")
        here = before.index(field.key) if field.key in before else -1
        further = before[here + 1 :] if by > 0 else before[max(here - 1, 0) :: -1]
        following = same if again else next((k for k in further if k in there), "")
        self.enter(there.get(following) or there.get(field.key) or self.fields[0], editor)

    def go_back_to_form(self, editor: Editor) -> bool:
        """Put the field that was in hand last in hand again; whether there is one."""
        field = self._last
        if field is None or field.key not in [one.key for one in self.fields]:
            return False
        self.enter(field, editor)
        return True

    def let_go(self, editor: Editor) -> None:
        """Put the field in hand down; keys are for the sketch again."""
        self._manager.set_focus_set(None)
        self.form.leave(editor)
        self.form.used_last = False
        editor.lit = ""

    def forget(self) -> None:
        """Another scene: what was typed for the last one is nothing to it."""
        self._manager.set_focus_set(None)
        self.form.forget()
        self._last = None
        self.scroll = 0

    # Pointer and buttons.

    def point(self, point: Point2) -> str:
        """Follow the pointer; the key of what is under it, empty where none."""
        if point != self._pointer:
            self._pointer = point
            self._help.quiet = False
        place = self._look_under()
        return place.row.key if place is not None and isinstance(place.row, FieldRow) else ""

    def _look_under(self) -> Placed | None:
        area, place = self._area, None
        if area.holds(self._pointer):
            y = self._pointer[1] - area.top + self.scroll
            place = next((one for one in self.rows if one.top <= y < one.bottom), None)
        self._pointed = place.id if place is not None else ""
        return place

    def hand_types(self) -> None:
        """A key was pressed: help gives way to what it does."""
        self._help.quiet = True

    def pass_time(self, seconds: float, editor: Editor) -> None:
        """Let time pass: help comes once the pointer has rested."""
        x = self._pointer[0] - self._area.left
        self._help.pass_time(seconds, self._under_pointer, x, editor)

    @property
    def help(self) -> tuple[int, str] | None:
        """The height on screen, and what is under the pointer that rests; None where nothing."""
        place, words = self._under_pointer, self._help.words
        if place is None or not words:
            return None
        return (self._area.top + place.top + place.height // 2 - self.scroll, words)

    @property
    def _under_pointer(self) -> Placed | None:
        return next((one for one in self.rows if one.id == self._pointed), None)

    def pressed(self, element: UIElement, editor: Editor) -> str | None:
        """Do what a pressed button does, or give back a command's name."""
        act = self.widgets.act_of(element)
        if act is None:
            return None
        kind, name = act
        if kind == "command":
            return name
        if kind == "open":
            editor.open_steps ^= {name}
            self.open(name if name in editor.open_steps else "")
        elif kind == "switch":
            self._switch(name, editor)
        else:
            self._go(name, editor)
        return None

    def _switch(self, key: str, editor: Editor) -> None:
        place = self.row_of(key)
        if place is not None and isinstance(place.row, FieldRow):
            field = place.row.fields[0]
            on = show(field, editor.scene, editor.unit) == "yes"
            editor.type(field, "no" if on else "yes")

    def _go(self, name: str, editor: Editor) -> None:
        row = next((one.row for one in self.rows if one.id == name), None)
        if isinstance(row, Spot):
            editor.go_to(row.position)
            editor.select(row.key)
        elif isinstance(row, Note):
            editor.select(row.key)
            self.reveal(row.key)

    def _thing_of(self, field: Field) -> str:
        place = self.row_of(field.key)
        return place.row.key if place is not None and isinstance(place.row, FieldRow) else ""

    def place_of(self, key: str) -> pygame.Rect | None:
        """Where a field is on screen, whether in view or not; None where there is none."""
        area, place = self._area, self.row_of(key)
        if place is None:
            return None
        return pygame.Rect(area.left, area.top + place.top - self.scroll, area.width, place.height)


def _shape(rows: tuple[Placed, ...]) -> list[tuple[str, int, int]]:
    return [(place.id, place.top, place.height) for place in rows]
