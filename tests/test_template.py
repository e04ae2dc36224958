"""Templates read back by general-purpose libraries have the outline's exact size."""

from __future__ import annotations

import ctypes
import io
import re
from pathlib import Path
from xml.etree import ElementTree as ET

import ezdxf.filemanagement
import numpy as np
import numpy.typing as npt
import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import shapely
from ezdxf.entities.lwpolyline import LWPolyline
from hypothesis import given, settings

from kinematics.gaps.outlines import circle
from kinematics.parts import Bracket, FrontPoint
from scenes.library import example
from sketcher.__main__ import main
from sketcher.drawing.formats import PAPERS_MM, Paper
from sketcher.drawing.picture import Box, Circle, Line, Text
from sketcher.paper.template.furniture import (
    CROSS_MM,
    fitted,
    level_mm,
    outline_picture,
    width_mm,
)
from sketcher.paper.template.output import (
    MOST_SHEETS,
    OVERLAP_MM,
    SheetLayout,
    TooLarge,
    sheets_for,
    template_bytes,
    template_pdf,
    template_svg,
)
from tests.outlines_drawn import outlines

SVG = "{http://www.w3.org/2000/svg}"
POINT_MM = 25.4 / 72.0
# reportlab writes points to 6 digits, the drawing in pixels of 1/96 in.
TO_MM = 0.002
FOULS = "van-front-mount-fouls"

PLATE = Bracket("plate", ((400, 200), (486, 200), (486, 262), (452, 270), (400, 262)), "body")
LONG = Bracket("rail", ((0, 0), (430, 0), (430, 60), (0, 60)), "body", (-20, 20))


def drawn_paths(pdf: bytes, page: int = 0) -> list[npt.NDArray[np.float64]]:
    """Points of every path on a page, mm from its lower left, as pdfium reads them."""
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for item in document[page].get_objects(filter=[pdfium.FPDF_PAGEOBJ_PATH], max_depth=3):
        matrix = item.get_matrix()
        points = []
        for i in range(pdfium.FPDFPath_CountSegments(item.raw)):
            segment = pdfium.FPDFPath_GetPathSegment(item.raw, i)
            x, y = ctypes.c_float(), ctypes.c_float()
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            points.append(matrix.on_point(x.value, y.value))
        found.append(np.array(points) * POINT_MM)
    document.close()
    return found


def like(path: npt.NDArray[np.float64], outline: tuple[FrontPoint, ...]) -> bool:
    """Whether a path is the outline, moved."""
    wanted = np.array(outline)
    if len(path) < len(wanted):
        return False
    there = path[: len(wanted)]
    return bool(np.abs((there - there[0]) - (wanted - wanted[0])).max() < TO_MM)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_page_is_the_papers_size_and_the_outline_its_own(paper: Paper) -> None:
    pdf = template_pdf(PLATE, paper)
    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    size = (float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM)
    assert size == pytest.approx(PAPERS_MM[paper], abs=0.01)
    assert sum(like(path, PLATE.outline) for path in drawn_paths(pdf)) == 1


@settings(max_examples=15)
@given(outlines())
def test_any_outline_keeps_its_size_in_pdf_and_svg(outline: tuple[FrontPoint, ...]) -> None:
    bracket = Bracket("b", outline)
    assert any(like(path, outline) for path in drawn_paths(template_pdf(bracket)))
    assert shapely.Polygon(svg_outline(template_svg(bracket))).area == pytest.approx(
        shapely.Polygon(outline).area, rel=1e-6
    )


def test_the_bars_are_100_mm_and_4_in_both_ways() -> None:
    boxes = [np.ptp(path, axis=0) for path in drawn_paths(template_pdf(PLATE)) if len(path) >= 4]
    across = [box[0] for box in boxes]
    upwards = [box[1] for box in boxes]
    assert sum(abs(wide - 10.0) < TO_MM for wide in across) >= 10
    assert sum(abs(wide - 12.7) < TO_MM for wide in across) >= 8
    assert sum(abs(high - 10.0) < TO_MM for high in upwards) >= 10


