"""Drawing brackets: an outline begun, pointed, closed, and what comes of it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

import pygame

from kinematics.errors import InvalidInput
from kinematics.gaps.outlines import edge_length_mm
from kinematics.parts import FrontPoint
from scenes.keys import has, value_of
from scenes.model import Scene
from sketcher.drawing.picture import Point2
from sketcher.window.model import edits
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import bracket_key, last_place
from sketcher.window.model.gestures import CLICK_PX
from sketcher.window.model.open_outline import OpenOutline, Shape
from sketcher.words.plain import sentence
from sketcher.words.units import LengthError

# By the edge's direction in eighths of a turn: level, rising, plumb, falling.
_CURSORS = (
    pygame.SYSTEM_CURSOR_SIZENS,
    pygame.SYSTEM_CURSOR_SIZENWSE,
    pygame.SYSTEM_CURSOR_SIZEWE,
    pygame.SYSTEM_CURSOR_SIZENESW,
)
COPY_BY_MM = (20.0, 20.0)
NAMES: dict[Shape, str] = {"outline": "bracket", "plate": "plate", "round": "disc", "hole": "hole"}


def take_up(editor: Editor, shape: Shape) -> None:
    """Begin to draw, or put the open outline away where that shape is being drawn."""
    if editor.open_outline is not None and editor.open_outline.shape == shape:
        put_away(editor)
        return
    within: tuple[FrontPoint, ...] = ()
    if shape == "hole":
        base = bracket_key(editor.selection)
        if not has(editor.scene, base):
            editor.say("Select the bracket that the hole goes into.")
            return
        within = value_of(editor.scene, base).outline
    editor.message = editor.pointing = None
    editor.open_steps = {"Brackets"}
    editor.open_outline = OpenOutline(shape, within=within)


def put_away(editor: Editor) -> None:
    """Give up what was drawn; no bracket comes of it."""
    editor.open_outline = None
    editor.message = None


def point(editor: Editor, to: FrontPoint) -> None:
    """Point the open outline at a place of the front view, mm."""
    if editor.open_outline is not None:
        _take(editor, editor.open_outline.pointed(to, editor.aids()))


def put_corner(editor: Editor) -> None:
    """Put a corner where the open outline points; the first one closes the outline."""
    if editor.open_outline is not None:
        try:
            _take(editor, editor.open_outline.put(editor.reach_mm))
        except InvalidInput as error:
            editor.refuse(sentence(error.problems[0].message))


def finish(editor: Editor) -> None:
    """Enter: what was typed is put in, or what is drawn is done."""
    open_outline = editor.open_outline
    if open_outline is None:
        return
    try:
        typed = bool(open_outline.typed)
        _take(editor, open_outline.entered(editor.unit) if typed else open_outline.finished())
    except InvalidInput as error:
        editor.refuse(sentence(error.problems[0].message))
    except LengthError as error:
        editor.refuse(str(error))


def take_back(editor: Editor) -> None:
    """Backspace: one step of the drawing back."""
    if editor.open_outline is not None:
        editor.message = None
        _take(editor, editor.open_outline.back())


def type_into(editor: Editor, text: str) -> bool:
    """A character of a length, while something is drawn; whether it was one."""
    typed = None if editor.open_outline is None else editor.open_outline.types(text)
    if typed is None:
        return False
    editor.message = None
    editor.open_outline = typed
    return True


def copy_selected(editor: Editor) -> None:
    """Put a copy beside the selected bracket, and select it."""
    base = bracket_key(editor.selection)
    if not has(editor.scene, base):
        editor.say("Select a bracket first.")
    elif editor.do("copy bracket", partial(edits.copy_bracket, key=base, by=COPY_BY_MM)):
        editor.select(f"bracket[{len(editor.scene.brackets) - 1}]")


def add_corner(editor: Editor) -> None:
    """Put a corner in the middle of the edge after the selected one, or of the longest edge."""
    key = editor.selection
    base = bracket_key(key)
    if not has(editor.scene, base):
        editor.say("Select a bracket first.")
        return
    outline = value_of(editor.scene, base).outline
    if ".outline[" in key:
        edge = last_place(key)
    else:
        edge = max(range(len(outline)), key=partial(edge_length_mm, outline))
    if editor.do("add corner", partial(edits.insert_corner, key=base, edge=edge)):
        editor.select(f"{base}.outline[{edge + 1}]")


def edge_cursor(scene: Scene, key: str) -> int:
    """The cursor over a bracket's edge: the ways that it moves, square to itself."""
    base, first = bracket_key(key), last_place(key)
    if not has(scene, f"{base}.outline[{first}]"):
        return pygame.SYSTEM_CURSOR_ARROW
    outline = value_of(scene, base).outline
    (x1, y1), (x2, y2) = outline[first], outline[(first + 1) % len(outline)]
    eighth = round(math.degrees(math.atan2(y2 - y1, x2 - x1)) / 45.0) % 4
    return _CURSORS[eighth]


class Draw:
    """The button held: a drag draws a rectangle or a radius, a click puts a corner."""

    def __init__(self, editor: Editor, at: Point2) -> None:
        self.editor = editor
        self._at = at
        self._dragged = False
        point(editor, editor.cameras["front"].to_world(at))
        self._was = editor.open_outline

    def move(self, to: Point2) -> None:
        """Follow the pointer."""
        camera, was = self.editor.cameras["front"], self._was
        if was is not None and was.thickness_mm is None and not self._dragged:
            if math.dist(self._at, to) < CLICK_PX * camera.ui_scale:
                return
            self._dragged = True
            if not was.corners:
                # A drag from the first place: a rectangle, a rim, or the plate's first run.
                self.editor.open_outline = replace(was.put(), box=was.shape == "outline")
        point(self.editor, camera.to_world(to))

    def drop(self) -> None:
        """A rectangle or a rim is done; a click is a corner."""
        put_corner(self.editor)

    def cancel(self) -> None:
        """Put the open outline away."""
        put_away(self.editor)


def _take(editor: Editor, open_outline: OpenOutline) -> None:
    """Take over a step of the drawing, and make a bracket of it once it is done."""
    if not open_outline.done:
        editor.open_outline = open_outline
        if open_outline.problem:
            editor.refuse(open_outline.problem.capitalize() + ".")
        elif editor.message is not None and editor.message.kind == "refusal":
            editor.message = None
        return
    corners = tuple((round(x, 4), round(y, 4)) for x, y in open_outline.outline())
    editor.open_outline = None
    if open_outline.shape == "hole":
        base = bracket_key(editor.selection)
        edit = partial(edits.set_value, key=f"{base}.outline", value=corners)
        if not has(editor.scene, base) or not editor.do("hole", edit):
            return
        editor.say("A hole in an outline needs a way in: it is opened to the edge by a saw cut.")
        return
    if not editor.add_bracket(corners, NAMES[open_outline.shape]):
        editor.open_outline = replace(open_outline, done=False)
