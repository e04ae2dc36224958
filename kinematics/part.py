"""What every input has in common: frozen, and checked when it is made."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from kinematics.errors import Check, require

LARGEST_LENGTH = 1e5


def _in_size(value: Any) -> bool:
    """Whether a number, or every number in a tuple, is finite and no larger than any length."""
    if isinstance(value, (tuple, list)):
        return all(map(_in_size, value))
    # NaN compares false with everything.
    return not isinstance(value, (int, float)) or abs(value) <= LARGEST_LENGTH


class Part:
    """Base of the inputs: numbers must be finite, then each part says what else must hold."""

    __slots__ = ()
    __match_args__: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        right = f"finite numbers below {LARGEST_LENGTH:g} in size"
        require(
            *((_in_size(getattr(self, name)), name, right) for name in type(self).__match_args__)
        )
        require(*self._checks())

    def _checks(self) -> Iterable[Check]:
        """What else must hold, with the field that it is about and what would be right."""
        return ()
