"""The sheet that a picture is drawn on: what every part of the drawing needs while it is made."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from kinematics.parts import Point
from sketcher.drawing.camera import Camera
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import Picture, Point2, Primitive, Role
from sketcher.drawing.style import Size, Style
from sketcher.units import Unit, format_length

Projection = Callable[[Point], Point2]


def from_front(point: Point) -> Point2:
    """The front view: (out, up)."""
    return (point[0], point[1])


def from_above(point: Point) -> Point2:
    """The view from above: (out, fore)."""
    return (point[0], point[2])


class Sheet:
    """A picture in the making: primitives, the room that they take, and how lengths are shown."""

    def __init__(
        self,
        camera: Camera,
        style: Style,
        unit: Unit = "mm",
        projection: Projection = from_front,
    ) -> None:
        self.camera = camera
        self.flat = projection
        self.room = Room(camera, style)
        self._style = style
        self.unit = unit
        self._items: list[Primitive] = []

    def add(self, *items: Primitive) -> None:
        """Add primitives on top of what is there."""
        self._items.extend(items)

    def label(
        self,
        at: Point2,
        text: str,
        role: Role = "label",
        *,
        key: str = "",
        clear_mm: float = 2.2,
        size: Size = "small",
        first: Iterable[int] = (),
    ) -> None:
        """Lay a label where there is room near a point; see :meth:`Room.label`."""
        self.add(
            *self.room.label(at, text, role, key=key, clear_mm=clear_mm, size=size, first=first)
        )

    def length(self, mm: float, *, signed: bool = False, named: bool = False) -> str:
        """A length as this sheet shows it."""
        return format_length(mm, self.unit, signed=signed, named=named)

    @property
    def picture(self) -> Picture:
        """What has been drawn so far."""
        return Picture(tuple(self._items))
