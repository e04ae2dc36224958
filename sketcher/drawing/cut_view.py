"""The cuts as they are made: both donors in a row, the finished shaft and its splice under them.

Along the axis and across it the scale is one; the splice stands beside the shaft,
larger and half in section::

      over each donor: from its datum ▼
     ┌──┐                          ┌──┐
     │● ┼─gearbox donor─┤///   ///├─hub donor─┼ ●│
     └──┘                                     └──┘
      under it: from its joint's centre
     ┌──┐        ┌──────┐        ┌──┐      ┌────────
     │● ┼────────┤sleeve├────────┼ ●│      │ splice
     └──┘        └──────┘        └──┘      └────────

The gearbox end is on the left and the hub end on the right, as the front view has them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kinematics.cutplan import Cut, CutPlan
from kinematics.donors import ENDS, End
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.picture import (
    Circle,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Role,
    Text,
)
from sketcher.drawing.shapes import disc, hatching, hull
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.spans import (
    FIRST_OVER,
    FIRST_UNDER,
    LAST_OVER,
    PITCH,
    Span,
    span,
    spans,
)
from sketcher.drawing.splice_view import DETAIL_MM, detail_mm, draw_detail, size_words
from sketcher.drawing.style import style
from sketcher.units import Unit, format_fraction, format_length

_TITLE, _BETWEEN, _ASIDE, _FOOT = 9.5, 12.6, 7.0, 5.5
# Mm of the offcut that are shown.
_SHOWN_BEYOND = 34.0
_LEGEND = "Over each donor: from its datum. Under it: from its joint's centre. One scale both ways"


@dataclass(frozen=True, slots=True)
class _Bar:
    """One donor on the sheet: where its joint's centre lies, and which way the bar runs."""

    cut: Cut
    x: float
    y: float
    way: float

    def at(self, own_mm: float) -> float:
        """Where a distance from the joint's centre lies across the sheet."""
        return self.x + self.way * own_mm

    def box(self, from_mm: float, to_mm: float, half: float) -> tuple[Point2, ...]:
        """A piece of the bar."""
        a, b = self.at(from_mm), self.at(to_mm)
        return ((a, self.y + half), (b, self.y + half), (b, self.y - half), (a, self.y - half))


def cut_size_mm(plan: CutPlan, scale: float) -> tuple[float, float]:
    """Width and height that the drawing takes on paper at a scale."""
    wide, wide_paper, high, high_paper = _needs(plan)
    return (
        max(one * scale + more for one, more in zip(wide, wide_paper, strict=True)),
        max(one * scale + more for one, more in zip(high, high_paper, strict=True)),
    )


def cut_camera(plan: CutPlan, camera: Camera) -> Camera:
    """The camera of the same rectangle in which the drawing is as large as it can be."""
    wide, wide_paper, high, high_paper = _needs(plan)
    width, height = (px / camera.pixels_per_paper_mm for px in (camera.width, camera.height))
    fitting = [(width - more) / one for one, more in zip(wide, wide_paper, strict=True)]
    fitting += [(height - more) / one for one, more in zip(high, high_paper, strict=True)]
    scale = max(min(fitting), 0.02)
    return Camera(
        camera.width,
        camera.height,
        (0.0, 0.0),
        scale * camera.pixels_per_paper_mm,
        camera.ui_scale,
        camera.left,
        camera.top,
    )


def paper_camera(plan: CutPlan, scale: float, width_mm: float) -> Camera:
    """The camera at a scale on paper of a width, as high as the drawing needs."""
    per = PIXELS_PER_PAPER_MM
    return Camera(width_mm * per, cut_size_mm(plan, scale)[1] * per, (0.0, 0.0), scale * per)


def cut_view(plan: CutPlan, camera: Camera, unit: Unit = "mm", scale: str = "") -> Picture:
    """The drawing of a cut plan, in the camera's rectangle from its top downwards.

    ``unit`` is the one that stands over the dimension lines; ``scale`` in words.
    """
    sheet = Sheet(camera, style("light"), unit)
    paper, box = camera.paper, camera.box
    upper = box.top - paper(_TITLE) - _above_mm(plan, paper(1.0)) - _radius(plan)
    overhang = 1.3 * _radius(plan)
    left, right = box.left + overhang + paper(1.0), box.right - overhang - paper(1.0)
    # A wide sheet keeps the donors together.
    spare = max(0.0, right - left - _donors_mm(plan) - paper(_ASIDE)) / 2
    for bar in (
        _Bar(plan.gearbox, left + spare, upper, 1.0),
        _Bar(plan.hub, right - spare, upper, -1.0),
    ):
        _donor(sheet, plan, bar, box.top)
    lower = upper - _radius(plan) - _below_mm(plan, paper(1.0)) - paper(_BETWEEN)
    lower -= _finished_top(plan)
    detail = paper(DETAIL_MM + _ASIDE) if plan.splice.butt is not None else 0.0
    spare = max(0.0, box.width - _shaft_mm(plan) - detail - paper(2.0)) / 2
    shaft_left = box.left + overhang + paper(1.0) + spare * 0.5
    _finished(sheet, plan, shaft_left, lower)
    if plan.splice.butt is not None:
        corner = (shaft_left + _shaft_mm(plan) - overhang + paper(_ASIDE) + spare * 0.5,
                  upper - _radius(plan) - paper(_under_mm(plan, "hub")))  # fmt: skip
        draw_detail(sheet, plan, corner)
    foot = (box.left + paper(1.0), box.bottom + paper(1.2))
    legend = f"{_LEGEND}, {scale}." if scale else f"{_LEGEND}."
    sheet.add(Text(foot, legend, "label", size="small"))
    return sheet.picture


