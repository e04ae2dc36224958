"""What one corner's shaft could touch: its solids and brackets, put where the motion takes them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.gaps.clearance import Clearance, ClosestApproach, clearance
from kinematics.gaps.closest import closest_approaches
from kinematics.gaps.solids import TurnedBody
from kinematics.linkage.motion import Motion
from kinematics.parts import Corner
from kinematics.poses import CarrierPose, Carriers
from kinematics.shaft.following import ShaftMotion
from kinematics.vectors import Vec


@dataclass(frozen=True, slots=True, eq=False)
class Solids:
    """The turned bodies of a corner and the carriers of its brackets, at the same positions.

    The leading axes are the shaft's: the motion's, then one for several gearbox shifts.
    """

    bodies: tuple[TurnedBody, ...]
    carriers: Carriers


def solids(corner: Corner, motion: Motion, shaft: ShaftMotion) -> Solids:
    """The shaft, the inner joint's housing and the outer joint's body over a motion.

    ``shaft`` is what was followed over ``motion``; its gearbox shifts hold here as well.
    """
    inner_joint, outer_joint = corner.shaft.inner_joint, corner.shaft.outer_joint
    outer = shaft.spread(motion.outer_joint, 1)
    housing_axis = Vec.of(inner_joint.axis).unit().stacked()
    bodies = (
        TurnedBody.between(outer, shaft.inner_joint, corner.shaft.sections),
        TurnedBody(
            np.asarray(inner_joint.mid_stroke) + shaft.shift_mm, housing_axis, inner_joint.sections
        ),
        TurnedBody(outer, shaft.spread(motion.hub_axis, 1), outer_joint.sections),
    )
    carriers = motion.carriers(corner.linkage, corner.hub)
    if shaft.shift_mm.ndim > 1:
        carriers = {carrier: pose.with_axis() for carrier, pose in carriers.items()}
    carriers["gearbox"] = CarrierPose.shifted(shaft.shift_mm)
    return Solids(tuple(body for body in bodies if body.sections), carriers)


def corner_clearance(corner: Corner, motion: Motion, shaft: ShaftMotion) -> Clearance:
    """The smallest gap at every position; arrays of the shaft's shape."""
    parts = solids(corner, motion, shaft)
    return clearance(parts.bodies, corner.brackets, parts.carriers)


def corner_approaches(
    corner: Corner, motion: Motion, shaft: ShaftMotion
) -> tuple[ClosestApproach, ...]:
    """Each bracket's smallest gap over the whole motion; positions index the shaft's."""
    parts = solids(corner, motion, shaft)
    return closest_approaches(parts.bodies, corner.brackets, parts.carriers)
