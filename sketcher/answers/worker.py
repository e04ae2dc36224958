"""What takes longer than a frame: worked out by one worker while the frames go on.

Whoever wants an answer asks for it in every frame, with what the answer hangs on, and gets
it only while that still holds; a question that an edit has overtaken is dropped.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from queue import SimpleQueue
from typing import Any

from sketcher.answers.memo import Answer, Memo, answered

# A person who waits longer wants to know what for.
SAY_AFTER_SECONDS = 0.5
WORKING = "Working…"


@dataclass(slots=True, eq=False)
class _Question:
    name: str
    on: object
    work: Callable[[], object]
    soon: bool
    dropped: bool = False
    answer: Answer | None = None
    done: threading.Event = field(default_factory=threading.Event)


class Worker:
    """Answers by name, the latest question of each name only, one at a time."""

    def __init__(self) -> None:
        self._memo = Memo()
        self._wanted: dict[str, _Question] = {}
        self._working: _Question | None = None
        self._queue: SimpleQueue[_Question | None] | None = None
        self._worked_seconds = 0.0

    def ask(
        self, name: str, on: object, work: Callable[[], object], *, soon: bool = False
    ) -> Answer:
        """The answer to a question that hangs on ``on``, as far as it is there.

        ``work`` must be pure; what it raises is told as the problem.  ``soon`` does not
        wait until the hand has rested.
        """
        kept = self._memo.answer(name, on)
        if kept is not None:
            self._wanted.pop(name, None)
            return kept
        if self._working is not None and (self._working.name, self._working.on) == (name, on):
            self._wanted.pop(name, None)
        else:
            self._wanted[name] = _Question(name, on, work, soon)
        return Answer(words=WORKING if self._worked_seconds > SAY_AFTER_SECONDS else "")

    def answer(self, name: str, on: object) -> Answer | None:
        """The answer to a question, without asking it."""
        return self._memo.answer(name, on)

    def last(self, name: str, on: object) -> Any:
        """What was found, if that still holds; None otherwise."""
        kept = self._memo.answer(name, on)
        return None if kept is None else kept.found

    def latest(self, name: str) -> Any:
        """What was found last, whether it still holds or not; None where nothing ever was."""
        return self._memo.last(name)

    @property
    def pending(self) -> bool:
        """Whether something is under way or waits for its turn."""
        return self._working is not None or bool(self._wanted)

    def under_way(self, name: str) -> bool:
        """Whether a question of this name is being answered."""
        return self._working is not None and self._working.name == name

    def go_on(self, seconds: float, *, rested: bool = True) -> None:
        """Take over what is done, and begin what is wanted, once the hand has rested."""
        self.take()
        self._worked_seconds = self._worked_seconds + seconds if self.pending else 0.0
        if self._working is not None:
            return
        waiting = sorted(self._wanted.values(), key=lambda question: not question.soon)
        if not waiting or not (rested or waiting[0].soon):
            return
        self._working = waiting[0]
        # Whoever still wants an answer asks again.
        self._wanted.clear()
        self._begin().put(self._working)

    def take(self) -> None:
        """Take over what is done."""
        working = self._working
        if working is None or not working.done.is_set():
            return
        self._working = None
        # Where an edit came in between, something else is asked by now.
        overtaken = working.dropped or working.name in self._wanted
        if working.answer is not None and not overtaken:
            self._memo.put(working.name, working.on, working.answer)

    def forget(self) -> None:
        """Start afresh with another document."""
        self._wanted.clear()
        self._memo.forget()
        if self._working is not None:
            self._working.dropped = True

    def close(self) -> None:
        """Let the worker go home; what it is at is given up when the program ends."""
        self.forget()
        if self._queue is not None:
            self._queue.put(None)
            self._queue = None

    def _begin(self) -> SimpleQueue[_Question | None]:
        if self._queue is None:
            self._queue = SimpleQueue()
            threading.Thread(
                target=_work_off, args=(self._queue,), name="answers", daemon=True
            ).start()
        return self._queue


def _work_off(queue: SimpleQueue[_Question | None]) -> None:
    while (question := queue.get()) is not None:
        question.answer = answered(question.work)
        question.done.set()
