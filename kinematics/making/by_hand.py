"""What hands can do: the steps in which a saw, a lathe and an angle gauge are set.

A plan's values are rounded to them once, where the plan is made, so that drawing, order of
work and table cannot differ.
"""

from __future__ import annotations

import math

# Common practice, no source.
SAW_MM = 0.5
LATHE_MM = 0.05
GAUGE_DEG = 0.5
_ROUNDING = 1e-6


def nearest(value: float, step: float) -> float:
    """The value to the nearest whole step."""
    return _whole(round(value / step), step)


def up_to(value: float, step: float) -> float:
    """The value, or the next whole step above it."""
    return _whole(math.ceil(value / step - _ROUNDING), step)


def down_to(value: float, step: float) -> float:
    """The value, or the next whole step below it."""
    return _whole(math.floor(value / step + _ROUNDING), step)


def _whole(steps: int, step: float) -> float:
    # 0.05 has no exact binary form: a count of twentieths is divided, not added up.
    return steps / round(1.0 / step)
