"""Where labels go: each takes the first free place near what it names.

The sheet is divided in cells; what is drawn marks the cells that it covers, and
a label is laid where the fewest of its cells are taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, size_px, width_px
from sketcher.drawing.picture import Box, Horizontal, Line, Point2, Primitive, Role, Text, Vertical
from sketcher.drawing.style import Size, Style

_CELL_MM = 1.6
# How much further off a label is tried where there is no room close by.
_RINGS_MM = (0.0, 5.0, 11.0, 18.0)
# Where a label is tried: right, left, above, below, then the corners.
_COMPASS: tuple[tuple[float, float, Horizontal, Vertical], ...] = (
    (1.0, 0.0, "left", "middle"),
    (-1.0, 0.0, "right", "middle"),
    (0.75, 0.75, "left", "bottom"),
    (-0.75, 0.75, "right", "bottom"),
    (0.75, -0.75, "left", "top"),
    (-0.75, -0.75, "right", "top"),
    (0.0, 1.0, "centre", "bottom"),
    (0.0, -1.0, "centre", "top"),
)


class Room:
    """What of the sheet is taken, while one picture is made."""

    def __init__(self, camera: Camera, style: Style) -> None:
        self._camera = camera
        self._style = style
        self._cell = camera.paper(_CELL_MM)
        self._taken: set[tuple[int, int]] = set()
        self._view = camera.box

    def take_line(self, a: Point2, b: Point2, half: float = 0.0) -> None:
        """Mark a straight line, or a bar of half a thickness."""
        self._taken.update(self._bar(a, b, half))

    def cost_of_line(self, a: Point2, b: Point2, half: float = 0.0) -> float:
        """How many cells of a bar are taken."""
        return float(len(self._taken.intersection(self._bar(a, b, half))))

    def _bar(self, a: Point2, b: Point2, half: float) -> Iterator[tuple[int, int]]:
        cell = self._cell
        steps = min(400, max(1, math.ceil(math.dist(a, b) / cell)))
        rows = range(-math.ceil(half / cell), math.ceil(half / cell) + 1) if half else range(1)
        length = math.dist(a, b) or 1.0
        u, v = -(b[1] - a[1]) / length * cell, (b[0] - a[0]) / length * cell
        for i in range(steps + 1):
            x = a[0] + (b[0] - a[0]) * i / steps
            y = a[1] + (b[1] - a[1]) * i / steps
            for row in rows:
                yield (math.floor((x + u * row) / cell), math.floor((y + v * row) / cell))

    def take_run(self, points: Sequence[Point2], *, closed: bool = False) -> None:
        """Mark a run of lines."""
        following = [*points[1:], points[0]] if closed else points[1:]
        for a, b in zip(points, following, strict=False):
            self.take_line(a, b)

    def take_box(self, box: Box) -> None:
        """Mark a whole box."""
        self._taken.update(self._cells(box))

    def measure(self, text: str, role: Role, size: Size = "normal") -> tuple[float, float]:
        """Width and height of a text in world mm."""
        px = size_px(size, self._camera.pixels_per_paper_mm)
        width = width_px(text, px, self._style.mark(role).bold)
        return width / self._camera.zoom, px * CAPITAL_HEIGHT / self._camera.zoom

    def box(self, text: Text) -> Box:
        """The box of an upright text."""
        width, height = self.measure(text.text, text.role, text.size)
        left = text.at[0] - {"left": 0.0, "centre": width / 2, "right": width}[text.horizontal]
        bottom = text.at[1] - {"bottom": 0.0, "middle": height / 2, "top": height}[text.vertical]
        return Box(left, bottom, left + width, bottom + height)

    def label(
        self,
        at: Point2,
        text: str,
        role: Role = "label",
        *,
        key: str = "",
        clear_mm: float = 2.2,
        size: Size = "small",
        first: Iterable[int] = (),
    ) -> tuple[Primitive, ...]:
        """Lay a label near a point, with a thin line to it where it stands off.

        ``clear_mm`` on paper is kept from the point; ``first`` names the places of
        the compass to try first (0 right, 1 left, 2 to 5 corners, 6 above, 7 below).
        """
        order = [*first, *(i for i in range(len(_COMPASS)) if i not in set(first))]
        best: tuple[float, Text, float] | None = None
        for ring, distance in enumerate(
            (clear_mm, clear_mm + 5.0, clear_mm + 11.0, clear_mm + 18.0)
        ):
            gap = self._camera.paper(distance)
            for place, index in enumerate(order):
                dx, dy, horizontal, vertical = _COMPASS[index]
                spot = (at[0] + dx * gap, at[1] + dy * gap)
                laid = Text(spot, text, role, key, horizontal, vertical, size=size)
                cost = self._crossed(laid) + ring * 0.9 + place * 0.01
                if best is None or cost < best[0]:
                    best = (cost, laid, distance)
            if best is not None and best[0] < 1.0 + ring:
                break
        assert best is not None
        _, laid, distance = best
        self.take_box(self.box(laid))
        if distance == clear_mm:
            return (laid,)
        start = self._camera.paper(clear_mm * 0.6)
        away = math.dist(at, laid.at) or 1.0
        begin = (
            at[0] + (laid.at[0] - at[0]) / away * start,
            at[1] + (laid.at[1] - at[1]) / away * start,
        )
        end = laid.at
        return (Line(begin, end, "faint"), laid)

    def cost_of_shelf(self, elbow: Point2, width: float, height: float) -> float:
        """How much of the room of a leader's text is taken; a negative width runs to the left."""
        left, right = min(elbow[0], elbow[0] + width), max(elbow[0], elbow[0] + width)
        return self._cost(Box(left, elbow[1], right, elbow[1] + height * 1.4))

    def _crossed(self, text: Text) -> float:
        return self._cost(self.box(text))

    def _cost(self, box: Box) -> float:
        outside = 0.0 if self._view.holds((box.left, box.bottom)) else 40.0
        outside += 0.0 if self._view.holds((box.right, box.top)) else 40.0
        return outside + sum(1.0 for cell in self._cells(box) if cell in self._taken)

    def _cells(self, box: Box) -> Iterable[tuple[int, int]]:
        cell = self._cell
        rows = range(math.floor(box.bottom / cell), math.floor(box.top / cell) + 1)
        for column in range(math.floor(box.left / cell), math.floor(box.right / cell) + 1):
            for row in rows:
                yield (column, row)
