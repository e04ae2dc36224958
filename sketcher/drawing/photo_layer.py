"""A photo under the front view, its perspective taken out once, then scaled; and its pins."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pygame
from PIL import Image

from kinematics.vectors import Array
from scenes.photo import Pin
from sketcher.answers.photo_plane import PhotoPlane
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Box, Circle, Handle, Line, Picture, Primitive, Text

# Finer than the eye can trace over, and small enough to be scaled while a view is moved.
_LONGEST_PX = 2400
# How far around its pins a photo is shown, in widths of theirs: beyond, a plane seen aslant
# runs off to its horizon.
_AROUND = 3.0
# Of a pin: its head and how far off it stands, mm on paper; what of a line can be seen, px.
_HEAD_MM, _REACH_MM = 1.3, 6.0
_SEEN_PX = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class FlatPhoto:
    """A photo as the front view sees it: upright, to scale, ``box`` in mm on the car."""

    surface: pygame.Surface
    box: Box


def flattened(image: Image.Image, plane: PhotoPlane, pins: Box, opacity: float) -> FlatPhoto:
    """A photo with its perspective taken out.

    ``pins``: the box round its pins on the car, mm.  ``opacity``: from 0 to 1.
    """
    box = _shown(image, plane, pins)
    per_mm = _LONGEST_PX / max(box.width, box.height)
    size = (max(1, round(box.width * per_mm)), max(1, round(box.height * per_mm)))
    less = max(1, math.floor(_least_step(plane, box, size)))
    small = image.reduce(less) if less > 1 else image
    # From a pixel of the result to the car, to the photo, to the photo made smaller.
    to_car = np.array([[1 / per_mm, 0.0, box.left], [0.0, -1 / per_mm, box.top], [0.0, 0.0, 1.0]])
    smaller = np.diag([1 / less, 1 / less, 1.0])
    there = smaller @ plane.to_pixels() @ to_car
    there /= there[2, 2]
    flat = small.convert("RGBA").transform(
        size,
        Image.Transform.PERSPECTIVE,
        tuple(there.ravel()[:8]),
        Image.Resampling.BILINEAR,
        fillcolor=(0, 0, 0, 0),
    )
    flat.putalpha(flat.getchannel("A").point(lambda value: round(value * opacity)))
    surface = pygame.image.frombytes(flat.tobytes(), size, "RGBA")
    return FlatPhoto(surface, box)


def paint_photo(surface: pygame.Surface, photo: FlatPhoto, camera: Camera) -> None:
    """Paint what of the photo is in the view."""
    view = pygame.Rect(
        round(camera.left), round(camera.top), round(camera.width), round(camera.height)
    )
    left, top = camera.to_screen((photo.box.left, photo.box.top))
    right, bottom = camera.to_screen((photo.box.right, photo.box.bottom))
    wide, high = photo.surface.get_size()
    across, down = wide / (right - left), high / (bottom - top)
    # The pixels in view, outwards to whole ones.
    first_x = max(0, math.floor((view.left - left) * across))
    first_y = max(0, math.floor((view.top - top) * down))
    last_x = min(wide, math.ceil((view.right - left) * across))
    last_y = min(high, math.ceil((view.bottom - top) * down))
    if first_x >= last_x or first_y >= last_y:
        return
    part = photo.surface.subsurface((first_x, first_y, last_x - first_x, last_y - first_y))
    size = (max(1, round(part.width / across)), max(1, round(part.height / down)))
    corner = (round(left + first_x / across), round(top + first_y / down))
    clip = surface.get_clip()
    surface.set_clip(view.clip(clip))
    surface.blit(pygame.transform.scale(part, size), corner)
    surface.set_clip(clip)


def _shown(image: Image.Image, plane: PhotoPlane, pins: Box) -> Box:
    """What of the plane the photo shows, near its pins."""
    reach = _AROUND * max(pins.width, pins.height)
    along = np.linspace(0.0, 1.0, 65)
    none, whole = np.zeros_like(along), np.ones_like(along)
    sides = ((along, none), (along, whole), (none, along), (whole, along))
    rim = np.concatenate([np.stack(side, axis=1) for side in sides])
    places = plane.on_car(rim * np.array(image.size, dtype=float))
    least = np.array([pins.left, pins.bottom]) - reach
    most = np.array([pins.right, pins.top]) + reach
    # A photo that shows the plane's horizon shows of the plane as much as there is.
    if np.isfinite(places).all():
        least, most = np.maximum(least, places.min(axis=0)), np.minimum(most, places.max(axis=0))
    return Box(float(least[0]), float(least[1]), float(most[0]), float(most[1]))


def _least_step(plane: PhotoPlane, box: Box, size: tuple[int, int]) -> float:
    """How many of the photo's pixels one of the result spans at least, near its middle."""
    middle, step = np.array(box.centre), box.width / size[0]
    back = plane.to_pixels()

    def pixel(place: Array) -> Array:
        there = back @ np.array([place[0], place[1], 1.0])
        return np.asarray(there[:2] / there[2])

    here = pixel(middle)
    steps = [pixel(middle + move) - here for move in (np.array([step, 0]), np.array([0, step]))]
    return float(min(np.linalg.norm(one) for one in steps))


def draw_pins(pins: Sequence[Pin], plane: PhotoPlane, camera: Camera) -> Picture:
    """Each pin with its head off its place, so that what is pinned can still be taken hold of.

    A line leads from where the photo shows a thing to where it is.
    """
    items: list[Primitive] = []
    reach, head = camera.paper(_REACH_MM), camera.paper(_HEAD_MM)
    for number, pin in enumerate(pins):
        x, y = plane.on_car(np.array(pin[:2])).tolist()
        if math.isnan(x):
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
