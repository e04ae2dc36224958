"""The linkage, knuckle and wheel as they are drawn, from the front and from above."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from kinematics.linkage.bodies import StrutTube
from kinematics.parts import Measured, Point
from kinematics.vectors import Array
from scenes.model import Scene
from sketcher.answers.pose import Pose
from sketcher.drawing.picture import Circle, Handle, Line, Lines, Point2, Polygon, Polyline, Role
from sketcher.drawing.shapes import (
    along,
    between,
    cross,
    disc,
    ground_ticks,
    hull,
    link,
    strip,
    to_points,
    unit,
)
from sketcher.drawing.sheet import Sheet

# Half thicknesses of parts that the scene does not size, mm: they only say what is what.
ARM_AT_PIVOT, ARM_AT_BALL = 17.0, 12.0
TUBE, ROD, MARK = 23.0, 9.0, 5.0
TUBE_PART = 0.5
KNUCKLE_AT_HUB, KNUCKLE_AT_BALL, KNUCKLE_AT_TOP = 46.0, 15.0, 20.0
TYRE_WIDTH_PART = 0.56
RIM_PART = 0.66
# From the side wall to the tread: part of half the width, part of the radius.
TYRE_SHOULDER = ((1.0, 0.9), (0.94, 0.955), (0.8, 0.99), (0.5, 1.0))

_ARMS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "strut": (("arm", "linkage.arm_pivot", "linkage.ball_joint"),),
    "wishbones": (
        ("arm", "linkage.lower_pivot", "linkage.lower_ball_joint"),
        ("upper_arm", "linkage.upper_pivot", "linkage.upper_ball_joint"),
    ),
    "measured": (),
}
_AROUND = np.linspace(0.0, 2.0 * np.pi, 64, endpoint=False)
_COSINES, _SINES = np.cos(_AROUND), np.sin(_AROUND)
BODY_POINTS = ("linkage.arm_pivot", "linkage.lower_pivot", "linkage.upper_pivot")
BALL_JOINTS = ("linkage.ball_joint", "linkage.lower_ball_joint", "linkage.upper_ball_joint")


def drum(pose: Pose, rims: tuple[tuple[float, float], ...], sheet: Sheet) -> tuple[Point2, ...]:
    """The outline of a body turned about the hub axis.

    ``rims``: how far each of its edges lies outboard of the wheel centre, and its radius.
    """
    across = 1 if sheet.view == "front" else 2
    return _drum(pose["hub.wheel_centre"], hub_axis(pose), rims, across)


# Ghost, moving wheel and view from above take turns; what stands still is not drawn anew.
@lru_cache(maxsize=32)
def _drum(
    centre: Point, axis: Point, rims: tuple[tuple[float, float], ...], across: int
) -> tuple[Point2, ...]:
    offsets, radii = np.array(rims).T
    a, b = axis[0], axis[across]
    # How far each circle reaches in a direction of the view, and where.
    lean = a * _COSINES + b * _SINES
    flat = np.sqrt(np.maximum(1.0 - lean * lean, 1e-12))
    reach = np.multiply.outer(offsets, lean) + np.multiply.outer(radii, flat)
    most = np.argmax(reach, axis=0)
    along, round_ = offsets[most] - radii[most] * lean / flat, radii[most] / flat
    x = centre[0] + along * a + round_ * _COSINES
    y = centre[across] + along * b + round_ * _SINES
    return to_points(np.stack((x, y), axis=1))


def hub_axis(pose: Pose) -> Point:
    """Unit direction from the outer joint to the wheel centre."""
    a, b = pose["hub.outer_joint"], pose["hub.wheel_centre"]
    length = math.dist(a, b)
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length, (b[2] - a[2]) / length)


def rings(pose: Pose, offsets: Sequence[float], radii: Sequence[float]) -> Array:
    """Points of circles about the hub axis, shape (n, 3).

    Each circle is offset along the axis from the wheel centre, + outboard.
    """
    axis = hub_axis(pose)
    out, up, fore = axis
    flat = math.hypot(out, fore) or 1.0
    # Two directions square to the axis: level, and as upright as it allows.
    level = np.array((-fore / flat, 0.0, out / flat))
    rise = np.array((-out * up / flat, flat, -fore * up / flat))
    centres = np.array(pose["hub.wheel_centre"]) + np.outer(offsets, axis)
    circle = np.outer(_COSINES, level) + np.outer(_SINES, rise)
    points: Array = centres[:, None, :] + np.multiply.outer(np.asarray(radii), circle)
    return points.reshape(-1, 3)


def draw_wheel(sheet: Sheet, pose: Pose, radius: float, role: Role = "wheel") -> None:
    """The tyre, and on the moving wheel the rim's edge, hub face and axis."""
    half = TYRE_WIDTH_PART * radius / 2
    rims = tuple(
        (half * part * side, radius * size) for part, size in TYRE_SHOULDER for side in (-1.0, 1.0)
    )
    outline = drum(pose, rims, sheet)
    if role != "wheel":
        sheet.add(Polyline((*outline, outline[0]), role))
        return
    sheet.add(Polygon(outline, role, "wheel"))
    edges = sheet.flat_all(rings(pose, (-0.8 * half, 0.8 * half), (radius * RIM_PART,) * 2))
    for edge in map(to_points, edges.reshape(2, -1, 2)):
        sheet.add(Polyline((*edge, edge[0]), "wheel_rim", "wheel"))
    sheet.room.take_run(outline, closed=True)
    centre, axis = sheet.flat(pose["hub.wheel_centre"]), sheet.flat(hub_axis(pose))
    reach = half * 1.25
    ends = along(centre, axis, -reach * 0.2), along(centre, axis, reach)
    sheet.add(Line(*ends, "axis", "wheel"))


