"""What takes longer than a frame and hangs on the scene: worked out beside the frames.

A row that wants an answer asks for it in every frame, with what the answer hangs on.  It
gets the last answer only while that still holds; one that an edit has overtaken is dropped.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

from kinematics.errors import KinematicsError
from sketcher.answers.solving import lines_of

# A person who waits longer wants to know what for.
SAY_AFTER_SECONDS = 0.5
WORKING = "Working…"


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """An answer, or why there is none; both empty while it is being worked out."""

    found: Any = None
    problem: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class _Asked:
    on: object
    work: Callable[[], object]


class Beside:
    """Answers by name, the latest question of each name only."""

    def __init__(self) -> None:
        self._wanted: dict[str, _Asked] = {}
        self._had: dict[str, tuple[object, Answer]] = {}
        self._pool: ThreadPoolExecutor | None = None
        self._working: tuple[str, object, Future[object]] | None = None
        self._worked_seconds = 0.0

    def ask(self, name: str, on: object, work: Callable[[], object]) -> Answer:
        """The answer to a question that hangs on ``on``, as far as it is there.

        ``work`` must be pure; the KinematicsError that it raises is told as the problem.
        """
        had = self._had.get(name)
        if had is not None and had[0] == on:
            self._wanted.pop(name, None)
            return had[1]
        if self._working is not None and self._working[:2] == (name, on):
            self._wanted.pop(name, None)
        else:
            self._wanted[name] = _Asked(on, work)
        return Answer(words=WORKING if self._worked_seconds > SAY_AFTER_SECONDS else "")

    def last(self, name: str, on: object) -> Any:
        """What was found, if that still holds; None otherwise."""
        had = self._had.get(name)
        return had[1].found if had is not None and had[0] == on else None

    @property
    def pending(self) -> bool:
        """Whether something is under way or waits for its turn."""
        return self._working is not None or bool(self._wanted)

    def go_on(self, seconds: float, *, rested: bool = True) -> None:
        """Take over what is done, and begin what is wanted once the hand has rested."""
        self._take()
        self._worked_seconds = self._worked_seconds + seconds if self.pending else 0.0
        if self._working is not None or not self._wanted or not rested:
            return
        name, asked = next(iter(self._wanted.items()))
        if self._pool is None:
            self._pool = ThreadPoolExecutor(1, thread_name_prefix="beside")
        self._working = (name, asked.on, self._pool.submit(asked.work))
        # Whoever still wants it asks again.
        self._wanted.clear()

    def forget(self) -> None:
        """Start afresh with another document."""
        self._wanted.clear()
        self._had.clear()

    def close(self) -> None:
        """Let go of the worker."""
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)

    def _take(self) -> None:
        if self._working is None or not self._working[2].done():
            return
        name, on, work = self._working
        self._working = None
        if name in self._wanted:
            # An edit came in between: by now something else is asked.
            return
        error = work.exception()
        if error is None:
            answer = Answer(work.result())
        elif isinstance(error, KinematicsError):
            answer = Answer(problem=lines_of(error))
        else:
            raise error
        self._had[name] = (on, answer)
