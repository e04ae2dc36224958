"""The paths of the scene file as getters and setters.

A key names a value just as the scene file writes it: ``linkage.ball_joint``,
``shafts.left.inner_joint.mid_stroke``, ``bracket[0].outline[2]``,
``gearbox.movement.up``.  An index after a point picks one coordinate:
``hub.wheel_centre[1]`` is its ``up``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from functools import lru_cache
from typing import Any, cast

from kinematics.errors import InvalidInput
from kinematics.shaft.mount_room import MountRoom
from kinematics.sure.readings import READING_KINDS
from kinematics.sure.tape import Tape
from scenes.model import SIDES, Scene
from scenes.part_keys import FILE_WORDS

PathStep = str | int

_WHOLE = re.compile(r"[A-Za-z_]+(\[\d+\])*(\.[A-Za-z_]+(\[\d+\])*)*")
_PART = re.compile(r"([A-Za-z_]+)|\[(\d+)\]")
_OF_MAKING = ("splice", "runout", "finished_length", "trial", "doubtful")
# Where the file's words and the model's differ.
_LEADING: dict[tuple[PathStep, ...], tuple[PathStep, ...]] = {
    ("gearbox", "movement"): ("gearbox_movement",),
    ("gearbox", "placement"): ("gearbox_placement",),
    **{
        ("shafts", side, *words): (f"{side}_making", name)
        for side in SIDES
        for words, name in (
            (("donors", "hub"), "hub_donor"),
            (("donors", "gearbox"), "gearbox_donor"),
            *(((name,), name) for name in _OF_MAKING),
        )
    },
    ("shafts",): (),
    ("bracket",): ("brackets",),
    ("mark",): ("marks",),
    ("reading",): ("readings",),
}
_NAMES: dict[PathStep, PathStep] = {file: model for model, file in FILE_WORDS.items()}
# Optional tables that setting one value of them makes.
_MADE: dict[PathStep, Callable[[], object]] = {"tape": Tape, "gearbox_placement": MountRoom}


class NoSuchThing(KeyError):
    """A key that names nothing in the scene."""

    def __str__(self) -> str:
        return str(self.args[0])


class EditRefused(ValueError):
    """An edit that would make no real scene; the text says in one line what would be right."""


def file_word(name: str) -> str:
    """The file's word for an attribute of the model: ``from_`` is ``from``."""
    return FILE_WORDS.get(name, name)


@lru_cache(maxsize=4096)
def path_steps(key: str) -> tuple[PathStep, ...]:
    """The model's attribute names and indices behind a key."""
    if not _WHOLE.fullmatch(key):
        raise NoSuchThing(f"{key}: no such thing in a scene")
    parts = (match.groups() for match in _PART.finditer(key))
    found: list[PathStep] = [name or int(index) for name, index in parts]
    for file_words, model_words in _LEADING.items():
        if tuple(found[: len(file_words)]) == file_words:
            found[: len(file_words)] = model_words
            break
    if found[0] == "gearbox_placement" and found[1:2] == ["out"]:
        found[1] = "lateral"
    # A measurement of a trial fit has an error, too, and only one; so has a reading.
    names = _NAMES if "trial" not in found and found[0] != "readings" else {}
    if found[0] == "readings" and found[-1] in READING_KINDS:
        found[-1] = "value"
    return tuple(names.get(step, step) for step in found)


def value_of(scene: Scene, key: str) -> Any:
    """The value that a key names.

    Raises NoSuchThing where the scene has none.
    """
    value: Any = scene
    for step in path_steps(key):
        value = _child(value, step, key)
    return value


def has(scene: Scene, key: str) -> bool:
    """Whether a key names something in the scene."""
    try:
        return bool(key) and value_of(scene, key) is not None
    except NoSuchThing:
        return False


def with_value(scene: Scene, key: str, value: object) -> Scene:
    """The scene with another value under a key.

    Raises NoSuchThing for an unknown key, EditRefused where no real part would come of it.
    """
    return cast(Scene, _with(scene, path_steps(key), value, key))


def refusing(error: InvalidInput, key: str) -> EditRefused:
    """One clear line from an input's problems, named by the scene's keys.

    ``key`` is the value that was set; the field that is wrong may be its neighbour.
    """
    problem = error.problems[0]
    field = problem.field.rstrip("_")
    holder = re.sub(r"\.?\w+(\[\d+\])*$", "", key)
    whole = "." in field or not holder
    name = (field or key) if whole else f"{holder}.{field}" if field else key
    return EditRefused(f"{name}: {problem.message}")


def _child(value: Any, step: PathStep, key: str) -> Any:
    if isinstance(step, int):
        if isinstance(value, tuple) and 0 <= step < len(value):
            return value[step]
    elif is_dataclass(value) and any(field.name == step for field in fields(value)):
        return getattr(value, step)
    raise NoSuchThing(f"{key}: no such thing in this scene")


def _with(holder: Any, path: tuple[PathStep, ...], value: object, key: str) -> Any:
    step, *rest = path
    child = _child(holder, step, key)
    if child is None and rest and step in _MADE:
        child = _MADE[step]()
    new = _with(child, tuple(rest), value, key) if rest else value
    if isinstance(step, int):
        return (*holder[:step], new, *holder[step + 1 :])
    try:
        return replace(holder, **{step: new})
    except InvalidInput as error:
        raise refusing(error, key) from error
