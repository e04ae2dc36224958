"""Dimensions along one axis: mm over the line and the inch fraction under it, or in inches.

In inches the fraction stands over the line and the decimals under it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sketcher.drawing.dimensions import dimension_line
from sketcher.drawing.picture import Line, Point2, Polygon, Primitive, Text
from sketcher.drawing.shapes import arrowhead
from sketcher.drawing.sheet import Sheet
from sketcher.words.units import format_fraction, format_length

# Mm on paper: from one dimension line to the next, and from a part to its first.
PITCH, FIRST_OVER, FIRST_UNDER, LAST_OVER = 7.6, 4.6, 4.8, 4.2
_ARROW, _BEYOND, _OFF, _LIFT, _CLEAR = 2.4, 1.4, 0.6, 0.8, 0.8


@dataclass(frozen=True, slots=True)
class Span:
    """A length between two places of an axis; ``word`` says of what."""

    from_x: float
    to_x: float
    mm: float
    word: str = ""


def span(sheet: Sheet, one: Span, from_y: tuple[float, float], y: float) -> None:
    """Draw one length with its line at ``y``, extension lines coming from ``from_y``.

    Where the value does not fit between the ends it stands beyond the second.
    """
    camera = sheet.camera
    arrow, lift = camera.paper(_ARROW), camera.paper(_LIFT)
    main, lower = _texts(sheet, one)
    wide = max(sheet.room.measure(main, "dimension")[0], sheet.room.measure(lower, "label")[0])
    items: list[Primitive] = []
    for x, start in zip((one.from_x, one.to_x), from_y, strict=True):
        way = 1.0 if y > start else -1.0
        items.append(
            Line((x, start + way * camera.paper(_OFF)), (x, y + way * camera.paper(_BEYOND)),
                 "dimension")
        )  # fmt: skip
    line, (middle, _) = dimension_line(
        (one.from_x, y), (one.to_x, y), wide + camera.paper(_CLEAR), sheet, arrow
    )
    items += line
    items.append(Text((middle, y + lift), main, "dimension", "", "centre", "bottom"))
    items.append(Text((middle, y - lift), lower, "note", "", "centre", "top", size="small"))
    sheet.add(*items)


def _texts(sheet: Sheet, one: Span) -> tuple[str, str]:
    mm, fraction = format_length(one.mm, named=False), format_fraction(one.mm)
    main, lower = (mm, fraction) if sheet.unit == "mm" else (fraction, format_length(one.mm, "in"))
    return (f"{one.word} {main}" if one.word else main), lower


def spans(
    sheet: Sheet, listed: Sequence[Span], from_y: tuple[float, float], first_y: float, step: float
) -> None:
    """Draw lengths from one place, the shortest nearest to the part."""
    for level, one in enumerate(sorted(listed, key=lambda one: abs(one.to_x - one.from_x))):
        span(sheet, one, from_y, first_y + level * step)


def callouts(
    sheet: Sheet,
    listed: Sequence[tuple[Point2, str]],
    edge_y: float,
    step: float,
    hand: float = 1.0,
) -> None:
    """Write texts over (or, with a negative step, under) a part, a leader from each to its place.

    Texts run to the right of their leaders (to the left with a negative ``hand``), and the
    places that lie furthest that way are written nearest, so that no leader crosses a text.
    """
    camera = sheet.camera
    shelf, arrow = camera.paper(1.0) * hand, camera.paper(_ARROW * 0.8)
    way = -1.0 if step > 0.0 else 1.0
    for level, (tip, text) in enumerate(sorted(listed, key=lambda one: -one[0][0] * hand)):
        y = edge_y + level * step
        width, _ = sheet.room.measure(text, "note", "small")
        sheet.add(
            Line((tip[0], y), tip, "dimension"),
            Line((tip[0], y), (tip[0] + width * hand + 2 * shelf, y), "dimension"),
            Polygon(arrowhead(tip, (0.0, way), arrow), "dimension"),
            Text((tip[0] + shelf, y + camera.paper(0.7)), text, "note", "",
                 "left" if hand > 0.0 else "right", size="small"),
        )  # fmt: skip
