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
from dataclasses import replace

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS, End
from sketcher.drawing import cut_bars
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.cut_bars import DonorBar
from sketcher.drawing.dimensions import FIRST_OVER, FIRST_UNDER, LAST_OVER, PITCH, Span, span
from sketcher.drawing.picture import Line, Picture, Polygon, Text
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.splice_view import DETAIL_MM, detail_mm, draw_detail, size_words, sleeve_words
from sketcher.drawing.style import style
from sketcher.words.units import Unit, format_length

# Mm on paper.
_TITLE, _LINE, _BETWEEN, _ASIDE, _FOOT, _TO_DETAIL = 9.5, 3.8, 12.6, 7.0, 4.6, 4.3
_LEGEND = "Over each donor: from its datum. Under it: from its joint's centre. One scale both ways"


def cut_size_mm(plan: CutPlan, scale: float) -> tuple[float, float]:
    """Width and height that the drawing takes on paper at a scale."""
    across, upwards = (max(one * scale + more for one, more in needs) for needs in _needs(plan))
    return across, upwards


def cut_camera(plan: CutPlan, camera: Camera) -> Camera:
    """The camera of the same rectangle in which the drawing is as large as it can be."""
    sides = (px / camera.pixels_per_paper_mm for px in (camera.width, camera.height))
    both = zip(sides, _needs(plan), strict=True)
    fitting = [(side - more) / one for side, needs in both for one, more in needs]
    scale = max(min(fitting), 0.02)
    return replace(camera, centre=(0.0, 0.0), zoom=scale * camera.pixels_per_paper_mm)


def cut_camera_at(plan: CutPlan, scale: float, width_mm: float) -> Camera:
    """The camera at a scale on paper of a width, as high as the drawing needs."""
    per = PIXELS_PER_PAPER_MM
    return Camera(width_mm * per, cut_size_mm(plan, scale)[1] * per, (0.0, 0.0), scale * per)


def cut_view(
    plan: CutPlan, camera: Camera, unit: Unit = "mm", scale: str = "", *, sure: bool = True
) -> Picture:
    """The drawing of a cut plan, in the camera's rectangle from its top downwards.

    ``unit`` is the one that stands over the dimension lines; ``scale`` in words.  Where it
    is not ``sure`` a line across says so.
    """
    sheet = Sheet(camera, style("light"), unit)
    paper, box = camera.paper, camera.box
    upper = box.top - paper(_TITLE) - paper(_above_mm(plan)) - cut_bars.joint_radius(plan)
    overhang = 1.3 * cut_bars.joint_radius(plan)
    left, right = box.left + overhang + paper(1.0), box.right - overhang - paper(1.0)
    # On a wide sheet the donors have as much between them, for values that stand there.
    spare = max(0.0, right - left - _donors_mm(plan) - paper(_ASIDE)) / 3
    bars = (
        DonorBar(plan.gearbox, left + spare, upper, 1.0),
        DonorBar(plan.hub, right - spare, upper, -1.0),
    )
    between = sum(bar.at(cut_bars.shown_to(bar.cut)) for bar in bars) / 2
    for bar in bars:
        cut_bars.draw_donor(sheet, plan, bar, box.top, between, spare)
    lower = upper - cut_bars.joint_radius(plan) - paper(_below_mm(plan))
    lower -= paper(_between_mm(plan)) + _finished_top(plan)
    detail = paper(DETAIL_MM + _TO_DETAIL) if plan.splice.butt is not None else 0.0
    spare = max(0.0, box.width - _shaft_mm(plan) - detail - paper(2.0)) / 2
    shaft_left = box.left + overhang + paper(1.0) + spare * 0.5
    _finished(sheet, plan, shaft_left, lower)
    detail_left = shaft_left + _shaft_mm(plan) - overhang + paper(_TO_DETAIL) + spare * 0.5
    detail_top = upper - cut_bars.joint_radius(plan) - paper(_under_mm(plan, "hub"))
    draw_detail(sheet, plan, (detail_left, detail_top))
    foot = (box.left + paper(1.0), box.bottom + paper(1.0))
    legend = f"{_LEGEND}, {scale}." if scale else f"{_LEGEND}."
    sheet.add(Text(foot, legend, "label", size="small"))
    if not sure:
        cut_bars.draw_across(sheet)
    return sheet.picture


def _needs(plan: CutPlan) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """What is needed across and upwards: each world mm to be scaled, with mm on paper."""
    radius, top = cut_bars.joint_radius(plan), _finished_top(plan)
    detail = (DETAIL_MM + _TO_DETAIL) if plan.splice.butt is not None else 0.0
    head = _TITLE + _above_mm(plan) + _FOOT
    finished = _below_mm(plan) + _between_mm(plan) + FIRST_UNDER + 3.6
    return (
        [(_donors_mm(plan) + 2.6 * radius, _ASIDE + 2.0), (_shaft_mm(plan), detail + 2.0)],
        [
            (2 * radius + top + radius, head + finished),
            (2 * radius, head + _under_mm(plan, "hub") + detail_mm(plan)),
        ],
    )


