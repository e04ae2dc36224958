"""What the pointer does: it hovers, takes hold, drags, points out, and turns its wheel."""

from __future__ import annotations

from typing import Protocol

import pygame
from pygame_gui.ui_manager import UIManager

from scenes.guessed import guessed_values
from sketcher.answers.shown import Shown
from sketcher.drawing.answer_strip import whole_answer
from sketcher.drawing.hitting import Hit, hit
from sketcher.drawing.picture import Point2, View
from sketcher.drawing.readout import row_at
from sketcher.window.model import bracket_drawing as drawing
from sketcher.window.model import edits, pointing_out
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import STEPS_MM
from sketcher.window.model.gestures import DragLength, Gesture, Pan, begin_drag, zoom
from sketcher.window.model.photo_pins import click_pin
from sketcher.window.model.pointing import PointingFor
from sketcher.window.model.reading_text import begun
from sketcher.window.model.wheel_drags import DragSteer, DragTravel
from sketcher.window.screen.bars import Bars, hint_for
from sketcher.window.screen.callouts import Callouts
from sketcher.window.screen.canvas import Canvas
from sketcher.window.screen.keyboard import Keyboard, Keyed
from sketcher.window.screen.layout import ScreenLayout
from sketcher.window.screen.panel import Panel
from sketcher.window.screen.panes import steer_axis
from sketcher.window.screen.position_entry import HELP
from sketcher.window.screen.row_help import HELP_SECONDS
from sketcher.window.steps.judged import verdict_of
from sketcher.window.steps.reading_rows import ADD_READING
from sketcher.window.steps.work_order import steps_of

DOUBLE_CLICK_SECONDS = 0.4


class Pointed(Keyed, Protocol):
    """What the pointer may ask of the window."""

    layout: ScreenLayout
    manager: UIManager
    canvas: Canvas
    bars: Bars
    callouts: Callouts
    keyboard: Keyboard
    whole: bool


