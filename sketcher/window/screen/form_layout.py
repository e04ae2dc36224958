"""Where the rows of the work order stand: one column of rows, fields on a grid of three."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sketcher.drawing.fonts import font_px
from sketcher.drawing.pane import wrapped
from sketcher.window.model.field_texts import FieldKind
from sketcher.window.model.fields import Field
from sketcher.window.steps.rows import (
    Buttons,
    Drawing,
    FieldRow,
    Note,
    Row,
    RowHeading,
    Spot,
    StepPart,
    WorkStep,
)
from sketcher.words.units import Unit

STEP_HEIGHT, PART_HEIGHT, ROW_HEIGHT, HEADING_HEIGHT = 28, 26, 24, 22
NOTE_HEIGHT, BUTTON_HEIGHT, SPOT_LINES = 16, 28, 3
LEFT, RIGHT = 12.0, 24.0
# Room after a row's fields for the unit that they are in.
UNIT_WIDTH = 30.0
_COLUMN, _GAP, _ALONE = 59.0, 3.0, 92.0
_LABEL_OF_TEXT = 96.0
_MOST_NOTE_LINES = 8
# Fields that hold words rather than a number, and a taper that has a row of its own.
WORDS: tuple[FieldKind, ...] = (
    "text", "notes", "names", "rows", "steel", "extent", "choice", "end", "stretch_kind",
    "sizes", "measurement", "reading", "mark", "reading_line", "taper",
    "each_way",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Placed:
    """A row, or a step's head, and where it stands from the top of the form; device px."""

    id: str
    step: WorkStep
    row: Row | None
    top: int
    height: int
    lines: tuple[str, ...] = ()

    @property
    def bottom(self) -> int:
        """First px below it."""
        return self.top + self.height

    def has(self, key: str) -> bool:
        """Whether a field of this key is in it."""
        row = self.row
        return isinstance(row, FieldRow) and any(field.key == key for field in row.fields)


@dataclass(frozen=True, slots=True)
class Cell:
    """A field's place in its row, px at UI scale 1; ``unit`` stands in it at its right end."""

    field: Field
    left: float
    width: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """The form's width and scale, which decide where everything stands."""

    width: int
    scale: float

    @property
    def wide(self) -> float:
        """Px at UI scale 1 from edge to edge."""
        return self.width / self.scale

    def px(self, value: float) -> int:
        """Device px of a length at UI scale 1."""
        return round(value * self.scale)

    def column(self, index: int) -> tuple[float, float]:
        """Left edge and width of one of the three columns."""
        right = self.wide - RIGHT - UNIT_WIDTH
        return (right - (3 - index) * _COLUMN - (2 - index) * _GAP, _COLUMN)

    def cells(self, row: FieldRow, unit: Unit) -> tuple[tuple[Cell, ...], str]:
        """The fields of a row in their places, and the unit that all of them share."""
        fields = row.fields
        units = [field.unit(unit) if row.units else "" for field in fields]
        if fields[0].kind in WORDS:
            room = self.wide - RIGHT - LEFT - _LABEL_OF_TEXT
            width = (room - _GAP * (len(fields) - 1)) / len(fields)
            left = LEFT + _LABEL_OF_TEXT
            cells = tuple(
                Cell(field, left + i * (width + _GAP), width, of)
                for i, (field, of) in enumerate(zip(fields, units, strict=True))
            )
            return cells, ""
        shared = units[0] if len(set(units)) == 1 else ""
        own = units if not shared else [""] * len(fields)
        if len(fields) == 1 and not row.first:
            left = self.wide - RIGHT - UNIT_WIDTH - _ALONE
            return (Cell(fields[0], left, _ALONE, own[0]),), shared
        cells = tuple(
            Cell(field, *self.column(row.first + i), own[i]) for i, field in enumerate(fields)
        )
        return cells, shared

    def lines(self, text: str, indent: float = LEFT) -> tuple[str, ...]:
        """A text in small letters, broken to the form's width."""
        size = font_px("small", self.scale)
        room = self.width - (indent + RIGHT) * self.scale
        return tuple(wrapped(text, room, size, False, _MOST_NOTE_LINES))


def placed(
    steps: Sequence[WorkStep], rows: Mapping[str, Iterable[Row]], grid: Grid
) -> tuple[Placed, ...]:
    """Every row of the open steps, and every step's head, one under the other."""
    found: list[Placed] = []
    top = grid.px(4)
    for step in steps:
        found.append(Placed(f"step:{step.name}", step, None, top, grid.px(STEP_HEIGHT)))
        top += grid.px(STEP_HEIGHT)
        if step.name not in rows:
            continue
        before, count = step.name, 0
        for row in rows[step.name]:
            lines = _lines(row, grid)
            height = grid.px(_height(row, lines))
            name = _id(row)
            count = count + 1 if not name else 0
            # What has no name of its own goes by what stands above it.
            before = name or before
            found.append(Placed(f"{step.name}:{before}+{count}", step, row, top, height, lines))
            top += height
        top += grid.px(6)
    return tuple(found)


def _id(row: Row) -> str:
    match row:
        case FieldRow():
            return row.fields[0].key
        case StepPart():
            return row.key
        case RowHeading():
            return row.text
        case Buttons():
            return row.commands[0]
        case Spot():
            return f"spot {row.key}"
        case _:
            return ""


def _lines(row: Row, grid: Grid) -> tuple[str, ...]:
    if isinstance(row, Note):
        lines = grid.lines(row.text) if row.text else ()
        return (*lines, *[""] * (row.lines - len(lines)))
    if isinstance(row, Spot):
        lines = grid.lines(row.detail, LEFT + 16.0)
        return (*lines, *[""] * (SPOT_LINES - len(lines)))
    return ()


def _height(row: Row, lines: Sequence[str]) -> float:
    match row:
        case Drawing():
            return row.height + 8
        case Spot():
            return 24 + len(lines) * NOTE_HEIGHT + 4
        case Note():
            return len(lines) * NOTE_HEIGHT + 6
        case _:
            return _HEIGHTS[type(row)]


_HEIGHTS: Mapping[type[Row], int] = {
    FieldRow: ROW_HEIGHT,
    StepPart: PART_HEIGHT,
    RowHeading: HEADING_HEIGHT,
    Buttons: BUTTON_HEIGHT,
}
