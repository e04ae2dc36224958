"""The picture as SVG, to scale: one user unit is one mm on paper."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import FAMILY
from sketcher.drawing.page import Page
from sketcher.drawing.painting import Stroke, paint
from sketcher.drawing.picture import Point2
from sketcher.drawing.shapes import Segment
from sketcher.drawing.style import Colour, Style
from sketcher.drawing.style import style as style_of
from sketcher.words.plain import printable

_NAMESPACE = "http://www.w3.org/2000/svg"


def svg_text(tree: ET.Element) -> str:
    """The text of an SVG file."""
    ET.indent(tree)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(tree, encoding="unicode") + "\n"


def svg_tree(
    page: Page,
    style: Style | None = None,
    *,
    title: str = "",
    description: str = "",
    backed: bool = True,
) -> ET.Element:
    """The page as an SVG tree; width, height and viewBox in mm on paper.

    ``backed`` lays the paper's colour under it.
    """
    chosen = style or style_of("light")
    mm = 1.0 / page.pixels_per_paper_mm
    width, height = page.width * mm, page.height * mm
    root = ET.Element(
        "svg",
        {
            "xmlns": _NAMESPACE,
            "width": f"{_number(width)}mm",
            "height": f"{_number(height)}mm",
            "viewBox": f"0 0 {_number(width)} {_number(height)}",
            "font-family": f"{FAMILY}, Liberation Sans, Arial, sans-serif",
            "stroke-linejoin": "round",
            "stroke-linecap": "butt",
            "fill": "none",
        },
    )
    for name, words in (("title", title), ("desc", description)):
        if words:
            ET.SubElement(root, name).text = printable(words)
    if backed:
        attributes = {"width": "100%", "height": "100%", "fill": _hex(chosen.palette.paper)}
        ET.SubElement(root, "rect", attributes)
    for number, panel in enumerate(page.panels):
        whole = (panel.camera.width, panel.camera.height) == (page.width, page.height)
        group = root if whole else _clipped(root, panel.camera, mm, number)
        paint(panel.picture, panel.camera, chosen, _SvgPen(group, mm))
    return root


def _clipped(root: ET.Element, camera: Camera, mm: float, number: int) -> ET.Element:
    """A group in which nothing shows outside the camera's rectangle."""
    name = f"panel{number}"
    rectangle = {
        "x": _number(camera.left * mm),
        "y": _number(camera.top * mm),
        "width": _number(camera.width * mm),
        "height": _number(camera.height * mm),
    }
    ET.SubElement(ET.SubElement(root, "clipPath", {"id": name}), "rect", rectangle)
    return ET.SubElement(root, "g", {"clip-path": f"url(#{name})"})


class _SvgPen:
    """Adds elements to an SVG tree, in mm on paper."""

    def __init__(self, root: ET.Element, mm: float) -> None:
        self._root = root
        self._mm = mm

    def fill(self, points: Sequence[Point2], colour: Colour, *, edged: bool) -> None:  # noqa: ARG002
        ET.SubElement(self._root, "polygon", {"points": self._points(points), "fill": _hex(colour)})

    def run(self, points: Sequence[Point2], stroke: Stroke, *, closed: bool) -> None:
        attributes = {"points": self._points(points), **self._stroke(stroke)}
        ET.SubElement(self._root, "polygon" if closed else "polyline", attributes)

    def segments(self, segments: Sequence[Segment], stroke: Stroke) -> None:
        if segments:
            path = " ".join(f"M{self._point(a)} L{self._point(b)}" for a, b in segments)
            attributes = {"d": path, **self._stroke(stroke)}
            ET.SubElement(self._root, "path", attributes)

    def circle(
        self, centre: Point2, radius: float, fill: Colour | None, stroke: Stroke | None
    ) -> None:
        x, y = self._point(centre).split(",")
        attributes = {"cx": x, "cy": y, "r": _number(radius * self._mm)}
        if fill is not None:
            attributes["fill"] = _hex(fill)
        if stroke is not None:
            attributes.update(self._stroke(stroke))
        ET.SubElement(self._root, "circle", attributes)

    def text(
        self, start: Point2, text: str, size: int, colour: Colour, *, bold: bool, angle_deg: float
    ) -> None:
        x, y = self._point(start).split(",")
        attributes = {
            "x": x,
            "y": y,
            "font-size": _number(size * self._mm),
            "fill": _hex(colour),
        }
        if bold:
            attributes["font-weight"] = "bold"
        if angle_deg:
            attributes["transform"] = f"rotate({_number(-angle_deg)} {x} {y})"
        ET.SubElement(self._root, "text", attributes).text = printable(text)

    def _point(self, point: Point2) -> str:
        x, y = point[0] * self._mm, point[1] * self._mm
        return f"{_number(x)},{_number(y)}"

    def _points(self, points: Sequence[Point2]) -> str:
        return " ".join(self._point(point) for point in points)

    def _stroke(self, stroke: Stroke) -> dict[str, str]:
        width = _number(stroke.width * self._mm)
        attributes = {"stroke": _hex(stroke.colour), "stroke-width": width}
        if stroke.dashes:
            attributes["stroke-dasharray"] = " ".join(_number(d * self._mm) for d in stroke.dashes)
        return attributes


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)


def _number(value: float) -> str:
    # A micrometre on paper is finer than any printer, and short numbers keep the file small.
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
