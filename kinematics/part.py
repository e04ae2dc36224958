"""What every input has in common: frozen, and checked when it is made."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import fields
from typing import Any

from kinematics.errors import InvalidInput, Problem

LARGEST_LENGTH = 1e5


def _finite(value: Any) -> Iterable[float]:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        yield float(value)
    elif isinstance(value, (tuple, list)):
        for item in value:
            yield from _finite(item)


class Part:
    """Base of the inputs: numbers must be finite, then each part says what else must hold."""

    __slots__ = ()

    def __post_init__(self) -> None:
        problems = [
            Problem(field.name, f"expected finite numbers below {LARGEST_LENGTH:g} in size")
            for field in fields(self)  # type: ignore[arg-type]
            if not all(
                math.isfinite(number) and abs(number) <= LARGEST_LENGTH
                for number in _finite(getattr(self, field.name))
            )
        ]
        if not problems:
            problems = list(self._problems())
        if problems:
            raise InvalidInput(problems)

    def _problems(self) -> Iterable[Problem]:
        return ()
