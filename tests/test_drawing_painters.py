"""The painters: each lays a picture where the camera says, in its true size.

The file formats are read back by others: SVG by ElementTree, PDF by pypdfium2, PNG by pygame.
"""

from __future__ import annotations

import io
import math
import time
from itertools import pairwise
from xml.etree import ElementTree as ET

import pygame
import pypdfium2
import pytest
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from sketcher.drawing.camera import Camera
from sketcher.drawing.page import page_of_one
from sketcher.drawing.pdf import paint_pdf
from sketcher.drawing.picture import (
    Arc,
    Box,
    Circle,
    Handle,
    Line,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Text,
)
from sketcher.drawing.strokes import dashed, mitres
from sketcher.drawing.style import DASHES, Theme, style
from sketcher.drawing.surface import page_png, paint_surface
from sketcher.drawing.svg import svg_text, svg_tree
from tests.drawn import front

SVG = "{http://www.w3.org/2000/svg}"
EVERY_KIND = Picture(
    (
        Polygon(((0, 0), (100, 0), (100, 60), (0, 60)), "bracket", "bracket[0]"),
        Polygon(((10, 10), (20, 10), (20, 20)), "stroke"),
        Lines((((0, 0), (100, 60)), ((0, 60), (100, 0))), "bracket_hatching"),
        Line((0, 0), (100, 0), "axis"),
        Polyline(((0, 30), (50, 40), (100, 30)), "ghost"),
        Circle((50, 30), 10, "joint"),
        Circle((50, 30), 12, "ghost"),
        Arc((50, 30), 20, 0, 90, "angle"),
        Text((50, 30), "38.5 mm", "note", horizontal="centre", angle_deg=30.0, backed=True),
        Text((5, 5), "pulls apart", "label_past"),
        Handle((0, 0), "bracket[0].outline[0]"),
    )
)


def read_svg(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314


def pixels(data: bytes) -> pygame.Surface:
    return pygame.image.load(io.BytesIO(data), "picture.png")


def test_svg_is_to_scale_in_mm() -> None:
    camera = Camera.of_sheet(Box(-10, -5, 110, 75), 0.5)
    root = read_svg(svg_text(svg_tree(page_of_one(EVERY_KIND, camera), title="a bracket")))
    assert root.attrib["width"] == "60mm"
    assert root.attrib["height"] == "40mm"
    assert root.attrib["viewBox"] == "0 0 60 40"
    assert root.findtext(f"{SVG}title") == "a bracket"
    polygons = [item.attrib["points"] for item in root.iter(f"{SVG}polygon")]
    # The corner (0, 0) is 10 mm from the left and 75 from the top of the world's box.
    assert polygons[0].split()[:3] == ["5,37.5", "55,37.5", "55,7.5"]


def test_svg_widths_dashes_and_letters_are_mm_on_paper() -> None:
    camera = Camera.of_sheet(Box(-10, -5, 110, 75), 0.5)
    root = read_svg(svg_text(svg_tree(page_of_one(EVERY_KIND, camera))))
    axis = next(item for item in root.iter(f"{SVG}path") if "stroke-dasharray" in item.attrib)
    assert [float(part) for part in axis.attrib["stroke-dasharray"].split()] == pytest.approx(
        DASHES["chain"], abs=1e-3
    )
    thick = next(item for item in root.iter(f"{SVG}polygon") if "stroke" in item.attrib)
    assert float(thick.attrib["stroke-width"]) == pytest.approx(0.5)
    text = next(item for item in root.iter(f"{SVG}text") if item.text == "38.5 mm")
    # ISO 3098: capitals of 2.5 mm; the font's are 0.714 of its size.
    assert float(text.attrib["font-size"]) * 0.714 == pytest.approx(2.5, abs=0.1)
    assert text.attrib["transform"].startswith("rotate(-30 ")


def test_svg_of_a_sketch_says_what_the_screen_says() -> None:
    picture, camera = front(travel_mm=40.0)
    root = read_svg(svg_text(svg_tree(page_of_one(picture, camera))))
    written = [item.text for item in root.iter(f"{SVG}text")]
    assert written == [text for text in picture.texts if text]


def test_pdf_is_full_size_on_the_page() -> None:
    """A bar of 100 by 60 mm measured on the rendered page at 10 px per mm."""
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(200 * mm, 150 * mm))
    bar = Picture((Polygon(((0, 0), (100, 0), (100, 60), (0, 60)), "scale_full"),))
    paint_pdf(canvas, bar, Camera.of_sheet(Box(-20, -10, 120, 80)), (15.0, 20.0))
    canvas.showPage()
    canvas.save()
    page = pypdfium2.PdfDocument(file.getvalue())[0]
    image = page.render(scale=254.0 / 72.0, grayscale=True).to_numpy().squeeze()
    dark = image < 128
    rows, columns = dark.any(axis=1).nonzero()[0], dark.any(axis=0).nonzero()[0]
    assert columns[-1] - columns[0] + 1 == pytest.approx(1000, abs=3)
    assert rows[-1] - rows[0] + 1 == pytest.approx(600, abs=3)
    # Its lower left corner: 15 + 20 mm from the left, 20 + 10 from the bottom of 150.
    assert columns[0] == pytest.approx(350, abs=3)
    assert rows[-1] == pytest.approx(1200, abs=3)


