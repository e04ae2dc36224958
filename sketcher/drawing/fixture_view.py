"""The welder's fixture to scale: both halves on their blocks from the side, each block's end.

The gearbox end is on the left and the hub end on the right, as the drawing of the cuts has
them; every place is measured from the outer joint's centre.
"""

from __future__ import annotations

import math

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS
from kinematics.making.fixture import Fixture, Support, axis_over_v_mm
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.cut_bars import DonorBar, draw_across, draw_half, joint_radius
from sketcher.drawing.dimensions import FIRST_UNDER, PITCH, Span, spans
from sketcher.drawing.picture import Line, Lines, Picture, Polygon, Text
from sketcher.drawing.shapes import disc, hatching
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.splice_view import size_words
from sketcher.drawing.style import style
from sketcher.words.fixture import shim_words
from sketcher.words.lengths import Lengths
from sketcher.words.units import Unit

# Mm on the shaft: how far a block reaches below the bottom of its V, how thick the base is, how
# high a clamp stands, and a block beside its V.
_BLOCK, _BASE, _CLAMP, _CHEEK = 14.0, 6.0, 8.0, 6.0
# Mm on paper.
_TITLE, _ASIDE, _CAPTION, _VALUE = 7.0, 6.0, 5.0, 30.0


def fixture_size_mm(plan: CutPlan, found: Fixture, scale: float) -> tuple[float, float]:
    """Width and height that the drawing takes on paper at a scale."""
    wide = found.overall_mm * scale + sum(_beside_mm(plan, found, scale))
    high = (_above(plan) + _below(found)) * scale
    return wide, high + _TITLE + _dimensions_mm(found) + _end_views_mm(found, scale)


def _beside_mm(plan: CutPlan, found: Fixture, scale: float) -> tuple[float, float]:
    """What the joints take beyond their centres on paper, and a value that stands there."""
    joint = 1.3 * joint_radius(plan) * scale + 0.5 * _ASIDE
    nearest = min((one.middle_mm for one in found.supports), default=math.inf) * scale
    return joint, max(joint, _VALUE if nearest < _VALUE else 0.0)


def _dimensions_mm(found: Fixture) -> float:
    """What the dimensions under the side view take on paper."""
    return FIRST_UNDER + PITCH * (len(found.supports) + 1)


def _end_views_mm(found: Fixture, scale: float) -> float:
    """What the row of end views takes on paper; 0 without blocks."""
    if not found.supports:
        return 0.0
    thickest = max(one.diameter_mm for one in found.supports)
    return _TITLE + (_below(found) + 0.5 * thickest + _CLAMP) * scale + _CAPTION


def fixture_view(
    plan: CutPlan, found: Fixture, scale: float, width_mm: float, unit: Unit = "mm",
    *, sure: bool = True,
) -> tuple[Picture, Camera]:  # fmt: skip
    """The drawing at a scale on paper of a width, as high as it has to be, and its camera.

    Where it is not ``sure`` a line across says so.
    """
    per = PIXELS_PER_PAPER_MM
    high = fixture_size_mm(plan, found, scale)[1]
    camera = Camera(width_mm * per, high * per, (0.0, 0.0), scale * per)
    sheet, paper, box = Sheet(camera, style("light"), unit), camera.paper, camera.box
    y = box.top - paper(_TITLE) - _above(plan)
    before, after = (paper(room) for room in _beside_mm(plan, found, scale))
    left = (box.left + before + box.right - after - found.overall_mm) / 2
    hub = DonorBar(plan.hub, left + found.overall_mm, y, -1.0)
    foot = y - _below(found)
    sheet.add(Polygon(_box(left, left + found.overall_mm, foot, foot + _BASE), "ghost"))
    for one in found.supports:
        _support(sheet, hub, one, foot + _BASE)
    for bar in (DonorBar(plan.gearbox, left, y, 1.0), hub):
        draw_half(sheet, plan, bar)
    sheet.add(Line((left, y), (hub.x, y), "axis"))
    if found.sleeve_waits is not None and plan.splice.sleeve is not None:
        outside = 0.5 * plan.splice.sleeve.outside_diameter
        sheet.add(Polygon(hub.box(*found.sleeve_waits, outside), "ghost"))
    marked = [
        Span(hub.at(at), hub.x, at, f"block {number}:")
        for number, at in enumerate((one.middle_mm for one in found.supports), 1)
    ]
    marked.append(Span(left, hub.x, found.overall_mm, "joint centres"))
    # Where a value has no room between its ends, it stands to the right of all lines.
    under = foot - paper(FIRST_UNDER)
    spans(sheet, marked, (foot, y), under, -paper(PITCH), free_beyond=True)
    _end_views(sheet, found, foot - paper(_dimensions_mm(found)))
    words = f"Fixture from the side, V of {found.v_angle_deg:g}°, scale 1:{1.0 / scale:g}"
    sheet.add(Text((box.left + paper(1.0), box.top), words, "label_strong", "", "left", "top",
                   size="small"))  # fmt: skip
    if not sure:
        draw_across(sheet)
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


