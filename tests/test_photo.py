"""A photo under the front view: pins in the scene, the plane they give, and the picture itself.

A known sheet (ISO 216, A4) seen by a pinhole camera is the check of the plane: R. Hartley and
A. Zisserman, *Multiple View Geometry in Computer Vision*, chapters 2 and 6 (memory).
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pygame
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from PIL import ExifTags, Image
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from kinematics.errors import InvalidInput
from kinematics.vectors import Array
from scenes.errors import SceneError
from scenes.library import example_text
from scenes.photo import Photo, Pin
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.answers.photo_plane import displaced_mm, photo_plane
from sketcher.drawing.camera import Camera
from sketcher.drawing.photo_layer import draw_pins, flattened, paint_photo
from sketcher.drawing.picture import Box, Line
from sketcher.interchange.photo_file import PhotoError, PhotoFile, read_photo
from sketcher.window.model.photo_shown import pins_shown

PINS = "[[812, 440, 338, 205], [1630, 455, 668, 188]]"


def with_photo(*lines: str) -> str:
    return example_text("van-front") + "\n[photo]\n" + "\n".join(lines) + "\n"


def test_a_photo_is_read_and_written_as_it_was() -> None:
    text = with_photo('file = "front.jpg"', f"pins = {PINS}", "opacity = 0.4")
    scene = parse_scene(text)
    pins = ((812.0, 440.0, 338.0, 205.0), (1630.0, 455.0, 668.0, 188.0))
    assert scene.photo == Photo("front.jpg", pins, 0.4)
    assert parse_scene(scene_text(scene)) == scene


def test_a_photo_may_have_no_pins_yet_and_is_half_faded() -> None:
    scene = parse_scene(with_photo('file = "front.png"'))
    assert scene.photo == Photo("front.png", (), 0.5)


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (['file = ""'], "photo.file: expected the name of a file beside the scene"),
        (['file = "/etc/passwd"'], "photo.file: expected the name of a file beside the scene"),
        (['file = "../front.jpg"'], "photo.file: expected the name of a file beside the scene"),
        (['file = "a.jpg"', "pins = [[1, 2, 3, 4]]"], "photo.pins: expected two pins, or four"),
        (
            ['file = "a.jpg"', "pins = [[1, 2, 3, 4], [5, 6, 7, 8], [9, 1, 2, 3]]"],
            "photo.pins: expected two pins, or four and more, each [pixel x, pixel y, out, up]",
        ),
        (['file = "a.jpg"', "pins = [[1, 2, 3]]"], "photo.pins: expected two pins"),
        (['file = "a.jpg"', "pins = 3"], "photo.pins: expected two pins"),
        (
            ['file = "a.jpg"', "pins = [[1, 2, 3, 4], [1, 2, 7, 8]]"],
            "photo.pins: expected each at a place of its own in the picture",
        ),
        (
            ['file = "a.jpg"', "pins = [[1, 2, 3, 4], [5, 2, 3, 4]]"],
            "photo.pins: expected each at a place of its own on the car",
        ),
        (['file = "a.jpg"', "opacity = 0"], "photo.opacity: expected more than 0 and up to 1"),
        (['file = "a.jpg"', "opacity = 1.01"], "photo.opacity: expected more than 0 and up to 1"),
        (["opacity = 1"], "photo.file"),
        (['file = "a.jpg"', "colour = 1"], "photo.colour"),
    ],
)
def test_a_photo_that_cannot_be_meant_is_refused(lines: list[str], told: str) -> None:
    with pytest.raises(SceneError) as caught:
        parse_scene(with_photo(*lines))
    assert told in str(caught.value)


# ---- the plane ---------------------------------------------------------------------------


def seen_by(camera: Array, sheet: Array) -> Array:
    """Where a pinhole camera, 3 × 4, sees points of the plane of the sheet, in pixels."""
    place = np.concatenate([sheet, np.zeros((len(sheet), 1)), np.ones((len(sheet), 1))], axis=1)
    there = place @ camera.T
    return np.asarray(there[:, :2] / there[:, 2:])


def pinhole(turn: tuple[float, float, float], at: tuple[float, float, float]) -> Array:
    """A camera of 3,000 px focal length, facing the sheet and then turned by degrees."""
    rotation = Rotation.from_euler("xyz", turn, degrees=True).as_matrix() @ np.diag([1, -1, -1])
    inner = np.array([[3000.0, 0.0, 2000.0], [0.0, 3000.0, 1500.0], [0.0, 0.0, 1.0]])
    return np.asarray(inner @ np.concatenate([rotation, rotation @ -np.array(at)[:, None]], axis=1))


# A sheet of A4, mm (ISO 216: 210 × 297).
A4 = np.array([[0.0, 0.0], [210.0, 0.0], [210.0, 297.0], [0.0, 297.0]])


def pins_of(pixels: Array, places: Array) -> tuple[Pin, ...]:
    return tuple(tuple(map(float, row)) for row in np.concatenate([pixels, places], axis=1))  # type: ignore[misc]


@given(
    turn=st.tuples(st.floats(-35, 35), st.floats(-35, 35), st.floats(-180, 180)),
    out=st.floats(-200, 400),
    up=st.floats(-200, 400),
    away=st.floats(700, 2500),
)
def test_a_sheet_in_any_perspective_comes_back_to_its_size(
    turn: tuple[float, float, float], out: float, up: float, away: float
) -> None:
    camera = pinhole(turn, (out, up, away))
    in_front = np.concatenate([A4, np.zeros((4, 1)), np.ones((4, 1))], axis=1) @ camera[2]
    assume(bool((in_front > 100.0).all()))
    pixels = seen_by(camera, A4)
    plane = photo_plane(pins_of(pixels, A4))
    back = plane.on_car(pixels)
    assert math.dist(back[0], back[1]) == pytest.approx(210.0, abs=1e-9)
    assert math.dist(back[1], back[2]) == pytest.approx(297.0, abs=1e-9)
    # And so does what was not pinned.
    inside = np.array([[105.0, 148.5], [20.0, 280.0]])
    assert plane.on_car(seen_by(camera, inside)) == pytest.approx(inside, abs=1e-6)


def test_the_unit_square_to_itself_is_the_identity() -> None:
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    found = photo_plane(pins_of(square, square)).to_car
    assert found / found[2, 2] == pytest.approx(np.eye(3), abs=1e-12)


def test_two_pins_give_scale_and_turn() -> None:
    # 100 px to the right are 50 mm up: half a mm per px, a quarter turn.
    plane = photo_plane([(0, 0, 10, 20), (100, 0, 10, 70)])
    assert plane.on_car(np.array([0.0, 100.0])) == pytest.approx((60.0, 20.0))
    assert plane.on_car(np.array([100.0, 0.0])) == pytest.approx((10.0, 70.0))


def test_more_pins_are_met_by_least_squares() -> None:
    """Against scipy's least squares over the eight numbers, from the same pins."""
    rng = np.random.default_rng(4)
    camera = pinhole((12.0, -20.0, 5.0), (300.0, 300.0, 1800.0))
    places = rng.uniform(0, 600, (9, 2))
    pixels = seen_by(camera, places) + rng.normal(0, 4.0, (9, 2))
    plane = photo_plane(pins_of(pixels, places))

    def off(eight: Array) -> Array:
        whole = np.append(eight, 1.0).reshape(3, 3)
        there = np.concatenate([pixels / 1000.0, np.ones((9, 1))], axis=1) @ whole.T
        return np.ravel(there[:, :2] / there[:, 2:] - places)

    start = plane.to_car @ np.diag([1000.0, 1000.0, 1.0])
    best = least_squares(off, (start / start[2, 2]).ravel()[:8] * 1.001, x_scale="jac", xtol=1e-15)
    assert np.sum(plane.misfit_mm**2) == pytest.approx(2.0 * best.cost, rel=1e-6)
    assert plane.misfit_mm == pytest.approx(
        np.linalg.norm(off(best.x).reshape(9, 2), axis=1), abs=1e-4
    )


