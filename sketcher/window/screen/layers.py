"""Painting a view that is painted again in every frame: what stands still is kept as a layer."""

from __future__ import annotations

from collections.abc import Callable

import pygame

from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Picture, Primitive
from sketcher.drawing.style import Style
from sketcher.drawing.surface import paint_surface

# Fewer primitives than these are painted faster than a layer is kept.
WORTH_KEEPING = 6


class Layers:
    """A view's pictures, each painted from where it first differs from the one before.

    Grid, floor, envelope and ghost come first in a picture and stand still while the
    wheel moves; more of it does where a bracket is dragged.  What two pictures in a row
    share is kept as painted, to the pixel.
    """

    def __init__(self) -> None:
        self._look: object = None
        self._before: tuple[Primitive, ...] = ()
        self._shared = 0
        self._kept: pygame.Surface | None = None
        self._kept_count = 0

    def paint(
        self,
        surface: pygame.Surface,
        area: Area,
        back: Callable[[], None],
        picture: Picture,
        camera: Camera,
        style: Style,
        *,
        lit: tuple[str, ...] = (),
        under: object = None,
    ) -> None:
        """Paint a picture in an area; ``back`` paints what lies under it.

        ``under`` tells one thing that lies there from another.
        """
        rect = pygame.Rect(area).clip(surface.get_rect())
        items, look = picture.primitives, (rect, camera, id(style), lit, under)
        shared = _shared(items, self._before) if look == self._look else 0
        start = self._kept_count if shared >= self._kept_count else 0
        if start and self._kept is not None:
            surface.blit(self._kept, rect)
        else:
            start = 0
            back()
        still = min(shared, self._shared)
        if still >= start + WORTH_KEEPING:
            paint_surface(surface, Picture(items[start:still]), camera, style, lit=lit)
            self._keep(surface, rect)
            start = still
        self._kept_count = start
        paint_surface(surface, Picture(items[start:]), camera, style, lit=lit)
        self._look, self._before, self._shared = look, items, shared

    def _keep(self, surface: pygame.Surface, rect: pygame.Rect) -> None:
        if self._kept is None or self._kept.get_size() != rect.size:
            self._kept = pygame.Surface(rect.size, 0, surface)
        self._kept.blit(surface, (0, 0), rect)


def _shared(items: tuple[Primitive, ...], before: tuple[Primitive, ...]) -> int:
    """How many primitives two pictures begin with alike."""
    for count, (now, then) in enumerate(zip(items, before, strict=False)):
        if now is not then and now != then:
            return count
    return min(len(items), len(before))