def test_pdf_has_the_texts_and_cuts_what_lies_outside() -> None:
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(200 * mm, 150 * mm))
    outside = Picture((Polygon(((300, 300), (500, 300), (500, 500)), "scale_full"),))
    paint_pdf(canvas, EVERY_KIND + outside, Camera.of_sheet(Box(-20, -10, 120, 80)), (15.0, 20.0))
    canvas.save()
    page = pypdfium2.PdfDocument(file.getvalue())[0]
    text = page.get_textpage().get_text_range()
    assert "38.5 mm" in text
    assert "pulls apart" in text


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_png_has_its_size_paper_and_ink(theme: Theme) -> None:
    camera = Camera(400, 300).fitted(Box(0, 0, 100, 60))
    surface = pixels(page_png(page_of_one(EVERY_KIND, camera), theme))
    assert surface.get_size() == (400, 300)
    palette = style(theme).palette
    assert surface.get_at((2, 2))[:3] == palette.paper
    x, y = camera.to_screen((50.0, 60.0))
    seen = surface.get_at((round(x), round(y)))[:3]
    assert math.dist(seen, palette.line) < math.dist(seen, palette.paper)


def test_only_the_camera_s_rectangle_is_painted() -> None:
    surface = pygame.Surface((300, 200))
    camera = Camera(100, 100, (50, 30), 10.0, left=50, top=50)
    paint_surface(surface, EVERY_KIND, camera, style("light"))
    outside = [(x, y) for x in range(0, 300, 7) for y in (10, 40, 49, 150, 190)]
    assert all(surface.get_at(at)[:3] == (0, 0, 0) for at in outside)
    assert surface.get_clip().size == (300, 200)


def test_what_is_lit_takes_the_accent_and_shows_its_handles() -> None:
    surface = pygame.Surface((400, 300))
    camera = Camera(400, 300).fitted(Box(0, 0, 100, 60))
    accent = style("light").palette.accent

    def painted(lit: tuple[str, ...]) -> int:
        surface.fill((255, 255, 255))
        paint_surface(surface, EVERY_KIND, camera, style("light"), lit=lit)
        return sum(surface.get_at((x, y))[:3] == accent for x in range(400) for y in range(300))

    assert painted(()) == 0
    corner, whole = painted(("bracket[0].outline[0]",)), painted(("bracket[0]",))
    assert 0 < corner < whole
    assert painted(("bracket[1]",)) == 0


