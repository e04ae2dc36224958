"""How the two halves are joined: butt weld with a spigot, sleeve, or both."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kinematics.errors import Check
from kinematics.making.donors import ENDS, End, Span
from kinematics.making.steels import DEFAULT_SLEEVE_STEEL, FILLER_YIELD_MPA, Steel
from kinematics.part import Part
from kinematics.parts import Section

SLEEVE = "sleeve"
# Common practice, no source.
DEFAULT_TRIM = 3.0
DEFAULT_CLEAR = 10.0
DEFAULT_LEG = 5.0
_TOUCHING = 1e-9


@dataclass(frozen=True, slots=True)
class Butt(Part):
    """A butt weld round the bars where they meet, with or without a spigot.

    ``bevel_angle`` of each side from square, degrees; ``bevel_depth`` from the surface,
    None for as deep as there is metal (full penetration).  ``spigot_length`` sticks out of
    the face of ``spigot_on`` into ``bore`` of the other; 0 for no spigot.
    """

    bevel_angle: float = 30.0
    bevel_depth: float | None = None
    spigot_length: float = 0.0
    bore: float = 0.0
    spigot_on: End = "gearbox"
    spigot_clearance: float = 0.05

    def _checks(self) -> Iterable[Check]:
        yield 0 <= self.bevel_angle < 80, "bevel_angle", "degrees from square, 0 to less than 80"
        yield self.bevel_depth is None or self.bevel_depth > 0, "bevel_depth", "mm above 0"
        yield self.spigot_length >= 0, "spigot_length", "mm, 0 or more"
        bored = self.spigot_length < 0 or (self.spigot_length > 0) == (self.bore > 0)
        yield bored, "bore", "mm above 0 with a spigot, and 0 without one"
        yield self.spigot_on in ENDS, "spigot_on", "hub or gearbox"
        loose = 0 <= self.spigot_clearance < max(self.bore, 1.0)
        yield loose, "spigot_clearance", "mm, 0 or more and less than bore"


@dataclass(frozen=True, slots=True)
class Sleeve(Part):
    """A tube over both bars, with a fillet weld of ``leg`` at each end.

    ``leg``: None for the usual one, or as much as the wall allows.  ``at``: its middle from the
    outer joint's centre; over the splice where None.  A ``split`` sleeve is laid round the bars
    and welded along; a whole one is slid on.
    """

    length: float
    bore: float
    outside_diameter: float
    at: float | None = None
    fit_clearance: float = 0.05
    split: bool = False
    leg: float | None = None
    steel: Steel = DEFAULT_SLEEVE_STEEL

    @property
    def wall_mm(self) -> float:
        """Thickness of the tube."""
        return 0.5 * (self.outside_diameter - self.bore)

    @property
    def leg_mm(self) -> float:
        """Leg of the fillet, as given or the usual one; never above the wall it stands on."""
        return min(DEFAULT_LEG if self.leg is None else self.leg, self.wall_mm)

    def _checks(self) -> Iterable[Check]:
        for name in ("length", "bore", "leg"):
            value = getattr(self, name)
            yield value is None or value > 0, name, "mm above 0"
        tube = self.outside_diameter > self.bore
        yield tube, "outside_diameter", "mm, more than bore"
        # A fillet on the end of a tube cannot stand higher than the tube's wall.
        stands = not tube or self.leg is None or self.leg <= self.wall_mm + _TOUCHING
        yield stands, "leg", f"mm, up to the sleeve's wall of {self.wall_mm:g} mm"
        loose = 0 <= self.fit_clearance < self.bore
        yield loose, "fit_clearance", "mm, 0 or more and less than bore"


@dataclass(frozen=True, slots=True)
class Splice(Part):
    """Where and how two donors are joined.

    ``at``: middle of the gap between the bars' faces, from the outer joint's centre.
    ``root_gap`` is set before welding, ``shrinkage`` what welding takes off the length (a
    test piece tells).  ``diameter``: what both bars are turned to, None for as thick as both
    allow.  ``trim``: left on the end that is cut last.  ``clear``: kept between welds and
    anything that heat or a sleeve would spoil.  ``turn_radius`` at the end of the turned part.
    ``heat_treated_after``: hardened and tempered anew, so that no weld leaves it soft.
    """

    at: float
    butt: Butt | None = None
    sleeve: Sleeve | None = None
    root_gap: float = 0.0
    shrinkage: float = 0.0
    diameter: float | None = None
    trim: float = DEFAULT_TRIM
    clear: float = DEFAULT_CLEAR
    turn_radius: float = 1.0
    filler_yield: float = FILLER_YIELD_MPA
    heat_treated_after: bool = False

    @property
    def spigot_mm(self) -> float:
        """Length of the spigot; 0 without one."""
        return self.butt.spigot_length if self.butt else 0.0

    @property
    def bore_mm(self) -> float:
        """Bore for the spigot; 0 without one."""
        return self.butt.bore if self.butt else 0.0

    @property
    def gap_after_mm(self) -> float:
        """Between the faces once welded."""
        return self.root_gap - self.shrinkage

    @property
    def sleeve_span_mm(self) -> Span | None:
        """Both ends of the sleeve from the outer joint's centre."""
        if self.sleeve is None:
            return None
        middle = self.at if self.sleeve.at is None else self.sleeve.at
        return middle - 0.5 * self.sleeve.length, middle + 0.5 * self.sleeve.length

    def depth_mm(self, diameter_mm: float) -> float:
        """How deep the butt weld is, on bars of this diameter."""
        wall = 0.5 * (diameter_mm - self.bore_mm)
        given = self.butt.bevel_depth if self.butt else None
        return wall if given is None else given

    def butt_span_mm(self, diameter_mm: float) -> Span:
        """Both sides of the butt weld at the surface; the bare gap without one."""
        half = 0.5 * self.root_gap
        if self.butt is not None:
            slope = math.tan(math.radians(self.butt.bevel_angle))
            half += slope * self.depth_mm(diameter_mm)
        return self.at - half, self.at + half

    def welded_span_mm(self, diameter_mm: float) -> Span:
        """All that the welds and the sleeve take up along the shaft."""
        low, high = self.butt_span_mm(diameter_mm)
        span = self.sleeve_span_mm
        if self.sleeve is None or span is None:
            return low, high
        return min(low, span[0] - self.sleeve.leg_mm), max(high, span[1] + self.sleeve.leg_mm)

    def heated_mm(self, diameter_mm: float) -> tuple[Span, ...]:
        """Stretches of the shaft in which welds take hardening out of its steel, in order, mm.

        A bar's diameter from each weld's toe (common practice, no source; the zone that is seen
        in a section is narrower); a split sleeve is heated all along by its seams.  None where
        the shaft is heat treated after welding.
        """
        spans: list[Span] = []
        if self.butt is not None:
            low, high = self.butt_span_mm(diameter_mm)
            spans.append((low - diameter_mm, high + diameter_mm))
        if self.sleeve is not None and self.sleeve_span_mm is not None:
            low, high = self.sleeve_span_mm
            outside = self.sleeve.leg_mm + diameter_mm
            if self.sleeve.split:
                spans.append((low - outside, high + outside))
            else:
                spans.append((low - outside, low + diameter_mm))
                spans.append((high - diameter_mm, high + outside))
        return () if self.heat_treated_after else tuple(_merged(sorted(spans)))

    def _checks(self) -> Iterable[Check]:
        yield self.butt is not None or self.sleeve is not None, "", "a butt weld, a sleeve, or both"
        yield self.at > 0, "at", "mm from the outer joint's centre, above 0"
        for name in ("root_gap", "shrinkage", "trim", "clear"):
            yield getattr(self, name) >= 0, name, "mm, 0 or more"
        for name in ("turn_radius", "filler_yield"):
            yield getattr(self, name) > 0, name, "a number above 0"
        yield self.diameter is None or self.diameter > 0, "diameter", "mm above 0"
        reaches = not 0 < self.spigot_mm <= self.root_gap
        yield reaches, "root_gap", "mm, less than the spigot is long"


def sleeve_section(splice: Splice) -> Section | None:
    """The sleeve as a piece of the shaft's outline; None without one."""
    span = splice.sleeve_span_mm
    if splice.sleeve is None or span is None:
        return None
    return Section(SLEEVE, *span, (splice.sleeve.outside_diameter, splice.sleeve.outside_diameter))


def _merged(spans: list[Span]) -> Iterator[Span]:
    while spans:
        low, high = spans.pop(0)
        while spans and spans[0][0] <= high:
            high = max(high, spans.pop(0)[1])
        yield low, high
