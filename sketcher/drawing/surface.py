"""The screen's painter, and pictures as PNG: pygame surfaces, no display needed.

Lines are laid as close parallel antialiased hairlines, offset along mitred
normals: true width at every slope, and corners that meet.
"""

from __future__ import annotations

import io
import math
from collections.abc import Collection, Sequence
from functools import lru_cache

import numpy as np
import pygame

from kinematics.vectors import Array, Ints
from sketcher.drawing import strokes
from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import font
from sketcher.drawing.page import Page
from sketcher.drawing.painting import Stroke, paint
from sketcher.drawing.picture import Picture, Point2
from sketcher.drawing.shapes import Segment
from sketcher.drawing.style import Colour, Style, Theme
from sketcher.drawing.style import style as style_of

_MOST = 256
# So many are chosen for being far from all others, lest a small mark lose its colour.
_RARE = 48


def paint_surface(
    surface: pygame.Surface,
    picture: Picture,
    camera: Camera,
    style: Style,
    *,
    lit: Collection[str] = (),
) -> None:
    """Paint a picture on a surface, inside the camera's rectangle; the paper is left to the caller.

    ``lit`` as in :func:`~sketcher.drawing.painting.paint`.
    """
    whole = surface.get_clip()
    area = pygame.Rect(
        round(camera.left), round(camera.top), round(camera.width), round(camera.height)
    )
    surface.set_clip(area.clip(whole))
    try:
        paint(picture, camera, style, _SurfacePen(surface), lit=lit)
    finally:
        surface.set_clip(whole)


def page_png(page: Page, theme: Theme = "light", *, fineness: int = 2) -> bytes:
    """The page as a PNG file's bytes, its size in px; needs no display.

    It is painted ``fineness`` times larger and smoothed down.
    """
    style = style_of(theme)
    size = (round(page.width), round(page.height))
    surface = pygame.Surface((size[0] * fineness, size[1] * fineness))
    surface.fill(style.palette.paper)
    for panel in page.panels:
        paint_surface(surface, panel.picture, panel.camera.times(fineness), style)
    if fineness > 1:
        surface = pygame.transform.smoothscale(surface, size)
    file = io.BytesIO()
    pygame.image.save(in_256_colours(surface), file, "picture.png")
    return file.getvalue()


