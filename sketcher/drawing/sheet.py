"""The sheet that a picture is drawn on: what every part of the drawing needs while it is made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kinematics.parts import Point
from kinematics.vectors import Array
from sketcher.drawing.camera import Camera
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import Box, Picture, Point2, Primitive, Role, View
from sketcher.drawing.style import Size, Style
from sketcher.words.units import Rounding, Unit, format_length


class Sheet:
    """A picture in the making: primitives, the room that they take, and how lengths are shown."""

    def __init__(
        self,
        camera: Camera,
        style: Style,
        unit: Unit = "mm",
        view: View = "front",
        seats: dict[str, int] | None = None,
        covered: Sequence[Box] = (),
    ) -> None:
        self.camera = camera
        self.view = view
        self._up = 1 if view == "front" else 2
        self.room = Room(camera, style, seats)
        self.covered = tuple(covered)
        for box in self.covered:
            self.room.take_words(box)
        self._style = style
        self.unit = unit
        self._items: list[Primitive] = []

    def flat(self, point: Point) -> Point2:
        """A point as it is seen: (out, up) from the front, (out, fore) from above."""
        return (point[0], point[self._up])

    def flat_all(self, points: Array) -> Array:
        """Points of shape (n, 3) as they are seen, shape (n, 2)."""
        return points[:, [0, self._up]]

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
        backed: bool = False,
    ) -> None:
        """Lay a label where there is room near a point; see :meth:`Room.label`."""
        self.add(
            *self.room.label(
                at, text, role, key=key, clear_mm=clear_mm, size=size, first=first, backed=backed
            )
        )

    def length(
        self,
        mm: float,
        *,
        signed: bool = False,
        named: bool = False,
        rounding: Rounding = "nearest",
    ) -> str:
        """A length as this sheet shows it."""
        return format_length(mm, self.unit, signed=signed, named=named, rounding=rounding)

    @property
    def picture(self) -> Picture:
        """What has been drawn so far."""
        return Picture(tuple(self._items))
