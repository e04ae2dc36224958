"""Distance between a section and a bracket that do not overlap.

A section is convex, so its distance is a convex function of a point, smooth
outside it.  Over the bracket it is least

- inside a face, where the section's outermost point against that face lies
  straight above the face: closed form; or
- on an edge: see :mod:`kinematics.gaps.edges`.

Every candidate is a true distance between a point of each, so none can make the
answer too small.
"""

from __future__ import annotations

import numpy as np

from kinematics.gaps.axis_frames import Facing, Nearest, Point3
from kinematics.gaps.edges import LEVEL, Edges, nearest_on_edges
from kinematics.gaps.solids import fore_of_sections
from kinematics.vectors import Array, Mask


def separation(facing: Facing, within: Array) -> Nearest:
    """Least distance of each row, mm; exact where it is below ``within``.

    Elsewhere the distance is between two points that exist, so too great if
    anything.  Rows that overlap give 0 or a distance of no meaning.
    """
    nearest = Nearest.none(len(facing))
    sides, normals, lengths = facing.sides()
    first, last = fore_of_sections(facing.profile, facing.lean)
    # Where the section lies between the faces, so does the nearest point.
    past_rear = first < facing.rear
    past_front = last > facing.rear + facing.depth
    _sides(facing, sides, normals, lengths, nearest)
    _end_face(facing, past_rear, -1.0, nearest)
    _end_face(facing, past_front, 1.0, nearest)
    everywhere = np.ones(len(facing), dtype=np.bool_)
    meeting = zip((everywhere, past_rear, past_front), facing.edges(sides), strict=True)
    edges = [Edges.of(facing.profile, rows, *edge) for rows, edge in meeting if rows.any()]
    nearest_on_edges(edges, within, nearest)
    return nearest


def _support(facing: Facing, normal: Point3) -> tuple[Array, Point3]:
    """How far along ``normal`` the section begins, and its point there, per row and column."""
    profile = facing.profile[:, None]
    flat = np.hypot(normal[1], normal[2])
    at_start = normal[0] * profile.start - flat * profile.start_radius
    at_end = normal[0] * profile.end - flat * profile.end_radius
    ahead = at_end < at_start
    t = np.where(ahead, profile.end, profile.start)
    radius = np.where(ahead, profile.end_radius, profile.start_radius)
    leans = flat > LEVEL
    out = np.where(leans, radius, 0.0) / np.where(leans, flat, 1.0)
    return np.minimum(at_start, at_end), (t, -out * normal[1], -out * normal[2])


def _sides(
    facing: Facing, sides: Point3, normals: Point3, lengths: Array, nearest: Nearest
) -> None:
    begins, point = _support(facing, normals)
    t0, p0, q0 = facing.corner
    gap = begins - (normals[0] * t0 + normals[1] * p0 + normals[2] * q0)
    t, p, q = (x - gap * n for x, n in zip(point, normals, strict=True))
    faced = (gap >= 0.0) & facing.on_sides((t, p, q), sides, lengths)
    nearest.take_least(np.where(faced, gap, np.inf), (t, p, q))


def _end_face(facing: Facing, rows: Mask, sense: float, nearest: Nearest) -> None:
    index = np.flatnonzero(rows)
    if not len(index):
        return
    some = facing[index]
    face = some.rear + (some.depth if sense > 0.0 else 0.0)
    normal = (
        sense * some.lean[:, None],
        np.zeros((len(some), 1)),
        sense * some.rise[:, None],
    )
    begins, point = _support(some, normal)
    gap = begins[:, 0] - sense * face
    t, p, q = (x[:, 0] - gap * n[:, 0] for x, n in zip(point, normal, strict=True))
    faced = (gap >= 0.0) & some.inside_outline(*some.front_view(t, p, q))
    kept = index[faced]
    offer = np.full(len(facing), np.inf)
    offer[kept] = gap[faced]
    place = np.zeros((3, len(facing)))
    place[:, kept] = np.stack([t[faced], p[faced], q[faced]])
    nearest.take(offer, *place)