class _SurfacePen:
    """Draws on a pygame surface."""

    def __init__(self, surface: pygame.Surface) -> None:
        self._surface = surface

    def fill(self, points: Sequence[Point2], colour: Colour, *, edged: bool) -> None:
        if len(points) < 3:
            return
        if not strokes.near(points):
            points = strokes.clipped_outline(points, self._surface)
            if len(points) < 3:
                return
        box = strokes.upright_box(points)
        if box is not None:
            self._surface.fill(colour, box)
            return
        pygame.draw.polygon(self._surface, colour, points)
        if not edged:
            fine_run(self._surface, colour, True, points)

    def run(self, points: Sequence[Point2], stroke: Stroke, *, closed: bool) -> None:
        points = strokes.apart(points) if points else ()
        if len(points) < 2:
            return
        surface, (colour, width, dashes) = self._surface, stroke
        if not dashes:
            self._solid(points, colour, width, closed=closed)
            return
        for stretch in strokes.in_view([*points, points[0]] if closed else points, surface):
            for line in strokes.side_by_side(stretch, width):
                for piece in strokes.dashed(line, dashes):
                    fine_run(surface, colour, False, piece)

    def segments(self, segments: Sequence[Segment], stroke: Stroke) -> None:
        colour, width, dashes = stroke
        for segment in segments:
            if not dashes:
                self._straight(*segment, colour, width)
                continue
            for stretch in strokes.in_view(segment, self._surface):
                for a, b in strokes.dashed(stretch, dashes):
                    self._straight(a, b, colour, width)

    def circle(
        self, centre: Point2, radius: float, fill: Colour | None, stroke: Stroke | None
    ) -> None:
        if radius > strokes.FAR or not strokes.near((centre,)):
            return
        if fill is not None:
            pygame.draw.aacircle(self._surface, fill, centre, radius)
        if stroke is not None:
            whole = max(1, round(stroke.width))
            pygame.draw.aacircle(self._surface, stroke.colour, centre, radius + whole / 2, whole)

    def text(
        self, start: Point2, text: str, size: int, colour: Colour, *, bold: bool, angle_deg: float
    ) -> None:
        if not text or not strokes.near((start,)):
            return
        ascent = font(size, bold).get_ascent()
        # Half a degree moves the end of a word of the usual length by less than half a pixel.
        turn = round(angle_deg * 2.0) / 2.0
        written = _written(text, size, colour, bold, turn)
        if turn == 0.0:
            self._surface.blit(written, (round(start[0]), round(start[1] - ascent)))
            return
        width, height = font(size, bold).size(text)
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        x, y = width / 2, height / 2 - ascent
        centre = (start[0] + x * c + y * s, start[1] - x * s + y * c)
        self._surface.blit(written, written.get_rect(center=centre))

    def _straight(self, a: Point2, b: Point2, colour: Colour, width: float) -> None:
        if _level(a, b):
            # Upright and level lines are sharp on whole pixels.
            if not strokes.near((a, b)):
                a, b = (
                    (min(max(x, -strokes.FAR), strokes.FAR), min(max(y, -strokes.FAR), strokes.FAR))
                    for x, y in (a, b)
                )
            ends = (round(a[0]), round(a[1])), (round(b[0]), round(b[1]))
            pygame.draw.line(self._surface, colour, *ends, max(1, round(width)))
        elif width < strokes.HAIRLINE:
            pygame.draw.aaline(self._surface, colour, a, b)
        elif width > strokes.STOUT:
            self._solid((a, b), colour, width, closed=False)
        else:
            length = math.dist(a, b)
            u, v = (a[1] - b[1]) / length, (b[0] - a[0]) / length
            for by in strokes.hairlines((width - 1.0) / 2.0):
                start, end = (a[0] + u * by, a[1] + v * by), (b[0] + u * by, b[1] + v * by)
                pygame.draw.aaline(self._surface, colour, start, end)

    def _solid(
        self, points: Sequence[Point2], colour: Colour, width: float, *, closed: bool
    ) -> None:
        surface = self._surface
        if len(points) == 2 and not closed and _level(points[0], points[1]):
            self._straight(points[0], points[1], colour, width)
            return
        if len(points) == (4 if closed else 5) and (closed or points[0] == points[4]):
            box = strokes.upright_box(points[:4])
            if box is not None:
                # Sharp on whole pixels, as upright and level lines are.
                whole = max(1, round(width))
                x, y, across, down = box
                frame = (x - whole // 2, y - whole // 2, across + whole, down + whole)
                pygame.draw.rect(surface, colour, frame, whole)
                return
        if width < strokes.HAIRLINE:
            fine_run(surface, colour, closed, points)
            return
        reach = (width - 1.0) / 2.0
        if len(points) > strokes.MANY and width <= strokes.STOUT:
            self._smooth(points, colour, reach, closed=closed)
            return
        normals = strokes.mitres(points, closed=closed)
        if width > strokes.STOUT:
            inner = reach - 0.5
            left, right = (strokes.beside(points, normals, by) for by in (inner, -inner))
            count = len(points)
            for i in range(count if closed else count - 1):
                j = (i + 1) % count
                pygame.draw.polygon(surface, colour, (left[i], left[j], right[j], right[i]))
            offsets: tuple[float, ...] = (-reach, -reach + 0.6, reach - 0.6, reach)
        else:
            offsets = strokes.hairlines(reach)
        for offset in offsets:
            fine_run(surface, colour, closed, strokes.beside(points, normals, offset))

    def _smooth(
        self, points: Sequence[Point2], colour: Colour, reach: float, *, closed: bool
    ) -> None:
        """A run of many short lines, whose corners are too slight to be mitred."""
        run = np.array(points)
        if closed:
            sides = np.roll(run, -1, axis=0) - np.roll(run, 1, axis=0)
        else:
            sides = np.empty_like(run)
            sides[1:-1] = run[2:] - run[:-2]
            sides[0], sides[-1] = run[1] - run[0], run[-1] - run[-2]
        length = np.hypot(sides[:, 0], sides[:, 1])
        normals = np.stack((-sides[:, 1], sides[:, 0]), axis=1) / np.maximum(length, 1e-9)[:, None]
        for offset in strokes.hairlines(reach):
            shifted = (run + offset * normals).tolist()
            fine_run(self._surface, colour, closed, shifted)


def fine_run(
    surface: pygame.Surface, colour: Colour, closed: bool, points: Sequence[Point2]
) -> None:
    """An antialiased run of lines one pixel wide."""
    if len(points) == 2:
        # pygame's run looks at a third point, there or not, and then paints by what it finds.
        pygame.draw.aaline(surface, colour, points[0], points[1])
    else:
        pygame.draw.aalines(surface, colour, closed, points)


@lru_cache(maxsize=1024)
def _written(text: str, size: int, colour: Colour, bold: bool, turn: float) -> pygame.Surface:
    if turn == 0.0:
        return font(size, bold).render(text, True, colour)
    large = font(size * 2, bold).render(text, True, colour)
    return pygame.transform.rotozoom(large, turn, 0.5)


def _level(a: Point2, b: Point2) -> bool:
    return abs(a[0] - b[0]) < 0.01 or abs(a[1] - b[1]) < 0.01


def in_256_colours(surface: pygame.Surface) -> pygame.Surface:
    """The surface with a palette: its most frequent colours, the others as the nearest of them.

    A drawing has few colours, and its file gets less than half as large.
    """
    pixels = pygame.surfarray.array3d(surface).astype(np.uint32)
    packed = (pixels[..., 0] << 16) | (pixels[..., 1] << 8) | pixels[..., 2]
    found, which, counts = np.unique(packed, return_inverse=True, return_counts=True)
    colours = np.stack((found >> 16, found >> 8 & 255, found & 255), axis=1).astype(np.float64)
    near, palette = _nearest(colours, counts)
    reduced = pygame.Surface(surface.get_size(), depth=8)
    reduced.set_palette([(int(r), int(g), int(b)) for r, g, b in palette])
    target = pygame.surfarray.pixels2d(reduced)
    target[...] = near[which].reshape(target.shape)
    del target  # Holds the surface locked.
    return reduced


def _nearest(colours: Array, counts: Array) -> tuple[Ints, Array]:
    """For each colour the index of its nearest in the palette, and the palette."""
    # Of equally frequent ones the darkest first: the order is always the same.
    often = np.argsort(-counts, kind="stable")[: _MOST - _RARE]
    chosen = colours[often]
    away = np.empty((len(colours), len(chosen)))
    for i, colour in enumerate(chosen):
        away[:, i] = ((colours - colour) ** 2).sum(axis=1)
    near: Ints = away.argmin(axis=1)
    least = away.min(axis=1)
    palette = [*chosen]
    while len(palette) < _MOST and least.max() > 0.0:
        new = colours[least.argmax()]
        distance = ((colours - new) ** 2).sum(axis=1)
        closer = distance < least
        near = np.where(closer, len(palette), near)
        least = np.where(closer, distance, least)
        palette.append(new)
    return near, np.array(palette)
