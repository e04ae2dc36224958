"""Where to cut two donors for one shaft, and why it may not be possible.

::

    outer joint                                              inner joint
       ●───────hub donor──────┐│┌──────gearbox donor─────────────●
       │◀─────── cut ────────▶│││◀────────── cut ───────────────▶│
       │◀──────────────────── length ───────────────────────────▶│

Pieces + root gap − spigot − weld shrinkage = length, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kinematics.making.by_hand import LATHE_MM, up_to
from kinematics.making.donors import Donor, End
from kinematics.making.splice import Splice
from kinematics.parts import Section

# A bore is made this much deeper than its spigot reaches.
BORE_BEYOND = 1.0
_ROUNDING = 1e-9

Reason = Literal[
    "donor too short",
    "nothing known there",
    "weld or sleeve on",
    "weld or sleeve under",
    "bar too thin",
    "sleeve too loose",
    "sleeve too tight",
    "sleeve misses the splice",
    "nowhere to slide the sleeve",
    "bore too large",
    "bevel too deep",
    "outside the length window",
]


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a shaft must not be made so: the end it is about, what is in the way, by how much."""

    reason: Reason
    amount_mm: float
    end: End | None = None
    what: str = ""

    def __str__(self) -> str:
        where = f"{self.end} donor: " if self.end else ""
        what = f" {self.what}" if self.what else ""
        return f"{where}{self.reason}{what}, by {self.amount_mm:.2f} mm"


@dataclass(frozen=True, slots=True)
class Cut:
    """The cut through one donor; distances from its own joint's centre, mm.

    ``face_mm``: to the face that meets the other bar.  ``cut_mm``: to the finished end,
    spigot included; the saw leaves ``trim_mm`` on it.  ``turned_from_mm``: from there to the
    end it is turned to the common diameter; None where it has that already.
    """

    end: End
    donor: Donor
    face_mm: float
    cut_mm: float
    trim_mm: float
    turned_from_mm: float | None

    @property
    def first_cut_mm(self) -> float:
        """Where the saw goes."""
        return self.cut_mm + self.trim_mm

    @property
    def plain_to_mm(self) -> float:
        """How far the bar stays as it is: to where turning begins, or to the face."""
        return self.face_mm if self.turned_from_mm is None else self.turned_from_mm

    def slides_to_mm(self, bore_mm: float) -> float:
        """How far back towards its joint a sleeve of a bore slides on this bar."""
        thick = (s for s in self.donor.stretches if s.diameter > bore_mm + _ROUNDING)
        stops = [min(s.to, self.plain_to_mm) for s in thick if s.from_ < self.plain_to_mm]
        return stops[-1] if stops else self.donor.stretches[0].from_

    @property
    def cut_from_datum_mm(self) -> float:
        """The finished end from the datum."""
        return self.cut_mm - self.donor.datum.at

    @property
    def first_cut_from_datum_mm(self) -> float:
        """Where the saw goes, from the datum."""
        return self.first_cut_mm - self.donor.datum.at

    @property
    def left_over_mm(self) -> float:
        """Sound bar beyond the saw's cut; negative by what is lacking."""
        return self.donor.usable_to - self.first_cut_mm


@dataclass(frozen=True, slots=True)
class LengthTolerance:
    """How much shorter or longer the shaft may come out and stay in its window."""

    shorter_mm: float
    longer_mm: float
    cuts: int

    @property
    def each_cut_mm(self) -> float:
        """What each cut may be off, either way, where the errors of ``cuts`` add up."""
        return min(self.shorter_mm, self.longer_mm) / self.cuts


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Where to cut both donors for a shaft of ``length_mm``.

    ``first`` is the end that is cut first: once, to its finished length, and left alone.
    The other is cut long by its trim and brought to length from what the first measures.
    ``refusals`` tells why it must not be cut so; with any, the figures show what was asked.
    ``sleeve`` is a section of the shaft's outline, for clearance.
    """

    length_mm: float
    splice: Splice
    hub: Cut
    gearbox: Cut
    first: End
    diameter_mm: float
    sleeve: Section | None
    tolerance: LengthTolerance | None
    refusals: tuple[Refusal, ...]

    @property
    def possible(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.refusals

    @property
    def welded_span_mm(self) -> tuple[float, float]:
        """All that welds and sleeve take up, from the outer joint's centre."""
        return self.splice.welded_span_mm(self.diameter_mm)

    @property
    def bore_depth_mm(self) -> float:
        """Depth of the spigot's bore from its face; 0 without a spigot."""
        if self.splice.spigot_mm == 0.0:
            return 0.0
        return up_to(self.splice.spigot_mm - self.splice.gap_after_mm + BORE_BEYOND, LATHE_MM)

    @property
    def no_second_chance(self) -> bool:
        """Whether neither end can be cut again, so that there is no trim to put a mistake right."""
        return not (self.hub.donor.cut_twice or self.gearbox.donor.cut_twice)

    def cut(self, end: End) -> Cut:
        """The cut of one end."""
        return self.hub if end == "hub" else self.gearbox
