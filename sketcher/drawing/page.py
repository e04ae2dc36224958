"""A page: pictures side by side, each with the camera that it is painted with."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.picture import Picture


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture and the camera that it is painted with, inside whose rectangle it stays."""

    picture: Picture
    camera: Camera

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height on paper."""
        per = self.camera.pixels_per_paper_mm
        return self.camera.width / per, self.camera.height / per


@dataclass(frozen=True, slots=True)
class Page:
    """Pictures in the order they are painted; width and height in px, ``y`` downwards."""

    width: float
    height: float
    panels: tuple[Drawn, ...]
    ui_scale: float = 1.0

    @property
    def pixels_per_paper_mm(self) -> float:
        """Px of one mm on paper."""
        return PIXELS_PER_PAPER_MM * self.ui_scale


def page_of_one(picture: Picture, camera: Camera) -> Page:
    """A page that is one picture."""
    whole = replace(camera, left=0.0, top=0.0)
    return Page(camera.width, camera.height, (Drawn(picture, whole),), camera.ui_scale)
