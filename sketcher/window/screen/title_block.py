"""The title block: what is drawn, from which side, how large, and in which file."""

from __future__ import annotations

from sketcher.drawing.camera import Camera
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture
from sketcher.drawing.style import Size
from sketcher.window.model.editor import Editor
from sketcher.words.plain import SEEN_FROM, printable, titled
from sketcher.words.units import Unit

_LOWER, _LINE = 22.0, 13.0


def draw_title(pane: Pane, editor: Editor, camera: Camera, unit: Unit) -> Picture:
    """The title block: what is drawn, from which side, how large, and in which file."""
    width, height = pane.width, pane.height
    document = editor.document
    pane.box(0, 0, width, height, "body_point")
    right = 84.0
    # The title's row has room for two lines, the one below it for one.
    below, lower = height - _LOWER / 2, height - _LOWER
    pane.line(width - right, 0, width - right, height, "note")
    pane.line(0, lower, width, lower, "note")
    title, room = titled(editor.scene.title), width - right - 16
    fits = len(pane.rows(title, "label_strong", within=room, most=2)) == 1
    size: Size = "normal" if fits else "small"
    rows = pane.rows(title, "label_strong", within=room, most=2, size=size)
    for i, row in enumerate(rows):
        y = lower / 2 + _LINE * (i - (len(rows) - 1) / 2)
        pane.text(8, y, row, "label_strong", size=size)
    if document.path is None:
        file = "no file yet"
    else:
        # A long name gives way, and what it says does not.
        state = "not saved: " if document.dirty else ""
        file = f"{state}{printable(document.path.name)}"
    words = f"{SEEN_FROM[editor.side]}   {file}"
    pane.text(8, below, words, "label", size="small", within=width - right - 16)
    scale = camera.scale
    ratio = f"1 : {1 / scale:.1f}" if scale < 1 else f"{scale:.1f} : 1"
    pane.text(width - right + 8, lower / 2, ratio, "note", size="small")
    pane.text(width - right + 8, below, unit if unit == "mm" else "inches", "note", size="small")
    return pane.picture
