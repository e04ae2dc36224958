"""What a tape, a level or an angle gauge reads off the car: one number about one or two points.

Points go by whatever name the caller has for them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, get_args

from kinematics.errors import Problem
from kinematics.part import Part
from kinematics.parts import Point
from kinematics.sure.tape import class_ii_limit_mm

BetweenKind = Literal["distance", "rise", "slope"]
OfKind = Literal["up", "out", "fore", "across"]
ReadingKind = Literal[BetweenKind, OfKind]
BETWEEN_KINDS: tuple[BetweenKind, ...] = get_args(BetweenKind)
OF_KINDS: tuple[OfKind, ...] = get_args(OfKind)
READING_KINDS: tuple[ReadingKind, ...] = (*BETWEEN_KINDS, *OF_KINDS)
# What an angle gauge with a bubble can be read to: common practice, no source.
GAUGE_LIMIT_DEG = 0.2
STEEPEST_DEG = 90.0


@dataclass(frozen=True, slots=True)
class Mark(Part):
    """A helper point on the body that a tape can be held to; ``at`` is roughly where it is."""

    name: str
    at: Point

    def _problems(self) -> Iterable[Problem]:
        if not self.name.strip():
            yield Problem("name", "expected a name")


@dataclass(frozen=True, slots=True)
class Reading(Part):
    """One number read off the car, mm, or degrees for a slope.

    ``distance``, ``rise`` (up of the second point less that of the first) and
    ``slope`` (above horizontal, from the first point to the second, in the front
    view) are between two points; ``up``, ``out``, ``fore`` and ``across`` (to the
    same point on the car's other side) of one.  ``error`` is the limit each way;
    None: that of a class II tape to a surface, or of an angle gauge.  ``travel``
    and ``steer`` are where the wheel was held.
    """

    kind: ReadingKind
    points: tuple[str, ...]
    value: float
    error: float | None = None
    travel: float = 0.0
    steer: float = 0.0

    def _problems(self) -> Iterable[Problem]:
        if self.kind not in READING_KINDS:
            yield Problem("kind", f"expected one of {', '.join(READING_KINDS)}")
            return
        if self.kind in BETWEEN_KINDS:
            if len(self.points) != 2 or self.points[0] == self.points[1]:
                yield Problem("between", "expected two different points")
        elif len(self.points) != 1:
            yield Problem("of", "expected one point")
        if self.kind in ("distance", "across") and self.value <= 0.0:
            yield Problem(self.kind, "expected mm, above 0")
        if self.kind == "slope" and abs(self.value) > STEEPEST_DEG:
            yield Problem("slope", f"expected degrees from −{STEEPEST_DEG:g} to {STEEPEST_DEG:g}")
        if self.error is not None and self.error <= 0.0:
            yield Problem("error", "expected a limit each way, above 0")

    @property
    def limit(self) -> float:
        """The largest error each way, mm, or degrees for a slope."""
        if self.error is not None:
            return self.error
        return GAUGE_LIMIT_DEG if self.kind == "slope" else class_ii_limit_mm(self.value)

    @property
    def standard_uncertainty(self) -> float:
        """One standard deviation of a rectangular spread: limit/√3 (JCGM 100, 4.3.7)."""
        return self.limit / math.sqrt(3.0)
