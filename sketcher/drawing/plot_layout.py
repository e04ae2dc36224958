"""Where the plots of a column lie: they stand over one another and share one travel axis.

Droop is on the left and bump on the right.  Everything is in device px from the
camera's lower left corner, ``up`` upwards (:meth:`Camera.in_pixels`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, size_px, width_px
from sketcher.drawing.picture import Box, Point2, Text
from sketcher.drawing.plot_data import WORDS, Column, Plot, Which

# Mm on paper: room for tick values, end labels, titles, the axis and the key to the lines.
LEFT, RIGHT, TITLE, BETWEEN, AXIS, KEY = 11.5, 14.5, 5.6, 2.4, 9.5, 6.2
# Of the key: from one row to the next, and a sample long enough to show its dashes.
KEY_PITCH, SAMPLE, KEY_GAP, KEY_ASIDE, KEY_LEFT = 3.8, 7.2, 1.0, 1.8, 0.6
# A limit's word has this much of its band, of the lettering's height.
_WORD_ROOM = 1.6
KeyRow = tuple[tuple[Which, str], ...]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where one plot lies, device px from the lower left, and its value axis."""

    key: str
    box: Box
    low: float
    high: float

    def y(self, value: float) -> float:
        """Height of a value."""
        return self.box.bottom + (value - self.low) / (self.high - self.low) * self.box.height

    def value(self, y: float) -> float:
        """Value at a height."""
        return self.low + (y - self.box.bottom) / self.box.height * (self.high - self.low)


@dataclass(frozen=True, slots=True)
class PlotLayout:
    """Where the column's plots lie and how its pixels are read."""

    camera: Camera
    frames: tuple[Frame, ...]
    lowest_mm: float
    highest_mm: float

    @property
    def box(self) -> Box:
        """The strip that all plots share, where taking hold moves the wheel, axis included."""
        first, last = self.frames[0].box, self.frames[-1].box
        return Box(first.left, last.bottom - self.camera.paper(AXIS), first.right, first.top)

    @property
    def lettering_px(self) -> int:
        """Font size of all that is written small."""
        return size_px("small", self.camera.pixels_per_paper_mm)

    def word_box(self, word: Text) -> Box:
        """The box of a word of a band, without what hangs below the line of writing."""
        size = self.lettering_px
        wide, high = width_px(word.text, size), size * CAPITAL_HEIGHT
        left = word.at[0] - (wide if word.horizontal == "right" else 0.0)
        base = word.at[1] - (high if word.vertical == "top" else 0.0)
        return Box(left, base, left + wide, base + high)

    def x(self, travel_mm: float) -> float:
        """Device px, from the camera's left, of a travel."""
        box = self.frames[0].box
        part = (travel_mm - self.lowest_mm) / (self.highest_mm - self.lowest_mm)
        return box.left + part * box.width

    def holds(self, point_px: Point2) -> bool:
        """Whether device px lie where taking hold moves the wheel."""
        reach = self.camera.paper(2.5)
        box = self.box
        x, y = self.camera.to_world(point_px)
        return box.left - reach <= x <= box.right + reach and box.bottom <= y <= box.top

    def travel_at(self, point_px: Point2) -> float:
        """The travel at device px, kept within the axis, mm."""
        box = self.frames[0].box
        part = (self.camera.to_world(point_px)[0] - box.left) / box.width
        return self.lowest_mm + min(max(part, 0.0), 1.0) * (self.highest_mm - self.lowest_mm)

    def frame_at(self, point_px: Point2) -> Frame | None:
        """The plot under device px."""
        at = self.camera.to_world(point_px)
        return next((frame for frame in self.frames if frame.box.holds(at)), None)


def key_rows(column: Column, camera: Camera) -> tuple[KeyRow, ...]:
    """The key to the lines: in one row, in fewer words where they need it, or in several rows.

    Every sample is whole; nothing for one curve.
    """
    curves = column.plots[0].curves if column.plots else ()
    if len(curves) < 2:
        return ((),)
    shown = {curve.which for curve in curves}
    keys: tuple[Which, ...] = ("straight", "inside", "outside")
    listed = tuple((which, WORDS[which]) for which in keys if which in shown)
    for row in (listed, tuple((which, which) for which, _ in listed)):
        if key_width(row, camera) <= camera.width - camera.paper(KEY_LEFT):
            return (row,)
    return tuple((one,) for one in listed)


def key_width(row: KeyRow, camera: Camera) -> float:
    """How wide a row of the key to the lines is, px."""
    size = size_px("small", camera.pixels_per_paper_mm)
    written = sum(width_px(words, size) for _, words in row)
    return written + camera.paper((SAMPLE + KEY_GAP) * len(row) + KEY_ASIDE * (len(row) - 1))


def _values(plot: Plot, height: float, camera: Camera) -> tuple[float, float]:
    """A plot's value axis, long enough for the words beyond its limits."""
    low, high = plot.low, plot.high
    lettering = size_px("small", camera.pixels_per_paper_mm) * CAPITAL_HEIGHT
    part = min(_WORD_ROOM * lettering / height, 0.3)
    beyond = [band for band in plot.bands if band.state == "past" and band.word]
    tops = [float(np.nanmax(band.low)) for band in beyond if band.at_top]
    bottoms = [float(np.nanmin(band.high)) for band in beyond if not band.at_top]
    span = (max(tops, default=high) - min(bottoms, default=low)) / (1.0 - part * len(beyond))
    if tops:
        high = max(high, tops[0] + part * span)
    if bottoms:
        low = min(low, bottoms[0] - part * span)
    return low, high


def layout(column: Column, camera: Camera) -> PlotLayout:
    """Share the camera's rectangle among the plots; the plunge gets half as much again."""
    paper = camera.paper
    left, right = paper(LEFT), camera.width - paper(RIGHT)
    weights = [1.5 if plot.key == "plot.plunge" else 1.0 for plot in column.plots]
    spent = len(weights) * paper(TITLE) + (len(weights) - 1) * paper(BETWEEN)
    key = KEY + KEY_PITCH * (len(key_rows(column, camera)) - 1)
    room = max(camera.height - spent - paper(AXIS + key), len(weights) * paper(4.0))
    top = camera.height
    frames: list[Frame] = []
    for plot, weight in zip(column.plots, weights, strict=True):
        top -= paper(TITLE)
        height = room * weight / sum(weights)
        box = Box(left, top - height, max(right, left + paper(10.0)), top)
        frames.append(Frame(plot.key, box, *_values(plot, height, camera)))
        top -= height + paper(BETWEEN)
    low, high = float(column.travel_mm[0]), float(column.travel_mm[-1])
    return PlotLayout(camera, tuple(frames), low, high if high > low else low + 1.0)
