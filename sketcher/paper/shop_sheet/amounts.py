"""Lengths as the shop sheet says them: in mm with inches beside them, or in inches alone."""

from __future__ import annotations

from functools import cache, partial

from sketcher.words.answer import brief
from sketcher.words.lengths import Lengths
from sketcher.words.units import Rounding, Unit, format_fraction, format_length, format_number

_KEPT = "\xa0"


def fraction(mm: float, rounding: Rounding = "nearest") -> str:
    """The inch fraction in one piece: a line must not end between 1 and 1/2."""
    return format_fraction(mm, rounding=rounding).replace(" ", _KEPT)


def inches(mm: float, rounding: Rounding = "nearest") -> str:
    """Inches with the fraction to 1/64 first, which a tape shows: ``15 25/64" (15.394 in)``."""
    return f"{fraction(mm, rounding)} ({format_length(mm, 'in', rounding=rounding)})"


def angle(degrees: float) -> str:
    """A joint angle in a table, rounded up."""
    return format_number(degrees, 1, "up")


class Amounts(Lengths):
    """A sheet's lengths: ``unit`` is the one that its tables and its blanks have.

    In sentences mm have the inch fraction beside what is marked, decimals beside a fit; inches
    stand alone, as decimals with their fraction.
    """

    from_joint = False

    def __init__(self, unit: Unit = "mm") -> None:
        super().__init__(unit, say=partial(_with_fraction, unit))

    def size(self, mm: float) -> str:
        """A length as it was typed: ``25.05 mm (0.9862 in)``."""
        own = super().size(mm)
        return own if self.unit == "in" else f"{own} ({format_length(mm, 'in', digits=4)})"

    def typed(self, mm: float) -> str:
        """A length of the scene in a sentence, as it was typed: ``3 mm (1/8")``."""
        return self.place(mm) if self.unit == "in" else f"{brief(mm)} mm ({fraction(mm)})"

    def cell(self, mm: float, rounding: Rounding = "nearest", *, signed: bool = False) -> str:
        """A length in a table whose head names the unit."""
        return format_length(mm, self.unit, named=False, signed=signed, rounding=rounding)

    def other(self, mm: float) -> str:
        """The same in the table's second column: decimal inches, or the fraction."""
        if self.unit == "in":
            return fraction(mm)
        return format_length(mm, "in", named=False)

    def figure(self, mm: float, rounding: Rounding = "nearest") -> tuple[str, str]:
        """A number to work to in large letters, and what stands beside it."""
        if self.unit == "in":
            return fraction(mm, rounding), format_length(mm, "in", rounding=rounding)
        return format_length(mm, rounding=rounding), inches(mm, rounding)


def _with_fraction(unit: Unit, mm: float, rounding: Rounding) -> str:
    """``391.0 mm (15 25/64")`` or ``15.394 in (15 25/64")``."""
    return f"{format_length(mm, unit, rounding=rounding)} ({fraction(mm, rounding)})"


@cache
def amounts(unit: Unit) -> Amounts:
    """How a sheet in a unit says its lengths."""
    return Amounts(unit)
