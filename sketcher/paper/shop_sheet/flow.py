"""Blocks as the PDF library's own flowing parts."""

from __future__ import annotations

import io
import re
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, black, white
from reportlab.lib.enums import TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    HRFlowable,
    KeepTogether,
    Paragraph,
    Spacer,
    Table,
)

from sketcher.drawing.page import Drawn
from sketcher.drawing.pdf import BOLD, REGULAR, paint_pdf
from sketcher.drawing.style import print_style
from sketcher.paper.shop_sheet import blocks

# All but the space that keeps a whole number with its fraction.
_SPACES = re.compile(r"[^\S\xa0]+")
_GREY = Color(0.28, 0.28, 0.28)
_PALE = Color(0.93, 0.93, 0.93)
_RULE = Color(0.55, 0.55, 0.55)
_BOX_MM = 4.2
# Tables and lists up to this long are not parted.
_HELD_ROWS = 12
# Lists in columns narrower than this have short lines to write on.
_NARROW = 120 * mm


def _style(size: float, *, bold: bool = False, **more: Any) -> Any:
    name = BOLD if bold else REGULAR
    more.setdefault("leading", size * 1.22)
    more.setdefault("textColor", black)
    return ParagraphStyle(f"{name}{size}", fontName=name, fontSize=size, **more)


TITLE = _style(17, bold=True)
SIDE = _style(20, bold=True, alignment=TA_RIGHT)
HEADING = _style(13, bold=True)
PLAIN = _style(10.5)
STEP = _style(9.2)
STRONG = _style(10.5, bold=True)
STRONG_STEP = _style(9.2, bold=True)
SMALL = _style(8.5, textColor=_GREY)
NOTE = _style(8, textColor=_GREY, leading=9.2)
STOP = _style(30, bold=True, textColor=white)
GOOD = _style(15, bold=True)
LARGE = _style(26, bold=True)
LARGE_LONG = _style(21, bold=True)
FIGURE = _style(13, bold=True)
INCHES = _style(10.5)
LARGE_INCHES = _style(16, bold=True)
CELL = _style(9.5, alignment=TA_RIGHT, leading=10.5)
CELL_STRONG = _style(9, bold=True, alignment=TA_RIGHT, leading=10.5)
CELL_WORDS = _style(8.5, alignment=TA_LEFT, leading=10.5)
CELL_WORDS_STRONG = _style(8.5, bold=True, alignment=TA_LEFT, leading=10.5)
_KINDS: dict[blocks.BlockKind, Any] = {
    "plain": PLAIN,
    "tight": STEP,
    "small": SMALL,
    "missing": PLAIN,
    "caution": STRONG,
    "stop": STOP,
    "good": GOOD,
}


def pdf_bytes(
    story: list[Any], page: tuple[float, ...], title: str, templates: list[Any], **building: Any
) -> bytes:
    """A PDF with pages of a size (points) that a story runs through; alike, the same bytes.

    ``building`` is what else the library is told when it lays the pages out.
    """
    content = io.BytesIO()
    document = BaseDocTemplate(
        content, pagesize=page, invariant=1, lang="en", title=title, creator="drive-shaft-sketcher"
    )
    document.addPageTemplates(templates)
    document.build(story, **building)
    return content.getvalue()


def paragraph(text: str, style: Any) -> Any:
    """Text as a paragraph; whatever is in it is text, never markup."""
    return Paragraph(escape(_SPACES.sub(" ", text).strip()), style)


class Painted(Flowable):  # type: ignore[misc]  # the library is published without types
    """A picture in the flow of a page, as large as its camera says."""

    def __init__(self, drawn: Drawn) -> None:
        super().__init__()
        self._drawn = drawn
        self.width, self.height = (side * mm for side in drawn.size_mm)

    def draw(self) -> None:
        """Paint it at the place that the flow has come to."""
        paint_pdf(self.canv, self._drawn.picture, self._drawn.camera, (0.0, 0.0), print_style())


def gap(height_mm: float) -> Any:
    """Empty height."""
    return Spacer(1, height_mm * mm)


def flowing(content: tuple[blocks.Block, ...], width: float) -> list[Any]:
    """Blocks in a column of a width (points); a heading stays with what follows it."""
    parts: list[Any] = []
    held: list[Any] = []
    for block in content:
        made = _block(block, width)
        if isinstance(block, blocks.Heading):
            held = made
        elif _length(block) > _HELD_ROWS:
            # What is long may be parted; the heading stays with its first rows.
            parts += [CondPageBreak(45 * mm), *held, *made]
            held = []
        else:
            parts.append(KeepTogether([*held, *made]))
            held = []
    return [*parts, *held]


def _length(block: blocks.Block) -> int:
    """Rows of a block."""
    if isinstance(block, blocks.SheetTable):
        return len(block.rows)
    return len(block.items) if isinstance(block, blocks.Ticks) else 0