class Pointer:
    """Where the pointer is, what it has taken hold of, and what a press or a turn of it does."""

    def __init__(self, window: Pointed) -> None:
        self._window = window
        self.at: Point2 = (0.0, 0.0)
        self.gesture: Gesture | None = None
        self._last_click = (-1.0, (0.0, 0.0))
        self._clock = 0.0
        self._on_answer = 0.0

    @property
    def _editor(self) -> Editor:
        return self._window.editor

    @property
    def _layout(self) -> ScreenLayout:
        return self._window.layout

    def pass_time(self, seconds: float) -> None:
        """Let time pass between two clicks, and over the answer."""
        self._clock += seconds
        rests = self._layout.answer.holds(self.at) and self.gesture is None
        self._on_answer = self._on_answer + seconds if rests else 0.0

    def answer_asked(self, shown: Shown) -> tuple[str, ...]:
        """All of the answer, once the pointer has rested on it."""
        if self._on_answer < HELP_SECONDS:
            return ()
        return whole_answer(shown, self._editor.unit, verdict_of(self._editor, shown))

    def hint(self) -> str:
        """What the pointer would do, or what a row of the readout means."""
        if self._layout.readout.holds(self.at):
            return self._readout_hint()
        if self._layout.answer.holds(self.at) and self._unmeasured:
            return "Click to go to the first value that nobody measured."
        if self._layout.bar.holds(self.at):
            return "The lengths that keep the margin everywhere. Drag the mark to change the shaft."
        if self._layout.steer.holds(self.at):
            return "Drag to steer: + turns the front of the wheel outboard."
        if self._layout.plots.holds(self.at):
            return "Drag to move the wheel through its travel: droop left, bump right."
        return hint_for(self._editor)

    def _readout_hint(self) -> str:
        """What a row of the readout, or a box in its head, means."""
        box = self._window.entry.at(self.at, self._editor)
        if box is not None:
            return HELP[box]
        area, rows = self._layout.readout, self._window.canvas.rows
        x, y = self.at[0] - area.left, self.at[1] - area.top
        scale = self._layout.scale
        row = row_at(x / scale, y / scale, area.width / scale, len(rows))
        return "" if row is None else rows[row].help

    def _view_at(self, point: Point2) -> View | None:
        if self._layout.readout.holds(point) or self._layout.title.holds(point):
            return None
        if self._layout.above.holds(point):
            return "above"
        return "front" if self._layout.front.holds(point) else None

    def _hit(self, view: View, point: Point2) -> Hit | None:
        seen = self._window.canvas.seen.get(view)
        if seen is None:
            return None
        return hit(seen.picture, seen.camera, point, prefer=self._editor.selection)

    def hover(self, _: pygame.Event) -> None:
        """Light what is under the pointer, and tell by its shape what a drag would do."""
        # First of all: help on a row goes as soon as the pointer has left it.
        in_form = self._window.panel.point(self.at)
        view = self._view_at(self.at)
        if view == "front" and self._editor.open_outline is not None:
            drawing.point(self._editor, self._editor.cameras["front"].to_world(self.at))
            self._editor.hover = ""
            self._window.bars.set_cursor(pygame.SYSTEM_CURSOR_CROSSHAIR)
            return
        found = self._hit(view, self.at) if view else None
        if view is not None and self._editor.pointing is not None:
            self._editor.hover = found.key if found and found.kind == "point" else ""
            self._window.bars.set_cursor(pygame.SYSTEM_CURSOR_CROSSHAIR)
            return
        self._editor.hover = found.key if found else in_form
        if self._window.entry.at(self.at, self._editor) is not None:
            cursor = pygame.SYSTEM_CURSOR_IBEAM
        elif view is None:
            cursor = pygame.SYSTEM_CURSOR_ARROW
        elif found is None:
            cursor = pygame.SYSTEM_CURSOR_SIZEALL
        elif ".edge[" in found.key:
            cursor = drawing.edge_cursor(self._editor.scene, found.key)
        elif found.kind == "point":
            cursor = pygame.SYSTEM_CURSOR_CROSSHAIR
        elif found.key in ("wheel", "knuckle"):
            cursor = pygame.SYSTEM_CURSOR_SIZENS if view == "front" else pygame.SYSTEM_CURSOR_SIZEWE
        else:
            cursor = pygame.SYSTEM_CURSOR_HAND
        self._window.bars.set_cursor(cursor)

    def press(self, event: pygame.Event) -> None:
        """Take hold of what is under the pointer, or select it."""
        at = (float(event.pos[0]), float(event.pos[1]))
        self.at = at
        view = self._view_at(at)
        if event.button == 2 or (event.button == 1 and self._window.keyboard.space):
            if view is not None:
                self.gesture = Pan(self._editor, view, at)
            return
        if event.button != 1:
            return
        if view is not None and self._editor.pointing is not None:
            self._point_out_at(view, at)
            return
        self._window.manager.set_focus_set(None)
        self._window.panel.follow_focus(self._editor)
        self._window.entry.leave_unfocused(self._editor)
        if self._window.panel.holds_bar(at):
            self.gesture = DragBar(self._window.panel, at)
        elif not (self._layout.panel.holds(at) or self._window.callouts.holds(at)):
            # Letters are for the sketch again.
            self._window.form.used_last = False
            self._press_elsewhere(view, at)

    def _press_elsewhere(self, view: View | None, at: Point2) -> None:
        """A press on the sketch, or on what stands about it."""
        box = self._window.entry.at(at, self._editor)
        if box is not None:
            self._window.entry.begin(box, self._editor)
        elif view is not None:
            self._press_in_view(view, at)
        elif self._window.canvas.plots.holds(at):
            self.gesture = DragTravel(self._editor, self._window.canvas.plots.travel_at, at)
        elif self._layout.steer.holds(at):
            axis = steer_axis(self._layout.steer, self._layout.scale)
            self.gesture = DragSteer(self._editor, axis, at)
        elif self._layout.answer.holds(at):
            self._to_first_unmeasured()
        elif self._layout.bar.holds(at):
            self.gesture = DragLength.begin(self._editor, self._layout.bar, self._layout.scale)

    @property
    def _unmeasured(self) -> tuple[str, ...]:
        return guessed_values(self._editor.scene, self._editor.side)

    def _to_first_unmeasured(self) -> None:
        """From the answer to the first of the values that it counts as not measured."""
        editor, panel = self._editor, self._window.panel
        for key in self._unmeasured[:1]:
            editor.open_only(*steps_of(key))
            panel.update(editor, editor.shown())
            panel.focus(key, editor)

    def _press_in_view(self, view: View, at: Point2) -> None:
        if view == "front" and self._editor.open_outline is not None:
            self.gesture = drawing.Draw(self._editor, at)
            return
        found = self._hit(view, at)
        key = found.key if found else ""
        (before, (x, y)), self._last_click = self._last_click, (self._clock, at)
        near = abs(at[0] - x) + abs(at[1] - y) < 6
        twice = near and self._clock - before < DOUBLE_CLICK_SECONDS
        if twice and ".edge[" in key and view == "front":
            self._insert_corner(key, at)
            return
        self._editor.focus = view
        self._editor.select(key)
        steps = steps_of(self._editor.selection)
        if steps:
            self._editor.open_only(*steps)
            self._window.panel.reveal(self._editor.selection)
        self.gesture = begin_drag(self._editor, view, key, at) or Pan(self._editor, view, at)

    def point_out(self, what: PointingFor) -> None:
        """Begin to point out a reading, a mark or a pin in the sketch, or put that away."""
        pointing_out.take_up(self._editor, what)
        if what == "reading" and self._editor.pointing is not None:
            self._window.panel.update(self._editor, self._editor.shown())
            self._window.panel.begin(ADD_READING, "", self._editor)

    def _point_out_at(self, view: View, at: Point2) -> None:
        """What a click in the sketch is while something is pointed out there."""
        editor, panel = self._editor, self._window.panel
        pointing = editor.pointing
        assert pointing is not None
        found = self._hit(view, at)
        key = found.key if found is not None else ""
        if pointing.what == "pin":
            if view == "front":
                click_pin(editor, key, editor.cameras[view].to_world(at))
        elif pointing.what == "mark":
            pointing_out.place_mark(editor, editor.cameras[view].to_world(at), view)
            panel.update(editor, editor.shown())
            panel.focus(editor.selection.replace(".at", ".name"), editor)
        elif not pointing_out.click_point(editor, key) or editor.pointing is None:
            return
        elif pointing.what == "other points":
            line = pointing_out.with_other_points(editor, editor.unit)
            if line:
                panel.update(editor, editor.shown())
                panel.begin(f"{pointing.of}.line", line, editor)
        else:
            panel.update(editor, editor.shown())
            panel.begin(ADD_READING, begun(editor.scene, editor.pointing.points), editor)

    def _insert_corner(self, key: str, at: Point2) -> None:
        edge = edits.last_place(key)
        place = edits.snapped(self._editor.cameras["front"].to_world(at), self._editor.snap_mm)
        self._editor.do("add corner", lambda scene: edits.insert_corner(scene, key, edge, place))

    def follow(self, gesture: Gesture, event: pygame.Event) -> None:
        """Go on with a drag, end it, or give back what was."""
        if event.type == pygame.MOUSEMOTION:
            gesture.move(self.at)
            self._window.whole = self._window.whole and not isinstance(gesture, Pan)
        elif event.type == pygame.MOUSEBUTTONUP:
            self.let_go()
        elif event.type == pygame.KEYDOWN and event.key == pygame.K_ESCAPE:
            gesture.cancel()
            self.gesture = None

    def let_go(self) -> None:
        """End what drag there is where it stands."""
        if self.gesture is not None:
            self.gesture.drop()
            self.gesture = None

    def turn_wheel(self, event: pygame.Event) -> None:
        """Scroll the form, zoom a view, or move what the pointer is over."""
        view, notches = self._view_at(self.at), float(event.precise_y or event.y)
        if self._layout.panel.holds(self.at):
            self._window.panel.scroll_by(round(-notches * self._layout.px(48)))
        elif view is not None:
            self._window.whole = False
            zoom(self._editor, view, notches, self.at)
        elif self._layout.plots.holds(self.at):
            step = STEPS_MM[self._editor.unit][0]
            self._editor.set_travel(self._editor.travel_mm + event.y * step)
        elif self._layout.steer.holds(self.at):
            self._editor.set_steer(self._editor.steer_deg + event.y)


class DragBar:
    """Takes the form's scroll bar."""

    def __init__(self, panel: Panel, at: Point2) -> None:
        self._panel = panel
        self._was = panel.scroll
        self.move(at)

    def move(self, to: Point2) -> None:
        """Bring what the pointer stands for into view."""
        self._panel.scroll_to(to[1])

    def drop(self) -> None:
        """The form stays there."""

    def cancel(self) -> None:
        """The form goes back."""
        self._panel.scroll = self._was
