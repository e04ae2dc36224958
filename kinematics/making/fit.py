"""How a sleeve fits its bars: a sliding fit, or the gap that its fillet welds bridge."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

# ISO 286-2 (memory), thousandths of a mm: diameter up to, H8 of the bore, g7 of the bar
# (its deviation from the nominal size and its tolerance).
_H8_G7 = (
    (10.0, 22.0, 5.0, 15.0),
    (18.0, 27.0, 6.0, 18.0),
    (30.0, 33.0, 7.0, 21.0),
    (50.0, 39.0, 9.0, 25.0),
    (80.0, 46.0, 10.0, 30.0),
)
# ISO 5817, quality level B, no. 617 (memory): the root gap of a fillet with throat a.
_ROOT_GAP, _ROOT_GAP_PER_THROAT, _ROOT_GAP_MOST = 0.5, 0.1, 2.0
_THROAT_PER_LEG = 0.5**0.5


@dataclass(frozen=True, slots=True)
class SleeveFit:
    """Clearance of a sleeve on its bars, on the diameter, mm.

    From ``least_mm`` to ``sliding_mm`` it slides and sits straight by itself (ISO 286, H8/g7);
    up to ``most_mm`` its fillets bridge the gap (ISO 5817, level B) and it has to be centred.
    """

    clearance_mm: float
    least_mm: float
    sliding_mm: float
    most_mm: float

    @property
    def slides(self) -> bool:
        """Whether it sits straight by itself."""
        return self.clearance_mm <= self.sliding_mm + 1e-9


def sleeve_fit(bore_mm: float, diameter_mm: float, leg_mm: float) -> SleeveFit:
    """The fit of a sleeve's bore on bars of a diameter, with fillets of a leg."""
    row = bisect_left([largest for largest, *_ in _H8_G7], diameter_mm)
    _, hole, below, shaft = _H8_G7[min(row, len(_H8_G7) - 1)]
    gap = min(_ROOT_GAP_MOST, _ROOT_GAP + _ROOT_GAP_PER_THROAT * _THROAT_PER_LEG * leg_mm)
    return SleeveFit(
        clearance_mm=bore_mm - diameter_mm,
        least_mm=below * 1e-3,
        sliding_mm=(hole + below + shaft) * 1e-3,
        most_mm=2.0 * gap,
    )
