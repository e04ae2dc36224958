r"""Front views of turned bodies: the outline of each section, tilted in depth or not.

A section's front view is convex, so it is bounded by its tangents.  In a tangent's
direction u the farthest point of an end of radius r, on an axis a, is

    u·centre + r·sqrt(1 − (u·a)²)

and the section reaches as far as the farther of its ends.  Outlines are drawn by
tangents: never inside the true front view, on it at every tangent, and outside it
between n tangents by less than 1/cos(pi/n) − 1 of the rim's half width or of what it
is grown by.  The straight flanks are tangents themselves, so they are exact.  An outline
cut to depths takes more tangents where its corners stand out.
"""

from __future__ import annotations

import numpy as np
import shapely

from kinematics.gaps.axis_frames import AxisFrames
from kinematics.gaps.solids import Profile
from kinematics.vectors import Array, Ints, Shapes

# Enough that the dual search below ends within a few micrometres, on the safe side.
HALVINGS = 24
# A rim seen edge on has no ellipse to spread tangents round.
LEAST_LEAN = 1e-3
# A flank, a tangent spread round a rim and an even one may share a direction.
MOST_ALIKE = 3
SAME_DIRECTION = 1e-7
LEAST_FLAT = 1e-12
STEEPEST = np.radians(89.99)
# Where tangents are added, from so many to where neighbours turn by no more than so much.
FIRST_TANGENTS = 12
FINEST = np.radians(0.3)


def front_outlines(
    frames: AxisFrames, profile: Profile, *, tangents: int, grown_mm: float = 0.0
) -> Array:
    """Corners (out, up) of the front views, shape (n, corners, 2), mm.

    ``frames`` and ``profile`` have n rows each.  Each section may first be grown
    by ``grown_mm`` all round, rims rounded.
    """
    flat = np.hypot(frames.along[:, 0], frames.along[:, 1])
    angle = _tangent_angles(flat, profile, tangents, rounded=grown_mm > 0.0)
    reach = _reach(profile[:, None], np.sin(angle) * flat[:, None], grown_mm)
    to_next = np.roll(angle, -1, axis=1) - angle
    to_next[:, -1] += 2.0 * np.pi
    # Tangents in one direction share every point: take the corner after the last of them.
    same = to_next < SAME_DIRECTION
    corners = _corners(
        frames, angle, reach, np.where(same, 1.0, to_next), np.roll(reach, -1, axis=1)
    )
    for _ in range(MOST_ALIKE - 1):
        corners = np.where(same[..., None], np.roll(corners, -1, axis=1), corners)
    return corners


def front_views_between(
    frames: AxisFrames,
    profile: Profile,
    *,
    grown_mm: float,
    between_fore: tuple[float, float] | None,
    stands_out_mm: float,
) -> Shapes:
    """Front views of sections grown all round and cut to two depths, one polygon each, (n,).

    ``frames`` and ``profile`` have n rows each; sections must reach into those depths.  No
    polygon is inside the true view, nor a corner of it more than ``stands_out_mm`` outside,
    unless the view itself has a corner there.
    """
    flat = np.hypot(frames.along[:, 0], frames.along[:, 1])
    angle = _tangent_angles(flat, profile, FIRST_TANGENTS, rounded=True)
    row = np.repeat(np.arange(len(profile)), angle.shape[1])
    angle = angle.ravel()

    def reaches(row: Ints, angle: Array) -> Array:
        along, own = np.sin(angle) * flat[row], profile[row]
        if between_fore is None:
            return _reach(own, along, grown_mm)
        return _reach_between(frames[row], own, along, grown_mm, between_fore)

    reach = reaches(row, angle)
    views: Shapes = np.empty(len(profile), dtype=np.object_)
    while len(row):
        angle = np.where(angle > 2.0 * np.pi - SAME_DIRECTION, 0.0, angle)
        order = np.lexsort((angle, row))
        row, angle, reach = row[order], angle[order], reach[order]
        apart = np.diff(angle, append=-np.inf) > SAME_DIRECTION
        apart |= np.diff(row, append=-1) != 0
        row, angle, reach = row[apart], angle[apart], reach[apart]
        # Neighbours round each outline: the last one's next is the first.
        first = np.flatnonzero(np.diff(row, prepend=-1))
        last = np.append(first[1:], len(row)) - 1
        after, before = np.arange(len(row)) + 1, np.arange(len(row)) - 1
        after[last], before[first] = first, last
        to_next = np.mod(angle[after] - angle, 2.0 * np.pi)
        corners = _corners(
            frames[row], angle[:, None], reach[:, None], to_next[:, None], reach[after, None]
        )[:, 0]
        came, goes = corners - corners[before], corners[after] - corners
        double_area = np.abs(came[:, 0] * goes[:, 1] - came[:, 1] * goes[:, 0])
        line = came + goes
        # What a corner stands out is less than its distance from its neighbours' line.
        coarse = double_area > stands_out_mm * np.sqrt(np.sum(line * line, axis=1))
        coarse &= to_next > FINEST
        open_ = np.logical_or.reduceat(coarse, first)
        done = np.repeat(~open_, np.diff(first, append=len(row)))
        views[row[first[~open_]]] = shapely.convex_hull(
            shapely.multipoints(
                corners[done], indices=np.cumsum(np.diff(row[done], prepend=-1) != 0) - 1
            )
        )
        added = np.mod(angle[coarse] + 0.5 * to_next[coarse], 2.0 * np.pi)
        reach = np.concatenate((reach[~done], reaches(row[coarse], added)))
        row, angle = (
            np.concatenate((row[~done], row[coarse])),
            np.concatenate((angle[~done], added)),
        )
    return views


