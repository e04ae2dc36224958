"""From a Scene to its file: comments kept where nothing changed, the file replaced whole."""

from __future__ import annotations

import difflib
import errno
import os
import tempfile
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table
from tomlkit.toml_document import TOMLDocument

from kinematics.parts import Bracket, GearboxMovement
from scenes.donors import plain_donors
from scenes.errors import SceneError
from scenes.guessed import without_guesses
from scenes.making import DONOR_FIELDS
from scenes.model import FORMAT, SIDES, Scene
from scenes.reading import OPTIONAL_TABLES, parse_scene
from scenes.readings import plain_readings
from scenes.records import Plain, plain_record

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
    content["linkage"] = {"kind": scene.linkage.kind} | plain_record(scene.linkage)
    content["hub"] = plain_record(scene.hub)
    content["travel"] = plain_record(scene.travel)
    content |= _optional(scene, "steering")
    if "gearbox.movement" in scene.none_of:
        content["gearbox"] = {"movement": dict.fromkeys(("out", "up", "fore"), 0)}
    elif scene.gearbox_movement != GearboxMovement():
        content["gearbox"] = {"movement": plain_record(scene.gearbox_movement)}
    if scene.gearbox_placement is not None:
        content.setdefault("gearbox", {})["placement"] = plain_record(scene.gearbox_placement)
    content["shafts"] = {
        side: plain_record(shaft)
        | plain_record(making := scene.making(side), DONOR_FIELDS, donors=plain_donors(making))
        for side in SIDES
        if (shaft := scene.shaft(side)) is not None
    }
    content |= _optional(scene, *(name for name in OPTIONAL_TABLES if name != "steering"))
    if scene.brackets or "bracket" in scene.none_of:
        content["bracket"] = [_bracket(bracket) for bracket in scene.brackets]
    return content | plain_readings(scene.marks, scene.readings)


def _optional(scene: Scene, *names: str) -> Plain:
    parts = {name: getattr(scene, name) for name in names}
    return {name: plain_record(part) for name, part in parts.items() if part is not None}


def _bracket(bracket: Bracket) -> Plain:
    # What it is mounted on is said even where it goes without saying.
    return {"name": bracket.name, "mounted_on": bracket.mounted_on} | plain_record(bracket)


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
    if isinstance(value, str) and "\n" in value[1:] and value[0] != "\n" and "\r" not in value:
        # Between triple quotes those line ends would be read as others.
        # The line end after the opening quotes is not part of the text.
        quoted = tomlkit.string(value, multiline=True).as_string()
        return tomlkit.value(f'"""\n{quoted[3:]}')
    return tomlkit.item(value)


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


_QUOTES = ('"""', "'''")


def spaced(original: str, changed: str) -> str:
    """The changed text with its additions set off by one blank line, and no line moved else.

    Additions take the original's line ends.
    """
    newline = "\r\n" if "\r\n" in original else "\n"
    old, new = original.splitlines(keepends=True), changed.splitlines(keepends=True)
    lines: list[str] = []
    matcher = difflib.SequenceMatcher(None, old, new, autojunk=False)
    for tag, old_from, old_to, new_from, new_to in matcher.get_opcodes():
        if tag == "equal":
            lines += new[new_from:new_to]
            continue
        added = [line.rstrip("\r\n") + newline for line in new[new_from:new_to]]
        removed = old[old_from:old_to]
        before_header = new_to < len(new) and new[new_to].startswith("[")
        if any(quotes in line for line in (*added, *removed) for quotes in _QUOTES):
            lines += added
        elif any(map(str.strip, added)):
            lines += _once_blank(added, follows_blank=bool(lines) and not lines[-1].strip())
            adds_table = any(line.startswith("[") for line in added)
            if adds_table and before_header and lines[-1].strip():
                lines.append(newline)
        elif before_header and removed and not removed[-1].strip() and lines and lines[-1].strip():
            # The blank line that set off what is gone sets off what follows.
            lines.append(newline)
    return "".join(lines)


def _once_blank(added: list[str], *, follows_blank: bool) -> list[str]:
    kept: list[str] = []
    for line in added:
        blank = not line.strip()
        if not (blank and follows_blank):
            kept.append(line)
        follows_blank = blank
    return kept
