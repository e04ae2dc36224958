"""Editing: the document, one step after the other, and what is said of each.

The editor adds what is looked at: the position of the wheel, the views, the answers.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from typing import Literal

from kinematics.sure.settling import Settled
from scenes.guessed import set_by_hand, without_guesses
from scenes.key_table import key_of
from scenes.keys import EditRefused, NoSuchThing, has, value_of
from scenes.model import Scene, Side
from sketcher.window.model import edits, reading_edits
from sketcher.window.model.certainty_edits import add_measurement
from sketcher.window.model.document import Document
from sketcher.window.model.fields import Field, parse, show
from sketcher.window.model.pointing import Pointing
from sketcher.window.model.typed_edits import Edit, tried_out, typed_edit
from sketcher.words.units import Unit, in_unit

MessageKind = Literal["note", "refusal"]


@dataclass(frozen=True, slots=True)
class Message:
    """One line to the user: what was done, or what is wrong."""

    text: str
    kind: MessageKind = "note"


class Editing:
    """A document under a hand that types, drags and undoes."""

    def __init__(self, document: Document, unit: Unit) -> None:
        self.document = document
        self.unit: Unit = unit
        self.side: Side = "left"
        self.message: Message | None = None
        self.pointing: Pointing | None = None
        self.tried_settled: Settled | None = None
        # Readings and marks that were refused while the list went on, by their keys.
        self.put_aside: dict[str, Field] = {}
        self._typed_places: dict[str, float] = {}

    @property
    def scene(self) -> Scene:
        """The scene as it is shown."""
        return self.document.scene

    @property
    def selection(self) -> str:
        """The key of what is selected."""
        return self.document.selection

    def select(self, key: str) -> None:
        """Select a thing of the scene."""
        self.document.select(key if has(self.scene, key) else edits.bracket_key(key))

    def do(
        self, label: str, edit: Callable[[Scene], Scene], measured: Collection[str] | None = None
    ) -> bool:
        """One edit as one step; a refused one changes nothing and is explained.

        With ``measured``, keys that a person typed or pushed, these and what the edit changes
        are guesses no longer.
        """

        def whole(scene: Scene) -> Scene:
            new = edit(scene)
            if measured is not None:
                new = set_by_hand(scene, new)
            return without_guesses(new, measured or ())

        before = self.document.standing
        try:
            self.document.apply(label, whole)
        except (EditRefused, NoSuchThing) as error:
            self.refuse(in_unit(_as_said(str(error)), self.unit))
            return False
        self.tell_drawn_off(before)
        self._stay_on_side()
        return True

    def tell_drawn_off(self, before: Scene) -> None:
        """Say what an edit has drawn off its readings, or what a reading took far away."""
        line = reading_edits.drawn_off(before, self.scene, self.unit)
        line = line or reading_edits.moved_far(before, self.scene, self.unit)
        self.message = Message(line) if line else None

    def preview(self, edit: Callable[[Scene], Scene]) -> None:
        """Show an edit of the drag that is under way; a refused one keeps the last good."""
        try:
            self.document.preview(lambda scene: set_by_hand(scene, edit(scene)))
        except (EditRefused, NoSuchThing) as error:
            self.refuse(in_unit(str(error), self.unit))
        else:
            self.message = None

    def refuse(self, line: str) -> None:
        """Say what is wrong."""
        self.message = Message(line, "refusal")

    def say(self, line: str) -> None:
        """Say what was done."""
        self.message = Message(line)

    def undo(self) -> None:
        """Take back the last step."""
        label = self.document.undo()
        self.say(f"Undone: {label}." if label else "Nothing to undo.")
        self._stay_on_side()

    def redo(self) -> None:
        """Do the last undone step again."""
        label = self.document.redo()
        self.say(f"Done again: {label}." if label else "Nothing to do again.")
        self._stay_on_side()

    def type(self, field: Field, text: str) -> bool:
        """Set a field to what was typed into it."""
        self.drop_tried()
        there = has(self.scene, field.key) or field.kind == "reading_line"
        if there and text.strip() == show(field, self.scene, self.unit):
            # A field shows fewer digits than the scene may have: what stands there is meant.
            if field.kind == "length":
                self._remember_typed(field.key, value_of(self.scene, field.key))
            return self.do(field.label, lambda scene: scene, (field.key,))
        try:
            value = parse(field, text, self.unit)
            edit = typed_edit(field, text.strip(), self.unit, self._typed_places)
        except ValueError as error:
            self.refuse(f"{field.label}: {error}")
            return False
        if field.kind == "measurement" and isinstance(value, tuple):
            side = self.side
            return self.do(field.label, lambda scene: add_measurement(scene, side, *value))
        if field.kind in ("reading", "read", "mark", "reading_line"):
            return self._type_reading(field, text.strip(), edit)
        if field.key.startswith("reading["):
            # What readings fix is measured by them, and not what moves along.
            return self.do(field.label, edit)
        taken = self.do(field.label, edit, (field.key,))
        if taken:
            self._remember_typed(field.key, value)
        return taken

    def type_corners(self, typed: Collection[tuple[Field, str]]) -> bool:
        """Set several corners of an outline at once: one by one, its edges might cross."""
        values = {field.key: parse(field, text, self.unit) for field, text in typed}
        return self.do("corners", lambda scene: edits.set_corners(scene, values), tuple(values))

    def try_out(self, field: Field, text: str) -> None:
        """Show the scene with what is being typed; half a number leaves what is shown."""
        scene = self.document.standing
        found = tried_out(scene, field, text.strip(), self.unit, self._typed_places)
        if found is not None:
            tried, self.tried_settled = found
            self.document.try_out(tried)

    def drop_tried(self) -> None:
        """Show the scene as it stands, without what was tried out."""
        self.document.try_out(None)
        self.tried_settled = None

    def _remember_typed(self, key: str, value: object) -> None:
        """Remember a point's coordinate as it was typed."""
        if isinstance(value, float | int) and key[:-3] in self.scene.points:
            self._typed_places[key] = float(value)

    def _type_reading(self, field: Field, text: str, edit: Edit) -> bool:
        """Take a reading, or a mark, that was typed from paper; nothing typed is none."""
        if not text:
            return True
        other = field.kind == "reading_line"
        before = len(self.scene.readings)
        taken = self.do("mark" if field.kind == "mark" else "reading", edit)
        more = len(self.scene.readings) - before - (not other)
        if taken and more > 0 and self.message is None:
            self.say(f"What was typed of its points counts as read, too: {more} readings more.")
        if taken and self.pointing is not None:
            self.pointing = None if other else replace(self.pointing, points=())
        return taken

    def remove_selected(self) -> None:
        """Remove the selected bracket or corner."""
        key = self.selection
        base = edits.bracket_key(key)
        place = reading_edits.place_of(key) if "[" in key else 0
        if key.startswith("reading["):
            self.do("remove reading", lambda scene: reading_edits.remove_reading(scene, place))
        elif key.startswith("mark["):
            self.do("remove mark", lambda scene: reading_edits.remove_mark(scene, place))
        elif not base:
            self.say("Select a bracket or one of its corners to remove it.")
        elif ".outline[" in key:
            corner = edits.last_place(key)
            self.do("remove corner", lambda scene: edits.remove_corner(scene, key, corner))
        else:
            self.do("remove bracket", lambda scene: edits.remove_bracket(scene, base))

    def turn_to(self, side: Side) -> None:
        """Look at another side; one without a shaft is given the other side's as a start."""
        other: Side = "right" if side == "left" else "left"
        if self.scene.shaft(side) is None:
            if not self.do(f"{side} shaft", lambda scene: edits.copy_side(scene, other, side)):
                return
            self.say(f"The {side} side had no shaft; it starts as a copy of the {other} one.")
        self.side = side
        self.select(self.selection.replace(f"shafts.{other}", f"shafts.{side}"))

    def _stay_on_side(self) -> None:
        if self.scene.shaft(self.side) is None and self.scene.sides:
            self.side = self.scene.sides[0]


def _as_said(refusal: str) -> str:
    """A refusal that begins with a key of the file, with what a person calls it."""
    key, colon, reason = refusal.partition(": ")
    known = key_of(key) if colon else None
    return refusal if known is None else f"{known.name}: {reason}"
