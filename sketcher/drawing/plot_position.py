"""The current position on the column of plots, and the values under the pointer."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import width_px
from sketcher.drawing.picture import Circle, Line, Lines, Picture, Point2, Polygon, Primitive, Text
from sketcher.drawing.plot_data import WORDS, Column, Plot
from sketcher.drawing.plot_layout import AXIS, PlotLayout
from sketcher.words.units import Rounding, Unit, format_length, format_number


def position_picture(
    column: Column,
    where: PlotLayout,
    travel_mm: float,
    now: Sequence[float | None],
    *,
    hover: Point2 | None = None,
) -> Picture:
    """The current position on every plot: a line across, a dot and the value.

    ``now`` has each plot's value at the current travel and steer angle, None
    where there is none.  ``hover`` (device px) reads the values under the pointer.
    """
    paper = where.camera.paper
    x, box = where.x(travel_mm), where.box
    items: list[Primitive] = []
    if 0.0 <= x <= where.camera.width:
        across = tuple(((x, frame.box.bottom), (x, frame.box.top)) for frame in where.frames)
        items.append(Lines(across, "here"))
        items += _grip(x, box.bottom + paper(AXIS), where.camera)
        words = "ride height" if abs(travel_mm) < 0.05 else _travel(travel_mm, column.unit)
        # Between "droop" and "bump" at the ends of the same line.
        size = where.lettering_px
        half = width_px(words, size, True) / 2 + paper(1.5)
        low = box.left + width_px("droop", size) + half
        high = box.right - width_px("bump", size) - half
        at = (min(max(x, low), max(high, low)), box.bottom + paper(0.4))
        items.append(Text(at, words, "here_word", "plot.travel", "centre", "bottom", size="small"))
    for plot, frame, value in zip(column.plots, where.frames, now, strict=True):
        if value is None or not math.isfinite(value):
            continue
        y = min(max(frame.y(value), frame.box.bottom), frame.box.top)
        items.append(Circle((x, y), paper(1.1), "here_dot", plot.key))
        end = (frame.box.right, frame.box.top + paper(1.3))
        text = _value(value, plot)
        items.append(Text(end, text, "here_word", plot.key, "right", "bottom"))
    if hover is not None:
        items += _hover(column, where, hover)
    return Picture(tuple(items))


def _travel(travel_mm: float, unit: Unit) -> str:
    return format_length(travel_mm, unit, digits=0 if unit == "mm" else 2, signed=True)


def _value(value: float, plot: Plot) -> str:
    # Neither a gap larger nor an angle smaller than it is.
    way: Rounding = "up" if plot.unit == "°" else "nearest"
    if plot.key == "plot.clearance":
        way = "down"
    text = format_number(value, plot.digits, way)
    if plot.signed and value > 0.0:
        text = f"+{text}"
    if float(text) == 0.0:
        text = f"{0:.{plot.digits}f}"
    gap = "" if plot.unit == "°" else " "
    return f"{text}{gap}{plot.unit}".replace("-", "−")


def _grip(x: float, base: float, camera: Camera) -> list[Primitive]:
    """What to take hold of on the axis: an upright lozenge on it."""
    half, high = camera.paper(1.7), camera.paper(2.2)
    outline = ((x, base + high), (x + half, base), (x, base - high), (x - half, base))
    return [Polygon(outline, "grip", "plot.travel")]


def _hover(column: Column, where: PlotLayout, hover: Point2) -> list[Primitive]:
    frame = where.frame_at(hover)
    if frame is None:
        return []
    travel = where.travel_at(hover)
    plot = next(plot for plot in column.plots if plot.key == frame.key)
    paper, x = where.camera.paper, where.x(travel)
    items: list[Primitive] = [Line((x, frame.box.bottom), (x, frame.box.top), "snap")]
    words = [_travel(travel, column.unit)]
    by = {curve.which: curve.values for curve in plot.curves}
    for which in ("straight", "inside", "outside"):
        value = float(np.interp(travel, column.travel_mm, by[which])) if which in by else math.nan
        if math.isfinite(value):
            y = min(max(frame.y(value), frame.box.bottom), frame.box.top)
            items.append(Circle((x, y), paper(0.7), "here_dot"))
            # An axle that does not steer has one curve, which needs no name.
            name = f"{WORDS[which].removesuffix(' lock')} " if len(by) > 1 else ""
            words.append(f"{name}{_value(value, plot)}")
    return items + _tip((x, frame.box.centre[1]), words, where)


def _tip(at: Point2, words: Sequence[str], where: PlotLayout) -> list[Primitive]:
    """Lines of text in a box beside a point, on the side with more room."""
    paper, size = where.camera.paper, where.lettering_px
    width = max(width_px(line, size) for line in words) + paper(2.0)
    high = len(words) * paper(3.5) + paper(1.0)
    left = at[0] + paper(2.0) if at[0] < where.box.centre[0] else at[0] - paper(2.0) - width
    top = at[1] + high / 2
    corners = ((left, top - high), (left + width, top - high), (left + width, top), (left, top))
    items: list[Primitive] = [Polygon(corners, "tip")]
    for line in words:
        top -= paper(3.5)
        items.append(Text((left + paper(1.0), top), line, "note", size="small"))
    return items
