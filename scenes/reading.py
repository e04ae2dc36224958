"""From a scene file to a Scene: strict, with every problem found in one go."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from kinematics.errors import Problem
from kinematics.linkage.bodies import Arm, StrutTube
from kinematics.making.lathe import Lathe
from kinematics.making.torque import Drive
from kinematics.parts import (
    CARRIERS,
    Bracket,
    GearboxMovement,
    Hub,
    InnerJoint,
    Linkage,
    Measured,
    MeasuredPosition,
    OuterJoint,
    Section,
    Shaft,
    Steering,
    Strut,
    Travel,
    Wishbones,
)
from kinematics.shaft.placement import MountRoom
from kinematics.sure.tape import Tape, TapeError
from scenes.errors import SceneError
from scenes.guessed import values_of
from scenes.making import read_making
from scenes.model import FORMAT, SIDES, Scene
from scenes.photo import read_photo_table
from scenes.readings import read_marks, read_readings
from scenes.records import read_record, record
from scenes.tables import Table, all_of, shown

T = TypeVar("T")
LARGEST_FILE = 4_000_000
GUESSED = 'expected paths of measured values in the scene, such as "linkage.arm_pivot"'
STROKE_ROWS = "expected rows [angle in deg, stroke in, stroke out in mm]"
SIZES = "expected mm each way, or [out, up, fore]"
ROOM = "expected mm each way, or [least, most]"
DIAMETER = "expected a diameter in mm, or [d_from, d_to] for a taper"


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
                optional[f"{side}_making"] = read_making(table)
                optional[side] = _shaft(table)
        if not any(shafts.has(side) for side in SIDES):
            shafts.problems.append(
                Problem("shafts", "expected [shafts.left], [shafts.right] or both")
            )
        shafts.close()
    for name, read in OPTIONAL_TABLES.items():
        table = top.table(name, optional=True)
        if table is not None:
            optional[name] = read(table)
    optional |= _gearbox(top)
    none_of |= optional.pop("none_of", set())
    if top.has("bracket"):
        none_of.add("bracket")
    if top.has("guessed"):
        optional["guessed"] = top.texts("guessed", GUESSED)
    scene = top.build(
        Scene,
        title=top.text("title", "", optional=True),
        notes=top.text("notes", "", optional=True),
        linkage=linkage,
        hub=_needed(top, "hub", Hub),
        travel=_needed(top, "travel", Travel),
        brackets=_brackets(top),
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
        given["gearbox_movement"] = read_record(movement, GearboxMovement)
    placement = table.table("placement", optional=True)
    if placement is not None:
        given["gearbox_placement"] = _placement(placement)
    table.close()
    return given


def _linkage(top: Table) -> Linkage | None:
    table = top.table("linkage")
    if table is None:
        return None
    kind = table.choice("kind", ("strut", "wishbones", "measured"))
    if kind == "measured":
        positions = all_of(read_record(item, MeasuredPosition) for item in table.tables("position"))
        return table.build(Measured, positions=positions)
    if kind == "strut":
        return read_record(table, Strut)
    if kind == "wishbones":
        return read_record(table, Wishbones)
    return None


def _tape(table: Table) -> Tape[str] | None:
    errors = all_of(
        read_record(item, TapeError, thing=item.text("thing"), size=item.sizes("size", SIZES))
        for item in table.tables("error")
    )
    return read_record(table, Tape, errors=errors)


def _placement(table: Table) -> MountRoom | None:
    """How far the tacked mounts may still be shifted; sideways is + towards the car's left."""
    given = {
        field: table.each_way(key, ROOM)
        for key, field in (("out", "lateral"), ("up", "up"))
        if table.has(key)
    }
    return table.build(MountRoom, **given)


def _needed(top: Table, name: str, make: type[T]) -> T | None:
    table = top.table(name)
    return None if table is None else read_record(table, make)


def _shaft(table: Table) -> Shaft | None:
    return read_record(
        table,
        Shaft,
        inner_joint=_inner_joint(table),
        outer_joint=_outer_joint(table),
        sections=_sections(table),
    )


def _inner_joint(shaft: Table) -> InnerJoint | None:
    table = shaft.table("inner_joint")
    if table is None:
        return None
    return read_record(
        table,
        InnerJoint,
        axis=table.direction("axis", (1.0, 0.0, 0.0)),
        stroke_at_angle=table.rows("stroke_at_angle", STROKE_ROWS, optional=True),
        sections=_sections(table),
    )


def _outer_joint(shaft: Table) -> OuterJoint | None:
    table = shaft.table("outer_joint")
    if table is None:
        return None
    return read_record(table, OuterJoint, sections=_sections(table))


def _sections(table: Table) -> tuple[Section, ...] | None:
    return all_of(_section(item) for item in table.tables("section"))


def _section(table: Table) -> Section | None:
    def diameter(value: Any) -> tuple[float, float] | None:
        both = value if isinstance(value, list) else [value, value]
        return Table({"d": both}, "", []).pair("d", "")

    return read_record(
        table,
        Section,
        name=table.text("name", "", optional=True),
        diameter=table.value("diameter", DIAMETER, diameter),
    )


def _brackets(top: Table) -> tuple[Bracket, ...] | None:
    return all_of(_bracket(table, number) for number, table in enumerate(top.tables("bracket"), 1))


def _bracket(table: Table, number: int) -> Bracket | None:
    return read_record(
        table,
        Bracket,
        name=table.text("name", f"bracket {number}", optional=True),
        mounted_on=table.choice("mounted_on", CARRIERS, "body"),
        outline=table.outline("outline"),
    )


OPTIONAL_TABLES: Mapping[str, Callable[[Table], Any]] = {
    "steering": record(Steering),
    "drive": record(Drive),
    "lathe": record(Lathe),
    "tape": _tape,
    "strut_tube": record(StrutTube),
    "arm": record(Arm),
    "photo": read_photo_table,
}
