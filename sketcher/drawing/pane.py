"""Pictures of strips and tables, laid out in px with ``y`` downwards as a screen has it."""

from __future__ import annotations

from collections.abc import Sequence

from sketcher.answers.states import State
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import font_px, width_px
from sketcher.drawing.picture import (
    Circle,
    Horizontal,
    Line,
    Picture,
    Point2,
    Polygon,
    Primitive,
    Role,
    Size,
    Text,
)
from sketcher.drawing.style import NOTES
from sketcher.words.plain import shortened

_BOLD: tuple[Role, ...] = ("label_strong", "note_good", "note_close", "note_past")


class Pane:
    """A picture in the making on an area of the screen; px at UI scale 1 from its corner."""

    def __init__(self, area: Area, scale: float) -> None:
        self.area = area
        self.scale = scale
        self.width = area.width / scale
        self.height = area.height / scale
        self._items: list[Primitive] = []

    @property
    def picture(self) -> Picture:
        """What has been drawn so far."""
        return Picture(tuple(self._items))

    @property
    def camera(self) -> Camera:
        """The camera that the picture is painted with."""
        return Camera.on(self.area, self.scale).in_pixels()

    def at(self, x: float, y: float) -> Point2:
        """A place in the picture's own coordinates."""
        return (x * self.scale, self.area.height - y * self.scale)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        role: Role = "note",
        *,
        size: Size = "normal",
        horizontal: Horizontal = "left",
        within: float | None = None,
    ) -> None:
        """One line of text, its middle at ``y``; shortened to ``within`` px where that is given."""
        if within is not None:
            text = fitted(text, within * self.scale, font_px(size, self.scale), role in _BOLD)
        self._items.append(
            Text(self.at(x, y), text, role, horizontal=horizontal, vertical="middle", size=size)
        )

    def width_of(self, text: str, role: Role, size: Size = "normal") -> float:
        """How wide a line of text is, px."""
        return width_px(text, font_px(size, self.scale), role in _BOLD) / self.scale

    def lines(
        self,
        x: float,
        y: float,
        text: str,
        role: Role,
        *,
        within: float,
        most: int,
        step: float,
        size: Size = "normal",
    ) -> int:
        """A text on up to ``most`` lines; how many it took."""
        rows = self.rows(text, role, within=within, most=most, size=size)
        for i, row in enumerate(rows):
            self.text(x, y + i * step, row, role, size=size)
        return len(rows)

    def rows(
        self, text: str, role: Role, *, within: float, most: int, size: Size = "normal"
    ) -> list[str]:
        """A text broken to lines that fit."""
        px = font_px(size, self.scale)
        return wrapped(text, within * self.scale, px, role in _BOLD, most)

    def line(self, x1: float, y1: float, x2: float, y2: float, role: Role = "frame") -> None:
        """A straight line."""
        self._items.append(Line(self.at(x1, y1), self.at(x2, y2), role))

    def box(self, x: float, y: float, width: float, height: float, role: Role) -> None:
        """A rectangle."""
        self.polygon(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), role)

    def polygon(self, points: Sequence[Point2], role: Role) -> None:
        """A closed outline."""
        self._items.append(Polygon(tuple(self.at(*point) for point in points), role))

    def mark(self, x: float, y: float, state: State, radius: float = 5.0) -> None:
        """The shape of a state: a disc, a triangle, a square on its corner."""
        role, r = NOTES[state], radius
        if state == "good":
            self._items.append(Circle(self.at(x, y), r * self.scale, role))
        elif state == "close":
            self.polygon(((x - r, y + r * 0.8), (x + r, y + r * 0.8), (x, y - r)), role)
        else:
            r *= 1.2
            self.polygon(((x - r, y), (x, y - r), (x + r, y), (x, y + r)), role)


def fitted(text: str, within_px: float, size: int, bold: bool = False) -> str:
    """A text shortened with an ellipsis until it fits."""
    return shortened(text, within_px, lambda part: width_px(part, size, bold))


def wrapped(text: str, within_px: float, size: int, bold: bool, most: int) -> list[str]:
    """A text on up to ``most`` lines, the last one shortened where there is more."""
    rows: list[str] = []
    row = ""
    words = text.split()
    for i, word in enumerate(words):
        longer = f"{row} {word}".strip()
        if row and width_px(longer, size, bold) > within_px:
            if len(rows) == most - 1:
                row = " ".join((row, *words[i:]))
                break
            rows.append(row)
            row = word
        else:
            row = longer
    rows.append(fitted(row, within_px, size, bold))
    return rows
