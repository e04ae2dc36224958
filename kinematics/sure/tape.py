"""How far each measured point and length can be trusted.

A tape reads within a limit, every value inside it as likely as any other
(rectangular); what was measured often is known by its standard deviation
(normal).  Both act on each coordinate by itself.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from typing import Generic, Literal, TypeVar

import numpy as np

from kinematics.errors import Check
from kinematics.part import Part
from kinematics.vectors import Array

# How things are named: in the mechanics by what is measured, in a scene as it writes them.
Thing_co = TypeVar("Thing_co", bound=Hashable, covariant=True)
Spread = Literal["limit", "sigma"]
SPREADS: tuple[Spread, ...] = ("limit", "sigma")

# Directive 2014/32/EU (measuring instruments), annex X, material measures of length, class II.
_BASE_MM = 0.3
_PER_METRE_MM = 0.2
_SURFACE_MM = 0.2


def class_ii_limit_mm(length_mm: float, *, to_surface: bool = True) -> float:
    """Largest error of an accuracy class II tape over a length, mm, each way.

    0.3 + 0.2 L with L in metres, rounded up to whole ones; 0.2 more where one
    end is a surface and not a line (Measuring Instruments Directive, annex on
    material measures of length).

    >>> class_ii_limit_mm(690.0)
    0.7
    """
    metres = max(1, math.ceil(abs(length_mm) / 1000.0))
    return round(_BASE_MM + _PER_METRE_MM * metres + (_SURFACE_MM if to_surface else 0.0), 10)


@dataclass(frozen=True, slots=True)
class Error:
    """The error of one number: ± a limit, or one standard deviation, mm."""

    size_mm: float
    spread: Spread = "limit"

    @property
    def standard_uncertainty_mm(self) -> float:
        """One standard deviation; limit/√3 for a rectangular spread (JCGM 100, 4.3.7)."""
        return self.size_mm / math.sqrt(3.0) if self.spread == "limit" else self.size_mm

    def drawn(self, rng: np.random.Generator, count: int) -> Array:
        """Errors as they could have been, mm."""
        if self.spread == "limit":
            return rng.uniform(-self.size_mm, self.size_mm, count)
        return rng.normal(0.0, self.size_mm, count)


@dataclass(frozen=True, slots=True)
class TapeError(Part, Generic[Thing_co]):
    """The error of one thing: a :class:`~kinematics.sure.measurands.Measurand`.

    ``size`` is mm: one number for a length or all coordinates alike, or one for
    each coordinate [out, up, fore].
    """

    thing: Thing_co
    size: tuple[float, ...]
    spread: Spread = "limit"

    def _checks(self) -> Iterable[Check]:
        yield len(self.size) in (1, 3), "size", "one number in mm, or [out, up, fore]"
        yield not any(size < 0 for size in self.size), "size", "mm each way, 0 or more"
        yield self.spread in SPREADS, "spread", "limit (each way) or sigma (standard deviation)"

    def of(self, axis: int | None) -> Error:
        """The error along one axis; of a length along none."""
        return Error(self.size[axis if axis and len(self.size) > 1 else 0], self.spread)


@dataclass(frozen=True, slots=True)
class Tape(Part, Generic[Thing_co]):
    """What was measured with.

    ``limit`` holds for whatever ``errors`` does not name; None: a class II tape
    laid to a surface.  That is the tape alone: finding the centre of a joint
    inside its boot, or a plumb line's swing, can cost more.
    """

    limit: float | None = None
    errors: tuple[TapeError[Thing_co], ...] = ()

    def _checks(self) -> Iterable[Check]:
        yield self.limit is None or self.limit >= 0, "limit", "mm each way, 0 or more"
        things = [error.thing for error in self.errors]
        for thing in dict.fromkeys(things):
            yield things.count(thing) == 1, "errors", f"{thing} once"

    def error_of(self, thing: Hashable, axis: int | None, value_mm: float) -> Error:
        """The error of one coordinate, or of a length, that reads ``value_mm``."""
        for error in self.errors:
            if error.thing == thing:
                return error.of(axis)
        if self.limit is not None:
            return Error(self.limit)
        return Error(class_ii_limit_mm(value_mm))