def test_beyond_the_horizon_there_is_no_place() -> None:
    camera = pinhole((70.0, 0.0, 0.0), (100.0, -900.0, 500.0))
    plane = photo_plane(pins_of(seen_by(camera, A4), A4))
    far = seen_by(camera, np.array([[100.0, 1e7]]))[0]
    assert np.isfinite(plane.on_car(far + np.array([0.0, 20.0]))).all()
    assert np.isnan(plane.on_car(far - np.array([0.0, 20.0]))).all()


@pytest.mark.parametrize(
    "pins",
    [
        [],
        [(0, 0, 0, 0)],
        [(0, 0, 0, 0), (1, 0, 1, 0), (0, 1, 0, 1)],
        [(0, 0, 0, 0), (1, 1, 10, 10), (2, 2, 20, 20), (3, 3, 30, 30)],
        [(0, 0, 0, 0), (1, 0, 10, 0), (2, 0, 20, 0), (1, 3, 10, 30)],
    ],
)
def test_pins_that_leave_it_open_are_refused(pins: list[Pin]) -> None:
    with pytest.raises(InvalidInput, match=r"photo\.pins: expected"):
        photo_plane(pins)


def test_what_lies_off_the_plane_is_displaced_as_a_pinhole_camera_sees_it() -> None:
    """A camera square on the plane; the thing 100 mm behind it shows nearer to the middle."""
    focal = 26.0 / math.hypot(36, 24) * math.hypot(4000, 3000)
    distance = 1500.0
    at_edge = 2000.0 / focal * distance
    shown = at_edge * distance / (distance + 100.0)
    nearly = (at_edge - shown) * (distance + 100.0) / distance
    assert displaced_mm(4000, 3000) == pytest.approx(nearly)
    assert displaced_mm(4000, 3000, focal_mm=52.0) == pytest.approx(nearly / 2)


