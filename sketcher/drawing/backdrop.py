"""What lies behind the sketch: grid, floor, centreline, and the scale bar."""

from __future__ import annotations

import math
from functools import lru_cache

from sketcher.drawing.picture import Box, Line, Lines, Polygon, Primitive, Text
from sketcher.drawing.shapes import Segment, arrowhead
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.ticks import tick_step
from sketcher.words.units import MM_PER_INCH, Unit

_FINEST_GRID_MM = 5.5
# How long the scale bar is at least, mm on paper: the first that there is room for.
_SCALE_BAR_MM = (18.0, 9.0, 4.5, 2.0)
_INCH_STEPS = (0.125, 0.25, 0.5, 1.0, 2.0, 4.0, 10.0, 20.0, 50.0)


def grid_step(smallest_mm: float, unit: Unit) -> float:
    """The round length, mm, next above a smallest one: 1, 2, 5, 10… mm or inches and halves."""
    if unit == "mm":
        return tick_step(smallest_mm, 1)
    inches = (step for step in _INCH_STEPS if step * MM_PER_INCH >= smallest_mm)
    return next(inches, _INCH_STEPS[-1]) * MM_PER_INCH


def draw_backdrop(sheet: Sheet, *, grid: bool, floor: bool = True) -> None:
    """Grid, the floor with its hatching, and the car's centreline, as far as they are in view."""
    view = sheet.camera.box
    if grid:
        step = grid_step(sheet.camera.paper(_FINEST_GRID_MM), sheet.unit)
        sheet.add(Lines(_grid(view, step), "grid"), Lines(_grid(view, step * 5), "grid_strong"))
    if floor and view.bottom < 0.0 < view.top:
        _draw_floor(sheet, view)
    if view.left < 0.0 < view.right:
        sheet.add(Line((0.0, view.bottom), (0.0, view.top), "axis"))
    if not floor:
        sheet.add(Line((view.left, 0.0), (view.right, 0.0), "axis"))


@lru_cache(maxsize=8)
def _grid(view: Box, step: float) -> tuple[Segment, ...]:
    across = range(math.ceil(view.left / step), math.floor(view.right / step) + 1)
    upwards = range(math.ceil(view.bottom / step), math.floor(view.top / step) + 1)
    if len(across) + len(upwards) > 600:
        return ()
    return (
        *(((i * step, view.bottom), (i * step, view.top)) for i in across),
        *(((view.left, i * step), (view.right, i * step)) for i in upwards),
    )


def _draw_floor(sheet: Sheet, view: Box) -> None:
    pitch, size = sheet.camera.paper(3.2), sheet.camera.paper(2.0)
    first, last = math.floor(view.left / pitch), math.ceil(view.right / pitch)
    ticks = tuple(((i * pitch, 0.0), (i * pitch - size, -size)) for i in range(first, last + 1))
    sheet.add(Lines(ticks, "ground_hatching"))
    sheet.add(Line((view.left, 0.0), (view.right, 0.0), "ground"))
    sheet.room.take_line((view.left, -size / 2), (view.right, -size / 2), size / 2)


def scale_bar(sheet: Sheet) -> tuple[Primitive, ...]:
    """A bar of a round length at the lower left, its half filled, clear of what covers the view.

    Its words have their room from now on; they are laid over everything else.
    """
    view, paper = sheet.camera.box, sheet.camera.paper
    x, y = view.left + paper(5.0), view.bottom + paper(4.5)
    top = y + paper(1.1)
    beside = [box.left for box in sheet.covered if box.bottom <= y <= box.top]
    room = min((*beside, view.right)) - x - paper(2.8)
    lengths = [grid_step(paper(least), sheet.unit) for least in _SCALE_BAR_MM]
    length = next((one for one in lengths if one + _wide(sheet, one) <= room), lengths[-1])
    middle, end = x + length / 2, x + length
    at = (end + paper(1.4), (y + top) / 2)
    words = _bar_words(length, sheet.unit)
    named = Text(at, words, "label", "", "left", "middle", size="small", backed=True)
    sheet.room.take_words(sheet.room.box(named))
    full, empty = Box(x, y, middle, top), Box(middle, y, end, top)
    return (Polygon(full.corners, "scale_full"), Polygon(empty.corners, "scale_empty"), named)


def forward_arrow(sheet: Sheet) -> tuple[Primitive, ...]:
    """An arrow at the upper left of a view from above that says which way the car goes.

    Its word has its room from now on; it is laid over everything else.
    """
    view, paper = sheet.camera.box, sheet.camera.paper
    foot = (view.left + paper(5.0), view.top - paper(10.0))
    tip = (foot[0], view.top - paper(3.0))
    named = Text((foot[0] + paper(1.6), (foot[1] + tip[1]) / 2), "forward", "label", "", "left",
                 "middle", size="small", backed=True)  # fmt: skip
    sheet.room.take_words(sheet.room.box(named))
    arrow = Polygon(arrowhead(tip, (0.0, 1.0), paper(2.4)), "dimension")
    return (Line(foot, tip, "note"), arrow, named)


def _bar_words(length: float, unit: Unit) -> str:
    return f"{length / MM_PER_INCH:g} in" if unit == "in" else f"{length:g} mm"


def _wide(sheet: Sheet, length: float) -> float:
    """How wide the words beside a scale bar are, world mm."""
    return sheet.room.measure(_bar_words(length, sheet.unit), "label", "small")[0]