def stacked(content: tuple[blocks.Block, ...], width: float) -> list[Any]:
    """Blocks one under the other, for where nothing needs holding together."""
    return [part for block in content for part in _block(block, width)]


def height_of(parts: list[Any], width: float) -> float:
    """Height that parts take up in a column (points)."""
    return float(sum(part.wrap(width, 1e6)[1] for part in parts))


def to_fill_in(fields: tuple[tuple[str, str], ...], width: float) -> Any:
    """Names with a line behind each to write on, or with what is known already."""
    cells = [part for name, known in fields for part in (name, known)]
    written = [paragraph(text, SMALL if i % 2 == 0 else PLAIN) for i, text in enumerate(cells)]
    share = width / len(fields)
    table = Table([written], colWidths=[18 * mm, share - 18 * mm] * len(fields))
    lines = [("LINEBELOW", (i, 0), (i, 0), 0.8, black) for i in range(1, len(cells), 2)]
    table.setStyle([*lines, *_padding(0.6, 0.6), ("VALIGN", (0, 0), (-1, -1), "BOTTOM")])
    return table


def _block(block: blocks.Block, width: float) -> list[Any]:
    match block:
        case blocks.Heading():
            return [gap(2.6), paragraph(block.text, HEADING), gap(1.0)]
        case blocks.Words():
            return [_words(block, width), gap(1.2)]
        case blocks.Figures():
            return [_figures(block, width), gap(1.0)]
        case blocks.Ticks():
            return [_ticks(block, width), gap(1.0)]
        case blocks.SheetTable():
            return [_grid(block, width), gap(1.2)]


def _words(words: blocks.Words, width: float) -> Any:
    written = paragraph(words.text, _KINDS[words.kind])
    if words.kind == "caution" and width < _NARROW:
        written = paragraph(words.text, STRONG_STEP)
    if words.kind in ("plain", "tight", "small"):
        return written
    looks: dict[blocks.BlockKind, list[tuple[Any, ...]]] = {
        "missing": [("LINEBEFORE", (0, 0), (0, -1), 2, _RULE)],
        "caution": [("BOX", (0, 0), (-1, -1), 1.6, black), ("BACKGROUND", (0, 0), (-1, -1), _PALE)],
        "stop": [("BACKGROUND", (0, 0), (-1, -1), black)],
        "good": [("BOX", (0, 0), (-1, -1), 1.6, black)],
    }
    if words.kind == "caution":
        mark = Paragraph("!", GOOD)
        table = Table([[mark, written]], colWidths=(7 * mm, width - 7 * mm))
    else:
        table = Table([[written]], colWidths=(width,))
    pad = 3.4 if words.kind == "stop" else 1.6
    table.setStyle(
        [*looks[words.kind], *_padding(2.4, pad), ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]
    )
    return table


def bare() -> list[tuple[Any, ...]]:
    """The look of a table that only sets things beside one another."""
    return [*_padding(0, 0), ("VALIGN", (0, 0), (-1, -1), "TOP")]


def _padding(side_mm: float, end_mm: float) -> list[tuple[Any, ...]]:
    whole = ((0, 0), (-1, -1))
    return [
        ("LEFTPADDING", *whole, side_mm * mm),
        ("RIGHTPADDING", *whole, side_mm * mm),
        ("TOPPADDING", *whole, end_mm * mm),
        ("BOTTOMPADDING", *whole, end_mm * mm),
    ]


def _figures(figures: blocks.Figures, width: float) -> Any:
    shares = (0.18, 0.255, 0.565)
    rows = [_figure(figure, shares[1] * width - 2.0 * mm) for figure in figures.rows]
    table = Table(rows, colWidths=[share * width for share in shares])
    table.setStyle(
        [
            *_padding(1.0, 0.35),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("LINEBELOW", (0, 0), (-1, -1), 0.5, _RULE),
            ("LINEABOVE", (0, 0), (-1, 0), 1.4, black),
            ("LINEBELOW", (0, -1), (-1, -1), 1.4, black),
        ]
    )
    return table


def _figure(figure: blocks.Figure, room: float) -> list[Any]:
    value = LARGE if figure.large else FIGURE
    if figure.large and stringWidth(figure.value, BOLD, value.fontSize) > room:
        value = LARGE_LONG
    aside = [paragraph(figure.converted, LARGE_INCHES if figure.large else INCHES)]
    if figure.note:
        aside.append(paragraph(figure.note, NOTE))
    name = paragraph(figure.name, STRONG)
    return [name, paragraph(figure.value, value), aside]


