"""What can go wrong, in few classes under one base."""

from __future__ import annotations

from dataclasses import dataclass


class KinematicsError(Exception):
    """Base of every error this package raises on purpose."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input: the field it is in and what would be right.

    ``part`` says whose field, and which of several by its ``number``, where it is not the
    field of what was just made.
    """

    field: str
    message: str
    part: str = ""
    number: int | None = None

    def __str__(self) -> str:
        part = self.part if self.number is None else f"{self.part} {self.number + 1}"
        where = ", ".join(word for word in (part, self.field) if word)
        return f"{where}: {self.message}" if where else self.message


class InvalidInput(KinematicsError, ValueError):
    """An input that describes no real part; carries every problem found in it."""

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in self.problems))


def invalid(field: str, message: str, part: str = "", number: int | None = None) -> InvalidInput:
    """The error of one problem alone."""
    return InvalidInput([Problem(field, message, part, number)])


# Whether something holds, the field that it is about, and what would be right.
Check = tuple[object, str, str]


def require(*checks: Check) -> None:
    """Raise InvalidInput with a problem for each check that does not hold.

    >>> require((20 > 0, "diameter", "mm above 0"), (3 > 5, "to", "more than from"))
    Traceback (most recent call last):
    kinematics.errors.InvalidInput: to: expected more than from
    """
    problems = [Problem(field, f"expected {right}") for holds, field, right in checks if not holds]
    if problems:
        raise InvalidInput(problems)


class OutOfReach(KinematicsError):
    """A travel or steer angle at which the linkage cannot close."""

    def __init__(
        self, quantity: str, asked: float, lowest: float, highest: float, unit: str
    ) -> None:
        self.quantity = quantity
        self.asked = asked
        self.lowest = lowest
        self.highest = highest
        self.unit = unit
        super().__init__(
            f"{quantity} {asked:g} {unit} is out of reach: the linkage closes from "
            f"{lowest:.2f} {unit} to {highest:+.2f} {unit}"
        )
