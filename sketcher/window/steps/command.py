"""What a command is, and what it may ask of the window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Literal, Protocol

from scenes.model import Scene
from sketcher.window.model.editor import Editor
from sketcher.window.model.pointing import PointingFor

Export = Literal["table", "picture", "sheet", "reading sheet", "blank sheet"]


class Bench(Protocol):
    """What a command may ask of the window."""

    editor: Editor

    def fit(self) -> None:
        """Show everything in both views."""

    def new(self) -> None:
        """Start from a sensible layout."""

    def open(self) -> None:
        """Ask for a file and open it."""

    def save(self) -> None:
        """Save, asking for a file where there is none yet."""

    def save_as(self) -> None:
        """Ask for a file and save to it."""

    def examples(self) -> None:
        """Offer the examples."""

    def export(self, what: Export) -> None:
        """Ask for a file and write the table, the picture or a sheet."""

    def export_template(self) -> None:
        """Ask for a file and write the selected bracket's template."""

    def take_in_outline(self) -> None:
        """Ask for a drawing and take an outline in as a bracket."""

    def show_keys(self) -> None:
        """Show all keys."""

    def show_measure_list(self) -> None:
        """Show which points to take on the car."""

    def take_in_photo(self) -> None:
        """Ask for a photo and lay it under the front view."""

    def point_out(self, what: PointingFor) -> None:
        """Begin to point out a reading, a mark or a pin in the sketch, or put that away."""

    def give_up(self) -> None:
        """Give back what was: of a drag, a field, a dialog, a message."""

    def larger(self, quarters: int) -> None:
        """Change the UI scale by quarters."""

    def quit(self) -> None:
        """End, asking about unsaved changes."""


@dataclass(frozen=True, slots=True)
class Command:
    """Something to do; ``keys`` are chords such as ``ctrl+s``.

    One that switches a state tells with ``on`` whether it is on: a box to check.
    """

    name: str
    words: str
    help: str
    run: Callable[[Bench], None]
    keys: tuple[str, ...] = ()
    label_of: Callable[[Editor], str] | None = None
    on: Callable[[Editor], bool] | None = None

    def label(self, editor: Editor) -> str:
        """What its button says now."""
        return self.words if self.label_of is None else self.label_of(editor)


def on_side(label: str, edit: Callable[..., Scene]) -> Callable[[Bench], None]:
    """What a command does that is an edit of the side shown, as one step."""

    def run(bench: Bench) -> None:
        bench.editor.do(label, partial(edit, side=bench.editor.side))

    return run


def on_editor(act: Callable[[Editor], None]) -> Callable[[Bench], None]:
    """What a command does that needs nothing but the editor."""
    return lambda bench: act(bench.editor)
