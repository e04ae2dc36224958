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
from kinematics.sure.readings import Mark
from kinematics.sure.tape import Tape
from scenes.donors import read_donors
from scenes.errors import SceneError, shown, unreadable
from scenes.forms import texts
from scenes.guessed import values_of
from scenes.making import DONOR_FIELDS, Making
from scenes.model import FORMAT, SIDES, Scene
from scenes.photo import Photo
from scenes.readings import read_reading
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
            raise unreadable("expected a scene file, this one is too large to be one", str(path))
        return content.decode("utf-8-sig")
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise unreadable(f"cannot be read: {reason}", str(path)) from error
    except UnicodeDecodeError as error:
        why = f"expected UTF-8 text, byte {error.start} is none"
        raise unreadable(why, str(path)) from error
    except ValueError as error:
        raise unreadable("no file can have this name", str(path)) from error


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
        raise unreadable(f"not a TOML file: {reason}", source) from error
    except (RecursionError, ValueError) as error:
        why = "not a TOML file that can be read: nested too deep or a number too long"
        raise unreadable(why, source) from error
    problems: list[Problem] = []
    scene = _scene(Table(values, "", problems))
    if problems or scene is None:
        raise SceneError(problems, source)
    return scene


def _scene(top: Table) -> Scene | None:
    top.value(
        "format",
        f"expected {FORMAT}",
        lambda value: value if value == FORMAT and type(value) is int else None,
    )
    linkage = _linkage(top)
    optional = _shafts(top) | _parts(top, OPTIONAL_TABLES) | _gearbox(top)
    said = {"gearbox.movement": "gearbox_movement" in optional, "bracket": top.has("bracket")}
    if top.has("guessed"):
        optional["guessed"] = top.value("guessed", GUESSED, texts)
    scene = top.build(
        Scene,
        title=top.text("title", ""),
        notes=top.text("notes", ""),
        linkage=linkage,
        hub=_part(top, "hub", parts.Hub),
        travel=_part(top, "travel", parts.Travel),
        brackets=all_of(_bracket(one, n) for n, one in enumerate(top.tables("bracket"), 1)),
        marks=all_of(read_record(one, Mark) for one in top.tables("mark")),
        readings=all_of(read_reading(one) for one in top.tables("reading")),
        none_of=frozenset(name for name, there in said.items() if there),
        **optional,
    )
    if scene is not None:
        for number, path in enumerate(scene.guessed):
            if not values_of(scene, path):
                top.note(f"guessed[{number}]", f"{GUESSED}; there is no {shown(path)} here")
    return scene


def _shafts(top: Table) -> dict[str, Any]:
    given: dict[str, Any] = {}
    shafts = top.table("shafts")
    if shafts is None:
        return given
    for side in SIDES:
        table = shafts.table(side, optional=True)
        if table is not None:
            given[f"{side}_making"] = _making(table)
            given[side] = read_record(table, parts.Shaft)
    if not any(shafts.has(side) for side in SIDES):
        shafts.problems.append(Problem("shafts", "expected [shafts.left], [shafts.right] or both"))
    shafts.close()
    return given


def _gearbox(top: Table) -> dict[str, Any]:
    table = top.table("gearbox", optional=True)
    if table is None:
        return {}
    given = _parts(table, {"movement": parts.GearboxMovement, "placement": MountRoom})
    table.close()
    return {f"gearbox_{name}": part for name, part in given.items()}


def _linkage(top: Table) -> parts.Linkage | None:
    table = top.table("linkage")
    if table is None:
        return None
    kind = table.choice("kind", tuple(LINKAGES))
    return None if kind is None else read_record(table, LINKAGES[kind])


def _parts(holder: Table, makes: Mapping[str, type]) -> dict[str, Any]:
    """The parts of those tables that are there."""
    return {name: _part(holder, name, make) for name, make in makes.items() if holder.has(name)}


def _part(holder: Table, name: str, make: type[T]) -> T | None:
    table = holder.table(name)
    return None if table is None else read_record(table, make)


def _making(shaft: Table) -> Making | None:
    """The making keys of a [shafts.SIDE] table, which stays open for its other keys."""
    donors = shaft.table("donors", optional=True)
    given: dict[str, Any] = {} if donors is None else read_donors(donors)
    return shaft.made(Making, read_fields(shaft, Making, skip=DONOR_FIELDS) | given)


def _bracket(table: Table, number: int) -> parts.Bracket | None:
    return read_record(table, parts.Bracket, name=table.text("name", f"bracket {number}"))


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
