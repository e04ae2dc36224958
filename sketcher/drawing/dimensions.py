"""Dimensions, leaders and angles after ISO 129-1, made of primitives.

Extension lines start a little off the part and end 2 mm beyond the dimension
line; values stand above the line, to be read from the bottom or the right.  Spans
lie along one axis: mm over the line and the inch fraction under it; in inches the
fraction stands over the line and the decimals under it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sketcher.drawing.picture import Arc, Line, Point2, Polygon, Primitive, Role, Text
from sketcher.drawing.shapes import along, angle_of, arrowhead, between, pointing, unit
from sketcher.drawing.sheet import Sheet
from sketcher.words.units import format_fraction, format_length

# Mm on paper, of dimensions in the sketch.
_ARROW_MM, _BEYOND_MM, _OFF_MM, _TEXT_OFF_MM = 2.6, 1.6, 0.8, 0.9
# Of spans: from one dimension line to the next, and from a part to its first.
PITCH, FIRST_OVER, FIRST_UNDER, LAST_OVER = 7.6, 4.6, 4.8, 4.2
_ARROW, _BEYOND, _OFF, _LIFT, _CLEAR = 2.4, 1.4, 0.6, 0.8, 0.8


def readable(angle_deg: float) -> float:
    """How a text along a line, from −180° to 180°, is turned: read from below or the right."""
    if angle_deg > 90.0:
        return angle_deg - 180.0
    return angle_deg + 180.0 if angle_deg <= -90.0 else angle_deg


def dimension(
    a: Point2,
    b: Point2,
    aside: float,
    text: str,
    sheet: Sheet,
    *,
    role: Role = "dimension",
    key: str = "",
) -> None:
    """Draw a length from a to b, its line ``aside`` (world mm, + left of the way) of them.

    Where the value does not fit between the ends it stands beyond b.
    """
    camera = sheet.camera
    text_width, text_height = sheet.room.measure(text, role)
    direction = unit(a, b)
    side = math.copysign(1.0, aside)
    off, beyond = camera.paper(_OFF_MM) * side, camera.paper(_BEYOND_MM) * side
    start, end = along(a, direction, 0.0, aside), along(b, direction, 0.0, aside)
    arrow = camera.paper(_ARROW_MM)
    items: list[Primitive] = [
        Line(along(a, direction, 0.0, off), along(start, direction, 0.0, beyond), role, key),
        Line(along(b, direction, 0.0, off), along(end, direction, 0.0, beyond), role, key),
    ]
    way = angle_of(direction)
    angle = readable(way)
    # Above the line as it is read, whichever way it was measured.
    lift = camera.paper(_TEXT_OFF_MM if angle == way else -_TEXT_OFF_MM)
    line, middle = dimension_line(start, end, text_width, sheet, arrow, role=role, key=key)
    middle = along(middle, direction, 0.0, lift)
    items += [Text(middle, text, role, key, "centre", "bottom", angle, backed=True), *line]
    sheet.add(*items)
    for item in items:
        if isinstance(item, Line):
            sheet.room.take_line(item.start, item.end)
    begin = along(middle, direction, -text_width / 2)
    sheet.room.take_turned_words(begin, along(middle, direction, text_width / 2), text_height)


def dimension_line(
    start: Point2,
    end: Point2,
    wide: float,
    sheet: Sheet,
    arrow: float,
    *,
    role: Role = "dimension",
    key: str = "",
) -> tuple[list[Primitive], Point2]:
    """The line of a dimension with its arrowheads, and where its value's middle goes.

    ``wide`` is the value's width, world mm; where it does not fit between the ends the
    arrows come from outside, and the value stands beyond the second end.
    """
    direction = unit(start, end)
    back = (-direction[0], -direction[1])
    span = math.dist(start, end)
    if span > wide + sheet.camera.paper(1.0) and span > 2.6 * arrow:
        return [
            Line(start, end, role, key),
            Polygon(arrowhead(start, back, arrow), role, key),
            Polygon(arrowhead(end, direction, arrow), role, key),
        ], between(start, end, 0.5)
    return [
        Line(along(start, back, arrow * 1.6), start, role, key),
        Line(start, end, role, key),
        Line(end, along(end, direction, arrow * 1.6 + wide), role, key),
        Polygon(arrowhead(start, direction, arrow), role, key),
        Polygon(arrowhead(end, back, arrow), role, key),
    ], along(end, direction, arrow * 1.4 + wide / 2)


def leader(
    tip: Point2,
    elbow: Point2,
    text: str,
    sheet: Sheet,
    *,
    role: Role = "dimension",
    key: str = "",
) -> None:
    """Draw a leader with an arrow at ``tip`` and the text over its shelf at ``elbow``."""
    camera = sheet.camera
    width, _ = sheet.room.measure(text, role)
    shelf = (width + camera.paper(1.0)) * (1.0 if elbow[0] >= tip[0] else -1.0)
    end = (elbow[0] + shelf, elbow[1])
    middle = ((elbow[0] + end[0]) / 2, elbow[1] + camera.paper(_TEXT_OFF_MM))
    sheet.add(
        Line(elbow, tip, role, key),
        Line(elbow, end, role, key),
        Polygon(arrowhead(tip, unit(elbow, tip), camera.paper(_ARROW_MM)), role, key),
    )
    sheet.room.take_line(elbow, tip)
    sheet.write(Text(middle, text, role, key, "centre", "bottom"))


def angle_arc(centre: Point2, one: Point2, other: Point2, radius: float, sheet: Sheet) -> Point2:
    """Draw the arc of the angle between two directions; answers the point at its middle.

    The shorter way round is taken; narrow angles have no arrowheads.
    """
    start = angle_of(one)
    end = start + math.remainder(angle_of(other) - start, 360.0)
    low, high = min(start, end), max(start, end)
    arc = Arc(centre, radius, low, high, "angle")
    items: list[Primitive] = [arc]
    arrow = sheet.camera.paper(_ARROW_MM * 0.8)
    if math.radians(high - low) * radius > 2.6 * arrow:
        for degrees, turn in ((low, -90.0), (high, 90.0)):
            # The head lies along the chord that it covers, or it would leave the arc.
            lean = math.degrees(arrow / radius) / 2 * (-1.0 if turn > 0 else 1.0)
            tip = along(centre, pointing(degrees), radius)
            head = arrowhead(tip, pointing(degrees + turn + lean), arrow)
            items.append(Polygon(head, "dimension"))
    sheet.add(*items)
    sheet.room.take_run(arc.points)
    return along(centre, pointing((low + high) / 2), radius)


@dataclass(frozen=True, slots=True)
class Span:
    """A length between two places of an axis; ``word`` says of what."""

    from_x: float
    to_x: float
    mm: float
    word: str = ""


def span(
    sheet: Sheet,
    one: Span,
    from_y: tuple[float, float],
    y: float,
    free_to_x: float | None = None,
    *,
    free_beyond: bool = False,
) -> None:
    """Draw one length with its line at ``y``, extension lines coming from ``from_y``.

    Where the value does not fit between the ends it stands before the first, if all is free
    to ``free_to_x`` and that is far enough; between them without its word, if that fits and it
    is not known to be ``free_beyond`` them; and otherwise beyond the second.
    """
    camera = sheet.camera
    arrow, lift = camera.paper(_ARROW), camera.paper(_LIFT)
    main, lower = _texts(sheet, one)
    out = math.copysign(1.0, one.from_x - one.to_x)
    before = 0.0 if free_to_x is None else out * (free_to_x - one.from_x) - 1.6 * arrow
    within = abs(one.to_x - one.from_x) - camera.paper(1.0)
    wide = _wide(sheet, main, lower)
    bare = main.removeprefix(one.word).strip()
    if not free_beyond and wide >= max(within, before) and _wide(sheet, bare, lower) < within:
        main, wide = bare, _wide(sheet, bare, lower)
    items: list[Primitive] = []
    for x, start in zip((one.from_x, one.to_x), from_y, strict=True):
        way = 1.0 if y > start else -1.0
        items.append(
            Line((x, start + way * camera.paper(_OFF)), (x, y + way * camera.paper(_BEYOND)),
                 "dimension")
        )  # fmt: skip
    first, second = (one.from_x, y), (one.to_x, y)
    if before > wide:
        first, second = second, first
    line, (middle, _) = dimension_line(first, second, wide, sheet, arrow)
    items += line
    items.append(Text((middle, y + lift), main, "dimension", "", "centre", "bottom"))
    items.append(Text((middle, y - lift), lower, "note", "", "centre", "top", size="small"))
    sheet.add(*items)


def _wide(sheet: Sheet, main: str, lower: str) -> float:
    """How wide a value is, with what stands under it and what is kept clear."""
    room = sheet.room
    wide = max(room.measure(main, "dimension")[0], room.measure(lower, "note", "small")[0])
    return wide + sheet.camera.paper(_CLEAR)


def _texts(sheet: Sheet, one: Span) -> tuple[str, str]:
    # Which way it goes from the first place is seen.
    long = abs(one.mm)
    mm, fraction = format_length(long, named=False), format_fraction(long)
    main, lower = (mm, fraction) if sheet.unit == "mm" else (fraction, format_length(long, "in"))
    return (f"{one.word} {main}" if one.word else main), lower


def spans(
    sheet: Sheet,
    listed: Sequence[Span],
    from_y: tuple[float, float],
    first_y: float,
    step: float,
    free_to_x: float | None = None,
    *,
    free_beyond: bool = False,
) -> None:
    """Draw lengths from one place, the shortest nearest to the part."""
    for level, one in enumerate(sorted(listed, key=lambda one: abs(one.to_x - one.from_x))):
        span(sheet, one, from_y, first_y + level * step, free_to_x, free_beyond=free_beyond)


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
