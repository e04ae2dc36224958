"""Templates as files: PDF pages and SVG at full size, DXF for a cutting table.

An outline that no single sheet holds, upright or across, is laid over several that
overlap: any home printer prints them, where one larger page would need a print shop.
Crosses in the overlaps, which both sheets carry, lay one upon the other.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET

import shapely

from kinematics.gaps.outlines import Outline, moved_outline
from kinematics.parts import Bracket
from sketcher.drawing.camera import Camera
from sketcher.drawing.formats import PAPERS_MM, Ending, Paper
from sketcher.drawing.page import page_of_one
from sketcher.drawing.picture import Box, Line, Picture, Point2, Primitive, Text, box_of
from sketcher.drawing.shapes import along, pointing
from sketcher.drawing.style import print_style
from sketcher.drawing.svg import svg_text, svg_tree
from sketcher.interchange.dxf import dxf_bytes
from sketcher.paper.template import furniture
from sketcher.words.plain import printable
from sketcher.words.units import Unit

# A heading narrower than this breaks into too many lines, and the bars need their length.
NARROWEST_SVG_MM = 150.0
# Home printers leave up to 6 mm of each edge white.
MARGIN_MM = 10.0
# Room round the outline for the numbers at its corners and along its edges.
AROUND_MM = 7.0
OVERLAP_MM = 20.0
MOST_SHEETS = 40
DIGITS = 6
JOIN_LINES = (
    "Cut one of two sheets along the dashed line and lay it over the other so that crosses of",
    "the same letter meet. Stick them together.",
)


def template_bytes(
    bracket: Bracket, ending: Ending, paper: Paper = "a4", unit: Unit = "mm", of: str = ""
) -> bytes:
    """A bracket's template as the content of a file of that ending.

    ``of`` is the scene's title; ``unit`` is that of the lengths written on it.
    Raises TooLarge for a PDF of too many pages.
    """
    if ending == ".dxf":
        return dxf_bytes(bracket.outline)
    if ending == ".svg":
        return template_svg(bracket, unit, of).encode("utf-8")
    return template_pdf(bracket, paper, unit, of)


def template_svg(bracket: Bracket, unit: Unit = "mm", of: str = "") -> str:
    """One sheet as large as it has to be; the outline is the polygon of id ``outline``."""
    box = box_of(bracket.outline)
    inner = max(box.width + 2 * AROUND_MM, NARROWEST_SVG_MM)
    wide = inner + furniture.UPRIGHT_MM + 2 * MARGIN_MM
    lines = furniture.words(bracket, unit, of, across_mm=wide - 2 * MARGIN_MM)
    foot = MARGIN_MM + furniture.RULERS_MM
    # The upright bar needs its 100 mm and its name.
    window = max(box.height + 2 * AROUND_MM, 120.0)
    high = foot + window + furniture.heading_mm(lines) + MARGIN_MM
    offset = (
        MARGIN_MM + furniture.UPRIGHT_MM + (inner - box.width) / 2 - box.left,
        foot + (window - box.height) / 2 - box.bottom,
    )
    outline = moved_outline(bracket.outline, offset)
    level = furniture.level_mm(bracket.outline) + offset[1]
    drawn = furniture.outline_picture(outline, unit, level)
    labels = tuple(item for item in drawn if item.key != "outline")
    around = _furniture(bracket, lines, wide, high)
    page = page_of_one(around + Picture(labels), Camera.of_sheet(Box(0.0, 0.0, wide, high)))
    title = f"{printable(bracket.name)}, full size"
    root = svg_tree(page, print_style(), title=title, backed=False)
    # An element that another program finds by its id, unrounded.
    points = " ".join(f"{x:.{DIGITS}f},{high - y:.{DIGITS}f}" for x, y in outline)
    colour = "#{:02x}{:02x}{:02x}".format(*print_style().palette.line)
    attributes = {"id": "outline", "points": points, "stroke": colour, "stroke-width": "0.25"}
    ET.SubElement(root, "polygon", attributes)
    return svg_text(root)


def template_pdf(bracket: Bracket, paper: Paper = "a4", unit: Unit = "mm", of: str = "") -> bytes:
    """Pages at full size; an outline larger than a page goes over several that overlap.

    Raises TooLarge where they would be too many.
    """
    from reportlab.lib.units import mm  # noqa: PLC0415
    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

    from sketcher.drawing.pdf import paint_pdf  # noqa: PLC0415

    short, long = PAPERS_MM[paper]
    laid = sheets_for(
        bracket.outline,
        _layout(bracket, unit, of, short, long),
        _layout(bracket, unit, of, long, short),
    )
    layout, style = laid.layout, print_style()
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(layout.wide * mm, layout.high * mm), invariant=1)
    canvas.setTitle(f"{printable(bracket.name)}, full size")
    canvas.setCreator("sketcher")
    # A viewer's print dialog then offers the true size first.
    canvas.setViewerPreference("PrintScaling", "None")
    page = Camera.of_sheet(Box(0.0, 0.0, layout.wide, layout.high))
    drawn = furniture.outline_picture(bracket.outline, unit, furniture.level_mm(bracket.outline))
    drawn += laid.marks
    for number, sheet in enumerate(laid.sheets, 1):
        window = layout.window
        camera = Camera.of_sheet(sheet.shows)
        lines = furniture.words(bracket, unit, of, across_mm=layout.wide - 2 * MARGIN_MM)
        if len(laid.sheets) > 1:
            lines += (_where(laid, sheet, number), *JOIN_LINES)
        around = _furniture(bracket, lines, layout.wide, layout.high)
        paint_pdf(canvas, around, page, (0.0, 0.0), style)
        shown = _on_sheet(drawn, sheet, laid)
        paint_pdf(canvas, shown, camera, (window.left, window.bottom), style)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _on_sheet(drawn: Picture, sheet: TemplateSheet, laid: Sheets) -> Picture:
    """What stands on a sheet, without the texts that its edge would cut and another has whole."""

    def has(text: Text, one: TemplateSheet) -> bool:
        half, way = 0.5 * furniture.width_mm(text.text), pointing(text.angle_deg)
        return all(one.shows.holds(along(text.at, way, by)) for by in (half, -half))

    return Picture(
        tuple(
            item
            for item in drawn
            if not isinstance(item, Text)
            or has(item, sheet)
            or not any(has(item, other) for other in laid.sheets)
        )
    )


def _layout(bracket: Bracket, unit: Unit, of: str, wide: float, high: float) -> SheetLayout:
    # Room for the lines that only a template of several sheets has, so that all are alike.
    lines = (*furniture.words(bracket, unit, of, across_mm=wide - 2 * MARGIN_MM), "", "", "")
    window = Box(
        MARGIN_MM + furniture.UPRIGHT_MM,
        MARGIN_MM + furniture.RULERS_MM,
        wide - MARGIN_MM,
        high - MARGIN_MM - furniture.heading_mm(lines),
    )
    return SheetLayout(wide, high, window)


def _furniture(bracket: Bracket, lines: Sequence[str], wide: float, high: float) -> Picture:
    """The heading and the bars that check the printer, on a sheet of a size."""
    top_left, across = (MARGIN_MM, high - MARGIN_MM), wide - 2 * MARGIN_MM
    return Picture(
        (
            *furniture.heading(printable(bracket.name), lines, top_left, across_mm=across),
            *furniture.rulers((MARGIN_MM, MARGIN_MM)),
        )
    )


def _where(laid: Sheets, sheet: TemplateSheet, number: int) -> str:
    return (
        f"Sheet {number} of {len(laid.sheets)}: column {sheet.column} of {laid.columns} "
        f"from the left, row {sheet.row} of {laid.rows} from below."
    )


class TooLarge(Exception):
    """An outline that takes more sheets than anybody sticks together."""


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """A sheet's size and the window that the outline shows in, mm on the sheet."""

    wide: float
    high: float
    window: Box


