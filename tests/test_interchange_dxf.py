"""Outlines from DXF drawings, and back again."""

from __future__ import annotations

import contextlib
import io
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import BSpline

from kinematics.parts import FrontPoint
from scenes.library import example
from sketcher.__main__ import main
from sketcher.interchange.dxf import dxf_bytes, dxf_pieces
from sketcher.interchange.loops import OutlineError
from sketcher.interchange.outline_file import (
    OutlineChoice,
    outlines_in,
    read_outline,
    with_outline,
)
from tests.outlines_drawn import MM, dxf, outlines, plate_with_hole, polygon, refusal


@settings(max_examples=30)
@given(outlines())
def test_dxf_to_scene_to_dxf(
    tmp_path_factory: pytest.TempPathFactory, outline: tuple[FrontPoint, ...]
) -> None:
    path = tmp_path_factory.mktemp("dxf") / "a.dxf"
    path.write_bytes(dxf_bytes(outline))
    scene = with_outline(example("van-front"), "plate", read_outline(path).outline)
    assert scene.brackets[-1].outline == outline
    path.write_bytes(dxf_bytes(scene.brackets[-1].outline))
    assert read_outline(path).outline == outline


@pytest.mark.parametrize(
    ("units", "mm"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (14, 100.0)]
)
def test_the_drawings_unit_counts(units: int, mm: float, tmp_path: Path) -> None:
    side = 40.0 / mm
    path = dxf(
        tmp_path,
        lambda space: space.add_lwpolyline([(0, 0), (side, 0), (side, side)], close=True),
        units,
    )
    assert polygon(path).bounds == pytest.approx((0, 0, 40, 40))


def test_a_drawing_without_a_unit_is_asked_about(tmp_path: Path) -> None:
    path = dxf(tmp_path, lambda space: space.add_circle((0, 0), 2), 0)
    assert "does not say its unit" in refusal(path)
    assert polygon(path, OutlineChoice(unit="mm")).bounds == pytest.approx((-2, -2, 2, 2))
    assert polygon(path, OutlineChoice(unit="in")).bounds[2] == pytest.approx(50.8)
    path.write_text(path.read_text().replace("$INSUNITS\n 70\n0", "$INSUNITS\n 70\n999"))
    assert "expected $INSUNITS to name a unit" in refusal(path)


@pytest.mark.parametrize("kind", ["lwpolyline", "polyline2d"])
def test_bulges_are_arcs(kind: str, tmp_path: Path) -> None:
    # A stadium: 60 between the centres of two half circles of radius 20.
    corners = [(0, 0, 0), (60, 0, 1), (60, 40, 0), (0, 40, 1)]

    def draw(space: Modelspace) -> None:
        getattr(space, f"add_{kind}")(corners, format="xyb", close=True)

    shape = polygon(dxf(tmp_path, draw))
    assert shape.area == pytest.approx(60 * 40 + math.pi * 400, rel=3e-3)
    assert shape.bounds == pytest.approx((-20, 0, 80, 40), abs=0.1)
    stadium = shapely.LineString([(0, 20), (60, 20)]).buffer(20, quad_segs=500)
    assert shape.hausdorff_distance(stadium) < 0.11


@pytest.mark.parametrize(("ratio", "turned"), [(0.5, 0.0), (0.2, 0.7), (1.0, 0.3)])
def test_an_ellipse_is_an_outline(ratio: float, turned: float, tmp_path: Path) -> None:
    """Area pi a b; no edge strays further than 0.1 mm: every corner on it, chords by their sag."""
    a = 40.0
    along, across = (math.cos(turned), math.sin(turned)), (-math.sin(turned), math.cos(turned))
    shape = polygon(
        dxf(tmp_path, lambda s: s.add_ellipse((5, 7), (a * along[0], a * along[1]), ratio))
    )
    assert shape.area == pytest.approx(math.pi * a * a * ratio, rel=5e-3)
    turns = np.linspace(0.0, math.tau, 4001)
    true = np.array([5.0, 7.0]) + a * (
        np.outer(np.cos(turns), along) + ratio * np.outer(np.sin(turns), across)
    )
    assert shape.hausdorff_distance(shapely.Polygon(true)) < 0.1


def test_a_spline_is_an_outline(tmp_path: Path) -> None:
    """Against scipy's B-spline of the same control points and knots."""
    corners = [(0, 0), (40, -10), (70, 20), (50, 60), (10, 50), (0, 0)]
    made: list[BSpline] = []

    def draw(space: Modelspace) -> None:
        spline = space.add_open_spline(corners, degree=3)
        made.append(BSpline(np.array(spline.knots), np.array(corners, dtype=float), 3))

    shape = polygon(dxf(tmp_path, draw))
    (curve,) = made
    true = curve(np.linspace(curve.t[3], curve.t[-4], 4001))
    assert shape.hausdorff_distance(shapely.Polygon(true)) < 0.1


