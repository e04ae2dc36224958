"""The column of plots as a picture; its travel axis is the control that moves the wheel."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from kinematics.vectors import Array
from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, width_px
from sketcher.drawing.picture import (
    Box,
    Horizontal,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Primitive,
    Role,
    Text,
    Vertical,
)
from sketcher.drawing.plot_data import WORDS, Band, Column, Plot, Which
from sketcher.drawing.plot_layout import (
    AXIS,
    KEY_ASIDE,
    KEY_GAP,
    KEY_LEFT,
    KEY_PITCH,
    SAMPLE,
    Frame,
    PlotLayout,
    key_rows,
    key_width,
)
from sketcher.drawing.style import BAND_WORDS, BANDS
from sketcher.drawing.ticks import enough_ticks, named_ticks, tick_text
from sketcher.words.units import MM_PER_INCH, Unit

_LINES: dict[Which, Role] = {
    "straight": "curve",
    "inside": "curve_inside",
    "outside": "curve_outside",
}
_POINTS_PER_CURVE = 64


def plots_picture(column: Column, where: PlotLayout) -> Picture:
    """Everything of the column that stays while only the position moves."""
    items: list[Primitive] = []
    for plot, frame in zip(column.plots, where.frames, strict=True):
        bands, words = _bands(column, plot, frame, where)
        items += bands
        items += _scale(plot, frame, where, words)
        items += _curves(column, plot, frame, where)
        items += words
    items += _axis(where, column.unit)
    items += _line_key(column, where)
    return Picture(tuple(items))


def _bands(
    column: Column, plot: Plot, frame: Frame, where: PlotLayout
) -> tuple[list[Primitive], list[Text]]:
    """The bands with the lines of their limits, and their words."""
    items: list[Primitive] = [Polygon(frame.box.corners, "plot_paper", plot.key)]
    edges: list[Primitive] = []
    words: list[Text] = []
    lettering = where.lettering_px * CAPITAL_HEIGHT
    for band in plot.bands:
        low, high = _edges(band, frame)
        if not bool((high > low).any()):
            continue
        under = _points(column.travel_mm, low, frame, where)
        over = _points(column.travel_mm, high, frame, where)
        items.append(Polygon((*under, *reversed(over)), BANDS[band.state]))
        if band.state == "past":
            edges.append(Polyline(under if band.at_top else over, "limit"))
        room = float((high - low).max()) / (frame.high - frame.low) * frame.box.height
        # In low plots the word of what is past goes before that of what is only close.
        if band.word and (band.state == "past" or room > 1.4 * lettering):
            word = _band_word(column, plot, band, frame, where)
            if any(_meet(word, other, where) for other in words):
                word = _at_other_end(word, frame)
            words.append(word)
    return items + edges, words


def _edges(band: Band, frame: Frame) -> tuple[Array, Array]:
    """A band within its frame; what is past a limit goes on to the frame's edge."""
    low = np.clip(band.low, frame.low, frame.high)
    high = np.clip(band.high, frame.low, frame.high)
    if band.state == "past" and band.at_top:
        high = np.full_like(high, frame.high)
    elif band.state == "past":
        low = np.full_like(low, frame.low)
    return low, high


def _meet(one: Text, other: Text, where: PlotLayout) -> bool:
    """Whether two words of a plot stand at the same end, one across the other."""
    a, b = where.word_box(one), where.word_box(other)
    return one.horizontal == other.horizontal and abs(a.bottom - b.bottom) < 1.2 * a.height


def _at_other_end(word: Text, frame: Frame) -> Text:
    left, right = frame.box.left, frame.box.right
    at = (left + right - word.at[0], word.at[1])
    return replace(word, at=at, horizontal="right" if word.horizontal == "left" else "left")


