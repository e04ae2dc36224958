"""Values of the scene file that are no plain numbers: how each is written and read."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from scenes.photo import PINS
from scenes.tables import number_of, numbers_of


def number(value: float) -> int | float:
    """A number as a person would write it: 24, not 24.0."""
    value = float(value)
    return int(value) if value.is_integer() else value


def numbers(values: Sequence[float]) -> list[int | float]:
    """Numbers as a person would write them."""
    return [number(value) for value in values]


def point(values: Sequence[float]) -> list[int | float]:
    """A point as a person would write it: without a fore of 0."""
    return numbers(values if values[2] else values[:2])


@dataclass(frozen=True, slots=True)
class ValueForm:
    """How a kind of value stands in the file; ``read`` gives None for what is none."""

    expected: str
    read: Callable[[Any], Any]
    write: Callable[[Any], Any]


def _point(value: object) -> tuple[float, ...] | None:
    found = numbers_of(value, (2, 3))
    return found and (*found, 0.0)[:3]


def _rows(value: object, *counts: int) -> tuple[tuple[float, ...], ...] | None:
    rows = [numbers_of(row, counts) for row in value] if isinstance(value, list) else [None]
    found = tuple(row for row in rows if row is not None)
    return found if len(found) == len(rows) else None


def _outline(value: object) -> tuple[tuple[float, ...], ...] | None:
    """Corners of a polygon; some close it by its first again, or put a corner twice."""
    corners = _rows(value, 2)
    kept = [corner for corner, _ in itertools.groupby(corners or ())]
    while len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    return None if corners is None else tuple(kept)


def _each_way(value: object) -> tuple[float, ...] | None:
    """One number of 0 or more, meaning as much each way, or two: least and most."""
    alone = number_of(value)
    both = numbers_of(value, (2,)) if alone is None else (-alone, alone)
    return both if both is not None and both[0] <= both[1] else None


def texts(value: object) -> tuple[str, ...] | None:
    """A list of texts."""
    held = value if isinstance(value, list) else [None]
    found = tuple(item for item in held if isinstance(item, str))
    return found if len(found) == len(held) else None


def _list(values: Sequence[Sequence[float]]) -> list[Any]:
    return [numbers(row) for row in values]


FORMS: Mapping[str, ValueForm] = {
    "point": ValueForm("expected [out, up] or [out, up, fore] in mm", _point, point),
    "direction": ValueForm("expected a direction [out, up] or [out, up, fore]", _point, numbers),
    "extent": ValueForm(
        "expected [rear, front] in mm", lambda value: numbers_of(value, (2,)), numbers
    ),
    "taper": ValueForm(
        "expected a diameter in mm, or [d_from, d_to] for a taper",
        lambda value: numbers_of(value if isinstance(value, list) else [value, value], (2,)),
        lambda pair: number(pair[0]) if pair[0] == pair[1] else numbers(pair),
    ),
    "sizes": ValueForm(
        "expected mm each way, or [out, up, fore]",
        lambda value: numbers_of(value if isinstance(value, list) else [value], (1, 3)),
        lambda sizes: number(sizes[0]) if len(sizes) == 1 else numbers(sizes),
    ),
    "each_way": ValueForm(
        "expected mm each way, or [least, most]",
        _each_way,
        lambda pair: number(pair[1]) if pair[0] == -pair[1] else numbers(pair),
    ),
    "rows": ValueForm(
        "expected rows [angle in deg, stroke in, stroke out in mm]",
        lambda value: _rows(value, 3) or None,
        _list,
    ),
    "outline": ValueForm("expected corners [[out, up], …] in mm", _outline, _list),
    "pins": ValueForm(f"expected {PINS}", lambda value: _rows(value, 4), _list),
    "names": ValueForm("expected a list of texts in quotes", texts, list),
}
