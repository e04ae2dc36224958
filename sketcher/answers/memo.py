"""The one way of keeping answers: by name, each with what it was asked for.

An answer holds as long as the same is asked.  What could not be answered is kept as well,
with the words that say why, and is not tried again until something else is asked.
"""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kinematics.errors import InvalidInput, KinematicsError
from scenes.part_keys import in_scene
from sketcher.words.plain import Refused


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """An answer, or why there is none; both empty while it is being worked out.

    ``words`` says what to tell a person meanwhile.
    """

    found: Any = None
    problem: str = ""
    words: str = ""


def answered(work: Callable[[], object]) -> Answer:
    """What ``work`` finds, or the words of the error that it raises; never raises."""
    try:
        return Answer(work())
    except KinematicsError as error:
        return Answer(problem=lines_of(error))
    except Refused as error:
        return Answer(problem=str(error))
    except Exception as error:  # noqa: BLE001 - told, and the rest of the window goes on
        traceback.print_exception(error, file=sys.stderr)
        words = " ".join(f"{type(error).__name__} {error}".split())
        return Answer(problem=f"this could not be worked out: {words}")


class Same:
    """Equal only to the very same thing: arrays and answers have no quick equality."""

    __slots__ = ("_thing",)

    def __init__(self, thing: object) -> None:
        self._thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self._thing is other._thing

    def __hash__(self) -> int:
        return id(self._thing)


class Memo:
    """The latest answer of each name, and the last of each that was good."""

    def __init__(self) -> None:
        self._answers: dict[object, tuple[object, Answer]] = {}
        self._good: dict[object, Any] = {}

    def ask(self, name: object, key: object, work: Callable[[], object]) -> Answer:
        """The answer for ``key``, worked out now where another was asked for before."""
        answer = self.answer(name, key)
        if answer is None:
            answer = answered(work)
            self.put(name, key, answer)
        return answer

    def answer(self, name: object, key: object) -> Answer | None:
        """The answer for ``key``, if that is what was asked for last."""
        kept = self._answers.get(name)
        return kept[1] if kept is not None and kept[0] == key else None

    def put(self, name: object, key: object, answer: Answer) -> None:
        """Keep an answer that was worked out elsewhere."""
        self._answers[name] = (key, answer)
        if not answer.problem:
            self._good[name] = answer.found

    def last(self, name: object) -> Any:
        """The last that was found, whatever it was asked for; None where nothing ever was."""
        return self._good.get(name)

    def forget(self) -> None:
        """Start afresh."""
        self._answers.clear()
        self._good.clear()


def lines_of(error: KinematicsError) -> str:
    """What is wrong, in one line."""
    if isinstance(error, InvalidInput):
        return "; ".join(map(str, in_scene(error.problems)))
    return str(error)
