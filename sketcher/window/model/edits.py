"""What a person does to a scene: each edit takes a scene and gives back another.

An edit that would make no real scene raises
:class:`~scenes.keys.EditRefused` with one clear line.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace

from kinematics.errors import InvalidInput
from kinematics.gaps.outlines import with_edge_length
from kinematics.parts import Bracket, FrontPoint, GearboxMovement, InnerJoint, Steering
from kinematics.shaft.following import ride_centred_length_mm
from kinematics.shaft.length_window import LengthWindow
from scenes.keys import EditRefused, has, refusing, value_of, with_value
from scenes.model import Scene, Side
from sketcher.drawing.picture import View
from sketcher.window.model.making_edits import STRETCH_END, set_stretch_end
from sketcher.window.model.reading_edits import set_of_readings
from sketcher.window.model.reading_text import points_named

Plane = tuple[float, float]

# Tape and pencil know no finer step; dragged points stay readable in the file.
DRAG_STEP_MM = 0.1


def set_value(scene: Scene, key: str, value: object) -> Scene:
    """The scene with another value under a key, as the scene file names it.

    The length of a bracket's edge, ``bracket[0].edge[2]``, is one too.
    """
    if ".edge[" in key and isinstance(value, float | int):
        return set_edge_length(scene, key, value)
    stretch_end = STRETCH_END.fullmatch(key)
    if stretch_end is not None and isinstance(value, float):
        return set_stretch_end(scene, stretch_end, value)
    if key.endswith(".doubtful") and isinstance(value, tuple):
        return with_value(scene, key, points_named(scene, value))
    if re.search(r"\.stroke_(in|out)$", key) and isinstance(value, float):
        return _set_stroke(scene, key, value)
    of_readings = set_of_readings(scene, key, value)
    if of_readings is not None:
        return of_readings
    return with_value(scene, key, value)


def in_view(point: tuple[float, ...], view: View) -> Plane:
    """A point as a view shows it: (out, up) from the front, (out, fore) from above."""
    if view == "front" or len(point) == 2:
        return (point[0], point[1])
    return (point[0], point[2])


def from_view(point: tuple[float, ...], to: Plane, view: View) -> tuple[float, ...]:
    """A point moved in a view; what the view does not show stays."""
    if len(point) == 2:
        return to if view == "front" else (to[0], point[1])
    if view == "front":
        return (to[0], to[1], point[2])
    return (to[0], point[1], to[1])


def move_point(scene: Scene, key: str, to: Plane, view: View = "front") -> Scene:
    """A point put at a place of a view, mm."""
    return with_value(scene, key, from_view(value_of(scene, key), to, view))


def nudge(scene: Scene, key: str, by: Plane, view: View = "front") -> Scene:
    """A point, or a whole bracket, pushed by mm in a view."""
    value = value_of(scene, key)
    if isinstance(value, Bracket):
        return move_bracket(scene, key, by, view)
    now = in_view(value, view)
    return move_point(scene, key, (now[0] + by[0], now[1] + by[1]), view)


def snapped(to: Plane, grid_mm: float | None) -> Plane:
    """A place on the grid, or to a tenth of a mm without one."""
    step = grid_mm or DRAG_STEP_MM
    # Dividing by the inverse keeps tenths short: 0.3 and not 0.30000000000000004.
    inverse = 1.0 / step
    return (round(round(to[0] * inverse) / inverse, 6), round(round(to[1] * inverse) / inverse, 6))


def set_length(scene: Scene, side: Side, length_mm: float | None) -> Scene:
    """A shaft of another length between joint centres; None leaves it undecided."""
    return with_value(scene, f"shafts.{side}.length", length_mm)


def to_ride_centred(scene: Scene, side: Side) -> Scene:
    """The shaft made as long as puts the inner joint at mid-stroke at ride height."""
    shaft = scene.shaft(side)
    if shaft is None:
        raise EditRefused(f"shafts.{side}: this scene has no {side} shaft")
    length = ride_centred_length_mm(shaft.inner_joint, scene.hub.outer_joint)
    return set_length(scene, side, round(length, 1))


def to_middle_of_window(scene: Scene, side: Side, window: LengthWindow | None) -> Scene:
    """The shaft made as long as the middle of its window."""
    if window is None or window.empty:
        raise EditRefused(f"shafts.{side}.length: there is no window to take the middle of")
    return set_length(scene, side, round((window.shortest_mm + window.longest_mm) / 2, 1))


def copy_side(scene: Scene, source: Side, side: Side) -> Scene:
    """A side given the other side's shaft and joints."""
    shaft = scene.shaft(source)
    return replace(scene, left=shaft) if side == "left" else replace(scene, right=shaft)


