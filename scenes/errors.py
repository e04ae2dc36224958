"""A scene that cannot be read, with every problem in it, and how its values are quoted."""

from __future__ import annotations

import json
from collections.abc import Iterable

from kinematics.errors import Problem

_LONGEST_SHOWN = 40


class SceneError(Exception):
    """A scene file that cannot be read; one line for each problem found.

    ``source`` names the file, or is empty for text that came from elsewhere.
    """

    def __init__(self, problems: Iterable[Problem], source: str = "") -> None:
        self.problems = tuple(problems)
        self.source = source
        super().__init__("\n".join(str(problem) for problem in self.problems))


def unreadable(why: str, source: str) -> SceneError:
    """The error of a scene that cannot be read at all."""
    return SceneError([Problem("", why)], source)


def escaped(text: str) -> str:
    """A text whose letters that cannot be printed are spelt as TOML would."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def shown(value: object) -> str:
    """A value as the message quotes it, on one line and not too long."""
    try:
        text = json.dumps(value, ensure_ascii=False)
    except (TypeError, ValueError, RecursionError):
        text = str(value) if isinstance(value, (int, float)) else type(value).__name__
    text = escaped(" ".join(text.split()))
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 1] + "…"


def meant(name: str, known: Iterable[str]) -> str:
    """Which of the known names may have been meant, at the end of a refusal."""
    # Only a refusal asks for it.
    from difflib import get_close_matches  # noqa: PLC0415

    close = get_close_matches(name, list(known), n=1)
    return f"; did you mean {shown(close[0])}" if close else ""


def shown_key(name: str) -> str:
    """A key as a path shows it: quoted where it is not a bare key."""
    bare = name.replace("_", "").replace("-", "")
    return name if bare.isalnum() and name.isascii() else shown(name)
