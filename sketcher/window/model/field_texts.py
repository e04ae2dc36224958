"""How each kind of value stands in a field: its text, and what a text typed there says."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, Literal

from kinematics.errors import InvalidInput
from kinematics.making.donors import ENDS, STRETCH_KINDS
from kinematics.making.steels import STEELS, Steel, steel_named
from kinematics.parts import CARRIERS
from kinematics.sure.trial import TrialQuantity
from scenes.records import GIVEN_STEEL
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
CHOICES: dict[FieldKind, tuple[str, ...]] = {
    "choice": CARRIERS,
    "end": ENDS,
    "stretch_kind": STRETCH_KINDS,
    "steel": tuple(steel.name for steel in STEELS),
}
# What is typed of readings and marks; the scene's points give it its meaning.
_READINGS: tuple[FieldKind, ...] = ("reading", "read", "mark", "reading_line")
_IN_DIGITS = 5
# Notes may have several lines, and a field has one.
_LINE_END = "¶"
_OWN_STEEL = re.compile(r"(?P<name>.+?)[, ]\s*(?P<yield>\d+([.,]\d+)?) ?MPa", re.IGNORECASE)
_OWN_STEEL_EXPECTED = 'name and yield such as "own bar, 400 MPa"'
_MINUS = str.maketrans("−", "-")
_ROW_EXPECTED = "expected rows such as 0 24 22; 15 20 18 (angle in degrees, stroke in, out)"


class FieldError(ValueError):
    """A text that does not fit its field; says in one line what would."""


def length_text(mm: float, unit: Unit) -> str:
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


def _shown_rows(value: tuple[tuple[float, float, float], ...], unit: Unit) -> str:
    return "; ".join(
        f"{angle:g} {length_text(inward, unit)} {length_text(outward, unit)}"
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


def number_typed(text: str, _: Unit) -> float:
    """A number that was typed; raises FieldError for a text that is none."""
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


def _chosen(choices: Sequence[str], text: str, _: Unit) -> str:
    """The choice that a text is, or the only one that holds it."""
    asked = text.lower()
    found = [one for one in choices if asked and asked in one.lower()]
    same = [one for one in found if one.lower() == asked]
    if len(same or found) != 1:
        raise FieldError(f'expected one of {", ".join(found or choices)}, got "{text}"')
    return (same or found)[0]


def _shown_steel(steel: Steel, _: Unit) -> str:
    return steel.name if steel in STEELS else f"{steel.name}, {steel.yield_strength:g} MPa"


def _steel(text: str, unit: Unit) -> Steel:
    """A steel by its name, or a name and the yield strength that its maker gives."""
    own = _OWN_STEEL.fullmatch(text)
    names = CHOICES["steel"]
    if own is None and not any(text.lower() in name.lower() for name in names):
        raise FieldError(f'expected a steel of the list, or {_OWN_STEEL_EXPECTED}, got "{text}"')
    try:
        if own is None:
            return steel_named(_chosen(names, text, unit))
        return Steel(own["name"].strip(" ,"), number_typed(own["yield"], unit), GIVEN_STEEL)
    except InvalidInput as error:
        expected = error.problems[0].message
        raise FieldError(f"{expected}; or {_OWN_STEEL_EXPECTED}") from error


def _two(values: tuple[float, float], unit: Unit) -> str:
    return f"{length_text(values[0], unit)} to {length_text(values[1], unit)}"


def _one_or_two(values: tuple[float, float], unit: Unit, *, alike: float) -> str:
    """Both lengths, or the second alone where it is as it would be without being told."""
    return length_text(alike, unit) if values[1] == alike else _two(values, unit)


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


SHOWING: dict[FieldKind, Callable[[Any, Unit], str]] = {
    "length": length_text,
    "open_length": lambda value, unit: "" if value is None else length_text(value, unit),
    "angle": _shown_angle,
    **dict.fromkeys(("text", "choice", "end", "stretch_kind"), lambda value, _: str(value)),
    # What is typed there goes elsewhere.
    **dict.fromkeys(("measurement", *_READINGS), lambda _value, _unit: ""),
    "notes": lambda value, _: str(value).replace("\n", _LINE_END),
    "extent": lambda value, unit: EVERY_DEPTH if value is None else _two(value, unit),
    "taper": lambda value, unit: _one_or_two(value, unit, alike=value[0]),
    "rows": _shown_rows,
    "each_way": lambda value, unit: _one_or_two(value, unit, alike=-value[0]),
    "sizes": lambda value, unit: "; ".join(length_text(size, unit) for size in value),
    "names": lambda value, _: ", ".join(value),
    "open_angle": lambda value, unit: "" if value is None else _shown_angle(value, unit),
    **dict.fromkeys(("number", "direction"), lambda value, _: f"{value:.6g}"),
    "yes_no": lambda value, _: "yes" if value else "no",
    "steel": _shown_steel,
}
PARSING: dict[FieldKind, Callable[[str, Unit], object]] = {
    "length": parse_length,
    "open_length": lambda text, unit: parse_length(text, unit) if text else None,
    "angle": lambda text, _: _angle(text),
    **dict.fromkeys(("text", *_READINGS), lambda text, _: text),
    "notes": lambda text, _: text.replace(_LINE_END, "\n"),
    **{kind: partial(_chosen, CHOICES[kind]) for kind in ("choice", "end", "stretch_kind")},
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
    **dict.fromkeys(("number", "direction"), number_typed),
    "yes_no": _yes_no,
    "steel": _steel,
}
