"""The steering control: a short scale across with both locks marked."""

from __future__ import annotations

from sketcher.drawing.areas import Area
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture
from sketcher.window.model.editor import Editor

# Room at both ends, as the plots have it: tick values on the left, curve names on the right.
LEFT, RIGHT = 43.5, 55.0
_AXIS_Y = 34.0


def steer_axis(area: Area, scale: float) -> Area:
    """Where the scale lies, px: its ends are the locks."""
    left, right = round(LEFT * scale), round(RIGHT * scale)
    return Area(area.left + left, area.top, area.width - left - right, area.height)


def draw_steering(pane: Pane, editor: Editor) -> Picture:
    """The control at the current steer angle."""
    pane.line(0, 0, pane.width, 0)
    low, high = editor.steer_range
    right = pane.width - RIGHT
    if high - low <= 0.0:
        pane.text(LEFT, 12, "steering", "label_strong")
        words = "this axle does not steer" if editor.scene.steering else "no steering given yet"
        pane.text(LEFT, _AXIS_Y, words, "label", size="small")
        return pane.picture
    pane.text(LEFT, 12, "steering", "label_strong")

    def x(angle: float) -> float:
        return LEFT + (angle - low) / (high - low) * (right - LEFT)

    pane.line(LEFT, _AXIS_Y, right, _AXIS_Y, "ground")
    for angle in (low, 0.0, high):
        pane.line(x(angle), _AXIS_Y, x(angle), _AXIS_Y + 6, "note")
    for angle, words, side in (
        (low, f"outside lock {-low:g}°", "left"),
        (high, f"inside lock {high:g}°", "right"),
    ):
        pane.text(
            x(angle), _AXIS_Y + 15, words, "label", size="small",
            horizontal="left" if side == "left" else "right",
        )  # fmt: skip
    here = x(editor.steer_deg)
    pane.polygon(
        ((here - 6, _AXIS_Y - 11), (here + 6, _AXIS_Y - 11), (here + 6, _AXIS_Y - 5),
         (here, _AXIS_Y + 1), (here - 6, _AXIS_Y - 5)), "here_dot",
    )  # fmt: skip
    value = f"{editor.steer_deg:+.0f}°" if round(editor.steer_deg) else "straight"
    pane.text(right, 12, value.replace("-", "−"), "here_word", horizontal="right")
    return pane.picture
