"""What the window writes: by the same functions as the commands."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from kinematics.shaft.whole_motion import examine
from sketcher.answers.next_reading import points_in_scene
from sketcher.commands.picture import png_bytes, svg_bytes
from sketcher.commands.table import table_csv
from sketcher.paper.picture_subject import PictureSubject
from sketcher.window.model.editor import Editor


def _table(editor: Editor, _ending: str) -> bytes:
    """The swept-length table of the side shown, straight ahead and at both locks."""
    low, high = editor.scene.steer_range
    text, _ = table_csv(editor.scene.corner(editor.side), steer_deg=sorted({low, 0.0, high}))
    return text.encode("utf-8")


def _picture(editor: Editor, ending: str) -> bytes:
    """The sketch at the position shown: PNG, or SVG to scale in mm."""
    position = (editor.side, editor.travel_mm, editor.steer_deg)
    subject = PictureSubject.of(editor.scene, *position, unit=editor.unit, theme=editor.theme)
    return (svg_bytes if ending == ".svg" else png_bytes)(subject, "sketch")


def _reading_sheet(editor: Editor, _ending: str, *, blank: bool = False) -> bytes:
    """The measure list, filled in and checked, or ``blank``, whatever is typed already."""
    # Loads the libraries for pages, which nothing else of the window needs.
    from sketcher.paper.reading_sheet import reading_sheet_pdf  # noqa: PLC0415

    found = points_in_scene(editor.scene)
    return reading_sheet_pdf(editor.scene, found, editor.side, blank=blank, unit=editor.unit)


def _sheet(editor: Editor, _ending: str) -> bytes:
    # Loads the libraries for pages, which nothing else of the window needs.
    from sketcher.paper.shop_sheet.sheet import pages_pdf, subjects_of  # noqa: PLC0415

    found = examine(editor.scene.corner(editor.side))
    return pages_pdf(subjects_of(editor.scene, {editor.side: found}, unit=editor.unit))


# By the command: title and endings, what is written for an ending, and whether that takes
# longer than a frame.  What makes it raises Refused or KinematicsError.
EXPORTS: Mapping[str, tuple[str, tuple[str, ...], Callable[[Editor, str], bytes], bool]] = {
    "table": ("Write the swept-length table", (".csv",), _table, False),
    "picture": ("Write the picture, .png or .svg", (".png", ".svg"), _picture, False),
    "sheet": ("Write the shop sheet", (".pdf",), _sheet, True),
    "reading_sheet": ("Write the sheet of readings", (".pdf",), _reading_sheet, True),
    "blank_sheet": ("Write the sheet of readings", (".pdf",), partial(_reading_sheet, blank=True),
                    True),
}  # fmt: skip