def _ticks(ticks: blocks.Ticks, width: float) -> Any:
    box, number, line, unit = 7 * mm, 7 * mm if ticks.numbered else 0.0, 24 * mm, 14 * mm
    if width < _NARROW:
        line, unit = 17 * mm, 12.5 * mm
    words = width - box - number - line - unit
    rows: list[list[Any]] = []
    looks: list[tuple[Any, ...]] = []
    for number_of, tick in enumerate(ticks.items, 1):
        if tick.before:
            rows.append([_words(blocks.Words(tick.before, "caution"), width - 2 * mm)])
            looks.append(("SPAN", (0, len(rows) - 1), (-1, len(rows) - 1)))
        index = len(rows)
        lead = [_Box()] if not ticks.numbered else [_Box(), paragraph(f"{number_of}", STRONG)]
        said = _said(tick, small=ticks.numbered or width < _NARROW)
        to_write = [_rule(line - 2 * mm), paragraph(tick.blank, SMALL)] if tick.blank else ["", ""]
        rows.append([*lead, said, *to_write])
        at = len(lead)
        if tick.blank:
            looks.append(("VALIGN", (at + 1, index), (at + 1, index), "BOTTOM"))
        else:
            looks.append(("SPAN", (at, index), (at + 2, index)))
    widths = [box, *([number] if number else []), words, line, unit]
    table = Table(rows, colWidths=widths)
    middle, bottom = ("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("VALIGN", (-1, 0), (-1, -1), "BOTTOM")
    table.setStyle([*_padding(0.8, 0.4 if ticks.numbered else 0.7), middle, bottom, *looks])
    return table


def _said(tick: blocks.Tick, *, small: bool) -> list[Any]:
    said = [paragraph(tick.text, STEP if small else PLAIN)]
    return [*said, paragraph(tick.note, NOTE)] if tick.note else said


class _Box(Flowable):  # type: ignore[misc]  # the library is published without types
    """A box to tick."""

    def __init__(self) -> None:
        super().__init__()
        self.width = self.height = _BOX_MM * mm

    def draw(self) -> None:
        """Draw it."""
        self.canv.setLineWidth(1.2)
        self.canv.rect(0, 0, self.width, self.height)


def _rule(width: float) -> Any:
    """A line to write on."""
    return HRFlowable(width, 0.8, lineCap="butt", color=black, spaceBefore=0, spaceAfter=0)


def _grid(grid: blocks.SheetTable, width: float) -> Any:
    rows = [[_cell(grid, cell, column, head=True) for column, cell in enumerate(grid.header)]]
    for index, row in enumerate(grid.rows):
        strong = index in grid.strong
        rows.append([_cell(grid, cell, column, head=strong) for column, cell in enumerate(row)])
    table = Table(rows, colWidths=_column_widths(grid, rows, width), repeatRows=1)
    looks: list[tuple[Any, ...]] = [
        *_padding(_cell_side(width), 0.2),
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, _RULE),
        ("LINEBELOW", (0, 0), (-1, 0), 1.2, black),
        ("LINEABOVE", (0, 0), (-1, 0), 1.2, black),
    ]
    looks += [("LEFTPADDING", (c, 0), (c, -1), 2.5 * mm) for c in grid.words - {0}]
    looks += [("BACKGROUND", (0, row + 1), (-1, row + 1), _PALE) for row in grid.strong]
    for column in grid.to_write:
        looks.append(("BOX", (column, 1), (column, -1), 0.8, black))
        looks.append(("LEFTPADDING", (column, 0), (column, 0), 2.5 * mm))
        looks.append(("TOPPADDING", (column, 1), (column, -1), 3.4 * mm))
    table.setStyle(looks)
    return table


def _cell_side(width: float) -> float:
    """What stays empty at each side of a cell, mm."""
    return 0.8 if width > _NARROW else 0.5


def _column_widths(grid: blocks.SheetTable, rows: list[list[Any]], width: float) -> list[float]:
    """The columns by their shares, but none too narrow for a word of its own."""
    total, sides = sum(grid.widths), 2 * _cell_side(width) * mm + 0.5
    wanted = [share / total * width for share in grid.widths]
    indented = (grid.words - {0}) | grid.to_write
    least = [
        max(cell.minWidth() for cell in column) + sides + (2 * mm if number in indented else 0.0)
        for number, column in enumerate(zip(*rows, strict=True))
    ]
    short = sum(max(need - has, 0.0) for need, has in zip(least, wanted, strict=True))
    room = sum(max(has - need, 0.0) for need, has in zip(least, wanted, strict=True))
    if short > room:
        return wanted
    given = short / room if room else 0.0
    return [
        need if has < need else has - given * (has - need)
        for need, has in zip(least, wanted, strict=True)
    ]


def _cell(grid: blocks.SheetTable, cell: str, column: int, *, head: bool) -> Any:
    left = column in grid.words or column in grid.to_write
    plain, strong = (CELL_WORDS, CELL_WORDS_STRONG) if left else (CELL, CELL_STRONG)
    return paragraph(cell, strong if head else plain)
