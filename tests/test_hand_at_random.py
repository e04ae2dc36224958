"""A hand at random: presses commands, types, drags and selects, and what comes of it, held as sums.

Pinned from our own output: it proves nothing right, and shows at once that a change changes
something.  ``list(of_hand(name, number))`` tells what was done, step by step.  ``python -m
tests.test_hand_at_random`` writes ``tests/pinned/hand-at-random`` anew.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest

from scenes.keys import has
from sketcher.drawing.areas import Area
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Text
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, show
from sketcher.window.model.form import Form
from sketcher.window.model.gestures import begin_drag
from sketcher.window.steps import rows as kinds
from sketcher.window.steps.command import by_window
from sketcher.window.steps.commands import COMMANDS
from sketcher.window.steps.work_order import WORK_ORDER
from tests.drawn import laid
from tests.pinning import held, now_and_before, same, write_anew
from tests.test_by_hand import (
    SCENES,
    TAKEN,
    TYPED,
    VIEWS,
    changes,
    dragged,
    editor_of,
    fields_of,
)

PRESSED = tuple(one for one in COMMANDS.values() if one.run is not by_window)
STEPS = 40


class Hand:
    """What a hand may do to a scene, each time by chance."""

    def __init__(self, editor: Editor, chance: random.Random) -> None:
        self.editor, self.chance, self.form = editor, chance, Form()
        self.fields = [field for _, field in fields_of(editor).values()]

    def press(self) -> str:
        command = self.chance.choice(PRESSED)
        told = f"{command.label(self.editor)} {command.on and command.on(self.editor)}"
        command.run(self.editor)
        return f"{command.name} {told}"

    def type(self) -> str:
        field = self.chance.choice(self.fields)
        text = self.chance.choice((*TYPED, *TAKEN.get(field.kind, ()), *field.choices[:3]))
        if not (field.key.endswith(".new") or has(self.editor.scene, field.key)):
            return f"{field.key} is gone"
        return f"{field.key} {text!r} {self._typed(field, text)}"

    def _typed(self, field: Field, text: str) -> list[str]:
        form, editor = self.form, self.editor
        form.write(field, text)
        form.take(field, editor)
        said = [f"{one.kind} {one.text} {one.instead}" for one in form.said.values()]
        form.settle(editor)
        if self.chance.random() < 0.3:
            form.forget()
        return said

    def drag(self) -> str:
        key, view = self.chance.choice([*dragged(self.editor.scene)]), self.chance.choice(VIEWS)
        x, y = self.chance.uniform(100.0, 700.0), self.chance.uniform(100.0, 500.0)
        drag = begin_drag(self.editor, view, key, (x, y))
        if drag is not None:
            for _ in range(self.chance.randint(1, 2)):
                drag.move((x + self.chance.uniform(-40, 40), y + self.chance.uniform(-40, 40)))
            if self.chance.random() < 0.2:
                drag.cancel()
            else:
                drag.drop()
        return f"{key} {view}"

    def select(self) -> str:
        brackets = (f"bracket[{n}]" for n in range(len(self.editor.scene.brackets)))
        key = self.chance.choice([*dragged(self.editor.scene), *brackets, "reading[0]", ""])
        self.editor.select(key)
        return key

    def move(self) -> str:
        self.editor.set_travel(self.chance.uniform(-60.0, 50.0))
        self.editor.set_steer(self.chance.choice((0.0, 12.0, -9.0)))
        return ""


def of_rows(editor: Editor) -> Iterator[str]:
    """All of the work order, as it stands before anything was worked out."""
    shown = editor.shown()
    for step in WORK_ORDER:
        yield f"{step.name} {step.summary(editor, shown)}"
        for row in step.rows(editor, shown):
            if isinstance(row, kinds.FieldRow):
                yield f"{row.label} {row.key} {row.first} {row.help}"
                for one in row.fields:
                    yield f"{one.key} {one.label} {one.help} {show(one, editor.scene, editor.unit)}"
            elif isinstance(row, kinds.Drawing):
                picture = [*row.draw(Pane(Area(0, 0, 300, int(row.height)), 1.0))]
                yield from (*laid(picture), *(one.text for one in picture if isinstance(one, Text)))
            elif isinstance(row, kinds.Spot):
                # Where it is worst is flat about its place.
                yield f"{row.text} {row.state} {row.key}"
            else:
                yield repr(row)


def of_hand(name: str, number: int) -> Iterator[str]:
    chance = random.Random(f"{name}/{number}")
    editor = editor_of(name)
    hand = Hand(editor, chance)
    often = (hand.press, hand.type, hand.drag)
    acts = (*often, *often, hand.select, hand.move)
    for _ in range(STEPS):
        before = editor.scene
        done = chance.choice(acts)()
        said = "" if editor.message is None else f"{editor.message.kind} {editor.message.text}"
        editor.message = None
        yield f"{done} | {editor.selection} {editor.document.undo_label} | {said}"
        yield f"{editor.unit} {editor.travel_mm:.6g} {editor.steer_deg:.6g}"
        yield from changes(before, editor.scene)
    yield from of_rows(editor)
    editor.close()


@pytest.mark.parametrize("name", SCENES)
def test_what_comes_of_a_hand_at_random_is_as_it_was(name: str) -> None:
    lines = (f"{number} {held(of_hand(name, number))}" for number in range(4))
    said, was = now_and_before(f"hand-at-random/{name}", lines)
    for line, before in zip(said, was, strict=True):
        assert line == before or same(line, before), line


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
