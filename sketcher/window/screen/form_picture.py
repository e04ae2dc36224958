"""The form as it is painted: rows, boxes of fields and their states; widgets lie over it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import pygame

from sketcher.answers.states import State
from sketcher.drawing.areas import Area
from sketcher.drawing.fonts import font, font_px, width_px
from sketcher.drawing.pane import Pane, fitted
from sketcher.drawing.picture import Picture, Size
from sketcher.drawing.style import Colour, Style
from sketcher.drawing.surface import paint_surface
from sketcher.window.model.form import Said
from sketcher.window.screen.form_layout import LEFT, NOTE_HEIGHT, RIGHT, ROW_HEIGHT, Grid, Placed
from sketcher.window.steps.rows import Buttons, Drawing, FieldRow, Note, RowHeading, Spot, StepPart
from sketcher.words.units import Unit

BOX_HEIGHT = 21.0


@dataclass(frozen=True, slots=True)
class Look:
    """What decides how the form looks, besides its rows.

    ``summaries`` are the steps' lines, ``guessed`` the paths of values that nobody has
    measured, ``on`` the commands whose state is on, ``lit`` the keys of lit things.
    """

    unit: Unit
    style: Style
    open_steps: frozenset[str]
    summaries: Mapping[str, str]
    guessed: frozenset[str]
    said: Mapping[str, Said]
    in_hand: str
    lit: frozenset[str]
    on: frozenset[str]
    pointed: str = ""


@lru_cache(maxsize=2048)
def written(text: str, size: int, colour: Colour, bold: bool = False) -> pygame.Surface:
    """A line of text as a surface."""
    return font(size, bold).render(text, True, colour)


def is_lit(row: FieldRow, lit: Collection[str]) -> bool:
    """Whether a row belongs to something lit."""
    return any(one and (row.key == one or row.key.startswith(f"{one}.")) for one in lit)


class FormPicture:
    """Paints rows on a surface of their own, which is as large as the form's area."""

    def __init__(self, grid: Grid, height: int) -> None:
        self._grid = grid
        self.surface = pygame.Surface((grid.width, height))
        self._drawings: dict[object, pygame.Surface] = {}

    def paint(self, rows: Sequence[Placed], scroll: int, most: int, look: Look) -> None:
        """Paint what is in view; ``most`` is the height of all rows."""
        palette = look.style.palette
        self.surface.fill(palette.sheet)
        height = self.surface.get_height()
        for place in rows:
            if place.bottom > scroll and place.top < scroll + height:
                self._row(place, place.top - scroll, look)
        if most > height:
            self.surface.fill(palette.grid_strong, thumb(self._grid, height, scroll, most))

    def _row(self, place: Placed, top: int, look: Look) -> None:
        match place.row:
            case None:
                self._head(place, top, look)
            case StepPart() as row:
                self._part(row, place, top, look)
            case RowHeading() as row:
                self._heading(row, place, top, look)
            case FieldRow() as row:
                self._fields(row, place, top, look)
            case Buttons() as row:
                self._checks(row, top, look)
            case Note() as row:
                low = self._grid.px(5) if row.above_fields else 0
                self._lines(place, top + low, self._colour(row.state, look))
                if row.key and look.pointed == place.id:
                    self._underline(place, top, look)
            case Spot() as row:
                self._spot(row, place, top, look)
            case Drawing() as row:
                self._drawing(row, top, look)

    # Kinds of rows.

    def _head(self, place: Placed, top: int, look: Look) -> None:
        p, name = look.style.palette, place.step.name
        px, middle = self._grid.px, top + place.height // 2
        if look.pointed == place.id:
            self.surface.fill(p.metal, (0, top, self._grid.width, place.height))
        pygame.draw.line(self.surface, p.grid_strong, (0, top), (self._grid.width, top))
        sign = "–" if name in look.open_steps else "+"
        self._text(px(8), middle, sign, p.line, bold=True)
        width = self._text(px(22), middle, name, p.line, bold=True)
        self._summary(look.summaries.get(name, ""), px(22) + width, middle, look)

    def _part(self, row: StepPart, place: Placed, top: int, look: Look) -> None:
        p, px, middle = look.style.palette, self._grid.px, top + place.height // 2
        if look.pointed == place.id:
            self.surface.fill(p.metal, (px(8), top, self._grid.width, place.height))
        self._text(px(LEFT), middle, "–" if row.is_open else "+", p.line)
        width = self._text(px(LEFT + 14), middle, row.name, p.line)
        self._summary(row.summary, px(LEFT + 14) + width, middle, look)

    def _summary(self, text: str, left: int, middle: int, look: Look) -> None:
        room = self._grid.width - left - self._grid.px(RIGHT + 8)
        size = font_px("small", self._grid.scale)
        right = self._grid.width - self._grid.px(RIGHT - 8)
        p = look.style.palette
        self._text(right, middle, fitted(text, room, size), p.soft, "small", to_left=True)

    def _heading(self, row: RowHeading, place: Placed, top: int, look: Look) -> None:
        p, px = look.style.palette, self._grid.px
        name, *columns = row.text.split("\t")
        base = top + place.height - px(9)
        self._text(px(LEFT), base, name, p.line, "small", bold=True)
        for i, column in enumerate(columns):
            left, _ = self._grid.column(i)
            self._text(px(left + 4), base, column, p.soft, "small")

    def _fields(self, row: FieldRow, place: Placed, top: int, look: Look) -> None:
        p, grid, px = look.style.palette, self._grid, self._grid.px
        middle = top + place.height // 2
        if is_lit(row, look.lit):
            self.surface.fill(p.metal, (0, top, grid.width - px(RIGHT - 8), place.height))
            self.surface.fill(p.accent, (0, top, max(2, px(3)), place.height))
        cells, shared = grid.cells(row, look.unit)
        room, size = px(cells[0].left - LEFT - 6), font_px("small", grid.scale)
        self._text(px(LEFT), middle, fitted(row.label, room, size), p.soft, "small")
        for cell in cells:
            box = pygame.Rect(
                px(cell.left), top + px((ROW_HEIGHT - BOX_HEIGHT) / 2), px(cell.width),
                px(BOX_HEIGHT),
            )  # fmt: skip
            if cell.field.kind == "yes_no":
                self._check(box.left, middle, look, on=cell.field.key in look.on)
                continue
            self._box(box, cell.field.key, look)
            if cell.unit:
                self._text(box.right - px(3), middle, cell.unit, p.soft, "small", to_left=True)
        last = cells[-1]
        if shared:
            self._text(px(last.left + last.width + 4), middle, shared, p.soft, "small")

    def _box(self, box: pygame.Rect, key: str, look: Look) -> None:
        p, thin = look.style.palette, max(1, self._grid.px(1))
        said = look.said.get(key)
        colour, width = p.grid_strong, thin
        if said is not None:
            colour = p.past if said.kind == "refused" else p.close
            width = max(2, self._grid.px(2))
        elif key == look.in_hand:
            colour, width = p.accent, max(2, self._grid.px(1.5))
        if key in look.guessed:
            # Open and dashed: nobody has measured it yet.
            _dashed(self.surface, box, p.soft if colour == p.grid_strong else colour, width,
                    self._grid.px(4))  # fmt: skip
        else:
            self.surface.fill(p.paper, box)
            pygame.draw.rect(self.surface, colour, box, width)
        if said is not None:
            self._mark((box.left, box.top), said.kind == "refused", colour)

    def _mark(self, at: tuple[int, int], refused: bool, colour: Colour) -> None:
        r, (x, y) = max(4, self._grid.px(4)), at
        shape = [(x - r, y), (x, y - r), (x + r, y), (x, y + r)] if refused else [
            (x - r, y + r), (x + r, y + r), (x, y - r)]  # fmt: skip
        pygame.draw.polygon(self.surface, colour, shape)

    def _checks(self, row: Buttons, top: int, look: Look) -> None:
        for name, rect in zip(row.commands, button_rects(row, self._grid), strict=True):
            if f"has:{name}" in look.on:
                middle = top + rect.top + rect.height // 2
                self._check(rect.left + self._grid.px(2), middle, look, on=name in look.on)

    def _check(self, left: int, middle: int, look: Look, *, on: bool) -> None:
        p, side = look.style.palette, self._grid.px(12)
        box = pygame.Rect(left, middle - side // 2, side, side)
        self.surface.fill(p.paper, box)
        pygame.draw.rect(self.surface, p.line if on else p.faint, box, max(1, self._grid.px(1)))
        if on:
            a, b, c = (0.2, 0.5), (0.42, 0.75), (0.82, 0.22)
            points = [(box.left + x * side, box.top + y * side) for x, y in (a, b, c)]
            pygame.draw.lines(self.surface, p.line, False, points, max(2, self._grid.px(2)))

    def _spot(self, row: Spot, place: Placed, top: int, look: Look) -> None:
        p, px = look.style.palette, self._grid.px

        def mark(pane: Pane) -> Picture:
            pane.mark(pane.width / 2, pane.height / 2, row.state, 5)
            return pane.picture

        self.surface.blit(self._drawn((px(20), px(24)), mark, look), (px(8), top))
        colour = p.accent if look.pointed == place.id else self._colour(row.state, look)
        room = self._grid.width - px(LEFT + 18 + RIGHT)
        text = fitted(row.text, room, font_px("small", self._grid.scale), True)
        self._text(px(LEFT + 18), top + px(12), text, colour, "small", bold=True)
        self._lines(place, top + px(24), p.soft, left=LEFT + 16)

    def _drawing(self, row: Drawing, top: int, look: Look) -> None:
        px = self._grid.px
        size = (self._grid.width - px(RIGHT), px(row.height))
        key = (row.of, look.style.theme, size)
        if key not in self._drawings:
            self._drawings = {key: self._drawn(size, row.draw, look)}
        self.surface.blit(self._drawings[key], (px(8), top))

    # What rows are made of.

    def _drawn(
        self, size: tuple[int, int], draw: Callable[[Pane], Picture], look: Look
    ) -> pygame.Surface:
        drawn = pygame.Surface(size)
        drawn.fill(look.style.palette.sheet)
        pane = Pane(Area(0, 0, *size), self._grid.scale)
        paint_surface(drawn, draw(pane), pane.camera, look.style)
        return drawn

    def _lines(self, place: Placed, top: int, colour: Colour, *, left: float = LEFT) -> None:
        x, step = self._grid.px(left), self._grid.px(NOTE_HEIGHT)
        for i, line in enumerate(place.lines):
            self._text(x, top + i * step + step // 2, line, colour, "small")

    def _underline(self, place: Placed, top: int, look: Look) -> None:
        y = top + place.height - self._grid.px(4)
        ends = (self._grid.px(LEFT), y), (self._grid.width - self._grid.px(RIGHT), y)
        pygame.draw.line(self.surface, look.style.palette.accent, *ends)

    def _text(
        self,
        x: int,
        middle: int,
        text: str,
        colour: Colour,
        size: Size = "normal",
        *,
        bold: bool = False,
        to_left: bool = False,
    ) -> int:
        """One line of text to the right of ``x``, or ``to_left`` of it; how wide it is."""
        if not text:
            return 0
        px = font_px(size, self._grid.scale)
        drawn, width = written(text, px, colour, bold), width_px(text, px, bold)
        left = round(x - width) if to_left else x
        self.surface.blit(drawn, (left, middle - drawn.get_height() // 2))
        return round(width)

    def _colour(self, state: State | None, look: Look) -> Colour:
        p = look.style.palette
        return {"good": p.good, "close": p.close, "past": p.past, None: p.soft}[state]


def thumb(grid: Grid, height: int, scroll: int, most: int) -> pygame.Rect:
    """The part of the scroll bar that stands for what is in view."""
    width = grid.px(10)
    long = max(round(height * height / max(most, 1)), grid.px(24))
    room = max(height - long, 0)
    part = min(max(scroll / max(most - height, 1), 0.0), 1.0)
    return pygame.Rect(grid.width - width - grid.px(2), round(part * room), width, long)


def button_rects(row: Buttons, grid: Grid) -> list[pygame.Rect]:
    """The places of a row's buttons, from the row's top left corner; device px."""
    count = len(row.commands)
    width = (grid.wide - LEFT - RIGHT - 6.0 * (count - 1)) / count
    return [
        pygame.Rect(grid.px(LEFT + i * (width + 6.0)), grid.px(1), grid.px(width), grid.px(25))
        for i in range(count)
    ]


def _dashed(
    surface: pygame.Surface, box: pygame.Rect, colour: Colour, width: int, dash: int
) -> None:
    right, bottom = box.right - width, box.bottom - width
    for x in range(box.left, box.right, 2 * dash):
        for y in (box.top, bottom):
            surface.fill(colour, (x, y, min(dash, box.right - x), width))
    for y in range(box.top, box.bottom, 2 * dash):
        for x in (box.left, right):
            surface.fill(colour, (x, y, width, min(dash, box.bottom - y)))
