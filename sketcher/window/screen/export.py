"""What the window writes: by the same functions as the commands."""

from __future__ import annotations

from pathlib import Path

from kinematics.shaft.whole_motion import examine
from sketcher.commands.output import write_out
from sketcher.commands.picture import png_bytes, svg_bytes
from sketcher.commands.table import table_csv
from sketcher.paper.picture_page import Subject
from sketcher.window.model.desk import Desk


def write_table(desk: Desk, path: Path) -> None:
    """Write the swept-length table of the side shown, straight ahead and at both locks.

    Raises CommandError or KinematicsError.
    """
    low, high = desk.steer_range
    text, _ = table_csv(desk.scene.corner(desk.side), steer_deg=sorted({low, 0.0, high}))
    write_out(text.encode("utf-8"), path, desk.document.path)


def write_picture(desk: Desk, path: Path) -> None:
    """Write the sketch at the position shown: PNG, or SVG to scale in mm.

    Raises CommandError where the scene cannot be drawn or the file not be written.
    """
    subject = Subject.of(
        desk.scene, desk.side, desk.travel_mm, desk.steer_deg, unit=desk.unit, theme=desk.theme
    )
    svg = path.suffix.lower() == ".svg"
    content = svg_bytes(subject, "sketch") if svg else png_bytes(subject, "sketch")
    write_out(content, path, desk.document.path)


def write_sheet(desk: Desk, path: Path) -> None:
    """Write the shop sheet of the side shown.

    Raises CommandError or KinematicsError.
    """
    # Loads the libraries for pages, which nothing else of the window needs.
    from sketcher.paper.shop_sheet.sheet import pages_pdf, subjects_of  # noqa: PLC0415

    found = examine(desk.scene.corner(desk.side))
    content = pages_pdf(subjects_of(desk.scene, {desk.side: found}))
    write_out(content, path, desk.document.path)
