"""Readings and marks: the other way into Measure, in rows of their own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from kinematics.sure.readings import Reading
from kinematics.sure.settling import CheckedReading
from scenes.model import Scene
from sketcher.answers.memo import Answer
from sketcher.answers.next_reading import PointsAnswer
from sketcher.answers.reading_list import letters, still_to_read
from sketcher.answers.shown import Shown
from sketcher.answers.states import State
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, field_of
from sketcher.window.model.reading_text import begun
from sketcher.window.steps.reading_answers import (
    ForChance,
    for_chance,
    points_answer,
    points_shown,
    settled_shown,
)
from sketcher.window.steps.rows import (
    Buttons,
    FieldRow,
    Note,
    Row,
    RowHeading,
    one,
    part,
    point_row,
)
from sketcher.words import points as words
from sketcher.words.plain import sentence

_LINE = (
    "The whole reading: other points by their letters or names, another kind (rise, slope, up, "
    "out, fore, across), number, then ±, at and steer."
)
ADD_READING, ADD_MARK = "reading.new", "mark.new"
PART, MORE, TO_READ = "Readings", "More to read next", "Still to read, as on paper"
MOST_REMARKS = 6
_HOW = (
    "Two points and a number: A B 330, or ball joint to rail hole 335; rise or slope before "
    "the number. One point: B up 188, out, fore, across. Then ±1 and at −60, where they differ."
)


def reading_part(editor: Editor, shown: Shown) -> Iterator[Row]:
    """The part of Measure that holds readings and marks."""
    answer, found, chance = points_answer(editor), points_shown(editor), for_chance(editor, shown)
    summary = _summary(editor, answer, found)
    yield from part(editor, "Measure", PART, summary, _rows(editor, answer, found, chance))


def _summary(editor: Editor, answer: Answer, found: PointsAnswer | None) -> str:
    count = len(editor.document.standing.readings)
    if not count:
        return "none yet"
    if answer.problem:
        return f"{count}: they cannot be met"
    if found is None:
        return f"{count} taken"
    if found.settled.suspicious is not None:
        return f"{count} taken, {found.settled.suspicious + 1} seems misread"
    return f"{count} taken, {'settled' if found.good else 'points drawn elsewhere'}"


def _rows(
    editor: Editor, answer: Answer, found: PointsAnswer | None, chance: ForChance | None
) -> Iterator[Row]:
    # Rows come and go with what was taken, and not while it is typed.
    scene = editor.document.standing
    yield FieldRow("reading", (Field(ADD_READING, "reading", "reading", _HOW),), "", _HOW)
    yield from _put_aside(editor, "reading")
    yield Buttons(("take_reading", "place_mark"))
    yield Buttons(("reading_sheet", "blank_sheet") if scene.readings else ("reading_sheet",))
    if not scene.readings:
        yield Note(f"{_HOW} Letters are those in the sketch.", lines=4)
    named = _Named(scene, tuple(scene.points), letters(scene))
    yield from _state(editor, answer, found)
    yield from _next(editor, named, found, chance)
    yield from _list(editor, named)
    yield from _marks(editor, named)
    yield from _to_read(editor, named)


@dataclass(frozen=True, slots=True)
class _Named:
    """A scene's points by their paths and by their letters on paper."""

    scene: Scene
    paths: tuple[str, ...]
    letters: Mapping[str, str]

    def what(self, reading: Reading) -> str:
        """A reading in a line of the form, with the letters of its points."""
        points = [words.point_words(path, self.paths) for path in reading.points]
        marks = "–".join(self.letters[path] for path in reading.points)
        kind = "" if reading.kind == "distance" else f", {reading.kind}"
        return f"{marks}  {' to '.join(points)}{kind}"


def _state(editor: Editor, answer: Answer, found: PointsAnswer | None) -> Iterator[Row]:
    paths, unit = list(editor.scene.points), editor.unit
    if answer.problem:
        yield Note(words.unmet_words(answer.problem, paths, unit), "past")
    if found is None:
        return
    good = found.good
    yield Note(words.state_words(found.settled, paths, unit), None if good else "close")
    if not good and found.settled.drawn_off_mm > words.SETTLED_MM:
        yield Buttons(("put_back",))
    told = list(_of_one_point(words.remarks(found.settled, paths, unit)))
    for line in told[:MOST_REMARKS]:
        yield Note(sentence(line), "close", lines=1)
    if len(told) > MOST_REMARKS:
        yield Note(f"And {len(told) - MOST_REMARKS} more.", "close", lines=1)


def _of_one_point(lines: Iterator[str]) -> Iterator[str]:
    """Remarks, those that tell of one point's coordinates in one line."""
    open_ones: dict[str, list[str]] = {}
    others = []
    for line in lines:
        what, mark, _ = line.partition(": nothing fixes it")
        if mark:
            point, _, place = what.rpartition(", ")
            open_ones.setdefault(point, []).append(place)
        else:
            others.append(line)
    yield from others
    for point, places in open_ones.items():
        yield f"{point}: nothing fixes its {', '.join(places)}"