def test_dashes_cover_their_share_of_a_line() -> None:
    run: list[Point2] = [(0.0, 0.0), (37.0, 0.0), (37.0, 63.0), (0.0, 63.0)]
    pieces = list(dashed(run, (6.0, 2.0)))
    drawn = sum(math.dist(a, b) for piece in pieces for a, b in pairwise(piece))
    assert len(pieces) == 18
    assert drawn == pytest.approx(17 * 6.0 + 1.0)
    assert pieces[0][0] == run[0]


def test_a_line_has_its_width_at_every_slope() -> None:
    """Ink across a line of 0.5 mm at UI scale 2: 3.8 px, whichever way it runs."""
    pane, paper = 0, 255
    for degrees in range(0, 180, 15):
        surface = pygame.Surface((200, 200))
        surface.fill((paper,) * 3)
        turn = math.radians(degrees)
        end = (60.0 * math.cos(turn), 60.0 * math.sin(turn))
        line = Picture((Line((-end[0], -end[1]), end, "bracket"),))
        camera = Camera(200, 200, ui_scale=2.0)
        paint_surface(surface, line, camera, style("light"))
        colour = style("light").palette.line
        dark = sum(
            (paper - surface.get_at((x, y))[0]) / (paper - colour[0])
            for x in range(200)
            for y in range(200)
        )
        assert pane + dark / 120.0 == pytest.approx(3.78, abs=0.75), degrees


@pytest.mark.parametrize("zoom", [0.02, 0.5, 30.0, 400.0])
def test_any_zoom_paints_without_delay(zoom: float) -> None:
    picture, camera = front(travel_mm=30.0, steer_deg=10.0)
    surface = pygame.Surface((1280, 800))
    where = camera.zoomed(zoom / camera.zoom, (900.0, 450.0))
    start = time.thread_time()
    paint_surface(surface, picture, where, style("light"))
    assert time.thread_time() - start < 0.5


def test_far_away_points_do_no_harm() -> None:
    far = 1e5
    wild = Picture(
        (
            Polygon(((-far, -far), (far, -far), (far, far), (0, 1)), "bracket"),
            Polyline(((-far, -far), (far, far)), "ghost"),
            Line((-far, 0), (far, 0), "axis"),
            Line((0, -far), (0, far), "ground"),
            Circle((0, 0), far, "joint"),
            Circle((far, far), 5, "joint"),
            Text((far, far), "far", "note"),
        )
    )
    surface = pygame.Surface((640, 480))
    start = time.thread_time()
    for zoom in (0.02, 1.0, 400.0):
        paint_surface(surface, wild, Camera(640, 480, zoom=zoom), style("light"))
    assert time.thread_time() - start < 1.0


def test_nothing_to_draw_is_no_error() -> None:
    nothing = Picture(
        (
            Polygon((), "bracket"),
            Polyline((), "arm"),
            Polyline(((1, 1),), "arm"),
            Lines((), "grid"),
            Text((0, 0), "", "note"),
            Line((3, 3), (3, 3), "arm"),
            Polyline(((3, 3), (3, 3), (3, 3)), "axis"),
        )
    )
    camera = Camera(64, 48)
    assert pixels(page_png(page_of_one(nothing, camera))).get_size() == (64, 48)
    read_svg(svg_text(svg_tree(page_of_one(nothing, camera))))
    paint_pdf(Canvas(io.BytesIO()), nothing, camera, (0.0, 0.0))


def test_lines_side_by_side_keep_apart_round_a_corner() -> None:
    corner = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)]
    assert mitres(corner, closed=False) == [(0.0, 1.0), (-1.0, 1.0), (-1.0, 0.0)]
    there_and_back = [(0.0, 0.0), (10.0, 0.0), (0.0, 0.0)]
    assert mitres(there_and_back, closed=False)[1] == (0.0, 0.0)
    square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]
    assert mitres(square, closed=True) == [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
    # A point on top of another takes the last side's normal.
    assert mitres([(0.0, 0.0), (5.0, 0.0), (5.0, 0.0)], closed=False)[2] == (0.0, 1.0)
