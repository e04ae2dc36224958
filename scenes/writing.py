"""From a Scene to its file: comments kept where nothing changed, the file replaced whole."""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table
from tomlkit.toml_document import TOMLDocument

from kinematics.parts import (
    Bracket,
    GearboxMovement,
    InnerJoint,
    Linkage,
    Measured,
    Section,
    Shaft,
)
from kinematics.shaft.placement import MountRoom
from kinematics.sure.tape import Tape
from scenes.errors import SceneError
from scenes.guessed import without_guesses
from scenes.making import plain_making
from scenes.model import FORMAT, SIDES, Scene
from scenes.photo import plain_photo
from scenes.reading import parse_scene
from scenes.readings import plain_readings
from scenes.records import Plain, number, numbers, plain_record, point
from scenes.spacing import spaced

_ALLOWED, _OPEN_TO_ALL, _WRITABLE = 0o777, 0o666, 0o222
# Redirected to a file they are no device, and replacing it would lose what else goes there.
_OWN_STREAMS = ("/dev/stdout", "/dev/stderr", "/dev/fd/", "/proc/self/fd/")


def scene_text(scene: Scene, original: str | None = None) -> str:
    """The scene as TOML.

    ``original`` is the text it was read from: what the edit did not touch stays
    as it stands there, comments and spelling of numbers included.  An original
    that is no valid scene is not used.
    """
    wanted = plain(scene)
    if original is not None:
        patched = _patched(original, wanted)
        if patched is not None:
            return patched
    return tomlkit.dumps(_fresh(wanted))


def _patched(original: str, wanted: Plain) -> str | None:
    """The original text with what differs changed; None where it cannot be kept."""
    try:
        before = plain(parse_scene(original))
        document = tomlkit.parse(original)
        _patch(document, before, wanted)
        text = spaced(original, tomlkit.dumps(document))
        # A file may be laid out so that a change in place would say something else.
        return text if plain(parse_scene(text)) == wanted else None
    except (SceneError, TOMLKitError):
        return None


def write_scene(path: Path, scene: Scene, original: str | None = None) -> str:
    """Write the scene so that the file is always the old one or the new one, whole.

    Gives back the text written.  Raises OSError where the folder cannot be written to.
    """
    text = scene_text(scene, original)
    write_whole(path, text.encode("utf-8"))
    return text


def write_whole(path: Path, content: bytes) -> None:
    """Replace a file in one step: temporary file beside it, fsync, rename.

    A device or pipe is written to and stays.  Raises OSError, for a file that is read-only
    too; the file then stands as it was.
    """
    if _is_stream(path):
        with path.open("ab") as stream:
            stream.write(content)
        return
    # A link stays a link: what it points to is replaced.
    path = path.resolve()
    # A rename asks only the folder, and whoever may do anything is never refused.
    if path.is_file() and not (path.stat().st_mode & _WRITABLE and os.access(path, os.W_OK)):
        raise PermissionError(errno.EACCES, "it is read-only", str(path))
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        # mkstemp makes files private; a scene is as readable as any other file there.
        mode = path.stat().st_mode & _ALLOWED if path.exists() else _OPEN_TO_ALL & ~_umask()
        temporary.chmod(mode)
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def _is_stream(path: Path) -> bool:
    """Whether a path leads to a device, a pipe, or a stream of this process."""
    if str(path).startswith(_OWN_STREAMS):
        return True
    return path.exists() and not path.is_file()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def plain(scene: Scene) -> Plain:
    """The scene as nested dictionaries and lists, keyed as in the file.

    What has its default value is left out.
    """
    content: Plain = {"format": FORMAT}
    content |= {name: getattr(scene, name) for name in ("title", "notes") if getattr(scene, name)}
    # A path to what is no longer there could not be read again.
    guessed = without_guesses(scene, ()).guessed
    if guessed:
        content["guessed"] = list(guessed)
    content["linkage"] = {"kind": scene.linkage.kind} | _linkage(scene.linkage)
    content["hub"] = plain_record(scene.hub)
    content["travel"] = plain_record(scene.travel)
    if scene.steering is not None:
        content["steering"] = plain_record(scene.steering)
    if "gearbox.movement" in scene.none_of:
        content["gearbox"] = {"movement": dict.fromkeys(("out", "up", "fore"), 0)}
    elif scene.gearbox_movement != GearboxMovement():
        content["gearbox"] = {"movement": plain_record(scene.gearbox_movement)}
    if scene.gearbox_placement is not None:
        content.setdefault("gearbox", {})["placement"] = _placement(scene.gearbox_placement)
    content["shafts"] = {
        side: _shaft(shaft) | plain_making(scene.making(side))
        for side in SIDES
        if (shaft := scene.shaft(side)) is not None
    }
    parts: tuple[tuple[str, Any, Callable[[Any], Plain]], ...] = (
        ("drive", scene.drive, plain_record),
        ("lathe", scene.lathe, plain_record),
        ("tape", scene.tape, _tape),
        ("strut_tube", scene.strut_tube, plain_record),
        ("arm", scene.arm, plain_record),
        ("photo", scene.photo, plain_photo),
    )
    content |= {name: write(part) for name, part, write in parts if part is not None}
    if scene.brackets or "bracket" in scene.none_of:
        content["bracket"] = [_bracket(bracket) for bracket in scene.brackets]
    return content | plain_readings(scene.marks, scene.readings)


