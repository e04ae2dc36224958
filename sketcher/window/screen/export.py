"""What the window writes: by the same functions as the commands."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

from kinematics.shaft.whole_motion import examine
from sketcher.answers.points import points_in_scene
from sketcher.commands.output import write_out
from sketcher.commands.picture import png_bytes, svg_bytes
from sketcher.commands.table import table_csv
from sketcher.paper.picture_subject import PictureSubject
from sketcher.window.model.editor import Editor


def write_table(editor: Editor, path: Path) -> None:
    """Write the swept-length table of the side shown, straight ahead and at both locks.

    Raises CommandError or KinematicsError.
    """
    low, high = editor.scene.steer_range
    text, _ = table_csv(editor.scene.corner(editor.side), steer_deg=sorted({low, 0.0, high}))
    write_out(text.encode("utf-8"), path, editor.document.path)


def write_picture(editor: Editor, path: Path) -> None:
    """Write the sketch at the position shown: PNG, or SVG to scale in mm.

    Raises CommandError where the scene cannot be drawn or the file not be written.
    """
    subject = PictureSubject.of(
        editor.scene,
        editor.side,
        editor.travel_mm,
        editor.steer_deg,
        unit=editor.unit,
        theme=editor.theme,
    )
    svg = path.suffix.lower() == ".svg"
    content = svg_bytes(subject, "sketch") if svg else png_bytes(subject, "sketch")
    write_out(content, path, editor.document.path)


def write_reading_sheet(editor: Editor, path: Path, *, blank: bool = False) -> None:
    """Write the measure list to be filled in under the car, or filled in and checked.

    ``blank``: to be filled in, whatever is typed already.

    Raises CommandError or KinematicsError.
    """
    # Loads the libraries for pages, which nothing else of the window needs.
    from sketcher.paper.reading_sheet import reading_sheet_pdf  # noqa: PLC0415

    scene = editor.scene
    content = reading_sheet_pdf(
        scene, points_in_scene(scene), editor.side, blank=blank, unit=editor.unit
    )
    write_out(content, path, editor.document.path)


def write_sheet(editor: Editor, path: Path) -> None:
    """Write the shop sheet of the side shown.

    Raises CommandError or KinematicsError.
    """
    # Loads the libraries for pages, which nothing else of the window needs.
    from sketcher.paper.shop_sheet.sheet import pages_pdf, subjects_of  # noqa: PLC0415

    found = examine(editor.scene.corner(editor.side))
    content = pages_pdf(subjects_of(editor.scene, {editor.side: found}, unit=editor.unit))
    write_out(content, path, editor.document.path)


_write_blank = partial(write_reading_sheet, blank=True)
# By the command: title and endings, what writes it, and whether it takes longer than a frame.
EXPORTS: Mapping[str, tuple[str, tuple[str, ...], Callable[[Editor, Path], None], bool]] = {
    "table": ("Write the swept-length table", (".csv",), write_table, False),
    "picture": ("Write the picture, .png or .svg", (".png", ".svg"), write_picture, False),
    "sheet": ("Write the shop sheet", (".pdf",), write_sheet, True),
    "reading_sheet": ("Write the sheet of readings", (".pdf",), write_reading_sheet, True),
    "blank_sheet": ("Write the sheet of readings", (".pdf",), _write_blank, True),
}
