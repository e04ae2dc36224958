"""How the form looks now: what is open, in hand, lit, on, guessed, and said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from scenes.guessed import guessed_values
from sketcher.answers.shown import Shown
from sketcher.drawing.style import style
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import show
from sketcher.window.model.form import Form
from sketcher.window.screen.form_layout import Placed
from sketcher.window.screen.form_picture import Look
from sketcher.window.steps.command import Command
from sketcher.window.steps.rows import Buttons, FieldRow, WorkStep
from sketcher.window.steps.work_order import WORK_ORDER, step_of


def look_of(
    rows: Sequence[Placed],
    form: Form,
    editor: Editor,
    shown: Shown,
    commands: Mapping[str, Command],
    pointed: str,
) -> Look:
    """What decides how the rows are painted; ``pointed`` is the row under the pointer."""
    return Look(
        unit=editor.unit,
        style=style(editor.theme),
        open_steps=frozenset(editor.open_steps),
        summaries={step.name: _summary(step, form, editor, shown) for step in WORK_ORDER},
        guessed=frozenset(guessed_values(editor.scene)),
        said=dict(form.said),
        in_hand=form.in_hand.key if form.in_hand is not None else "",
        lit=frozenset({editor.selection, editor.hover, editor.lit} - {""}),
        on=frozenset(name for place in rows for name in _on(place, editor, commands)),
        pointed=pointed,
    )


def _summary(step: WorkStep, form: Form, editor: Editor, shown: Shown) -> str:
    """A step's line; what stands in its fields untaken comes first, then what is asked."""
    waiting = sorted(form.said.values(), key=lambda one: one.kind != "refused")
    for said in waiting:
        if step_of(said.field.key) == step.name:
            what = "not taken:" if said.kind == "refused" else "is it meant?"
            return f"{what} {said.field.label}"
    return step.summary(editor, shown)


def _on(place: Placed, editor: Editor, commands: Mapping[str, Command]) -> Iterator[str]:
    """Commands of a row that have a state, as ``has:NAME``, and what of it is on."""
    if isinstance(place.row, Buttons):
        for name in place.row.commands:
            state = commands[name].on
            if state is not None:
                yield f"has:{name}"
                if state(editor):
                    yield name
    elif isinstance(place.row, FieldRow):
        for field in place.row.fields:
            if field.kind == "yes_no" and show(field, editor.scene, editor.unit) == "yes":
                yield field.key