def test_a_circle_drawn_as_a_rational_spline_is_one(tmp_path: Path) -> None:
    """A quadratic rational spline is a circle exactly: four quarters, corners weigh 1/√2."""
    square = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    corners = [(30.0 * x, 30.0 * y) for x, y in square]
    knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]

    def draw(space: Modelspace) -> None:
        space.add_rational_spline(corners, weights=[1, 0.5**0.5] * 4 + [1], degree=2, knots=knots)

    shape = polygon(dxf(tmp_path, draw))
    assert shape.hausdorff_distance(shapely.Point(0, 0).buffer(30, quad_segs=500)) < 0.1


def test_a_curve_on_a_mirrored_copy_lies_where_it_is_drawn(tmp_path: Path) -> None:
    def draw(space: Modelspace) -> None:
        space.add_circle((30, 10), 8, dxfattribs={"extrusion": (0, 0, -1)})

    assert polygon(dxf(tmp_path, draw)).bounds == pytest.approx((-38, 2, -22, 18), abs=0.01)


@pytest.mark.parametrize("radius", [0.2, 3.0, 40.0, 900.0, 20_000.0])
@pytest.mark.parametrize(("start", "end"), [(0, 360), (-30, 90), (170, 190), (90, 89)])
def test_chords_stay_within_a_tenth_of_the_arc(
    radius: float, start: float, end: float, tmp_path: Path
) -> None:
    (piece,) = dxf_pieces(dxf(tmp_path, lambda s: s.add_arc((0, 0), radius, start, end)))
    points = np.array([*piece.points, *piece.points[: piece.closed]])
    assert np.hypot(*points.T) == pytest.approx(radius, rel=1e-5)
    middles = np.hypot(*(0.5 * (points[1:] + points[:-1])).T)
    assert radius - middles.min() <= 0.1
    for place, angle in ((points[0], start), (points[-1], end)):
        at = math.radians(angle)
        ends = (radius * math.cos(at), radius * math.sin(at))
        assert place == pytest.approx(ends, abs=1e-9 * radius)


def test_lines_and_arcs_that_meet(tmp_path: Path) -> None:
    def draw(space: Modelspace) -> None:
        space.add_line((0, 0), (30, 0))
        space.add_line((0, 20), (0, 0))
        space.add_line((30, 20), (0, 20))
        space.add_arc((30, 10), 10, -90, 90)

    shape = polygon(dxf(tmp_path, draw))
    assert shape.area == pytest.approx(600 + 50 * math.pi, rel=5e-3)
    assert shape.bounds[2] == pytest.approx(40, abs=0.1)


def test_a_mirrored_copy_lies_where_it_is_drawn(tmp_path: Path) -> None:
    def draw(space: Modelspace) -> None:
        space.add_lwpolyline(
            [(10, 0), (40, 0), (40, 20)], close=True, dxfattribs={"extrusion": (0, 0, -1)}
        )

    assert polygon(dxf(tmp_path, draw)).bounds == pytest.approx((-40, 0, -10, 20))


def test_a_polyline_in_space_must_lie_flat(tmp_path: Path) -> None:
    def draw(space: Modelspace, z: float) -> None:
        space.add_polyline3d([(0, 0, 5), (30, 0, 5), (30, 20, z)], close=True)

    assert polygon(dxf(tmp_path, lambda space: draw(space, 5.0))).area == pytest.approx(300)
    assert "flat in the drawing's xy plane" in refusal(
        dxf(tmp_path, lambda space: draw(space, 9.0))
    )


def test_of_several_outlines_one_is_chosen(tmp_path: Path) -> None:
    path = dxf(tmp_path, plate_with_hole)
    message = refusal(path)
    assert "got 2; choose one by its number: 1: LWPOLYLINE on layer" in message
    assert "50.0 x 30.0 mm" in message
    assert polygon(path, OutlineChoice(number=1)).area == pytest.approx(1500)
    assert polygon(path, OutlineChoice(number=2)).bounds == pytest.approx((15, 10, 25, 20), abs=0.1)
    assert polygon(path, OutlineChoice(layer="EDGE")).area == pytest.approx(1500)
    assert "there are EDGE, HOLES" in refusal(path, OutlineChoice(layer="CUT"))
    assert len(outlines_in(path)) == 2


