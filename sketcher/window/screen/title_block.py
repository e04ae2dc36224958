"""The title block: what is drawn, from which side, how large, and in which file."""

from __future__ import annotations

from sketcher.drawing.area_picture import Ink
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Picture
from sketcher.drawing.style import Size
from sketcher.window.model.desk import Desk
from sketcher.words.plain import titled
from sketcher.words.units import Unit


def draw_title(ink: Ink, desk: Desk, camera: Camera, unit: Unit) -> Picture:
    """The title block: what is drawn, from which side, how large, and in which file."""
    width, height = ink.width, ink.height
    document = desk.document
    ink.box(0, 0, width, height, "body_point")
    right = 84.0
    middle = height / 2
    ink.line(width - right, 0, width - right, height, "note")
    ink.line(0, middle, width, middle, "note")
    title, room = titled(desk.scene.title), width - right - 16
    fits = len(ink.rows(title, "label_strong", within=room, most=2)) == 1
    size: Size = "normal" if fits else "small"
    ink.text(8, middle / 2, title, "label_strong", size=size, within=room)
    if document.path is None:
        file = "no file yet"
    else:
        file = f"{document.path.name}, {'not saved' if document.dirty else 'saved'}"
    words = f"{desk.side} side, from the front   {file}"
    ink.text(8, middle * 1.5, words, "label", size="small", within=width - right - 16)
    scale = camera.scale
    ratio = f"1 : {1 / scale:.1f}" if scale < 1 else f"{scale:.1f} : 1"
    ink.text(width - right + 8, middle / 2, ratio, "note", size="small")
    ink.text(
        width - right + 8, middle * 1.5, unit if unit == "mm" else "inches", "note", size="small"
    )
    return ink.picture