def _list(editor: Editor, named: _Named) -> Iterator[Row]:
    # One that is being typed comes behind these.
    readings = editor.scene.readings[: len(named.scene.readings)]
    if not readings:
        return
    settled = settled_shown(editor)
    checked = settled.readings if settled is not None else ()
    suspicious = settled.suspicious if settled is not None else None
    yield RowHeading("Off by\tread\t±\tat travel")
    for place, reading in enumerate(readings):
        key = f"reading[{place}]"
        told = checked[place] if place < len(checked) else None
        told = told if told is not None and told.reading == reading else None
        doubtful = told is not None and place == suspicious
        state: State | None = "past" if doubtful else None
        yield Note(
            f"{place + 1}. {named.what(reading)}", state, lines=1, key=key, above_fields=True
        )
        if doubtful and told is not None:
            by = words.off_words(reading, told.misread_by, editor.unit)
            yield Note(f"It seems misread by {by}: read it again.", state, lines=1)
        yield _fields(editor, named, key, reading, told)
        if editor.selection == key:
            yield one("steer", field_of(f"{key}.steer", label="reading, steer"))
            yield FieldRow("as one line", (Field(f"{key}.line", "reading", "reading_line", _LINE),),
                           key, _LINE)  # fmt: skip
            yield Buttons(("other_points", "drop_reading"))


def _fields(
    editor: Editor, named: _Named, key: str, reading: Reading, told: CheckedReading | None
) -> FieldRow:
    slope = reading.kind == "slope"
    label = "" if told is None else words.short_residual(told, editor.unit)
    what = words.what_words(reading, named.paths, editor.unit)
    about = f"What was read: {what}, taken with {words.TAKEN_WITH[reading.kind]}."
    return FieldRow(
        label,
        (
            Field(f"{key}.{reading.kind}", "reading", "angle" if slope else "length", about),
            Field(f"{key}.error", "reading, error", "open_angle" if slope else "open_length",
                  "How far off it may be, each way; empty: a class II tape to a surface, or "
                  "0.2° of an angle gauge."),
            field_of(f"{key}.travel", label="reading, travel"),
        ),
        key,
    )  # fmt: skip


def _marks(editor: Editor, named: _Named) -> Iterator[Row]:
    yield RowHeading("Marks\tout\tup\tfore")
    for place, mark in enumerate(named.scene.marks):
        key = f"mark[{place}]"
        yield one(
            f"{named.letters[f'mark.{mark.name}']}, name",
            Field(f"{key}.name", "mark's name", "text", "What you call it; its readings follow."),
        )
        yield point_row("roughly at", f"{key}.at", "A hole, a bolt head, a chalk cross.")
        if editor.selection.startswith(f"{key}."):
            yield Buttons(("drop_mark",))
    about = "Its name and roughly where it is: rail hole; 455; 420; 120 (out; up; fore)."
    yield FieldRow("mark", (Field(ADD_MARK, "mark", "mark", about),), "", about)
    yield from _put_aside(editor, "mark")


def _put_aside(editor: Editor, kind: str) -> Iterator[Row]:
    """What was refused while the list went on: to be mended, or emptied."""
    for field in editor.put_aside.values():
        if field.kind == kind:
            yield FieldRow("not taken", (field,), "", field.help)


def _next(
    editor: Editor, named: _Named, found: PointsAnswer | None, chance: ForChance | None
) -> Iterator[Row]:
    """What to read next: the best of all, and behind it the others."""
    unit = editor.unit
    told = [] if found is None else [
        (words.next_words(best, found.half_width_mm[editor.side], unit, named.paths), best.reading)
        for best in found.next.get(editor.side, ())
    ]  # fmt: skip
    if chance is not None:
        other = [
            (words.next_for_chance_words(one, chance.sure, unit, named.paths), one.reading)
            for one in chance.next
        ]
        told = [*other, *told] if chance.low else [*told, *other[:1]]
    if not told:
        return
    rows: list[Row] = []
    for number, (line, reading) in enumerate(told, 1):
        rows.append(Note(f"{number}. {line}.", lines=2, above_fields=True))
        rows.append(_unread(named, reading, f"next, {number}", "read"))
    yield RowHeading("Read next")
    yield from rows[:2]
    if len(rows) > 2:
        yield from part(editor, "Measure", MORE, f"{len(told) - 1}", rows[2:])


def _to_read(editor: Editor, named: _Named) -> Iterator[Row]:
    left = still_to_read(named.scene)
    if left:
        is_open = f"Measure/{TO_READ}" in editor.open_steps
        rows = [_unread(named, reading) for reading in left] if is_open else []
        yield from part(editor, "Measure", TO_READ, f"{len(left)}", rows)


def _unread(named: _Named, reading: Reading, name: str = "", label: str = "") -> FieldRow:
    """The box of a reading that is not taken yet."""
    what = words.what_words(reading, named.paths)
    begins = begun(named.scene, reading.points, reading.kind)
    key = f"reading.new, {name or begins.strip()}"
    field = Field(
        key, what, "read", f"Taken with {words.TAKEN_WITH[reading.kind]}. What is typed becomes a "
        "reading.", "°" if reading.kind == "slope" else "", begins,
    )  # fmt: skip
    return FieldRow(label or named.what(reading), (field,), "")
