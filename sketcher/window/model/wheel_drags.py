"""Drags that move the wheel: the wheel itself, the plots' axis, the steering control."""

from __future__ import annotations

import math
from collections.abc import Callable

from scenes.keys import has, value_of
from sketcher.drawing.areas import Area
from sketcher.drawing.picture import Point2, View
from sketcher.window.model.carried_points import ON_ARM
from sketcher.window.model.editor import Editor


class _MovesWheel:
    """Keeps the position that Escape gives back."""

    def __init__(self, editor: Editor) -> None:
        self.editor = editor
        self._was = (editor.travel_mm, editor.steer_deg)
        if editor.playing:
            editor.play()

    def drop(self) -> None:
        """The wheel stays where it is."""

    def cancel(self) -> None:
        """The wheel goes back to where it was."""
        self.editor.set_travel(self._was[0])
        self.editor.set_steer(self._was[1])


class DragWheel(_MovesWheel):
    """Takes the wheel itself: up and down in the front view, about its axis from above."""

    def __init__(self, editor: Editor, view: View, at: Point2) -> None:
        super().__init__(editor)
        self._view: View = view
        self._at = at
        self._start = self._angle(at)

    def move(self, to: Point2) -> None:
        """Follow the pointer with travel, or with steer."""
        if self._view == "front":
            zoom = self.editor.cameras["front"].zoom
            self.editor.set_travel(_whole(self._was[0] + (self._at[1] - to[1]) / zoom))
        else:
            turned = (self._angle(to) - self._start + 180.0) % 360.0 - 180.0
            self.editor.set_steer(_whole(self._was[1] - turned))

    def _angle(self, at: Point2) -> float:
        """Angle of a place about the steering axis, counter-clockwise as seen from above."""
        scene, places = self.editor.scene, (*ON_ARM, "hub.outer_joint")
        pivot = next(value_of(scene, key) for key in places if has(scene, key))
        x, y = self.editor.cameras["above"].to_world(at)
        return math.degrees(math.atan2(y - pivot[2], x - pivot[0]))


class DragTravel(_MovesWheel):
    """Takes the plots' common axis: the wheel goes to the travel under the pointer.

    ``travel_at`` tells the travel, mm, at a place on the screen.
    """

    def __init__(self, editor: Editor, travel_at: Callable[[Point2], float], at: Point2) -> None:
        super().__init__(editor)
        self._travel_at = travel_at
        self.move(at)

    def move(self, to: Point2) -> None:
        """Move the wheel to the travel under the pointer."""
        self.editor.set_travel(_whole(self._travel_at(to)))


class DragSteer(_MovesWheel):
    """Takes the steering control: the wheel steers to the angle under the pointer."""

    def __init__(self, editor: Editor, axis: Area, at: Point2) -> None:
        super().__init__(editor)
        self._axis = axis
        self.move(at)

    def move(self, to: Point2) -> None:
        """Steer to the angle under the pointer."""
        low, high = self.editor.scene.steer_range
        part = (to[0] - self._axis.left) / max(self._axis.width, 1)
        self.editor.set_steer(_whole(low + part * (high - low)))


def _whole(value: float) -> float:
    """Whole mm and degrees: nobody sets a wheel finer by hand."""
    return float(round(value))
