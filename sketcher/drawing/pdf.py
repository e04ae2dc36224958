"""The picture on a page of a reportlab canvas, to scale: templates at 1:1 and the shop sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import font_path
from sketcher.drawing.painting import Stroke, paint
from sketcher.drawing.picture import Picture, Point2
from sketcher.drawing.shapes import Segment
from sketcher.drawing.style import Colour, Style
from sketcher.drawing.style import style as style_of

REGULAR, BOLD = "NotoSans", "NotoSans-Bold"


def register_fonts() -> None:
    """Make the font family known to reportlab; the sheet's own text may use it too."""
    for name, bold in ((REGULAR, False), (BOLD, True)):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(font_path(bold=bold))))


def paint_pdf(
    canvas: Any,
    picture: Picture,
    camera: Camera,
    origin_mm: Point2,
    style: Style | None = None,
) -> None:
    """Paint a picture on a page at the camera's ``scale``.

    ``origin_mm``: where on the page, from its lower left, the lower left of the
    camera's rectangle comes to lie.  ``Camera.of_sheet(box, 1.0)`` is full size.
    What lies outside the rectangle is cut off.
    """
    register_fonts()
    width, height = (
        side / camera.pixels_per_paper_mm * mm for side in (camera.width, camera.height)
    )
    canvas.saveState()
    frame = canvas.beginPath()
    frame.rect(origin_mm[0] * mm, origin_mm[1] * mm, width, height)
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.setLineJoin(1)
    paint(picture, camera, style or style_of("light"), _PdfPen(canvas, camera, origin_mm))
    canvas.restoreState()


class _PdfPen:
    """Draws on a reportlab canvas, points measured from the page's lower left."""

    def __init__(self, canvas: Any, camera: Camera, origin_mm: Point2) -> None:
        self._canvas = canvas
        self._pt = mm / camera.pixels_per_paper_mm
        self._x = origin_mm[0] * mm - camera.left * self._pt
        self._y = origin_mm[1] * mm + (camera.top + camera.height) * self._pt

    def fill(self, points: Sequence[Point2], colour: Colour, *, edged: bool) -> None:  # noqa: ARG002
        self._canvas.setFillColorRGB(*_rgb(colour))
        self._canvas.drawPath(self._path(points, closed=True), stroke=0, fill=1)

    def run(self, points: Sequence[Point2], stroke: Stroke, *, closed: bool) -> None:
        self._line(stroke)
        self._canvas.drawPath(self._path(points, closed=closed), stroke=1, fill=0)

    def segments(self, segments: Sequence[Segment], stroke: Stroke) -> None:
        if segments:
            self._line(stroke)
            self._canvas.lines([(*self._at(a), *self._at(b)) for a, b in segments])

    def circle(
        self, centre: Point2, radius: float, fill: Colour | None, stroke: Stroke | None
    ) -> None:
        if fill is not None:
            self._canvas.setFillColorRGB(*_rgb(fill))
        if stroke is not None:
            self._line(stroke)
        edged, filled = int(stroke is not None), int(fill is not None)
        self._canvas.circle(*self._at(centre), radius * self._pt, stroke=edged, fill=filled)

    def text(
        self, start: Point2, text: str, size: int, colour: Colour, *, bold: bool, angle_deg: float
    ) -> None:
        canvas = self._canvas
        canvas.saveState()
        canvas.setFillColorRGB(*_rgb(colour))
        canvas.setFont(BOLD if bold else REGULAR, size * self._pt)
        canvas.translate(*self._at(start))
        if angle_deg:
            canvas.rotate(angle_deg)
        canvas.drawString(0, 0, text)
        canvas.restoreState()

    def _at(self, point: Point2) -> Point2:
        return (self._x + point[0] * self._pt, self._y - point[1] * self._pt)

    def _line(self, stroke: Stroke) -> None:
        self._canvas.setStrokeColorRGB(*_rgb(stroke.colour))
        self._canvas.setLineWidth(stroke.width * self._pt)
        self._canvas.setDash([length * self._pt for length in stroke.dashes])

    def _path(self, points: Sequence[Point2], *, closed: bool) -> Any:
        path = self._canvas.beginPath()
        path.moveTo(*self._at(points[0]))
        for point in points[1:]:
            path.lineTo(*self._at(point))
        if closed:
            path.close()
        return path


def _rgb(colour: Colour) -> tuple[float, float, float]:
    return (colour[0] / 255, colour[1] / 255, colour[2] / 255)
