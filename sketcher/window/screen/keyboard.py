"""What keys do: typing in the form, drawing, and commands; each key has one meaning at a time."""

from __future__ import annotations

from typing import Protocol

import pygame

from sketcher.window.model import bracket_drawing as drawing
from sketcher.window.model.editor import Editor
from sketcher.window.model.form import Form
from sketcher.window.screen.panel import Panel
from sketcher.window.screen.position_entry import PositionEntry
from sketcher.window.steps.command import Command
from sketcher.window.steps.commands import BY_KEYS, REPEATING

# Keys that act wherever the keyboard is: they are neither letters nor punctuation.
_EVERYWHERE = (pygame.K_F1, pygame.K_PAGEUP, pygame.K_PAGEDOWN)
_ENTER = (pygame.K_RETURN, pygame.K_KP_ENTER)
_CTRL = pygame.KMOD_CTRL | pygame.KMOD_META
# With Ctrl, what a field does with its own text.
_OF_TYPING = (pygame.K_a, pygame.K_c, pygame.K_v, pygame.K_x)


class Keyed(Protocol):
    """What the keyboard may ask of the window."""

    editor: Editor
    form: Form
    panel: Panel
    entry: PositionEntry

    def run(self, name: str) -> None:
        """Run a command by its name; what is being typed is taken first."""

    def act(self, command: Command) -> None:
        """Do what a command says."""


class Keyboard:
    """The keys that are down, and what a further one does.

    Letters and punctuation are for the form from the first field on, until there is a click
    into the sketch, or Escape.
    """

    def __init__(self, window: Keyed) -> None:
        self._window = window
        self._down: set[int] = set()
        self.space = False
        self._spent = ""

    def follow(self, event: pygame.Event) -> None:
        """Take note of keys that are let go."""
        if event.type == pygame.KEYUP:
            self._down.discard(event.key)
            self.space = self.space and event.key != pygame.K_SPACE
        elif event.type == pygame.WINDOWFOCUSLOST:
            self._down.clear()
            self.space = False

    def press(self, event: pygame.Event) -> None:
        """Do what a pressed key does."""
        window, held_down = self._window, event.key in self._down
        self._down.add(event.key)
        chorded = bool(event.mod & _CTRL)
        command = BY_KEYS.get(chord(event))
        if command is not None and held_down and command.name not in REPEATING:
            command = None
        if window.entry.typing and not chorded:
            self._position_key(event)
        elif window.panel.typing and held_down and event.key in _ENTER:
            # Held for long, Enter still ends one field only.
            return
        elif window.panel.typing:
            self._form_key(event, command, chorded=chorded)
        elif event.key == pygame.K_TAB and not chorded:
            self._tab()
        elif window.form.used_last and not chorded and window.editor.open_outline is None:
            if event.key == pygame.K_ESCAPE:
                window.form.used_last = False
            elif event.key in _EVERYWHERE and command is not None:
                window.act(command)
        else:
            self._sketch_key(event, command)

    def _sketch_key(self, event: pygame.Event, command: Command | None) -> None:
        drawn = self._window.editor.open_outline
        if event.key == pygame.K_SPACE and not (drawn and drawn.typed):
            self.space = True
        if drawn is not None and self._draw_key(event):
            return
        if command is not None:
            self._window.act(command)
            # The letter of a key that put a field in hand is not the first one typed there.
            self._spent = event.unicode if self._window.panel.typing else ""

    def spends(self, event: pygame.Event) -> bool:
        """Whether a text is only that of the key that has just done something."""
        if event.type != pygame.TEXTINPUT:
            return False
        spent, self._spent = self._spent, ""
        return bool(spent) and event.text == spent

    def _tab(self) -> None:
        """From the sketch to the first number of Measure, or back to the field used last."""
        panel, editor = self._window.panel, self._window.editor
        if not (self._window.form.used_last and panel.go_back_to_form(editor)):
            panel.to_first(editor, editor.shown())

    def _form_key(self, event: pygame.Event, command: Command | None, *, chorded: bool) -> None:
        """What a key does while a field of the form has the keyboard, besides typing."""
        editor, form = self._window.editor, self._window.form
        if self._window.panel.key(event, editor, editor.shown()):
            return
        field = form.in_hand
        if chorded and event.key == pygame.K_z and field and field.key in form.typed:
            # What is half typed is the last step.
            form.give_back(field)
        elif command and event.key not in _OF_TYPING and (chorded or event.key in _EVERYWHERE):
            self._window.run(command.name)

    def _position_key(self, event: pygame.Event) -> None:
        """What a key does while travel or steer is typed."""
        if event.key == pygame.K_ESCAPE:
            self._window.entry.close()
        elif event.key == pygame.K_TAB:
            self._window.entry.to_next(self._window.editor)

    def _draw_key(self, event: pygame.Event) -> bool:
        """What a key does to what is being drawn; whether it was for that."""
        if event.key in _ENTER:
            drawing.finish(self._window.editor)
        elif event.key == pygame.K_BACKSPACE:
            drawing.take_back(self._window.editor)
        else:
            held = event.mod & _CTRL
            return not held and drawing.type_into(self._window.editor, event.unicode)
        return True


def chord(event: pygame.Event) -> str:
    """A pressed key as the commands name it: ``ctrl+shift+s``."""
    held = [name for name, of in (("ctrl", _CTRL), ("shift", pygame.KMOD_SHIFT)) if event.mod & of]
    return "+".join((*held, pygame.key.name(event.key)))
