"""Round bars, tubes and welds round them under torque: stress, twist, how concentric ones share.

Saint-Venant's theory of circular shafts, in every handbook of the strength of
materials.  Arguments broadcast; diameters and lengths mm, torque N·m, stress MPa,
moduli GPa.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from kinematics.making.steels import SHEAR_MODULUS_GPA
from kinematics.vectors import Array, read_only

_NMM_PER_NM = 1e3
_MPA_PER_GPA = 1e3
# A fillet with equal legs breaks through its throat, at 45 degrees.
THROAT_PER_LEG = math.sqrt(0.5)


def polar_moment_mm4(outer_mm: npt.ArrayLike, bore_mm: npt.ArrayLike) -> Array:
    """Polar second moment of area of a bar, or of a tube, mm⁴.

    >>> round(float(polar_moment_mm4(20.0, 0.0)))
    15708
    """
    outer = np.asarray(outer_mm, dtype=np.float64)
    bore = np.asarray(bore_mm, dtype=np.float64)
    # d⁴ - b⁴ loses the thin tube; its factors do not.
    product = (outer - bore) * (outer + bore) * (outer * outer + bore * bore)
    return read_only(np.asarray(np.pi / 32.0 * product))


def shear_stress_mpa(
    torque_nm: npt.ArrayLike, outer_mm: npt.ArrayLike, bore_mm: npt.ArrayLike = 0.0
) -> Array:
    """Shear stress at the outside of a bar or tube, MPa."""
    torque = np.asarray(torque_nm, dtype=np.float64) * _NMM_PER_NM
    radius = 0.5 * np.asarray(outer_mm, dtype=np.float64)
    return read_only(np.asarray(torque * radius / polar_moment_mm4(outer_mm, bore_mm)))


def twist_deg(
    torque_nm: npt.ArrayLike,
    length_mm: npt.ArrayLike,
    outer_mm: npt.ArrayLike,
    bore_mm: npt.ArrayLike = 0.0,
    shear_modulus_gpa: npt.ArrayLike = SHEAR_MODULUS_GPA,
) -> Array:
    """Twist of a bar or tube from end to end, degrees."""
    stiffness = torsional_stiffness_nm2(outer_mm, bore_mm, shear_modulus_gpa)
    torque = np.asarray(torque_nm, dtype=np.float64)
    length_m = np.asarray(length_mm, dtype=np.float64) * 1e-3
    return read_only(np.asarray(np.degrees(torque * length_m / stiffness)))


def torsional_stiffness_nm2(
    outer_mm: npt.ArrayLike,
    bore_mm: npt.ArrayLike = 0.0,
    shear_modulus_gpa: npt.ArrayLike = SHEAR_MODULUS_GPA,
) -> Array:
    """G·J of a bar or tube, N·m²: torque over twist in radians for each metre."""
    modulus = np.asarray(shear_modulus_gpa, dtype=np.float64) * _MPA_PER_GPA
    return read_only(np.asarray(modulus * polar_moment_mm4(outer_mm, bore_mm) * 1e-6))


def torque_shares(stiffness_nm2: npt.ArrayLike) -> Array:
    """Share of the torque that each of several concentric parts takes, last axis.

    Parts that are fixed to each other at both ends twist alike, so each takes its part of
    the sum of G·J.  The shares add up to 1.
    """
    stiffness = np.asarray(stiffness_nm2, dtype=np.float64)
    return read_only(np.asarray(stiffness / np.sum(stiffness, axis=-1, keepdims=True)))


def fillet_stress_mpa(
    torque_nm: npt.ArrayLike, diameter_mm: npt.ArrayLike, leg_mm: npt.ArrayLike
) -> Array:
    """Shear stress in the throat of a fillet weld round a bar, MPa.

    The throat as a thin ring on the bar's surface: ``2 T/(π d² t)``, ``t = leg/√2``;
    Khurmi's ``2.83 T/(π s d²)``.  On the safe side, for the throat lies further out.
    """
    torque = np.asarray(torque_nm, dtype=np.float64) * _NMM_PER_NM
    diameter = np.asarray(diameter_mm, dtype=np.float64)
    throat = np.asarray(leg_mm, dtype=np.float64) * THROAT_PER_LEG
    return read_only(np.asarray(2.0 * torque / (math.pi * diameter**2 * throat)))


def butt_stress_mpa(
    torque_nm: npt.ArrayLike, diameter_mm: npt.ArrayLike, depth_mm: npt.ArrayLike
) -> Array:
    """Shear stress at the outside of a butt weld round a bar, MPa.

    The ring that is fused, as deep as ``depth_mm`` from the surface; all of the bar where
    the depth reaches its middle.  A spigot inside is taken to carry nothing.
    """
    diameter = np.asarray(diameter_mm, dtype=np.float64)
    bore = np.maximum(0.0, diameter - 2.0 * np.asarray(depth_mm, dtype=np.float64))
    return shear_stress_mpa(torque_nm, diameter, bore)