def arms(pose: Pose, scene: Scene) -> tuple[tuple[str, Point, Point], ...]:
    """Each arm's key, pivot and ball joint."""
    return tuple((key, pose[a], pose[b]) for key, a, b in _ARMS[scene.linkage.kind])


def draw_arms(sheet: Sheet, pose: Pose, scene: Scene) -> None:
    """The arms as links with round ends, the lower one as thick as it is known to be."""
    for key, pivot, ball in arms(pose, scene):
        a, b = sheet.flat(pivot), sheet.flat(ball)
        outline = link(a, ARM_AT_PIVOT, b, ARM_AT_BALL)
        if key == "arm" and scene.arm is not None and sheet.view == "front":
            # Above is to the left of an arm that runs outboard.
            side = 1.0 if b[0] >= a[0] else -1.0
            left, right = scene.arm.above * side, -scene.arm.below * side
            way = unit(a, b)
            bar = [along(p, way, 0.0, aside) for p in (a, b) for aside in (left, right)]
            outline = hull([*bar, *disc(a, MARK), *disc(b, MARK)])
        sheet.add(Polygon(outline, "arm", key))
        sheet.room.take_run(outline, closed=True)
        sheet.room.take_line(a, b, ARM_AT_BALL)
        sheet.room.take_disc(a, ARM_AT_PIVOT)


def knuckle_outline(sheet: Sheet, pose: Pose, scene: Scene) -> tuple[Point2, ...]:
    """The knuckle as a web round the hub, the ball joint and what holds it above."""
    kind = scene.linkage.kind
    if kind == "measured":
        return ()
    ball = pose["linkage.ball_joint" if kind == "strut" else "linkage.lower_ball_joint"]
    top = pose["linkage.strut_lower" if kind == "strut" else "linkage.upper_ball_joint"]
    top_radius = KNUCKLE_AT_TOP if kind == "strut" else KNUCKLE_AT_BALL
    joint, wheel = sheet.flat(pose["hub.outer_joint"]), sheet.flat(pose["hub.wheel_centre"])
    return _web(sheet.flat(ball), sheet.flat(top), top_radius, between(joint, wheel, 0.45))


@lru_cache(maxsize=8)
def _web(ball: Point2, top: Point2, top_radius: float, hub: Point2) -> tuple[Point2, ...]:
    return hull(
        [*disc(ball, KNUCKLE_AT_BALL), *disc(top, top_radius), *disc(hub, KNUCKLE_AT_HUB, 40)]
    )


def draw_knuckle(sheet: Sheet, pose: Pose, scene: Scene) -> None:
    """The knuckle, with the wheel's flange across the hub axis."""
    outline = knuckle_outline(sheet, pose, scene)
    if outline:
        sheet.add(Polygon(outline, "knuckle", "knuckle"))
        sheet.room.take_run(outline, closed=True)
    radius = KNUCKLE_AT_HUB + 12.0
    flange = drum(pose, ((0.0, radius), (-9.0, radius)), sheet)
    sheet.add(Polygon(flange, "knuckle", "knuckle"))
    sheet.room.take_run(flange, closed=True)