def test_words_say_what_it_is() -> None:
    bracket = Bracket("mount foot", PLATE.outline, "gearbox", (-45, 40))
    text = pypdf.PdfReader(io.BytesIO(template_pdf(bracket, of="City van"))).pages[0].extract_text()
    said = " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())
    (x0, y0), (x1, y1) = min(PLATE.outline), max(PLATE.outline)
    ends = (PLATE.outline.index(one) + 1 for one in (min(PLATE.outline), max(PLATE.outline)))
    on_the_car = (
        f"innermost corner {next(ends)} out {x0:.1f} mm, up {y0:.1f} mm",
        f"outermost corner {next(ends)} out {x1:.1f} mm, up {y1:.1f} mm",
        "line is level, up 235.0 mm",
    )
    for words in (
        "mount foot",
        "City van",
        "Mounted on the gearbox",
        "85.0 mm deep",
        "86.0 mm x 70.0 mm",
        "4 (52.0, 70.0)",
        "52.6 mm",
        "Print at 100 %",
        "turn the template over",
        *on_the_car,
    ):
        assert words in said
    inches = pypdf.PdfReader(io.BytesIO(template_pdf(bracket, unit="in"))).pages[0].extract_text()
    assert "3.386 in x 2.756 in" in inches


def test_the_level_line_is_long_and_strikes_through_no_number() -> None:
    """Of an angle, along its long leg; of a wedge, no further than its edges."""
    angle = ((310.0, 120.0), (760.0, 120.0), (760.0, 420.0), (700.0, 420.0), (700.0, 190.0),
             (310.0, 190.0))  # fmt: skip
    assert 120.0 < level_mm(angle) < 190.0
    wedge = ((0.0, 0.0), (40.0, 0.0), (30.0, 20.0), (2.0, 20.0))
    picture = outline_picture(wedge, "mm", level_mm(wedge))
    (level,) = (item for item in picture if isinstance(item, Line))
    assert level.start == pytest.approx((1.0, 10.0))
    assert level.end == pytest.approx((35.0, 10.0))


def test_a_wide_outline_turns_the_paper() -> None:
    wide = Bracket("wide", ((0, 0), (240, 0), (240, 50), (0, 50)))
    (page,) = pypdf.PdfReader(io.BytesIO(template_pdf(wide))).pages
    assert page.mediabox.width > page.mediabox.height


def test_a_larger_one_goes_over_sheets_that_overlap() -> None:
    pdf = template_pdf(LONG)
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert len(pages) == 2
    assert "Sheet 2 of 2: column 2 of 2" in pages[1].extract_text()
    assert "crosses of" in pages[0].extract_text()
    starts = []
    for page in range(2):
        (path,) = (path for path in drawn_paths(pdf, page) if like(path, LONG.outline))
        starts.append(path[0])
    # The same outline, moved by one window less the overlap.
    step = starts[0] - starts[1]
    window = PAPERS_MM["a4"][1] - 2 * 10 - 9
    assert step == pytest.approx((window - OVERLAP_MM, 0.0), abs=TO_MM)
    # Both carry the same crosses, in the overlap: circles of 5 mm.
    crosses = [
        {
            tuple(np.round(path.mean(axis=0) - starts[page], 1))
            for path in drawn_paths(pdf, page)
            if np.allclose(np.ptp(path, axis=0), 5.0, atol=0.05)
        }
        for page in range(2)
    ]
    assert len(crosses[0] & crosses[1]) == 2


def test_no_number_is_cut_by_the_edge_of_a_sheet_where_another_has_it_whole() -> None:
    bent = ((310, 120), (760, 150), (745, 420), (700, 420), (690, 200), (330, 190))
    texts = [page.get_textpage().get_text_range()
             for page in pypdfium2.PdfDocument(template_pdf(Bracket("hanger", bent)))]  # fmt: skip
    # 270.4 mm of the outer edge reaches a little way down into the third of four sheets.
    assert "270.4 mm" in texts[3]
    assert "270.4" not in texts[2]


def test_sheets_without_any_of_the_outline_are_left_out() -> None:
    corner = ((0, 0), (380, 0), (380, 30), (30, 30), (30, 600), (0, 600))
    pages = pypdf.PdfReader(io.BytesIO(template_pdf(Bracket("angle", corner)))).pages
    said = " ".join(pages[-1].extract_text().split())
    found = re.search(
        r"Sheet (\d+) of (\d+): column \d+ of (\d+) from the left, row \d+ of (\d+)", said
    )
    assert found is not None
    last, count, columns, rows = (int(number) for number in found.groups())
    assert last == count == len(pages) < columns * rows


def test_every_cross_has_its_partner_on_another_sheet() -> None:
    corner = ((0, 0), (380, 0), (380, 30), (30, 30), (30, 600), (0, 600))
    layout = SheetLayout(210.0, 297.0, Box(19.0, 26.0, 200.0, 240.0))
    laid = sheets_for(corner, layout, layout)
    assert len(laid.sheets) < laid.columns * laid.rows
    crosses = [item.centre for item in laid.marks if isinstance(item, Circle)]
    assert len(crosses) == 2 * (len(laid.sheets) - 1)
    for place in crosses:
        assert sum(sheet.shows.grown(-CROSS_MM).holds(place) for sheet in laid.sheets) == 2
    letters = [item.text for item in laid.marks if isinstance(item, Text)]
    assert len(set(letters)) == len(letters)


