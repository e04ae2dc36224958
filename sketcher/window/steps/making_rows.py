"""Rows of the step Making about what is there to make it with: pairs of donors, and the lathe."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS
from kinematics.making.lathe import Lathe
from kinematics.making.ranking import DonorPair
from scenes.model import Scene, Side
from sketcher.answers.donor_pairs import ranked
from sketcher.answers.making import on_the_lathe
from sketcher.answers.shown import Shown
from sketcher.answers.states import State
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import field_of
from sketcher.window.steps.rows import Buttons, Note, Row, RowHeading, one
from sketcher.words.donor_pairs import cost_lines, pair_words, verdict_words
from sketcher.words.lathe import lathe_further, lathe_line
from sketcher.words.lengths import Lengths

PAIRS = "donor pairs"
_LATHE = ("between centres", "swing", "swing over carriage", "spindle bore")


def pair_rows(editor: Editor, shown: Shown, say: Lengths) -> Iterator[Row]:
    """Every pair of the donors that are listed, the best first; nothing for one of each end."""
    making, solved = editor.scene.making(editor.side), shown.solved
    if solved is None or max(len(making.donors(end)) for end in ENDS) < 2:
        return
    scene, side, found = editor.scene, editor.side, solved.found
    on = (making, scene.drive, scene.shaft(side), found.length_mm, found.window)
    pairs = editor.worker.ask(PAIRS, on, partial(ranked, scene, side, found)).found
    if not isinstance(pairs, tuple):
        return
    yield RowHeading("Pairs of donors, the best first")
    for number, pair in enumerate(pairs, 1):
        used = (pair.hub, pair.gearbox) == (making.hub_donor, making.gearbox_donor)
        head = f"{number}{', in use' if used else ''}: {pair_words(pair)}: {verdict_words(pair)}."
        yield Note(head, _state(pair), lines=3)
        yield from (
            Note(f"{line[0].upper()}{line[1:]}.", lines=3) for line in cost_lines(pair, say)
        )


def _state(pair: DonorPair) -> State:
    if pair.holds:
        return "good"
    return "close" if pair.possible else "past"


def lathe_summary(scene: Scene, side: Side, plan: CutPlan | None) -> str:
    """Whether the lathe takes both donors, in a few words."""
    if scene.lathe in (None, Lathe()):
        return "not told yet"
    if plan is None:
        return ""
    small = [work.end for work in on_the_lathe(scene, side, plan) if not work.fits]
    return f"too small for the {' and the '.join(small)} donor" if small else "takes both"


def lathe_rows(editor: Editor, plan: CutPlan | None, say: Lengths) -> Iterator[Row]:
    """What the lathe takes, and what each donor asks of it."""
    yield Buttons(("turn_lathe",))
    if editor.scene.lathe is not None:
        for name in _LATHE:
            yield one(name, field_of(f"lathe.{name.replace(' ', '_')}", "lathe"))
    if plan is None:
        return
    for work in on_the_lathe(editor.scene, editor.side, plan):
        yield Note(f"{work.end.capitalize()} donor: {lathe_line(work, say)}.", lines=4)
        state: State | None = None if work.fits else "close"
        for line in lathe_further(work, editor.scene.lathe, say):
            yield Note(f"{line[0].upper()}{line[1:]}.", state, lines=3)


def beyond_lathe_notes(editor: Editor, plan: CutPlan | None, say: Lengths) -> Iterator[Row]:
    """What the lathe does not take, before anything is cut for it."""
    if plan is None or editor.scene.lathe is None:
        return
    for work in on_the_lathe(editor.scene, editor.side, plan):
        if not work.fits:
            lines = "; ".join(lathe_further(work, editor.scene.lathe, say))
            yield Note(f"{work.end.capitalize()} donor: {lines}.", "close", lines=5)
