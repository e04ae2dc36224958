"""Pictures in 256 colours: a drawing has few, and its file gets less than half as large."""

from __future__ import annotations

import numpy as np
import pygame

from kinematics.vectors import Array, Ints

_MOST = 256
# So many are chosen for being far from all others, lest a small mark lose its colour.
_RARE = 48


def in_256_colours(surface: pygame.Surface) -> pygame.Surface:
    """The surface with a palette: its most frequent colours, the others as the nearest of them."""
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
