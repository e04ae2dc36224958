"""What a person does about readings and marks: scene in, scene out, the points put right.

A point that rests on readings is drawn where they put it: each edit of a reading moves
the points as part of the same step.  Where readings cannot be met the points stay.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from kinematics.errors import InvalidInput, KinematicsError
from kinematics.parts import Point
from kinematics.sure.readings import Mark, Reading, ReadingKind
from scenes.keys import EditRefused, refusing, with_value
from scenes.model import Scene
from scenes.readings import MARK
from sketcher.answers.points import settle_scene, settled_scene
from sketcher.words.points import SETTLED_MM, point_words
from sketcher.words.units import Unit, format_length

# A sketch to start from is not further off than this, and a slip of the hand often is.
FAR_MM = 400.0
_NAME_OF_MARK = re.compile(r"mark\[(\d+)\]\.name")
_AT_MARK = re.compile(r"mark\[(\d+)\]\.at")


def settled(scene: Scene) -> Scene:
    """The scene with its points where the readings put them, and those guesses no longer.

    It stays as it is where the readings cannot be met, or no real part would come of it.
    """
    try:
        return put_back(scene)
    except EditRefused:
        return scene


def put_back(scene: Scene) -> Scene:
    """The scene with its points where the readings put them.

    Raises EditRefused where there is no such place.
    """
    try:
        return settled_scene(scene)
    except InvalidInput as error:
        raise EditRefused(str(error.problems[0])) from error
    except KinematicsError as error:
        raise EditRefused(str(error)) from error


def with_reading(scene: Scene, reading: Reading, typed: Mapping[str, float] | None = None) -> Scene:
    """One reading more, the points where they were.

    ``typed``: coordinates as a hand typed them, by key.  From the first reading of a point on
    its place only says where it is drawn: what was typed of it goes on as readings.
    """
    own = () if typed is None else tuple(_as_typed(scene, reading, typed))
    return _with(scene, readings=(*scene.readings, *own, reading))


def with_other_reading(
    scene: Scene, place: int, reading: Reading, typed: Mapping[str, float]
) -> Scene:
    """Another reading in the place of one, the points where they were; ``typed`` as there."""
    own = tuple(_as_typed(scene, reading, typed))
    readings = list(scene.readings)
    readings[place] = reading
    return _with(scene, readings=(*readings, *own))


def place_of(key: str) -> int:
    """Which reading, or mark, a key is of."""
    return int(key.partition("[")[2].partition("]")[0])


def _as_typed(scene: Scene, reading: Reading, typed: Mapping[str, float]) -> Iterator[Reading]:
    """Readings that stand for the typed places of points that no reading has named so far."""
    named = {path for one in scene.readings for path in one.points}
    kinds: tuple[ReadingKind, ...] = ("out", "up", "fore")
    for path in reading.points:
        if path in named or path.startswith(MARK):
            continue
        for axis, kind in enumerate(kinds):
            value = typed.get(f"{path}[{axis}]")
            # What has been moved since was not read there.
            if value == scene.points[path][axis] and kind != reading.kind:
                yield Reading(kind, (path,), value)


def remove_reading(scene: Scene, place: int) -> Scene:
    """The scene without a reading; a point that no reading names any more stays where it is."""
    return settled(_with(scene, readings=_without(scene.readings, place)))


def add_mark(scene: Scene, name: str, at: Point) -> Scene:
    """One mark more; without a name it gets a number."""
    taken = {mark.name for mark in scene.marks}
    number = 1
    while not name and f"mark {number}" in taken:
        number += 1
    mark = Mark(name or f"mark {number}", at)
    return _with(scene, marks=(*scene.marks, mark))


def remove_mark(scene: Scene, place: int) -> Scene:
    """The scene without a mark and the readings that are of it."""
    path = MARK + scene.marks[place].name
    left = tuple(one for one in scene.readings if path not in one.points)
    return settled(_with(scene, marks=_without(scene.marks, place), readings=left))


def rename_mark(scene: Scene, place: int, name: str) -> Scene:
    """The scene with another name for a mark, in its readings, too."""
    old, new = MARK + scene.marks[place].name, MARK + name
    readings = tuple(
        replace(one, points=tuple(new if path == old else path for path in one.points))
        for one in scene.readings
    )
    try:
        marks = list(scene.marks)
        marks[place] = replace(marks[place], name=name)
    except InvalidInput as error:
        raise refusing(error, f"mark[{place}].name") from error
    return _with(scene, marks=tuple(marks), readings=readings)


def set_of_readings(scene: Scene, key: str, value: object) -> Scene | None:
    """The scene with another value of a reading, or another name of a mark; None for others."""
    name = _NAME_OF_MARK.fullmatch(key)
    if name is not None:
        return rename_mark(scene, int(name[1]), str(value))
    return settled(with_value(scene, key, value)) if key.startswith("reading[") else None


def point_at(scene: Scene, key: str) -> str:
    """The path by which readings name the point of a key; empty where it is none."""
    mark = _AT_MARK.fullmatch(key)
    if mark is not None and int(mark[1]) < len(scene.marks):
        return MARK + scene.marks[int(mark[1])].name
    return key if key in scene.points else ""


def key_of_point(scene: Scene, path: str) -> str:
    """The key of a point that readings name."""
    if not path.startswith(MARK):
        return path
    names = [mark.name for mark in scene.marks]
    return f"mark[{names.index(path.removeprefix(MARK))}].at"


def drawn_off(before: Scene, after: Scene, unit: Unit) -> str:
    """What an edit has drawn off its readings, in one line; empty where nothing."""
    if not after.readings or dict(before.points) == dict(after.points):
        return ""
    try:
        found = settle_scene(after)
    except KinematicsError:
        return ""
    moved = [
        one
        for one in found.points
        if one.rests and one.fixed_by and before.points.get(one.name) != after.points[one.name]
    ]
    worst = max(moved, key=lambda one: one.drawn_off_mm, default=None)
    if worst is None or worst.drawn_off_mm <= SETTLED_MM:
        return ""
    far = format_length(worst.drawn_off_mm, unit, rounding="up")
    name = point_words(worst.name, list(after.points))
    return f"{name.capitalize()} is drawn {far} from where its readings put it. K puts it back."


def moved_far(before: Scene, after: Scene, unit: Unit) -> str:
    """What is asked where a reading takes a point far away, in one line; empty where none does."""
    if before.readings == after.readings:
        return ""
    there = before.points
    moved = {path: math.dist(at, there[path]) for path, at in after.points.items() if path in there}
    path = max(moved, key=moved.__getitem__, default="")
    if not path or moved[path] < FAR_MM:
        return ""
    name = point_words(path, list(after.points))
    far = format_length(moved[path], unit, digits=0)
    return f"{name.capitalize()} is now {far} from where it was: is the number meant?"


def _without(things: tuple[Any, ...], place: int) -> tuple[Any, ...]:
    return things[:place] + things[place + 1 :]


def _with(scene: Scene, **changes: object) -> Scene:
    try:
        return replace(scene, **changes)  # type: ignore[arg-type]
    except InvalidInput as error:
        raise EditRefused(str(error.problems[0])) from error
