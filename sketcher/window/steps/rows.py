"""Rows of the work order as data: headings, fields, buttons, notes, and the steps they make."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from kinematics.shaft.length_window import Position
from scenes.key_table import key_of
from sketcher.answers.shown import Shown
from sketcher.answers.states import State
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, field_of

AXES_HELP = (
    "From the car's centreline, outboard.",
    "Above the level floor, car at ride height.",
    "Forward of a fixed plumb line; 0 for all keeps the sketch plane.",
)


@dataclass(frozen=True, slots=True)
class RowHeading:
    """A line that opens a part of a step."""

    text: str


@dataclass(frozen=True, slots=True)
class FieldRow:
    """A label and one to three fields; ``first`` is the column that they begin in.

    ``key`` names the thing in the scene that they belong to; without ``units`` its heading
    tells what they are in.
    """

    label: str
    fields: tuple[Field, ...]
    key: str = ""
    help: str = ""
    first: int = 0
    units: bool = True


@dataclass(frozen=True, slots=True)
class StepPart:
    """A part of a step that opens by itself, with its one-line summary."""

    name: str
    summary: str
    key: str
    is_open: bool


@dataclass(frozen=True, slots=True)
class Buttons:
    """Commands beside each other by their names: buttons, or boxes to check for states."""

    commands: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Note:
    """A few words, and how it stands; ``lines`` is the room that is kept for it.

    A click on one with a ``key`` shows that thing's fields; ``above_fields``, it is about the
    row below.
    """

    text: str
    state: State | None = None
    lines: int = 2
    key: str = ""
    above_fields: bool = False


@dataclass(frozen=True, slots=True)
class Drawing:
    """A small picture, px high at UI scale 1; it is drawn anew where what it is ``of`` changes."""

    height: float
    draw: Callable[[Pane], Picture] = field(compare=False)
    of: object = None


@dataclass(frozen=True, slots=True)
class Spot:
    """Something found and where: how it stands, what it says, and a click that goes there.

    ``key`` names the thing in the scene.
    """

    text: str
    detail: str
    state: State
    position: Position
    key: str


Row = RowHeading | FieldRow | StepPart | Buttons | Note | Drawing | Spot


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step of the job."""

    name: str
    summary: Callable[[Editor, Shown], str]
    rows: Callable[[Editor, Shown], Iterator[Row]]


def point_row(label: str, key: str, help_: str = "") -> FieldRow:
    """A point's three coordinates."""
    known = key_of(key)
    about = help_ or ("" if known is None else known.help)
    fields = tuple(
        Field(f"{key}[{i}]", f"{label}, {axis}", help=f"{about} {AXES_HELP[i]}".strip())
        for i, axis in enumerate(("out", "up", "fore"))
    )
    return FieldRow(label, fields, key, about)


def part(editor: Editor, step: str, name: str, summary: str, rows: Iterable[Row]) -> Iterator[Row]:
    """A part of a step; its rows follow where it is open."""
    key = f"{step}/{name}"
    is_open = key in editor.open_steps
    yield StepPart(name, summary, key, is_open)
    if is_open:
        yield from rows


def one(label: str, field: Field) -> FieldRow:
    """A row of one field."""
    return FieldRow(label, (field,), field.key, field.help)


def value_rows(key: str, of: str, *names: str) -> Iterator[FieldRow]:
    """Rows of one field each, whose keys are their names with underscores."""
    for name in names:
        label = _CALLED.get(f"{of} {name}", name)
        yield one(label, field_of(f"{key}.{name.replace(' ', '_')}", of))


# Where the file's word says too little without its help.
_CALLED = {
    "splice at": "its middle at",
    "splice diameter": "bars turned to",
    "splice trim": "left to trim",
    "splice clear": "clear of heat",
    "sleeve at": "its middle at",
    "sleeve split": "split lengthwise",
    "sleeve leg": "leg of its welds",
}
