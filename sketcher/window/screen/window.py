"""The window: the editor on a screen, with its widgets, and what events do to them."""

from __future__ import annotations

import gc
import math
from functools import partial

import pygame
import pygame_gui
from pygame_gui.elements import UITextEntryLine
from pygame_gui.ui_manager import UIManager

from scenes.model import Scene
from sketcher.answers.position_values import ROWS
from sketcher.drawing.areas import natural_scale
from sketcher.drawing.style import style
from sketcher.window.model import bracket_drawing as drawing
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.screen.bars import Bars
from sketcher.window.screen.callouts import Callouts
from sketcher.window.screen.canvas import Canvas
from sketcher.window.screen.dialogs import Dialog
from sketcher.window.screen.filing import Filing, Then
from sketcher.window.screen.keyboard import Keyboard
from sketcher.window.screen.layout import SMALLEST, SMALLEST_SCALE, lay_out
from sketcher.window.screen.panel import Panel
from sketcher.window.screen.pointer import Pointer
from sketcher.window.screen.position_entry import PositionEntry
from sketcher.window.screen.theme import gui_theme
from sketcher.window.screen.view_cameras import fit, resize
from sketcher.window.steps.command import Command, by_window
from sketcher.window.steps.commands import COMMANDS
from sketcher.window.steps.scene_commands import POINTED

# Frames of a drag in which one part is worked out and painted.
BEATS = 3
# Frames of a drag after which fields and buttons follow: a tenth of a second.
PANEL_EVERY = 6
# What follows typing takes turns, as in a drag, until it has been still for as long.
FOLLOWING_SECONDS = 0.25
# What takes a second is not begun before the hand has been still for as long.
REST_SECONDS = 1.0


