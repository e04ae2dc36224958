"""What a joint does at an angle: compound angle, speed ratio, wander of its centre."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from kinematics.errors import InvalidInput, Problem
from kinematics.vectors import Array, read_only


def _angle_rad(name: str, angle_deg: npt.ArrayLike) -> Array:
    angle = np.asarray(angle_deg, dtype=np.float64)
    if not bool(np.all(np.abs(angle) < 90.0)):
        raise InvalidInput([Problem(name, "expected degrees below 90 in size")])
    return np.radians(angle)


def compound_angle_deg(front_deg: npt.ArrayLike, above_deg: npt.ArrayLike) -> Array:
    """Angle of a joint that is bent in two perpendicular planes one after the other, degrees.

    ``cos c = cos a cos b``, the law of cosines on the sphere for a right-angled
    triangle.  The arguments broadcast.

    >>> round(float(compound_angle_deg(10.0, 40.0)), 5)
    41.02646

    Raises InvalidInput for angles of 90 degrees or more.
    """
    front, above = _angle_rad("front_deg", front_deg), _angle_rad("above_deg", above_deg)
    half_front, half_above = np.sin(0.5 * front) ** 2, np.sin(0.5 * above) ** 2
    # arccos loses small joint angles; half-angle sines do not.
    half = half_front * (1.0 - half_above) + half_above * (1.0 - half_front)
    return read_only(np.asarray(np.degrees(2.0 * np.arctan2(np.sqrt(half), np.sqrt(1.0 - half)))))


def cardan_speed_ratio(angle_deg: npt.ArrayLike, turn_deg: npt.ArrayLike) -> Array:
    """Speed of the driven over the driving yoke of a single cardan joint.

    ``cos b / (1 - sin²b cos²t)`` with ``t`` the turn of the driving yoke from where
    its pin stands across the plane of the bend: lowest there (``cos b`` a quarter
    turn on), highest (``1/cos b``) at 0.  The arguments broadcast.

    Raises InvalidInput for angles of 90 degrees or more.
    """
    angle = _angle_rad("angle_deg", angle_deg)
    turn = np.radians(np.asarray(turn_deg, dtype=np.float64))
    return read_only(np.asarray(np.cos(angle) / (1.0 - (np.sin(angle) * np.cos(turn)) ** 2)))


def tripod_orbit_radius_mm(pitch_radius_mm: npt.ArrayLike, angle_deg: npt.ArrayLike) -> Array:
    """Radius on which the centre of a tripod runs round its housing, mm, three times a turn.

    ``(r/2)(sec b - 1)``: three rollers at 120 degrees on the pitch radius ``r``, in
    three parallel tracks.  It shakes the shaft's inner end and is the reason for the
    low angle limit of these joints.  The arguments broadcast.

    Raises InvalidInput for angles of 90 degrees or more and radii that are not above 0.
    """
    angle = _angle_rad("angle_deg", angle_deg)
    radius = np.asarray(pitch_radius_mm, dtype=np.float64)
    if not bool(np.all(radius > 0.0)):
        raise InvalidInput([Problem("pitch_radius_mm", "expected mm above 0")])
    # sec b - 1 loses small angles; tan b tan(b/2) is the same and does not.
    return read_only(np.asarray(0.5 * radius * np.tan(angle) * np.tan(0.5 * angle)))