def _corners(
    frames: AxisFrames, angle: Array, reach: Array, to_next: Array, next_reach: Array
) -> Array:
    """Where each tangent meets the next one, (n, corners, 2)."""
    slide = (next_reach - reach * np.cos(to_next)) / np.sin(to_next)
    sine, cosine = np.sin(angle), np.cos(angle)
    aside, ahead = reach * cosine - slide * sine, reach * sine + slide * cosine
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


def _reach(profile: Profile, along: Array, grown_mm: float) -> Array:
    """How far outlines reach along tangents' directions, from the origin, mm; they broadcast."""
    flat = np.sqrt(np.maximum(1.0 - along * along, 0.0))
    by_start = profile.start * along + profile.start_radius * flat
    by_end = profile.end * along + profile.end_radius * flat
    return np.maximum(by_start, by_end) + grown_mm


def _reach_between(
    frames: AxisFrames,
    profile: Profile,
    along: Array,
    grown_mm: float,
    between_fore: tuple[float, float],
) -> Array:
    """The same for what lies between two depths, one direction a row.

    It is the least over s of the reach of the whole body along u + s·fore, less s·(the depth
    that s runs away from): the dual of "farthest along u between two depths".  Its growth with
    s is how far that body's farthest point lies before that depth.  Any s gives an outline
    that is not too small.
    """
    lean = frames.along[:, 2]
    rear, front = (depth - frames.origin[:, 2] for depth in between_fore)

    def tilted(
        s: Array, axial: Array, profile: Profile, lean: Array, depth: Array
    ) -> tuple[Array, Array]:
        axial, size = axial + s * lean, np.sqrt(1.0 + s * s)
        flat = np.sqrt(np.maximum(size * size - axial * axial, 0.0))
        at_start = profile.start * axial + profile.start_radius * flat
        at_end = profile.end * axial + profile.end_radius * flat
        end = at_end > at_start
        centre = np.where(end, profile.end, profile.start)
        radius = np.where(end, profile.end_radius, profile.start_radius)
        fore = centre * lean + radius * (s - axial * lean) / np.maximum(flat, LEAST_FLAT)
        reach = np.maximum(at_start, at_end) + grown_mm * size - s * depth
        return reach, fore + grown_mm * s / size - depth

    reach, beyond = tilted(np.zeros_like(along), along, profile, lean, rear)
    behind = beyond < 0.0
    cut = np.flatnonzero(behind | (beyond > front - rear))
    way = np.where(behind, 1.0, -1.0)[cut]
    fixed = (along[cut], profile[cut], lean[cut], np.where(behind, rear, front)[cut])
    low, high, least = np.zeros(len(cut)), np.full(len(cut), STEEPEST), reach[cut]
    for _ in range(HALVINGS):
        tilt = 0.5 * (low + high)
        found, beyond = tilted(way * np.tan(tilt), *fixed)
        least = np.minimum(least, found)
        farther = way * beyond < 0.0
        low, high = np.where(farther, tilt, low), np.where(farther, high, tilt)
    reach[cut] = least
    return reach
