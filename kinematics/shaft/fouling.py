"""What one corner's shaft could touch: its solids and brackets, put where the motion takes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.gaps.clearance import Clearance, ClosestApproach, clearance
from kinematics.gaps.closest import closest_approaches
from kinematics.gaps.solids import CarrierPose, TurnedBody
from kinematics.linkage.motion import Motion
from kinematics.parts import ArmLinkage, Carrier, Corner, Measured, Point, Strut
from kinematics.shaft.following import ShaftMotion
from kinematics.vectors import Vec

STILL = np.zeros((1, 3))


@dataclass(frozen=True, slots=True, eq=False)
class Solids:
    """The turned bodies of a corner and the carriers of its brackets, at the same positions.

    The leading axes are the motion's, then one for the gearbox shifts.
    """

    bodies: tuple[TurnedBody, ...]
    carriers: Mapping[Carrier, CarrierPose]


def solids(
    corner: Corner, motion: Motion, shaft: ShaftMotion, shift_mm: npt.ArrayLike = STILL
) -> Solids:
    """The shaft, the inner joint's housing and the outer joint's body over a motion.

    ``shift_mm`` of shape (n, 3) is the gearbox movement that ``shaft`` was followed
    with: its leading axis there is the last one here.
    """
    shifts = np.asarray(shift_mm, dtype=np.float64)
    outer = motion.outer_joint[..., None, :]
    inner_joint, outer_joint = corner.shaft.inner_joint, corner.shaft.outer_joint
    inner = (
        np.moveaxis(shaft.inner_joint, 0, -2)
        if shaft.inner_joint.ndim > motion.outer_joint.ndim
        else shaft.inner_joint[..., None, :]
    )
    housing_axis = Vec.of(inner_joint.axis).unit().stacked()
    bodies = (
        TurnedBody.between(outer, inner, corner.shaft.sections),
        TurnedBody(np.asarray(inner_joint.mid_stroke) + shifts, housing_axis, inner_joint.sections),
        TurnedBody(outer, motion.hub_axis[..., None, :], outer_joint.sections),
    )
    carriers: dict[Carrier, CarrierPose] = {
        "body": CarrierPose.still(),
        "knuckle": CarrierPose(
            np.asarray(corner.hub.outer_joint, dtype=np.float64),
            outer,
            motion.knuckle_rotation[..., None, :, :],
        ),
        "gearbox": CarrierPose.shifted(shifts),
    }
    if not isinstance(corner.linkage, Measured):
        carriers["arm"] = CarrierPose.swung(
            _arm_pivot(corner.linkage), motion.arm_turn_deg[..., None]
        )
    return Solids(tuple(body for body in bodies if body.sections), carriers)


def _arm_pivot(linkage: ArmLinkage) -> Point:
    """Pivot of the (lower) arm."""
    return linkage.arm_pivot if isinstance(linkage, Strut) else linkage.lower_pivot


def corner_clearance(
    corner: Corner, motion: Motion, shaft: ShaftMotion, shift_mm: npt.ArrayLike = STILL
) -> Clearance:
    """The smallest gap at every position; arrays of shape (*motion, shifts)."""
    parts = solids(corner, motion, shaft, shift_mm)
    return clearance(parts.bodies, corner.brackets, parts.carriers)


def corner_approaches(
    corner: Corner, motion: Motion, shaft: ShaftMotion, shift_mm: npt.ArrayLike = STILL
) -> tuple[ClosestApproach, ...]:
    """Each bracket's smallest gap over the whole motion; positions index (*motion, shifts)."""
    parts = solids(corner, motion, shaft, shift_mm)
    return closest_approaches(parts.bodies, corner.brackets, parts.carriers)
