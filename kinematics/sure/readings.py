"""What a tape, a level or an angle gauge reads off the car: one number about one or two points.

Points go by whatever name the caller has for them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, get_args

from kinematics.errors import Check
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

    def _checks(self) -> Iterable[Check]:
        yield self.name.strip(), "name", "a name"


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

    def _checks(self) -> Iterable[Check]:
        if self.kind not in READING_KINDS:
            yield False, "kind", f"one of {', '.join(READING_KINDS)}"
            return
        if self.kind in BETWEEN_KINDS:
            yield len(self.points) == len(set(self.points)) == 2, "between", "two different points"
        else:
            yield len(self.points) == 1, "of", "one point"
        yield self.kind not in ("distance", "across") or self.value > 0.0, self.kind, "mm, above 0"
        lies = self.kind != "slope" or abs(self.value) <= STEEPEST_DEG
        yield lies, "slope", f"degrees from −{STEEPEST_DEG:g} to {STEEPEST_DEG:g}"
        yield self.error is None or self.error > 0.0, "error", "a limit each way, above 0"

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
