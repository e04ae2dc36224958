"""Pins of the photo in the front view, and how far each is off."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from scenes.photo import Pin
from sketcher.answers.photo_plane import PhotoPlane
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Circle, Handle, Line, Picture, Primitive, Text

_HEAD_MM, _REACH_MM = 1.3, 6.0
_SEEN_PX = 2.0


def draw_pins(pins: Sequence[Pin], plane: PhotoPlane, camera: Camera) -> Picture:
    """Each pin with its head off its place, so that what is pinned can still be taken hold of.

    A line leads from where the photo shows a thing to where it is.
    """
    items: list[Primitive] = []
    reach, head = camera.paper(_REACH_MM), camera.paper(_HEAD_MM)
    for number, pin in enumerate(pins):
        x, y = plane.on_car(np.array(pin[:2])).tolist()
        if not (math.isfinite(x) and math.isfinite(y)):
            continue
        key, top = f"photo.pins[{number}]", (x + 0.5 * reach, y + 0.85 * reach)
        if math.dist((x, y), pin[2:]) * camera.zoom > _SEEN_PX:
            items.append(Line((x, y), (pin[2], pin[3]), "unreached"))
        items += [
            Line((x, y), top, "pin", key),
            Circle(top, head, "pin", key),
            Text((top[0] + 1.4 * head, top[1]), f"{number + 1}", "here_word", key,
                 vertical="middle", size="small", backed=True),
            Handle(top, key),
        ]  # fmt: skip
    return Picture(tuple(items))