def steer(scene: Scene, *, steers: bool) -> Scene:
    """An axle that steers, or one of which it is said, by locks of 0, that it does not."""
    if scene.steering is not None and steers == scene.steers:
        return scene
    return replace(scene, steering=Steering(33.0, 28.0) if steers else Steering(0.0, 0.0))


def stroke_stays(joint: InnerJoint) -> bool:
    """Whether it is said of a joint that bending leaves it its stroke."""
    rows = joint.stroke_at_angle
    return len(rows) == 1 and rows[0][1:] == (joint.stroke_in, joint.stroke_out)


def turn_stroke_stays(scene: Scene, side: Side) -> Scene:
    """A side's stroke said to stay the same as its joint bends, or nothing said of that."""
    key = f"shafts.{side}.inner_joint"
    joint: InnerJoint = value_of(scene, key)
    if len(joint.stroke_at_angle) > 1:
        raise EditRefused(f"{key}.stroke_at_angle: there are rows here; clear them first")
    rows = () if stroke_stays(joint) else ((0.0, joint.stroke_in, joint.stroke_out),)
    return with_value(scene, f"{key}.stroke_at_angle", rows)


def _set_stroke(scene: Scene, key: str, value: float) -> Scene:
    """A joint's stroke, and with it what is said of it at every angle."""
    holder, _, name = key.rpartition(".")
    joint: InnerJoint = value_of(scene, holder)
    if not stroke_stays(joint):
        return with_value(scene, key, value)
    angle, inward, outward = joint.stroke_at_angle[0]
    row = (angle, value, outward) if name == "stroke_in" else (angle, inward, value)
    try:
        changed = replace(joint, **{name: value, "stroke_at_angle": (row,)})  # type: ignore[arg-type]
    except InvalidInput as error:
        raise refusing(error, key) from error
    return with_value(scene, holder, changed)


def turn_solid_mounts(scene: Scene) -> Scene:
    """The gearbox's mounts said to be solid, or nothing said of its movement."""
    return _turn_none_of(replace(scene, gearbox_movement=GearboxMovement()), "gearbox.movement")


def turn_nothing_near(scene: Scene) -> Scene:
    """It is said that nothing stands near the shaft, or nothing is said of brackets."""
    if scene.brackets:
        raise EditRefused("bracket: there are brackets here; remove them first")
    return _turn_none_of(scene, "bracket")


def _turn_none_of(scene: Scene, name: str) -> Scene:
    return replace(scene, none_of=scene.none_of ^ {name})


def add_bracket(scene: Scene, outline: tuple[FrontPoint, ...], name: str = "") -> Scene:
    """One bracket more, mounted on the body, at every depth."""
    name = _free_name(scene, name or "bracket")
    try:
        bracket = Bracket(name, outline)
    except InvalidInput as error:
        raise refusing(error, f"bracket[{len(scene.brackets)}].outline") from error
    return replace(scene, brackets=(*scene.brackets, bracket))


def copy_bracket(scene: Scene, key: str, by: Plane) -> Scene:
    """A bracket once more, beside itself."""
    bracket = _bracket(scene, key)
    outline = tuple((x + by[0], y + by[1]) for x, y in bracket.outline)
    copy = replace(bracket, outline=outline, name=_free_name(scene, bracket.name))
    return replace(scene, brackets=(*scene.brackets, copy))


def remove_bracket(scene: Scene, key: str) -> Scene:
    """The scene without a bracket."""
    gone = _bracket(scene, key)
    return replace(scene, brackets=tuple(one for one in scene.brackets if one is not gone))


def move_bracket(scene: Scene, key: str, by: Plane, view: View = "front") -> Scene:
    """A bracket pushed by mm in a view; from above its depth moves with it."""
    bracket = _bracket(scene, key)
    up = by[1] if view == "front" else 0.0
    outline = tuple((_tidy(x + by[0]), _tidy(y + up)) for x, y in bracket.outline)
    fore = bracket.fore
    if fore is not None and view == "above":
        fore = (_tidy(fore[0] + by[1]), _tidy(fore[1] + by[1]))
    return _replaced(scene, key, outline=outline, fore=fore)


