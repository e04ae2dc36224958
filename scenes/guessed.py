"""What nobody has measured yet: values of a scene that still are the starting sketch's.

``Scene.guessed`` names them by their paths.  A path may stand for one number
(``travel.bump``), for a point (``linkage.arm_pivot``), or for a whole part
(``shafts.left.donors.hub``); where some of its numbers are measured, the path gives way
to the paths of those that are left.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from kinematics.making.steels import Steel
from scenes.keys import file_word, has, value_of
from scenes.model import SIDES, Scene, Side

_AXES = 3
# Directions and what somebody decides rather than measures.
_NOT_MEASURED = frozenset({"axis", "wanted_gap"})
_MEASURED_PARTS = ("linkage", "hub", "travel", "steering", "gearbox.movement", "drive")
_OF_A_SHAFT = ("inner_joint", "outer_joint", "section", "donors.hub", "donors.gearbox", "runout")


def values_of(scene: Scene, path: str) -> tuple[str, ...]:
    """The paths of the single values that a path stands for: a point has three.

    Nothing where the scene has no such value.
    """
    return tuple(_values(value_of(scene, path), path)) if has(scene, path) else ()


def measurable(scene: Scene, side: Side) -> tuple[str, ...]:
    """The paths of every value that is measured on the car, or on the parts, for one side."""
    every = (*_MEASURED_PARTS, *(f"shafts.{side}.{part}" for part in _OF_A_SHAFT))
    return tuple(value for part in every for value in values_of(scene, part))


def guessed_values(scene: Scene, side: Side | None = None) -> tuple[str, ...]:
    """The paths of single values that nobody has measured yet.

    With a side, without those of the other side's shaft, which this one does not rest on.
    """
    if not scene.guessed:
        return ()
    others = tuple(f"shafts.{one}." for one in SIDES if side is not None and one != side)
    found = _spread(scene)
    return tuple(value for value in found if not value.startswith(others)) if others else found


def tally(scene: Scene, side: Side) -> tuple[int, int]:
    """How many of a side's values are still guesses, and of how many."""
    guesses = guessed_values(scene, side)
    return len(guesses), len(set(measurable(scene, side)).union(guesses))


def with_guesses(scene: Scene, paths: Iterable[str]) -> Scene:
    """The scene with more values that nobody has measured."""
    there = dict.fromkeys((*scene.guessed, *(path for path in paths if values_of(scene, path))))
    return replace(scene, guessed=tuple(there))


def without_guesses(scene: Scene, measured: Collection[str]) -> Scene:
    """The scene with single values that are measured now; what it no longer has goes too."""
    if not scene.guessed:
        return scene
    left: list[str] = []
    for path in scene.guessed:
        values = values_of(scene, path)
        still = [value for value in values if value not in measured]
        left += [path] if values and len(still) == len(values) else still
    new = tuple(dict.fromkeys(left))
    return scene if new == scene.guessed else replace(scene, guessed=new)


def set_by_hand(before: Scene, after: Scene) -> Scene:
    """The scene after a person's own edit: what that changed is a guess no longer."""
    if not after.guessed:
        return after
    changed = {
        path
        for path in _spread(after)
        if not has(before, path) or value_of(before, path) != value_of(after, path)
    }
    return without_guesses(after, changed)


def _spread(scene: Scene) -> tuple[str, ...]:
    spread = (value for path in scene.guessed for value in values_of(scene, path))
    return tuple(dict.fromkeys(spread))


def _values(value: Any, path: str) -> Iterator[str]:
    if isinstance(value, bool | str) or value is None:
        return
    if is_dataclass(value) and not isinstance(value, Steel):
        for field in fields(value):
            if field.name not in _NOT_MEASURED:
                yield from _values(getattr(value, field.name), f"{path}.{file_word(field.name)}")
    elif isinstance(value, tuple) and value and not isinstance(value[0], int | float):
        for index, item in enumerate(value):
            yield from _values(item, f"{path}[{index}]")
    elif isinstance(value, tuple) and len(value) == _AXES:
        yield from (f"{path}[{index}]" for index in range(_AXES))
    elif value != ():
        yield path
