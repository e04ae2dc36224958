"""The sheet divided in cells, each of them free or marked."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pygame

from sketcher.drawing.picture import Box, Point2

# Cells kept beyond the view on each side, and how far from it a bar keeps its thickness.
_BEYOND, _FAR = 4, 4000.0


class Cells:
    """Square cells over a view; what lies well outside it is not kept.

    Cells are bytes of a surface too, so that marking is drawing and counting is
    searching, both at the speed of the library.
    """

    def __init__(self, view: Box, size: float) -> None:
        self.size = size
        self._per = 1.0 / size
        self._left = math.floor(view.left / size) - _BEYOND
        self._bottom = math.floor(view.bottom / size) - _BEYOND
        self._columns = math.ceil(view.right / size) + _BEYOND - self._left
        self._rows = math.ceil(view.top / size) + _BEYOND - self._bottom
        self._cells = bytearray(self._columns * self._rows)
        self._surface = pygame.image.frombuffer(self._cells, (self._columns, self._rows), "P")
        self._area = pygame.FRect(0.0, 0.0, self._columns, self._rows)

    def mark_run(self, points: Sequence[Point2], *, closed: bool = False) -> None:
        """Mark a run of lines."""
        cells = [self._cell(point) for point in points]
        if all(-_FAR < x < _FAR and -_FAR < y < _FAR for x, y in cells):
            pygame.draw.lines(self._surface, 1, closed, cells)
            return
        following = [*points[1:], points[0]] if closed else points[1:]
        for a, b in zip(points, following, strict=False):
            self.mark_bar(a, b, 0.0)

    def mark_bar(self, a: Point2, b: Point2, half: float) -> None:
        """Mark a straight line, or a bar of half a thickness."""
        (x1, y1), (x2, y2) = self._cell(a), self._cell(b)
        length = math.hypot(x2 - x1, y2 - y1)
        if half and 1e-9 < length < _FAR and abs(x1) + abs(y1) < _FAR:
            u, v = -(y2 - y1) / length * half / self.size, (x2 - x1) / length * half / self.size
            corners = ((x1 + u, y1 + v), (x2 + u, y2 + v), (x2 - u, y2 - v), (x1 - u, y1 - v))
            pygame.draw.polygon(self._surface, 1, corners)
        seen = self._area.clipline((x1, y1), (x2, y2))
        if seen:
            pygame.draw.line(self._surface, 1, *seen)

    def mark_box(self, box: Box) -> None:
        """Mark a whole box."""
        left, right, bottom, top = self._span(box.left, box.bottom, box.right, box.top)
        if right > left and top > bottom:
            self._surface.fill(1, (left, bottom, right - left, top - bottom))

    def count_within(self, left: float, bottom: float, right: float, top: float) -> int:
        """How many cells of a box are marked."""
        first, last, low, high = self._span(left, bottom, right, top)
        cells, columns, count = self._cells, self._columns, 0
        for start in range(low * columns, high * columns, columns):
            count += cells.count(1, start + first, start + last)
        return count

    def count_bar(self, a: Point2, b: Point2, half: float) -> int:
        """How many cells of a straight line are marked; of a bar about how many."""
        seen = self._area.clipline(self._cell(a), self._cell(b))
        if not seen:
            return 0
        (x1, y1), (x2, y2) = seen
        length = math.hypot(x2 - x1, y2 - y1)
        stride = 2 if half else 1
        steps = max(1, math.ceil(length / stride))
        dx, dy = (x2 - x1) / steps, (y2 - y1) / steps
        rows = math.ceil(half / self.size)
        u, v = (-(y2 - y1) / length, (x2 - x1) / length) if length > 1e-9 else (0.0, 1.0)
        places = {
            (int(x1 + dx * i + u * row), int(y1 + dy * i + v * row))
            for row in range(-rows, rows + 1)
            for i in range(steps + 1)
        }
        cells, columns, last = self._cells, self._columns, self._rows
        return stride * sum(
            cells[y * columns + x] for x, y in places if 0 <= x < columns and 0 <= y < last
        )

    def _cell(self, point: Point2) -> Point2:
        return (point[0] / self.size - self._left, point[1] / self.size - self._bottom)

    def _span(
        self, left: float, bottom: float, right: float, top: float
    ) -> tuple[int, int, int, int]:
        """First column and the one after the last, and rows alike, kept within the cells."""
        per = self._per
        # Cells in view have positive numbers, for which int() is floor().
        first, last = int(left * per - self._left), int(right * per - self._left) + 1
        low, high = int(bottom * per - self._bottom), int(top * per - self._bottom) + 1
        if first < 0 or low < 0 or last > self._columns or high > self._rows:
            first, low = max(first, 0), max(low, 0)
            last, high = max(first, min(last, self._columns)), max(low, min(high, self._rows))
        return first, last, low, high
