"""How a command ends, answers and fails: exit codes, plain lines, JSON.

The mechanics are not needed here, so that help is there at once.
"""

from __future__ import annotations

import codecs
import io
import json
import sys
from typing import TextIO

from sketcher.words.plain import Refused, printable

GOOD, BROKEN, UNUSABLE = 0, 1, 2


class CommandError(Refused):
    """A command that cannot go on; the text says in one line what would be right."""


def print_json(content: object, to: TextIO | None = None) -> None:
    """Answer as JSON; one that held NaN would be a fault here."""
    print(json.dumps(content, indent=2, allow_nan=False), file=to)


def tell(*lines: str, to: TextIO | None = None) -> None:
    """Tell a person the answer, on standard output; texts in it come from files."""
    for line in lines:
        print(printable(line), file=to)


def complain(*lines: str) -> None:
    """Tell a person what is wrong, on standard error."""
    tell(*lines, to=sys.stderr)


# What a terminal or file may have no character for.  A minus must not get lost.
_SPELT = {"−": "-", "°": " deg", "±": "+/-", "×": "x", "–": "-", "…": "...", "′": "'", "″": '"'}


def _spelt(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end]
    return "".join(_SPELT.get(sign, "?") for sign in text), error.end


def spell_out(*streams: TextIO) -> None:
    """Have the streams write what they have no character for in plain letters."""
    codecs.register_error("spelt", _spelt)
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="spelt")
