"""The title block: what is drawn, from which side, how large, and in which file."""

from __future__ import annotations

from sketcher.drawing.camera import Camera
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture
from sketcher.drawing.style import Size
from sketcher.window.model.editor import Editor
from sketcher.words.plain import printable, titled
from sketcher.words.units import Unit


def draw_title(pane: Pane, editor: Editor, camera: Camera, unit: Unit) -> Picture:
    """The title block: what is drawn, from which side, how large, and in which file."""
    width, height = pane.width, pane.height
    document = editor.document
    pane.box(0, 0, width, height, "body_point")
    right = 84.0
    middle = height / 2
    pane.line(width - right, 0, width - right, height, "note")
    pane.line(0, middle, width, middle, "note")
    title, room = titled(editor.scene.title), width - right - 16
    fits = len(pane.rows(title, "label_strong", within=room, most=2)) == 1
    size: Size = "normal" if fits else "small"
    pane.text(8, middle / 2, title, "label_strong", size=size, within=room)
    if document.path is None:
        file = "no file yet"
    else:
        file = f"{printable(document.path.name)}, {'not saved' if document.dirty else 'saved'}"
    words = f"{editor.side} side, from the front   {file}"
    pane.text(8, middle * 1.5, words, "label", size="small", within=width - right - 16)
    scale = camera.scale
    ratio = f"1 : {1 / scale:.1f}" if scale < 1 else f"{scale:.1f} : 1"
    pane.text(width - right + 8, middle / 2, ratio, "note", size="small")
    pane.text(
        width - right + 8, middle * 1.5, unit if unit == "mm" else "inches", "note", size="small"
    )
    return pane.picture
