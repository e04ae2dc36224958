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
from sketcher.window.model.desk import Desk
from sketcher.window.model.edits import bracket_key
from sketcher.window.model.gestures import CLICK_PX
from sketcher.window.model.pencil import Pencil, Shape
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


def take_up(desk: Desk, shape: Shape) -> None:
    """Begin to draw, or put the pencil away where that shape is being drawn."""
    if desk.pencil is not None and desk.pencil.shape == shape:
        put_away(desk)
        return
    within: tuple[FrontPoint, ...] = ()
    if shape == "hole":
        base = bracket_key(desk.selection)
        if not has(desk.scene, base):
            desk.say("Select the bracket that the hole goes into.")
            return
        within = value_of(desk.scene, base).outline
    desk.message = None
    desk.open_steps = {"Brackets"}
    desk.pencil = Pencil(shape, within=within)


def put_away(desk: Desk) -> None:
    """Give up what was drawn; no bracket comes of it."""
    desk.pencil = None
    desk.message = None


def point(desk: Desk, to: FrontPoint) -> None:
    """Point the pencil at a place of the front view, mm."""
    if desk.pencil is not None:
        _take(desk, desk.pencil.pointed(to, desk.aids()))


def put_corner(desk: Desk) -> None:
    """Put a corner where the pencil points; the first one closes the outline."""
    if desk.pencil is not None:
        try:
            _take(desk, desk.pencil.put(desk.reach_mm))
        except InvalidInput as error:
            desk.refuse(_line(error))


def finish(desk: Desk) -> None:
    """Enter: what was typed is put in, or what is drawn is done."""
    pencil = desk.pencil
    if pencil is None:
        return
    try:
        _take(desk, pencil.entered(desk.unit) if pencil.typed else pencil.finished())
    except InvalidInput as error:
        desk.refuse(_line(error))
    except LengthError as error:
        desk.refuse(str(error))


def take_back(desk: Desk) -> None:
    """Backspace: one step of the drawing back."""
    if desk.pencil is not None:
        desk.message = None
        _take(desk, desk.pencil.back())


def type_into(desk: Desk, text: str) -> bool:
    """A character of a length, while something is drawn; whether it was one."""
    typed = None if desk.pencil is None else desk.pencil.types(text)
    if typed is None:
        return False
    desk.message = None
    desk.pencil = typed
    return True


def copy_selected(desk: Desk) -> None:
    """Put a copy beside the selected bracket, and select it."""
    base = bracket_key(desk.selection)
    if not has(desk.scene, base):
        desk.say("Select a bracket first.")
    elif desk.do("copy bracket", partial(edits.copy_bracket, key=base, by=COPY_BY_MM)):
        desk.select(f"bracket[{len(desk.scene.brackets) - 1}]")


def add_corner(desk: Desk) -> None:
    """Put a corner in the middle of the edge after the selected one, or of the longest edge."""
    key = desk.selection
    base = bracket_key(key)
    if not has(desk.scene, base):
        desk.say("Select a bracket first.")
        return
    outline = value_of(desk.scene, base).outline
    if ".outline[" in key:
        edge = int(key.rpartition("[")[2].rstrip("]"))
    else:
        edge = max(range(len(outline)), key=partial(edge_length_mm, outline))
    if desk.do("add corner", partial(edits.insert_corner, key=base, edge=edge)):
        desk.select(f"{base}.outline[{edge + 1}]")


def edge_cursor(scene: Scene, key: str) -> int:
    """The cursor over a bracket's edge: the ways that it moves, square to itself."""
    base, first = bracket_key(key), int(key.rpartition("[")[2].rstrip("]"))
    if not has(scene, f"{base}.outline[{first}]"):
        return pygame.SYSTEM_CURSOR_ARROW
    outline = value_of(scene, base).outline
    (x1, y1), (x2, y2) = outline[first], outline[(first + 1) % len(outline)]
    eighth = round(math.degrees(math.atan2(y2 - y1, x2 - x1)) / 45.0) % 4
    return _CURSORS[eighth]


class Draw:
    """The button held: a drag draws a rectangle or a radius, a click puts a corner."""

    def __init__(self, desk: Desk, at: Point2) -> None:
        self.desk = desk
        self._at = at
        self._dragged = False
        point(desk, desk.cameras["front"].to_world(at))
        self._was = desk.pencil

    def move(self, to: Point2) -> None:
        """Follow the pointer."""
        camera, was = self.desk.cameras["front"], self._was
        if was is None or was.thickness_mm is not None:
            point(self.desk, camera.to_world(to))
            return
        if not self._dragged and math.dist(self._at, to) < CLICK_PX * camera.ui_scale:
            return
        if not self._dragged and not was.corners:
            # A drag from the first place: a rectangle, a rim, or the plate's first run.
            self.desk.pencil = replace(was.put(), box=was.shape == "outline")
        self._dragged = True
        point(self.desk, camera.to_world(to))

    def drop(self) -> None:
        """A rectangle or a rim is done; a click is a corner."""
        put_corner(self.desk)

    def cancel(self) -> None:
        """Put the pencil away."""
        put_away(self.desk)


def _take(desk: Desk, pencil: Pencil) -> None:
    """Take over a step of the drawing, and make a bracket of it once it is done."""
    if not pencil.done:
        desk.pencil = pencil
        if pencil.problem:
            desk.refuse(pencil.problem.capitalize() + ".")
        elif desk.message is not None and desk.message.kind == "refusal":
            desk.message = None
        return
    corners = tuple((round(x, 4), round(y, 4)) for x, y in pencil.outline())
    desk.pencil = None
    if pencil.shape == "hole":
        base = bracket_key(desk.selection)
        edit = partial(edits.set_value, key=f"{base}.outline", value=corners)
        if not has(desk.scene, base) or not desk.do("hole", edit):
            return
        desk.say("A hole in an outline needs a way in: it is opened to the edge by a saw cut.")
        return
    if not desk.add_bracket(corners, NAMES[pencil.shape]):
        desk.pencil = replace(pencil, done=False)


def _line(error: InvalidInput) -> str:
    problem = error.problems[0]
    return f"{problem.message[0].upper()}{problem.message[1:]}."
