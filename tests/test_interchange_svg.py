"""Outlines from SVG drawings, and our own templates read back."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings

from kinematics.parts import Bracket, FrontPoint
from sketcher.interchange.outline_file import (
    OutlineChoice,
    placed_outline,
    read_outline,
)
from sketcher.paper.template.output import template_svg
from tests.outlines_drawn import outlines, polygon, refusal, svg


@settings(max_examples=30)
@given(outlines())
def test_an_svg_template_gives_its_outline_back(
    tmp_path_factory: pytest.TempPathFactory, outline: tuple[FrontPoint, ...]
) -> None:
    path = tmp_path_factory.mktemp("svg") / "a.svg"
    path.write_text(template_svg(Bracket("b", outline)))
    read = read_outline(path, OutlineChoice(layer="outline")).outline
    left, bottom, _, _ = shapely.Polygon(outline).bounds
    back = shapely.Polygon(placed_outline(read, (left, bottom)))
    assert back.hausdorff_distance(shapely.Polygon(outline)) < 0.002


@pytest.mark.parametrize(
    ("body", "bounds", "area"),
    [
        ('<rect x="10" y="10" width="20" height="30"/>', (10, 40, 30, 70), 600),
        ('<rect x="0" y="0" width="40" height="30" rx="5"/>', (0, 50, 40, 80),
         1200 - (4 - math.pi) * 25),
        ('<circle cx="50" cy="40" r="20"/>', (30, 20, 70, 60), 400 * math.pi),
        ('<ellipse cx="50" cy="40" rx="30" ry="10"/>', (20, 30, 80, 50), 300 * math.pi),
        ('<polygon points="0,0 10,0 10,10"/>', (0, 70, 10, 80), 50),
        ('<polyline points="0,0 10,0 10,10 0,0"/>', (0, 70, 10, 80), 50),
        ('<path d="M10 10h20v20h-20z"/>', (10, 50, 30, 70), 400),
        ('<path d="m10-10l20,0,0,20,-20,0z" transform="translate(0 20)"/>', (10, 50, 30, 70), 400),
        ('<path d="M40 40A20 20 0 1040 40.001z"/>', (0, 20, 40, 60), 400 * math.pi),
        ('<path d="M0 0C0 40 40 40 40 0z"/>', (0, 50, 40, 80), 960),
        ('<path d="M0 0Q20 40 40 0z"/>', (0, 60, 40, 80), 40 * 20 * 2 / 3),
        ('<g transform="scale(2)"><a transform="translate(5)"><rect width="5" height="5"/></a></g>',
         (10, 70, 20, 80), 100),
        ('<rect width="20" height="10" transform="rotate(-90) translate(-30 40)"/>',
         (40, 50, 50, 70), 200),
        ('<line x1="0" y1="0" x2="9" y2="0"/><path d="M9 0V9L0 0"/>', (0, 71, 9, 80), 40.5),
        ('<defs><circle r="3"/></defs><rect width="9" height="9"/>', (0, 71, 9, 80), 81),
        ('<rect width="9" height="9"/><circle r="2" style="display: none"/>', (0, 71, 9, 80), 81),
    ],
)  # fmt: skip
def test_svg_shapes_lie_where_they_are_drawn(
    body: str, bounds: tuple[float, ...], area: float, tmp_path: Path
) -> None:
    shape = polygon(svg(tmp_path, body))
    assert shape.bounds == pytest.approx(bounds, abs=0.11)
    assert shape.area == pytest.approx(area, rel=0.012)


def test_a_curve_enlarged_by_its_group_is_still_flattened_to_a_tenth(tmp_path: Path) -> None:
    path = svg(tmp_path, '<g transform="scale(400)"><circle cx="0.5" cy="0.5" r="0.25"/></g>')
    ring = shapely.Point(200, -120).buffer(100, quad_segs=2000)
    assert polygon(path).hausdorff_distance(ring) <= 0.11


@pytest.mark.parametrize(
    ("head", "mm"),
    [
        ('width="100mm" height="80mm"', 1.0),
        ('width="10cm" height="8cm"', 1.0),
        ('width="4in" height="3.2in"', 1.016),
        ('width="288pt" height="230.4pt"', 1.016),
        ('width="24pc" height="19.2pc"', 1.016),
        ('width="400Q" height="320Q"', 1.0),
        ('width="9mm" height="7.2mm"', 0.09),
    ],
)
def test_svg_units(head: str, mm: float, tmp_path: Path) -> None:
    shape = polygon(svg(tmp_path, '<rect x="10" y="70" width="20" height="10"/>', head))
    assert shape.bounds == pytest.approx((10 * mm, 0, 30 * mm, 10 * mm), abs=2e-3)


@pytest.mark.parametrize(
    "head", ["", 'width="100" height="80"', 'width="100px" height="80px"',
             'width="100%" height="100%"', 'width="100mm"'],
)  # fmt: skip
def test_an_svg_that_says_no_size_is_asked_about(head: str, tmp_path: Path) -> None:
    path = svg(tmp_path, '<rect x="1" y="1" width="20" height="10"/>', head)
    assert "does not say its size in mm or inches" in refusal(path)
    assert polygon(path, OutlineChoice(unit="mm")).area == pytest.approx(200)
    assert polygon(path, OutlineChoice(unit="in")).area == pytest.approx(200 * 25.4**2)


def test_an_svg_without_a_viewbox_is_in_css_pixels(tmp_path: Path) -> None:
    # CSS Values and Units Module Level 3, 5.2: 96 px to the inch.
    path = tmp_path / "a.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="2in" height="1in">'
        '<rect width="96" height="48"/></svg>'
    )
    assert polygon(path).bounds == pytest.approx((0, 12.7, 25.4, 25.4))


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ('<text x="3" y="4">hi</text>', ["text", "(3, 4)"]),
        ('<use href="#a"/>', ["use", "unlink the clone"]),
        ('<image href="a.png" width="5" height="5"/>', ["image", "expected only path"]),
        ('<svg><rect width="9" height="9"/></svg>', ["svg", "cannot be taken in"]),
        ('<path id="edge" d="M0 0H9V9"/>', ['path "edge"', "meets nothing"]),
        ('<path d="M0 0L nan 5L9 9z"/>', ["path commands and numbers only"]),
        ('<path d="M0 0L1e999 5L9 9z"/>', ["path: expected"]),
        ('<path d="M0 0A0 5 0 0 1 9 9Z"/>', ["path: expected"]),
        ('<path d="L5 5 9"/>', ["path: expected"]),
        ('<polygon points="0,0 9,0 9,inf"/>', ["points of numbers only"]),
        ('<polygon points="0,0 9,0 9"/>', ["polygon"]),
        ('<rect width="nan" height="5"/>', ["rect"]),
        ('<rect width="9%" height="5"/>', ["rect"]),
        ('<circle r="x"/>', ["circle"]),
        ('<circle/>', ["circle"]),
        ('<circle r="1e8"/>', ["circle"]),
        ('<rect width="9" height="9" transform="spin(3)"/>', ["transform of numbers"]),
        ('<rect width="9" height="9" transform="scale(nan)"/>', ["transform of numbers"]),
        ('<rect width="9" height="9" style="transform:scale(2)"/>', ["not in its style"]),
        ('<path d="' + "M0 0 L9 9 " * 30_000 + '"/>', ["drawn simpler"]),
        ('<path d="' + "1" * 40_000 + '"/>', ["path"]),
        (('<path d="M0 0' + "l1 1" * 11_000 + 'z"/>') * 2, ["this drawing holds more"]),
        ("<g>" * 200 + "</g>" * 200, ["nested less than"]),
        ("", ["the drawing has none"]),
    ],
)  # fmt: skip
def test_anything_else_in_an_svg_is_refused_in_words(
    body: str, words: list[str], tmp_path: Path
) -> None:
    message = refusal(svg(tmp_path, body))
    for word in words:
        assert word in message


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("", "not an SVG file"),
        ("<svg", "not an SVG file"),
        ("<html/>", "no svg"),
        ("<!DOCTYPE a [<!ENTITY b 'bbbb'><!ENTITY c '&b;&b;'>]><svg>&c;</svg>", "entities"),
        ("<svg viewBox='0 0 1'/>", "viewBox: expected four numbers"),
        ("<svg viewBox='0 0 -1 5'/>", "viewBox: expected four numbers"),
        ("<svg viewBox='a b c d'/>", "numbers make sense"),
        ("<svg width='10mm' height='30mm' viewBox='0 0 1 1'/>", "in the same proportion"),
    ],
)
def test_a_file_that_is_no_drawing(content: str, message: str, tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    path.write_text(content)
    assert message in refusal(path)
    path.write_text(content, encoding="utf-16")
    refusal(path)


def test_an_id_that_the_svg_does_not_have(tmp_path: Path) -> None:
    path = svg(tmp_path, '<g id="cut"><rect width="9" height="9"/></g><text>note</text>')
    assert polygon(path, OutlineChoice(layer="cut")).area == pytest.approx(81)
    assert 'id "edge"' in refusal(path, OutlineChoice(layer="edge"))


@pytest.mark.parametrize(
    ("drawn", "bend", "more"),
    [
        ('<circle cx="40" cy="40" r="20"/>', 2 * [20.0 * math.pi**2], 0),
        ('<path d="M10 10 Q 30 50 50 10 Z"/>', [160.0], 1),
        # Its controls bend it by 6 · |a − 2b + c| and 6 · |b − 2c + d|; the larger counts.
        ('<path d="M10 10 C 10 40 50 40 50 10 Z"/>', [6.0 * math.hypot(40.0, 30.0)], 1),
        ('<path d="M10 10 C 10 20 50 50 50 10 Z"/>', [6.0 * math.hypot(40.0, 70.0)], 1),
        ('<path d="M10 10 C 10 50 50 20 50 10 Z"/>', [6.0 * math.hypot(40.0, 70.0)], 1),
    ],
)
@pytest.mark.parametrize("scale", [1.0, 1.4])
def test_curves_have_no_more_corners_than_their_bend_asks_for(
    drawn: str, bend: list[float], more: int, scale: float, tmp_path: Path
) -> None:
    """A chord over a step h of the parameter strays by h²/8 of the second derivative."""
    path = svg(tmp_path, f'<g transform="scale({scale})">{drawn}</g>')
    chords = [math.ceil(math.sqrt(one * scale / (8.0 * 0.1))) for one in bend]
    assert len(read_outline(path).outline) == sum(chords) + more


@pytest.mark.parametrize(("wide", "high"), [(40.0, 30.0), (200.0, 150.0)])
def test_a_template_lies_clear_of_its_margins_and_bars(
    wide: float, high: float, tmp_path: Path
) -> None:
    """10 mm of margin, 9 mm for the upright bar, 16 mm for the level ones, 7 mm round it.

    As much room as its heading, 150 mm, and the upright bar, 120 mm, need.
    """
    outline = ((300.0, 200.0), (300.0 + wide, 200.0), (300.0 + wide, 200.0 + high))
    path = tmp_path / "template.svg"
    path.write_text(template_svg(Bracket("gusset", outline)), encoding="utf-8")
    left, bottom, right, top = polygon(path, OutlineChoice(layer="outline")).bounds
    inner, window = max(wide + 14.0, 150.0), max(high + 14.0, 120.0)
    assert (left, right) == pytest.approx(
        (19.0 + (inner - wide) / 2, 19.0 + (inner + wide) / 2), abs=2e-3
    )
    assert (bottom, top) == pytest.approx(
        (26.0 + (window - high) / 2, 26.0 + (window + high) / 2), abs=2e-3
    )
