"""What the next clicks in the sketch are for: the points of a reading, a mark, a pin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

PointingFor = Literal["reading", "mark", "pin"]


@dataclass(frozen=True, slots=True)
class Pointing:
    """What is being pointed out, and the points of it that were clicked, by their paths."""

    what: PointingFor
    points: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What the next click does."""
        if self.what == "mark":
            return "Click where the mark is: a hole, a bolt head, a chalk cross. Escape gives up."
        if self.what == "pin":
            if self.points:
                return "Click where that point is seen in the photo. Escape gives up."
            return "Click a point of the sketch that the photo shows. Escape gives up."
        if len(self.points) == 1:
            return "Click the reading's other end, or type: up 188, out, fore, across."
        if self.points:
            return "Type the number that was read, and Enter. Click a point for another reading."
        return "Click one point of the reading, or both, then type the number."