def _band_word(column: Column, plot: Plot, band: Band, frame: Frame, where: PlotLayout) -> Text:
    """A band's word inside it, at the end of the travel where fewer curves pass."""
    paper, size = where.camera.paper, where.lettering_px
    height = size * CAPITAL_HEIGHT
    part = min(1.0, (width_px(band.word, size) + paper(2.0)) / frame.box.width)
    samples = max(1, round(part * len(column.travel_mm)))
    choices: list[tuple[int, Text]] = []
    lows, highs = _edges(band, frame)
    for right in (False, True):
        along = slice(-samples, None) if right else slice(0, samples)
        # Over all of the word's length nothing of the band's edge is to cross it.
        low, high = frame.y(float(lows[along].max())), frame.y(float(highs[along].min()))
        inset = max((high - low - height) / 2, paper(0.5))
        y = high - inset if band.at_top else low + inset
        x = frame.box.right - paper(1.2) if right else frame.box.left + paper(1.2)
        base = y - height if band.at_top else y
        # With what hangs below the line of writing.
        edged = base - 0.3 * height < low if band.at_top else base + height > high
        floor, ceiling = frame.value(base - paper(0.6)), frame.value(base + height + paper(0.6))
        crossed = sum(
            int(np.count_nonzero((curve.values[along] > floor) & (curve.values[along] < ceiling)))
            for curve in plot.curves
        )
        hand: Horizontal = "right" if right else "left"
        over: Vertical = "top" if band.at_top else "bottom"
        word = Text((x, y), band.word, BAND_WORDS[band.state], "", hand, over, size="small")
        # Where a line passes after all, it gives way to the word.
        choices.append((crossed, replace(word, backed=edged or crossed > 0)))
    return min(choices, key=lambda choice: choice[0])[1]


def _scale(plot: Plot, frame: Frame, where: PlotLayout, words: list[Text]) -> list[Primitive]:
    paper, box = where.camera.paper, frame.box
    most = max(2, int(box.height / paper(7.0)))
    marks = enough_ticks(frame.low, frame.high, most)
    step = marks[1] - marks[0]
    lines = tuple(_beside(words, frame.y(v), box, where) for v in marks)
    items: list[Primitive] = [Lines(lines, "plot_grid")]
    if frame.low < 0.0 < frame.high:
        items.append(Line((box.left, frame.y(0.0)), (box.right, frame.y(0.0)), "tick"))
    for value in named_ticks(marks, frame.y(step) - frame.y(0.0), paper(2.9)):
        at = (box.left - paper(1.2), frame.y(value))
        text = tick_text(value, step, signed=plot.signed)
        items.append(Text(at, text, "label", plot.key, "right", "middle", size="small"))
    zero = where.x(0.0)
    if box.left < zero < box.right:
        low, high = _free_of(words, zero, box, where)
        items.append(Line((zero, low), (zero, high), "axis"))
    title = (box.left, box.top + paper(1.3))
    items.append(Text(title, plot.title, "label_strong", plot.key, "left", "bottom"))
    items.append(Polyline((*box.corners, box.corners[0]), "frame", plot.key))
    return items


def _free_of(words: list[Text], x: float, box: Box, where: PlotLayout) -> tuple[float, float]:
    """The ends of an upright line that crosses none of a plot's words."""
    low, high, spare = box.bottom, box.top, where.camera.paper(0.8)
    for word in words:
        written = where.word_box(word)
        if written.left <= x <= written.right and word.vertical == "top":
            high = min(high, written.bottom - spare)
        elif written.left <= x <= written.right:
            low = max(low, written.top + spare)
    return low, max(low, high)


def _beside(words: list[Text], y: float, box: Box, where: PlotLayout) -> tuple[Point2, Point2]:
    """A level line of the grid, which strikes through none of a plot's words."""
    left, right, spare = box.left, box.right, where.camera.paper(0.6)
    for word in words:
        written = where.word_box(word).grown(spare)
        if written.bottom < y < written.top and word.horizontal == "left":
            left = max(left, written.right)
        elif written.bottom < y < written.top:
            right = min(right, written.left)
    return ((min(left, right), y), (right, y))


def _curves(column: Column, plot: Plot, frame: Frame, where: PlotLayout) -> list[Primitive]:
    items: list[Primitive] = []
    ends: list[tuple[float, str]] = []
    for curve in plot.curves:
        held = _within(curve.values, frame)
        for run in _runs(held):
            points = _points(column.travel_mm[run], held[run], frame, where)
            if len(points) > 1:
                items.append(Polyline(points, _LINES[curve.which], plot.key))
        known = np.flatnonzero(np.isfinite(held))
        # A curve that ends well before the edge has no end there to be named.
        if known.size and known[-1] >= 0.9 * len(held) and len(plot.curves) > 1:
            ends.append((frame.y(float(held[known[-1]])), WORDS[curve.which]))
    return items + _end_labels(plot, frame, ends, where.camera)


def _within(values: Array, frame: Frame) -> Array:
    """Values that the frame can show; NaN where a curve has left it, but for the first beyond."""
    with np.errstate(invalid="ignore"):
        inside = (values >= frame.low) & (values <= frame.high)
    near = inside.copy()
    near[1:] |= inside[:-1]
    near[:-1] |= inside[1:]
    held: Array = np.where(near, np.clip(values, frame.low, frame.high), np.nan)
    return held


