"""A bracket's outline in the making, from its first corner on, without a screen.

Places are (out, up) in the front view, mm at ride height.  An open outline is a value; each
step gives another, so that any state of the drawing can be made and looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import shapely

from kinematics.errors import InvalidInput, invalid
from kinematics.gaps import outlines
from kinematics.gaps.outlines import Outline
from kinematics.parts import FrontPoint
from scenes.model import Scene
from sketcher.window.model.edits import snapped
from sketcher.words.units import LengthError, Unit, parse_length

Shape = Literal["outline", "plate", "round", "hole"]

# A plate starts as thick as much of what is welded under a car.
FIRST_THICKNESS_MM = 5.0
# What is pulled out by hand is whole mm; finer is typed.
PULLED_STEP_MM = 1.0
CROSSES = "the outline crosses itself; Backspace takes a corner back"
_AIDS = "Shift keeps right angles, Ctrl catches points. Or type: 80, or 404; 196."
_BEGIN: dict[Shape, str] = {
    "outline": "Drag a rectangle, or click corner after corner.",
    "plate": "Click along the plate's middle, bend after bend.",
    "round": "Press at the centre and drag to the rim, or click both.",
    "hole": "Press at the hole's centre and drag to its rim, or click both.",
}
_GO_ON: dict[Shape, str] = {
    "outline": f"Enter or the first corner closes it. {_AIDS}",
    "plate": f"Enter or a double click ends the line. {_AIDS}",
    "round": "Click on the rim, or type the diameter and press Enter.",
    "hole": "Click on the rim, or type the diameter and press Enter.",
}
_TYPED = frozenset("0123456789.,-/\"'; ")
_TYPED_AFTER = frozenset("inm")


@dataclass(slots=True)
class Snapping:
    """What drawing and dragging keep to: switched on, or held by a key."""

    square_on: bool = False
    catch_on: bool = False
    square_held: bool = False
    catch_held: bool = False

    @property
    def square(self) -> bool:
        """Whether right angles are kept."""
        return self.square_on or self.square_held

    @property
    def catch(self) -> bool:
        """Whether points are caught."""
        return self.catch_on or self.catch_held


@dataclass(frozen=True, slots=True)
class Aids:
    """What a place that is pointed at keeps to.

    ``square``: right angles with the last corner.  ``catch``: points that it goes to
    within ``reach_mm``.  ``grid_mm``: the grid, if any.
    """

    square: bool = False
    catch: tuple[FrontPoint, ...] = ()
    reach_mm: float = 0.0
    grid_mm: float | None = None

    def caught(self, to: FrontPoint) -> FrontPoint | None:
        """The point to catch that is nearest to a place, if one is in reach."""
        nearest = min(self.catch, key=lambda point: math.dist(point, to), default=None)
        if nearest is None or math.dist(nearest, to) > self.reach_mm:
            return None
        return nearest

    def placed(
        self, to: FrontPoint, anchors: Iterable[FrontPoint] = (), *, catch: bool = True
    ) -> FrontPoint:
        """Where a place goes: to a point that it catches, or square to the nearest anchor."""
        caught = self.caught(to) if catch else None
        if caught is not None:
            return caught
        put = snapped(to, self.grid_mm)
        if not self.square:
            return put
        lines = [outlines.square_to(put, anchor) for anchor in anchors]
        return min(lines, key=lambda place: math.dist(place, put), default=put)


@dataclass(frozen=True, slots=True)
class OpenOutline:
    """An outline in the making.

    ``corners`` are those put down, ``at`` is where the open outline points.  ``box``: the
    outline is a rectangle between the first corner and the open outline.  ``thickness_mm``
    is that of a plate whose line is done, None before.  ``within`` is the outline that
    a hole goes into.  ``done``: nothing is left but to make a bracket of it.
    """

    shape: Shape = "outline"
    corners: Outline = ()
    at: FrontPoint | None = None
    box: bool = False
    thickness_mm: float | None = None
    within: Outline = ()
    typed: str = ""
    done: bool = False

    def pointed(self, to: FrontPoint, aids: Aids = Aids()) -> OpenOutline:
        """The outline pointing elsewhere; of a plate whose line is done, its thickness pulled."""
        if self.thickness_mm is None:
            # A rectangle, a rim and a first corner have nothing to be square to.
            anchors = self.corners[-1:] if self._runs and not self.box else ()
            return replace(self, at=aids.placed(to, anchors))
        away = shapely.LineString(self.corners).distance(shapely.Point(to))
        pulled = max(round(2.0 * away / PULLED_STEP_MM) * PULLED_STEP_MM, PULLED_STEP_MM)
        return replace(self, at=to, thickness_mm=pulled)

    def put(self, reach_mm: float = 0.0) -> OpenOutline:
        """A corner where it points; on the first or again on the last one it is finished."""
        if self.at is None:
            return self
        if self.thickness_mm is not None or self.box:
            return self.finished()
        if not self._runs:
            return self.finished() if self.corners else replace(self, corners=(self.at,))
        if self.corners and math.dist(self.at, self.corners[-1]) < outlines.SHORTEST_EDGE_MM:
            enough = len(self.corners) >= (2 if self.shape == "plate" else 3)
            return self.finished() if enough else self
        if self.closes(reach_mm):
            return self.finished()
        return replace(self, corners=(*self.corners, self.at), typed="")

    def closes(self, reach_mm: float) -> bool:
        """Whether it points at the first corner of an outline that can be closed."""
        return (
            self.shape == "outline"
            and len(self.corners) >= 3
            and self.at is not None
            and math.dist(self.at, self.corners[0]) <= reach_mm
        )

    def finished(self) -> OpenOutline:
        """Done, or on to the thickness of a plate.

        Raises InvalidInput where it makes no outline yet.
        """
        if self.shape == "plate" and self.thickness_mm is None:
            if len(self.corners) < 2:
                raise _refused("expected two corners or more of the plate's line")
            return replace(self, thickness_mm=FIRST_THICKNESS_MM, typed="")
        ended = self if not self._runs or self.box else replace(self, at=None)
        ended.outline()
        return replace(ended, done=True)

    def back(self) -> OpenOutline:
        """One step back: what was typed, the thickness, or the last corner."""
        if self.typed:
            return replace(self, typed=self.typed[:-1])
        if self.thickness_mm is not None:
            return replace(self, thickness_mm=None)
        return replace(self, corners=self.corners[:-1], box=False)

    def types(self, text: str) -> OpenOutline | None:
        """What was typed and one character more; None where it belongs to no length."""
        fits = text in _TYPED or (self.typed != "" and text in _TYPED_AFTER)
        if not text or not fits or (text in " ;" and not self.typed):
            return None
        return replace(self, typed=self.typed + text)

    def entered(self, unit: Unit) -> OpenOutline:
        """What was typed put in: a place as ``out; up``, a length, a diameter or a thickness.

        A length goes from the last corner the way that the open outline points.  Raises
        LengthError or InvalidInput, with one line, where it cannot be put in.
        """
        values = [parse_length(part, unit) for part in self.typed.split(";") if part.strip()]
        clear = replace(self, typed="")
        if len(values) == 2 and self.thickness_mm is None:
            return replace(clear, at=(values[0], values[1])).put()
        if len(values) != 1:
            raise LengthError(
                f'expected one length, or out; up such as 350; 240, got "{self.typed}"'
            )
        (value,) = values
        if self.thickness_mm is not None:
            return replace(clear, thickness_mm=value).finished()
        if not self.corners or self.at is None:
            raise LengthError("expected out; up for the first corner, such as 350; 240")
        start, away = self.corners[-1], math.dist(self.corners[-1], self.at)
        if not self._runs:
            rim = (start[0] + 0.5 * value, start[1])
            return replace(clear, at=rim).finished()
        if away < outlines.SHORTEST_EDGE_MM:
            raise LengthError("expected the open outline to point the way that the length goes")
        share = value / away
        end = (
            round(start[0] + share * (self.at[0] - start[0]), 4),
            round(start[1] + share * (self.at[1] - start[1]), 4),
        )
        return replace(clear, at=end).put()

    def outline(self) -> Outline:
        """The outline as far as it is drawn, the open outline's place included.

        Raises InvalidInput where that makes none.
        """
        run = self.run
        if self.shape == "plate":
            return outlines.plate(run, self.thickness_mm or FIRST_THICKNESS_MM)
        if not self._runs:
            if len(run) < 2:
                raise _refused("expected a centre and a rim")
            if self.shape == "hole":
                return outlines.with_hole(self.within, run[0], self.diameter_mm)
            return outlines.circle(run[0], self.diameter_mm)
        if self.box:
            if len(run) < 2:
                raise _refused("expected two opposite corners")
            return outlines.rectangle(run[0], run[1])
        if len(run) < 3:
            raise _refused("expected three corners or more")
        if not shapely.Polygon(run).is_valid:
            raise _refused(CROSSES)
        return run

    def drawn(self) -> Outline | None:
        """The same, or None where that makes none."""
        try:
            return self.outline()
        except InvalidInput:
            return None

    @property
    def problem(self) -> str:
        """What is wrong with the run so far, in words; empty where it may go on."""
        if not self._runs or self.box or self.thickness_mm is not None:
            return ""
        run = self.run
        if len(run) < 3 or shapely.LineString(run).is_simple:
            return ""
        ends_on_first = math.dist(run[0], run[-1]) < outlines.SHORTEST_EDGE_MM
        if ends_on_first and shapely.LineString(run[:-1]).is_simple:
            return ""
        return CROSSES

    @property
    def run(self) -> Outline:
        """The corners, and the place that the open outline points at as the next one."""
        if self.at is None or self.thickness_mm is not None:
            return self.corners
        if self.corners and math.dist(self.at, self.corners[-1]) < outlines.SHORTEST_EDGE_MM:
            return self.corners
        return (*self.corners, self.at)

    @property
    def diameter_mm(self) -> float:
        """Of a round thing in the making; 0 while it has no rim."""
        if self._runs or len(self.run) < 2:
            return 0.0
        # Two roundings of the places are not to show in the diameter.
        return round(2.0 * math.dist(self.run[0], self.run[1]), 1)

    @property
    def words(self) -> str:
        """What to do next, in one line."""
        if self.typed:
            return f"Typed: {self.typed}   Enter puts it in, Backspace takes one back."
        if self.thickness_mm is not None:
            return "Pull the thickness away from the line and click, or type it and press Enter."
        return (_GO_ON if self.corners else _BEGIN)[self.shape] + " Escape gives up."

    @property
    def _runs(self) -> bool:
        return self.shape in ("outline", "plate")


# Parts whose points a place can catch.
_CAUGHT = ("linkage", "hub", "inner_joint")


def catchable(scene: Scene, besides: str = "") -> tuple[FrontPoint, ...]:
    """Points that a place can catch: corners of brackets, and the points taken on the car.

    Those of the bracket or corner ``besides`` are left out.
    """
    corners = [
        corner
        for i, bracket in enumerate(scene.brackets)
        for j, corner in enumerate(bracket.outline)
        if besides not in (f"bracket[{i}]", f"bracket[{i}].outline[{j}]")
    ]
    points = (at for thing, _, at in scene.measured_points() if thing.part in _CAUGHT)
    return (*corners, *((out, up) for out, up, _ in points))


def square_places(outline: Sequence[FrontPoint], corner: int, to: FrontPoint) -> list[FrontPoint]:
    """Where a dragged corner makes right angles, near a place.

    That is level or plumb with a neighbour, or square between both.
    """
    before, after = outline[corner - 1], outline[(corner + 1) % len(outline)]
    level = [(to[0], before[1]), (before[0], to[1]), (to[0], after[1]), (after[0], to[1])]
    return [*level, outlines.square_corner(tuple(outline), corner, to)]


def _refused(message: str) -> InvalidInput:
    return invalid("outline", message)
