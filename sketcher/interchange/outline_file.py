"""An outline taken in from a file, whatever its kind."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import shapely

from kinematics.gaps.outlines import Outline, moved_outline
from kinematics.parts import Bracket, Carrier, FrontPoint
from scenes.model import Scene
from sketcher.interchange.dxf import dxf_pieces
from sketcher.interchange.loops import Loop, OutlineError, chosen, closed_loops
from sketcher.interchange.svg import MM_PER, svg_pieces
from sketcher.words.units import Unit

ENDINGS = (".dxf", ".svg")
LARGEST_FILE = 4_000_000


@dataclass(frozen=True, slots=True)
class OutlineChoice:
    """Which of a file's outlines is meant, and in what unit it is drawn.

    ``unit`` None takes the file's own.  ``layer`` is a layer of a DXF, or the id of
    an element or group in an SVG.  ``number`` counts the closed outlines from 1, the
    largest first.
    """

    unit: Unit | None = None
    layer: str | None = None
    number: int | None = None


def outlines_in(path: Path, choice: OutlineChoice = OutlineChoice()) -> tuple[Loop, ...]:
    """The closed outlines of a DXF or SVG file, the largest first, mm.

    Raises OutlineError, naming the file.
    """
    try:
        if path.suffix.lower() not in ENDINGS:
            raise OutlineError("expected a file that ends in .dxf or .svg")
        if path.stat().st_size > LARGEST_FILE:
            raise OutlineError("expected a drawing of one part, this file is too large to be one")
        mm_per_unit = None if choice.unit is None else MM_PER[choice.unit]
        if path.suffix.lower() == ".dxf":
            return closed_loops(dxf_pieces(path, mm_per_unit=mm_per_unit, layer=choice.layer))
        return closed_loops(svg_pieces(path, mm_per_unit=mm_per_unit, name=choice.layer))
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise OutlineError(f"{path}: cannot be read: {reason}") from error
    except OutlineError as error:
        raise OutlineError(f"{path}: {error}") from error


def read_outline(path: Path, choice: OutlineChoice = OutlineChoice()) -> Loop:
    """The one outline of a file that is meant.

    Raises OutlineError where the file cannot be read, or the choice leaves none or several.
    """
    loops = outlines_in(path, choice)
    try:
        return chosen(loops, choice.number)
    except OutlineError as error:
        raise OutlineError(f"{path}: {error}") from error


def placed_outline(outline: Outline, lower_left: FrontPoint) -> Outline:
    """The outline moved so that the lower left of the box round it comes to a point."""
    left, bottom, _, _ = shapely.Polygon(outline).bounds
    there = moved_outline(outline, (lower_left[0] - left, lower_left[1] - bottom))
    # Sums of short decimals are to stay short.
    return tuple((round(x, 6), round(y, 6)) for x, y in there)


def with_outline(
    scene: Scene,
    name: str,
    outline: Outline,
    *,
    mounted_on: Carrier | None = None,
    fore: tuple[float, float] | None = None,
) -> Scene:
    """The scene with a bracket of this outline: a new one, or the one of that name reshaped.

    Of a bracket that is there, what is not given stays as it was; a new one is mounted
    on the body, at every depth.  Raises InvalidInput where it makes no bracket.
    """
    for index, bracket in enumerate(scene.brackets):
        if bracket.name == name:
            reshaped = replace(
                bracket,
                outline=outline,
                mounted_on=mounted_on or bracket.mounted_on,
                fore=fore or bracket.fore,
            )
            before, after = scene.brackets[:index], scene.brackets[index + 1 :]
            return replace(scene, brackets=(*before, reshaped, *after))
    new = Bracket(name, outline, mounted_on or "body", fore)
    return replace(scene, brackets=(*scene.brackets, new))
