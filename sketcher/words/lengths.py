"""How lengths are said in the words of making: each reader's own units, one set of sentences."""

from __future__ import annotations

from collections.abc import Callable

from sketcher.words.answer import typed
from sketcher.words.units import MM_PER_INCH, Rounding, Unit, format_both, format_length

SayLength = Callable[[float, Rounding], str]


class Lengths:
    """Says lengths: places and cuts by ``place``, what was typed by ``size``.

    Diameters, bores and the like are said as they were typed, to 0.01 mm or 0.0001 in: a fit
    hangs on them.
    ``from_joint`` False leaves out how far a mark is from its joint's centre, where a drawing
    says so beside the words.
    """

    from_joint = True

    def __init__(self, unit: Unit = "mm", say: SayLength | None = None) -> None:
        self._say: SayLength = say or (lambda mm, rounding: format_both(mm, unit, rounding))
        self.unit = unit

    def place(self, mm: float, rounding: Rounding = "nearest") -> str:
        """A distance to be marked or measured: ``101.3 mm``, or inches and their fraction."""
        return self._say(mm, rounding)

    def size(self, mm: float) -> str:
        """A length as it was typed: ``25.05 mm``."""
        return format_length(mm, "in", digits=4) if self.unit == "in" else typed(mm, "mm")

    def fine(self, mm: float, rounding: Rounding = "nearest") -> str:
        """A clearance or a runout: ``0.050 mm`` or ``0.0020 in``."""
        return format_length(mm, self.unit, digits=4 if self.unit == "in" else 3, rounding=rounding)

    def summand(self, mm: float) -> str:
        """A length that others are added to: with as many digits as it takes to add up."""
        return format_length(mm, self.unit, digits=4 if self.unit == "in" else _digits(mm))

    def said_mm(self, mm: float) -> float:
        """The length that is said for one, mm: thousandths of an inch are not of a mm."""
        return round(mm / MM_PER_INCH, 3) * MM_PER_INCH if self.unit == "in" else mm

    def total(self, mm: float) -> str:
        """What summands come to."""
        return format_length(mm, self.unit, digits=3 if self.unit == "in" else _digits(mm))

    def plain(self, mm: float, rounding: Rounding = "nearest") -> str:
        """A length without a fraction beside it."""
        return format_length(mm, self.unit, rounding=rounding)


def _digits(mm: float) -> int:
    """Hundredths where there are any: a datum may be typed to them."""
    return 1 if abs(10.0 * mm - round(10.0 * mm)) < 1e-6 else 2


MM = Lengths()
