"""The window: the editor on a screen, with its widgets, and what events do to them."""

from __future__ import annotations

import gc
import math

import pygame
import pygame_gui
from pygame_gui.elements import UITextEntryLine
from pygame_gui.ui_manager import UIManager

from scenes.model import Scene
from sketcher.answers.position_values import ROWS
from sketcher.drawing.areas import natural_scale
from sketcher.drawing.hitting import Hit, hit
from sketcher.drawing.picture import Point2
from sketcher.drawing.readout import row_at
from sketcher.drawing.sheet import View
from sketcher.drawing.style import style
from sketcher.window.model import bracket_drawing as drawing
from sketcher.window.model import edits, pointing_out
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.gestures import (
    DragLength,
    DragSteer,
    DragTravel,
    Gesture,
    Pan,
    begin_drag,
    zoom,
)
from sketcher.window.model.photo_pins import click_pin
from sketcher.window.model.pointing import PointingFor
from sketcher.window.model.reading_text import begun
from sketcher.window.screen.bars import Bars, hint_for
from sketcher.window.screen.callouts import Callouts
from sketcher.window.screen.canvas import Canvas
from sketcher.window.screen.dialogs import Dialog
from sketcher.window.screen.filing import Filing
from sketcher.window.screen.keyboard import Keyboard
from sketcher.window.screen.layout import SMALLEST, SMALLEST_SCALE, lay_out
from sketcher.window.screen.panel import Panel
from sketcher.window.screen.position_entry import HELP, PositionEntry
from sketcher.window.screen.steering import steer_axis
from sketcher.window.screen.theme import gui_theme
from sketcher.window.steps.commands import COMMANDS
from sketcher.window.steps.reading_rows import ADD_READING
from sketcher.window.steps.work_order import steps_of

DOUBLE_CLICK_SECONDS = 0.4
# Frames of a drag in which one part is worked out and painted.
BEATS = 4
# Frames of a drag after which fields and buttons follow: a tenth of a second.
PANEL_EVERY = 6
# What takes a second is not begun before the hand has been still for as long.
REST_SECONDS = 1.0


