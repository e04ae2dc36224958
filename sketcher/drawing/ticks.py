"""Round values along an axis."""

from __future__ import annotations

import math
from collections.abc import Sequence

_STEPS = (1.0, 2.0, 5.0, 10.0)
FEWEST = 3


def tick_step(span: float, most: int) -> float:
    """The smallest of 1, 2, 5 × 10ⁿ that divides a span in no more than ``most`` parts."""
    rough = span / max(most, 1)
    if not rough > 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in _STEPS if step * power >= rough * (1.0 - 1e-9))


def ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Round values from low to high, both included where they are round."""
    step = tick_step(high - low, most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(i * step for i in range(first, last + 1))


def enough_ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Round values along an axis: no more than fit, yet enough to read a value between them."""
    marks = ticks(low, high, most)
    while len(marks) < FEWEST and most < 20:
        most += 1
        marks = ticks(low, high, most)
    return marks


def named_ticks(marks: Sequence[float], pitch: float, room: float) -> tuple[float, ...]:
    """The marks that are named, ``pitch`` apart, where a name takes ``room``.

    The nought is among them, unless only without it enough are named.
    """
    each = math.ceil(room / pitch) if pitch < room else 1
    step = marks[1] - marks[0]
    ways = [tuple(v for v in marks if round(v / step) % each == first) for first in range(each)]
    return next((named for named in ways if len(named) >= FEWEST), ways[0])


def tick_text(value: float, step: float, *, signed: bool = False) -> str:
    """A tick's value with as many digits as its step has, and a true minus."""
    digits = max(0, -math.floor(math.log10(step) + 1e-9))
    text = f"{value:+.{digits}f}" if signed and abs(value) > step / 2 else f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = f"{0:.{digits}f}"
    return text.replace("-", "−")
