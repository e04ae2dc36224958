"""Work that a window left behind: what is said of it when it is offered again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from pathlib import Path

from kinematics.parts import Bracket
from scenes.errors import SceneError
from scenes.model import Scene
from scenes.reading import read_scene
from sketcher.window.model.autosave import Leftover
from sketcher.window.model.document import Document
from sketcher.words.plain import printable

_NAMES = {"left": "left shaft", "right": "right shaft", "left_making": "making, left shaft",
          "right_making": "making, right shaft"}  # fmt: skip
# More things that differ than these are counted and not named.
_NAMED = 6


def recovered(leftover: Leftover) -> Document:
    """The document of a leftover, to be edited on."""
    return Document.recovered(leftover.scene, leftover.text, leftover.path, leftover.on_disk)


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
    newer = written > leftover.saved_at
    said.append(
        f"The file was last written at {time_words(written)}: "
        f"{'it is newer than what was kept' if newer else 'it is older than what was kept'}."
    )
    names = list(what_differs(leftover.scene, there))
    if not names:
        return [*said, "Both say the same."]
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return [*said, f"They differ in: {'; '.join(names[:_NAMED])}{more}."]


def what_differs(one: Scene, other: Scene) -> Iterator[str]:
    """The things that two scenes say differently, as a person would name them."""
    for field in fields(Scene):
        name = _NAMES.get(field.name, field.name.replace("_", " "))
        yield from _differing(name, getattr(one, field.name), getattr(other, field.name))


def _differing(name: str, one: object, other: object) -> Iterator[str]:
    if one == other:
        return
    if is_dataclass(one) and type(one) is type(other) and not isinstance(one, Bracket):
        for field in fields(one):
            inner = f"{name}, {field.name.replace('_', ' ')}"
            yield from _differing(inner, getattr(one, field.name), getattr(other, field.name))
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
