"""A field of the form: the library's text entry, with the hand's own ways."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pygame
from pygame_gui.core import ObjectID, UIElement
from pygame_gui.core.interfaces import IContainerLikeInterface
from pygame_gui.elements import UITextEntryLine
from pygame_gui.ui_manager import UIManager

# The keys that the form itself answers: they are no typing.
OF_THE_FORM = (
    pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_TAB, pygame.K_UP, pygame.K_DOWN,
    pygame.K_ESCAPE,
)  # fmt: skip


class Entry(UITextEntryLine):
    """One line of text; a click selects all of it, and every change is told at once.

    ``touched`` is called with the text whenever a hand has typed, even where the text is as
    it was.
    """

    def __init__(
        self,
        rect: pygame.Rect,
        manager: UIManager,
        container: IContainerLikeInterface,
        text: str,
        touched: Callable[[str], None],
    ) -> None:
        super().__init__(
            rect, manager, container, initial_text=text, object_id=ObjectID(None, "@field")
        )
        self._touched = touched
        self._edited = False

    def put(self, text: str) -> None:
        """Put in another text, all of it selected where it has the keyboard."""
        self.set_text(text)
        self._edited = False
        if self.is_focused:
            self.select_all()

    def select_all(self) -> None:
        """Select the whole value: what is typed next takes its place."""
        self.select_range = [0, len(self.text)]
        self.edit_position = len(self.text)
        self.cursor_has_moved_recently = True

    @property
    def caret(self) -> tuple[int, tuple[int, int]]:
        """Where the caret stands, and what is selected."""
        return (self.edit_position, (self.select_range[0], self.select_range[1]))

    def set_caret(self, caret: tuple[int, tuple[int, int]]) -> None:
        """Put the caret and the selection where they were."""
        self._edited = True
        self.edit_position, selected = caret
        self.select_range = list(selected)
        self.cursor_has_moved_recently = True

    def focus(self) -> None:
        """Take the keyboard, with the whole value selected."""
        super().focus()  # type: ignore[no-untyped-call]
        self._edited = False
        self.select_all()

    def unfocus(self) -> None:
        """Give the keyboard away; no caret stays behind."""
        super().unfocus()  # type: ignore[no-untyped-call]
        self.cursor_has_moved_recently = False
        self._caret(on=False)

    def update(self, time_delta: float) -> None:
        """Let the caret follow; it does not blink, so that nothing is drawn for nothing."""
        UIElement.update(self, time_delta)
        if not self.alive():  # type: ignore[no-untyped-call]
            return
        self.double_click_timer += time_delta
        if self.hovered:
            self.ui_manager.set_text_hovered(True)
        if self.selection_in_progress:
            pointer = self.ui_manager.get_mouse_position()
            self._select_text_to_mouse_pos(pointer)  # type: ignore[no-untyped-call]
        if self.cursor_has_moved_recently:
            self.cursor_has_moved_recently = False
            self._caret(on=self.is_focused)

    def _caret(self, *, on: bool) -> None:
        shape = self.drawable_shape
        if shape is None or shape.text_box_layout is None:
            return
        row: Any = shape.text_box_layout
        row.set_cursor_position(self.edit_position)
        if on:
            row.turn_on_cursor()
        else:
            row.turn_off_cursor()
        shape.finalise_text_onto_active_state()  # type: ignore[no-untyped-call]
        shape.active_state.has_fresh_surface = True

    def _calculate_double_click_word_selection(self) -> bool:
        """A double click selects the whole value, and not the part of it before a comma."""
        self.select_all()
        self.selection_in_progress = False
        return True

    def process_event(self, event: pygame.event.Event) -> bool:
        """Let typing change the text; whether the event was for this field."""
        if event.type == pygame.KEYDOWN and event.key in OF_THE_FORM:
            return False
        if event.type == pygame.MOUSEBUTTONDOWN and not self._edited:
            return self._clicked(event)
        before = self.text
        used: bool = super().process_event(event)
        typed = used and event.type == pygame.TEXTINPUT and self.is_focused
        if typed or self.text != before:
            self._edited = True
            self._touched(self.text)
        return used

    def _clicked(self, event: pygame.event.Event) -> bool:
        """A click on a value that nobody has begun to change selects all of it."""
        at = self.ui_manager.calculate_scaled_mouse_position(event.pos)
        if event.button != pygame.BUTTON_LEFT or not self.hover_point(at[0], at[1]):
            return False
        if self.is_enabled and self.is_focused:
            self.select_all()
        return True
