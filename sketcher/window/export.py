"""What the window writes: by the same functions as the commands."""

from __future__ import annotations

from pathlib import Path

from sketcher.commands.common import CommandError, write_out
from sketcher.commands.table import table_csv
from sketcher.drawing.camera import Camera
from sketcher.drawing.sketch import Shown as Extras
from sketcher.drawing.sketch import front_view, world_box
from sketcher.drawing.style import style
from sketcher.drawing.surface import png
from sketcher.drawing.svg import svg_text
from sketcher.window.desk import Desk

PNG_SIZE = (1600, 1200)
# 1:4 puts one side of a car on A4.
SVG_SCALE = 0.25


def write_table(desk: Desk, path: Path) -> None:
    """Write the swept-length table of the side shown, straight ahead and at both locks.

    Raises CommandError or KinematicsError.
    """
    low, high = desk.steer_range
    text, _ = table_csv(desk.scene.corner(desk.side), steer_deg=sorted({low, 0.0, high}))
    write_out(text.encode("utf-8"), path)


def write_picture(desk: Desk, path: Path) -> None:
    """Write the sketch at the position shown: PNG, or SVG to scale in mm.

    Raises CommandError where the scene cannot be drawn or the file not be written.
    """
    shown = desk.shown(exact=True)
    if shown.solved is None or shown.pose is None or not shown.closes:
        raise CommandError(f"the sketch cannot be drawn: {shown.problem}")
    box = world_box(desk.scene, shown.solved.ride, desk.side)
    svg = path.suffix.lower() == ".svg"
    camera = (
        Camera.of_sheet(box.grown(20.0), SVG_SCALE)
        if svg
        else Camera.fitting(box, *PNG_SIZE, ui_scale=2.0)
    )
    extras = Extras(
        envelope=shown.solved.envelope,
        gaps=shown.gaps,
        margin_mm=shown.solved.found.margin_mm,
        unit=desk.unit,
    )
    drawn = front_view(desk.scene, desk.side, shown.pose, shown.solved.ride, camera, extras)
    content = (
        svg_text(drawn, camera, style(desk.theme), title=desk.scene.title).encode("utf-8")
        if svg
        else png(drawn, camera, desk.theme)
    )
    write_out(content, path)
