"""Fields: how a value of the scene is shown, typed and explained."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from kinematics.gaps.outlines import edge_length_mm
from kinematics.making.steels import Steel
from scenes.key import Key
from scenes.key_table import key_of
from scenes.keys import NoSuchThing, value_of
from scenes.model import Scene
from sketcher.window.model import field_texts
from sketcher.window.model.reading_text import line_of
from sketcher.words.points import point_words
from sketcher.words.units import Unit, parse_length

_ANGLES: tuple[field_texts.FieldKind, ...] = ("angle", "open_angle")
_LENGTHS: tuple[field_texts.FieldKind, ...] = (
    "length", "open_length", "taper", "extent", "each_way", "sizes", "measurement", "read",
)  # fmt: skip
_KINDS: dict[object, field_texts.FieldKind] = {str: "text", bool: "yes_no", Steel: "steel"}
# What an arrow key adds: whole and fine, in mm, in degrees and plain numbers.
STEPS_MM: dict[Unit, tuple[float, float]] = {"mm": (1.0, 0.1), "in": (25.4 / 8, 25.4 / 64)}
STEPS = (1.0, 0.1)


@dataclass(frozen=True, slots=True)
class Field:
    """One value of the scene as a field shows it.

    ``key`` is its path, ``label`` its name in a message and ``help`` what it is
    and which way its sign goes; ``of`` is the unit of a number that is no length.
    ``begins`` is what stands, unseen, before what is typed: the points of a reading.
    """

    key: str
    label: str
    kind: field_texts.FieldKind = "length"
    help: str = ""
    of: str = ""
    begins: str = ""

    def unit(self, unit: Unit) -> str:
        """The unit that its number is in."""
        if self.kind in _ANGLES:
            return "°"
        if self.kind == "rows":
            return f"°, {unit}"
        return self.of or (unit if self.kind in _LENGTHS else "")

    @property
    def choices(self) -> tuple[str, ...]:
        """What may be chosen, where that is a list; a steel may also be one's own."""
        return field_texts.CHOICES.get(self.kind, ())


def field_of(key: str, of: str = "", *, label: str = "", help_: str = "") -> Field:
    """The field of a key, as the table of the scene's keys tells of it.

    ``of`` is what it belongs to; ``label`` and ``help_`` are given where it is told otherwise.
    Raises KeyError for a key that the table does not have.
    """
    known = key_of(key)
    if known is None:
        raise KeyError(key)
    kind = _kind_of(known)
    about = help_ or known.help
    if about[:1].islower():
        about = f"One of {', '.join(field_texts.CHOICES[kind])}; {about}"
    unit = known.unit if known.unit not in ("mm", "degrees") else ""
    name = f"{of}, {known.name}" if of else known.name
    return Field(key, label or name, kind, about, unit)


def _kind_of(known: Key) -> field_texts.FieldKind:
    """How a key's value is typed, by its form, its unit and what its part takes."""
    kind, of, default = known.held
    if known.form in field_texts.SHOWING:
        return known.form
    if kind in _KINDS:
        return _KINDS[kind]
    if kind is Literal:
        return next(name for name, words in field_texts.CHOICES.items() if words == of)
    if kind is tuple and len(of) == 2:
        return "extent"
    if known.unit not in ("mm", "degrees"):
        return "number"
    kinds: tuple[field_texts.FieldKind, field_texts.FieldKind] = (
        ("length", "open_length") if known.unit == "mm" else ("angle", "open_angle")
    )
    return kinds[default is None]


def show(field: Field, scene: Scene, unit: Unit) -> str:
    """The text that stands in a field; empty where the scene has no such value."""
    try:
        if field.kind == "reading_line":
            return line_of(scene, value_of(scene, field.key.removesuffix(".line")), unit)
        value = _value(scene, field.key)
    except NoSuchThing:
        return ""
    if field.kind == "names":
        paths = list(scene.points)
        return ", ".join(point_words(one, paths) if one in paths else one for one in value)
    return field_texts.SHOWING[field.kind](value, unit)


def _value(scene: Scene, key: str) -> Any:
    """The value of a key; an edge's is its length, mm."""
    base, edge, number = key.rpartition(".edge[")
    if not edge:
        return value_of(scene, key)
    outline, first = value_of(scene, f"{base}.outline"), int(number[:-1])
    if first >= len(outline):
        raise NoSuchThing(f"{key}: no such thing in this scene")
    return edge_length_mm(outline, first)


def parse(field: Field, text: str, unit: Unit) -> object:
    """The value that was typed.

    Raises FieldError or LengthError, both ValueErrors, with one line.
    """
    return field_texts.PARSING[field.kind](text.strip(), unit)


def stepped(field: Field, text: str, unit: Unit, by: int, *, fine: bool) -> str:
    """The text of a field whose number is stepped up or down.

    Raises ValueError where it is no number.
    """
    if field.kind in ("length", "open_length"):
        value = parse_length(text, unit) + by * STEPS_MM[unit][fine]
        return field_texts.length_text(round(value, 6), unit)
    if field.kind in (*_ANGLES, "number", "direction"):
        number = field_texts.number_typed(text.rstrip("° "), unit)
        return f"{round(number + by * STEPS[fine], 6):.10g}"
    raise field_texts.FieldError(f"{field.label} is no number to be stepped")
