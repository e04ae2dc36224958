"""A picture: primitives in world coordinates, in the order they are painted.

World coordinates are ``(out, up)`` in mm for the front view and ``(out, fore)``
for the view from above; plots use device pixels with ``up`` upwards (see
:meth:`~sketcher.drawing.camera.Camera.in_pixels`).  What a primitive *is* stands
in its ``role``; the style turns the role into a line kind, a width and colours.
What it *stands for* in the scene is its ``key``, a path as the scene file writes
it, or the name of a body; empty where the pointer finds nothing there:

* points: ``linkage.ball_joint``, ``hub.outer_joint``,
  ``shafts.left.inner_joint.mid_stroke``, ``bracket[0].outline[2]``
* edges and areas: ``bracket[0].edge[2]`` (from corner 2 to the next), ``bracket[0]``
* bodies: ``arm``, ``upper_arm``, ``strut``, ``knuckle``, ``wheel``, ``gearbox``
* the shaft: ``shafts.left``, ``shafts.left.section[1]``, ``shafts.left.length``
* plots: ``plot.plunge`` and so on

Widths of lines and heights of text are mm on paper and belong to the style; a
mark that keeps its size on paper, such as an arrowhead, is made in world mm for
the camera that the picture is built for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

Point2 = tuple[float, float]

# Filled areas that would hide a photo.
Solid = Literal[
    "arm", "strut", "strut_tube", "knuckle", "wheel", "gearbox", "housing", "bore",
    "shaft", "shaft_inside", "boot", "outer_joint", "bracket", "bracket_close", "bracket_past",
    "envelope", "stroke", "stroke_margin",
]  # fmt: skip
Role = Literal[
    Solid,
    "grid", "grid_strong", "ground", "ground_hatching", "axis", "surround", "panel", "frame",
    "body_point", "body_hatching", "joint", "joint_dot", "joint_centre", "cross",
    "wheel_rim", "stroke_end", "stroke_middle", "shaft_line", "shaft_edge", "edge",
    "bracket_hatching", "bracket_close_hatching", "bracket_past_hatching",
    "cut", "trim", "trim_hatching", "ghost", "faint", "unreached", "guessed",
    "angle", "angle_close", "angle_past", "dimension", "dimension_close", "dimension_past",
    "label", "label_strong", "label_close", "label_past",
    "note", "note_good", "note_close", "note_past", "note_past_ring",
    "scale_full", "scale_empty", "tick", "plot_paper", "plot_grid", "limit",
    "curve", "curve_inside", "curve_outside", "band_good", "band_close", "band_past",
    "band_word_good", "band_word_close", "band_word_past",
    "here", "here_dot", "here_word", "grip", "tip", "handle", "snap",
    "reading", "reading_lit", "next_reading", "mark", "doubt", "pin",
]  # fmt: skip
Horizontal = Literal["left", "centre", "right"]
Vertical = Literal["top", "middle", "bottom"]
# One of three heights of lettering.
Size = Literal["small", "normal", "large"]
# From which side a sketch is seen.
View = Literal["front", "above"]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point2
    end: Point2
    role: Role
    key: str = ""


@dataclass(frozen=True, slots=True)
class Lines:
    """Separate straight lines of one role: hatching, ticks, a grid."""

    segments: tuple[tuple[Point2, Point2], ...]
    role: Role
    key: str = ""


@dataclass(frozen=True, slots=True)
class Polyline:
    """An open run of straight lines."""

    points: tuple[Point2, ...]
    role: Role
    key: str = ""


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline, filled where its role has a fill."""

    points: tuple[Point2, ...]
    role: Role
    key: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, filled where its role has a fill."""

    centre: Point2
    radius: float
    role: Role
    key: str = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, counter-clockwise between two angles; 0 points right."""

    centre: Point2
    radius: float
    start_deg: float
    end_deg: float
    role: Role
    key: str = ""

    @property
    def points(self) -> tuple[Point2, ...]:
        """The arc as a run of points no more than 4 degrees apart."""
        steps = max(2, math.ceil(abs(self.end_deg - self.start_deg) / 4.0))
        turn = math.radians(self.end_deg - self.start_deg) / steps
        first = math.radians(self.start_deg)
        x, y = self.centre
        return tuple(
            (
                x + self.radius * math.cos(first + turn * i),
                y + self.radius * math.sin(first + turn * i),
            )
            for i in range(steps + 1)
        )


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text, its box anchored at ``at``; ``angle_deg`` turns it counter-clockwise.

    ``size`` picks one of the style's three heights, ``backed`` puts the paper's
    colour behind the text so that lines under it do not cross it.
    """

    at: Point2
    text: str
    role: Role
    key: str = ""
    horizontal: Horizontal = "left"
    vertical: Vertical = "bottom"
    angle_deg: float = 0.0
    size: Size = "normal"
    backed: bool = False


@dataclass(frozen=True, slots=True)
class Handle:
    """A point that can be taken hold of; painted only while it is lit or held."""

    at: Point2
    key: str
    role: Role = "handle"


Primitive = Line | Lines | Polyline | Polygon | Circle | Arc | Text | Handle


@dataclass(frozen=True, slots=True)
class Picture:
    """Primitives in the order they are painted, the lowest first."""

    primitives: tuple[Primitive, ...] = ()

    def __add__(self, other: Picture) -> Picture:
        return Picture(self.primitives + other.primitives)

    def __iter__(self) -> Iterator[Primitive]:
        return iter(self.primitives)

    def with_role(self, *roles: Role) -> tuple[Primitive, ...]:
        """The primitives of the roles named."""
        return tuple(item for item in self.primitives if item.role in roles)

    @property
    def handles(self) -> tuple[Handle, ...]:
        """The points that can be taken hold of."""
        return tuple(item for item in self.primitives if isinstance(item, Handle))

    @property
    def texts(self) -> tuple[str, ...]:
        """Every text in the picture, in order."""
        return tuple(item.text for item in self.primitives if isinstance(item, Text))


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in world coordinates."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Extent across."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Extent upwards."""
        return self.top - self.bottom

    @property
    def centre(self) -> Point2:
        """The middle point."""
        return ((self.left + self.right) / 2, (self.bottom + self.top) / 2)

    @property
    def corners(self) -> tuple[Point2, Point2, Point2, Point2]:
        """Its corners, counter-clockwise from the lower left."""
        left, bottom, right, top = self.left, self.bottom, self.right, self.top
        return ((left, bottom), (right, bottom), (right, top), (left, top))

    def overlaps(self, other: Box) -> bool:
        """Whether the two share an area."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def holds(self, point: Point2) -> bool:
        """Whether a point lies in the box or on its edge."""
        return self.left <= point[0] <= self.right and self.bottom <= point[1] <= self.top

    def grown(self, by: float) -> Box:
        """The box with ``by`` added on each side."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)


def box_of(points: Iterable[Point2]) -> Box:
    """The smallest box that holds the points; raises ValueError where there are none."""
    listed = list(points)
    if not listed:
        raise ValueError("expected at least one point")
    return Box(
        min(x for x, _ in listed),
        min(y for _, y in listed),
        max(x for x, _ in listed),
        max(y for _, y in listed),
    )
