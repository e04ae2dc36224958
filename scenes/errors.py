"""A scene that cannot be read, with every problem in it."""

from __future__ import annotations

from collections.abc import Iterable

from kinematics.errors import Problem


class SceneError(Exception):
    """A scene file that cannot be read; one line for each problem found.

    ``source`` names the file, or is empty for text that came from elsewhere.
    """

    def __init__(self, problems: Iterable[Problem], source: str = "") -> None:
        self.problems = tuple(problems)
        self.source = source
        super().__init__("\n".join(str(problem) for problem in self.problems))
