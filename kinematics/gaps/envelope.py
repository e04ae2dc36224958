"""The swept envelope: everything the turned bodies pass through, seen from the front."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from kinematics.gaps.axis_frames import AxisFrames
from kinematics.gaps.front_views import front_outlines
from kinematics.gaps.solids import Profile, TurnedBody
from kinematics.vectors import Array, Shapes

# Few tangents round the rims, which a shaft shows nearly edge on; more where it is grown all round.
TANGENTS = 8
TANGENTS_GROWN = 32


@dataclass(frozen=True, slots=True, eq=False)
class Envelope:
    """The front view of a motion: a polygon, or several where bodies stay apart.

    Between neighbouring positions the outline is the hull of both, which is what
    straight motion between them sweeps.  ``true_within_mm`` bounds how far the bend
    of the path moves it either way and the tangents round the rims move it outwards.
    """

    outline: shapely.Polygon | shapely.MultiPolygon
    true_within_mm: float


def envelope(
    bodies: Sequence[TurnedBody], *, grown_mm: float = 0.0, within_mm: float = 0.1
) -> Envelope:
    """The swept envelope of bodies whose first axis of positions is the travel.

    Further axes (steer angles, say) are swept each for itself and joined.  Of the
    travels only as many are drawn as keep the path's bend below ``within_mm``, or
    all of them.  Unknown positions (NaN) are passed over.
    """
    hulls: list[Shapes] = []
    worst = 0.0
    tangents = TANGENTS_GROWN if grown_mm > 0.0 else TANGENTS
    excess = 1.0 / math.cos(math.pi / tangents) - 1.0
    for body in bodies:
        if not body.sections:
            continue
        shape = body.positions
        flat = body.flat(shape)
        tracks = (shape[0], -1, 3) if shape else (1, 1, 3)
        origin, axis = flat.origin.reshape(tracks), flat.axis.reshape(tracks)
        profile = Profile.of(body.sections)
        chosen, bend = _chosen(origin, axis, profile, within_mm)
        rim = float(np.nanmax(np.abs(axis[..., 2]), initial=0.0) * profile.radius.max())
        worst = max(worst, bend + excess * (rim + grown_mm))
        hulls.append(_hulls(origin[chosen], axis[chosen], profile, grown_mm, tangents))
    if not hulls:
        return Envelope(shapely.Polygon(), 0.0)
    return Envelope(shapely.union_all(np.concatenate(hulls)), worst)


def _chosen(
    origin: Array, axis: Array, profile: Profile, within_mm: float
) -> tuple[list[int], float]:
    """Travels to draw, and how far the path can bend away between two of them, mm."""
    count = len(origin)
    if count < 3:
        return list(range(count)), 0.0
    ends = np.array([profile.start.min(), profile.end.max()])
    paths = origin[..., None, :2] + ends[:, None] * axis[..., None, :2]
    # A smooth path leaves the chord of one step by an eighth of its second difference.
    bend = 0.125 * np.hypot(*np.moveaxis(np.diff(paths, n=2, axis=0), -1, 0))
    sagitta = float(np.nanmax(bend, initial=0.0))
    stride = max(1, math.isqrt(int(within_mm / sagitta))) if sagitta > 0.0 else count - 1
    stride = min(stride, count - 1)
    return [*range(0, count - 1, stride), count - 1], sagitta * stride**2


def _hulls(origin: Array, axis: Array, profile: Profile, grown_mm: float, tangents: int) -> Shapes:
    """Hull of each section at each travel and the next, on each track."""
    travels, tracks = origin.shape[:2]
    sections = len(profile)
    index = np.tile(np.arange(sections), travels * tracks)
    frames = AxisFrames.of(
        np.repeat(origin.reshape(-1, 3), sections, axis=0),
        np.repeat(axis.reshape(-1, 3), sections, axis=0),
    )
    corners = front_outlines(frames, profile[index], tangents=tangents, grown_mm=grown_mm)
    corners = corners.reshape(travels, tracks * sections, -1, 2)
    both = np.concatenate([corners[:-1], corners[1:]], axis=2) if travels > 1 else corners
    both = both.reshape(-1, *both.shape[2:])
    known = np.isfinite(both).all(axis=(1, 2))
    hulls: Shapes = shapely.convex_hull(shapely.multipoints(both[known]))
    return hulls