# ---- the file and the picture ------------------------------------------------------------


def a_photo(path: Path, *, turned: int = 1, focal: int | None = None) -> Path:
    """A grey picture of 120 × 80 with a red spot near its upper left corner."""
    image = Image.new("RGB", (120, 80), (128, 128, 128))
    image.paste((255, 0, 0), (10, 10, 20, 20))
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = turned
    if focal is not None:
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = focal
    image.save(path, exif=exif, quality=95)
    return path


def test_a_photo_is_turned_as_its_camera_says(tmp_path: Path) -> None:
    # Orientation 6 (Exif): turn it a quarter clockwise to see it upright.
    found = read_photo(a_photo(tmp_path / "a.jpg", turned=6, focal=52))
    assert found.image.size == (80, 120)
    red, green, _ = found.image.getpixel((64, 15))  # type: ignore[misc]
    assert red > 200
    assert green < 60
    assert found.focal_mm == 52.0


def test_png_is_taken_and_an_unknown_lens_is_a_phones(tmp_path: Path) -> None:
    found = read_photo(a_photo(tmp_path / "a.png"))
    assert found.image.size == (120, 80)
    assert found.focal_mm == 26.0


def test_a_file_that_is_no_photo_is_told_in_one_line(tmp_path: Path) -> None:
    missing, text, cut, other = (tmp_path / n for n in ("no.jpg", "t.jpg", "cut.jpg", "b.jpg"))
    text.write_text("not a picture")
    cut.write_bytes(a_photo(tmp_path / "w.jpg").read_bytes()[:900])
    Image.new("RGB", (8, 8)).save(tmp_path / "b.bmp")
    other.write_bytes((tmp_path / "b.bmp").read_bytes())
    for path, told in (
        (missing, "no.jpg: cannot be read: No such file"),
        (text, "t.jpg: expected a JPEG or PNG picture"),
        (cut, "cut.jpg: cannot be read"),
        (other, "b.jpg: expected a JPEG or PNG picture"),
        (tmp_path, "cannot be read"),
    ):
        with pytest.raises(PhotoError, match=told) as caught:
            read_photo(path)
        assert "\n" not in str(caught.value)


def test_a_photo_of_more_pixels_than_fifty_million_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "large.png"
    Image.new("1", (10_000, 5_001)).save(path)
    with pytest.raises(PhotoError, match="expected up to 50 million pixels, got 10000×5001"):
        read_photo(path)
    Image.new("1", (10_000, 5_000)).save(path)
    assert read_photo(path).image.size == (10_000, 5_000)


