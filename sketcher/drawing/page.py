"""A page: pictures side by side, each with the camera that it is painted with."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.picture import Picture


@dataclass(frozen=True, slots=True)
class PagePart:
    """One picture of a page, painted inside its camera's rectangle."""

    picture: Picture
    camera: Camera


@dataclass(frozen=True, slots=True)
class Page:
    """Pictures in the order they are painted; width and height in px, ``y`` downwards."""

    width: float
    height: float
    panels: tuple[PagePart, ...]
    ui_scale: float = 1.0

    @property
    def pixels_per_paper_mm(self) -> float:
        """Px of one mm on paper."""
        return PIXELS_PER_PAPER_MM * self.ui_scale


def page_of_one(picture: Picture, camera: Camera) -> Page:
    """A page that is one picture."""
    whole = replace(camera, left=0.0, top=0.0)
    return Page(camera.width, camera.height, (PagePart(picture, whole),), camera.ui_scale)
