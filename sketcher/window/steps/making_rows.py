"""Rows of the step Making: donors and their pairs, splice and sleeve, and the lathe."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS, Donor, End
from kinematics.making.lathe import Lathe
from kinematics.making.ranking import DonorPair
from kinematics.making.splice import Splice
from scenes.model import Scene, Side
from sketcher.answers.making_work import on_the_lathe, ranked
from sketcher.answers.shown import Shown
from sketcher.answers.states import State
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, field_of
from sketcher.window.steps.making_commands import donor_choices
from sketcher.window.steps.rows import Buttons, FieldRow, Note, Row, RowHeading, one, value_rows
from sketcher.words.donor_pairs import cost_lines, pair_words, verdict_words
from sketcher.words.lathe import lathe_further, lathe_line
from sketcher.words.lengths import Lengths
from sketcher.words.plain import sentence

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
        yield from (Note(sentence(line), lines=3) for line in cost_lines(pair, say))


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
        yield from value_rows("lathe", "lathe", *_LATHE)
    if plan is None:
        return
    for work in on_the_lathe(editor.scene, editor.side, plan):
        yield Note(f"{work.end.capitalize()} donor: {lathe_line(work, say)}.", lines=4)
        state: State | None = None if work.fits else "close"
        for line in lathe_further(work, editor.scene.lathe, say):
            yield Note(sentence(line), state, lines=3)


def beyond_lathe_notes(editor: Editor, plan: CutPlan | None, say: Lengths) -> Iterator[Row]:
    """What the lathe does not take, before anything is cut for it."""
    if plan is None or editor.scene.lathe is None:
        return
    for work in on_the_lathe(editor.scene, editor.side, plan):
        if not work.fits:
            lines = "; ".join(lathe_further(work, editor.scene.lathe, say))
            yield Note(f"{work.end.capitalize()} donor: {lines}.", "close", lines=5)


def donors_rows(editor: Editor) -> Iterator[Row]:
    """Which donors are cut, where several are listed, and what is known of them."""
    making, side = editor.scene.making(editor.side), editor.side
    for end, donor in zip(ENDS, (making.hub_donor, making.gearbox_donor), strict=True):
        if donor is not None:
            choices = donor_choices(end, len(making.donors(end)))
            if choices:
                yield RowHeading(f"Which {end} donor is cut")
                yield from (Buttons((name,)) for name in choices)
            yield from _donor_rows(f"shafts.{side}.donors.{end}", end, donor)


def _donor_rows(key: str, end: End, donor: Donor) -> Iterator[Row]:
    yield RowHeading(f"{end.capitalize()} donor, from its joint's centre")
    yield from value_rows(key, end, "usable to", "cut twice", "joint comes off", "steel")
    yield one("datum", field_of(f"{key}.datum.name", f"{end} donor"))
    yield one("datum at", field_of(f"{key}.datum.at", f"{end} donor"))
    yield RowHeading("Its stretches\tfrom\tto\tØ")
    for i, stretch in enumerate(donor.stretches):
        yield from _stretch_rows(f"{key}.stretch[{i}]", f"{end} donor, {stretch.name}", first=not i)
    yield Buttons((f"add_{end}_stretch", f"remove_{end}_stretch"))


def _stretch_rows(key: str, label: str, *, first: bool) -> Iterator[Row]:
    def of(*words: str) -> tuple[Field, ...]:
        return tuple(field_of(f"{key}.{word}", label) for word in words)

    yield FieldRow("stretch", of("name", "kind"), key)
    ends = of("from", "to", "diameter")
    yield FieldRow("" if first else "to, Ø", ends if first else ends[1:], key, first=not first)
    yield FieldRow("root Ø, radius", of("root", "radius"), key, first=1)


_SPLICE = (
    *("at", "root gap", "shrinkage", "diameter", "turn radius", "trim", "clear"),
    *("filler yield", "heat treated after"),
)
_SPIGOT = ("spigot length", "bore", "spigot on", "spigot clearance")
_SLEEVE = ("length", "bore", "outside diameter", "at", "split", "leg", "steel")


def splice_rows(key: str, splice: Splice) -> Iterator[Row]:
    """Where and how the bars are joined."""
    yield RowHeading("From the outer joint's centre")
    yield from value_rows(key, "splice", *_SPLICE)
    yield Buttons(("turn_butt", "turn_spigot") if splice.butt else ("turn_butt",))
    if splice.butt is not None:
        yield from value_rows(f"{key}.butt", "butt", "bevel angle", "bevel depth")
        if splice.spigot_mm > 0.0:
            yield from value_rows(f"{key}.butt", "butt", *_SPIGOT)
    yield Buttons(("turn_sleeve",))
    if splice.sleeve is not None:
        yield from value_rows(f"{key}.sleeve", "sleeve", *_SLEEVE)
