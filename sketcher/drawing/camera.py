"""Where a world point lies on the screen or the paper, and back.

The camera alone turns the vertical axis over: world ``up`` is upwards, a
device's ``y`` downwards.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sketcher.drawing.areas import Area
from sketcher.drawing.picture import Box, Point2

MM_PER_INCH = 25.4
# At UI scale 1 a device px is 1/96 inch, as in CSS: mm on paper fix widths on screen too.
PIXELS_PER_PAPER_MM = 96.0 / MM_PER_INCH
SMALLEST_ZOOM = 0.02
LARGEST_ZOOM = 400.0


@dataclass(frozen=True, slots=True)
class Camera:
    """A view of the world on a rectangle of device pixels.

    ``left``, ``top``, ``width``, ``height``: the rectangle, px, ``y`` downwards.
    ``centre``: the world point in its middle.  ``zoom``: device px per world mm.
    ``ui_scale``: 1 on a plain screen, 2 on one of twice the pixels per inch.
    """

    width: float
    height: float
    centre: Point2 = (0.0, 0.0)
    zoom: float = 1.0
    ui_scale: float = 1.0
    left: float = 0.0
    top: float = 0.0

    @classmethod
    def on(cls, area: Area, ui_scale: float = 1.0) -> Camera:
        """A camera on an area of the screen or page."""
        return cls(area.width, area.height, (0.0, 0.0), 1.0, ui_scale, area.left, area.top)

    def in_pixels(self) -> Camera:
        """The camera of a panel laid out in device pixels: (0, 0) at its lower left, up upwards."""
        return replace(self, centre=(self.width / 2, self.height / 2), zoom=1.0)

    @classmethod
    def of_sheet(cls, box: Box, scale: float = 1.0) -> Camera:
        """The camera of a paper drawing of a world box at a scale (0.5 is 1:2), 96 px per inch."""
        zoom = scale * PIXELS_PER_PAPER_MM
        return cls(box.width * zoom, box.height * zoom, box.centre, zoom)

    @property
    def scale(self) -> float:
        """Mm on paper per world mm: 1 is full size."""
        return self.zoom / (PIXELS_PER_PAPER_MM * self.ui_scale)

    @property
    def pixels_per_paper_mm(self) -> float:
        """Device px of one mm on paper."""
        return PIXELS_PER_PAPER_MM * self.ui_scale

    def paper(self, paper_mm: float) -> float:
        """World mm of a length that is ``paper_mm`` on paper."""
        return paper_mm * PIXELS_PER_PAPER_MM * self.ui_scale / self.zoom

    def to_screen(self, point: Point2) -> Point2:
        """Device px of a world point."""
        return (
            self.left + self.width / 2 + (point[0] - self.centre[0]) * self.zoom,
            self.top + self.height / 2 - (point[1] - self.centre[1]) * self.zoom,
        )

    def to_world(self, point: Point2) -> Point2:
        """World point at device px."""
        return (
            self.centre[0] + (point[0] - self.left - self.width / 2) / self.zoom,
            self.centre[1] - (point[1] - self.top - self.height / 2) / self.zoom,
        )

    @property
    def box(self) -> Box:
        """The part of the world in view, mm."""
        half_width, half_height = self.width / 2 / self.zoom, self.height / 2 / self.zoom
        x, y = self.centre
        return Box(x - half_width, y - half_height, x + half_width, y + half_height)

    def times(self, factor: float) -> Camera:
        """The same view on a device of that many times the pixels."""
        every = ("width", "height", "zoom", "ui_scale", "left", "top")
        return replace(self, **{name: factor * getattr(self, name) for name in every})

    def fitted(self, box: Box, *, padding_px: float = 24.0) -> Camera:
        """The camera that shows the whole of a world box, with padding (px at UI scale 1)."""
        padding = 2 * padding_px * self.ui_scale
        across = max(self.width - padding, 1.0) / max(box.width, 1e-9)
        down = max(self.height - padding, 1.0) / max(box.height, 1e-9)
        return replace(self, centre=box.centre, zoom=_within_reason(min(across, down)))

    def panned(self, dx_px: float, dy_px: float) -> Camera:
        """The camera after the drawing is pushed by device px, ``dy_px`` downwards."""
        x, y = self.centre
        return replace(self, centre=(x - dx_px / self.zoom, y + dy_px / self.zoom))

    def zoomed(self, factor: float, about_px: Point2) -> Camera:
        """The camera zoomed by a factor, the world point under ``about_px`` staying there."""
        held = self.to_world(about_px)
        closer = replace(self, zoom=_within_reason(self.zoom * factor))
        x, y = closer.to_world(about_px)
        return replace(
            closer, centre=(closer.centre[0] + held[0] - x, closer.centre[1] + held[1] - y)
        )

    def resized(
        self,
        width: float,
        height: float,
        *,
        left: float | None = None,
        top: float | None = None,
        ui_scale: float | None = None,
    ) -> Camera:
        """The camera on another rectangle, the same world point in the middle at the same size."""
        scale = self.ui_scale if ui_scale is None else ui_scale
        return replace(
            self,
            width=width,
            height=height,
            left=self.left if left is None else left,
            top=self.top if top is None else top,
            ui_scale=scale,
            zoom=_within_reason(self.zoom * scale / self.ui_scale),
        )


def _within_reason(zoom: float) -> float:
    return min(max(zoom, SMALLEST_ZOOM), LARGEST_ZOOM)
