"""The welder's fixture from the side, to scale: both halves on their blocks, and the base.

The gearbox end is on the left and the hub end on the right, as the drawing of the cuts has
them; every place is measured from the outer joint's centre.
"""

from __future__ import annotations

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS
from kinematics.making.fixture import Fixture, Support, axis_over_v_mm
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.cut_bars import DonorBar, draw_joint, half_drawn, joint_radius
from sketcher.drawing.picture import Line, Picture, Polygon, Text
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.spans import FIRST_UNDER, PITCH, Span, spans
from sketcher.drawing.style import style
from sketcher.words.units import Unit

# Mm on the shaft: how far a block reaches below the bottom of its V, and how thick the base is.
_BLOCK, _BASE, _CLAMP = 14.0, 6.0, 8.0
# Mm on paper.
_TITLE, _ASIDE = 7.0, 6.0


def fixture_size_mm(plan: CutPlan, found: Fixture, scale: float) -> tuple[float, float]:
    """Width and height that the drawing takes on paper at a scale."""
    radius = joint_radius(plan)
    wide = (found.overall_mm + 2.6 * radius) * scale + _ASIDE
    high = (radius + _above(plan) + _below(found)) * scale
    return wide, high + _TITLE + FIRST_UNDER + PITCH * (len(found.supports) + 1)


def fixture_view(
    plan: CutPlan, found: Fixture, scale: float, width_mm: float, unit: Unit = "mm"
) -> tuple[Picture, Camera]:
    """The drawing at a scale on paper of a width, as high as it has to be, and its camera."""
    per = PIXELS_PER_PAPER_MM
    high = fixture_size_mm(plan, found, scale)[1]
    camera = Camera(width_mm * per, high * per, (0.0, 0.0), scale * per)
    sheet, paper, box = Sheet(camera, style("light"), unit), camera.paper, camera.box
    y = box.top - paper(_TITLE) - _above(plan)
    left = (box.left + box.right - found.overall_mm) / 2
    hub = DonorBar(plan.hub, left + found.overall_mm, y, -1.0)
    foot = y - _below(found)
    sheet.add(Polygon(_box(left, left + found.overall_mm, foot, foot + _BASE), "ghost"))
    for one in found.supports:
        _support(sheet, hub, one, foot + _BASE)
    for bar in (DonorBar(plan.gearbox, left, y, 1.0), hub):
        draw_joint(sheet, bar, joint_radius(plan))
        for stretch in bar.cut.donor.between(0.0, bar.cut.face_mm):
            end = min(stretch.to, bar.cut.face_mm)
            sheet.add(Polygon(bar.box(stretch.from_, end, half_drawn(stretch)), "shaft"))
    sheet.add(Line((left, y), (hub.x, y), "axis"))
    if found.sleeve_waits is not None and plan.splice.sleeve is not None:
        outside = 0.5 * plan.splice.sleeve.outside_diameter
        sheet.add(Polygon(hub.box(*found.sleeve_waits, outside), "ghost"))
    marked = [
        Span(hub.at(at), hub.x, at, f"block {number}")
        for number, at in enumerate((one.middle_mm for one in found.supports), 1)
    ]
    marked.append(Span(left, hub.x, found.overall_mm, "joint centres"))
    # Where a value has no room between its ends, it stands to the right of all lines.
    spans(sheet, marked, (foot, y), foot - paper(FIRST_UNDER), -paper(PITCH))
    words = f"Fixture from the side, V of {found.v_angle_deg:g}°, scale 1:{1.0 / scale:g}"
    sheet.add(Text((box.left + paper(1.0), box.top), words, "label_strong", "", "left", "top",
                   size="small"))  # fmt: skip
    return sheet.picture, camera


def _above(plan: CutPlan) -> float:
    sleeve = plan.splice.sleeve
    thick = 0.0 if sleeve is None else 0.5 * sleeve.outside_diameter
    thickest = max(s.diameter for end in ENDS for s in plan.cut(end).donor.stretches)
    return max(joint_radius(plan), thick, 0.5 * thickest + _CLAMP)


def _below(found: Fixture) -> float:
    """From the axis down to the foot of the base."""
    heights = [axis_over_v_mm(one.diameter_mm, found.v_angle_deg) for one in found.supports]
    return max(heights, default=20.0) + _BLOCK + _BASE


def _box(left: float, right: float, low: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((left, high), (right, high), (right, low), (left, low))


def _support(sheet: Sheet, hub: DonorBar, one: Support, base: float) -> None:
    """A block on its shim, as high as its cheeks reach, and the clamp over the bar."""
    left, right = sorted((hub.at(one.from_mm), hub.at(one.to_mm)))
    if one.shim_mm:
        sheet.add(Polygon(_box(left, right, base, base + one.shim_mm), "joint_dot"))
    # A V's cheeks reach to about the middle of its bar.
    cheeks = hub.y - 0.2 * one.diameter_mm
    sheet.add(Polygon(_box(left, right, base + one.shim_mm, cheeks), "outer_joint"))
    top = hub.y + 0.5 * one.diameter_mm
    middle = 0.5 * (left + right)
    sheet.add(Line((middle, top), (middle, top + _CLAMP), "cut"))
    sheet.add(Line((left, top), (right, top), "cut"))
