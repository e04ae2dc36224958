"""What the next clicks in the sketch are for: the points of a reading, a mark, a pin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

PointingFor = Literal["reading", "other points", "mark", "pin"]


@dataclass(frozen=True, slots=True)
class Pointing:
    """What is being pointed out, and the points of it that were clicked, by their paths.

    ``of`` is the key of the reading that is given other points, which are ``wanted`` many.
    """

    what: PointingFor
    points: tuple[str, ...] = ()
    of: str = ""
    wanted: int = 2

    @property
    def words(self) -> str:
        """What the next click does."""
        return {
            "mark": "Click where the mark is: a hole, a bolt head, a chalk cross. Escape gives up.",
            "pin": _PIN[bool(self.points)],
            "reading": _READING[min(len(self.points), 2)],
            "other points": _OTHER[self.wanted - len(self.points)],
        }[self.what]


_PIN = (
    "Click a point of the sketch that the photo shows. Escape gives up.",
    "Click where that point is seen in the photo. Escape gives up.",
)
_READING = (
    "Click one point of the reading, or both, then type the number.",
    "Click the reading's other end, or type: up 188, out, fore, across.",
    "Type the number that was read, and Enter. Click a point for another reading.",
)
# By how many points are still wanted.
_OTHER = (
    "Enter takes the reading with these points. Escape gives up.",
    "Click the reading's other point. Escape gives up.",
    "Click the reading's new points, one after the other. Escape gives up.",
)
