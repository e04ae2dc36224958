"""Poses and pictures of the examples, for the tests of the drawing."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from kinematics.linkage.motion import solve
from kinematics.shaft.following import follow
from scenes.library import example
from scenes.model import Scene, Side
from sketcher.answers.pose import Pose, pose_at
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import (
    Arc,
    Circle,
    Handle,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Primitive,
    Text,
)
from sketcher.drawing.sketch import SketchExtras, front_view, world_box


def pose(scene: Scene, travel_mm: float, steer_deg: float = 0.0, side: Side = "left") -> Pose:
    corner = scene.corner(side)
    motion = solve(corner.linkage, corner.hub, np.array([travel_mm]), np.array([steer_deg]))
    shaft = follow(corner, motion)
    found = pose_at(corner, motion, shaft, 0)
    assert found is not None
    return found


def front(
    name: str = "van-front",
    travel_mm: float = 0.0,
    steer_deg: float = 0.0,
    size: tuple[int, int] = (1280, 800),
    shown: SketchExtras | None = None,
) -> tuple[Picture, Camera]:
    scene = example(name)
    ride = pose(scene, 0.0)
    camera = Camera(*size).fitted(world_box(scene, ride, "left"))
    now = pose(scene, travel_mm, steer_deg)
    return front_view(scene, "left", now, ride, camera, shown), camera


def points_of(item: Primitive) -> Iterable[Point2]:
    """Points whose box holds the primitive; of a text only where it is anchored."""
    match item:
        case Line():
            return (item.start, item.end)
        case Lines():
            return (point for segment in item.segments for point in segment)
        case Circle():
            (x, y), r = item.centre, item.radius
            return ((x - r, y - r), (x + r, y + r))
        case Polyline() | Polygon() | Arc():
            return item.points
        case Text() | Handle():
            return (item.at,)