@dataclass(frozen=True, slots=True)
class TemplateSheet:
    """One sheet: the part of the scene that its window shows, and where it belongs."""

    shows: Box
    column: int
    row: int


@dataclass(frozen=True, slots=True)
class Sheets:
    """All sheets of one template, alike, and the marks in the scene that join them."""

    layout: SheetLayout
    sheets: tuple[TemplateSheet, ...]
    columns: int
    rows: int
    marks: Picture


def sheets_for(outline: Outline, upright: SheetLayout, across: SheetLayout) -> Sheets:
    """The sheets for an outline, of the two layouts the one that takes fewer.

    Raises TooLarge.
    """
    laid = [_laid(outline, layout) for layout in (upright, across)]
    best = min(laid, key=lambda one: len(one.sheets))
    if len(best.sheets) > MOST_SHEETS:
        box = box_of(outline)
        raise TooLarge(
            f"{box.width:.0f} x {box.height:.0f} mm would take {len(best.sheets)} sheets; "
            "take it to the saw as .svg or .dxf"
        )
    return best


def _laid(outline: Outline, layout: SheetLayout) -> Sheets:
    need, window = box_of(outline).grown(AROUND_MM), layout.window
    columns, rows = _count(need.width, window.width), _count(need.height, window.height)
    if columns * rows > 4 * MOST_SHEETS:
        # Enough to be refused; laying them all out would only take time.
        sheet = TemplateSheet(window, 1, 1)
        return Sheets(layout, (sheet,) * (columns * rows), columns, rows, Picture())
    step_x, step_y = window.width - OVERLAP_MM, window.height - OVERLAP_MM
    # What is over is shared out evenly on both sides.
    left = need.centre[0] - (window.width + (columns - 1) * step_x) / 2
    bottom = need.centre[1] - (window.height + (rows - 1) * step_y) / 2
    polygon = shapely.Polygon(outline)
    sheets = []
    for row in range(rows):
        for column in range(columns):
            x, y = left + column * step_x, bottom + row * step_y
            shows = Box(x, y, x + window.width, y + window.height)
            if polygon.intersects(shapely.box(shows.left, shows.bottom, shows.right, shows.top)):
                sheets.append(TemplateSheet(shows, column + 1, row + 1))
    marks = Picture(tuple(_marks(sheets)))
    return Sheets(layout, tuple(sheets), columns, rows, marks)


def _count(needed: float, window: float) -> int:
    return max(1, math.ceil((needed - OVERLAP_MM) / (window - OVERLAP_MM)))


def _marks(sheets: Sequence[TemplateSheet]) -> Iterator[Primitive]:
    """Crosses and a line along the middle of each overlap of two sheets that there are."""
    at = {(sheet.column, sheet.row): sheet.shows for sheet in sheets}
    places: list[Point2] = []
    for (column, row), shows in at.items():
        if (column + 1, row) in at:
            x = shows.right - OVERLAP_MM / 2
            yield Line((x, shows.bottom), (x, shows.top), "trim")
            places += [(x, shows.bottom + share * shows.height) for share in (0.25, 0.75)]
        if (column, row + 1) in at:
            y = shows.top - OVERLAP_MM / 2
            yield Line((shows.left, y), (shows.right, y), "trim")
            places += [(shows.left + share * shows.width, y) for share in (0.25, 0.75)]
    for i, place in enumerate(places):
        yield from furniture.cross(place, _letters(i))


def _letters(index: int) -> str:
    """A to Z, then AA and on."""
    first, last = divmod(index, 26)
    return ("" if first == 0 else chr(64 + first)) + chr(65 + last)
