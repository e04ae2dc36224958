"""Whether a welded shaft runs true enough: residual unbalance, grade, runout, length.

Only the bar's own mass counts, for the joints turn on their own centres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.errors import Check, require
from kinematics.making.pieces import ShaftPiece, mass_kg, require_in_order
from kinematics.making.straightness import Straightness
from kinematics.part import Part

# ISO 21940-11 (memory): its balance quality grades, mm/s, and the one of cars' drive shafts.
GRADES_MM_S = (0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0)
GRADE_CAR_DRIVE_SHAFT = 40.0
# Common practice, no source: 0.13 to 0.15 mm (0.005 to 0.006 in) on a low-powered shaft.
USUAL_TIR_LIMIT_MM = 0.1524
_STATIONS = 400

LengthVerdict = Literal["inside", "doubtful", "too short", "too long"]


@dataclass(frozen=True, slots=True)
class Balance:
    """Unbalance that a crooked shaft is left with, at its top speed.

    Split between the planes of the two joints; their sum counts, on the safe side of the
    vector sum.
    """

    mass_kg: float
    speed_rpm: float
    outer_gmm: float
    inner_gmm: float

    @property
    def unbalance_gmm(self) -> float:
        """Residual unbalance, g·mm."""
        return self.outer_gmm + self.inner_gmm

    @property
    def mass_offset_um(self) -> float:
        """Unbalance for each kg of mass: the mass centre's offset, µm."""
        return self.unbalance_gmm / self.mass_kg

    @property
    def velocity_mm_s(self) -> float:
        """Offset times angular speed, mm/s: what a balance grade limits."""
        return self.mass_offset_um * 1e-3 * self.speed_rpm * math.pi / 30.0

    @property
    def grade(self) -> float | None:
        """The finest grade that it lies within; None where it lies within none."""
        return next((grade for grade in GRADES_MM_S if self.velocity_mm_s <= grade), None)

    def allowed_gmm(self, grade_mm_s: float) -> float:
        """Residual unbalance that a grade of ISO 21940-11 allows, ``9549 G m/n``, g·mm."""
        return 30e3 / math.pi * grade_mm_s * self.mass_kg / self.speed_rpm


def residual_unbalance(
    pieces: Sequence[ShaftPiece], straight: Straightness, speed_rpm: float
) -> Balance:
    """Unbalance of the shaft's own mass about the line through its joint centres.

    Raises InvalidInput for pieces out of order and a speed not above 0.
    """
    require_in_order(pieces)
    require((speed_rpm > 0.0, "speed_rpm", "turns a minute above 0"))
    outer = inner = 0j
    for piece in pieces:
        step = piece.length_mm / _STATIONS
        at = piece.from_ + (np.arange(_STATIONS) + 0.5) * step
        each = sum(layer.mass_kg_per_mm for layer in piece.layers) * 1e3 * step
        moment = straight.offset_mm(at) * each
        to_inner = at / straight.length_mm
        outer += complex(np.sum(moment * (1.0 - to_inner)))
        inner += complex(np.sum(moment * to_inner))
    return Balance(mass_kg(pieces), speed_rpm, abs(outer), abs(inner))


@dataclass(frozen=True, slots=True)
class Judged:
    """One thing that was measured against its limit, mm or mm/s, and where that is from."""

    quantity: Literal["runout", "balance"]
    value: float
    limit: float
    source: str

    @property
    def holds(self) -> bool:
        """Whether the value is within its limit."""
        return self.value <= self.limit


@dataclass(frozen=True, slots=True, eq=False)
class Trueness:
    """Whether a shaft runs true enough to be used, and why."""

    straight: Straightness
    balance: Balance
    judged: tuple[Judged, ...]


def trueness(pieces: Sequence[ShaftPiece], straight: Straightness, speed_rpm: float) -> Trueness:
    """Judge runout and residual unbalance at top speed; raises as residual_unbalance does."""
    balance = residual_unbalance(pieces, straight, speed_rpm)
    source = "common practice, no source, for low-powered shafts"
    runout = Judged("runout", straight.worst_runout_mm, USUAL_TIR_LIMIT_MM, source)
    source = "ISO 21940-11, G40: drive shafts of cars"
    grade = Judged("balance", balance.velocity_mm_s, GRADE_CAR_DRIVE_SHAFT, source)
    return Trueness(straight, balance, (runout, grade))


@dataclass(frozen=True, slots=True)
class FinishedLength(Part):
    """A finished shaft's length against the ends of its length window.

    ``within_mm`` is how far the measured length may be wrong, each way.
    """

    length_mm: float
    shortest_mm: float
    longest_mm: float
    within_mm: float = 0.5

    @property
    def to_spare_mm(self) -> float:
        """To the nearer end of the window; negative outside it."""
        return min(self.length_mm - self.shortest_mm, self.longest_mm - self.length_mm)

    @property
    def verdict(self) -> LengthVerdict:
        """Inside, outside, or too near an end for the way it was measured."""
        if self.to_spare_mm >= self.within_mm:
            return "inside"
        if self.to_spare_mm >= 0.0:
            return "doubtful"
        return "too short" if self.length_mm < self.shortest_mm else "too long"

    def _checks(self) -> Iterable[Check]:
        yield self.length_mm > 0.0, "length_mm", "mm between joint centres, above 0"
        ordered = self.shortest_mm <= self.longest_mm
        yield ordered, "window_mm", "shortest and longest length in mm"
        yield self.within_mm >= 0.0, "within_mm", "mm each way, 0 or more"
