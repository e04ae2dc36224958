"""Two small pictures round the sketch: the steering control, and the title block."""

from __future__ import annotations

from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture, Size
from sketcher.window.model.editor import Editor
from sketcher.words.plain import SEEN_FROM, printable, titled
from sketcher.words.units import Unit

# Room at both ends, as the plots have it: tick values on the left, curve names on the right.
LEFT, RIGHT = 43.5, 55.0
_AXIS_Y = 34.0


def steer_axis(area: Area, scale: float) -> Area:
    """Where the scale lies, px: its ends are the locks."""
    left, right = round(LEFT * scale), round(RIGHT * scale)
    return Area(area.left + left, area.top, area.width - left - right, area.height)


def draw_steering(pane: Pane, editor: Editor) -> Picture:
    """The control at the current steer angle: a short scale across with both locks marked."""
    pane.line(0, 0, pane.width, 0)
    low, high = editor.scene.steer_range
    right = pane.width - RIGHT
    pane.text(LEFT, 12, "steering", "label_strong")
    if high - low <= 0.0:
        words = "this axle does not steer" if editor.scene.steering else "no steering given yet"
        pane.text(LEFT, _AXIS_Y, words, "label", size="small")
        return pane.picture

    def x(angle: float) -> float:
        return LEFT + (angle - low) / (high - low) * (right - LEFT)

    pane.line(LEFT, _AXIS_Y, right, _AXIS_Y, "ground")
    for angle in (low, 0.0, high):
        pane.line(x(angle), _AXIS_Y, x(angle), _AXIS_Y + 6, "note")
    below = _AXIS_Y + 15
    pane.text(LEFT, below, f"outside lock {-low:g}°", "label", size="small")
    words = f"inside lock {high:g}°"
    pane.text(right, below, words, "label", size="small", horizontal="right")
    here = x(editor.steer_deg)
    pane.polygon(
        ((here - 6, _AXIS_Y - 11), (here + 6, _AXIS_Y - 11), (here + 6, _AXIS_Y - 5),
         (here, _AXIS_Y + 1), (here - 6, _AXIS_Y - 5)), "here_dot",
    )  # fmt: skip
    value = f"{editor.steer_deg:+.0f}°" if round(editor.steer_deg) else "straight"
    pane.text(right, 12, value.replace("-", "−"), "here_word", horizontal="right")
    return pane.picture


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
