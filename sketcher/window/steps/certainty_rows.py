"""How far the points can be trusted, and what to measure again: rows of the Measure step."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.sure.certainty import Certainty
from scenes.keys import has
from scenes.part_keys import path_of
from sketcher.answers.shown import Shown
from sketcher.answers.worker import WORKING
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import point_of
from sketcher.window.model.fields import field_of
from sketcher.window.steps.rows import Buttons, FieldRow, Note, Row, RowHeading, one
from sketcher.window.steps.trial_step import Tried, answer
from sketcher.words import certainty as words
from sketcher.words.plain import sentence
from sketcher.words.units import in_unit

MOST_AGAIN = 3


def doubt_rows(editor: Editor, shown: Shown) -> Iterator[Row]:
    """The tape's errors, what they leave of the answer, and what to measure again."""
    yield RowHeading("How sure")
    yield one("tape, ±", field_of("tape.limit"))
    tape = editor.scene.tape
    for number, error in enumerate(() if tape is None else tape.errors):
        thing = words.thing_words(error.thing)
        field = field_of(f"tape.error[{number}].size", label=f"error of {thing}")
        # In the few letters that a label has room for.
        short = thing.rpartition(", ")[2].rpartition(" at ")[2]
        yield FieldRow(short, (field,), error.thing)
    yield Buttons(("own_error",))
    sure = None if shown.solved is None else shown.solved.certainty
    if sure is None:
        problem = "" if shown.solved is None else shown.solved.uncertain
        meanwhile = WORKING if editor.answers.weighing else ""
        yield Note(in_unit(problem, editor.unit) or meanwhile, "past" if problem else None, lines=3)
        return
    if sure.misread is not None:
        yield Note(f"{words.misread_words(sure.misread, editor.unit)}.", "close", lines=3)
    tried = answer(editor).found if editor.scene.making(editor.side).trial else None
    if isinstance(tried, Tried) and not tried.fit.agrees:
        yield Note(sentence(words.CONTRADICTED), "past", lines=4)
    else:
        rests_on = words.rests_on_words(tape, editor.unit)
        yield Note(f"{words.chance_words(sure, editor.unit)}; {rests_on}.", lines=5)
    yield from _again_rows(editor, sure)


def _again_rows(editor: Editor, sure: Certainty) -> Iterator[Row]:
    again = words.worth_measuring(sure)[:MOST_AGAIN]
    if not again:
        yield Note("No error of a point moves the window.", lines=1)
        return
    yield RowHeading("Measure again, the worst first; a click goes there")
    for number, share in enumerate(again, 1):
        path = path_of(share.thing, editor.side)
        key = path if has(editor.scene, path) else ""
        yield Note(f"{number}. {words.share_words(share, sure)}.", lines=2, key=key)


def doubted(editor: Editor) -> str:
    """The selected thing, where a tape error of its own makes sense for it; empty otherwise."""
    point = point_of(editor.scene, editor.selection)
    return editor.selection if point is not None and len(point) == 3 else ""
