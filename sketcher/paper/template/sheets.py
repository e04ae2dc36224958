"""Which sheets of paper a full-size outline takes.

An outline that no single sheet holds, upright or across, is laid over several that
overlap: any home printer prints them, where one larger page would need a print shop.
Crosses in the overlaps, which both sheets carry, lay one upon the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely

from kinematics.gaps.outlines import Outline
from sketcher.drawing.picture import Box, Line, Picture, Point2, Primitive, box_of
from sketcher.paper.template.furniture import cross

# Home printers leave up to 6 mm of each edge white.
MARGIN_MM = 10.0
# Room round the outline for the numbers at its corners and along its edges.
AROUND_MM = 7.0
OVERLAP_MM = 20.0
MOST_SHEETS = 40


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
        yield from cross(place, _letters(i))


def _letters(index: int) -> str:
    """A to Z, then AA and on."""
    first, last = divmod(index, 26)
    return ("" if first == 0 else chr(64 + first)) + chr(65 + last)
