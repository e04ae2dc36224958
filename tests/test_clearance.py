"""Gaps against general-purpose libraries: distances by meshes, overlaps by linear programming."""

from __future__ import annotations

import math
from dataclasses import dataclass

import fcl
import numpy as np
import pytest
import trimesh
from scipy.optimize import linprog
from shapely import Point, Polygon

from kinematics.gaps.clearance import Feature, clearance, feature_at
from kinematics.gaps.solids import TurnedBody
from kinematics.parts import Bracket, Section
from kinematics.vectors import Array

FACETS = 360
# Twice what 360 facets take off a radius of 40 mm.
MESH_TOLERANCE = 0.003


@dataclass(frozen=True, eq=False)
class Scene:
    """One section on an axis, and a prism star-shaped about its centre."""

    origin: Array
    axis: Array
    section: Section
    ring: Array
    centre: Array
    fore: tuple[float, float]


def star(rng: np.random.Generator, corners: int, size: float) -> Array:
    """A star-shaped outline about (0, 0), seldom convex."""
    angle = (np.arange(corners) + rng.uniform(0.1, 0.9, corners)) * 2 * math.pi / corners
    radius = size * rng.uniform(0.35, 1.0, corners)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def random_scene(rng: np.random.Generator, near: float) -> Scene:
    """A tilted frustum and a prism about a point ``near`` mm from its axis."""
    axis = rng.normal(size=3) * np.array([1.0, 0.5, rng.choice([0.1, 0.6, 2.0])])
    axis /= np.linalg.norm(axis)
    start = rng.uniform(-40, 40)
    length = rng.uniform(15, 160)
    bar = rng.uniform(2, 60)
    d = (rng.uniform(2, 80), rng.uniform(2, 80)) if rng.random() < 0.6 else (bar, bar)
    origin = rng.uniform(-100, 100, 3)
    aside = np.cross(axis, rng.normal(size=3))
    aside /= np.linalg.norm(aside)
    centre = origin + axis * (start + rng.uniform(-0.3, 1.3) * length) + aside * near
    outline = star(rng, int(rng.integers(4, 11)), rng.uniform(15, 80)) + centre[:2]
    depth = rng.uniform(3, 90)
    rear = centre[2] - depth * rng.uniform(0, 1)
    section = Section("s", start, start + length, d)
    return Scene(origin, axis, section, outline, centre, (rear, rear + depth))


def frustum_mesh(scene: Scene) -> trimesh.Trimesh:
    section = scene.section
    r0, r1 = 0.5 * section.diameter[0], 0.5 * section.diameter[1]
    profile = [(0, section.from_), (r0, section.from_), (r1, section.to), (0, section.to)]
    mesh = trimesh.creation.revolve(profile, sections=FACETS)
    turn = trimesh.geometry.align_vectors([0, 0, 1], scene.axis)  # type: ignore[no-untyped-call]
    mesh.apply_transform(turn)
    mesh.apply_translation(scene.origin)
    return mesh


def prism_mesh(scene: Scene) -> trimesh.Trimesh:
    """The prism with its faces in triangles about its centre."""
    centre, ring, fore = scene.centre[:2], scene.ring, scene.fore
    n = len(ring)
    points = np.concatenate([[centre], ring])
    rear = np.column_stack([points, np.full(n + 1, fore[0])])
    front = np.column_stack([points, np.full(n + 1, fore[1])])
    i = np.arange(n)
    j = (i + 1) % n
    m = n + 1
    faces = np.concatenate([
        np.column_stack([np.zeros(n, int), 1 + j, 1 + i]),
        np.column_stack([np.full(n, m), m + 1 + i, m + 1 + j]),
        np.column_stack([1 + i, 1 + j, m + 1 + j]),
        np.column_stack([1 + i, m + 1 + j, m + 1 + i]),
    ])  # fmt: skip
    return trimesh.Trimesh(np.concatenate([rear, front]), faces, process=False)


def fcl_object(mesh: trimesh.Trimesh) -> fcl.CollisionObject:
    model = fcl.BVHModel()
    model.beginModel(len(mesh.vertices), len(mesh.faces))
    model.addSubModel(mesh.vertices, mesh.faces)
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def mesh_distance(a: trimesh.Trimesh, b: trimesh.Trimesh) -> float:
    result = fcl.DistanceResult()
    fcl.distance(fcl_object(a), fcl_object(b), fcl.DistanceRequest(), result)
    return float(result.min_distance)


