"""What is measured on the car at a trial fit, and what a corner predicts for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from kinematics.errors import Check
from kinematics.part import Part
from kinematics.parts import Corner
from kinematics.shaft.following import reaching
from kinematics.sure.measurands import Coordinate
from kinematics.sure.tape import SPREADS, Error, Spread, class_ii_limit_mm
from kinematics.sure.variants import Positions, Variants
from kinematics.vectors import Array

TrialQuantity = Literal["centre_distance", "plunge"]
QUANTITIES: tuple[TrialQuantity, ...] = ("centre_distance", "plunge")


@dataclass(frozen=True, slots=True)
class TrialMeasurement(Part):
    """One measurement on the car at one wheel travel, mm.

    ``quantity`` is the centre distance of a dummy shaft with its inner joint at
    mid-stroke, or the plunge of the shaft itself (+ pulled out).  ``error`` is
    that of ``value``, ``travel_error`` that of the travel; None takes a class
    II tape to a surface.
    """

    travel: float
    value: float
    quantity: TrialQuantity = "centre_distance"
    error: float | None = None
    travel_error: float | None = None
    spread: Spread = "limit"
    steer: float = 0.0

    def _checks(self) -> Iterable[Check]:
        yield self.quantity in QUANTITIES, "quantity", "centre_distance or plunge"
        apart = self.quantity != "centre_distance" or self.value > 0
        yield apart, "value", "mm between joint centres, above 0"
        yield self.spread in SPREADS, "spread", "limit (each way) or sigma (standard deviation)"
        yield self.error is None or self.error > 0, "error", "mm each way, above 0"
        known = self.travel_error is None or self.travel_error >= 0
        yield known, "travel_error", "mm each way, 0 or more"

    @property
    def value_error(self) -> Error:
        """The error of the value."""
        return self._error(self.error, self.value)

    @property
    def height_error(self) -> Error:
        """The error of the travel."""
        return self._error(self.travel_error, self.travel)

    def _error(self, given: float | None, length_mm: float) -> Error:
        if given is None:
            return Error(class_ii_limit_mm(length_mm))
        return Error(given, self.spread)


@dataclass(frozen=True, slots=True, eq=False)
class Predictions:
    """Predicts every measurement for any offsets of the chosen coordinates."""

    corner: Corner
    every: tuple[Coordinate, ...]
    chosen: tuple[int, ...]
    measurements: tuple[TrialMeasurement, ...]

    def predicted(self, offsets_mm: Array, rise_mm: float = 0.0) -> Array:
        """Predictions, shape (variants, measurements); all travels ``rise_mm`` higher."""
        every = np.zeros((len(offsets_mm), len(self.every)))
        every[:, self.chosen] = offsets_mm
        variants = Variants(self.corner, self.every, every)
        travel = np.array([one.travel for one in self.measurements]) + rise_mm
        steer = np.array([one.steer for one in self.measurements])
        positions = Positions.of(self.corner, travel, steer)
        outer, _ = variants.outer_joint(positions)
        span = outer - variants.point("inner_joint", "mid_stroke")
        seen = reaching(replace(self.corner.shaft.inner_joint, mid_stroke=(0.0, 0.0, 0.0)), span)
        if not has_plunge(self.measurements):
            return seen.swept_length_mm
        assert self.corner.shaft.length is not None
        with np.errstate(invalid="ignore"):
            length = self.corner.shaft.length + variants.offset_mm("shaft", "length")
            plunge = seen.plunge_mm(length)
        marks = np.array([one.quantity == "plunge" for one in self.measurements])
        return np.where(marks, plunge, seen.swept_length_mm)

    def slopes(self, offsets_mm: Array, step_mm: float = 0.01) -> Array:
        """How each prediction follows each coordinate, shape (measurements, coordinates)."""
        steps = step_mm * np.eye(len(self.chosen))
        either = self.predicted(np.concatenate((offsets_mm + steps, offsets_mm - steps)))
        count = len(self.chosen)
        return np.asarray((either[:count] - either[count:]).T / (2.0 * step_mm))

    def uncertainty_mm(self) -> Array:
        """Standard uncertainty of each measurement, that of its travel carried over."""
        nothing = np.zeros((1, len(self.chosen)))
        step = 0.25
        rising = (self.predicted(nothing, step) - self.predicted(nothing, -step))[0]
        # At the very end of what was measured there is no slope to carry over from beyond.
        rising = np.nan_to_num(rising / (2.0 * step))
        value = np.array([one.value_error.standard_uncertainty_mm for one in self.measurements])
        height = np.array([one.height_error.standard_uncertainty_mm for one in self.measurements])
        return np.asarray(np.hypot(value, rising * height))


def has_plunge(measurements: Sequence[TrialMeasurement]) -> bool:
    """Whether any of them is a plunge, which hangs on the shaft's length."""
    return any(one.quantity == "plunge" for one in measurements)
