"""What a command is: its words, its keys, and what it does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from scenes.model import Scene
from sketcher.window.model.editor import Editor

Act = Callable[[Editor], object]


def by_window(editor: Editor) -> None:
    """What the editor does for a command that the window itself runs, by its name: nothing."""


@dataclass(frozen=True, slots=True)
class Command:
    """Something to do; ``keys`` are chords such as ``ctrl+s``.

    One that switches a state tells with ``on`` whether it is on: a box to check.
    """

    name: str
    words: str
    help: str
    run: Act
    keys: tuple[str, ...] = ()
    label_of: Callable[[Editor], str] | None = None
    on: Callable[[Editor], bool] | None = None

    def label(self, editor: Editor) -> str:
        """What its button says now."""
        return self.words if self.label_of is None else self.label_of(editor)


def on_side(label: str, edit: Callable[..., Scene]) -> Act:
    """What a command does that is an edit of the side shown, as one step."""
    return lambda editor: editor.do(label, partial(edit, side=editor.side))
