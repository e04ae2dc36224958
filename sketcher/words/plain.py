"""Texts as they may be shown: on one line, printable, as long as there is room; a refusal."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

UNTITLED = "Untitled scene"
# Out is drawn to the right on either side of the car.
SEEN_FROM = {"left": "left side, from the front", "right": "right side, from behind"}


def printable(line: str) -> str:
    """A line without what would move a terminal's cursor or turn its letters round."""
    return "".join(sign if sign.isprintable() else " " for sign in line)


def titled(title: str) -> str:
    """A scene's title on one line, printable."""
    return " ".join(printable(title).split()) or UNTITLED


def shortened(text: str, room: float, width: Callable[[str], float] = len) -> str:
    """The text, or as much of it with an ellipsis as ``width`` lets into the room.

    >>> shortened("gearbox mount", 8)
    'gearbox…'
    """
    if width(text) <= room:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width(f"{text[:middle].rstrip()}…") <= room:
            low = middle
        else:
            high = middle - 1
    short = f"{text[:low].rstrip()}…"
    return short if width(short) <= room else ""


def listed(words: Sequence[str]) -> str:
    """Several things as a sentence names them: "a, b and c"."""
    return " and ".join((", ".join(words[:-1]), words[-1]) if len(words) > 1 else words)


def sentence(line: str) -> str:
    """A line with a capital letter and a full stop."""
    return f"{line[0].upper()}{line[1:]}."


def picked(result: object, *names: str) -> dict[str, Any]:
    """Some figures of a result under their own names, fit for JSON."""
    return {name: getattr(result, name) for name in names}


def finite(value: float) -> float | None:
    """A number as JSON has it: none where it is infinite or unknown."""
    return value if math.isfinite(value) else None


class Refused(Exception):
    """Something that cannot be done as asked; the text says in one line what would be right."""
