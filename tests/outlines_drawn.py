"""Drawings for tests of templates and exchange: outlines of a bracket's size, DXF and SVG files."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
import shapely
from ezdxf.enums import InsertUnits
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from hypothesis import strategies as st

from kinematics.parts import FrontPoint
from sketcher.interchange.loops import OutlineError
from sketcher.interchange.outline_file import OutlineChoice, read_outline

MM = InsertUnits.Millimeters
AS_IT_IS = OutlineChoice()


def dxf(tmp_path: Path, draw: Callable[[Modelspace], object], units: int = MM) -> Path:
    document = new("R2000", units=units)
    draw(document.modelspace())
    path = tmp_path / "drawing.dxf"
    document.saveas(path)
    return path


def svg(tmp_path: Path, body: str, head: str = 'width="100mm" height="80mm"') -> Path:
    path = tmp_path / "drawing.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" {head} viewBox="0 0 100 80">{body}</svg>'
    )
    return path


def polygon(path: Path, choice: OutlineChoice = AS_IT_IS) -> shapely.Polygon:
    return shapely.Polygon(read_outline(path, choice).outline)


def refusal(path: Path, choice: OutlineChoice = AS_IT_IS) -> str:
    with pytest.raises(OutlineError) as caught:
        read_outline(path, choice)
    message = str(caught.value)
    assert message.startswith(str(path))
    assert "\n" not in message
    return message.removeprefix(f"{path}: ")


def plate_with_hole(space: Modelspace) -> None:
    space.add_lwpolyline(
        [(0, 0), (50, 0), (50, 30), (0, 30)], close=True, dxfattribs={"layer": "EDGE"}
    )
    space.add_circle((20, 15), 5, dxfattribs={"layer": "HOLES"})


@st.composite
def outlines(draw: st.DrawFn) -> tuple[FrontPoint, ...]:
    """Star-shaped outlines, counter-clockwise, corners on a grid of 0.01 mm."""
    count = draw(st.integers(3, 9))
    centre = (draw(st.integers(-200, 800)), draw(st.integers(-100, 700)))
    radii = draw(st.lists(st.floats(8, 90), min_size=count, max_size=count))
    corners = []
    for i, radius in enumerate(radii):
        angle = 2.0 * math.pi * (i + 0.1) / count
        corners.append(
            (
                round(centre[0] + radius * math.cos(angle), 2),
                round(centre[1] + radius * math.sin(angle), 2),
            )
        )
    assert shapely.Polygon(corners).is_valid
    return tuple(corners)
