"""The swept envelope holds every position, says how true it is, and passes over the unknown."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from kinematics.gaps.axis_frames import AxisFrames
from kinematics.gaps.envelope import envelope
from kinematics.gaps.front_views import front_outlines, front_views_between
from kinematics.gaps.solids import Profile, TurnedBody
from kinematics.parts import Section
from kinematics.vectors import Array

BOOTED = (
    Section("boot", 20, 90, (80, 40)),
    Section("bar", 90, 300, (24, 24)),
    Section("cup", 300, 380, (60, 84)),
)


def swinging(steers: int = 1, travels: int = 81) -> TurnedBody:
    rise, steer = np.meshgrid(
        np.linspace(-80, 80, travels), np.linspace(-30, 30, steers), indexing="ij"
    )
    outer = np.stack([650 - rise**2 / 700, 300 + rise, 1.2 * steer + 0.1 * rise], axis=-1)
    return TurnedBody.between(outer, [270.0, 310.0, 0.0], BOOTED)


def front_views(body: TurnedBody) -> tuple[shapely.Polygon, ...]:
    """Front views of a body's sections at one position, in their order."""
    count = len(body.sections)
    frames = AxisFrames.of(np.tile(body.origin, (count, 1)), np.tile(body.axis, (count, 1)))
    profile = Profile.of(body.sections)
    return tuple(shapely.polygons(front_outlines(frames, profile, tangents=32)))


def shadow_of_points(
    body: TurnedBody, section: Section, grown: float = 0.0, lengths: int = 9
) -> Array:
    """Front view of many points all over one section at one position."""
    t = np.linspace(section.from_, section.to, lengths)[:, None]
    angle = np.linspace(0, 2 * np.pi, 8 * lengths + 1)[None, :]
    radius = np.interp(t, (section.from_, section.to), section.diameter) / 2 + grown
    side = np.cross(body.axis, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side)
    up = np.cross(body.axis, side)
    round_ = np.cos(angle)[..., None] * side + np.sin(angle)[..., None] * up
    points: Array = body.origin + t[..., None] * body.axis + radius[..., None] * round_
    return points.reshape(-1, 3)


@pytest.mark.parametrize("lean", [0.0, 0.1, 0.6, 2.0])
def test_front_views_hold_every_point_and_little_more(lean: float) -> None:
    body = TurnedBody.between([600.0, 300.0, 0.0], [270.0, 350.0, 330.0 * lean], BOOTED)
    for section, shown in zip(BOOTED, front_views(body), strict=True):
        points = shadow_of_points(body, section)
        hull = shapely.convex_hull(shapely.multipoints(points[:, :2]))
        assert shown.buffer(1e-6).contains(hull)
        assert shown.area == pytest.approx(hull.area, rel=5e-3)


@pytest.mark.parametrize("between", [(-30.0, 10.0), (15.0, 40.0), (-60.0, -8.0), (30.0, 31.0)])
def test_a_body_cut_to_depths_shows_what_lies_between_them(between: tuple[float, float]) -> None:
    body = TurnedBody.between([600.0, 300.0, 0.0], [270.0, 350.0, 60.0], BOOTED)
    section = BOOTED[0]
    shapes = [shadow_of_points(body, section, -shrink, 36) for shrink in np.linspace(0, 20, 41)]
    points = np.concatenate(shapes)
    inside = points[(points[:, 2] >= between[0]) & (points[:, 2] <= between[1])]
    flat = body.flat(())
    shown = front_views_between(
        AxisFrames.of(flat.origin, flat.axis),
        Profile.of([section]),
        grown_mm=0.0,
        between_fore=between,
        stands_out_mm=0.1,
    )[0]
    hull = shapely.convex_hull(shapely.multipoints(inside[:, :2]))
    assert shown.buffer(1e-6).contains(hull)
    # The points stop short of the depths and of the rim; what stands out is below 0.1 mm.
    assert hull.buffer(0.8).contains(shown)
    assert shown.area == pytest.approx(hull.area, rel=0.03)


@pytest.mark.parametrize("steers", [1, 3])
def test_an_envelope_holds_every_position(steers: int) -> None:
    body = swinging(steers)
    swept = envelope([body])
    grown = swept.outline.buffer(swept.true_within_mm)
    flat = body.flat(body.positions)
    for i in range(len(flat.origin)):
        at = TurnedBody(flat.origin[i], flat.axis[i], BOOTED)
        assert all(grown.contains(shape.buffer(-1e-6)) for shape in front_views(at))


def test_few_travels_are_as_good_as_many() -> None:
    coarse, fine = envelope([swinging()]), envelope([swinging()], within_mm=1e-9)
    assert coarse.outline.hausdorff_distance(fine.outline) <= coarse.true_within_mm
    assert coarse.true_within_mm < 0.6


def test_growing_is_the_same_as_a_buffer() -> None:
    grown = envelope([swinging()], grown_mm=6.0).outline
    assert grown.area == pytest.approx(envelope([swinging()]).outline.buffer(6.0).area, rel=5e-3)


def test_unknown_positions_are_passed_over() -> None:
    body = swinging()
    origin = np.array(body.origin)
    origin[0] = np.nan
    part = TurnedBody(origin, body.axis, BOOTED)
    rest = TurnedBody(body.origin[1:], body.axis[1:], BOOTED)
    assert envelope([part], within_mm=0).outline.equals(envelope([rest], within_mm=0).outline)


def test_one_position_and_no_sections() -> None:
    still = TurnedBody.between([600.0, 300.0, 0.0], [270.0, 350.0, 60.0], BOOTED)
    union = shapely.union_all(front_views(still))
    assert envelope([still]).outline.area == pytest.approx(union.area, rel=5e-3)
    assert envelope([TurnedBody(still.origin, still.axis, ())]).outline.is_empty