def _end_labels(
    plot: Plot, frame: Frame, ends: list[tuple[float, str]], camera: Camera
) -> list[Primitive]:
    """The curves' names at their right ends, set apart; one word where they end together."""
    if not ends:
        return []
    ends.sort()
    pitch = camera.paper(3.0)
    if ends[-1][0] - ends[0][0] < pitch * 0.25:
        ends = [(ends[0][0], "all")]
    heights = [y for y, _ in ends]
    for i in range(1, len(heights)):
        heights[i] = max(heights[i], heights[i - 1] + pitch)
    lift = sum(a - b for a, (b, _) in zip(heights, ends, strict=True)) / len(ends)
    x = frame.box.right + camera.paper(1.7)
    named = [words.removesuffix(" lock") for _, words in ends]
    return [
        Text((x, y - lift), name, "label", plot.key, vertical="middle", size="small")
        for y, name in zip(heights, named, strict=True)
    ]


def _axis(where: PlotLayout, unit: Unit) -> list[Primitive]:
    paper, box = where.camera.paper, where.box
    base = box.bottom + paper(AXIS)
    most = max(2, int(box.width / paper(11.0)))
    per = MM_PER_INCH if unit == "in" else 1.0
    low, high = where.lowest_mm / per, where.highest_mm / per
    marks = enough_ticks(low, high, most)
    step = marks[1] - marks[0]
    places = [where.x(value * per) for value in marks]
    teeth = tuple(((x, base), (x, base - paper(1.4))) for x in places)
    items: list[Primitive] = [
        Line((box.left, base), (box.right, base), "ground", "plot.travel"),
        Lines(teeth, "frame"),
    ]
    for value, x in zip(marks, places, strict=True):
        text = tick_text(value, step, signed=True)
        at = (x, base - paper(2.2))
        items.append(Text(at, text, "label", "plot.travel", "centre", "top", size="small"))
    under = box.bottom + paper(0.4)
    items += [
        Text((box.left, under), "droop", "label", "plot.travel", "left", "bottom", size="small"),
        Text((box.right, under), "bump", "label", "plot.travel", "right", "bottom", size="small"),
    ]
    return items


def _line_key(column: Column, where: PlotLayout) -> list[Primitive]:
    """Samples of the lines with their words, under the axis."""
    paper, size = where.camera.paper, where.lettering_px
    rows = key_rows(column, where.camera)
    items: list[Primitive] = []
    for number, row in enumerate(rows):
        y = paper(1.6 + KEY_PITCH * (len(rows) - 1 - number))
        middle = y + size * CAPITAL_HEIGHT / 2
        wide = key_width(row, where.camera)
        x = max(paper(KEY_LEFT), min(where.box.left, where.camera.width - wide))
        for which, words in row:
            items.append(Line((x, middle), (x + paper(SAMPLE), middle), _LINES[which]))
            x += paper(SAMPLE + KEY_GAP)
            items.append(Text((x, y), words, "label", size="small"))
            x += width_px(words, size) + paper(KEY_ASIDE)
    return items


def _points(travel: Array, values: Array, frame: Frame, where: PlotLayout) -> tuple[Point2, ...]:
    """A run over travel in px, thinned to what the width can show, both ends kept."""
    count = len(travel)
    if count > 2 and values[0] == values[-1] and bool((values == values[0]).all()):
        travel, values = travel[[0, -1]], values[[0, -1]]
    elif count > _POINTS_PER_CURVE:
        kept = _thinned(count)
        travel, values = travel[kept], values[kept]
    box = frame.box
    across = box.width / (where.highest_mm - where.lowest_mm)
    upwards = box.height / (frame.high - frame.low)
    x = (box.left + (travel - where.lowest_mm) * across).tolist()
    y = (box.bottom + (values - frame.low) * upwards).tolist()
    return tuple(zip(x, y, strict=True))


@lru_cache(maxsize=16)
def _thinned(count: int) -> Array:
    kept: Array = np.unique(np.linspace(0, count - 1, _POINTS_PER_CURVE).round().astype(int))
    return kept


def _runs(values: Array) -> list[slice]:
    """The stretches without gaps."""
    known = np.isfinite(values)
    if bool(known.all()):
        return [slice(0, len(values))]
    edges = np.flatnonzero(np.diff(np.concatenate(([False], known, [False]))))
    return [slice(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
