"""The sheet that a picture is drawn on: what every part of the drawing needs while it is made."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from kinematics.parts import Point
from kinematics.vectors import Array
from sketcher.drawing.camera import Camera
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import (
    Box,
    Horizontal,
    Line,
    Picture,
    Point2,
    Primitive,
    Role,
    Size,
    Text,
    Vertical,
    View,
)
from sketcher.drawing.shapes import along, unit
from sketcher.drawing.style import Style
from sketcher.words.units import Rounding, Unit, format_length

# How much further off a label is tried where there is no room close by, mm on paper.
_RINGS_MM = (0.0, 5.0, 11.0, 18.0)
# Where a label is tried: right, left, the corners, above, below.
_COMPASS: tuple[tuple[float, float, Horizontal, Vertical], ...] = (
    (1.0, 0.0, "left", "middle"),
    (-1.0, 0.0, "right", "middle"),
    (0.75, 0.75, "left", "bottom"),
    (-0.75, 0.75, "right", "bottom"),
    (0.75, -0.75, "left", "top"),
    (-0.75, -0.75, "right", "top"),
    (0.0, 1.0, "centre", "bottom"),
    (0.0, -1.0, "centre", "top"),
)
# A place that costs less is as good as free.
_FREE = 1.0


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
        self.room = Room(camera, style)
        self.seats = {} if seats is None else seats
        self.covered = tuple(covered)
        for box in self.covered:
            self.room.take_words(box)
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

    def write(self, text: Text) -> None:
        """Add an upright text, and keep others off it."""
        self.add(text)
        self.room.take_words(self.room.box(text))

    def label(
        self,
        at: Point2,
        text: str,
        role: Role = "label",
        *,
        key: str = "",
        clear_mm: float = 2.2,
        size: Size = "small",
        first: Sequence[int] = (),
        backed: bool = False,
    ) -> None:
        """Lay a label near a point, with a thin line to it where it stands off.

        ``clear_mm`` on paper is kept from the point; ``first`` names the places of
        the compass to try first (0 right, 1 left, 2 to 5 corners, 6 above, 7 below).
        Where the label of this key stood in the picture before, it stays while that is free.
        ``backed``, or where there is no free room, what is drawn gives way to the words.
        """

        def laid(index: int, off_mm: float) -> Text:
            dx, dy, horizontal, vertical = _COMPASS[index]
            gap = self.camera.paper(off_mm)
            spot = (at[0] + dx * gap, at[1] + dy * gap)
            return Text(spot, text, role, key, horizontal, vertical, size=size, backed=backed)

        if key and key in self.seats:
            seated = laid(self.seats[key], clear_mm)
            if self.room.cost_of_box(self.room.box(seated)) < _FREE:
                self.write(seated)
                return
            del self.seats[key]
        order = [*first, *(i for i in range(len(_COMPASS)) if i not in first)]
        best, chosen, chosen_ring, off = math.inf, order[0], 0, 0.0
        for ring, further in enumerate(_RINGS_MM):
            for place, index in enumerate(order):
                # The nearest, and of those the first.
                beforehand = ring * 0.9 + place * 0.01
                box = self.room.box(laid(index, clear_mm + further))
                cost = beforehand + self.room.cost_of_box(box, best - beforehand)
                if cost < best:
                    best, chosen, chosen_ring, off = cost, index, ring, beforehand
                if cost < _FREE + ring:
                    break
            if best < _FREE + ring:
                break
        label = laid(chosen, clear_mm + _RINGS_MM[chosen_ring])
        if chosen_ring == 0:
            self.seats[key] = chosen
        else:
            start = along(at, unit(at, label.at), self.camera.paper(clear_mm * 0.6))
            self.add(Line(start, label.at, "faint"))
        self.write(replace(label, backed=backed or best - off >= _FREE))

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
