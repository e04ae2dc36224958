"""The picture as SVG, to scale: one user unit is one mm on paper."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import FAMILY
from sketcher.drawing.painting import paint
from sketcher.drawing.picture import Picture, Point2
from sketcher.drawing.style import Colour, Style
from sketcher.drawing.style import style as style_of

_NAMESPACE = "http://www.w3.org/2000/svg"


def svg_text(
    picture: Picture,
    camera: Camera,
    style: Style | None = None,
    *,
    title: str = "",
    backed: bool = True,
) -> str:
    """The picture as the text of an SVG file; width and height in mm, the viewBox in mm.

    The camera's ``scale`` is the drawing's (1 is full size).  ``backed`` lays the
    paper's colour under it.
    """
    chosen = style or style_of("light")
    px = camera.pixels_per_paper_mm
    width, height = camera.width / px, camera.height / px
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
    if title:
        ET.SubElement(root, "title").text = title
    if backed:
        attributes = {"width": "100%", "height": "100%", "fill": _hex(chosen.palette.paper)}
        ET.SubElement(root, "rect", attributes)
    paint(picture, camera, chosen, SvgPen(root, camera))
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


class SvgPen:
    """Adds elements to an SVG tree, in mm on paper."""

    def __init__(self, root: ET.Element, camera: Camera) -> None:
        self._root = root
        self._mm = 1.0 / camera.pixels_per_paper_mm
        self._left, self._top = camera.left, camera.top

    def fill(self, points: Sequence[Point2], colour: Colour, *, edged: bool) -> None:  # noqa: ARG002
        """Fill a closed outline."""
        ET.SubElement(self._root, "polygon", {"points": self._points(points), "fill": _hex(colour)})

    def run(
        self,
        points: Sequence[Point2],
        colour: Colour,
        width: float,
        dashes: tuple[float, ...],
        *,
        closed: bool,
    ) -> None:
        """Draw a run of straight lines."""
        attributes = {"points": self._points(points), **self._stroke(colour, width, dashes)}
        ET.SubElement(self._root, "polygon" if closed else "polyline", attributes)

    def segments(
        self,
        segments: Sequence[tuple[Point2, Point2]],
        colour: Colour,
        width: float,
        dashes: tuple[float, ...],
    ) -> None:
        """Draw separate straight lines."""
        if segments:
            path = " ".join(f"M{self._point(a)} L{self._point(b)}" for a, b in segments)
            attributes = {"d": path, **self._stroke(colour, width, dashes)}
            ET.SubElement(self._root, "path", attributes)

    def circle(
        self, centre: Point2, radius: float, fill: Colour | None, colour: Colour, width: float
    ) -> None:
        """Draw a circle, filled first where there is a fill; no line where the width is 0."""
        x, y = self._point(centre).split(",")
        attributes = {"cx": x, "cy": y, "r": _number(radius * self._mm)}
        if fill is not None:
            attributes["fill"] = _hex(fill)
        if width > 0.0:
            attributes.update(self._stroke(colour, width, ()))
        ET.SubElement(self._root, "circle", attributes)

    def text(
        self, start: Point2, text: str, size: int, colour: Colour, *, bold: bool, angle_deg: float
    ) -> None:
        """Write a line of text whose baseline starts at a point, turned counter-clockwise."""
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
        ET.SubElement(self._root, "text", attributes).text = text

    def _point(self, point: Point2) -> str:
        x, y = (point[0] - self._left) * self._mm, (point[1] - self._top) * self._mm
        return f"{_number(x)},{_number(y)}"

    def _points(self, points: Sequence[Point2]) -> str:
        return " ".join(self._point(point) for point in points)

    def _stroke(self, colour: Colour, width: float, dashes: tuple[float, ...]) -> dict[str, str]:
        attributes = {"stroke": _hex(colour), "stroke-width": _number(width * self._mm)}
        if dashes:
            attributes["stroke-dasharray"] = " ".join(_number(d * self._mm) for d in dashes)
        return attributes


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)


def _number(value: float) -> str:
    # A micrometre on paper is finer than any printer, and short numbers keep the file small.
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
