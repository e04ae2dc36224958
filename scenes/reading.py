"""From a scene file to a Scene: strict, with every problem found in one go."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from kinematics import parts
from kinematics.errors import Problem
from kinematics.linkage.bodies import Arm, StrutTube
from kinematics.making.lathe import Lathe
from kinematics.making.torque import Drive
from kinematics.shaft.mount_room import MountRoom
from kinematics.sure.tape import Tape
from scenes.donors import read_donors
from scenes.errors import SceneError, shown
from scenes.forms import texts
from scenes.guessed import values_of
from scenes.making import DONOR_FIELDS, Making
from scenes.model import FORMAT, SIDES, Scene
from scenes.photo import Photo
from scenes.readings import read_marks, read_readings
from scenes.records import read_fields, read_record
from scenes.tables import Table, all_of

T = TypeVar("T")
LARGEST_FILE = 4_000_000
GUESSED = 'expected paths of measured values in the scene, such as "linkage.arm_pivot"'


def read_text(path: Path) -> str:
    """The text of a scene file.

    Raises SceneError where it cannot be read or is no UTF-8 text.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
        if len(content) > LARGEST_FILE:
            raise SceneError(
                [Problem("", "expected a scene file, this one is too large to be one")],
                str(path),
            )
        return content.decode("utf-8-sig")
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise SceneError([Problem("", f"cannot be read: {reason}")], str(path)) from error
    except UnicodeDecodeError as error:
        raise SceneError(
            [Problem("", f"expected UTF-8 text, byte {error.start} is none")], str(path)
        ) from error
    except ValueError as error:
        raise SceneError([Problem("", "no file can have this name")], str(path)) from error


def read_scene(path: Path) -> Scene:
    """The scene in a file.

    Raises SceneError with every problem found.
    """
    return parse_scene(read_text(path), str(path))


def parse_scene(text: str, source: str = "") -> Scene:
    """The scene in a text.

    Raises SceneError with every problem found; ``source`` names the text's origin.
    """
    try:
        values = tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        reason = " ".join(str(error).split())
        raise SceneError([Problem("", f"not a TOML file: {reason}")], source) from error
    except (RecursionError, ValueError) as error:
        raise SceneError(
            [Problem("", "not a TOML file that can be read: nested too deep or a number too long")],
            source,
        ) from error
    problems: list[Problem] = []
    scene = _scene(Table(values, "", problems))
    if problems or scene is None:
        raise SceneError(problems, source)
    return scene


def _format(table: Table) -> None:
    table.value(
        "format",
        f"expected {FORMAT}",
        lambda value: value if value == FORMAT and type(value) is int else None,
    )


def _scene(top: Table) -> Scene | None:
    _format(top)
    optional: dict[str, Any] = {}
    none_of: set[str] = set()
    linkage = _linkage(top)
    shafts = top.table("shafts")
    if shafts is not None:
        for side in SIDES:
            table = shafts.table(side, optional=True)
            if table is not None:
                optional[f"{side}_making"] = _making(table)
                optional[side] = read_record(table, parts.Shaft)
        if not any(shafts.has(side) for side in SIDES):
            shafts.problems.append(
                Problem("shafts", "expected [shafts.left], [shafts.right] or both")
            )
        shafts.close()
    for name, make in OPTIONAL_TABLES.items():
        table = top.table(name, optional=True)
        if table is not None:
            optional[name] = read_record(table, make)
    optional |= _gearbox(top)
    none_of |= optional.pop("none_of", set())
    if top.has("bracket"):
        none_of.add("bracket")
    if top.has("guessed"):
        optional["guessed"] = top.value("guessed", GUESSED, texts)
    scene = top.build(
        Scene,
        title=top.text("title", "", optional=True),
        notes=top.text("notes", "", optional=True),
        linkage=linkage,
        hub=_needed(top, "hub", parts.Hub),
        travel=_needed(top, "travel", parts.Travel),
        brackets=all_of(_bracket(one, n) for n, one in enumerate(top.tables("bracket"), 1)),
        marks=read_marks(top),
        readings=read_readings(top),
        none_of=frozenset(none_of),
        **optional,
    )
    if scene is not None:
        _check_guessed(top, scene)
    return scene


def _check_guessed(top: Table, scene: Scene) -> None:
    for number, path in enumerate(scene.guessed):
        if not values_of(scene, path):
            top.note(f"guessed[{number}]", f"{GUESSED}; there is no {shown(path)} here")


def _gearbox(top: Table) -> dict[str, Any]:
    given: dict[str, Any] = {}
    table = top.table("gearbox", optional=True)
    if table is None:
        return given
    movement = table.table("movement", optional=True)
    if movement is not None:
        given["none_of"] = {"gearbox.movement"}
        given["gearbox_movement"] = read_record(movement, parts.GearboxMovement)
    placement = table.table("placement", optional=True)
    if placement is not None:
        given["gearbox_placement"] = read_record(placement, MountRoom)
    table.close()
    return given


def _linkage(top: Table) -> parts.Linkage | None:
    table = top.table("linkage")
    if table is None:
        return None
    kind = table.choice("kind", tuple(LINKAGES))
    return None if kind is None else read_record(table, LINKAGES[kind])


def _needed(top: Table, name: str, make: type[T]) -> T | None:
    table = top.table(name)
    return None if table is None else read_record(table, make)


def _making(shaft: Table) -> Making | None:
    """The making keys of a [shafts.SIDE] table, which stays open for its other keys."""
    donors = shaft.table("donors", optional=True)
    given: dict[str, Any] = {} if donors is None else read_donors(donors)
    return shaft.made(Making, read_fields(shaft, Making, skip=DONOR_FIELDS) | given)


def _bracket(table: Table, number: int) -> parts.Bracket | None:
    name = table.text("name", f"bracket {number}", optional=True)
    return read_record(table, parts.Bracket, name=name)


LINKAGES: Mapping[str, type[parts.Linkage]] = {
    "strut": parts.Strut,
    "wishbones": parts.Wishbones,
    "measured": parts.Measured,
}
OPTIONAL_TABLES: Mapping[str, type] = {
    "steering": parts.Steering,
    "drive": Drive,
    "lathe": Lathe,
    "tape": Tape,
    "strut_tube": StrutTube,
    "arm": Arm,
    "photo": Photo,
}
