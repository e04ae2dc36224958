"""Parts whose keys are their fields: read and written by their annotations, one way for all.

A part inside a part is a table, a tuple of parts an array of tables.  Values of other forms
are read and written as the table of the scene's keys says.
"""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Collection
from typing import Any, Literal, TypeVar

from kinematics.errors import InvalidInput
from kinematics.making.steels import STEELS, Steel, steel_named
from scenes.errors import shown
from scenes.forms import FORMS, ValueForm, number
from scenes.key import Key, held_by, type_hints
from scenes.key_table import keys_of
from scenes.part_keys import FILE_WORDS
from scenes.tables import Table, all_of

T = TypeVar("T")
Plain = dict[str, Any]
STEEL_EXPECTED = "expected a steel's name, or { name = …, yield_strength = … in MPa }"
GIVEN_STEEL = "as given in the scene"
_NOT_IN_FILE = ("source", "typical")


def read_record(table: Table, make: type[T], /, **given: object) -> T | None:
    """The part that a table describes, or None, with its problems noted.

    ``given`` are the fields that the caller has read; one given as None is wrong or missing.
    """
    return table.build(make, **read_fields(table, make, (), **given))


def read_fields(
    table: Table, make: type, /, skip: Collection[str], **given: object
) -> dict[str, object]:
    """The fields of a part that its table has, and those that it lacks and should not."""
    values: dict[str, object] = dict(given)
    hints, keys = type_hints(make), keys_of(make)
    for field in dataclasses.fields(make):
        if field.name in given or field.name in (*skip, *_NOT_IN_FILE):
            continue
        word, key = _word(field.name, keys), keys.get(field.name)
        if field.default is not dataclasses.MISSING and not table.has(word):
            continue
        values[field.name] = _read(table, word, hints[field.name], key)
    return values


def _word(field: str, keys: typing.Mapping[str, Key]) -> str:
    return keys[field].word if field in keys else FILE_WORDS.get(field, field)


def _read(table: Table, word: str, hint: Any, key: Key | None) -> object:
    form = _form(hint, key)
    if form is not None:
        # What is in a list of texts the key alone can tell.
        expected = f"expected {key.expected}" if key and key.form == "names" else form.expected
        return table.value(word, expected, form.read)
    kind, of = held_by(hint)
    if kind is tuple:
        part = typing.get_origin(of[0]) or of[0]
        return all_of(read_record(item, part) for item in table.tables(word))
    if kind is Steel:
        return _steel(table, word)
    if dataclasses.is_dataclass(kind):
        inner = table.table(word)
        return None if inner is None else read_record(inner, typing.cast(type, kind))
    return _word_or_number(table, word, kind, of, "" if key and key.form == "label" else None)


def _word_or_number(
    table: Table, word: str, kind: Any, of: tuple[Any, ...], default: str | None
) -> object:
    if kind is Literal:
        return table.choice(word, of)
    if kind is bool:
        return table.flag(word, default=False)
    if kind is str or isinstance(kind, TypeVar):
        return table.text(word, default)
    return table.number(word)


def _steel(table: Table, word: str) -> Steel | None:
    value = table.values[word]
    if isinstance(value, dict):
        own = Table(value, table.key(word), table.problems)
        return read_record(own, Steel, source=GIVEN_STEEL)
    if not isinstance(value, str):
        table.note(word, f"{STEEL_EXPECTED}, got {shown(value)}")
        return None
    try:
        return steel_named(value)
    except InvalidInput as error:
        table.note(word, error.problems[0].message)
        return None


def _form(hint: Any, key: Key | None) -> ValueForm | None:
    """The form of a value that is no plain number, word or part."""
    if key is not None and key.form in FORMS:
        return FORMS[key.form]
    kind, of = held_by(hint)
    if kind is tuple and of[0] is float:
        return FORMS["extent" if len(of) == 2 else "point"]
    return None


def plain_record(part: Any, skip: Collection[str] = (), **given: Plain) -> Plain:
    """The part by key, tables behind the rest, first those given; without what has its default."""
    content: Plain = {}
    tables: Plain = {word: table for word, table in given.items() if table}
    make: type = type(part)
    keys, hints = keys_of(make), type_hints(make)
    every = {field.name: field.default for field in dataclasses.fields(part)}
    for name in sorted(every, key=[*keys, *every].index):
        value, key = getattr(part, name), keys.get(name)
        if name in (*skip, *_NOT_IN_FILE) or value == every[name]:
            continue
        word, form = _word(name, keys), _form(hints[name], key)
        if form is not None:
            content[word] = form.write(value)
        elif isinstance(value, Steel):
            content[word] = value.name if value in STEELS else plain_record(value)
        elif isinstance(value, tuple):
            tables |= {word: [plain_record(one) for one in value]} if value else {}
        elif dataclasses.is_dataclass(value):
            tables[word] = plain_record(value)
        elif key is None or key.form != "label" or value:
            content[word] = number(value) if isinstance(value, float) else value
    return content | tables