def test_what_is_on_a_layer_switched_off_is_not_drawn(tmp_path: Path) -> None:
    document = new("R2000", units=MM)
    document.layers.add("HOLES").off()
    document.layers.add("NOTES").freeze()
    plate_with_hole(document.modelspace())
    document.modelspace().add_text("5 mm plate", dxfattribs={"layer": "NOTES"})
    path = tmp_path / "off.dxf"
    document.saveas(path)
    assert polygon(path).area == pytest.approx(1500)


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (lambda s: s.add_text("hello", dxfattribs={"insert": (3, 4)}), ["TEXT", "(3.0, 4.0)"]),
        (lambda s: s.add_hatch(), ["HATCH", "expected only LINE"]),
        (lambda s: s.add_ellipse((0, 0, 0), (30, 0, 9), 0.5), ["ELLIPSE", "flat"]),
        (lambda s: s.add_ellipse((0, 0), (1e7, 0), 0.5), ["ELLIPSE", "coordinates below"]),
        (lambda s: s.add_point((1, 2)), ["POINT", "(1.0, 2.0)"]),
        (lambda s: s.add_blockref("BOLT", (7, 8)), ["INSERT", 'explode the block "BOLT"']),
        (lambda s: s.add_3dface([(0, 0), (9, 0), (9, 9)]), ["3DFACE"]),
        (lambda s: s.add_line((0, 0), (9, 0)), ["LINE", "meets nothing"]),
        (lambda s: s.add_lwpolyline([(0, 0)]), ["LWPOLYLINE", "two corners"]),
        (lambda s: s.add_lwpolyline([(0, 0), (9, 0), (9, 9)]), ["meets nothing"]),
        (lambda s: s.add_circle((0, 0), 1e9), ["CIRCLE", "coordinates below"]),
        (lambda s: s.add_circle((0, 0), 0), ["CIRCLE", "radius"]),
        (lambda s: s.add_circle((math.nan, 0), 5), ["CIRCLE", "coordinates"]),
        (lambda s: s.add_circle((0, 0), math.nan), ["CIRCLE"]),
        (lambda s: s.add_line((0, 0), (math.inf, 0)), ["LINE"]),
        (lambda s: s.add_lwpolyline([(0, 0, 1e9), (50, 0, 0)], format="xyb", close=True),
         ["LWPOLYLINE"]),
        (lambda _: None, ["a closed outline, the drawing has none"]),
    ],
)  # fmt: skip
def test_anything_else_in_a_dxf_is_refused_in_words(
    draw: Callable[[Modelspace], object], words: list[str], tmp_path: Path
) -> None:
    message = refusal(dxf(tmp_path, draw))
    for word in words:
        assert word in message


def test_a_bulge_so_flat_that_it_is_a_line(tmp_path: Path) -> None:
    def draw(space: Modelspace) -> None:
        space.add_lwpolyline([(0, 0, 1e-12), (50, 0, 0), (50, 30, 0)], format="xyb", close=True)

    assert polygon(dxf(tmp_path, draw)).area == pytest.approx(750)


def start_of_a_binary_drawing() -> bytes:
    stream = io.BytesIO()
    new().write(stream, fmt="bin")
    return stream.getvalue()[:22]


@pytest.mark.parametrize(
    "content",
    [b"", b"hello", b"\x00" * 999, b"  0\nSECTION\n  2\nENTITIES\n", b"0\nSECTION\n2\n" * 50,
     start_of_a_binary_drawing() + b"\x01\x02"],
)  # fmt: skip
def test_a_file_that_is_no_dxf(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    path.write_bytes(content)
    refusal(path)


def test_a_damaged_dxf_costs_one_line(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "a.dxf"
    path.write_bytes(dxf_bytes(((0.0, 0.0), (30.0, 0.0), (30.0, 20.0)))[:9000])
    assert main(["outline", "--example", "van-front", str(path), "--name", "plate"]) == 2
    assert capfd.readouterr().err.count("\n") == 1


def test_a_drawing_of_a_whole_car_is_no_outline(tmp_path: Path) -> None:
    def draw(space: Modelspace) -> None:
        for i in range(5001):
            space.add_line((i, 0), (i, 9))

    assert "expected fewer than 5000 lines and curves, got 5001" in refusal(dxf(tmp_path, draw))


@settings(max_examples=40)
@given(st.integers(0, 14_000), st.binary(min_size=1, max_size=30))
def test_a_damaged_dxf_never_gets_a_traceback(
    tmp_path_factory: pytest.TempPathFactory, at: int, junk: bytes
) -> None:
    whole = dxf_bytes(((0.0, 0.0), (30.0, 0.0), (30.0, 20.0)))
    at = at % len(whole)
    path = tmp_path_factory.mktemp("bad") / "a.dxf"
    path.write_bytes(whole[:at] + junk + whole[at + len(junk) :])
    with contextlib.suppress(OutlineError):
        assert len(read_outline(path).outline) >= 3


def test_pieces_keep_their_layer() -> None:
    with pytest.raises(OutlineError):
        dxf_pieces(Path("/no such file.dxf"))
