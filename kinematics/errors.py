"""What can go wrong, in few classes under one base."""

from __future__ import annotations

from dataclasses import dataclass


class KinematicsError(Exception):
    """Base of every error this package raises on purpose."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input: the field it is in and what would be right."""

    field: str
    message: str

    def __str__(self) -> str:
        return f"{self.field}: {self.message}" if self.field else self.message


class InvalidInput(KinematicsError, ValueError):
    """An input that describes no real part; carries every problem found in it."""

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(str(problem) for problem in self.problems))


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
            f"{lowest:.2f} to {highest:+.2f} {unit}"
        )
