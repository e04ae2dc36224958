"""A measured position that looks misread, found by the path that the others make."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.linkage.measured import MeasuredCurve
from kinematics.parts import Corner, Measured
from kinematics.sure.adjustment import LEAST_REDUNDANCY
from kinematics.sure.measurands import Measurand
from kinematics.sure.tape import Tape
from kinematics.vectors import Array

MeasuredPoint = Literal["outer_joint", "wheel_centre"]

# A wheel's path is off a parabola by tenths of a millimetre: one standard deviation.
PATH_MM = 0.2
# Root of the chi-square's 99.9 % point with three degrees of freedom, 16.27: three coordinates.
SUSPICIOUS = 4.03


@dataclass(frozen=True, slots=True)
class Misread:
    """The position that looks misread: which point at which travel, by how much, mm.

    ``standardised`` is how far it lies off what the others say, in standard
    uncertainties, all three coordinates together.
    """

    point: MeasuredPoint
    travel_mm: float
    by_mm: float
    standardised: float


def misread_position(corner: Corner, tape: Tape[Measurand] | None = None) -> Misread | None:
    """The measured position that least fits the path of the others, if it looks misread.

    A parabola over travel is laid through all of them by weighted least squares.
    A single error shows largest where it was made once each residual is divided
    by its standard uncertainty and the root of its redundancy (data snooping;
    W. Baarda, A Testing Procedure for Use in Geodetic Networks, 1968); what it seems
    misread by is the residual over its redundancy.  None where nothing stands out,
    where there are three positions or fewer, ride height among them, and for a linkage.
    """
    linkage, tape = corner.linkage, tape or Tape()
    if not isinstance(linkage, Measured):
        return None
    curve = MeasuredCurve.of(linkage, corner.hub)
    worst: Misread | None = None
    points: list[tuple[MeasuredPoint, Array]] = [("outer_joint", curve.outer_joints)]
    if curve.hub_measured:
        points.append(("wheel_centre", curve.wheel_centres))
    for point, values in points:
        sigma = _standard_uncertainty_mm(linkage, tape, point, curve, values)
        off, redundancy = _off_a_parabola(curve.knots_mm, values, np.hypot(sigma, PATH_MM))
        judged = redundancy > LEAST_REDUNDANCY
        share = np.where(judged, redundancy, np.inf)
        standardised = np.linalg.norm(off / np.hypot(sigma, PATH_MM) / np.sqrt(share), axis=1)
        place = int(standardised.argmax())
        if standardised[place] > max(SUSPICIOUS, worst.standardised if worst else 0.0):
            by_mm = float(np.linalg.norm(off[place] / share[place]))
            worst = Misread(point, float(curve.knots_mm[place]), by_mm, float(standardised[place]))
    return worst


def _standard_uncertainty_mm(
    linkage: Measured,
    tape: Tape[Measurand],
    point: MeasuredPoint,
    curve: MeasuredCurve,
    values: Array,
) -> Array:
    """Of each coordinate of the point at each knot, shape (knots, 3)."""
    number = {one.travel: number for number, one in enumerate(linkage.positions)}
    sigma = np.empty_like(values)
    for row, travel in enumerate(curve.knots_mm.tolist()):
        # Ride height is the hub's own.
        own = travel in number
        thing = Measurand("position" if own else "hub", point, number.get(travel))
        for axis, value in enumerate(values[row].tolist()):
            sigma[row, axis] = tape.error_of(thing, axis, value).standard_uncertainty_mm
    return sigma


def _off_a_parabola(travel_mm: Array, values: Array, sigma: Array) -> tuple[Array, Array]:
    """Residuals off the best parabola and the redundancy of each value, shape (knots, 3)."""
    powers = np.vander(travel_mm / np.abs(travel_mm).max(), 3)
    off, redundancy = np.zeros_like(values), np.zeros_like(values)
    for place in range(values.shape[1]):
        base, _ = np.linalg.qr(powers / sigma[:, place, None])
        reduced = values[:, place] / sigma[:, place]
        off[:, place] = (reduced - base @ (base.T @ reduced)) * sigma[:, place]
        redundancy[:, place] = 1.0 - np.sum(base**2, axis=1)
    return off, redundancy
