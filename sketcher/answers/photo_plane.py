"""Where the points of a photo lie in the front view: scale and turn, or a plane's perspective.

A pinhole camera takes one plane to another by a homography, eight numbers; four pins
fix it, more are met by least squares in mm on the car.  (R. Hartley and A. Zisserman,
*Multiple View Geometry in Computer Vision*, chapter 4: normalised direct linear
transformation, then the geometric error; memory.)  What is not in the plane of the pins
is displaced, and nothing here decides a number of the answer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.errors import require
from kinematics.vectors import Array
from scenes.photo import LEAST_FOR_PERSPECTIVE, Pin

# A phone's main lens, as the focal length that gives its view on 36 × 24 mm film: common
# practice, no source.
USUAL_FOCAL_MM = 26.0
_FILM_DIAGONAL_MM = math.hypot(36.0, 24.0)
_ROUNDS = 20
_NOT_IN_LINE = "pins that are not in one line, no three of four"


@dataclass(frozen=True, slots=True, eq=False)
class PhotoPlane:
    """A photo laid on the front view.

    ``to_car``: 3 × 3, takes (pixel x, pixel y, 1) to (out, up, 1) times some number that is
    positive in front of the camera.  ``misfit_mm``: how far each pin lies from where the
    others put it, mm, shape (pins,).
    """

    to_car: Array
    misfit_mm: Array

    def on_car(self, pixels: Array) -> Array:
        """``out`` and ``up`` of pixels, shape (..., 2), mm; NaN beyond the plane's horizon."""
        found = np.asarray(pixels) @ self.to_car[:, :2].T + self.to_car[:, 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(
                np.where(found[..., 2:] > 0.0, found[..., :2] / found[..., 2:], np.nan)
            )

    def to_pixels(self) -> Array:
        """The way back, 3 × 3: takes (out, up, 1) to (pixel x, pixel y, 1) times some number."""
        return np.asarray(np.linalg.inv(self.to_car))


def photo_plane(pins: Sequence[Pin]) -> PhotoPlane:
    """Lay a photo by its pins.

    Raises InvalidInput where they leave it open: fewer than two, three, or in one line.
    """
    enough = len(pins) == 2 or len(pins) >= LEAST_FOR_PERSPECTIVE
    require((enough, "photo.pins", f"two, or four and more, got {len(pins)}"))
    rows = np.array(pins, dtype=float)
    pixels, car = rows[:, :2], rows[:, 2:]
    to_car = _similarity(pixels, car) if len(pins) == 2 else _homography(pixels, car)
    plane = PhotoPlane(to_car, np.zeros(len(pins)))
    misfit = np.linalg.norm(plane.on_car(pixels) - car, axis=1)
    require((np.all(np.isfinite(misfit)), "photo.pins", _NOT_IN_LINE))
    to_car.flags.writeable = misfit.flags.writeable = False
    return PhotoPlane(to_car, misfit)


def displaced_mm(width: int, height: int, focal_mm: float = USUAL_FOCAL_MM) -> float:
    """How far what lies 100 mm off the plane of the pins shows beside its place, at most, mm.

    That is at the picture's edge; nothing is displaced in its middle.  ``width`` and
    ``height`` in pixels; ``focal_mm``: the focal length on 36 × 24 mm film that gives the
    same view.
    """
    focal_px = focal_mm / _FILM_DIAGONAL_MM * math.hypot(width, height)
    return 100.0 * max(width, height) / 2.0 / focal_px


def _similarity(pixels: Array, car: Array) -> Array:
    # As complex numbers with y turned up, scale and turn are one factor.
    seen = pixels[:, 0] - 1j * pixels[:, 1]
    meant = car[:, 0] + 1j * car[:, 1]
    factor = (meant[1] - meant[0]) / (seen[1] - seen[0])
    shift = meant[0] - factor * seen[0]
    a, b = factor.real, factor.imag
    return np.array([[a, b, shift.real], [b, -a, shift.imag], [0.0, 0.0, 1.0]])


def _normaliser(points: Array) -> Array:
    centre = points.mean(axis=0)
    spread = np.sqrt(((points - centre) ** 2).sum(axis=1).mean() / 2.0)
    return np.asarray(np.array([[1, 0, -centre[0]], [0, 1, -centre[1]], [0, 0, spread]]) / spread)


def _homography(pixels: Array, car: Array) -> Array:
    from_pixels, from_car = _normaliser(pixels), _normaliser(car)
    one = np.ones((len(pixels), 1))
    seen = np.hstack([pixels, one]) @ from_pixels.T
    meant = (np.hstack([car, one]) @ from_car.T)[:, :2]
    _, sizes, directions = np.linalg.svd(_slopes(seen, meant))
    require((sizes[7] >= 1e-9 * sizes[0], "photo.pins", _NOT_IN_LINE))
    found = directions[8].reshape(3, 3)
    if np.mean(seen @ found[2]) < 0.0:
        found = -found
    if len(pixels) > LEAST_FOR_PERSPECTIVE:
        found = _nearest(found, seen, meant)
    return np.asarray(np.linalg.inv(from_car) @ found @ from_pixels)


def _slopes(seen: Array, there: Array) -> Array:
    """What the nine numbers make of where points lie times their depth: of out, then of up."""
    none = np.zeros_like(seen)
    return np.block([[seen, none, -there[:, :1] * seen], [none, seen, -there[:, 1:] * seen]])


def _nearest(start: Array, seen: Array, meant: Array) -> Array:
    """The homography that leaves the least sum of squared distances (Gauss–Newton)."""
    found = start / np.linalg.norm(start)
    for _ in range(_ROUNDS):
        depth = (seen @ found[2])[:, None]
        there = (seen @ found[:2].T) / depth
        off = (meant - there).T.ravel()
        step = np.linalg.lstsq(_slopes(seen / depth, there), off, rcond=1e-12)[0].reshape(3, 3)
        found = found + step
        if np.abs(step).max() < 1e-14:
            break
    return np.asarray(found)
