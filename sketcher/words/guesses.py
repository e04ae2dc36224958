"""What nobody has measured yet, by the names of the things."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from scenes.key_table import named
from scenes.model import Scene, Side
from sketcher.words.plain import listed

_SECTION = re.compile(r"shafts\.(?P<side>left|right)\.section\[(?P<place>\d+)\]")
_PART = re.compile(r"\.donors\.(?P<end>hub|gearbox)\b|(^|\.)(?P<part>drive|runout)\b")
_MOST_NAMED = 4


def guess_words(scene: Scene, paths: Iterable[str]) -> str:
    """The things whose values are guesses, the first few by name.

    ``paths`` are those of single values, as :func:`scenes.guessed.guessed_values` gives them.
    """
    names = list(dict.fromkeys(_names(scene, paths)))
    more = len(names) - _MOST_NAMED
    if more > 1:
        return f"{', '.join(names[:_MOST_NAMED])} and {more} more"
    return listed(names)


def _names(scene: Scene, paths: Iterable[str]) -> Iterator[str]:
    for path in paths:
        section, part = _SECTION.match(path), _PART.search(path)
        if section is not None:
            side: Side = "left" if section["side"] == "left" else "right"
            shaft, place = scene.shaft(side), int(section["place"])
            name = shaft.sections[place].name if shaft is not None else ""
            yield name or f"section {place + 1}"
        elif part is not None:
            yield f"{part['end']} donor" if part["end"] else part["part"]
        else:
            # A comma parts the things of this list.
            name = named(path.rpartition("[")[0] if path.endswith("]") else path)
            yield name.replace(", ", " ")