class Window(Filing):
    """The editor on a surface; events go in, pictures come out."""

    def __init__(self, editor: Editor, surface: pygame.Surface, scale: float | None = None) -> None:
        super().__init__(editor)
        pygame.font.init()
        self.surface = surface
        self._wanted_scale = scale
        self._beat = 0
        self._moved: tuple[Scene, float, float] = (editor.scene, 0.0, 0.0)
        self._skipped = 0
        self._photo_told = ""
        self._rested = 0.0
        self._ahead, self._following = False, math.inf
        self._rests_on: object = None
        self.keyboard = Keyboard(self)
        self.pointer = Pointer(self)
        # Nobody has zoomed or pushed the drawing since all of it was shown.
        self.whole = True
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
        self._theme = self.editor.theme
        self.surface.fill(style(self.editor.theme).palette.sheet)

    def resize(self, surface: pygame.Surface) -> None:
        """Draw on a surface of another size."""
        self.surface = surface
        field, scroll = self.form.in_hand, self.panel.scroll / self.layout.scale
        held = self.panel.widgets.entry(field.key) if field is not None else None
        self._build()
        self.panel.scroll = self.layout.px(scroll)
        resize(self.layout, self.editor)
        if self.whole:
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
        self.whole = True
        fit(self.layout, self.editor, self.editor.shown())

    # One frame.

    def frame(self, seconds: float) -> None:
        """Let time pass and paint what has changed."""
        self.pointer.pass_time(seconds)
        editor = self.editor
        self.do_what_is_due()
        editor.pass_time(seconds)
        followed = self._follow_typing(seconds)
        if self._theme != editor.theme:
            self._build()
        # While something is dragged, a part is worked out in one frame, what it changes is
        # painted in the next, and widgets have the third.
        # A hand that is still leaves the frames to what is late.
        moved = (editor.scene, editor.travel_mm, editor.steer_deg)
        still = all(a is b or a == b for a, b in zip(moved, self._moved, strict=True))
        self._moved = moved
        moving = self.dragging or editor.playing
        hurried = moving or self._following < FOLLOWING_SECONDS
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
        touched = not moving or (self._skipped >= PANEL_EVERY and self._beat == BEATS - 1)
        if touched:
            self._skipped = 0
            if not followed:
                self.panel.update(editor, shown, in_place=self.dragging or self._pressing)
            self.panel.pass_time(seconds, editor)
            self.bars.update(editor)
            told = () if self.dialog else self.pointer.answer_asked(shown)
            restacked = not self._pressing and self.callouts.update(self.panel, editor, told)
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
        late = not hurried or still or self._beat == 1
        self.canvas.paint(
            editor, shown, self.pointer.at, hurried=hurried, late=late, words=not moving
        )
        if touched or anew:
            self._paint_widgets()
        else:
            self.callouts.put_back(self.surface)

    def _follow_typing(self, seconds: float) -> bool:
        """Show what is being typed, once the letter itself is on screen; whether that is news."""
        self._following += seconds
        due, self._ahead = self._ahead, not self.dragging and self.form.ahead(self.editor)
        if not (due and self._ahead):
            return False
        self._ahead = False
        followed = self.form.follow(self.editor)
        if self.editor.document.trying:
            self._following = 0.0
        return followed

    def _tell_photo(self) -> None:
        """Say once that a photo cannot be shown; the scene is there without."""
        problem = self.editor.photo.problem
        if problem and problem != self._photo_told:
            self.editor.refuse(problem)
        self._photo_told = problem

    def _paint_widgets(self) -> None:
        for area in (self.layout.sides, self.layout.foot):
            self.surface.fill(style(self.editor.theme).palette.sheet, area)
        self.panel.paint(self.surface)
        self.bars.paint(self.surface, self.editor, self.pointer.hint())
        self.callouts.paint(self.surface, self.editor)
        self.manager.draw_ui(self.surface)
        message = self.editor.message
        if message is not None and not self.callouts.tells(message.text):
            self.bars.paint_whole(self.surface, self.editor)
        self.callouts.keep(self.surface)

    @property
    def dragging(self) -> bool:  # type: ignore[override]
        """Whether a drag is under way."""
        return self.pointer.gesture is not None

    @property
    def busy(self) -> bool:
        """Whether another frame is wanted without waiting for an event."""
        editor = self.editor
        late = editor.answers.pending or editor.worker.pending
        moving = editor.playing or self.dragging or self._ahead
        return late or moving or self._following < FOLLOWING_SECONDS or self._due is not None

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

    # Events.

    def handle(self, event: pygame.Event) -> None:
        """Let one event do what it does."""
        if event.type == pygame.QUIT:
            # What is in hand stays where it is, and is asked about with the rest.
            self.pointer.let_go()
            self.quit()
        elif event.type == pygame.MOUSEMOTION:
            self.pointer.at = (float(event.pos[0]), float(event.pos[1]))
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
        elif self.pointer.gesture is not None:
            self.pointer.follow(self.pointer.gesture, event)
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
            pygame_gui.UI_TEXT_ENTRY_FINISHED: lambda _: self.entry.take(self.editor),
            pygame.KEYDOWN: self.keyboard.press,
            pygame.MOUSEMOTION: self.pointer.hover,
            pygame.MOUSEBUTTONDOWN: self.pointer.press,
            pygame.MOUSEWHEEL: self.pointer.turn_wheel,
        }.get(event.type)
        if act is not None:
            act(event)

    def _pressed(self, event: pygame.Event) -> None:
        self.panel.follow_focus(self.editor)
        button = event.ui_element
        if not self.callouts.pressed(button, self.form, self.editor):
            name = self.panel.pressed(button, self.editor) or self.bars.pressed(button)
            if name:
                self.run(name)

    def run(self, name: str) -> None:
        """Run a command by its name; what is being typed is taken first."""
        self.form.take_all(self.editor)
        if name.startswith("side:"):
            self.editor.turn_to("left" if name == "side:left" else "right")
        else:
            self.act(COMMANDS[name])

    def act(self, command: Command) -> None:
        """Do what a command says: to what the editor has, or by the window itself."""
        if command.run is by_window:
            self.acts()[command.name]()
        else:
            command.run(self.editor)

    # What commands ask for.

    def acts(self) -> dict[str, Then]:
        """What the window itself does, by the commands' names."""
        return {
            **super().acts(),
            "fit": self.fit,
            "larger": partial(self.larger, 1),
            "smaller": partial(self.larger, -1),
            "give_up": self.give_up,
            **{name: partial(self.pointer.point_out, what) for name, what in POINTED.items()},
        }

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
        self.pointer.gesture = None
        self.entry.close()
        self.panel.forget()
        self.editor.put(document)
        self.canvas.forget()
        self.fit()