def _needs(
    plan: CutPlan,
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """What the drawing takes across and upwards: world mm to be scaled, and mm on paper."""
    overhang, radius = 2.6 * _radius(plan), _radius(plan)
    detail = (DETAIL_MM + _ASIDE) if plan.splice.butt is not None else 0.0
    head = _TITLE + _above_mm(plan, 1.0) + _FOOT
    finished = _below_mm(plan, 1.0) + _BETWEEN + FIRST_UNDER + 3.6
    high = [(2 * radius + _finished_top(plan) + radius, head + finished)]
    if plan.splice.butt is not None:
        high.append((2 * radius, head + _under_mm(plan, "hub") + detail_mm(plan)))
    return (
        (_donors_mm(plan) + overhang, _shaft_mm(plan)),
        (_ASIDE + 2.0, detail + 2.0),
        tuple(one for one, _ in high),
        tuple(more for _, more in high),
    )


def _donors_mm(plan: CutPlan) -> float:
    return sum(_shown_to(plan.cut(end)) for end in ENDS)


def _shaft_mm(plan: CutPlan) -> float:
    return plan.length_mm + 2.6 * _radius(plan)


def _shown_to(cut: Cut) -> float:
    """How far of a donor is drawn; the rest is broken off."""
    return min(cut.donor.stretches[-1].to, cut.first_cut_mm + _SHOWN_BEYOND)


def _radius(plan: CutPlan) -> float:
    """Half the height of a joint's symbol: nothing is known of the joints' own size."""
    return 0.85 * max(plan.cut(end).donor.stretches[0].diameter for end in ENDS)


def _finished_top(plan: CutPlan) -> float:
    sleeve = plan.splice.sleeve
    return max(_radius(plan), 0.0 if sleeve is None else 0.5 * sleeve.outside_diameter)


def _above_mm(plan: CutPlan, paper: float) -> float:
    levels = max(len(list(_from_datum(plan, end))) for end in ENDS)
    return (FIRST_OVER + PITCH * (levels - 1) + LAST_OVER) * paper


def _below_mm(plan: CutPlan, paper: float) -> float:
    return max(_under_mm(plan, end) for end in ENDS) * paper


def _under_mm(plan: CutPlan, end: End) -> float:
    """What the dimensions under one donor take on paper."""
    return FIRST_UNDER + PITCH * (len(list(_from_joint(plan, end))) - 1) + 3.8


def _from_datum(plan: CutPlan, end: End) -> Iterator[tuple[float, str]]:
    """What is marked on a donor, from its joint's centre, with its word."""
    cut = plan.cut(end)
    if cut.turned_from_mm is not None:
        yield cut.turned_from_mm, "turn from"
    if cut.trim_mm > 0.0:
        yield cut.cut_mm, "finished"
    yield cut.first_cut_mm, "saw"


def _from_joint(plan: CutPlan, end: End) -> Iterator[tuple[float, str]]:
    yield from (one for one in _from_datum(plan, end) if one[1] != "turn from")


def _donor(sheet: Sheet, plan: CutPlan, bar: _Bar, top: float) -> None:
    """One donor as it is, with what is cut, left on and thrown away."""
    cut, donor, paper = bar.cut, bar.cut.donor, sheet.camera.paper
    shown = _shown_to(cut)
    _joint(sheet, bar, _radius(plan))
    for stretch in donor.stretches:
        for low, high, kept in (
            (stretch.from_, min(stretch.to, cut.first_cut_mm), True),
            (max(stretch.from_, cut.first_cut_mm), min(stretch.to, shown), False),
        ):
            if high <= low:
                continue
            half = 0.5 * (stretch.diameter if stretch.kind != "groove" else stretch.carrying_mm)
            outline = bar.box(low, high, half)
            sheet.add(Polygon(outline, "shaft" if kept else "ghost"))
            if stretch.kind == "spline":
                lines = [half * part for part in (-0.6, -0.2, 0.2, 0.6)]
                sheet.add(Lines(tuple(((outline[0][0], bar.y + y), (outline[1][0], bar.y + y))
                                      for y in lines), "tick"))  # fmt: skip
    half = 0.5 * max(one.diameter for one in donor.between(cut.face_mm - 1.0, shown))
    if cut.trim_mm > 0.0:
        left_on = bar.box(cut.cut_mm, cut.first_cut_mm, half)
        sheet.add(Lines(hatching(left_on, paper(0.6)), "bracket_hatching"))
        sheet.add(Polyline((left_on[0], left_on[3]), "shaft_edge"))
    sheet.add(Line((bar.at(donor.stretches[0].from_ - 3.0), bar.y),
                   (bar.at(shown + 6.0), bar.y), "axis"))  # fmt: skip
    saw, over = bar.at(cut.first_cut_mm), half + paper(2.2)
    sheet.add(Line((saw, bar.y + over), (saw, bar.y - over), "cut"))
    if donor.usable_to < shown:
        sheet.add(
            Lines(hatching(bar.box(donor.usable_to, shown, half), paper(1.6), -45.0), "faint")
        )
    _break(sheet, bar, shown, half)
    _donor_dimensions(sheet, plan, bar, half)
    _donor_title(sheet, plan, bar, top)


def _break(sheet: Sheet, bar: _Bar, at_mm: float, half: float) -> None:
    """Where a bar that goes on is broken off."""
    if at_mm < bar.cut.donor.stretches[-1].to - 1e-6:
        x, step = bar.at(at_mm), sheet.camera.paper(0.7)
        wave = tuple(
            (x + (step if i % 2 else -step), bar.y + half * (1.0 - i / 3.0)) for i in range(7)
        )
        sheet.add(Polyline(wave, "faint"))


def _donor_dimensions(sheet: Sheet, plan: CutPlan, bar: _Bar, half: float) -> None:
    cut, paper, radius = bar.cut, sheet.camera.paper, _radius(plan)
    datum = cut.donor.datum.at
    over = bar.y + radius
    mark = paper(2.6)
    tip = bar.y + _half_at(cut, datum, radius)
    sheet.add(
        Polygon(((bar.at(datum), tip), (bar.at(datum) - mark * 0.5, tip + mark * 0.87),
                 (bar.at(datum) + mark * 0.5, tip + mark * 0.87)), "dimension")
    )  # fmt: skip
    marked = [
        Span(bar.at(datum), bar.at(at), at - datum, word) for at, word in _from_datum(plan, cut.end)
    ]
    from_y = (tip + mark * 0.87, bar.y + half)
    spans(sheet, marked, from_y, over + paper(FIRST_OVER), paper(PITCH))
    centred = [Span(bar.at(0.0), bar.at(at), at, word) for at, word in _from_joint(plan, cut.end)]
    under = bar.y - radius - paper(FIRST_UNDER)
    spans(sheet, centred, (bar.y, bar.y - half), under, -paper(PITCH))


def _half_at(cut: Cut, own_mm: float, radius: float) -> float:
    """Half the height of what is drawn at a distance from the joint's centre."""
    there = [one.diameter / 2 for one in cut.donor.between(own_mm - 0.01, own_mm + 0.01)]
    return max([*there, radius if own_mm < 0.6 * radius else 0.0])


def _donor_title(sheet: Sheet, plan: CutPlan, bar: _Bar, top: float) -> None:
    cut, paper = bar.cut, sheet.camera.paper
    lines = [f'datum: "{" ".join(cut.donor.datum.name.split())}"']
    left_on = ""
    if cut.trim_mm > 0.0:
        left_on = f"; {format_length(cut.trim_mm)} ({format_fraction(cut.trim_mm)}) trim stays on"
    once = "; cannot be cut twice" if not cut.donor.cut_twice else ""
    left, view = bar.way > 0.0, sheet.camera.box
    x = max(bar.x - 1.3 * _radius(plan), view.left) if left else bar.x + 1.3 * _radius(plan)
    room = (view.width - abs(x - (view.left if left else view.right)) * 2) / 2 - paper(1.5)
    words = f"{cut.end.capitalize()} donor"
    if cut.turned_from_mm is not None:
        lines.append(f"turned to {size_words(plan.diameter_mm)}")
    sheet.add(
        Text((x, top - paper(1.2)), held(sheet, f"{words}{once}{left_on}", "label_strong", room), "label_strong", "",
             "left" if left else "right", "top", size="small"),
        Text((x, top - paper(5.4)), held(sheet, "; ".join(lines), "note", room), "note", "",
             "left" if left else "right", "top", size="small"),
    )  # fmt: skip


def held(sheet: Sheet, text: str, role: Role, room: float) -> str:
    """A text cut off where its room, world mm, ends."""
    short = text
    while short and sheet.room.measure(short, role, "small")[0] > room:
        short = short[:-2].rstrip() + "…" if len(short) > 2 else ""
    return short


def _joint(sheet: Sheet, bar: _Bar, radius: float) -> None:
    """A joint's symbol with its centre marked: a cup at the gearbox, a bell at the hub."""
    first = bar.cut.donor.stretches[0]
    sheet.add(Polygon(bar.box(-1.3 * radius, 0.0, 0.42 * radius), "outer_joint"))
    if bar.cut.end == "gearbox":
        sheet.add(Polygon(bar.box(-radius, 0.7 * radius, radius), "outer_joint"))
        sheet.add(Polygon(bar.box(-0.6 * radius, 0.7 * radius, 0.72 * radius), "bore"))
    else:
        centre = (bar.x, bar.y)
        back = (bar.at(-0.4 * radius), bar.y)
        sheet.add(Polygon(hull([*disc(centre, radius), *disc(back, 0.62 * radius)]), "outer_joint"))
    sheet.add(Polygon(bar.box(0.0, first.from_, 0.5 * first.diameter), "shaft"))
    mark, small = sheet.camera.paper(2.6), sheet.camera.paper(1.2)
    sheet.add(
        Circle((bar.x, bar.y), small, "joint"),
        Line((bar.x - mark, bar.y), (bar.x + mark, bar.y), "cross"),
        Line((bar.x, bar.y - mark), (bar.x, bar.y + mark), "cross"),
    )


def _finished(sheet: Sheet, plan: CutPlan, left: float, y: float) -> None:
    """The finished shaft: what is left of both donors, welds and sleeve, and its length."""
    paper, radius, splice = sheet.camera.paper, _radius(plan), plan.splice
    bars = {
        "gearbox": _Bar(plan.gearbox, left, y, 1.0),
        "hub": _Bar(plan.hub, left + plan.length_mm, y, -1.0),
    }
    hub = bars["hub"]
    for bar in bars.values():
        _joint(sheet, bar, radius)
        cut = bar.cut
        for stretch in cut.donor.stretches:
            turned = cut.face_mm if cut.turned_from_mm is None else cut.turned_from_mm
            half = 0.5 * (stretch.diameter if stretch.kind != "groove" else stretch.carrying_mm)
            for low, high, this in (
                (stretch.from_, min(stretch.to, turned), half),
                (max(stretch.from_, turned), min(stretch.to, cut.face_mm),
                 0.5 * plan.diameter_mm),
            ):  # fmt: skip
                if high > low:
                    sheet.add(Polygon(bar.box(low, high, this), "shaft"))
    half = 0.5 * plan.diameter_mm
    if splice.butt is not None:
        low, high = splice.butt_span_mm(plan.diameter_mm)
        sheet.add(Polygon(hub.box(low, high, half), "joint_dot"))
    span_mm, sleeve = splice.sleeve_span_mm, splice.sleeve
    top, places = half, [(0.0, splice.at, "weld")]
    if sleeve is not None and span_mm is not None:
        top = 0.5 * sleeve.outside_diameter
        for end, way in ((span_mm[0], -1.0), (span_mm[1], 1.0)):
            for hand in (half, -half):
                tip = hand + (sleeve.leg if hand > 0.0 else -sleeve.leg)
                sheet.add(Polygon(((hub.at(end), y + hand), (hub.at(end + way * sleeve.leg),
                                   y + hand), (hub.at(end), y + tip)), "joint_dot"))  # fmt: skip
        sheet.add(Polygon(hub.box(*span_mm, top), "outer_joint"))
        places = [(0.0, span_mm[0], ""), (*span_mm, "sleeve")]
    sheet.add(Line((left - 1.5 * radius, y), (hub.x + 1.5 * radius, y), "axis"))
    for start, end, word in places:
        one = Span(hub.at(start), hub.at(end), end - start, word)
        from_y = (y if start == 0.0 else y + top, y + top)
        span(sheet, one, from_y, y + _finished_top(plan) + paper(FIRST_OVER))
    overall = Span(left, hub.x, plan.length_mm, "between joint centres")
    span(sheet, overall, (y, y), y - radius - paper(FIRST_UNDER))
    title = (left - 1.3 * radius, y + _finished_top(plan) + paper(FIRST_OVER + LAST_OVER))
    words = "Finished shaft"
    if splice.shrinkage:
        words += f"; {format_length(splice.shrinkage)} longer before it is welded"
    sheet.add(Text(title, words, "label_strong", size="small"))
