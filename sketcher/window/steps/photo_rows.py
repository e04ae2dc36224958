"""The photo to trace over: rows of the step Brackets."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.errors import KinematicsError
from scenes.photo import LEAST_FOR_PERSPECTIVE, Photo
from sketcher.answers.photo_plane import photo_plane
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field
from sketcher.window.model.photo_pins import PIN, all_pins
from sketcher.window.steps.rows import Buttons, FieldRow, Note, Row, RowHeading, one, part
from sketcher.words.units import format_length


def photo_part(editor: Editor) -> Iterator[Row]:
    """The part of Brackets that holds the photo."""
    photo = editor.scene.photo
    summary = "none" if photo is None else photo.file
    if editor.photo.problem:
        summary = "cannot be shown"
    yield from part(editor, "Brackets", "Photo", summary, _rows(editor, photo))


def _rows(editor: Editor, photo: Photo | None) -> Iterator[Row]:
    if photo is None:
        yield Note("A picture from the phone, taken square on, to trace brackets over and to see "
                   "that points lie where they should. It decides no number.", lines=3)  # fmt: skip
        yield Buttons(("take_in_photo",))
        return
    yield Buttons(("take_in_photo", "remove_photo"))
    yield one(
        "opacity",
        Field("photo.opacity", "opacity", "number", "How much the photo shows: from 0 to 1."),
    )
    yield Buttons(("set_pin", "remove_pin"))
    pins, misfit = all_pins(editor), _misfit(photo)
    if pins:
        yield RowHeading("Pins\tout\tup")
    for number in range(len(photo.pins)):
        key = f"{PIN}{number}]"
        off = misfit[number] if number < len(misfit) else 0.0
        told = f", off {format_length(off, editor.unit, rounding='up', named=False)}"
        yield FieldRow(
            f"pin {number + 1}{told if len(photo.pins) > LEAST_FOR_PERSPECTIVE else ''}",
            tuple(
                Field(f"{key}[{place}]", f"pin {number + 1}, {axis}",
                      help=f"{axis} of what is seen at this pin.")
                for place, axis in ((2, "out"), (3, "up"))
            ),
            key,
        )  # fmt: skip
    for number in range(len(photo.pins), len(pins)):
        missing = (2 if len(pins) < 2 else LEAST_FOR_PERSPECTIVE) - len(pins)
        yield Note(f"Pin {number + 1} waits for {missing} more.", lines=1)
    scene, path = editor.scene, editor.document.path
    for line in editor.photo.words(editor.worker, scene, path, editor.unit):
        yield Note(line, "past" if line == editor.photo.problem else None, lines=3)


def _misfit(photo: Photo) -> list[float]:
    try:
        return photo_plane(photo.pins).misfit_mm.tolist() if photo.pins else []
    except KinematicsError:
        return []
