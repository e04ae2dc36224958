"""The lathe that there is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kinematics.errors import Check
from kinematics.part import Part


@dataclass(frozen=True, slots=True)
class Lathe(Part):
    """What a lathe takes, mm; None for what is not known.

    ``swing`` is the largest diameter over the bed, ``swing_over_carriage`` over the carriage,
    ``spindle_bore`` what goes through the headstock.
    """

    between_centres: float | None = None
    swing: float | None = None
    swing_over_carriage: float | None = None
    spindle_bore: float | None = None

    def _checks(self) -> Iterable[Check]:
        for name in ("between_centres", "swing", "swing_over_carriage", "spindle_bore"):
            value = getattr(self, name)
            yield value is None or value > 0, name, "mm above 0"
