"""How far a shoulder or a groove raises the stress of a bar under torque.

Factors on the nominal stress of the *smaller* diameter.  A ductile steel evens
such peaks out under one steady load; under many reversals they are where a
crack begins.
"""

from __future__ import annotations

import math

import numpy as np

from kinematics.errors import require

# R. L. Norton, Machine Design, stress-concentration appendix, fitted to R. E. Peterson's
# curves (memory): Kt = A (r/d)^b for a shoulder fillet in torsion, rows D/d, A, b.
_SHOULDER = (
    (1.09, 0.90337, -0.12692),
    (1.20, 0.83425, -0.21649),
    (1.33, 0.84897, -0.23161),
    (2.00, 0.86331, -0.23865),
)


def _checked(large_mm: float, small_mm: float, radius_mm: float) -> None:
    ordered = 0.0 < small_mm <= large_mm
    require(
        (ordered, "small_mm", "mm above 0, not above the larger diameter"),
        (radius_mm > 0.0, "radius_mm", "mm above 0; a sharp corner has about 0.1"),
    )


def shoulder_factor(large_mm: float, small_mm: float, radius_mm: float) -> float:
    """Stress concentration at a shoulder with a fillet, in torsion; 1 where there is none.

    Norton's fits to Peterson's curves (memory), straight between their ratios of
    diameters; above 2 as at 2; below 1.09 falling to 1 as the root of the step's height,
    as a shallow notch does.

    Raises InvalidInput for diameters out of order and a radius not above 0.
    """
    _checked(large_mm, small_mm, radius_mm)
    ratio, slender = large_mm / small_mm, radius_mm / small_mm
    steps = [step for step, _, _ in _SHOULDER]
    factors = [max(1.0, a * math.pow(slender, b)) for _, a, b in _SHOULDER]
    if ratio < steps[0]:
        return 1.0 + (factors[0] - 1.0) * math.sqrt((ratio - 1.0) / (steps[0] - 1.0))
    return float(np.interp(ratio, steps, factors))


def groove_factor(large_mm: float, small_mm: float, radius_mm: float) -> float:
    """Stress concentration at a groove round a bar, in torsion; 1 where there is none.

    Neuber's rule between his deep groove and his shallow one (H. Neuber,
    Kerbspannungslehre; memory), with ``t`` the depth and ``a`` the radius of the root circle:
    shallow ``1 + sqrt(t/r)``, deep ``3(1 + q)²/(4(1 + 2q))`` with ``q = sqrt(a/r + 1)``.

    Raises InvalidInput for diameters out of order and a radius not above 0.
    """
    _checked(large_mm, small_mm, radius_mm)
    shallow = math.sqrt(0.5 * (large_mm - small_mm) / radius_mm)
    q = math.sqrt(0.5 * small_mm / radius_mm + 1.0)
    deep = 3.0 * (1.0 + q) ** 2 / (4.0 * (1.0 + 2.0 * q)) - 1.0
    if shallow == 0.0 or deep <= 0.0:
        return 1.0
    return 1.0 + shallow * deep / math.hypot(shallow, deep)