def test_more_sheets_than_anybody_joins_are_refused() -> None:
    for size in (2500, 90_000):
        huge = Bracket("huge", ((0, 0), (size, 0), (size, size), (0, size)))
        with pytest.raises(TooLarge, match="sheets; take it to the saw"):
            template_pdf(huge)
    assert MOST_SHEETS < 100


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314  (our own output)


def svg_outline(text: str) -> list[FrontPoint]:
    """The outline of an SVG template in mm, as an XML parser reads it."""
    root = parsed(text)
    wide, high = root.attrib["width"], root.attrib["height"]
    assert wide.endswith("mm")
    assert high.endswith("mm")
    assert root.attrib["viewBox"] == f"0 0 {wide.removesuffix('mm')} {high.removesuffix('mm')}"
    (polygon,) = root.findall(f"{SVG}polygon[@id='outline']")
    pairs = [pair.split(",") for pair in polygon.attrib["points"].split()]
    return [(float(x), -float(y)) for x, y in pairs]


def test_svg_is_in_mm_and_holds_the_outline_unrounded() -> None:
    assert like(np.array(svg_outline(template_svg(PLATE))), PLATE.outline)
    texts = [item.text for item in parsed(template_svg(PLATE)).iter(f"{SVG}text")]
    assert {"plate", "100 mm", "4 in", "86.0 mm"} <= set(texts)


def test_svg_grows_with_the_outline() -> None:
    root = parsed(template_svg(LONG))
    assert float(root.attrib["width"].removesuffix("mm")) > 430


def test_dxf_is_one_closed_polyline_in_mm_on_one_layer(tmp_path: Path) -> None:
    path = tmp_path / "plate.dxf"
    path.write_bytes(template_bytes(PLATE, ".dxf"))
    document = ezdxf.filemanagement.readfile(path)
    assert document.header["$INSUNITS"] == 4, "millimetres"
    assert document.header["$MEASUREMENT"] == 1, "metric"
    assert not document.audit().has_errors
    (line,) = document.modelspace()
    assert isinstance(line, LWPolyline)
    assert line.dxf.layer == "OUTLINE"
    assert line.closed
    assert [(x, y) for x, y in line.get_points("xy")] == list(PLATE.outline)


def test_a_curve_has_no_numbers_along_it() -> None:
    disc = Bracket("disc", circle((0, 0), 120))
    texts = {item.text for item in parsed(template_svg(disc)).iter(f"{SVG}text")}
    assert "1" not in texts
    assert "120.1 mm x 120.1 mm, 55 corners." in texts


@pytest.mark.parametrize("name", ["", "a\nb\x07c", "<&>\"'", "long " * 60, "ü" * 300])
def test_any_name_can_be_written(name: str) -> None:
    bracket = Bracket(name, PLATE.outline)
    assert like(np.array(svg_outline(template_svg(bracket, of=name))), PLATE.outline)
    assert len(pypdf.PdfReader(io.BytesIO(template_pdf(bracket, of=name))).pages) == 1
    assert width_mm(fitted(name, 150.0), "large", bold=True) <= 150.0


@pytest.mark.parametrize("ending", ["pdf", "SVG", "dxf"])
def test_the_command_writes_each_kind(
    ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / f"foot.{ending}"
    words = ["template", "--example", FOULS, "--bracket", "motor mount foot", "-o", str(path)]
    assert main(words) == 0
    assert "full size" in capsys.readouterr().out
    bracket = example(FOULS).brackets[0]
    content = path.read_bytes()
    if ending == "SVG":
        assert like(np.array(svg_outline(content.decode())), bracket.outline)
    elif ending == "pdf":
        assert any(like(drawn, bracket.outline) for drawn in drawn_paths(content))
    else:
        assert b"LWPOLYLINE" in content


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--bracket", "motor mount foot", "-o", "foot.png"], "ending in .pdf, .svg or .dxf"),
        (["--bracket", "foot", "-o", "foot.pdf"], 'no bracket is named "foot"'),
        (["-o", "foot.pdf"], "--bracket: expected one of"),
        (["--bracket", "motor mount foot", "-o", "/no such folder/a.pdf"], "cannot be written"),
    ],
)
def test_the_command_refuses_in_one_line(
    words: list[str], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["template", "--example", FOULS, *words]) == 2
    err = capsys.readouterr().err
    assert line in err
    assert err.count("\n") == 1
