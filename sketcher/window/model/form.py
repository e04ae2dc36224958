"""What a hand types into the work order: kept until it is taken, and what is said about it.

No widget is known here.  A field is named by its key in the scene.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from sketcher.answers.memo import Same
from sketcher.window.model.editor import Editor
from sketcher.window.model.field_texts import SHOWING
from sketcher.window.model.fields import Field, parse, show, stepped
from sketcher.window.model.sense import Question, question
from sketcher.words.units import Unit

RemarkKind = Literal["refused", "asked"]


@dataclass(frozen=True, slots=True)
class Said:
    """What stands beside a field until it is mended or answered.

    ``about`` is the text in the field that it is about, ``instead`` what may be meant.
    ``stood`` is the scene's own text, and the unit, when it was refused or asked.  A question
    that is shown in the other unit has its ``first`` form, in the unit that was typed.
    """

    field: Field
    kind: RemarkKind
    text: str
    about: str
    instead: tuple[str, ...] = ()
    stood: tuple[str, Unit] = ("", "mm")
    first: Said | None = None


class Form:
    """Texts that are not the scene's yet, and what is said beside fields."""

    def __init__(self) -> None:
        self.typed: dict[str, str] = {}
        self.said: dict[str, Said] = {}
        self.in_hand: Field | None = None
        self._followed: object = None
        # Letters are for fields, and not for the sketch, from the first field on.
        self.used_last = False

    @property
    def refused(self) -> tuple[Said, ...]:
        """What is not taken, and why."""
        return tuple(one for one in self.said.values() if one.kind == "refused")

    def text(self, field: Field, editor: Editor) -> str:
        """What stands in a field: what was typed, or the scene's own."""
        typed = self.typed.get(field.key)
        return show(field, editor.scene, editor.unit) if typed is None else typed

    def write(self, field: Field, text: str) -> None:
        """Keep what stands in a field now that a hand has typed in it."""
        self.typed[field.key] = text

    def enter(self, field: Field) -> None:
        """Put a field in hand."""
        self.in_hand = field
        self.used_last = True

    def follow(self, editor: Editor) -> bool:
        """Show the scene with what stands in the field in hand; whether that is news.

        Nothing is taken before the field is left.
        """
        shows = self._in_field(editor)
        if shows == self._followed:
            return False
        self._followed = shows
        field, text, _ = shows
        if field is None or text is None:
            editor.drop_tried()
        else:
            editor.try_out(field, text)
        return True

    def ahead(self, editor: Editor) -> bool:
        """Whether more was typed than is followed."""
        return self._in_field(editor) != self._followed

    def _in_field(self, editor: Editor) -> tuple[Field | None, str | None, Same]:
        field = self.in_hand
        text = None if field is None else self.typed.get(field.key)
        return (field, text, Same(editor.document.standing))

    def leave(self, editor: Editor) -> bool:
        """Put the field in hand down, what was typed taken; whether that could be."""
        field, self.in_hand = self.in_hand, None
        return field is None or self.take(field, editor)

    def take(self, field: Field, editor: Editor) -> bool:
        """Take what was typed into a field; what cannot be taken stays, with the reason.

        What was refused before is tried again, for one number may have waited for another.
        """
        editor.drop_tried()
        if field.key not in self.typed:
            return True
        self._take(field, editor)
        self._take_waiting(editor)
        return field.key not in self.typed

    def _take(self, field: Field, editor: Editor) -> bool:
        text = self.typed[field.key]
        self._put_aside(field, text, editor)
        before = show(field, editor.scene, editor.unit)
        if not editor.type(field, text):
            reason = editor.message.text if editor.message is not None else "cannot be taken"
            stood = (before, editor.unit)
            self.said[field.key] = Said(field, "refused", reason, text, stood=stood)
            return False
        del self.typed[field.key]
        self.said.pop(field.key, None)
        self._ask(field, editor, before)
        return True

    def _put_aside(self, field: Field, text: str, editor: Editor) -> None:
        """Give what was refused a row of its own, where a list went on in the same field.

        The same number once more is what was refused, mended.
        """
        said = self.said.get(field.key)
        if said is None or said.kind != "refused" or not field.key.endswith(".new"):
            return
        if not text.strip() or _last_number(text) == _last_number(said.about):
            return
        count = 1
        while f"{field.key}, not taken {count}" in self.typed:
            count += 1
        own = replace(field, key=f"{field.key}, not taken {count}")
        editor.put_aside[own.key] = own
        self.typed[own.key] = said.about
        self.said[own.key] = replace(said, field=own)

    def _take_waiting(self, editor: Editor) -> None:
        """Take what was refused and fits by now, alone or all corners of an outline at once."""
        message = editor.message
        while any(self._take(one.field, editor) for one in self._waiting(editor)):
            pass
        corners = [one for one in self._waiting(editor) if ".outline[" in one.field.key]
        texts = [(one.field, one.about) for one in corners]
        if len(corners) > 1 and editor.type_corners(texts):
            for field, _ in texts:
                del self.typed[field.key], self.said[field.key]
            message = None
        editor.message = message

    def _waiting(self, editor: Editor) -> list[Said]:
        """What was refused, and could be read by itself.

        A number is not one of another unit, or of what has come to stand in its thing's place.
        """
        return [
            one
            for one in self.refused
            if self.typed.get(one.field.key) == one.about
            and one.field.kind not in ("reading", "read", "mark", "measurement", "reading_line")
            and one.stood == (show(one.field, editor.scene, editor.unit), editor.unit)
            and _fits(one.field, one.about, editor)
        ]

    def take_all(self, editor: Editor) -> None:
        """Take everything that was typed, the field in hand included."""
        if self.in_hand is not None:
            self.take(self.in_hand, editor)

    def step(self, field: Field, editor: Editor, by: int, *, fine: bool) -> bool:
        """Step a field's number up or down; whether it is one."""
        try:
            text = stepped(field, self.text(field, editor), editor.unit, by, fine=fine)
        except ValueError:
            return False
        self.write(field, text)
        return self.take(field, editor)

    def give_back(self, field: Field) -> None:
        """Put back the value that the field had, and what was said of the text with it."""
        self.typed.pop(field.key, None)
        said = self.said.get(field.key)
        if said is not None and said.kind == "refused":
            del self.said[field.key]

    def answer(self, key: str, text: str | None, editor: Editor) -> None:
        """Answer what is asked: the value is meant, or this is."""
        said = self.said.pop(key, None)
        if said is not None and text is not None:
            self.write(said.field, text)
            self.take(said.field, editor)

    def settle(self, editor: Editor) -> None:
        """Let go of questions about values that are no longer there, or no longer odd."""
        for key in [key for key in editor.put_aside if key not in self.typed]:
            del editor.put_aside[key]
        for key, said in tuple(self.said.items()):
            if said.kind != "asked":
                continue
            first, unit = said.first or said, editor.unit
            same = show(said.field, editor.scene, first.stood[1]) == first.about
            asked = question(said.field, editor.scene, unit) if same else None
            if asked is None:
                del self.said[key]
            elif unit != said.stood[1]:
                self.said[key] = first if unit == first.stood[1] else _in_unit(first, asked, editor)

    def forget(self) -> None:
        """Another scene: nothing is typed, nothing said."""
        self.typed.clear()
        self.said.clear()
        self.in_hand = None

    def _ask(self, field: Field, editor: Editor, before: str) -> None:
        asked = question(field, editor.scene, editor.unit, before)
        if asked is not None:
            about = show(field, editor.scene, editor.unit)
            stood = (before, editor.unit)
            self.said[field.key] = Said(field, "asked", asked.text, about, asked.instead, stood)


def _in_unit(first: Said, asked: Question, editor: Editor) -> Said:
    """A question once more, in the unit that is shown now."""
    field, (before, was), unit = first.field, first.stood, editor.unit
    meant = tuple(SHOWING[field.kind](parse(field, one, was), unit) for one in first.instead)
    about = show(field, editor.scene, unit)
    return Said(field, "asked", asked.text, about, meant, (before, unit), first)


def _last_number(text: str) -> str:
    numbers: list[str] = re.findall(r"\d+(?:[.,/]\d+)?", text)
    return numbers[-1] if numbers else ""


def _fits(field: Field, text: str, editor: Editor) -> bool:
    try:
        parse(field, text, editor.unit)
    except ValueError:
        return False
    return True
