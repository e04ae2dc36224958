"""The trial fit as a step of the work order: measurements in, agreement and fitted points out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from operator import attrgetter

from kinematics.sure.certainty import Certainty
from kinematics.sure.trial_fit import TrialFit
from scenes.model import Scene, Side
from sketcher.answers.fitted import fitted_scene, trial_in_scene
from sketcher.answers.memo import Answer
from sketcher.answers.shown import Shown
from sketcher.answers.states import State
from sketcher.answers.sure import certainty_in_scene
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, field_of
from sketcher.window.steps.rows import Buttons, FieldRow, Note, Row, RowHeading, WorkStep
from sketcher.words import certainty as words
from sketcher.words.units import in_unit

TRIAL = "trial fit"


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """A trial fit, and how sure the length is with the points that it found."""

    fit: TrialFit
    after: Certainty


def tried(scene: Scene, side: Side, margin_mm: float) -> Tried:
    """The trial fit of one side.

    Raises KinematicsError where there is too little to fit, or nothing that can be.
    """
    fit = trial_in_scene(scene, side)
    after = certainty_in_scene(scene, side, margin_mm, fit=fit)
    return Tried(fit, after)


_of_scene = attrgetter("linkage", "hub", "travel", "steering", "gearbox_movement", "tape")


def hangs_on(scene: Scene, side: Side) -> object:
    """What the trial fit of a side hangs on."""
    making = scene.making(side)
    return (side, _of_scene(scene), scene.shaft(side), making.trial, making.doubtful)


def answer(editor: Editor) -> Answer:
    """The trial fit of the side shown, as far as it is worked out."""
    scene, side = editor.scene, editor.side
    work = partial(tried, scene, side, editor.answers.margin_mm)
    return editor.worker.ask(TRIAL, hangs_on(scene, side), work)


def use_fitted(editor: Editor) -> None:
    """Take over the fitted points, as one step."""
    side = editor.side
    found = editor.worker.last(TRIAL, hangs_on(editor.scene, side))
    if not isinstance(found, Tried):
        editor.say("Open Trial fit first: there are no fitted points yet.")
        return
    if not found.fit.agrees:
        editor.say("The car contradicts the points: measure again.")
        return
    if editor.do("fitted points", lambda scene: fitted_scene(scene, side, found.fit)):
        editor.say("Fitted points are used. Save as another file, and keep both.")


def _summary(editor: Editor, shown: Shown) -> str:  # noqa: ARG001
    scene, side = editor.scene, editor.side
    count = len(scene.making(side).trial)
    if not count:
        return "nothing measured yet"
    found = editor.worker.last(TRIAL, hangs_on(scene, side))
    if isinstance(found, Tried):
        return f"{count} measured, {'agrees' if found.fit.agrees else 'does not agree'}"
    return f"{count} measured"


def _rows(editor: Editor, shown: Shown) -> Iterator[Row]:  # noqa: ARG001
    yield Note(
        "Spring out, car on stands, wheel held at three heights or more. A compressed spring can "
        "kill: use a spring compressor.",
        lines=3,
    )
    trial = editor.scene.making(editor.side).trial
    path = f"shafts.{editor.side}.trial"
    if trial:
        yield RowHeading("On the car\ttravel\tvalue\t±")
    for number, one in enumerate(trial):
        kind = "length" if one.quantity == "centre_distance" else "plunge"
        key, of = f"{path}[{number}]", f"{kind} {number + 1}"
        fields = tuple(field_of(f"{key}.{name}", of) for name in ("travel", "value", "error"))
        yield FieldRow(f"{number + 1}. {kind}", fields, key)
    about = "Travel and what was measured there, such as −60; 398.5 or 30; plunge −4."
    more = Field(f"{path}[{len(trial)}]", "measurement", "measurement", about)
    yield FieldRow("add", (more,))
    if not trial:
        yield Note(
            "Type travel; swept length with a rod that slides, such as −60; 398.5, or the "
            "plunge from its witness marks: 30; plunge −4.",
            lines=3,
        )
        return
    yield Buttons(("trial_quantity", "remove_measurement"))
    yield FieldRow("may be moved", (field_of(f"shafts.{editor.side}.doubtful"),))
    yield from _answer_rows(editor, answer(editor))


def _answer_rows(editor: Editor, found: Answer) -> Iterator[Row]:
    unit = editor.unit
    if not isinstance(found.found, Tried):
        state: State | None = "past" if found.problem else None
        yield Note(in_unit(found.problem, unit) or found.words, state, lines=3)
        return
    fit, after = found.found.fit, found.found.after
    yield Note(words.agreement(fit, unit), None if fit.agrees else "past", lines=4)
    yield RowHeading("Measured less predicted")
    for number, one in enumerate(fit.residuals, 1):
        yield Note(f"{number}. {words.residual_words(one, unit)}", lines=1)
    moved = list(words.changes(fit))
    if not moved:
        yield Note("Every point stays where it was taken.", lines=1)
        return
    yield RowHeading("Fitted points")
    for thing, coordinates in moved:
        yield Note(f"{thing}: {words.change_words(coordinates, unit)}", lines=2)
    if fit.agrees:
        yield Note(f"If these are the true ones: {words.chance_words(after, unit)}.", lines=3)
        yield Buttons(("use_fitted",))
    else:
        yield Note("Not to be used: the car contradicts the points. Measure again.", "past")


TRIAL_STEP = WorkStep("Trial fit", _summary, _rows)
