"""Welds round a shaft under torque.  Diameters and sizes mm, torque N·m, stress MPa."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from kinematics.making.torsion import shear_stress_mpa
from kinematics.vectors import Array, read_only

# A fillet with equal legs breaks through its throat, at 45 degrees.
THROAT_PER_LEG = math.sqrt(0.5)


def fillet_stress_mpa(
    torque_nm: npt.ArrayLike, diameter_mm: npt.ArrayLike, leg_mm: npt.ArrayLike
) -> Array:
    """Shear stress in the throat of a fillet weld round a bar, MPa.

    The throat as a thin ring on the bar's surface: ``2 T/(π d² t)``, ``t = leg/√2``;
    Khurmi's ``2.83 T/(π s d²)``.  On the safe side, for the throat lies further out.
    """
    torque = np.asarray(torque_nm, dtype=np.float64) * 1e3
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
