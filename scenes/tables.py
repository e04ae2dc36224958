"""Reading TOML tables strictly: every problem is noted and reading goes on.

A :class:`Table` hands out checked values.  What is missing or wrong becomes a
:class:`~kinematics.errors.Problem` and the caller gets ``None``; :meth:`Table.build`
then leaves out the part, so that one bad value costs one line and no more.
"""

from __future__ import annotations

import difflib
import itertools
import json
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeVar

from kinematics.errors import InvalidInput, Problem
from kinematics.parts import LARGEST_LENGTH, FrontPoint, Point
from scenes.key_table import key_of
from scenes.part_keys import FILE_WORDS

T = TypeVar("T")

POINT_EXPECTED = "expected [out, up] or [out, up, fore] in mm"
DIRECTION_EXPECTED = "expected a direction [out, up] or [out, up, fore]"
_LONGEST_SHOWN = 40


def escaped(text: str) -> str:
    """A text whose letters that cannot be printed are spelt as TOML would."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def shown(value: object) -> str:
    """A value as the message quotes it, on one line and not too long."""
    try:
        text = json.dumps(value, ensure_ascii=False)
    except (TypeError, ValueError, RecursionError):
        text = str(value) if isinstance(value, (int, float)) else type(value).__name__
    text = escaped(" ".join(text.split()))
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 1] + "…"


def _number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    # A whole number of hundreds of digits is legal TOML and no float.
    if isinstance(value, int) and abs(value) > LARGEST_LENGTH:
        return None
    number = float(value)
    return number if math.isfinite(number) and abs(number) <= LARGEST_LENGTH else None


def numbers_of(value: object, counts: Sequence[int]) -> tuple[float, ...] | None:
    """The numbers of a list of one of these lengths; None for anything else."""
    if not isinstance(value, list) or len(value) not in counts:
        return None
    numbers = [_number(item) for item in value]
    return None if None in numbers else tuple(n for n in numbers if n is not None)


class Table:
    """One TOML table and the path that leads to it."""

    def __init__(self, values: Mapping[str, Any], path: str, problems: list[Problem]) -> None:
        self.values = values
        self.path = path
        self.problems = problems
        self.known: set[str] = set()

    def key(self, name: str) -> str:
        """The full path of a key of this table."""
        return ".".join(part for part in (self.path, name) if part)

    def note(self, name: str, message: str) -> None:
        """Note a problem with a key."""
        self.problems.append(Problem(self.key(name), escaped(message)))

    def has(self, name: str) -> bool:
        """Whether the key is there; it counts as known from now on."""
        self.known.add(name)
        return name in self.values

    def value(
        self,
        name: str,
        expected: str,
        read: Callable[[Any], T | None],
        default: T | None = None,
        *,
        optional: bool = False,
    ) -> T | None:
        """The value that ``read`` makes of a key; None, and a problem, where it is wrong."""
        if not self.has(name):
            if not optional:
                self.note(name, f"missing; {expected}")
            return default
        value = self.values[name]
        found = read(value)
        if found is None:
            self.note(name, f"{expected}, got {shown(value)}")
        return found

    def number(self, name: str, *, of: str = "") -> float | None:
        """A finite number; ``of`` says of what, where the key's own entry does not."""
        key = key_of(self.key(name))
        of = of or ("mm" if key is None else key.expected)
        expected = f"expected a number, {of}" if of else "expected a number"
        return self.value(name, expected, _number)

    def text(self, name: str, default: str | None = None, *, optional: bool = False) -> str | None:
        """A text.

        The character of number 0 is refused: no window, page or terminal can show it.
        """
        value = self.values.get(name)
        if isinstance(value, str) and "\0" in value:
            self.has(name)
            self.note(name, f"expected text without \\u0000, got {shown(value)}")
            return None
        return self.value(
            name,
            "expected text in quotes",
            lambda value: value if isinstance(value, str) else None,
            default,
            optional=optional,
        )

    def flag(self, name: str, *, default: bool) -> bool | None:
        """True or false."""
        return self.value(
            name,
            "expected true or false",
            lambda value: value if isinstance(value, bool) else None,
            default,
            optional=True,
        )

    def choice(self, name: str, choices: Sequence[str], default: str | None = None) -> str | None:
        """One of a few words; optional where there is a default."""
        words = ", ".join(f'"{choice}"' for choice in choices)
        return self.value(
            name,
            f"expected one of {words}",
            lambda value: value if isinstance(value, str) and value in choices else None,
            default,
            optional=default is not None,
        )

    def point(self, name: str) -> Point | None:
        """A point [out, up] or [out, up, fore]; fore is 0 where it is left out."""
        return self.value(name, POINT_EXPECTED, _point)

    def direction(self, name: str, default: Point) -> Point | None:
        """A direction [out, up] or [out, up, fore] of any length."""
        return self.value(name, DIRECTION_EXPECTED, _point, default, optional=True)

    def pair(self, name: str, expected: str) -> tuple[float, float] | None:
        """Two numbers."""
        return self.value(name, expected, lambda value: _pair(numbers_of(value, (2,))))

    def each_way(self, name: str, expected: str) -> tuple[float, float] | None:
        """One number of 0 or more, meaning as much each way, or two: least and most."""

        def read(value: Any) -> tuple[float, float] | None:
            alone = _number(value)
            if alone is not None:
                return (-alone, alone) if alone >= 0.0 else None
            both = _pair(numbers_of(value, (2,)))
            return both if both is not None and both[0] <= both[1] else None

        return self.value(name, expected, read)

    def outline(self, name: str) -> tuple[FrontPoint, ...] | None:
        """Corners [out, up] of a polygon in the front view."""

        def read(value: Any) -> tuple[FrontPoint, ...] | None:
            if not isinstance(value, list):
                return None
            corners = [_pair(numbers_of(item, (2,))) for item in value]
            if None in corners:
                return None
            # Some close an outline by its first corner again, or put a corner twice.
            kept = [c for c, _ in itertools.groupby(c for c in corners if c is not None)]
            while len(kept) > 1 and kept[0] == kept[-1]:
                kept.pop()
            return tuple(kept)

        return self.value(name, "expected corners [[out, up], …] in mm", read)

    def sizes(self, name: str, expected: str) -> tuple[float, ...] | None:
        """One number, or one for each of out, up and fore."""

        def read(value: Any) -> tuple[float, ...] | None:
            return numbers_of(value if isinstance(value, list) else [value], (1, 3))

        return self.value(name, expected, read)

    def texts(self, name: str, expected: str) -> tuple[str, ...] | None:
        """A list of texts."""

        def read(value: Any) -> tuple[str, ...] | None:
            if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
                return None
            return tuple(value)

        return self.value(name, expected, read)

    def rows(
        self, name: str, expected: str, *, optional: bool = False
    ) -> tuple[tuple[float, float, float], ...] | None:
        """Rows of three numbers, at least one; no rows where it is left out."""
        none: tuple[tuple[float, float, float], ...] = ()

        def read(value: Any) -> tuple[tuple[float, float, float], ...] | None:
            if not isinstance(value, list) or not value:
                return None
            rows = [_triple(numbers_of(item, (3,))) for item in value]
            return None if None in rows else tuple(row for row in rows if row is not None)

        return self.value(name, expected, read, none, optional=optional)

    def table(self, name: str, *, optional: bool = False) -> Table | None:
        """A table inside this one."""
        if not self.has(name):
            if not optional:
                self.note(name, f"missing; expected a table [{self.key(name)}]")
            return None
        value = self.values[name]
        if not isinstance(value, dict):
            self.note(name, f"expected a table [{self.key(name)}], got {shown(value)}")
            return None
        return Table(value, self.key(name), self.problems)

    def tables(self, name: str) -> Iterable[Table]:
        """The tables of an array of tables; none where it is left out."""
        if not self.has(name):
            return
        value = self.values[name]
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.note(name, f"expected tables [[{self.key(name)}]], got {shown(value)}")
            return
        for index, item in enumerate(value):
            yield Table(item, f"{self.key(name)}[{index}]", self.problems)

    def close(self) -> None:
        """Note every key that nobody asked for."""
        for name in self.values:
            if name in self.known:
                continue
            close = difflib.get_close_matches(name, sorted(self.known), n=1)
            hint = f'; did you mean "{close[0]}"' if close else ""
            known = ", ".join(sorted(self.known))
            self.note(shown_key(name), f"unknown key{hint}; expected only {known}")

    def build(self, make: Callable[..., T], /, **values: object) -> T | None:
        """The part made of the values, or None where a needed one is missing or wrong.

        Optional values that were read as None must be left out by the caller.
        """
        self.close()
        if any(value is None for value in values.values()):
            return None
        try:
            return make(**values)
        except InvalidInput as error:
            for problem in error.problems:
                field = FILE_WORDS.get(problem.field, problem.field)
                raw = self.values.get(field)
                is_tables = isinstance(raw, list) and raw and isinstance(raw[0], dict)
                got = "" if raw is None or is_tables else f", got {shown(raw)}"
                self.note(field, problem.message + ("" if ", got " in problem.message else got))
            return None


def shown_key(name: str) -> str:
    """A key as a path shows it: quoted where it is not a bare key."""
    bare = name.replace("_", "").replace("-", "")
    return name if bare.isalnum() and name.isascii() else shown(name)


def _point(value: object) -> Point | None:
    numbers = numbers_of(value, (2, 3))
    if numbers is None:
        return None
    return (numbers[0], numbers[1], numbers[2] if len(numbers) == 3 else 0.0)


def _pair(numbers: tuple[float, ...] | None) -> tuple[float, float] | None:
    return None if numbers is None else (numbers[0], numbers[1])


def _triple(numbers: tuple[float, ...] | None) -> tuple[float, float, float] | None:
    return None if numbers is None else (numbers[0], numbers[1], numbers[2])


def all_of(parts: Iterable[T | None]) -> tuple[T, ...] | None:
    """All parts as a tuple, or None where one of them is missing."""
    # Every part is read before any is missed, so that all problems are found.
    found = list(parts)
    whole = tuple(part for part in found if part is not None)
    return whole if len(whole) == len(found) else None