def _end_views(sheet: Sheet, found: Fixture, top: float) -> None:
    """A row of end views under the rest: of each bar and shim one, with the blocks it is of."""
    views: dict[tuple[float, float], list[int]] = {}
    for number, one in enumerate(found.supports, 1):
        views.setdefault((one.diameter_mm, one.shim_mm), []).append(number)
    if not views:
        return
    paper, box = sheet.camera.paper, sheet.camera.box
    words = "The V-blocks from their ends, bar in section, shim under the block, clamp over the bar"
    sheet.add(Text((box.left + paper(1.0), top), words, "label_strong", "", "left", "top",
                   size="small"))  # fmt: skip
    thickest = max(one.diameter_mm for one in found.supports)
    y = top - paper(_TITLE) - 0.5 * thickest - _CLAMP
    pitch = box.width / len(views)
    for index, ((diameter, shim), numbers) in enumerate(views.items()):
        centre = (box.left + (index + 0.5) * pitch, y)
        _end_view(sheet, found, centre, (diameter, shim))
        blocks = f"block{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
        sizes = f"{size_words(diameter, sheet.unit)}, {shim_words(shim, Lengths(sheet.unit))}"
        caption = f"{blocks}: {sizes}"
        at = (centre[0], y - _below(found) - paper(1.0))
        sheet.add(Text(at, caption, "note", "", "centre", "top", size="small"))


def _end_view(
    sheet: Sheet, found: Fixture, axis: tuple[float, float], sizes: tuple[float, float]
) -> None:
    """A block on its shim and the base, the bar lying in its V."""
    (x, y), (diameter, shim) = axis, sizes
    bottom = y - axis_over_v_mm(diameter, found.v_angle_deg)
    cheeks, base = y - 0.2 * diameter, y - _below(found) + _BASE
    half_v = (cheeks - bottom) * math.tan(0.5 * math.radians(found.v_angle_deg))
    wide, foot = half_v + _CHEEK, base + shim
    outline = ((-wide, foot), (wide, foot), (wide, cheeks), (half_v, cheeks), (0.0, bottom),
               (-half_v, cheeks), (-wide, cheeks))  # fmt: skip
    sheet.add(Polygon(_box(x - 1.5 * wide, x + 1.5 * wide, base - _BASE, base), "ghost"))
    if shim:
        sheet.add(Polygon(_box(x - wide, x + wide, base, foot), "joint_dot"))
    sheet.add(Polygon(tuple((x + across, height) for across, height in outline), "outer_joint"))
    bar = tuple(disc((x, y), 0.5 * diameter))
    sheet.add(Polygon(bar, "shaft"), Lines(hatching(bar, sheet.camera.paper(1.3)), "tick"))
    over, reach = y + 0.5 * diameter, 1.25 * wide
    sheet.add(
        Line((x - reach, over), (x + reach, over), "cut"),
        Line((x - reach, over), (x - reach, base), "axis"),
        Line((x + reach, over), (x + reach, base), "axis"),
    )
