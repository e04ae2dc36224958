"""How crooked a welded shaft is: runout readings to bend, step and eccentricity.

The shaft is read as two straight bars that meet at the splice.  It is turned on two
supports and a dial indicator rides on it at a few stations::

      held            splice                 held
       ●───────────────╲│                      ●
        stations  ×  ×  ││  ×     ×     ───────
                        │╲──────────────

A true circle that runs eccentric by ``e`` moves the indicator by ``2 e`` in all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from kinematics.errors import Check, require
from kinematics.part import Part
from kinematics.vectors import Array, read_only

Sides = Literal["both", "hub", "gearbox"]


@dataclass(frozen=True, slots=True)
class Runout(Part):
    """One runout reading.

    ``at`` mm from the outer joint's centre; ``tir`` the total indicator reading, largest
    minus smallest, mm; ``high_at`` where round the shaft it reads highest, degrees from any
    mark, None where it was not noted.
    """

    at: float
    tir: float
    high_at: float | None = None

    def _checks(self) -> Iterable[Check]:
        yield self.tir >= 0, "tir", "mm, largest minus smallest reading, 0 or more"


@dataclass(frozen=True, slots=True, eq=False)
class Straightness:
    """The two bars as the readings fit them best, about the line through the joint centres.

    ``kink_deg`` is the angle between the bars, ``step_mm`` how far their axes miss each
    other at the splice.  ``sides`` tells where readings were: with only one side the other
    is taken to meet it without a step.  ``clocked`` tells whether the high spots were
    noted; without them all are taken to lie on one side of the shaft.
    """

    length_mm: float
    splice_at_mm: float
    kink_deg: float
    step_mm: float
    sides: Sides
    clocked: bool
    largest_tir_mm: float
    _ends: tuple[complex, complex]

    @property
    def worst_runout_mm(self) -> float:
        """Largest total indicator reading seen, or the one to expect at the splice if larger."""
        return max(self.largest_tir_mm, *(2.0 * abs(end) for end in self._ends))

    def eccentricity_mm(self, at_mm: npt.ArrayLike) -> Array:
        """How far the shaft's centre is from the line through its joint centres, mm."""
        return read_only(np.asarray(np.abs(self.offset_mm(at_mm))))

    def offset_mm(self, at_mm: npt.ArrayLike) -> npt.NDArray[np.complex128]:
        """The same with its direction round the shaft, as complex numbers."""
        at = np.asarray(at_mm, dtype=np.float64)
        hub, gearbox = self._ends
        beyond = self.length_mm - self.splice_at_mm
        on_hub, on_gearbox = hub * at / self.splice_at_mm, gearbox * (self.length_mm - at) / beyond
        return np.where(at <= self.splice_at_mm, on_hub, on_gearbox)


def straightness(readings: Sequence[Runout], length_mm: float, splice_at_mm: float) -> Straightness:
    """Fit two straight bars to runout readings by least squares.

    The shaft is held at its joint centres while it is turned.  Raises InvalidInput where the
    splice is not between them or no reading is away from them.
    """
    away = any(reading.at not in (0.0, length_mm) for reading in readings)
    require(
        (0.0 < splice_at_mm < length_mm, "splice_at_mm", "mm between the joint centres"),
        (away, "runout", "a reading away from where the shaft is held"),
    )
    clocked = all(reading.high_at is not None for reading in readings)
    at, tir = np.array([(reading.at, reading.tir) for reading in readings]).T
    on_hub = at <= splice_at_mm
    reach = np.where(on_hub, at, length_mm - at)
    turn = [r.high_at or 0.0 if clocked else 0.0 for r in readings]
    # Beyond a support the shaft leans to the other side.
    seen = 0.5 * tir * np.exp(1j * np.radians(turn)) * (1.0 if clocked else np.sign(reach))
    hub, gearbox = _slope(reach[on_hub], seen[on_hub]), _slope(reach[~on_hub], seen[~on_hub])
    sides: Sides = "both" if hub is not None and gearbox is not None else "hub"
    beyond = length_mm - splice_at_mm
    if hub is None:
        assert gearbox is not None  # one reading or more is away from the supports
        sides, hub = "gearbox", gearbox * beyond / splice_at_mm
    elif gearbox is None:
        gearbox = hub * splice_at_mm / beyond
    ends = hub * splice_at_mm, gearbox * beyond
    return Straightness(
        length_mm=length_mm,
        splice_at_mm=splice_at_mm,
        kink_deg=float(np.degrees(abs(hub + gearbox))),
        step_mm=abs(ends[0] - ends[1]),
        sides=sides,
        clocked=clocked,
        largest_tir_mm=float(tir.max()),
        _ends=ends,
    )


def _slope(reach: Array, seen: npt.NDArray[np.complex128]) -> complex | None:
    weight = float(reach @ reach)
    return complex(reach @ seen) / weight if weight > 0.0 else None
