"""The readout: what holds at one position, as a small table on the sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sketcher.answers.position_values import PositionValue
from sketcher.drawing.fonts import font_px, width_px
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture
from sketcher.drawing.style import NOTES
from sketcher.words.units import Unit, format_length

HEAD, ROW = 28.0, 22.0
# A readout at least this wide has two columns of rows.
_WIDE = 480.0
# The boxes for travel and steer take no more of its head.
_HEAD_MOST = 320.0
# From the right edge: where limits end, and where values do that have none.
_LIMIT, _VALUE = 55.0, 102.0
_LEFT, _APART = 8.0, 5.0
# Room for the word before a box in the head.
_NAME = 42.0


def head_boxes(width: float, count: int) -> tuple[tuple[float, float], ...]:
    """Left edge and width of the boxes for travel and steer in a readout's head."""
    room = (min(width, _HEAD_MOST) - 8.0) / 2
    return tuple((8.0 + room * i + _NAME, room - _NAME - 8.0) for i in range(count))


def columns_of(width: float) -> int:
    """How many columns of rows a readout of a width has."""
    return 2 if width >= _WIDE else 1


def height_of(width: float, count: int) -> float:
    """How high a readout of a width is, px at UI scale 1."""
    return HEAD + ROW * -(-count // columns_of(width))


def draw_readout(
    pane: Pane,
    rows: Sequence[PositionValue],
    where: str,
    typed: Mapping[str, str] | None = None,
    columns: int = 1,
) -> Picture:
    """What holds at the current position, row by row.

    ``typed``, travel and steer as they may be typed, stands in boxes in place of the words.
    """
    deep = -(-len(rows) // columns)
    width, height = pane.width, HEAD + ROW * deep
    pane.box(0, 0, width, height, "body_point")
    if typed is None:
        pane.text(8, HEAD / 2, where, "label_strong", within=width - 16)
    else:
        _draw_head(pane, typed)
    pane.line(0, HEAD, width, HEAD, "note")
    wide = width / columns
    for i in range(1, deep):
        pane.line(0, HEAD + ROW * i, width, HEAD + ROW * i, "grid_strong")
    for column in range(1, columns):
        pane.line(column * wide, HEAD, column * wide, height, "grid_strong")
    for column in range(columns):
        of_column = rows[column * deep : (column + 1) * deep]
        value = _value_edge(of_column, wide, pane.scale)
        for i, row in enumerate(of_column):
            _draw_row(pane, row, column * wide, HEAD + ROW * (i + 0.5), wide, value)
    return pane.picture


def _value_edge(rows: Sequence[PositionValue], width: float, scale: float) -> float:
    """Where the values of a column end: names have all that limits leave."""
    size = font_px("small", scale)
    limits = [width_px(row.limit, size) / scale for row in rows if row.limit]
    return width - (_LIMIT + max(limits) + 8.0 if limits else _VALUE)


def _draw_row(
    pane: Pane, row: PositionValue, left: float, y: float, width: float, edge: float
) -> None:
    value, limit = left + edge, left + width - _LIMIT
    taken = width_px(row.value, font_px("small", pane.scale), True) / pane.scale
    name_room = edge - taken - _LEFT - _APART
    pane.text(left + _LEFT, y, row.name, "label", size="small", within=name_room)
    role = "note" if row.state is None else NOTES[row.state]
    strong = "label_strong" if row.state in (None, "good") else role
    pane.text(value, y, row.value, strong, horizontal="right", size="small")
    if row.limit:
        pane.text(limit, y, row.limit, "label", size="small", horizontal="right")
    if row.state is not None:
        pane.mark(limit + 12, y, row.state, 4.0)
        pane.text(limit + 20, y, row.state, role, size="small")


def _draw_head(pane: Pane, typed: Mapping[str, str]) -> None:
    boxes = head_boxes(pane.width, len(typed))
    for (name, text), (left, width) in zip(typed.items(), boxes, strict=True):
        pane.text(left - _NAME, HEAD / 2, name, "label", size="small")
        right, low, high = left + width, 4.0, HEAD - 4.0
        corners = ((left, low), (right, low), (right, high), (left, high))
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            pane.line(*a, *b, "faint")
        pane.text(left + 5, HEAD / 2, text, "label_strong", within=width - 10)


def row_at(x: float, y: float, width: float, count: int) -> int | None:
    """The row under a place, px at UI scale 1 from the readout's top left corner."""
    columns = columns_of(width)
    deep, down = -(-count // columns), int((y - HEAD) // ROW)
    index = int(x // (width / columns)) * deep + down
    return index if 0 <= down < deep and 0 <= index < count else None


def position_words(travel_mm: float, steer_deg: float | None, unit: Unit) -> str:
    """A position as a person would say it; ``steer_deg`` is None where the axle does not steer."""
    if abs(travel_mm) < 0.05:
        up = "ride height"
    else:
        digits = 0 if unit == "mm" else 2
        length = format_length(abs(travel_mm), unit, digits=digits)
        up = f"{'bump' if travel_mm > 0 else 'droop'} {length}"
    if steer_deg is None:
        return f"At {up}"
    if abs(steer_deg) < 0.05:
        return f"At {up}, straight"
    return f"At {up}, steer {steer_deg:+.0f}°".replace("-", "−")
