"""What the pointer does: each drag is an object that moves, drops, or gives back what was.

Positions are device px; nothing here knows a screen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import partial
from typing import Protocol

from kinematics.gaps.outlines import SHORTEST_EDGE_MM
from kinematics.parts import Bracket
from scenes.keys import has, value_of
from scenes.model import Scene
from sketcher.answers.pose import Pose
from sketcher.drawing.answer_strip import LengthScale, bar_part
from sketcher.drawing.areas import Area
from sketcher.drawing.picture import Point2, View
from sketcher.window.model import edits
from sketcher.window.model.carried_points import CARRIED, Follower, carrier_of, pushed_back
from sketcher.window.model.editor import Editor, HeldThing, movable, name_of
from sketcher.window.model.open_outline import square_places
from sketcher.window.model.photo_pins import PIN, DragPin
from sketcher.window.model.wheel_drags import DragWheel

# Less than this is a click with an unsteady hand, px at UI scale 1.
CLICK_PX = 4.0


class Gesture(Protocol):
    """One drag, from press to release."""

    def move(self, to: Point2) -> None:
        """Follow the pointer."""

    def drop(self) -> None:
        """Let go where it is."""

    def cancel(self) -> None:
        """Give back what was before."""


def begin_drag(editor: Editor, view: View, key: str, at: Point2) -> Gesture | None:
    """The drag that starts on a thing of a view; None where the thing does not move."""
    if key in ("wheel", "knuckle"):
        return DragWheel(editor, view, at)
    if ".edge[" in key and has(editor.scene, key.replace(".edge[", ".outline[")):
        return DragEdge(editor, view, key, at)
    if key.startswith(PIN):
        return DragPin(editor, key, at)
    if movable(editor.scene, key):
        return DragPoint(editor, view, key, at)
    return None


@dataclass
class _DragThing:
    """What is alike in the drags of a thing that was pressed in a view."""

    editor: Editor
    view: View
    key: str
    at: Point2
    _started: bool = field(default=False, init=False)

    def _begun(self, to: Point2, label: str, value: object) -> bool:
        """Whether the hand has moved the thing by now; the step of the history begins with it."""
        near = CLICK_PX * self.editor.cameras[self.view].ui_scale
        if not self._started and math.dist(self.at, to) >= near:
            self._started = True
            self.editor.document.begin(label)
            self.editor.held = HeldThing(self.key, value)
        return self._started

    def _pushed(self, to: Point2) -> Point2:
        """How far the pointer has gone since the press, world mm."""
        camera = self.editor.cameras[self.view]
        a, b = camera.to_world(self.at), camera.to_world(to)
        return (b[0] - a[0], b[1] - a[1])

    def drop(self) -> None:
        """One step of the history, if anything moved."""
        self.editor.held = None
        if self._started:
            self.editor.document.commit()

    def cancel(self) -> None:
        """Give back what was before."""
        self.editor.held = None
        if self._started:
            self.editor.document.cancel()


@dataclass
class DragPoint(_DragThing):
    """Moves a point, or a whole bracket, with the pointer.

    Away from ride height, what rides on arm or knuckle is kept under the pointer in the
    pose, and its place at ride height goes where that takes it.
    """

    _before: Scene = field(init=False)
    _value: object = field(init=False)
    _pose: Pose | None = field(init=False)
    _follower: Follower | None = field(default=None, init=False)

    def __post_init__(self) -> None:
        editor = self.editor
        self._before = editor.scene
        self._value = value_of(editor.scene, self.key)
        self._pose = editor.shown().pose
        moved = self._pose is not None and (self._pose.travel_mm, self._pose.steer_deg) != (0, 0)
        if self._pose is not None and moved and self.key in CARRIED:
            self._follower = Follower(editor.scene, editor.side, self.key, self.view, self._pose)
        self.editor.select(self.key)
        self.editor.focus = self.view

    def move(self, to: Point2) -> None:
        """Put the point under the pointer, on the grid where that is on."""
        if not self._begun(to, f"move {name_of(self.key)}", self._value):
            return
        by = self._pushed(to)
        if self._follower is None:
            carrier = carrier_of(self.editor.scene, self.key)
            by = pushed_back(self._pose, carrier, by, self.view)
        if isinstance(self._value, Bracket):
            step = self._step(self._value, by)
            self.editor.preview(partial(edits.move_bracket, key=self.key, by=step, view=self.view))
            return
        start = self._value
        assert isinstance(start, tuple)
        place = None
        if self._follower is not None:
            shown = self._follower.start
            place = self._follower.place((shown[0] + by[0], shown[1] + by[1]))
        if place is None:
            now = edits.in_view(start, self.view)
            place = (now[0] + by[0], now[1] + by[1])
        target = self._target(place)
        self.editor.preview(partial(edits.move_point, key=self.key, to=target, view=self.view))

    def drop(self) -> None:
        """One step of the history, if anything moved."""
        super().drop()
        if self._started:
            self.editor.tell_drawn_off(self._before)

    def _step(self, bracket: Bracket, by: Point2) -> Point2:
        """How far a whole bracket goes: straight, or until its nearest corner catches a point."""
        aids = self.editor.aids(self.key)
        if self.view == "front" and aids.catch:
            hold = self.editor.cameras["front"].to_world(self.at)
            x, y = min(bracket.outline, key=lambda corner: math.dist(corner, hold))
            caught = aids.caught((x + by[0], y + by[1]))
            if caught is not None:
                return (caught[0] - x, caught[1] - y)
        return aids.placed(by, [(0.0, 0.0)], catch=False)

    def _target(self, to: Point2) -> Point2:
        """Where a point goes; a bracket's corner may keep right angles or catch a point."""
        editor = self.editor
        if ".outline[" not in self.key:
            return edits.snapped(to, editor.snap_mm)
        aids = editor.aids(self.key)
        caught = aids.caught(to)
        if caught is not None or not aids.square:
            return caught or edits.snapped(to, editor.snap_mm)
        outline = value_of(editor.scene, f"{edits.bracket_key(self.key)}.outline")
        corner = edits.last_place(self.key)
        places = square_places(outline, corner, edits.snapped(to, editor.snap_mm))
        x, y = min(places, key=lambda place: math.dist(place, to))
        return (round(x, 4), round(y, 4))