def draw_strut(sheet: Sheet, pose: Pose, ride: Pose, tube: StrutTube | None = None) -> None:
    """The strut: a tube fixed in the knuckle and the rod that slides in it, up to its top mount.

    A tube whose size is not known is drawn over half the strut's length.
    """
    low, top = sheet.flat(pose["linkage.strut_lower"]), sheet.flat(pose["linkage.strut_top"])
    at_ride = ride["linkage.strut_lower"], ride["linkage.strut_top"]
    drawn = math.dist(*map(sheet.flat, at_ride))
    direction = unit(low, top)
    start, end = along(low, direction, -30.0), along(low, direction, drawn * TUBE_PART)
    half = TUBE
    if tube is not None:
        seen = drawn / math.dist(*at_ride)
        start, end = (along(low, direction, s * seen) for s in (tube.from_, tube.to))
        half = tube.diameter / 2
    sheet.add(Polygon(strip(end, top, ROD), "strut", "strut"))
    sheet.add(Polygon(strip(start, end, half), "strut_tube", "strut"))
    gland = along(end, direction, 9.0)
    sheet.add(Polygon(strip(end, gland, half * 0.62), "strut_tube", "strut"))
    overrun = drawn * 0.06
    sheet.add(
        Line(along(low, direction, -overrun * 2), along(top, direction, overrun), "axis", "strut")
    )
    sheet.room.take_line(start, end, half)
    sheet.room.take_line(end, top, ROD)


def draw_mount(sheet: Sheet, at: Point2, key: str) -> None:
    """A strut's top mount: a plate fixed to the body, hatched above."""
    half, lift = sheet.camera.paper(6.0), sheet.camera.paper(1.4)
    left, right = (at[0] - half, at[1] + lift), (at[0] + half, at[1] + lift)
    ticks = ground_ticks(left, right, 7, sheet.camera.paper(1.8), right=False)
    sheet.add(Lines(ticks, "body_hatching"), Line(left, right, "body_point", key))
    sheet.add(Circle(at, sheet.camera.paper(1.5), "body_point", key))
    sheet.room.take_line(left, right, lift * 2)


def draw_pivot(sheet: Sheet, at: Point2, key: str) -> None:
    """A pivot fixed to the body: the bush and, under it, a hatched foot (ISO 3952-1)."""
    paper = sheet.camera.paper
    foot, half = at[1] - paper(4.4), paper(3.6)
    left, right = (at[0] - half, foot), (at[0] + half, foot)
    ticks = ground_ticks(left, right, 5, paper(1.6), right=True)
    sheet.add(
        Lines(ticks, "body_hatching"),
        Polygon((at, (at[0] - paper(2.6), foot), (at[0] + paper(2.6), foot)), "body_point"),
        Line(left, right, "body_point"),
        Circle(at, paper(1.6), "body_point", key),
    )
    sheet.room.take_line((at[0], foot), at, paper(2.0))


def draw_joint(sheet: Sheet, at: Point2, key: str) -> None:
    """A ball joint: a ball in its socket."""
    paper = sheet.camera.paper
    sheet.add(Circle(at, paper(1.6), "joint", key), Circle(at, paper(0.55), "joint_dot", key))
    sheet.room.take_disc(at, paper(1.8))


def draw_points(sheet: Sheet, pose: Pose) -> None:
    """Marks of the linkage's points, and a handle on each."""
    front = sheet.view == "front"
    for path, point in pose.points.items():
        at = sheet.flat(point)
        if path == "linkage.strut_top" and front:
            draw_mount(sheet, at, path)
        elif path in BODY_POINTS and front:
            draw_pivot(sheet, at, path)
        elif path in BALL_JOINTS or path == "linkage.strut_top" or path in BODY_POINTS:
            draw_joint(sheet, at, path)
        elif path != "hub.outer_joint":
            size = sheet.camera.paper(1.5)
            sheet.add(Lines(cross(at, size), "cross", path))
            sheet.room.take_disc(at, size)
        sheet.add(Handle(at, path))


def draw_measured(sheet: Sheet, scene: Scene, *, names: bool = True) -> None:
    """Where the outer joint was measured, with the travel at each, and the line through them."""
    if not isinstance(scene.linkage, Measured):
        return
    size = sheet.camera.paper(1.2)
    found = [(0.0, scene.hub.outer_joint)]
    found += [(position.travel, position.outer_joint) for position in scene.linkage.positions]
    run = tuple(sheet.flat(point) for _, point in sorted(found))
    sheet.add(Polyline(run, "faint"))
    for index, position in enumerate(scene.linkage.positions):
        at, key = sheet.flat(position.outer_joint), f"linkage.position[{index}].outer_joint"
        sheet.add(Lines(cross(at, size, slanted=True), "cross", key), Handle(at, key))
        if names:
            travel = sheet.length(position.travel, signed=True).removesuffix(".0")
            sheet.label(at, f"measured at {travel}", key=key)
