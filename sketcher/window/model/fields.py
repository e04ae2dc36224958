"""Fields: how a value of the scene is shown, typed and explained."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from kinematics.errors import InvalidInput
from kinematics.gaps.outlines import edge_length_mm
from kinematics.making.donors import ENDS, STRETCH_KINDS
from kinematics.making.steels import STEELS, Steel, steel_named
from kinematics.parts import CARRIERS
from kinematics.sure.trial import TrialQuantity
from scenes.key_table import Key, key_of
from scenes.keys import NoSuchThing, value_of
from scenes.model import Scene
from scenes.records import GIVEN_STEEL
from sketcher.window.model.reading_text import line_of
from sketcher.words.points import point_words
from sketcher.words.units import (
    MM_PER_INCH,
    LengthError,
    Unit,
    parse_length,
    parse_travel,
    typed_length,
)

FieldKind = Literal[
    "length", "open_length", "angle", "text", "choice", "extent", "taper", "rows",
    "each_way", "sizes", "names", "measurement", "open_angle", "number", "yes_no", "end",
    "stretch_kind", "steel", "direction", "notes", "reading", "read", "mark", "reading_line",
]  # fmt: skip

EVERY_DEPTH = "every depth"
_ANGLES: tuple[FieldKind, ...] = ("angle", "open_angle")
_LENGTHS: tuple[FieldKind, ...] = (
    "length", "open_length", "taper", "extent", "each_way", "sizes", "measurement", "read",
)  # fmt: skip
_CHOICES: dict[FieldKind, tuple[str, ...]] = {
    "choice": CARRIERS,
    "end": ENDS,
    "stretch_kind": STRETCH_KINDS,
    "steel": tuple(steel.name for steel in STEELS),
}
_KINDS: dict[object, FieldKind] = {str: "text", bool: "yes_no", Steel: "steel"}
# What an arrow key adds: whole and fine, in mm, in degrees and plain numbers.
STEPS_MM: dict[Unit, tuple[float, float]] = {"mm": (1.0, 0.1), "in": (25.4 / 8, 25.4 / 64)}
STEPS = (1.0, 0.1)
_IN_DIGITS = 5
# Notes may have several lines, and a field has one.
_LINE_END = "¶"
_OWN_STEEL = re.compile(r"(?P<name>.+?)[, ]\s*(?P<yield>\d+(\.\d+)?) ?MPa", re.IGNORECASE)
_OWN_STEEL_EXPECTED = 'name and yield such as "own bar, 400 MPa"'
_MINUS = str.maketrans("−", "-")
_ROW_EXPECTED = "expected rows such as 0 24 22; 15 20 18 (angle in degrees, stroke in, out)"


class FieldError(ValueError):
    """A text that does not fit its field; says in one line what would."""


@dataclass(frozen=True, slots=True)
class Field:
    """One value of the scene as a field shows it.

    ``key`` is its path, ``label`` its name in a message and ``help`` what it is
    and which way its sign goes; ``of`` is the unit of a number that is no length.
    ``begins`` is what stands, unseen, before what is typed: the points of a reading.
    """

    key: str
    label: str
    kind: FieldKind = "length"
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
        return _CHOICES.get(self.kind, ())


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
        about = f"One of {', '.join(_CHOICES[kind])}; {about}"
    unit = known.unit if known.unit not in ("mm", "degrees") else ""
    name = f"{of}, {known.name}" if of else known.name
    return Field(key, label or name, kind, about, unit)


def _kind_of(known: Key) -> FieldKind:
    """How a key's value is typed, by its form, its unit and what its part takes."""
    kind, of, default = known.held
    if known.form in _SHOWING:
        return known.form
    if kind in _KINDS:
        return _KINDS[kind]
    if kind is Literal:
        return next(name for name, words in _CHOICES.items() if words == of)
    if kind is tuple and len(of) == 2:
        return "extent"
    if known.unit not in ("mm", "degrees"):
        return "number"
    kinds: tuple[FieldKind, FieldKind] = (
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
    return _SHOWING[field.kind](value, unit)


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
    return _PARSING[field.kind](text.strip(), unit)


def stepped(field: Field, text: str, unit: Unit, by: int, *, fine: bool = False) -> str:
    """The text of a field whose number is stepped up or down.

    Raises ValueError where it is no number.
    """
    if field.kind in ("length", "open_length"):
        value = parse_length(text, unit) + by * STEPS_MM[unit][fine]
        return _length(round(value, 6), unit)
    if field.kind in (*_ANGLES, "number", "direction"):
        return f"{round(_number(text.rstrip('° '), unit) + by * STEPS[fine], 6):.10g}"
    raise FieldError(f"{field.label} is no number to be stepped")


def _length(mm: float, unit: Unit) -> str:
    """A length in a field; inches with no more digits than a tape can tell."""
    if unit == "mm":
        return typed_length(mm)
    whole = f"{abs(mm) / MM_PER_INCH:.0f}".lstrip("0")
    places = max(_IN_DIGITS - len(whole), 0)
    text = f"{mm / MM_PER_INCH:.{places}f}"
    text = text.rstrip("0").rstrip(".") if places else text
    return "0" if text in ("", "-0") else text


def _shown_angle(value: float, _: Unit) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _shown_taper(value: tuple[float, float], unit: Unit) -> str:
    return _length(value[0], unit) if value[0] == value[1] else _two(value, unit)


def _shown_rows(value: tuple[tuple[float, float, float], ...], unit: Unit) -> str:
    return "; ".join(
        f"{angle:g} {_length(inward, unit)} {_length(outward, unit)}"
        for angle, inward, outward in value
    )


def _taper(text: str, unit: Unit) -> tuple[float, float]:
    if len(_split(text)) > 1:
        return _pair(text, unit)
    try:
        return (parse_length(text, unit),) * 2
    except LengthError as error:
        raise FieldError(f"{error}; a taper is two such as 85 to 35") from error


def _angle(text: str) -> float:
    bare = text.translate(_MINUS).rstrip("° ").removesuffix("deg").strip()
    return _finite(bare, f'expected degrees such as 23 or 22.5, got "{text}"')


def _number(text: str, _: Unit) -> float:
    return _finite(text.translate(_MINUS), f'expected a number such as 3.9, got "{text}"')


def _finite(text: str, otherwise: str) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise FieldError(otherwise)
    return value


def _yes_no(text: str, _: Unit) -> bool:
    if text.lower() not in ("yes", "no"):
        raise FieldError(f'expected yes or no, got "{text}"')
    return text.lower() == "yes"


def _one_of(choices: Sequence[str]) -> Callable[[str, Unit], str]:
    return lambda text, _: _chosen(text, choices)


def _chosen(text: str, choices: Sequence[str]) -> str:
    """The choice that a text is, or the only one that holds it."""
    asked = text.lower()
    found = [one for one in choices if asked and asked in one.lower()]
    same = [one for one in found if one.lower() == asked]
    if len(same or found) != 1:
        raise FieldError(f'expected one of {", ".join(found or choices)}, got "{text}"')
    return (same or found)[0]


def _shown_steel(steel: Steel, _: Unit) -> str:
    return steel.name if steel in STEELS else f"{steel.name}, {steel.yield_strength:g} MPa"


def _steel(text: str, _: Unit) -> Steel:
    """A steel by its name, or a name and the yield strength that its maker gives."""
    own = _OWN_STEEL.fullmatch(text)
    names = _CHOICES["steel"]
    if own is None and not any(text.lower() in name.lower() for name in names):
        raise FieldError(f'expected a steel of the list, or {_OWN_STEEL_EXPECTED}, got "{text}"')
    try:
        if own is None:
            return steel_named(_chosen(text, names))
        return Steel(own["name"].strip(" ,"), float(own["yield"]), GIVEN_STEEL)
    except InvalidInput as error:
        expected = error.problems[0].message
        raise FieldError(f"{expected}; or {_OWN_STEEL_EXPECTED}") from error


def _two(values: tuple[float, float], unit: Unit) -> str:
    return f"{_length(values[0], unit)} to {_length(values[1], unit)}"


def _split(text: str) -> list[str]:
    return [part for part in re.split(r"\bto\b|;|…|\.\.+", text) if part.strip()]


def _pair(text: str, unit: Unit) -> tuple[float, float]:
    parts = _split(text)
    if len(parts) != 2:
        raise FieldError(f'expected two lengths such as -30 to 40, got "{text}"')
    return (parse_length(parts[0], unit), parse_length(parts[1], unit))


def _rows(text: str, unit: Unit) -> tuple[tuple[float, float, float], ...]:
    """Rows as typed; a comma with a space behind it parts them, too."""
    return tuple(_row(row, unit) for row in re.split(r";|,\s", text) if row.strip())


def _row(text: str, unit: Unit) -> tuple[float, float, float]:
    # As on paper: at 12 deg 21 in 21 out.  Without "out" an "in" is inches.
    directions = r"|\b(in|out)\b" if re.search(r"\bout\b", text) else ""
    words = re.sub(rf"°|\b(at|deg)\b{directions}", " ", text).split()
    if len(words) != 3:
        raise FieldError(_ROW_EXPECTED)
    try:
        return (_angle(words[0]), parse_length(words[1], unit), parse_length(words[2], unit))
    except LengthError as error:
        raise FieldError(_ROW_EXPECTED) from error


def _shown_each_way(value: tuple[float, float], unit: Unit) -> str:
    return _length(value[1], unit) if value[0] == -value[1] else _two(value, unit)


def _each_way(text: str, unit: Unit) -> tuple[float, float]:
    if len(_split(text)) > 1:
        return _pair(text, unit)
    size = parse_length(text, unit)
    if size < 0.0:
        raise FieldError(f'expected a length each way, or two such as -4 to 8, got "{text}"')
    return (-size, size)


def _sizes(text: str, unit: Unit) -> tuple[float, ...]:
    parts = [part for part in text.split(";") if part.strip()]
    if len(parts) not in (1, 3):
        raise FieldError(f'expected one length, or out; up; fore such as 2; 1; 1, got "{text}"')
    return tuple(parse_length(part, unit) for part in parts)


def _measurement(text: str, unit: Unit) -> tuple[float, float, TrialQuantity | None]:
    plunge = re.sub(r"\bplunge\b", "", text, flags=re.IGNORECASE)
    # In inches a space may stand before a fraction.
    apart = plunge.rsplit(None, 1) if unit == "mm" and ";" not in plunge else plunge.split(";")
    parts = [part for part in apart if part.strip()]
    if len(parts) != 2:
        raise FieldError(f'expected travel; value such as -60; 398.5, got "{text}"')
    value = parse_length(parts[1], unit)
    return (parse_travel(parts[0], unit), value, "plunge" if plunge != text else None)


_SHOWING: dict[FieldKind, Callable[[Any, Unit], str]] = {
    "length": _length,
    "open_length": lambda value, unit: "" if value is None else _length(value, unit),
    "angle": _shown_angle,
    "text": lambda value, _: str(value),
    "notes": lambda value, _: str(value).replace("\n", _LINE_END),
    "choice": lambda value, _: str(value),
    "extent": lambda value, unit: EVERY_DEPTH if value is None else _two(value, unit),
    "taper": _shown_taper,
    "rows": _shown_rows,
    "each_way": _shown_each_way,
    "sizes": lambda value, unit: "; ".join(_length(size, unit) for size in value),
    "names": lambda value, _: ", ".join(value),
    "measurement": lambda _value, _unit: "",
    "open_angle": lambda value, unit: "" if value is None else _shown_angle(value, unit),
    "number": lambda value, _: f"{value:.6g}",
    "direction": lambda value, _: f"{value:.6g}",
    "yes_no": lambda value, _: "yes" if value else "no",
    "end": lambda value, _: str(value),
    "stretch_kind": lambda value, _: str(value),
    "steel": _shown_steel,
    "reading": lambda _value, _unit: "",
    "read": lambda _value, _unit: "",
    "mark": lambda _value, _unit: "",
    "reading_line": lambda _value, _unit: "",
}
_PARSING: dict[FieldKind, Callable[[str, Unit], object]] = {
    "length": parse_length,
    "open_length": lambda text, unit: parse_length(text, unit) if text else None,
    "angle": lambda text, _: _angle(text),
    "text": lambda text, _: text,
    "notes": lambda text, _: text.replace(_LINE_END, "\n"),
    "choice": _one_of(CARRIERS),
    "extent": lambda text, unit: (
        None if text.lower() in ("", EVERY_DEPTH, "all") else _pair(text, unit)
    ),
    "taper": _taper,
    "rows": _rows,
    "each_way": _each_way,
    "sizes": _sizes,
    "names": lambda text, _: tuple(name.strip() for name in text.split(",") if name.strip()),
    "measurement": _measurement,
    "open_angle": lambda text, _: _angle(text) if text else None,
    "number": _number,
    "direction": _number,
    "yes_no": _yes_no,
    "end": _one_of(ENDS),
    "stretch_kind": _one_of(STRETCH_KINDS),
    "steel": _steel,
    "reading": lambda text, _: text,
    "read": lambda text, _: text,
    "mark": lambda text, _: text,
    "reading_line": lambda text, _: text,
}
