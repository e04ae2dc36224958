"""Parts whose keys are their fields: read and written by their annotations, one way for all.

A field named ``from_`` is the key ``from``; three numbers are a point, two an extent in
fore.  Fields of other kinds (lists, parts inside parts) are given by the caller.
"""

from __future__ import annotations

import dataclasses
import functools
import types
import typing
from collections.abc import Callable, Collection, Sequence
from typing import Any, Literal, TypeVar

from scenes.tables import Table

T = TypeVar("T")
Plain = dict[str, Any]
EXTENT = "expected [rear, front] in mm"


def read_record(
    table: Table,
    make: type[T],
    /,
    skip: Collection[str] = (),
    **given: object,
) -> T | None:
    """The part that a table describes, or None, with its problems noted.

    ``given`` are the fields that the caller has read; one given as None is wrong or
    missing.  Fields in ``skip`` keep their defaults unless they are given.
    """
    values: dict[str, object] = dict(given)
    hints = _hints(make)  # type: ignore[arg-type]
    for field in dataclasses.fields(make):  # type: ignore[arg-type]
        if field.name in given or field.name in skip:
            continue
        key = field.name.rstrip("_")
        has_default = field.default is not dataclasses.MISSING
        if has_default and not table.has(key):
            continue
        values[field.name] = _read(table, key, hints[field.name])
    return table.build(make, **values)


def record(make: type[T]) -> Callable[[Table], T | None]:
    """What reads such parts, all of whose fields are keys."""
    return lambda table: read_record(table, make)


@functools.cache
def _hints(make: type) -> dict[str, Any]:
    # Annotations are kept as text and compiled at each look.
    return typing.get_type_hints(make)


def _read(table: Table, key: str, hint: Any) -> object:
    kinds = [kind for kind in _options(hint) if kind is not types.NoneType]
    if typing.get_origin(kinds[0]) is Literal:
        # A choice without a default that is missing reads as a problem of its own.
        return table.choice(key, typing.get_args(kinds[0]))
    if typing.get_origin(kinds[0]) is tuple:
        extent = len(typing.get_args(kinds[0])) == 2
        return table.pair(key, EXTENT) if extent else table.point(key)
    if kinds[0] is bool:
        return table.flag(key, default=False)
    if kinds[0] is str:
        return table.text(key)
    return table.number(key)


def _options(hint: Any) -> tuple[Any, ...]:
    if isinstance(hint, types.UnionType) or typing.get_origin(hint) is typing.Union:
        return typing.get_args(hint)
    return (hint,)


def plain_record(part: Any, skip: Collection[str] = ()) -> Plain:
    """The part's numbers, points, words and flags by key; what has its default is left out."""
    content: Plain = {}
    for field in dataclasses.fields(part):
        value = getattr(part, field.name)
        if field.name in skip or value == field.default:
            continue
        content[field.name.rstrip("_")] = _as_written(value)
    return content


def _as_written(value: object) -> object:
    if isinstance(value, tuple):
        return point(value) if len(value) == 3 else numbers(value)
    return number(value) if isinstance(value, float) else value


def numbers(values: Sequence[float]) -> list[int | float]:
    """Numbers as a person would write them."""
    return [number(value) for value in values]


def point(values: Sequence[float]) -> list[int | float]:
    """A point as a person would write it: without a fore of 0."""
    return numbers(values if values[2] else values[:2])


def number(value: float) -> int | float:
    """A number as a person would write it: 24, not 24.0."""
    value = float(value)
    return int(value) if value.is_integer() else value
