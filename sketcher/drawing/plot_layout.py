"""Where the plots of a column lie: they stand over one another and share one travel axis.

Droop is on the left and bump on the right.  Everything is in device px from the
camera's lower left corner, ``up`` upwards (:meth:`Camera.of_pixels`).
"""

from __future__ import annotations

from dataclasses import dataclass

from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Box, Point2
from sketcher.drawing.plot_data import Column

# Mm on paper: room for tick values, end labels, titles, the axis and the key to the lines.
LEFT, RIGHT, TITLE, BETWEEN, AXIS, KEY = 11.5, 14.5, 5.6, 2.4, 9.5, 6.2


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


def layout(column: Column, camera: Camera) -> PlotLayout:
    """Share the camera's rectangle among the plots; the plunge gets half as much again."""
    paper = camera.paper
    left, right = paper(LEFT), camera.width - paper(RIGHT)
    weights = [1.5 if plot.key == "plot.plunge" else 1.0 for plot in column.plots]
    spent = len(weights) * paper(TITLE) + (len(weights) - 1) * paper(BETWEEN)
    room = max(camera.height - spent - paper(AXIS + KEY), len(weights) * paper(4.0))
    top = camera.height
    frames: list[Frame] = []
    for plot, weight in zip(column.plots, weights, strict=True):
        top -= paper(TITLE)
        height = room * weight / sum(weights)
        box = Box(left, top - height, max(right, left + paper(10.0)), top)
        frames.append(Frame(plot.key, box, plot.low, plot.high))
        top -= height + paper(BETWEEN)
    low, high = float(column.travel_mm[0]), float(column.travel_mm[-1])
    return PlotLayout(camera, tuple(frames), low, high if high > low else low + 1.0)