class Window(Filing):
    """The editor on a surface; events go in, pictures come out."""

    def __init__(self, editor: Editor, surface: pygame.Surface, scale: float | None = None) -> None:
        super().__init__(editor)
        pygame.font.init()
        self.surface = surface
        self.running = True
        self._wanted_scale = scale
        self._gesture: Gesture | None = None
        self._pointer: Point2 = (0.0, 0.0)
        self._last_click = (-1.0, (0.0, 0.0))
        self._clock = 0.0
        self._beat = 0
        self._moved: tuple[Scene, float, float] = (editor.scene, 0.0, 0.0)
        self._skipped = 0
        self._photo_told = ""
        self._rested = 0.0
        self._rests_on: object = None
        self._look: object = None
        self.keyboard = Keyboard(self)
        # Nobody has zoomed or pushed the drawing since all of it was shown.
        self._whole = True
        self._pressing = False
        self._build()
        self.fit()

    # Building, and building again for another size, scale or theme.

    def _build(self) -> None:
        if self.dialog is not None:
            self.dialog.remember()
        # Widgets hold one another and their pictures: the old ones go before the new ones come.
        for name in ("canvas", "bars", "panel", "callouts", "entry", "manager"):
            self.__dict__.pop(name, None)
        gc.collect()
        width, height = self.surface.get_size()
        # Larger than what fits the smallest layout helps nobody.
        most = min(width / SMALLEST[0], height / SMALLEST[1])
        scale = max(min(self._wanted_scale or natural_scale(height), most), SMALLEST_SCALE)
        self.layout = lay_out(width, height, scale, ROWS)
        screen = self.layout.screen
        self.manager = UIManager((screen.width, screen.height), gui_theme(self.editor.theme, scale))
        self.canvas = Canvas(self.surface, self.layout)
        self.bars = Bars(self.manager, self.layout, COMMANDS, self.editor)
        self.panel = Panel(self.manager, self.layout, COMMANDS, self.form)
        self.callouts = Callouts(self.manager, self.layout)
        self.entry = PositionEntry(self.manager, self.layout)
        if self.dialog is not None:
            self.dialog.put_up(self.manager, self.layout, (width, height))
        self._look = (self.editor.theme, self.editor.unit)
        self.surface.fill(style(self.editor.theme).palette.sheet)

    def resize(self, surface: pygame.Surface) -> None:
        """Draw on a surface of another size."""
        self.surface = surface
        field, scroll = self.form.in_hand, self.panel.scroll / self.layout.scale
        held = self.panel.widgets.entry(field.key) if field is not None else None
        self._build()
        self.panel.scroll = self.layout.px(scroll)
        self.canvas.resize(self.editor)
        if self._whole:
            # What was in view whole stays so.
            self.fit()
        if field is not None:
            self.panel.update(self.editor, self.editor.shown())
            self.panel.enter(field, self.editor)
            new = self.panel.widgets.entry(field.key)
            if held is not None and new is not None:
                new.set_caret(held.caret)

    def larger(self, quarters: int) -> None:
        """Change the UI scale by quarters."""
        self._wanted_scale = min(max(self.layout.scale + quarters / 4, SMALLEST_SCALE), 4.0)
        self.resize(self.surface)

    def fit(self) -> None:
        """Show everything in both views."""
        self._whole = True
        self.canvas.fit(self.editor, self.editor.shown())

    # One frame.

    def frame(self, seconds: float) -> None:
        """Let time pass and paint what has changed."""
        self._clock += seconds
        editor = self.editor
        self.do_what_is_due()
        editor.pass_time(seconds)
        if self._look != (editor.theme, editor.unit) and self._look is not None:
            if self._look[0] != editor.theme:  # type: ignore[index]
                self._build()
            self._look = (editor.theme, editor.unit)
        # While something is dragged, a part is worked out in one frame and what it changes is
        # painted two frames later: half of the frames have nothing but what the hand moves.
        # A hand that is still leaves the frames to what is late.
        moved = (editor.scene, editor.travel_mm, editor.steer_deg)
        still = all(a is b or a == b for a, b in zip(moved, self._moved, strict=True))
        self._moved = moved
        hurried = self.dragging or editor.playing
        self._beat = (self._beat + 1) % BEATS
        shown = editor.shown(pose_only=hurried and self._beat != 0 and not still)
        self._have_worked_on(seconds, hurried=hurried)
        if not self.dragging:
            # Taking what was typed would break into the drag.
            self.panel.follow_focus(editor)
            self.entry.leave_unfocused(editor)
        self._tell_photo()
        self._skipped += 1
        restacked = False
        touched = not hurried or self._skipped >= PANEL_EVERY
        if touched:
            self._skipped = 0
            self.panel.update(editor, shown, in_place=self.dragging or self._pressing)
            self.panel.pass_time(seconds, editor)
            self.bars.update(editor)
            restacked = not self._pressing and self.callouts.update(self.panel, editor)
            if not self.dragging:
                self._keep_cursor_still()
                self.manager.update(seconds)
        covered = self.dialog is not None or self.bars.tip_shown
        anew = covered or self.bars.was_covered or restacked
        self.bars.was_covered = covered
        if anew:
            self.canvas.forget()
            self.surface.fill(style(editor.theme).palette.sheet)
        # What lay under something has to be painted at once, however much the hand hurries.
        hurried = hurried and not anew
        late = not hurried or still or self._beat == BEATS // 2
        self.canvas.paint(editor, shown, self._pointer, hurried=hurried, late=late)
        if touched or anew:
            self._paint_widgets()
        else:
            self.callouts.put_back(self.surface)

    def _tell_photo(self) -> None:
        """Say once that a photo cannot be shown; the scene is there without."""
        problem = self.editor.photo.problem
        if problem and problem != self._photo_told:
            self.editor.refuse(problem)
        self._photo_told = problem

    def _paint_widgets(self) -> None:
        """Paint the form, the foot, what stands beside fields, and every widget."""
        self._paint_backs()
        self.panel.paint(self.surface)
        self.bars.paint(self.surface, self.editor, self._hint())
        self.callouts.paint(self.surface, self.editor)
        self.manager.draw_ui(self.surface)
        message = self.editor.message
        if message is not None and not self.callouts.tells(message.text):
            self.bars.paint_whole(self.surface, self.editor)
        self.callouts.keep(self.surface)

    @property
    def dragging(self) -> bool:  # type: ignore[override]
        """Whether a drag is under way."""
        return self._gesture is not None

    @property
    def busy(self) -> bool:
        """Whether another frame is wanted without waiting for an event."""
        editor = self.editor
        late = editor.answers.pending or editor.worker.pending
        return late or editor.playing or self.dragging or self._due is not None

    def _have_worked_on(self, seconds: float, *, hurried: bool) -> None:
        """Let the worker go on: with what is asked for as it stands once nothing moves."""
        editor = self.editor
        if hurried:
            editor.worker.go_on(seconds, rested=False)
            return
        self._rested = self._rested + seconds if editor.scene is self._rests_on else 0.0
        self._rests_on = editor.scene
        editor.answers.work_on(seconds, rested=self._rested > REST_SECONDS)

    def _keep_cursor_still(self) -> None:
        """A text cursor that blinks would paint a window that nobody touches."""
        for element in self.manager.get_focus_set() or ():  # type: ignore[no-untyped-call]
            if isinstance(element, UITextEntryLine):
                element.cursor_blink_delay_after_moving = math.inf

    def _paint_backs(self) -> None:
        palette = style(self.editor.theme).palette
        for area in (self.layout.sides, self.layout.foot):
            self.surface.fill(palette.sheet, (area.left, area.top, area.width, area.height))

    def _hint(self) -> str:
        """What the pointer would do, or what a row of the readout means."""
        if self.layout.readout.holds(self._pointer):
            return self._readout_hint()
        if self.layout.bar.holds(self._pointer):
            return "The lengths that keep the margin everywhere. Drag the mark to change the shaft."
        if self.layout.steer.holds(self._pointer):
            return "Drag to steer: + turns the front of the wheel outboard."
        if self.layout.plots.holds(self._pointer):
            return "Drag to move the wheel through its travel: droop left, bump right."
        return hint_for(self.editor)

    def _readout_hint(self) -> str:
        """What a row of the readout, or a box in its head, means."""
        box = self.entry.at(self._pointer, self.editor)
        if box is not None:
            return HELP[box]
        area, rows = self.layout.readout, self.canvas.rows
        x, y = self._pointer[0] - area.left, self._pointer[1] - area.top
        scale = self.layout.scale
        row = row_at(x / scale, y / scale, area.width / scale, len(rows))
        return "" if row is None else rows[row].help

    # Events.

    def handle(self, event: pygame.Event) -> None:
        """Let one event do what it does."""
        if event.type == pygame.QUIT:
            self.quit()
        elif event.type == pygame.MOUSEMOTION:
            self._pointer = (float(event.pos[0]), float(event.pos[1]))
        elif event.type in (pygame.KEYDOWN, pygame.TEXTINPUT):
            self.panel.hand_types()
        self.keyboard.follow(event)
        if self.keyboard.spends(event):
            return
        if event.type in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            on_form = self.layout.panel.holds(event.pos) or self.callouts.holds(event.pos)
            self._pressing = event.type == pygame.MOUSEBUTTONDOWN and on_form
        held, snapping = pygame.key.get_mods(), self.editor.snapping
        snapping.square_held = bool(held & pygame.KMOD_SHIFT)
        snapping.catch_held = bool(held & (pygame.KMOD_CTRL | pygame.KMOD_META))
        if self.dialog is not None:
            self._let_dialog(self.dialog, event)
        elif self._gesture is not None:
            self._follow_gesture(self._gesture, event)
        elif not self.manager.process_events(event) or event.type == pygame.KEYDOWN:
            self._act(event)

    def _let_dialog(self, dialog: Dialog, event: pygame.Event) -> None:
        self.manager.process_events(event)
        dialog.handle(event)
        if dialog.closed and self.dialog is dialog:
            self.take_down()

    def _act(self, event: pygame.Event) -> None:
        act = {
            pygame_gui.UI_BUTTON_PRESSED: self._pressed,
            pygame_gui.UI_TEXT_ENTRY_FINISHED: self._typed,
            pygame.KEYDOWN: self.keyboard.press,
            pygame.MOUSEMOTION: self._hover,
            pygame.MOUSEBUTTONDOWN: self._press,
            pygame.MOUSEWHEEL: self._wheel,
        }.get(event.type)
        if act is not None:
            act(event)

    def _pressed(self, event: pygame.Event) -> None:
        self.panel.follow_focus(self.editor)
        if self.callouts.pressed(event.ui_element, self.form, self.editor):
            return
        name = self.panel.pressed(event.ui_element, self.editor) or self.bars.pressed(
            event.ui_element
        )
        if name:
            self.run(name)

    def _typed(self, event: pygame.Event) -> None:
        self.entry.finished(event.ui_element, self.editor)

    def run(self, name: str) -> None:
        """Run a command by its name; what is being typed is taken first."""
        self.form.take_all(self.editor)
        if name.startswith("side:"):
            self.editor.turn_to("left" if name == "side:left" else "right")
        else:
            COMMANDS[name].run(self)

    def _view_at(self, point: Point2) -> View | None:
        if self.layout.readout.holds(point) or self.layout.title.holds(point):
            return None
        if self.layout.above.holds(point):
            return "above"
        return "front" if self.layout.front.holds(point) else None

    def _hit(self, view: View, point: Point2) -> Hit | None:
        seen = self.canvas.seen.get(view)
        if seen is None:
            return None
        return hit(seen.picture, seen.camera, point, prefer=self.editor.selection)

    def _hover(self, _: pygame.Event) -> None:
        view = self._view_at(self._pointer)
        if view == "front" and self.editor.open_outline is not None:
            drawing.point(self.editor, self.editor.cameras["front"].to_world(self._pointer))
            self.editor.hover = ""
            self.bars.set_cursor(pygame.SYSTEM_CURSOR_CROSSHAIR)
            return
        found = self._hit(view, self._pointer) if view else None
        if view is not None and self.editor.pointing is not None:
            self.editor.hover = found.key if found and found.kind == "point" else ""
            self.bars.set_cursor(pygame.SYSTEM_CURSOR_CROSSHAIR)
            return
        in_form = self.panel.point(self._pointer)
        self.editor.hover = found.key if found else in_form
        if self.entry.at(self._pointer, self.editor) is not None:
            cursor = pygame.SYSTEM_CURSOR_IBEAM
        elif view is None:
            cursor = pygame.SYSTEM_CURSOR_ARROW
        elif found is not None and ".edge[" in found.key:
            cursor = drawing.edge_cursor(self.editor.scene, found.key)
        elif found is not None and found.kind == "point":
            cursor = pygame.SYSTEM_CURSOR_CROSSHAIR
        elif found is not None and found.key in ("wheel", "knuckle"):
            cursor = pygame.SYSTEM_CURSOR_SIZENS if view == "front" else pygame.SYSTEM_CURSOR_SIZEWE
        elif found is not None:
            cursor = pygame.SYSTEM_CURSOR_HAND
        else:
            cursor = pygame.SYSTEM_CURSOR_SIZEALL
        self.bars.set_cursor(cursor)

    def _press(self, event: pygame.Event) -> None:
        at = (float(event.pos[0]), float(event.pos[1]))
        self._pointer = at
        view = self._view_at(at)
        if event.button == 2 or (event.button == 1 and self.keyboard.space):
            if view is not None:
                self._gesture = Pan(self.editor, view, at)
            return
        if event.button != 1:
            return
        if view is not None and self.editor.pointing is not None:
            self._point_out_at(view, at)
            return
        self.manager.set_focus_set(None)
        self.panel.follow_focus(self.editor)
        self.entry.leave_unfocused(self.editor)
        if self.panel.holds_bar(at):
            self._gesture = DragBar(self.panel, at)
        elif not (self.layout.panel.holds(at) or self.callouts.holds(at)):
            # Letters are for the sketch again.
            self.form.used_last = False
            self._press_elsewhere(view, at)

    def _press_elsewhere(self, view: View | None, at: Point2) -> None:
        """A press on the sketch, or on what stands about it."""
        box = self.entry.at(at, self.editor)
        if box is not None:
            self.entry.begin(box, self.editor)
        elif view is not None:
            self._press_in_view(view, at)
        elif self.canvas.plots.holds(at):
            self._gesture = DragTravel(self.editor, self.canvas.plots.travel_at, at)
        elif self.layout.steer.holds(at):
            axis = steer_axis(self.layout.steer, self.layout.scale)
            self._gesture = DragSteer(self.editor, axis, at)
        elif self.layout.bar.holds(at):
            self._gesture = DragLength.begin(self.editor, self.layout.bar, self.layout.scale)

    def _press_in_view(self, view: View, at: Point2) -> None:
        if view == "front" and self.editor.open_outline is not None:
            self._gesture = drawing.Draw(self.editor, at)
            return
        found = self._hit(view, at)
        key = found.key if found else ""
        twice = (
            self._clock - self._last_click[0] < DOUBLE_CLICK_SECONDS
            and abs(at[0] - self._last_click[1][0]) + abs(at[1] - self._last_click[1][1]) < 6
        )
        self._last_click = (self._clock, at)
        if twice and ".edge[" in key and view == "front":
            self._insert_corner(key, at)
            return
        self.editor.focus = view
        self.editor.select(key)
        steps = steps_of(self.editor.selection)
        if steps:
            self.editor.open_steps = {*steps, *_parts(self.editor.open_steps)}
            self.panel.reveal(self.editor.selection)
        self._gesture = begin_drag(self.editor, view, key, at) or Pan(self.editor, view, at)

    def point_out(self, what: PointingFor) -> None:
        """Begin to point out a reading, a mark or a pin in the sketch, or put that away."""
        pointing_out.take_up(self.editor, what)
        if what == "reading" and self.editor.pointing is not None:
            self.panel.update(self.editor, self.editor.shown())
            self.panel.begin(ADD_READING, "", self.editor)

    def _point_out_at(self, view: View, at: Point2) -> None:
        """What a click in the sketch is while something is pointed out there."""
        editor, panel = self.editor, self.panel
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
        elif pointing_out.click_point(editor, key) and editor.pointing is not None:
            panel.update(editor, editor.shown())
            panel.begin(ADD_READING, begun(editor.scene, editor.pointing.points), editor)

    def _insert_corner(self, key: str, at: Point2) -> None:
        edge = int(key.rpartition("[")[2].rstrip("]"))
        place = edits.snapped(self.editor.cameras["front"].to_world(at), self.editor.snap_mm)
        self.editor.do("add corner", lambda scene: edits.insert_corner(scene, key, edge, place))

    def _follow_gesture(self, gesture: Gesture, event: pygame.Event) -> None:
        if event.type == pygame.MOUSEMOTION:
            gesture.move(self._pointer)
            self._whole = self._whole and not isinstance(gesture, Pan)
        elif event.type == pygame.MOUSEBUTTONUP:
            gesture.drop()
            self._gesture = None
        elif event.type == pygame.KEYDOWN and event.key == pygame.K_ESCAPE:
            gesture.cancel()
            self._gesture = None

    def _wheel(self, event: pygame.Event) -> None:
        view = self._view_at(self._pointer)
        if self.layout.panel.holds(self._pointer):
            self.panel.scroll_by(round(-float(event.precise_y or event.y) * self.layout.px(48)))
        elif view is not None:
            self._whole = False
            zoom(self.editor, view, float(event.precise_y or event.y), self._pointer)
        elif self.layout.plots.holds(self._pointer):
            self.editor.set_travel(self.editor.travel_mm + event.y)
        elif self.layout.steer.holds(self._pointer):
            self.editor.set_steer(self.editor.steer_deg + event.y)

    # What commands ask for.

    def give_up(self) -> None:
        """Give back what was, or close what is open."""
        if self.editor.open_outline is not None:
            drawing.put_away(self.editor)
        elif self.editor.pointing is not None:
            self.editor.pointing = None
        elif self.editor.message is not None:
            self.editor.message = None
        else:
            self.editor.select("")

    def put(self, document: Document) -> None:
        """Lay another document on the editor and show all of it."""
        self._gesture = None
        self.entry.close()
        self.panel.forget()
        self.editor.put(document)
        self.canvas.forget()
        self.fit()


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


def _parts(steps: set[str]) -> set[str]:
    """The parts of steps that are open."""
    return {name for name in steps if "/" in name}
