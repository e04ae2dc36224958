"""One position of one corner, as plain numbers ready to be drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from kinematics.linkage.motion import Motion
from kinematics.parts import Bracket, Corner, Hub, Linkage, Point
from kinematics.poses import CarrierPose, Carriers
from kinematics.shaft.following import ShaftMotion
from kinematics.sure.measurands import points_of
from scenes.part_keys import path_of


@dataclass(frozen=True, slots=True)
class ShaftPose:
    """The shaft at one position; lengths mm, angles degrees.

    ``mid_stroke`` and ``axis`` are the housing's, the gearbox movement included;
    ``inner_joint`` is where the joint's centre rides on it.
    """

    length_mm: float
    mid_stroke: Point
    axis: Point
    inner_joint: Point
    plunge_mm: float
    stroke_left_in_mm: float
    stroke_left_out_mm: float
    inner_angle_deg: float
    outer_angle_deg: float


@dataclass(frozen=True, slots=True)
class Pose:
    """One corner at one travel and steer angle.

    ``points`` has every point of ``linkage`` and ``hub`` by its path in the scene
    file (``"linkage.ball_joint"``), each (out, up, fore) in mm.  ``carriers`` say where
    brackets are taken from ride height to here; none are known where nothing is solved.
    ``shaft`` is None where the shaft does not reach the housing axis.
    """

    travel_mm: float
    steer_deg: float
    points: Mapping[str, Point]
    camber_deg: float = 0.0
    shaft: ShaftPose | None = None
    carriers: Carriers = field(default_factory=dict, compare=False, repr=False)

    def __getitem__(self, path: str) -> Point:
        return self.points[path]


def carried(point: Point, bracket: Bracket, pose: Pose) -> Point:
    """A point drawn on a bracket at ride height, where its carrier takes it."""
    carrier = pose.carriers.get(bracket.mounted_on)
    return point if carrier is None else _point(carrier.carried(np.array(point)))


def pose_as_drawn(linkage: Linkage, hub: Hub) -> Pose:
    """The points as the scene has them at ride height, unsolved: what shows when nothing solves."""
    own = ((thing, at) for thing, at in points_of(linkage, hub) if thing.part != "position")
    return Pose(0.0, 0.0, {path_of(thing): at for thing, at in own})


def _point(values: np.ndarray) -> Point:
    # The last bits of a sine hang on where its array lies in memory; a picture must not.
    out, up, fore = values.tolist()
    return (round(out, 7), round(up, 7), round(fore, 7))


def pose_at(
    corner: Corner,
    motion: Motion,
    shaft: ShaftMotion | None = None,
    index: int | tuple[int, ...] = (),
) -> Pose | None:
    """The pose at one index of a solved motion; None where that position is out of reach.

    ``shaft`` has the motion's shape: it was followed with the gearbox where it stands.
    """
    if not bool(motion.in_reach[index]):
        return None
    linkage = corner.linkage
    points = dict(pose_as_drawn(linkage, corner.hub).points)
    for path, moved in (
        ("linkage.ball_joint", motion.ball_joint),
        ("linkage.strut_lower", motion.strut_lower),
        ("linkage.lower_ball_joint", motion.ball_joint),
        ("linkage.upper_ball_joint", motion.steering_top),
        ("hub.outer_joint", motion.outer_joint),
        ("hub.wheel_centre", motion.wheel_centre),
    ):
        if path in points and moved is not None:
            points[path] = _point(moved[index])
    carriers = motion.carriers(linkage, corner.hub)
    carriers["gearbox"] = CarrierPose.shifted((0.0, 0.0, 0.0))
    return Pose(
        travel_mm=float(motion.travel_mm[index]),
        steer_deg=float(motion.steer_deg[index]),
        points=points,
        camber_deg=float(motion.camber_deg[index]),
        shaft=None if shaft is None else _shaft_pose(corner, shaft, index),
        carriers={carrier: one.at(index) for carrier, one in carriers.items()},
    )


def _shaft_pose(
    corner: Corner, shaft: ShaftMotion, index: int | tuple[int, ...]
) -> ShaftPose | None:
    if not bool(shaft.reaches[index]):
        return None
    joint = corner.shaft.inner_joint
    size = float(np.hypot(np.hypot(joint.axis[0], joint.axis[1]), joint.axis[2]))
    return ShaftPose(
        length_mm=shaft.length_mm,
        mid_stroke=joint.mid_stroke,
        axis=(joint.axis[0] / size, joint.axis[1] / size, joint.axis[2] / size),
        inner_joint=_point(shaft.inner_joint[index]),
        plunge_mm=float(shaft.plunge_mm[index]),
        stroke_left_in_mm=float(shaft.stroke_left_in_mm[index]),
        stroke_left_out_mm=float(shaft.stroke_left_out_mm[index]),
        inner_angle_deg=float(shaft.inner_angle_deg[index]),
        outer_angle_deg=float(shaft.outer_angle_deg[index]),
    )
