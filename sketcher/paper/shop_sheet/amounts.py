"""Lengths in mm and inches at once, rounded alike."""

from __future__ import annotations

from sketcher.words.answer import brief
from sketcher.words.lengths import Lengths
from sketcher.words.units import Rounding, format_fraction, format_length, format_number

_KEPT = "\xa0"


def _fraction(mm: float, rounding: Rounding = "nearest") -> str:
    """The inch fraction in one piece: a line must not end between 1 and 1/2."""
    return format_fraction(mm, rounding=rounding).replace(" ", _KEPT)


def inches(mm: float, rounding: Rounding = "nearest") -> str:
    """Inches with the fraction to 1/64 first, which a tape shows: ``15 25/64" (15.394 in)``."""
    decimal = format_length(mm, "in", rounding=rounding)
    return f"{_fraction(mm, rounding)} ({decimal})"


def both(mm: float, rounding: Rounding = "nearest") -> str:
    """A length in a sentence: ``391.0 mm (15 25/64")``."""
    return f"{format_length(mm, rounding=rounding)} ({_fraction(mm, rounding)})"


def as_typed(mm: float) -> str:
    """A length of the scene in a sentence, as it was typed: ``3 mm (1/8")``."""
    return f"{brief(mm)} mm ({_fraction(mm)})"


def angle(degrees: float) -> str:
    """A joint angle in a table, rounded up."""
    return format_number(degrees, 1, "up")


class _Both(Lengths):
    """The words of making: the inch fraction beside what is marked, decimals beside a fit."""

    from_joint = False

    def size(self, mm: float) -> str:
        """A length as it was typed: ``25.05 mm (0.986 in)``."""
        return f"{super().size(mm)} ({format_length(mm, 'in')})"


SAY = _Both(say=both)
