"""Travel and steer typed: two boxes in the readout's head, each a field once it is clicked."""

from __future__ import annotations

from typing import Literal

import pygame
from pygame_gui.elements import UITextEntryLine
from pygame_gui.ui_manager import UIManager

from sketcher.drawing.picture import Point2
from sketcher.drawing.readout import HEAD, head_boxes
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, parse
from sketcher.window.screen.layout import ScreenLayout
from sketcher.words.units import format_length, typed_length

Name = Literal["travel", "steer"]
FIELDS: dict[Name, Field] = {
    "travel": Field("travel", "travel", "length"),
    "steer": Field("steer", "steer", "angle"),
}
HELP: dict[Name, str] = {
    "travel": "Wheel travel from ride height: bump +, droop −. Click to type it.",
    "steer": "Steer angle of this wheel: + where its front moves outboard. Click to type it.",
}


def position_texts(editor: Editor) -> dict[str, str]:
    """What stands in the boxes; no steer for an axle that does not steer."""
    digits = 1 if editor.unit == "mm" else 3
    travel = format_length(editor.travel_mm, editor.unit, digits=digits, named=False)
    texts = {"travel": travel.rstrip("0").rstrip(".") or "0"}
    if editor.scene.steers:
        texts["steer"] = f"{editor.steer_deg:.4g}"
    return {name: text.replace("-", "−") for name, text in texts.items()}


class PositionEntry:
    """The field over one of the boxes while it is typed into."""

    def __init__(self, manager: UIManager, layout: ScreenLayout) -> None:
        self._manager = manager
        self._layout = layout
        self._open: tuple[Name, UITextEntryLine, str] | None = None

    @property
    def typing(self) -> bool:
        """Whether a box has the keyboard."""
        return self._open is not None and self._open[1].is_focused

    def at(self, point: Point2, editor: Editor) -> Name | None:
        """The box under a pointer."""
        area, scale = self._layout.readout, self._layout.scale
        x, y = (point[0] - area.left) / scale, (point[1] - area.top) / scale
        if not 0.0 <= y < HEAD:
            return None
        boxes = self._boxes(position_texts(editor)).items()
        return next((name for name, (left, wide) in boxes if left <= x < left + wide), None)

    def _boxes(self, texts: dict[str, str]) -> dict[Name, tuple[float, float]]:
        """Left edge and width of each box, px at UI scale 1 from the readout's left."""
        width = self._layout.readout.width / self._layout.scale
        return dict(zip(FIELDS, head_boxes(width, len(texts)), strict=False))

    def begin(self, name: Name, editor: Editor) -> None:
        """Put a field over a box, and the keyboard into it."""
        self.close()
        if editor.playing:
            editor.play()
        area, scale = self._layout.readout, self._layout.scale
        texts = position_texts(editor)
        if name not in texts:
            return
        left, width = self._boxes(texts)[name]
        rect = pygame.Rect(
            area.left + round(left * scale), area.top + round(2 * scale),
            round(width * scale), round((HEAD - 4) * scale),
        )  # fmt: skip
        widget = UITextEntryLine(rect, self._manager, initial_text=texts[name])
        self._manager.set_focus_set(widget.get_focus_set())
        widget.select_range = [0, len(texts[name])]
        self._open = (name, widget, texts[name])

    def take(self, editor: Editor) -> None:
        """Take what was typed; what the wheel cannot do is explained and changes nothing."""
        if self._open is None:
            return
        name, widget, before = self._open
        typed = widget.get_text()
        self.close()
        if typed == before:
            return
        try:
            value = parse(FIELDS[name], typed, editor.unit)
        except ValueError as error:
            editor.refuse(f"{name}: {error}")
            return
        assert isinstance(value, float)
        scene = editor.scene
        low, high = scene.travel_range if name == "travel" else scene.steer_range
        if not low - 1e-9 <= value <= high + 1e-9:
            editor.refuse(f"{name}: expected {_bounds(name, (low, high), editor)}, got {typed}")
            return
        editor.message = None
        (editor.set_travel if name == "travel" else editor.set_steer)(value)

    def to_next(self, editor: Editor) -> None:
        """Take this one and go on to the other box."""
        if self._open is None:
            return
        other: Name = "steer" if self._open[0] == "travel" else "travel"
        self.take(editor)
        self.begin(other, editor)

    def leave_unfocused(self, editor: Editor) -> None:
        """Take what was typed where the keyboard has gone elsewhere."""
        if self._open is not None and not self._open[1].is_focused:
            self.take(editor)

    def close(self) -> None:
        """Give back what was."""
        if self._open is not None:
            self._open[1].kill()  # type: ignore[no-untyped-call]
            self._open = None


def _bounds(name: Name, bounds: tuple[float, float], editor: Editor) -> str:
    if name == "travel":
        low, high = (typed_length(value, editor.unit) for value in bounds)
        words = f"{low} to {high} {editor.unit}, full droop to full bump"
    else:
        words = f"{bounds[0]:g} to {bounds[1]:g}°, lock to lock"
    return words.replace("-", "−")