def depth_by_linear_programming(scene: Scene) -> float:
    """Least (distance from the axis − radius) between the section's ends, or inf.

    The distance from the axis is replaced by 720 tangent planes, so it is short
    by up to 1 − cos(pi/720) of itself.
    """
    origin, axis, section, ring = scene.origin, scene.axis, scene.section, scene.ring
    side = np.cross(axis, [1.0, 0, 0] if abs(axis[0]) < 0.9 else [0, 1.0, 0])
    side /= np.linalg.norm(side)
    angle = np.arange(720) * math.pi / 360
    across = np.cos(angle)[:, None] * side + np.sin(angle)[:, None] * np.cross(axis, side)
    r0, r1 = 0.5 * section.diameter[0], 0.5 * section.diameter[1]
    slope = (r1 - r0) / (section.to - section.from_)
    least = math.inf
    for k in range(len(ring)):
        triangle = Polygon([scene.centre[:2], ring[k], ring[(k + 1) % len(ring)]])
        xy = np.array(triangle.exterior.coords)[:3]
        if not triangle.exterior.is_ccw:
            xy = xy[::-1]
        edge = np.roll(xy, -1, axis=0) - xy
        normal = np.column_stack([edge[:, 1], -edge[:, 0], np.zeros(3)])
        rows = [np.column_stack([across - slope * axis, -np.ones(720)])]
        limits = [across @ origin - slope * (axis @ origin) + r0 - slope * section.from_]
        rows.append(np.column_stack([normal, np.zeros(3)]))
        limits.append(np.sum(normal[:, :2] * xy, axis=1))
        rows.append(np.array([[*axis, 0.0], [*-axis, 0.0]]))
        limits.append(np.array([axis @ origin + section.to, -(axis @ origin) - section.from_]))
        answer = linprog(
            [0, 0, 0, 1],
            A_ub=np.concatenate(rows),
            b_ub=np.concatenate(limits),
            bounds=[(None, None), (None, None), scene.fore, (None, None)],
        )
        if answer.status == 0:
            least = min(least, answer.fun)
    return least


def nested(scene: Scene) -> bool:
    """Whether one solid may hold the other, which meshes, being surfaces, do not see."""
    section, axis, fore = scene.section, scene.axis, scene.fore
    middle = scene.origin + axis * 0.5 * (section.from_ + section.to)
    if Polygon(scene.ring).contains(Point(middle[:2])) and fore[0] < middle[2] < fore[1]:
        return True
    own = np.array([*scene.centre[:2], 0.5 * sum(fore)]) - scene.origin
    return bool(np.linalg.norm(own - axis * (own @ axis)) < 0.5 * max(section.diameter))


def gap_of(scene: Scene) -> float:
    bracket = Bracket("b", tuple((x, y) for x, y in scene.ring.tolist()), fore=scene.fore)
    body = TurnedBody(scene.origin, scene.axis, (scene.section,))
    return float(clearance([body], [bracket]).gap_mm)


@pytest.mark.parametrize("seed", range(12))
def test_gaps_of_random_solids_apart_agree_with_mesh_distances(seed: int) -> None:
    rng = np.random.default_rng(seed)
    compared = 0
    for _ in range(40):
        scene = random_scene(rng, rng.uniform(0, 140))
        gap = gap_of(scene)
        meshed = mesh_distance(frustum_mesh(scene), prism_mesh(scene))
        if meshed == 0:
            assert gap <= MESH_TOLERANCE
        elif not nested(scene):
            assert gap == pytest.approx(meshed, abs=MESH_TOLERANCE)
            compared += 1
    assert compared > 10


@pytest.mark.parametrize("seed", range(6))
def test_overlaps_of_random_solids_agree_with_linear_programming(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    overlapping = 0
    for _ in range(8):
        scene = random_scene(rng, rng.uniform(0, 30))
        gap = gap_of(scene)
        depth = depth_by_linear_programming(scene)
        if depth < -1e-3:
            assert gap == pytest.approx(depth, abs=1e-3)
            overlapping += 1
        else:
            assert gap >= -1e-3
    assert overlapping > 1


@pytest.mark.parametrize(("off", "expected"), [(0.9e-4, ("corner", 1)), (1.1e-4, ("edge", 1))])
def test_a_point_at_a_corner_is_on_the_corner(off: float, expected: tuple[Feature, int]) -> None:
    plate = Bracket("plate", ((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)), fore=(-5.0, 5.0))
    assert feature_at(plate, (40.0, off, 0.0)) == expected


@pytest.mark.parametrize(
    ("point", "expected"),
    [
        ((20.0, 0.9e-4, 0.0), ("edge", 0)),
        ((20.0, 1.1e-4, 0.0), ("inside", None)),
        ((20.0, 15.0, 5.0 - 0.9e-4), ("front face", None)),
        ((20.0, 15.0, -5.0 + 0.9e-4), ("rear face", None)),
        ((20.0, 15.0, 5.0 - 1.1e-4), ("inside", None)),
    ],
)
def test_what_a_point_of_a_bracket_is_on(
    point: tuple[float, float, float], expected: tuple[Feature, int | None]
) -> None:
    plate = Bracket("plate", ((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)), fore=(-5.0, 5.0))
    assert feature_at(plate, point) == expected