def test_what_is_pinned_is_painted_where_the_view_has_it(tmp_path: Path) -> None:
    image = read_photo(a_photo(tmp_path / "a.png")).image
    # The middle of the red spot, pixel (15, 15), is at (300, 500); 2 mm per pixel.
    pins = ((15.0, 15.0, 300.0, 500.0), (115.0, 15.0, 500.0, 500.0))
    flat = flattened(image, photo_plane(pins), Box(300.0, 500.0, 500.0, 500.0), 1.0)
    screen = pygame.Surface((400, 300))
    camera = Camera(400.0, 300.0, centre=(300.0, 500.0), zoom=1.5)
    paint_photo(screen, flat, camera)
    x, y = camera.to_screen((300.0, 500.0))
    assert screen.get_at((round(x), round(y)))[:3] == (255, 0, 0)
    x, y = camera.to_screen((340.0, 470.0))
    assert screen.get_at((round(x), round(y)))[:3] == (128, 128, 128)
    x, y = camera.to_screen((300.0, 590.0))
    assert screen.get_at((round(x), round(y)))[:3] == (0, 0, 0), "above the picture's edge"


def test_a_faded_photo_lets_the_paper_through(tmp_path: Path) -> None:
    image = read_photo(a_photo(tmp_path / "a.png")).image
    pins = ((0.0, 0.0, 0.0, 80.0), (120.0, 0.0, 120.0, 80.0))
    flat = flattened(image, photo_plane(pins), Box(0.0, 80.0, 120.0, 80.0), 0.25)
    screen = pygame.Surface((120, 80))
    screen.fill((255, 255, 255))
    paint_photo(screen, flat, Camera(120.0, 80.0, centre=(60.0, 40.0), zoom=1.0))
    assert screen.get_at((60, 60))[0] == pytest.approx(255 - 0.25 * 127, abs=2)


def test_a_photo_without_pins_lies_as_wide_as_a_corner_of_a_car() -> None:
    file = PhotoFile(Image.new("RGB", (400, 300)), 26.0)
    assert pins_shown(Photo("front.png"), file) == (
        (0.0, 0.0, 150.0, 600.0),
        (400.0, 0.0, 950.0, 600.0),
    )
    pinned = Photo("front.png", ((0.0, 0.0, 0.0, 0.0), (9.0, 0.0, 90.0, 0.0)))
    assert pins_shown(pinned, file) == pinned.pins


# Corners of a rectangle square on, 1 mm per pixel, and a fifth pin 10 mm beside its place.
FIVE: tuple[Pin, ...] = (
    (0.0, 600.0, 0.0, 0.0),
    (800.0, 600.0, 800.0, 0.0),
    (800.0, 0.0, 800.0, 600.0),
    (0.0, 0.0, 0.0, 600.0),
    (400.0, 300.0, 410.0, 300.0),
)


# The fifth pin is seen 5.90 mm off, each corner 2.46 mm: two px of the view at these zooms.
@pytest.mark.parametrize(("zoom", "off"), [(0.33, 0), (0.35, 1), (0.8, 1), (0.83, 5)])
def test_a_pin_that_the_photo_does_not_reach_has_a_line_to_its_place(zoom: float, off: int) -> None:
    plane = photo_plane(FIVE)
    camera = Camera(900.0, 700.0, (400.0, 300.0), zoom)
    picture = draw_pins(FIVE, plane, camera)
    lines = [one for one in picture.with_role("unreached") if isinstance(one, Line)]
    assert len(lines) == off
    for line, pin in zip(reversed(lines), reversed(FIVE), strict=False):
        assert line.start == pytest.approx(plane.on_car(np.array(pin[:2])))
        assert line.end == pin[2:]
    assert picture.texts == ("1", "2", "3", "4", "5")
    for number, handle in enumerate(picture.handles):
        x, y = plane.on_car(np.array(FIVE[number][:2]))
        # Up to the right, so that what is pinned is left in view: half of 6 mm on paper.
        assert handle.at == pytest.approx((x + camera.paper(3.0), y + camera.paper(5.1)))
        assert handle.key == f"photo.pins[{number}]"


def test_a_pin_beyond_the_horizon_is_not_drawn() -> None:
    view = pinhole((70.0, 0.0, 0.0), (100.0, -900.0, 500.0))
    pins = pins_of(seen_by(view, A4), A4)
    plane = photo_plane(pins)
    far = seen_by(view, np.array([[100.0, 1e7]]))[0] - np.array([0.0, 20.0])
    picture = draw_pins((*pins, (*far.tolist(), 0.0, 0.0)), plane, Camera(400.0, 300.0))
    assert picture.texts == ("1", "2", "3", "4")
