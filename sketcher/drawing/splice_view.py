"""The splice, half in section, larger than the shaft beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kinematics.making.cut_plan import CutPlan
from kinematics.making.splice import Butt, Sleeve
from sketcher.drawing.dimensions import callouts
from sketcher.drawing.formats import ENLARGED, SCALES
from sketcher.drawing.picture import Line, Lines, Point2, Polygon, Text
from sketcher.drawing.shapes import hatching, torn
from sketcher.drawing.sheet import Sheet
from sketcher.words.answer import brief
from sketcher.words.units import Unit, format_fraction, format_length

# Mm on paper: width of the detail with its words, and the most that the drawn part may take.
DETAIL_MM, _WIDEST, _TALLEST, _LINE, _TITLE = 64.7, 40.0, 14.0, 4.4, 6.6
# Those of ISO 5455.
_SCALES = (ENLARGED, *SCALES)
_BESIDE = 6.0
# How far a break line goes to and fro, mm on paper.
_TORN = 0.5

HalfOutline = tuple[Point2, ...]
Callout = tuple[Point2, str]


def size_words(mm: float, unit: Unit) -> str:
    """A diameter as it was typed, to 0.01 mm or 0.0001 in: a fit hangs on it."""
    inches = format_length(mm, "in", digits=4)
    return f"Ø{inches}" if unit == "in" else f"Ø{brief(mm)} ({inches})"


def sleeve_words(sleeve: Sleeve, unit: Unit) -> str:
    """A sleeve's outside and bore."""
    outside, bore = sleeve.outside_diameter, sleeve.bore
    if unit == "in":
        return f"{size_words(outside, unit)} on {size_words(bore, unit)}"
    inches = ", ".join(format_length(mm, "in", digits=4, named=False) for mm in (outside, bore))
    return f"Ø{brief(outside)} on Ø{brief(bore)} ({inches} in)"


def length_words(mm: float, unit: Unit) -> str:
    """A length in the drawing's own words, with the inch fraction beside it."""
    return f"{format_length(mm, unit)} ({format_fraction(mm)})"


def _round_and_long(diameter_mm: float, length_mm: float, unit: Unit) -> str:
    long, inches = format_fraction(length_mm), format_length(diameter_mm, "in", digits=4)
    if unit == "in":
        return f"Ø{inches} × {long} ({format_length(length_mm, 'in')})"
    mm = f"Ø{brief(diameter_mm)} × {format_length(length_mm, named=False)}"
    return f"{mm} ({inches.removesuffix(' in')} × {long})"


@dataclass(frozen=True, slots=True)
class _Detail:
    """The splice's own sizes, mm; places along it from its middle, the hub to the right.

    ``hand``: which way the spigot points, + to the right; without one, + too.
    """

    plan: CutPlan
    butt: Butt

    @property
    def hand(self) -> float:
        return -1.0 if self.plan.splice.spigot_mm and self.butt.spigot_on == "hub" else 1.0

    @property
    def bar(self) -> float:
        """Half the common diameter."""
        return 0.5 * self.plan.diameter_mm

    @property
    def half(self) -> float:
        """Half of all that is drawn across."""
        sleeve = self.plan.splice.sleeve
        return self.bar if sleeve is None else 0.5 * sleeve.outside_diameter

    @property
    def gap(self) -> float:
        """Half the root gap."""
        return 0.5 * self.plan.splice.root_gap

    @property
    def depth(self) -> float:
        return self.plan.splice.depth_mm(self.plan.diameter_mm)

    @property
    def slope(self) -> float:
        """What the bevel takes along the bar."""
        return math.tan(math.radians(self.butt.bevel_angle)) * self.depth

    @property
    def near(self) -> float:
        """How far it is drawn on the spigot's own side."""
        return self.gap + self.slope + 2.0 * _BESIDE

    @property
    def far(self) -> float:
        """How far it is drawn on the bored side."""
        return max(self.near, self.gap + self.plan.bore_depth_mm + _BESIDE)

    @property
    def scale(self) -> float:
        """The largest scale at which it is small enough."""
        wide = self.near + self.far
        return next(
            (s for s in _SCALES if wide * s <= _WIDEST and self.half * s <= _TALLEST), _SCALES[-1]
        )


def detail_mm(plan: CutPlan) -> float:
    """Height of the detail on paper, its words and title included; 0 without a butt weld."""
    butt = plan.splice.butt
    if butt is None:
        return 0.0
    detail = _Detail(plan, butt)
    lines = len(list(_above(detail, "mm"))) + len(list(_below(detail, "mm")))
    return _TITLE + 4.8 + _LINE * lines + detail.half * detail.scale


