"""Painting a picture: what every painter does alike, before its own pen takes over.

A pen needs five strokes of its own; points reach it in device px, ``y``
downwards, with widths and dashes in device px too.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import NamedTuple, Protocol

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, size_px, width_px
from sketcher.drawing.picture import (
    Arc,
    Circle,
    Handle,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Primitive,
    Text,
)
from sketcher.drawing.shapes import Segment
from sketcher.drawing.style import DASHES, Colour, LineKind, MarkStyle, Style

LIT_WIDER = 1.5
HANDLE_RADIUS_MM = 1.6


class Stroke(NamedTuple):
    """How a line is drawn: colour, and width and dashes in device px."""

    colour: Colour
    width: float
    dashes: tuple[float, ...] = ()


class Pen(Protocol):
    """One back end: a surface, an SVG tree, a PDF page."""

    def fill(self, points: Sequence[Point2], colour: Colour, *, edged: bool) -> None:
        """Fill a closed outline; ``edged`` where a line along its edge follows."""

    def run(self, points: Sequence[Point2], stroke: Stroke, *, closed: bool) -> None:
        """Draw a run of straight lines."""

    def segments(self, segments: Sequence[Segment], stroke: Stroke) -> None:
        """Draw separate straight lines."""

    def circle(
        self, centre: Point2, radius: float, fill: Colour | None, stroke: Stroke | None
    ) -> None:
        """Draw a circle, filled first where there is a fill, with a line where there is one."""

    def text(
        self, start: Point2, text: str, size: int, colour: Colour, *, bold: bool, angle_deg: float
    ) -> None:
        """Write a line of text whose baseline starts at a point, turned counter-clockwise."""


def paint(
    picture: Picture,
    camera: Camera,
    style: Style,
    pen: Pen,
    *,
    lit: Collection[str] = (),
) -> None:
    """Paint a picture with a pen.

    ``lit`` holds the keys of what is held or pointed at: drawn in the accent
    colour and heavier, handles shown; a key lights what belongs to it too
    (``bracket[0]`` its corners).
    """
    painting = _Painting(camera, style, pen)
    lit_keys = tuple(lit)
    for item in picture.primitives:
        mark = style.mark(item.role)
        if lit_keys and item.key and is_lit(item.key, lit_keys):
            wider = mark.width * LIT_WIDER
            line: LineKind = "continuous" if mark.line == "none" else mark.line
            painting.draw(item, replace(mark, colour=style.lit, width=wider, line=line))
        elif not isinstance(item, Handle):
            painting.draw(item, mark)


def is_lit(key: str, lit: Collection[str]) -> bool:
    """Whether a key is among the lit ones, or belongs to one of them."""
    return any(
        key == other or (key.startswith(other) and key[len(other)] in ".[")
        for other in lit
        if other
    )


class _Painting:
    """One picture's way to the pen: world mm to device px, marks to widths and dashes in px."""

    def __init__(self, camera: Camera, style: Style, pen: Pen) -> None:
        self._pen = pen
        self._paper = style.palette.paper
        self._backs = style.backs_words
        self._px = px = camera.pixels_per_paper_mm
        self._zoom = camera.zoom
        self._x, self._y = camera.to_screen((0.0, 0.0))
        self._dashes = {kind: tuple(d * px for d in lengths) for kind, lengths in DASHES.items()}

    def draw(self, item: Primitive, mark: MarkStyle) -> None:
        """Paint one primitive."""
        match item:
            case Polygon() | Circle():
                self._area(item, mark)
            case Text() if item.text:
                self._write(item, mark)
            case Handle():
                stroke = Stroke(mark.colour, mark.width * self._px)
                self._pen.circle(
                    self._to(item.at), HANDLE_RADIUS_MM * self._px, self._paper, stroke
                )
            case Line() | Lines() | Polyline() | Arc():
                self._line(item, mark)

    def _to(self, point: Point2) -> Point2:
        return (self._x + point[0] * self._zoom, self._y - point[1] * self._zoom)

    def _all(self, points: Sequence[Point2]) -> list[Point2]:
        x0, y0, zoom = self._x, self._y, self._zoom
        return [(x0 + x * zoom, y0 - y * zoom) for x, y in points]

    def _stroke(self, mark: MarkStyle) -> Stroke | None:
        if mark.line == "none" or not mark.width:
            return None
        return Stroke(mark.colour, mark.width * self._px, self._dashes[mark.line])

    def _line(self, item: Line | Lines | Polyline | Arc, mark: MarkStyle) -> None:
        stroke = self._stroke(mark)
        if stroke is None:
            return
        match item:
            case Line():
                self._pen.segments(((self._to(item.start), self._to(item.end)),), stroke)
            case Lines():
                self._pen.segments([(self._to(a), self._to(b)) for a, b in item.segments], stroke)
            case _ if len(item.points) > 1:
                self._pen.run(self._all(item.points), stroke, closed=False)

    def _area(self, item: Polygon | Circle, mark: MarkStyle) -> None:
        pen, stroke = self._pen, self._stroke(mark)
        dashed = stroke is not None and bool(stroke.dashes)
        if isinstance(item, Polygon):
            if len(item.points) < 3:
                return
            outline = self._all(item.points)
            if mark.fill is not None:
                pen.fill(outline, mark.fill, edged=stroke is not None and not dashed)
            if stroke is not None:
                pen.run(outline, stroke, closed=True)
            return
        radius, solid = item.radius * self._zoom, None if dashed else stroke
        pen.circle(self._to(item.centre), radius, mark.fill, solid)
        if stroke is not None and dashed:
            ring = Arc(item.centre, item.radius, 0.0, 360.0, item.role)
            pen.run(self._all(ring.points), stroke, closed=False)

    def _write(self, item: Text, mark: MarkStyle) -> None:
        at, size = self._to(item.at), size_px(item.size, self._px)
        width, height = width_px(item.text, size, mark.bold), size * CAPITAL_HEIGHT
        # From the anchor to the start of the baseline, before turning, y downwards.
        left = {"left": 0.0, "centre": -width / 2, "right": -width}[item.horizontal]
        down = {"bottom": 0.0, "middle": height / 2, "top": height}[item.vertical]
        turn = math.radians(item.angle_deg)
        c, s = math.cos(turn), math.sin(turn)

        def turned(x: float, y: float) -> Point2:
            return (at[0] + x * c + y * s, at[1] - x * s + y * c)

        if item.backed or self._backs:
            gap = size * 0.22
            right, over, under = left + width + gap, down - height - gap, down + gap
            corners = ((left - gap, under), (right, under), (right, over), (left - gap, over))
            self._pen.fill([turned(*corner) for corner in corners], self._paper, edged=False)
        start = turned(left, down)
        self._pen.text(
            start, item.text, size, mark.colour, bold=mark.bold, angle_deg=item.angle_deg
        )
