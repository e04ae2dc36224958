"""Rectangles that parts of a screen or a page are laid in, and the scale that suits a screen."""

from __future__ import annotations

from typing import NamedTuple

# A screen this high shows everything at UI scale 1 with room to breathe.
PLAIN_HEIGHT = 864


class Area(NamedTuple):
    """A rectangle of device px, ``y`` downwards; pygame takes one as it is."""

    left: int
    top: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """First px to the right of it."""
        return self.left + self.width

    @property
    def bottom(self) -> int:
        """First px below it."""
        return self.top + self.height

    def holds(self, point: tuple[float, float]) -> bool:
        """Whether device px lie in it."""
        return self.left <= point[0] < self.right and self.top <= point[1] < self.bottom

    def inset(self, by: int) -> Area:
        """The area without a border on each side."""
        return Area(self.left + by, self.top + by, self.width - 2 * by, self.height - 2 * by)


def natural_scale(height: int) -> float:
    """The UI scale that suits a screen of this height, in quarters."""
    return max(1.0, int(4 * height / PLAIN_HEIGHT) / 4)
