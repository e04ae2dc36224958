r"""Front views of turned bodies: the outline of each section, tilted in depth or not.

A section's front view is convex, so it is bounded by its tangents.  In a tangent's
direction u the farthest point of an end of radius r, on an axis a, is

    u·centre + r·sqrt(1 − (u·a)²)

and the section reaches as far as the farther of its ends.  Outlines are drawn by
tangents: never inside the true front view, on it at every tangent, and outside it
between n tangents by less than 1/cos(pi/n) − 1 of the rim's half width or of what it
is grown by.  The straight flanks are tangents themselves, so they are exact.
"""

from __future__ import annotations

import numpy as np

from kinematics.gaps.axis_frames import AxisFrames
from kinematics.gaps.solids import Profile
from kinematics.vectors import Array

# Enough that the dual search below ends within a micrometre.
NARROWINGS = 48
GOLDEN = 0.5 * (np.sqrt(5.0) - 1.0)
# A rim seen edge on has no ellipse to spread tangents round.
LEAST_LEAN = 1e-3
# A flank, a tangent spread round a rim and an even one may share a direction.
MOST_ALIKE = 3
STEEPEST = np.radians(89.99)


def front_outlines(
    frames: AxisFrames,
    profile: Profile,
    *,
    tangents: int = 16,
    grown_mm: float = 0.0,
    between_fore: tuple[float, float] | None = None,
) -> Array:
    """Corners (out, up) of the front views, shape (n, corners, 2), mm.

    ``frames`` and ``profile`` have n rows each.  Each section may first be grown
    by ``grown_mm`` all round, rims rounded, then cut to what lies between two
    depths; sections must reach into those depths.
    """
    flat = np.hypot(frames.along[:, 0], frames.along[:, 1])
    rounded = grown_mm > 0.0 or between_fore is not None
    angle = _tangent_angles(flat, profile, tangents, rounded=rounded)
    sine = np.sin(angle)
    reach = _reach(frames, profile, sine * flat[:, None], grown_mm, between_fore)
    to_next = np.roll(angle, -1, axis=1) - angle
    to_next[:, -1] += 2.0 * np.pi
    # Tangents in one direction share every point: take the corner after the last of them.
    same = to_next < 1e-7
    slide = (np.roll(reach, -1, axis=1) - reach * np.cos(to_next)) / np.where(
        same, 1.0, np.sin(to_next)
    )
    cosine = np.cos(angle)
    aside, ahead = reach * cosine - slide * sine, reach * sine + slide * cosine
    for _ in range(MOST_ALIKE - 1):
        aside = np.where(same, np.roll(aside, -1, axis=1), aside)
        ahead = np.where(same, np.roll(ahead, -1, axis=1), ahead)
    # Across, and a quarter turn clockwise from it, along the axis as seen from the front.
    across = frames.across[:, None, :]
    corners = np.empty((*aside.shape, 2))
    corners[..., 0] = frames.origin[:, 0, None] + aside * across[..., 0] + ahead * across[..., 1]
    corners[..., 1] = frames.origin[:, 1, None] + aside * across[..., 1] - ahead * across[..., 0]
    return corners


def _tangent_angles(flat: Array, profile: Profile, tangents: int, *, rounded: bool) -> Array:
    """Directions of the tangents from across towards along, rising, one row per outline.

    A rim shows as an ellipse: its tangents are spread by the ellipse's parameter, or
    its flat sides would be left to two or three.  What is grown or cut is rounded
    elsewhere as well, so it takes as many again in even directions.
    """
    shrinks = profile.start_radius - profile.end_radius
    taper = shrinks / np.hypot(shrinks, profile.end - profile.start)
    flank = np.arcsin(np.clip(taper / np.maximum(flat, 1e-12), -1.0, 1.0))
    even = np.arange(tangents) * (2.0 * np.pi / tangents)
    open_ = np.maximum(np.sqrt(np.maximum(1.0 - flat * flat, 0.0)), LEAST_LEAN)[:, None]
    spread = np.mod(np.arctan2(np.sin(even), open_ * np.cos(even)), 2.0 * np.pi)
    angle = np.concatenate(
        [
            spread,
            np.mod(flank, 2.0 * np.pi)[:, None],
            (np.pi - flank)[:, None],
            *([np.broadcast_to(even, spread.shape)] if rounded else []),
        ],
        axis=1,
    )
    angle.sort(axis=1)
    return angle


def _reach(
    frames: AxisFrames,
    profile: Profile,
    along: Array,
    grown_mm: float,
    between_fore: tuple[float, float] | None,
) -> Array:
    """How far each outline reaches along each tangent's direction, from the origin, mm.

    Cut to depths, the reach is the least over s of the reach of the whole body
    along u + s·fore, less s·(the depth that s runs away from): the dual of "farthest
    along u between two depths".  Any s gives an outline that is not too small.
    """
    start, end = profile.start[:, None], profile.end[:, None]
    r0, r1 = profile.start_radius[:, None], profile.end_radius[:, None]

    def whole(axial: Array, square: Array | float) -> Array:
        flat = np.sqrt(np.maximum(square - axial * axial, 0.0))
        return np.maximum(start * axial + r0 * flat, end * axial + r1 * flat) + (
            grown_mm * np.sqrt(square)
        )

    reach = whole(along, 1.0)
    if between_fore is None:
        return reach
    lean = frames.along[:, 2, None]
    rear = (between_fore[0] - frames.origin[:, 2])[:, None]
    front = (between_fore[1] - frames.origin[:, 2])[:, None]

    def bounded(tilt: Array) -> Array:
        s = np.tan(tilt)
        return whole(along + s * lean, 1.0 + s * s) - np.where(s > 0.0, s * rear, s * front)

    low, high = np.full_like(along, -STEEPEST), np.full_like(along, STEEPEST)
    left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_left, at_right = bounded(left), bounded(right)
    for _ in range(NARROWINGS):
        keep_low = at_left < at_right
        low, high = np.where(keep_low, low, left), np.where(keep_low, right, high)
        fresh = np.where(keep_low, high - GOLDEN * (high - low), low + GOLDEN * (high - low))
        at_fresh = bounded(fresh)
        left, right = np.where(keep_low, fresh, right), np.where(keep_low, left, fresh)
        at_left, at_right = (
            np.where(keep_low, at_fresh, at_right),
            np.where(keep_low, at_left, at_fresh),
        )
    return np.minimum(reach, np.minimum(at_left, at_right))
