"""The camera: world to screen and back, zoom about the pointer, fit, paper scale."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.picture import Box, Point2

NUMBERS = st.floats(-3000.0, 3000.0)
POINTS = st.tuples(NUMBERS, NUMBERS)
CAMERAS = st.builds(
    Camera,
    width=st.floats(100.0, 4000.0),
    height=st.floats(100.0, 2200.0),
    centre=POINTS,
    zoom=st.floats(0.05, 200.0),
    ui_scale=st.floats(1.0, 3.0),
    left=st.floats(0.0, 500.0),
    top=st.floats(0.0, 500.0),
)


def near(a: Point2, b: Point2, within: float) -> bool:
    return math.dist(a, b) <= within


@given(CAMERAS, POINTS)
def test_to_world_undoes_to_screen(camera: Camera, point: Point2) -> None:
    assert near(camera.to_world(camera.to_screen(point)), point, 1e-6)


@given(CAMERAS, POINTS)
def test_to_screen_undoes_to_world(camera: Camera, pixel: Point2) -> None:
    assert near(camera.to_screen(camera.to_world(pixel)), pixel, 1e-5)


def test_up_in_the_world_is_up_on_the_screen() -> None:
    camera = Camera(800, 600, zoom=2.0, left=10, top=20)
    assert camera.to_screen((0.0, 0.0)) == (410.0, 320.0)
    assert camera.to_screen((5.0, 10.0)) == (420.0, 300.0)


@given(CAMERAS, st.floats(0.2, 5.0), st.tuples(st.floats(0, 1), st.floats(0, 1)))
def test_zoom_holds_the_point_under_the_pointer(
    camera: Camera, factor: float, part: Point2
) -> None:
    pixel = (camera.left + part[0] * camera.width, camera.top + part[1] * camera.height)
    held = camera.to_world(pixel)
    assert near(camera.zoomed(factor, pixel).to_screen(held), pixel, 1e-4)


@given(CAMERAS, st.floats(-500, 500), st.floats(-500, 500), POINTS)
def test_pan_pushes_the_drawing(camera: Camera, dx: float, dy: float, point: Point2) -> None:
    x, y = camera.to_screen(point)
    assert near(camera.panned(dx, dy).to_screen(point), (x + dx, y + dy), 1e-5)


@given(CAMERAS, POINTS, st.floats(10.0, 2000.0), st.floats(10.0, 2000.0))
def test_fit_shows_the_whole_box(camera: Camera, corner: Point2, wide: float, high: float) -> None:
    box = Box(corner[0], corner[1], corner[0] + wide, corner[1] + high)
    view = camera.fitted(box).box.grown(1e-6)
    assert view.holds((box.left, box.bottom))
    assert view.holds((box.right, box.top))


@given(CAMERAS)
def test_paper_lengths_have_their_size_on_the_device(camera: Camera) -> None:
    on_screen = camera.paper(10.0) * camera.zoom
    assert on_screen == pytest.approx(10.0 * PIXELS_PER_PAPER_MM * camera.ui_scale)


def test_a_sheet_at_full_size_has_its_scale() -> None:
    camera = Camera.of_sheet(Box(0, 0, 210, 297), 0.5)
    assert camera.scale == pytest.approx(0.5)
    assert camera.width / camera.pixels_per_paper_mm == pytest.approx(105.0)
    assert camera.box == Box(0, 0, 210, 297)


@given(CAMERAS, st.floats(100, 4000), st.floats(100, 2000))
def test_a_resized_view_keeps_its_middle_and_scale(
    camera: Camera, wide: float, high: float
) -> None:
    moved = camera.resized(wide, high, left=0.0, top=0.0)
    assert moved.centre == camera.centre
    assert moved.scale == pytest.approx(camera.scale)
    doubled = camera.resized(wide, high, ui_scale=camera.ui_scale * 1.5)
    assert doubled.scale == pytest.approx(camera.scale, rel=1e-9) or doubled.zoom in (0.02, 400.0)


def test_zoom_stays_within_reason() -> None:
    camera = Camera(800, 600)
    nearest, farthest = (camera.zoomed(factor, (0, 0)) for factor in (1e9, 1e-9))
    # Our choice: from 40 m over a small view to 2 mm.
    assert camera.width / farthest.zoom == pytest.approx(40e3)
    assert camera.width / nearest.zoom == pytest.approx(2.0)


def test_a_camera_of_a_rectangle_alone_is_at_its_upper_left_and_one_to_one() -> None:
    camera = Camera(800, 600)
    assert camera.to_screen((0.0, 0.0)) == (400.0, 300.0)
    assert camera.to_screen((8.0, -6.0)) == (408.0, 306.0)
    assert camera.box == Box(-400.0, -300.0, 400.0, 300.0)
    assert camera.pixels_per_paper_mm == pytest.approx(96.0 / 25.4)
