"""The strut tube and the arm themselves, which a shaft can foul as it can any bracket.

Each becomes a bracket that holds the real part and is a little larger, so that a gap
to it is never shown larger than it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from kinematics.errors import Check, InvalidInput, invalid
from kinematics.part import Part
from kinematics.parts import (
    DEFAULT_WANTED_GAP,
    Bracket,
    FrontPoint,
    Linkage,
    Point,
    Strut,
    Wishbones,
    rising,
)

STRUT_TUBE_NAME = "strut tube"
ARM_NAME = "arm"
STRUT_TUBE_KEY = "strut_tube"
ARM_KEY = "arm"


@dataclass(frozen=True, slots=True)
class StrutTube(Part):
    """The strut's round tube, which moves with the knuckle.

    ``from_`` and ``to`` are distances along the sliding axis from ``strut_lower``,
    plus towards ``strut_top``.
    """

    diameter: float
    from_: float
    to: float
    wanted_gap: float = DEFAULT_WANTED_GAP

    def _checks(self) -> Iterable[Check]:
        yield self.diameter > 0, "diameter", "mm above 0"
        yield self.to > self.from_, "to", "mm from strut_lower towards strut_top, more than from"
        yield self.wanted_gap >= 0, "wanted_gap", "mm, 0 or more"


@dataclass(frozen=True, slots=True)
class Arm(Part):
    """The (lower) arm's own thickness, from its pivot to its ball joint.

    ``above`` and ``below`` are measured square to the line between those two in the
    front view; one of them may be negative where the arm lies to one side of the line.
    ``fore`` is (rear, front), None for at every depth.
    """

    above: float
    below: float
    fore: tuple[float, float] | None = None
    wanted_gap: float = DEFAULT_WANTED_GAP

    def _checks(self) -> Iterable[Check]:
        yield self.above + self.below > 0, "above", "mm that make a thickness together with below"
        yield rising(self.fore), "fore", "[rear, front] in mm with front above rear"
        yield self.wanted_gap >= 0, "wanted_gap", "mm, 0 or more"


def strut_tube_bracket(tube: StrutTube, linkage: Linkage) -> Bracket:
    """The strut tube as a bracket on the knuckle, at ride height.

    Its outline is the rectangle round the tube in the front view, ends of a tube that
    leans in depth included, and its ``fore`` extent all that the tube takes up: a round
    tube is nowhere outside it, and inside it at the corners only.
    Raises InvalidInput where the linkage is no strut.
    """
    if not isinstance(linkage, Strut):
        raise invalid(STRUT_TUBE_KEY, "expected only where the linkage is a strut")
    low, top, radius = linkage.strut_lower, linkage.strut_top, 0.5 * tube.diameter
    length = math.dist(low, top)
    out, up, fore = ((b - a) / length for a, b in zip(low, top, strict=True))
    front = math.hypot(out, up)
    # A sliding axis straight in depth shows the tube end on, a square stands for it.
    along = (out / front, up / front) if front > 0.0 else (0.0, 1.0)
    over_end = radius * abs(fore)
    outline = _rectangle(
        low, along, (tube.from_ * front - over_end, tube.to * front + over_end), (-radius, radius)
    )
    depths = (low[2] + tube.from_ * fore, low[2] + tube.to * fore)
    aside = radius * front
    fore_extent = (min(depths) - aside, max(depths) + aside)
    with _sizes_of(STRUT_TUBE_KEY):
        return Bracket(STRUT_TUBE_NAME, outline, "knuckle", fore_extent, tube.wanted_gap)


def arm_bracket(arm: Arm, linkage: Linkage) -> Bracket:
    """The (lower) arm as a bracket on itself, a bar square to its line at ride height.

    Raises InvalidInput where the linkage has no arm.
    """
    if isinstance(linkage, Strut):
        pivot, ball_joint = linkage.arm_pivot, linkage.ball_joint
    elif isinstance(linkage, Wishbones):
        pivot, ball_joint = linkage.lower_pivot, linkage.lower_ball_joint
    else:
        raise invalid(ARM_KEY, "expected only with a linkage that has an arm")
    length = math.dist(pivot[:2], ball_joint[:2])
    along = ((ball_joint[0] - pivot[0]) / length, (ball_joint[1] - pivot[1]) / length)
    # Square to the line, to its left as it runs outboard, is up.
    sides = (-arm.below, arm.above) if along[0] >= 0.0 else (-arm.above, arm.below)
    outline = _rectangle(pivot, along, (0.0, length), sides)
    with _sizes_of(ARM_KEY):
        return Bracket(ARM_NAME, outline, "arm", arm.fore, arm.wanted_gap)


def _rectangle(
    origin: Point, along: FrontPoint, ends: FrontPoint, sides: FrontPoint
) -> tuple[FrontPoint, ...]:
    """Corners of a rectangle, counter-clockwise; ``sides`` count to the left of ``along``."""
    (x, y), (right, left) = along, sides
    return tuple(
        (origin[0] + s * x - t * y, origin[1] + s * y + t * x)
        for s, t in ((ends[0], right), (ends[1], right), (ends[1], left), (ends[0], left))
    )


@contextmanager
def _sizes_of(key: str) -> Iterator[None]:
    """What makes no bracket is a fault of the part's own sizes."""
    try:
        yield
    except InvalidInput as error:
        raise invalid(key, "expected sizes of a real part") from error
