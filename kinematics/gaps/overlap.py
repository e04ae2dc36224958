"""How deep a section and a bracket overlap, measured along the section's radius.

The depth is the greatest of (section's radius there − distance from the axis)
over the points of the bracket between the section's two ends.  Radius falls
linearly along the axis and the distance from it is convex, so the least of their
difference lies

- on an edge of the bracket, between the section's ends: closed form;
- in a face: where the axis pierces it, or where the plane of an end of the
  section cuts it, nearest to the axis;
- inside the bracket: on the axis at an end of the section.
"""

from __future__ import annotations

import numpy as np

from kinematics.gaps.axis_frames import Facing, Nearest, Point3
from kinematics.gaps.edges import LEVEL, lateral_turn
from kinematics.vectors import Array, Mask


def overlap(facing: Facing) -> Nearest:
    """Least (distance from the axis − radius there) of each row, mm, and where.

    Negative exactly where they overlap; inf where no part of the bracket lies
    between the section's ends.
    """
    least = Nearest.none(len(facing))
    sides, normals, lengths = facing.sides()
    for start, run in facing.edges(sides):
        _edges(facing, start, run, least)
    _sides(facing, sides, normals, lengths, least)
    for face in (facing.rear, facing.rear + facing.depth):
        _end_face(facing, face, least)
    _ends_inside(facing, least)
    return least


def _edges(facing: Facing, start: Point3, run: Point3, least: Nearest) -> None:
    profile = facing.profile[:, None]
    first, last, slope = profile.start, profile.end, profile.slope
    (t0, p0, q0), (dt, dp, dq) = start, run
    level = np.abs(dt) < LEVEL
    advance = np.where(level, 1.0, dt)
    enters, leaves = (first - t0) / advance, (last - t0) / advance
    between = (t0 >= first) & (t0 <= last)
    low = np.where(level, np.where(between, -np.inf, np.inf), np.minimum(enters, leaves))
    high = np.where(level, np.inf, np.maximum(enters, leaves))
    low, high = np.maximum(low, 0.0), np.minimum(high, 1.0)
    turn = lateral_turn(dp * dp + dq * dq, p0 * dp + q0 * dq, p0 * p0 + q0 * q0, dt, slope)
    s = np.minimum(np.maximum(turn, low), high)
    t, p, q = t0 + s * dt, p0 + s * dp, q0 + s * dq
    radius = profile.start_radius + slope * (t - first)
    value = np.where(low <= high, np.hypot(p, q) - radius, np.inf)
    least.take_least(value, (t, p, q))


def _plane_points(facing: Facing, normal: Point3, level: Array) -> list[tuple[Array, Point3]]:
    """Points of planes where the difference may be least, with its value; inf where none."""
    profile = facing.profile[:, None]
    first, last = profile.start, profile.end
    along, flat = normal[0], normal[1] * normal[1] + normal[2] * normal[2]
    crosses = np.abs(along) > LEVEL
    pierced = level / np.where(crosses, along, 1.0)
    radius = profile.start_radius + profile.slope * (pierced - first)
    pierces = crosses & (pierced >= first) & (pierced <= last)
    nowhere = np.zeros_like(pierced)
    leans = flat > LEVEL * LEVEL
    points: list[tuple[Array, Point3]] = [
        (
            np.where(pierces, -radius, np.inf),
            (np.where(pierces, pierced, 0.0), nowhere, nowhere),
        )
    ]
    for end, end_radius in ((first, profile.start_radius), (last, profile.end_radius)):
        away = np.where(leans, level - along * end, 0.0) / np.where(leans, flat, 1.0)
        value = np.abs(away) * np.sqrt(flat) - end_radius
        points.append(
            (
                np.where(leans, value, np.inf),
                (np.broadcast_to(end, flat.shape), away * normal[1], away * normal[2]),
            )
        )
    return points


def _sides(facing: Facing, sides: Point3, normals: Point3, lengths: Array, least: Nearest) -> None:
    t0, p0, q0 = facing.corner
    level = normals[0] * t0 + normals[1] * p0 + normals[2] * q0
    for value, place in _plane_points(facing, normals, level):
        on_side = facing.on_sides(place, sides, lengths)
        least.take_least(np.where(on_side, value, np.inf), place)


def _end_face(facing: Facing, face: Array, least: Nearest) -> None:
    normal = (facing.lean[:, None], np.zeros((len(facing), 1)), facing.rise[:, None])
    for value, place in _plane_points(facing, normal, face[:, None]):
        t, p, q = place[0][:, 0], place[1][:, 0], place[2][:, 0]
        on_face = facing.inside_outline(*facing.front_view(t, p, q))
        least.take(np.where(on_face, value[:, 0], np.inf), t, p, q)


def _ends_inside(facing: Facing, least: Nearest) -> None:
    profile = facing.profile
    nowhere = np.zeros(len(facing))
    for t, radius in (
        (profile.start, profile.start_radius),
        (profile.end, profile.end_radius),
    ):
        fore = t * facing.lean
        inside: Mask = (
            facing.inside_outline(*facing.front_view(t, nowhere, nowhere))
            & (fore >= facing.rear)
            & (fore <= facing.rear + facing.depth)
        )
        least.take(np.where(inside, -radius, np.inf), t, nowhere, nowhere)
