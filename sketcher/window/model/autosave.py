"""Unsaved work kept in the user's state folder, found again after a crash, and what is said of it.

Each running window holds a lock beside its own file.  A file whose lock nobody
holds was left by a window that did not end as it should.
"""

from __future__ import annotations

import json
import os
import secrets
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields, is_dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO

import platformdirs

from scenes.errors import SceneError
from scenes.model import Scene
from scenes.reading import parse_scene, read_scene
from scenes.writing import write_whole
from sketcher.window.model.document import OnDisk
from sketcher.words.plain import printable

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

FOLDER_NAME = "drive-shaft-sketcher"
EVERY_SECONDS = 1.0


@dataclass(frozen=True, slots=True)
class Leftover:
    """Work that a window left behind when it did not end as it should."""

    file: Path
    scene: Scene
    text: str
    path: Path | None
    saved_at: datetime
    on_disk: OnDisk | None = None
    photo: Path | None = None

    def discard(self) -> None:
        """Remove it for good."""
        self.file.unlink(missing_ok=True)
        self.file.with_suffix(".lock").unlink(missing_ok=True)


def state_folder() -> Path:
    """Where this system keeps a program's own state."""
    return platformdirs.user_state_path(FOLDER_NAME, appauthor=False)


class Autosave:
    """The file of one window: written now and then, removed when the window ends well.

    ``kept`` is for whoever keeps scenes in it, to tell whether there is another.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or state_folder()
        self.folder.mkdir(parents=True, exist_ok=True)
        stem = f"unsaved-{secrets.token_hex(4)}"
        self._file = self.folder / f"{stem}.json"
        self._lock_path = self._file.with_suffix(".lock")
        self._lock: IO[bytes] | None = self._lock_path.open("wb")
        _try_lock(self._lock)
        self.kept: Scene | None = None

    def keep(
        self, text: str, path: Path | None, on_disk: OnDisk | None = None, photo: Path | None = None
    ) -> None:
        """Keep a scene's text.

        ``on_disk`` is its file as it was when it was last read or written, ``photo`` where
        a photo is that does not lie beside the scene yet.
        """
        if self._lock is None:
            return
        content = {
            "path": _absolute(path),
            "photo": _absolute(photo),
            "saved_at": datetime.now(UTC).isoformat(),
            "on_disk": None if on_disk is None else asdict(on_disk),
            "text": text,
        }
        write_whole(self._file, json.dumps(content).encode("utf-8"))

    def forget(self) -> None:
        """Remove what is kept: everything is saved."""
        self.kept = None
        self._file.unlink(missing_ok=True)

    def close(self) -> None:
        """End well: nothing is left behind."""
        if self._lock is None:
            return
        self.forget()
        self._lock.close()
        self._lock = None
        self._lock_path.unlink(missing_ok=True)


def leftovers(folder: Path | None = None) -> tuple[Leftover, ...]:
    """What windows left behind, the newest first; what cannot be read is passed over."""
    place = folder or state_folder()
    found = [item for item in _readable(place) if not _held(item.file.with_suffix(".lock"))]
    return tuple(sorted(found, key=lambda item: item.saved_at, reverse=True))


def _readable(folder: Path) -> Iterator[Leftover]:
    for file in sorted(folder.glob("unsaved-*.json")):
        try:
            content = json.loads(file.read_text(encoding="utf-8"))
            text, path = content["text"], content["path"]
            when = datetime.fromisoformat(content["saved_at"])
            seen = content.get("on_disk")
            on_disk = OnDisk(**seen) if seen else None
            where = Path(path) if path else None
            photo = Path(content["photo"]) if content.get("photo") else None
            yield Leftover(file, parse_scene(text), text, where, when, on_disk, photo)
        except (OSError, ValueError, KeyError, TypeError, SceneError):
            continue


def _absolute(path: Path | None) -> str | None:
    return None if path is None else os.path.abspath(path)  # noqa: PTH100 - never raises


def _held(lock: Path) -> bool:
    if not lock.exists():
        return False
    try:
        with lock.open("r+b") as stream:
            return not _try_lock(stream)
    except OSError:
        return True


def _try_lock(stream: IO[bytes]) -> bool:
    try:
        if sys.platform == "win32":
            msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


_NAMES = {"left": "left shaft", "right": "right shaft", "left_making": "making, left shaft",
          "right_making": "making, right shaft"}  # fmt: skip
# More things that differ than these are counted and not named.
_NAMED = 6


def sentences(leftover: Leftover) -> list[str]:
    """When it was kept, when its file was last written, and in what the two differ."""
    said = [f"It was kept at {time_words(leftover.saved_at)}."]
    if leftover.path is None:
        return said
    try:
        written = datetime.fromtimestamp(leftover.path.stat().st_mtime, UTC)
        there = read_scene(leftover.path)
    except FileNotFoundError:
        return [*said, "Its file is not there any more."]
    except (OSError, OverflowError):
        return [*said, "Its file cannot be looked at."]
    except SceneError as error:
        return [*said, f"Its file cannot be read: {error.problems[0]}."]
    newer = "newer" if written > leftover.saved_at else "older"
    at = time_words(written)
    said.append(f"The file was last written at {at}: it is {newer} than what was kept.")
    names = list(what_differs(leftover.scene, there))
    if not names:
        return [*said, "Both say the same."]
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return [*said, f"They differ in: {'; '.join(names[:_NAMED])}{more}."]


def what_differs(one: object, other: object, name: str = "") -> Iterator[str]:
    """The things that two scenes say differently, as a person would name them.

    ``name`` is what they are called, for parts of a scene.
    """
    if one == other:
        return
    if is_dataclass(one) and type(one) is type(other):
        for field in fields(one):
            own = _NAMES.get(field.name, field.name.replace("_", " "))
            inner = f"{name}, {own}" if name else own
            yield from what_differs(getattr(one, field.name), getattr(other, field.name), inner)
    elif name == "brackets" and isinstance(one, tuple) and isinstance(other, tuple):
        mine, theirs = ({bracket.name: bracket for bracket in all_} for all_ in (one, other))
        for key in {**mine, **theirs}:
            if mine.get(key) != theirs.get(key):
                yield f'bracket "{key}"'
    else:
        yield name


def time_words(when: datetime) -> str:
    """A time as a person would say it, by the clock on the wall."""
    return when.astimezone().strftime("%H:%M on %d %B %Y")


def refusal_of(path: Path, error: SceneError) -> str:
    """Why a scene file cannot be read, in one line."""
    more = len(error.problems) - 1
    rest = f" And {more} more." if more else ""
    return f"{printable(path.name)}: {error.problems[0]}.{rest}"


def when_written(path: Path) -> str:
    """When a file was written, as far as that can be told."""
    try:
        return f" at {time_words(datetime.fromtimestamp(path.stat().st_mtime, UTC))}"
    except (OSError, OverflowError):
        return ""
