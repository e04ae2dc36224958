"""A bracket trimmed in its scene, and what that takes in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely

from kinematics.gaps.trimming import Trim
from kinematics.shaft.clearing import deepest_cut_mm, trim_to_clear
from scenes.model import Scene, Side
from sketcher.words.units import Unit, format_length


@dataclass(frozen=True, slots=True, eq=False)
class TrimmedScene:
    """``scene`` has the bracket with what is left of it; the scene as it was where nothing is."""

    scene: Scene
    trim: Trim

    @property
    def nothing_left(self) -> bool:
        """Whether the wanted gap cannot be had by trimming."""
        return self.trim.outline is None


def trim_in_scene(scene: Scene, index: int, sides: Sequence[Side] | None = None) -> TrimmedScene:
    """Trim a bracket of a scene to its wanted gap from the shafts of the sides given, or all.

    Raises NothingToTrimAgainst, or InvalidInput for a shaft that is too short to reach.
    """
    corners = {f"shafts.{side}": scene.corner(side) for side in sides or scene.sides}
    found = trim_to_clear(corners, scene.brackets[index])
    if found.trimmed is None:
        return TrimmedScene(scene, found)
    brackets = (*scene.brackets[:index], found.trimmed, *scene.brackets[index + 1 :])
    return TrimmedScene(replace(scene, brackets=brackets), found)


def trim_lines(found: Trim, unit: Unit = "mm") -> Iterator[str]:
    """What the trim takes, one line each."""
    bracket = found.bracket
    wanted = format_length(bracket.wanted_gap, unit)
    # Towards the safe side: a gap no larger, a cut no shallower than it is.
    if not found.needed:
        gap = format_length(found.gap_mm, unit, rounding="down")
        yield (f'"{bracket.name}" needs no trimming: its smallest gap is {gap}, wanted {wanted}.')
        return
    if found.outline is None:
        yield (
            f'"{bracket.name}": nothing would be left of it with a gap of {wanted} '
            "over the whole motion; move it, or bring the wanted gap down."
        )
        return
    whole = shapely.Polygon(bracket.outline).area
    deepest = format_length(deepest_cut_mm(found), unit, rounding="up")
    yield (
        f'"{bracket.name}": trim away {area(found.cut.area, unit)} '
        f"({100.0 * found.cut.area / whole:.0f} % of the outline), "
        f"at most {deepest} in from its edge."
    )
    if found.fell_off:
        sizes = ", ".join(area(shapely.Polygon(piece).area, unit) for piece in found.fell_off)
        yield f"The cut parts it: the largest piece is kept, what falls off is {sizes}."
    if found.holes_opened:
        yield (
            f"The cut makes {found.holes_opened} closed hole(s), opened to the edge by a saw cut, "
            "since an outline has none."
        )
    gap = format_length(found.gap_mm, unit, rounding="down")
    yield f"The smallest gap is then {gap}, wanted {wanted}."
    if found.fell_off or found.cut.area > 0.25 * whole:
        yield "What is left is weaker than the bracket was: judge it again before it carries load."


def area(mm2: float, unit: Unit) -> str:
    """An area as a person reads it."""
    return f"{mm2 / 25.4**2:.2f} in²" if unit == "in" else f"{mm2:.0f} mm²"
