"""Where labels go: each takes the first free place near what it names.

The sheet is divided in cells; what is drawn marks the cells that it covers, and
a label is laid where the fewest of its cells are taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import pygame

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, size_px, width_px
from sketcher.drawing.picture import Box, Horizontal, Line, Point2, Primitive, Role, Text, Vertical
from sketcher.drawing.style import Size, Style

_CELL_MM = 2.0
# How much worse words are to cover than lines.
_WORDS = 6.0
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
_SEATS = {place[2:]: index for index, place in enumerate(_COMPASS)}


class Room:
    """What of the sheet is taken, while one picture is made."""

    def __init__(self, camera: Camera, style: Style, seats: dict[str, int] | None = None) -> None:
        self._seats = {} if seats is None else seats
        self._camera = camera
        self._style = style
        self._view = camera.box
        self._taken = Cells(self._view, camera.paper(_CELL_MM))
        self._written = Cells(self._view, camera.paper(_CELL_MM))

    def seat(self, name: str) -> int | None:
        """Where something stood in the picture before, if it is known."""
        return self._seats.get(name)

    def sit(self, name: str, place: int) -> None:
        """Note where something stands, for the picture after."""
        self._seats[name] = place

    def take_line(self, a: Point2, b: Point2, half: float = 0.0) -> None:
        """Mark a straight line, or a bar of half a thickness."""
        self._taken.mark_bar(a, b, half)

    def cost_of_line(self, a: Point2, b: Point2, half: float = 0.0) -> float:
        """How much of a bar is taken: words count as they do under words."""
        written = self._written.count_bar(a, b, half)
        return self._taken.count_bar(a, b, half) + _WORDS * written

    def take_run(self, points: Sequence[Point2], *, closed: bool = False) -> None:
        """Mark a run of lines."""
        self._taken.mark_run(points, closed=closed)

    def take_disc(self, centre: Point2, radius: float) -> None:
        """Mark a round mark or part."""
        side = radius * 0.85
        x, y = centre
        self.take_box(Box(x - side, y - side, x + side, y + side))

    def take_box(self, box: Box) -> None:
        """Mark a whole box."""
        self._taken.mark_box(box)

    def lines_under(self, box: Box) -> float:
        """What part of a box lines run through, 0 to 1."""
        size = self._taken.size
        cells = (1.0 + box.width / size) * (1.0 + box.height / size)
        return self._taken.count_within(box.left, box.bottom, box.right, box.top) / cells

    def written_on(self, box: Box) -> bool:
        """Whether a box covers words."""
        return self._written.count_within(box.left, box.bottom, box.right, box.top) > 0

    def in_view(self, box: Box) -> bool:
        """Whether all of a box is seen."""
        view = self._view
        across = view.left <= box.left and box.right <= view.right
        return across and view.bottom <= box.bottom and box.top <= view.top

    def take_words(self, box: Box) -> None:
        """Mark the box of a text: words on words are worse than words on lines."""
        self._written.mark_box(box.grown(self._written.size * 0.3))

    def take_turned_words(self, begin: Point2, end: Point2, height: float) -> None:
        """Mark a text that is written along a line."""
        self._written.mark_bar(begin, end, height)

    def measure(self, text: str, role: Role, size: Size = "normal") -> tuple[float, float]:
        """Width and height of a text in world mm."""
        px = size_px(size, self._camera.pixels_per_paper_mm)
        width = width_px(text, px, self._style.mark(role).bold)
        return width / self._camera.zoom, px * CAPITAL_HEIGHT / self._camera.zoom

    def box(self, text: Text) -> Box:
        """The box of an upright text."""
        width, height = self.measure(text.text, text.role, text.size)
        left, bottom = _corner(text.at, width, height, text.horizontal, text.vertical)
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
        backed: bool = False,
    ) -> tuple[Primitive, ...]:
        """Lay a label near a point, with a thin line to it where it stands off.

        ``clear_mm`` on paper is kept from the point; ``first`` names the places of
        the compass to try first (0 right, 1 left, 2 to 5 corners, 6 above, 7 below).
        Where the label of this key stood in the picture before, it stays while that is free.
        ``backed``, or where there is no free room, what is drawn gives way to the words.
        """
        if key and key in self._seats:
            seated = self._seated(at, text, role, key, clear_mm, size)
            if seated is not None:
                return (seated,)
        width, height = self.measure(text, role, size)
        order = [*first, *(i for i in range(len(_COMPASS)) if i not in set(first))]
        best: tuple[float, Text, float] | None = None
        struck = 0.0
        for ring, further in enumerate(_RINGS_MM):
            if best is not None and best[0] <= ring * 0.9:
                break
            gap = self._camera.paper(clear_mm + further)
            for place, index in enumerate(order):
                dx, dy, horizontal, vertical = _COMPASS[index]
                spot = (at[0] + dx * gap, at[1] + dy * gap)
                left, low = _corner(spot, width, height, horizontal, vertical)
                further_off = ring * 0.9 + place * 0.01
                enough = math.inf if best is None else best[0] - further_off
                cost = self._cost(left, low, left + width, low + height, enough) + further_off
                if best is None or cost < best[0]:
                    laid = Text(spot, text, role, key, horizontal, vertical, size=size)
                    best = (cost, laid, clear_mm + further)
                    struck = cost - further_off
                if cost < 1.0 + ring:
                    break
            if best is not None and best[0] < 1.0 + ring:
                break
        assert best is not None
        _, laid, distance = best
        laid = replace(laid, backed=backed or struck >= 1.0)
        self.take_words(self.box(laid))
        if distance == clear_mm:
            self._seats[key] = _SEATS[laid.horizontal, laid.vertical]
            return (laid,)
        return (self._thin_line(at, laid.at, clear_mm), laid)

    def _thin_line(self, at: Point2, end: Point2, clear_mm: float) -> Line:
        """From beside what is named to a label that stands off."""
        start = self._camera.paper(clear_mm * 0.6)
        away = math.dist(at, end) or 1.0
        x, y = ((there - here) / away * start for here, there in zip(at, end, strict=True))
        return Line((at[0] + x, at[1] + y), end, "faint")

    def _seated(
        self, at: Point2, text: str, role: Role, key: str, clear_mm: float, size: Size
    ) -> Text | None:
        """A label where it stood before; None where that is taken by now."""
        dx, dy, horizontal, vertical = _COMPASS[self._seats[key]]
        gap = self._camera.paper(clear_mm)
        spot = (at[0] + dx * gap, at[1] + dy * gap)
        width, height = self.measure(text, role, size)
        left, low = _corner(spot, width, height, horizontal, vertical)
        if self._cost(left, low, left + width, low + height) >= 1.0:
            del self._seats[key]
            return None
        self.take_words(Box(left, low, left + width, low + height))
        return Text(spot, text, role, key, horizontal, vertical, size=size)

    def cost_of_shelf(self, elbow: Point2, width: float, height: float) -> float:
        """How much of the room of a leader's text is taken; a negative width runs to the left."""
        left, right = min(elbow[0], elbow[0] + width), max(elbow[0], elbow[0] + width)
        return self._cost(left, elbow[1], right, elbow[1] + height * 1.4)

    def _cost(
        self, left: float, bottom: float, right: float, top: float, enough: float = math.inf
    ) -> float:
        """How much a box covers of what is taken; not counted on where that is enough."""
        view = self._view
        cost = 0.0
        if left < view.left or bottom < view.bottom or left > view.right or bottom > view.top:
            cost += 40.0
        if right > view.right or top > view.top or right < view.left or top < view.bottom:
            cost += 40.0
        cost += self._taken.count_within(left, bottom, right, top)
        if cost >= enough:
            return cost
        return cost + _WORDS * self._written.count_within(left, bottom, right, top)


def _corner(
    at: Point2, width: float, height: float, horizontal: Horizontal, vertical: Vertical
) -> Point2:
    """Lower left corner of a text's box."""
    left, bottom = at
    if horizontal != "left":
        left -= width / 2 if horizontal == "centre" else width
    if vertical != "bottom":
        bottom -= height / 2 if vertical == "middle" else height
    return (left, bottom)


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
