"""Gaps against general-purpose libraries: distances by meshes, overlaps by linear programming."""

from __future__ import annotations

import math

import fcl
import numpy as np
import pytest
import trimesh
from scipy.optimize import linprog
from shapely import Point, Polygon

from kinematics.clearance import clearance, every_gap
from kinematics.parts import Bracket, Section
from kinematics.solids import CarrierPose, TurnedBody

FACETS = 360
MESH_TOLERANCE = 0.05


def star(rng, corners, size):
    """A star-shaped outline about (0, 0), seldom convex, and its fan of triangles."""
    angle = (np.arange(corners) + rng.uniform(0.1, 0.9, corners)) * 2 * math.pi / corners
    radius = size * rng.uniform(0.35, 1.0, corners)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)


def random_scene(rng, near):
    """A tilted frustum and a prism about a point ``near`` mm from its axis."""
    axis = rng.normal(size=3) * np.array([1.0, 0.5, rng.choice([0.1, 0.6, 2.0])])
    axis /= np.linalg.norm(axis)
    start = rng.uniform(-40, 40)
    length = rng.uniform(15, 160)
    d = tuple(rng.uniform(2, 80, 2)) if rng.random() < 0.6 else (rng.uniform(2, 60),) * 2
    origin = rng.uniform(-100, 100, 3)
    aside = np.cross(axis, rng.normal(size=3))
    aside /= np.linalg.norm(aside)
    centre = origin + axis * (start + rng.uniform(-0.3, 1.3) * length) + aside * near
    outline = star(rng, int(rng.integers(4, 11)), rng.uniform(15, 80)) + centre[:2]
    depth = rng.uniform(3, 90)
    rear = centre[2] - depth * rng.uniform(0, 1)
    return (
        origin, axis, Section("s", start, start + length, d), outline, centre, (rear, rear + depth)
    )  # fmt: skip


def frustum_mesh(origin, axis, section):
    r0, r1 = 0.5 * section.diameter[0], 0.5 * section.diameter[1]
    profile = [(0, section.from_), (r0, section.from_), (r1, section.to), (0, section.to)]
    mesh = trimesh.creation.revolve(profile, sections=FACETS)
    mesh.apply_transform(trimesh.geometry.align_vectors([0, 0, 1], axis))
    mesh.apply_translation(origin)
    return mesh


def prism_mesh(outline, fore):
    """A prism with fan-triangulated faces; ``outline`` is star-shaped about its first row."""
    centre, ring = outline[0], outline[1:]
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


def fcl_object(mesh):
    model = fcl.BVHModel()
    model.beginModel(len(mesh.vertices), len(mesh.faces))
    model.addSubModel(mesh.vertices, mesh.faces)
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def mesh_distance(a, b):
    result = fcl.DistanceResult()
    fcl.distance(fcl_object(a), fcl_object(b), fcl.DistanceRequest(), result)
    return result.min_distance


def depth_by_linear_programming(origin, axis, section, ring, centre, fore):
    """Least (distance from the axis − radius) between the section's ends, or inf.

    The distance from the axis is replaced by 720 tangent planes, so it is short
    by up to 1 − cos(pi/720) of itself.
    """
    side = np.cross(axis, [1.0, 0, 0] if abs(axis[0]) < 0.9 else [0, 1.0, 0])
    side /= np.linalg.norm(side)
    angle = np.arange(720) * math.pi / 360
    across = np.cos(angle)[:, None] * side + np.sin(angle)[:, None] * np.cross(axis, side)
    r0, r1 = 0.5 * section.diameter[0], 0.5 * section.diameter[1]
    slope = (r1 - r0) / (section.to - section.from_)
    least = math.inf
    for k in range(len(ring)):
        triangle = Polygon([centre[:2], ring[k], ring[(k + 1) % len(ring)]])
        xy = np.array(triangle.exterior.coords)[:3]
        if triangle.exterior.is_ccw is False:
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
            bounds=[(None, None), (None, None), fore, (None, None)],
        )
        if answer.status == 0:
            least = min(least, answer.fun)
    return least


def nested(origin, axis, section, ring, centre, fore):
    """Whether one solid may hold the other, which meshes, being surfaces, do not see."""
    middle = origin + axis * 0.5 * (section.from_ + section.to)
    own = np.array([*centre[:2], 0.5 * sum(fore)]) - origin
    return (
        Polygon(ring).contains(Point(middle[:2])) and fore[0] < middle[2] < fore[1]
    ) or np.linalg.norm(own - axis * (own @ axis)) < 0.5 * max(section.diameter)


def gap_of(origin, axis, section, ring, fore):
    bracket = Bracket("b", tuple(map(tuple, ring.tolist())), fore=fore)
    return clearance([TurnedBody(origin, axis, (section,))], [bracket])


@pytest.mark.parametrize("seed", range(12))
def test_gaps_of_random_solids_apart_agree_with_mesh_distances(seed):
    rng = np.random.default_rng(seed)
    compared = 0
    for _ in range(40):
        origin, axis, section, ring, centre, fore = random_scene(rng, rng.uniform(0, 140))
        gap = float(gap_of(origin, axis, section, ring, fore).gap_mm)
        meshed = mesh_distance(
            frustum_mesh(origin, axis, section), prism_mesh(np.vstack([centre[:2], ring]), fore)
        )
        if meshed == 0:
            assert gap <= MESH_TOLERANCE
        elif not nested(origin, axis, section, ring, centre, fore):
            assert gap == pytest.approx(meshed, abs=MESH_TOLERANCE)
            compared += 1
    assert compared > 10


@pytest.mark.parametrize("seed", range(6))
def test_overlaps_of_random_solids_agree_with_linear_programming(seed):
    rng = np.random.default_rng(100 + seed)
    overlapping = 0
    for _ in range(8):
        origin, axis, section, ring, centre, fore = random_scene(rng, rng.uniform(0, 30))
        gap = float(gap_of(origin, axis, section, ring, fore).gap_mm)
        depth = depth_by_linear_programming(origin, axis, section, ring, centre, fore)
        if depth < -1e-3:
            assert gap == pytest.approx(depth, abs=1e-3)
            overlapping += 1
        else:
            assert gap >= -1e-3
    assert overlapping > 1
