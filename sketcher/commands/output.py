"""Where an answer is written: a file replaced in one step, a device or pipe, standard output."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TextIO

from sketcher.commands.common import Opened, Option
from sketcher.commands.console import CommandError

STANDARD_OUTPUT = Path("-")
_ITSELF = " is the scene itself; name another file, and keep both"


def to_file(metavar: str, says: str, *, required: bool = False) -> Option:
    """The file to write to."""
    about = f"{says}; - is standard output"
    return Option("-o", "--output", type=Path, required=required, metavar=metavar, help=about)


def output_form(path: Path, opened: Opened, endings: tuple[str, ...], option: str = "-o") -> str:
    """Which of the endings is written.  A device, a pipe and standard output have none: the first.

    Raises CommandError for another ending, and for the scene itself.
    """
    if path == STANDARD_OUTPUT:
        return endings[0]
    try:
        if _same(path, opened.path):
            raise CommandError(f"{option}: {path}{_ITSELF}")
        if path.is_dir():
            raise CommandError(f"{path}: cannot be written: it is a folder")
        stream = path.exists() and not path.is_file()
    except OSError as error:
        raise CommandError(f"{path}: cannot be written: {error.strerror}") from error
    ending = path.suffix.lower()
    if ending in endings:
        return ending
    if stream:
        return endings[0]
    *others, last = endings
    expected = f"{', '.join(others)} or {last}" if others else last
    raise CommandError(f"{option}: expected a file ending in {expected}, got {path.name}")


def _same(path: Path, scene: Path | None) -> bool:
    return scene is not None and path.exists() and scene.exists() and path.samefile(scene)


def write_out(content: bytes, path: Path | None, scene: Path | None = None) -> None:
    """Write to a file in one step, to a device or pipe, or to standard output.

    Raises CommandError where that cannot be, and for the file of the scene itself.
    """
    if path is None or path == STANDARD_OUTPUT:
        sys.stdout.flush()
        sys.stdout.buffer.write(content)
        sys.stdout.buffer.flush()
        return
    # Loads the library that edits scene files, which a report does not need.
    from scenes.writing import write_whole  # noqa: PLC0415

    try:
        if _same(path, scene):
            raise CommandError(f"{path}{_ITSELF}")
        write_whole(path, content)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise CommandError(f"{path}: cannot be written: {reason}") from error
    except ValueError as error:
        raise CommandError(f"{path}: no file can have this name") from error


def aside(path: Path | None) -> TextIO:
    """Where words go: not into what is written to standard output."""
    return sys.stderr if path == STANDARD_OUTPUT else sys.stdout