def _between_mm(plan: CutPlan) -> float:
    """What stands between the donors' dimensions and the finished shaft's own."""
    return _BETWEEN + _LINE * (len(_titles(plan, "mm")) - 1)


def _donors_mm(plan: CutPlan) -> float:
    return sum(cut_bars.shown_to(plan.cut(end)) for end in ENDS)


def _shaft_mm(plan: CutPlan) -> float:
    return plan.length_mm + 2.6 * cut_bars.joint_radius(plan)


def _finished_top(plan: CutPlan) -> float:
    sleeve = plan.splice.sleeve
    return max(
        cut_bars.joint_radius(plan), 0.0 if sleeve is None else 0.5 * sleeve.outside_diameter
    )


def _above_mm(plan: CutPlan) -> float:
    """What the dimensions over the donors take on paper."""
    levels = max(len(list(cut_bars.from_datum(plan, end))) for end in ENDS)
    return FIRST_OVER + PITCH * (levels - 1) + LAST_OVER


def _below_mm(plan: CutPlan) -> float:
    return max(_under_mm(plan, end) for end in ENDS)


def _under_mm(plan: CutPlan, end: End) -> float:
    """What the dimensions under one donor take on paper."""
    return FIRST_UNDER + PITCH * (len(list(cut_bars.from_joint(plan, end))) - 1) + 3.8


def _finished(sheet: Sheet, plan: CutPlan, left: float, y: float) -> None:
    """The finished shaft: what is left of both donors, welds and sleeve, and its length."""
    hub = DonorBar(plan.hub, left + plan.length_mm, y, -1.0)
    for bar in (DonorBar(plan.gearbox, left, y, 1.0), hub):
        cut_bars.draw_half(sheet, plan, bar)
    top = _splice(sheet, plan, hub)
    radius, paper = cut_bars.joint_radius(plan), sheet.camera.paper
    sheet.add(Line((left - 1.5 * radius, y), (hub.x + 1.5 * radius, y), "axis"))
    over = y + _finished_top(plan) + paper(FIRST_OVER)
    for start, end, word in _places(plan):
        one = Span(hub.at(start), hub.at(end), end - start, word)
        span(sheet, one, (y if start == 0.0 else y + top, y + top), over)
    overall = Span(left, hub.x, plan.length_mm, "between joint centres")
    span(sheet, overall, (y, y), y - radius - paper(FIRST_UNDER))
    for line, words in enumerate(reversed(_titles(plan, sheet.unit))):
        at = (left - 1.3 * radius, over + paper(LAST_OVER + line * _LINE))
        sheet.add(Text(at, words, "label_strong", size="small"))


def _titles(plan: CutPlan, unit: Unit) -> tuple[str, ...]:
    """What of the finished shaft has no place in the drawing, line by line."""
    splice, words = plan.splice, "Finished shaft"
    sleeve = splice.sleeve
    if sleeve is not None:
        words += f"; fillets {format_length(sleeve.leg_mm, unit)}"
    if splice.shrinkage:
        words += f"; {format_length(splice.shrinkage, unit)} longer before it is welded"
    if sleeve is None or splice.butt is not None:
        return (words,)
    bars = size_words(plan.diameter_mm, unit)
    return words, f"Sleeve {sleeve_words(sleeve, unit)}; bars {bars}"


def _places(plan: CutPlan) -> Iterator[tuple[float, float, str]]:
    """What is measured along the finished shaft, from the outer joint's centre."""
    low_high = plan.splice.sleeve_span_mm
    if low_high is None:
        yield 0.0, plan.splice.at, "weld"
        return
    yield 0.0, low_high[0], ""
    yield *low_high, "sleeve"


def _splice(sheet: Sheet, plan: CutPlan, hub: DonorBar) -> float:
    """The welds and the sleeve; answers half of what they are across."""
    splice, half = plan.splice, 0.5 * plan.diameter_mm
    if splice.butt is not None:
        sheet.add(Polygon(hub.box(*splice.butt_span_mm(plan.diameter_mm), half), "joint_dot"))
    sleeve, low_high = splice.sleeve, splice.sleeve_span_mm
    if sleeve is None or low_high is None:
        return half
    for end, way in zip(low_high, (-1.0, 1.0), strict=True):
        foot, back = hub.at(end + way * sleeve.leg_mm), hub.at(end)
        for hand in (1.0, -1.0):
            edge, tip = hub.y + hand * half, hub.y + hand * (half + sleeve.leg_mm)
            sheet.add(Polygon(((back, edge), (foot, edge), (back, tip)), "joint_dot"))
    outside = 0.5 * sleeve.outside_diameter
    sheet.add(Polygon(hub.box(*low_high, outside), "outer_joint"))
    return outside