def _linkage(linkage: Linkage) -> Plain:
    if isinstance(linkage, Measured):
        return {"position": [plain_record(position) for position in linkage.positions]}
    return plain_record(linkage)


def _tape(tape: Tape[str]) -> Plain:
    content = plain_record(tape, skip=("errors",))
    if tape.errors:
        content["error"] = [
            plain_record(error, skip=("size",))
            | {"size": number(error.size[0]) if len(error.size) == 1 else numbers(error.size)}
            for error in tape.errors
        ]
    return content


def _placement(room: MountRoom) -> Plain:
    return {
        key: number(most) if least == -most else numbers((least, most))
        for key, (least, most) in (("out", room.lateral), ("up", room.up))
        if (least, most) != (0.0, 0.0)
    }


def _shaft(shaft: Shaft) -> Plain:
    content: Plain = {} if shaft.length is None else {"length": number(shaft.length)}
    content["inner_joint"] = _inner_joint(shaft.inner_joint)
    outer_joint = shaft.outer_joint
    content["outer_joint"] = plain_record(outer_joint, ("sections",))
    content["outer_joint"] |= _sections(outer_joint.sections)
    return content | _sections(shaft.sections)


def _sections(sections: Sequence[Section]) -> Plain:
    return {"section": [_section(section) for section in sections]} if sections else {}


def _inner_joint(joint: InnerJoint) -> Plain:
    content: Plain = {"mid_stroke": point(joint.mid_stroke)}
    if joint.axis != (1.0, 0.0, 0.0):
        content["axis"] = numbers(joint.axis)
    for name in ("stroke_in", "stroke_out", "max_angle"):
        content[name] = number(getattr(joint, name))
    if joint.stroke_at_angle:
        content["stroke_at_angle"] = [numbers(row) for row in joint.stroke_at_angle]
    return content | _sections(joint.sections)


def _section(section: Section) -> Plain:
    start, end = section.diameter
    content: Plain = {"name": section.name} if section.name else {}
    return content | {
        "from": number(section.from_),
        "to": number(section.to),
        "diameter": number(start) if start == end else numbers(section.diameter),
    }


def _bracket(bracket: Bracket) -> Plain:
    content: Plain = {"name": bracket.name, "mounted_on": bracket.mounted_on}
    content["outline"] = [numbers(corner) for corner in bracket.outline]
    return content | plain_record(bracket, ("name", "mounted_on", "outline"))


def _is_tables(value: object) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _fresh(content: Plain) -> TOMLDocument:
    document = tomlkit.document()
    for key, value in content.items():
        if isinstance(value, dict):
            document.add(tomlkit.nl())
        document.add(key, _item(value))
    return document


def _item(value: object) -> Any:
    if isinstance(value, dict):
        # A table that only leads to others needs no header of its own; an empty one is there.
        leads = bool(value) and all(isinstance(inner, dict) for inner in value.values())
        table = tomlkit.table(leads)
        for key, inner in value.items():
            table.add(key, _item(inner))
        return table
    if _is_tables(value):
        assert isinstance(value, list)
        tables = tomlkit.aot()
        for inner in value:
            tables.append(_item(inner))
        return tables
    if isinstance(value, str) and "\n" in value[1:] and not _needs_escapes(value):
        # The line end after the opening quotes is not part of the text.
        quoted = tomlkit.string(value, multiline=True).as_string()
        return tomlkit.value(f'"""\n{quoted[3:]}')
    return tomlkit.item(value)


def _needs_escapes(text: str) -> bool:
    """Whether line ends of the text would be read as others between triple quotes."""
    return text.startswith("\n") or "\r" in text


def _patch(held: TOMLDocument | Table, before: Plain, wanted: Plain) -> None:
    """Change what differs between two plain tables, in the table that holds the first."""
    for key in before:
        if key not in wanted and key in held:
            del held[key]
    for key, value in wanted.items():
        old = before.get(key)
        if old == value:
            continue
        current = held.get(key)
        if isinstance(value, dict) and isinstance(current, Table):
            _patch(current, old if isinstance(old, dict) else {}, value)
        elif _is_tables(value) and isinstance(current, AoT) and isinstance(old, list):
            held[key] = _patched_tables(current, old, value)
        elif _is_tables(value) != isinstance(current, AoT) and key in held:
            # Tables stand after all keys, a list among them.
            del held[key]
            held.add(key, _item(value))
        else:
            held[key] = _item(value)


def _patched_tables(current: AoT, before: list[Plain], wanted: list[Plain]) -> AoT:
    """Tables in their new order, each with the comments of the table that it was."""
    if len(before) == len(wanted):
        for table, old, new in zip(current.body, before, wanted, strict=True):
            _patch(table, old, new)
        return current
    left = list(zip(before, current.body, strict=True))
    tables = tomlkit.aot()
    for new in wanted:
        same = (pair for pair in left if pair[0] == new)
        named = (pair for pair in left if pair[0].get("name") == new.get("name"))
        match = next(same, None) or next(named, None)
        if match is None:
            tables.append(_item(new))
            continue
        left.remove(match)
        _patch(match[1], match[0], new)
        tables.append(match[1])
    return tables
