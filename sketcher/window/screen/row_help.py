"""What a row of the form is, told once the pointer has rested on it."""

from __future__ import annotations

from collections.abc import Mapping

from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, show
from sketcher.window.screen.form_layout import WORDS, Grid, Placed
from sketcher.window.screen.form_picture import button_rects
from sketcher.window.steps.command import Command
from sketcher.window.steps.rows import Buttons, FieldRow
from sketcher.words.plain import sentence

# The pointer rests for so long before help comes.
HELP_SECONDS = 0.6


class RowHelp:
    """Help on the field or command under the pointer.

    ``quiet`` while a hand types: nothing is laid over the sketch until the pointer moves again.
    """

    def __init__(self, grid: Grid, commands: Mapping[str, Command]) -> None:
        self._grid = grid
        self._commands = commands
        self._words = ""
        self._rested = 0.0
        self.quiet = False

    @property
    def words(self) -> str:
        """What is told now; empty before the pointer has rested."""
        return self._words if self._rested >= HELP_SECONDS and not self.quiet else ""

    def pass_time(self, seconds: float, place: Placed | None, x: float, editor: Editor) -> None:
        """Let time pass over a row; ``x`` is where the pointer is in the form, device px."""
        words = "" if place is None else self._about(place, x, editor)
        self._rested = self._rested + seconds if words == self._words else 0.0
        self._words = words

    def _about(self, place: Placed, x: float, editor: Editor) -> str:
        if isinstance(place.row, Buttons):
            buttons = zip(place.row.commands, button_rects(place.row, self._grid), strict=True)
            under = (name for name, rect in buttons if rect.left <= x < rect.right)
            return next((self._commands[name].help for name in under), "")
        if not isinstance(place.row, FieldRow):
            return ""
        cells, _ = self._grid.cells(place.row, editor.unit)
        along = x / self._grid.scale
        fields = (one.field for one in cells if one.left <= along < one.left + one.width)
        return _field_words(next(fields, place.row.fields[0]), editor)


def _field_words(field: Field, editor: Editor) -> str:
    text = show(field, editor.scene, editor.unit)
    # Words may be longer than their box.
    value = f" {text}." if field.kind in WORDS and text else ""
    return f"{sentence(field.label)}{value} {field.help}".strip()