def draw_detail(sheet: Sheet, plan: CutPlan, corner: Point2) -> None:
    """Draw the splice with its upper left corner at a point; nothing without a butt weld."""
    butt = plan.splice.butt
    if butt is None:
        return
    detail, paper = _Detail(plan, butt), sheet.camera.paper
    above, below = list(_above(detail, sheet.unit)), list(_below(detail, sheet.unit))
    # World mm on the sheet of one mm of the shaft.
    times, hand = paper(detail.scale), detail.hand
    y = corner[1] - paper(_TITLE + 2.4 + _LINE * len(above)) - detail.half * times
    start = corner[0] if hand > 0.0 else corner[0] + paper(DETAIL_MM)
    middle = start + hand * detail.near * times
    scale = detail.scale
    ratio = f"{scale:g}:1" if scale >= 1.0 else f"1:{1.0 / scale:g}"
    title = f"Splice, half in section, {ratio}"
    at = (corner[0], corner[1] - paper(1.8))
    sheet.add(Text(at, title, "label_strong", "", "left", "top", size="small"))

    def to(along: float, across: float) -> Point2:
        """On the sheet: along the shaft as the spigot points, from the splice."""
        return (middle + hand * along * times, y + across * times)

    for outline, pitch, angle in _parts(detail):
        placed = tuple(to(*point) for point in outline)
        sheet.add(Polygon(placed, "shaft"), Lines(hatching(placed, paper(pitch), angle), "tick"))
    beyond = paper(1.6) / times
    sheet.add(Line(to(-detail.near - beyond, 0.0), to(detail.far + beyond, 0.0), "axis"))
    for words, edge, step in (
        (above, y + detail.half * times + paper(2.4), paper(_LINE)),
        (below, y - paper(5.0), -paper(_LINE)),
    ):
        callouts(sheet, [(to(*tip), text) for tip, text in words], edge, step, hand)


def _parts(detail: _Detail) -> Iterator[tuple[HalfOutline, float, float]]:
    """Upper halves of both bars, spigot and sleeve, with their hatching, as the spigot points."""
    plan, bar, gap = detail.plan, detail.bar, detail.gap
    face = ((gap + detail.slope, bar), (gap, bar - detail.depth))
    spigot, bore = plan.splice.spigot_mm, 0.5 * detail.butt.bore
    thick = bore - 0.5 * detail.butt.spigot_clearance
    own: HalfOutline = ((-gap, 0.0),)
    other: HalfOutline = ((gap, 0.0),)
    if spigot > 0.0:
        own = ((-gap, thick), (spigot - gap, thick), (spigot - gap, 0.0))
        deep = gap + plan.bore_depth_mm
        other = ((gap, bore), (deep, bore), (deep, 0.0))
    near, far, step = detail.near, detail.far, _TORN / detail.scale
    yield (*torn(-near, 0.0, bar, step), *((-x, y) for x, y in face), *own), 1.3, 45.0
    yield (*torn(far, 0.0, bar, step), *face, *other), 1.3, -45.0
    sleeve, span = plan.splice.sleeve, plan.splice.sleeve_span_mm
    if sleeve is not None and span is not None:
        # The span is counted from the outer joint, towards the gearbox.
        ends = sorted(detail.hand * (plan.splice.at - end) for end in span)
        low, high = max(ends[0], -near), min(ends[1], far)
        inner, outer = 0.5 * sleeve.bore, detail.half
        left, right = (
            torn(x, inner, outer, step) if cut_off else ((x, inner), (x, outer))
            for x, cut_off in ((low, ends[0] < low), (high, ends[1] > high))
        )
        yield (*left, *reversed(right)), 2.0, 45.0


def _above(detail: _Detail, unit: Unit) -> Iterator[Callout]:
    """What is named over the detail, with the place that its leader goes to."""
    splice = detail.plan.splice
    sleeve = splice.sleeve
    if sleeve is not None:
        yield (-0.8 * detail.near, detail.half), f"sleeve {sleeve_words(sleeve, unit)}"
    bevel = (-detail.gap - 0.6 * detail.slope, detail.bar - 0.4 * detail.depth)
    yield bevel, f"bevel {detail.butt.bevel_angle:g}°, {length_words(detail.depth, unit)} deep"
    if splice.root_gap > 0.0:
        yield (
            (0.0, detail.bar - 0.8 * detail.depth),
            f"root gap {length_words(splice.root_gap, unit)}",
        )


def _below(detail: _Detail, unit: Unit) -> Iterator[Callout]:
    """What is named under it."""
    plan, butt = detail.plan, detail.butt
    bar = (-0.8 * detail.near, detail.bar)
    yield bar, f"bars {size_words(plan.diameter_mm, unit)}"
    spigot = plan.splice.spigot_mm
    if spigot > 0.0:
        thick = butt.bore - butt.spigot_clearance
        inside = detail.gap + 0.2 * spigot
        yield (0.0, 0.35 * thick), f"spigot {_round_and_long(thick, spigot, unit)}"
        yield (
            (inside, 0.5 * butt.bore),
            f"bore {_round_and_long(butt.bore, plan.bore_depth_mm, unit)}",
        )