def turn_bracket(scene: Scene, key: str, angle_deg: float) -> Scene:
    """A bracket turned about the middle of its corners, counter-clockwise in the front view."""
    outline = _bracket(scene, key).outline
    x0 = math.fsum(x for x, _ in outline) / len(outline)
    y0 = math.fsum(y for _, y in outline) / len(outline)
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    turned = tuple(
        (_tidy(x0 + (x - x0) * c - (y - y0) * s), _tidy(y0 + (x - x0) * s + (y - y0) * c))
        for x, y in outline
    )
    return _replaced(scene, key, outline=turned)


def mirror_bracket(scene: Scene, key: str) -> Scene:
    """A bracket mirrored left to right about its own middle."""
    outline = _bracket(scene, key).outline
    middle = min(x for x, _ in outline) + max(x for x, _ in outline)
    return _replaced(scene, key, outline=tuple((_tidy(middle - x), y) for x, y in outline))


def insert_corner(scene: Scene, key: str, edge: int, at: FrontPoint | None = None) -> Scene:
    """A bracket with one corner more on the edge that starts at corner ``edge``."""
    outline = _bracket(scene, key).outline
    (x1, y1), (x2, y2) = outline[edge], outline[(edge + 1) % len(outline)]
    corner = at or (_tidy((x1 + x2) / 2), _tidy((y1 + y2) / 2))
    return _replaced(scene, key, outline=(*outline[: edge + 1], corner, *outline[edge + 1 :]))


def remove_corner(scene: Scene, key: str, corner: int) -> Scene:
    """A bracket without one of its corners."""
    outline = _bracket(scene, key).outline
    return _replaced(scene, key, outline=outline[:corner] + outline[corner + 1 :])


def set_edge_length(scene: Scene, key: str, length_mm: float) -> Scene:
    """A bracket with one edge of another length; its far corner moves along it."""
    try:
        outline = with_edge_length(_bracket(scene, key).outline, last_place(key), length_mm)
    except InvalidInput as error:
        raise EditRefused(f"{key}: {error.problems[0].message}") from error
    return _replaced(scene, key, outline=tuple((_tidy(x), _tidy(y)) for x, y in outline))


def set_corners(scene: Scene, values: Mapping[str, object]) -> Scene:
    """Brackets with several coordinates of their corners set at once, by their keys."""
    for base in dict.fromkeys(map(bracket_key, values)):
        outline = [list(corner) for corner in _bracket(scene, base).outline]
        for key, value in values.items():
            place = re.fullmatch(r"(?P<base>.+)\.outline\[(\d+)\]\[(\d)\]", key)
            if place is not None and place["base"] == base and isinstance(value, float):
                outline[int(place[2])][int(place[3])] = value
        scene = _replaced(scene, base, outline=tuple((out, up) for out, up in outline))
    return scene


def bracket_key(key: str) -> str:
    """The bracket that a corner, an edge or a value of it belongs to; empty for others."""
    return key[: key.index("]") + 1] if key.startswith("bracket[") else ""


def last_place(key: str) -> int:
    """The number in the last brackets of a key: which corner or edge."""
    return int(key.rpartition("[")[2].rstrip("]"))


def point_of(scene: Scene, key: str) -> tuple[float, ...] | None:
    """The two or three coordinates of a point; None for a key of anything else."""
    value = value_of(scene, key) if has(scene, key) else None
    if not isinstance(value, tuple) or len(value) not in (2, 3):
        return None
    if key.endswith((".axis", ".diameter", ".fore")):
        return None
    return value if all(isinstance(number, float | int) for number in value) else None


def kept_selection(scene: Scene, key: str) -> str:
    """The selected key, or its bracket, or nothing, as far as the scene still has it."""
    if has(scene, key):
        return key
    return bracket_key(key) if has(scene, bracket_key(key)) else ""


def _bracket(scene: Scene, key: str) -> Bracket:
    bracket = value_of(scene, bracket_key(key))
    assert isinstance(bracket, Bracket)
    return bracket


def _replaced(scene: Scene, key: str, **changes: object) -> Scene:
    base = bracket_key(key)
    try:
        bracket = replace(_bracket(scene, key), **changes)  # type: ignore[arg-type]
    except InvalidInput as error:
        raise refusing(error, f"{base}.outline") from error
    return with_value(scene, base, bracket)


def _free_name(scene: Scene, wanted: str) -> str:
    taken = {bracket.name for bracket in scene.brackets}
    stem = wanted.rstrip("0123456789").rstrip()
    if wanted not in taken and wanted != "bracket":
        return wanted
    number = 2 if wanted != "bracket" else 1
    while f"{stem} {number}" in taken:
        number += 1
    return f"{stem} {number}"


def _tidy(value: float) -> float:
    return round(value, 4)
