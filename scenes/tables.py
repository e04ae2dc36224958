"""Reading TOML tables strictly: every problem is noted and reading goes on.

A :class:`Table` hands out checked values.  What is missing or wrong becomes a
:class:`~kinematics.errors.Problem` and the caller gets ``None``; :meth:`Table.build`
then leaves out the part, so that one bad value costs one line and no more.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeVar

from kinematics.errors import InvalidInput, Problem
from kinematics.part import LARGEST_LENGTH
from scenes.errors import escaped, meant, shown, shown_key
from scenes.key_table import key_of
from scenes.part_keys import FILE_WORDS

T = TypeVar("T")


def number_of(value: object) -> float | None:
    """The number that a value is; None for anything else, or one too large to be meant."""
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
    numbers = [number_of(item) for item in value]
    return None if None in numbers else tuple(n for n in numbers if n is not None)


def _only(kind: type[T]) -> Callable[[object], T | None]:
    return lambda value: value if isinstance(value, kind) else None


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
    ) -> T | None:
        """The value that ``read`` makes of a key; None, and a problem, where it is wrong.

        Without a ``default`` the key has to be there.
        """
        if not self.has(name):
            if default is None:
                self.note(name, f"missing; {expected}")
            return default
        value = self.values[name]
        found = read(value)
        if found is None:
            self.note(name, f"{expected}, got {shown(value)}")
        return found

    def number(self, name: str) -> float | None:
        """A finite number."""
        key = key_of(self.key(name))
        of = "mm" if key is None else key.expected
        return self.value(name, ", ".join(filter(None, ("expected a number", of))), number_of)

    def text(self, name: str, default: str | None = None) -> str | None:
        """A text.

        The character of number 0 is refused: no window, page or terminal can show it.
        """
        value = self.values.get(name)
        if isinstance(value, str) and "\0" in value:
            self.has(name)
            self.note(name, f"expected text without \\u0000, got {shown(value)}")
            return None
        return self.value(name, "expected text in quotes", _only(str), default)

    def flag(self, name: str, *, default: bool) -> bool | None:
        """True or false."""
        return self.value(name, "expected true or false", _only(bool), default)

    def choice(self, name: str, choices: Sequence[str]) -> str | None:
        """One of a few words; the key has to be there."""
        words = ", ".join(f'"{choice}"' for choice in choices)
        return self.value(
            name,
            f"expected one of {words}",
            lambda value: value if isinstance(value, str) and value in choices else None,
        )

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
            known = sorted(self.known)
            hint, only = meant(name, known), ", ".join(known)
            self.note(shown_key(name), f"unknown key{hint}; expected only {only}")

    def build(self, make: Callable[..., T], /, **values: object) -> T | None:
        """The part made of the values, or None where a needed one is missing or wrong.

        Optional values that were read as None must be left out by the caller.
        """
        self.close()
        return self.made(make, values)

    def made(self, make: Callable[..., T], values: Mapping[str, object]) -> T | None:
        """The same while the table stays open for more keys."""
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


def all_of(parts: Iterable[T | None]) -> tuple[T, ...] | None:
    """All parts as a tuple, or None where one of them is missing."""
    # Every part is read before any is missed, so that all problems are found.
    found = list(parts)
    whole = tuple(part for part in found if part is not None)
    return whole if len(whole) == len(found) else None
