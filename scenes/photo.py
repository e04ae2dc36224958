"""The photo of the scene file, which lies under the front view and decides no number."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import PurePosixPath

from kinematics.errors import Check
from kinematics.part import Part
from scenes.errors import shown

PINS = "two pins, or four and more, each [pixel x, pixel y, out, up]"
DEFAULT_OPACITY = 0.5
# From here on the perspective of a plane is followed, and not scale and turn alone.
LEAST_FOR_PERSPECTIVE = 4

Pin = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Photo(Part):
    """A picture beside the scene, and where points of it lie in the front view.

    ``file``: its name.  ``pins``: pixel x and y, y downwards, and the ``out`` and ``up``
    of what is seen there, mm; two for scale and turn, four and more for the perspective
    of one plane.  ``opacity``: from 0 to 1.
    """

    file: str
    pins: tuple[Pin, ...] = ()
    opacity: float = DEFAULT_OPACITY

    def _checks(self) -> Iterable[Check]:
        name = PurePosixPath(self.file.replace("\\", "/"))
        inside = not name.is_absolute() and ".." not in name.parts and ":" not in self.file
        beside = f"the name of a file beside the scene, got {shown(self.file)}"
        yield self.file.strip() and inside, "file", beside
        count = len(self.pins)
        yield count in (0, 2) or count >= LEAST_FOR_PERSPECTIVE, "pins", f"{PINS}, got {count}"
        for where, places in (
            ("in the picture", [pin[:2] for pin in self.pins]),
            ("on the car", [pin[2:] for pin in self.pins]),
        ):
            distinct = len(set(places)) == len(places)
            yield distinct, "pins", f"each at a place of its own {where}, two are one"
        yield 0.0 < self.opacity <= 1.0, "opacity", f"more than 0 and up to 1, got {self.opacity:g}"