@dataclass
class DragEdge(_DragThing):
    """Moves both corners of a bracket's edge."""

    _corners: tuple[str, str] = field(init=False)
    _places: tuple[Point2, Point2] = field(init=False)
    _pose: Pose | None = field(init=False)

    def __post_init__(self) -> None:
        base = edits.bracket_key(self.key)
        first = edits.last_place(self.key)
        count = len(value_of(self.editor.scene, f"{base}.outline"))
        self._corners = (f"{base}.outline[{first}]", f"{base}.outline[{(first + 1) % count}]")
        a, b = (value_of(self.editor.scene, key) for key in self._corners)
        self._places = (a, b)
        self._pose = self.editor.shown().pose
        self.editor.select(base)
        self.editor.focus = self.view

    def move(self, to: Point2) -> None:
        """Push the edge with the pointer."""
        if not self._begun(to, "move edge", self._places):
            return
        carrier = carrier_of(self.editor.scene, self.key)
        back = pushed_back(self._pose, carrier, self._pushed(to), self.view)
        by = edits.snapped(back, self.editor.snap_mm)
        if self.editor.snapping.square:
            by = self._across(by)
        places = {
            f"{corner}[{axis}]": at[axis] + by[axis]
            for corner, at in zip(self._corners, self._places, strict=True)
            for axis in (0, 1)
        }
        self.editor.preview(partial(edits.set_corners, values=places))

    def _across(self, by: Point2) -> Point2:
        """The part of a push that is square to the edge."""
        (x1, y1), (x2, y2) = self._places
        length = math.dist(*self._places)
        if length < SHORTEST_EDGE_MM:
            return by
        across = (-(y2 - y1) / length, (x2 - x1) / length)
        far = round(by[0] * across[0] + by[1] * across[1], 1)
        return (round(far * across[0], 4), round(far * across[1], 4))


class DragLength:
    """Takes the mark in the window bar: the shaft becomes as long as where it points."""

    def __init__(self, editor: Editor, bar: LengthScale, area: Area, scale: float) -> None:
        self.editor = editor
        self._bar = bar
        self._area = area
        self._scale = scale
        editor.document.begin("length")
        editor.document.select(f"shafts.{editor.side}.length")

    @classmethod
    def begin(cls, editor: Editor, area: Area, scale: float) -> DragLength | None:
        """The drag, or None where there is no window to drag in."""
        solved = editor.shown().solved
        bar = LengthScale.of(solved.found) if solved is not None else None
        return None if bar is None else cls(editor, bar, area, scale)

    def move(self, to: Point2) -> None:
        """Make the shaft as long as the place under the pointer says."""
        part = bar_part(to[0], self._area.left, self._area.width, self._scale)
        length = round(self._bar.length_mm(part), 1)
        self.editor.preview(partial(edits.set_length, side=self.editor.side, length_mm=length))

    def drop(self) -> None:
        """One step of the history, if anything moved."""
        self.editor.document.commit()

    def cancel(self) -> None:
        """Give back what was before."""
        self.editor.document.cancel()


class Pan:
    """Pushes the drawing about."""

    def __init__(self, editor: Editor, view: View, at: Point2) -> None:
        self.editor = editor
        self._view: View = view
        self._at = at
        self._was = editor.cameras[view]

    def move(self, to: Point2) -> None:
        """The place taken hold of stays under the pointer."""
        by = (to[0] - self._at[0], to[1] - self._at[1])
        self.editor.cameras[self._view] = self._was.panned(*by)

    def drop(self) -> None:
        """The view stays."""

    def cancel(self) -> None:
        """The view goes back."""
        self.editor.cameras[self._view] = self._was


def zoom(editor: Editor, view: View, notches: float, at: Point2) -> None:
    """Zoom a view about the pointer."""
    editor.cameras[view] = editor.cameras[view].zoomed(1.15**notches, at)
