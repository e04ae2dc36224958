"""What of a sheet is taken, so that labels and dimensions go where there is room.

The sheet is divided in cells; what is drawn marks the cells that it covers, and
a label is laid where the fewest of its cells are taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import pygame

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, size_px, width_px
from sketcher.drawing.picture import Box, Point2, Role, Size, Text
from sketcher.drawing.style import Style

_CELL_MM = 2.0
# How much worse words are to cover than lines, and what it costs to leave the view.
_WORDS, _OUTSIDE = 6.0, 40.0
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

    def take_run(self, points: Sequence[Point2], *, closed: bool = False) -> None:
        """Mark a run of lines."""
        cells = [self._cell(point) for point in points]
        if all(-_FAR < x < _FAR and -_FAR < y < _FAR for x, y in cells):
            pygame.draw.lines(self._surface, 1, closed, cells)
            return
        following = [*points[1:], points[0]] if closed else points[1:]
        for a, b in zip(points, following, strict=False):
            self.take_line(a, b)

    def take_line(self, a: Point2, b: Point2, half: float = 0.0) -> None:
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

    def take_box(self, box: Box) -> None:
        """Mark a whole box."""
        left, right, bottom, top = self._span(box)
        if right > left and top > bottom:
            self._surface.fill(1, (left, bottom, right - left, top - bottom))

    def count_box(self, box: Box) -> int:
        """How many cells of a box are marked."""
        first, last, low, high = self._span(box)
        cells, columns, count = self._cells, self._columns, 0
        for start in range(low * columns, high * columns, columns):
            count += cells.count(1, start + first, start + last)
        return count

    def count_line(self, a: Point2, b: Point2, half: float) -> int:
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

    def _span(self, box: Box) -> tuple[int, int, int, int]:
        """First column and the one after the last, and rows alike, kept within the cells."""
        per = self._per
        # Cells in view have positive numbers, for which int() is floor().
        first, last = int(box.left * per - self._left), int(box.right * per - self._left) + 1
        low, high = int(box.bottom * per - self._bottom), int(box.top * per - self._bottom) + 1
        if first < 0 or low < 0 or last > self._columns or high > self._rows:
            first, low = max(first, 0), max(low, 0)
            last, high = max(first, min(last, self._columns)), max(low, min(high, self._rows))
        return first, last, low, high


class Room(Cells):
    """What of the sheet is taken while one picture is made: by lines, and apart from that by words.

    Words on words are worse than words on lines.
    """

    def __init__(self, camera: Camera, style: Style) -> None:
        super().__init__(camera.box, camera.paper(_CELL_MM))
        self._camera = camera
        self._style = style
        self._view = camera.box
        self._written = Cells(camera.box, self.size)

    def take_disc(self, centre: Point2, radius: float) -> None:
        """Mark a round mark or part."""
        side = radius * 0.85
        x, y = centre
        self.take_box(Box(x - side, y - side, x + side, y + side))

    def take_words(self, box: Box) -> None:
        """Mark the box of a text."""
        self._written.take_box(box.grown(self.size * 0.3))

    def take_turned_words(self, begin: Point2, end: Point2, height: float) -> None:
        """Mark a text that is written along a line."""
        self._written.take_line(begin, end, height)

    def measure(self, text: str, role: Role, size: Size = "normal") -> tuple[float, float]:
        """Width and height of a text in world mm."""
        px = size_px(size, self._camera.pixels_per_paper_mm)
        width = width_px(text, px, self._style.mark(role).bold)
        return width / self._camera.zoom, px * CAPITAL_HEIGHT / self._camera.zoom

    def box(self, text: Text) -> Box:
        """The box of an upright text."""
        width, height = self.measure(text.text, text.role, text.size)
        left, bottom = text.at
        if text.horizontal != "left":
            left -= width / 2 if text.horizontal == "centre" else width
        if text.vertical != "bottom":
            bottom -= height / 2 if text.vertical == "middle" else height
        return Box(left, bottom, left + width, bottom + height)

    def in_view(self, box: Box) -> bool:
        """Whether all of a box is seen."""
        return self._corners_out_of_view(box) == 0

    def written_on(self, box: Box) -> bool:
        """Whether a box covers words."""
        return self._written.count_box(box) > 0

    def lines_under(self, box: Box) -> float:
        """What part of a box lines run through, 0 to 1."""
        cells = (1.0 + box.width / self.size) * (1.0 + box.height / self.size)
        return self.count_box(box) / cells

    def cost_of_line(self, a: Point2, b: Point2, half: float = 0.0) -> float:
        """How much of a bar is taken: words count as they do under words."""
        return self.count_line(a, b, half) + _WORDS * self._written.count_line(a, b, half)

    def cost_of_box(self, box: Box, enough: float = math.inf) -> float:
        """How much a box covers of what is taken; not counted on where that is ``enough``."""
        cost = _OUTSIDE * self._corners_out_of_view(box)
        cost += self.count_box(box)
        if cost >= enough:
            return cost
        return cost + _WORDS * self._written.count_box(box)

    def _corners_out_of_view(self, box: Box) -> int:
        """Of the lower left and the upper right corner."""
        holds = self._view.holds
        return (not holds((box.left, box.bottom))) + (not holds((box.right, box.top)))
