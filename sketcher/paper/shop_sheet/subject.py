"""One shaft, and everything that its shop sheet is made from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kinematics.linkage.motion import solve
from kinematics.parts import Corner
from kinematics.shaft.following import follow
from kinematics.shaft.fouling import corner_clearance
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import travel_steps
from sketcher.answers.verdict import Answered, Verdict
from sketcher.paper.shop_sheet.amounts import Amounts, amounts
from sketcher.words import answer as wording
from sketcher.words.plain import shortened
from sketcher.words.units import MM_PER_INCH, Unit

STEP_MM: dict[Unit, float] = {"mm": 10.0, "in": 0.5 * MM_PER_INCH}
# More brackets than this are numbered in the drawing, and the clearances say which is which.
MOST_NAMES, LONGEST_NAME = 8, 24


@dataclass(frozen=True, slots=True)
class SweptRow:
    """The shaft at one travel, wheel straight ahead and gearbox at rest; mm and degrees.

    ``gap_mm`` is None where there is nothing to touch.
    """

    travel_mm: float
    swept_length_mm: float
    plunge_mm: float
    stroke_left_in_mm: float
    stroke_left_out_mm: float
    inner_angle_deg: float
    outer_angle_deg: float
    gap_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Subject(Answered):
    """One side's shaft with its answer, and the unit that its pages are in."""

    unit: Unit = "mm"

    @property
    def say(self) -> Amounts:
        """How its pages say lengths."""
        return amounts(self.unit)

    @property
    def told(self) -> Verdict:
        """The verdict, its lengths as the pages say them."""
        return self.verdict(self.say)

    def place(self, position: Position) -> str:
        """A position in few words."""
        return wording.place(position, self.scene, self.unit)

    def bracket_name(self, index: int) -> str:
        """What the drawing calls a bracket, short enough for many of them to be told apart."""
        brackets = self.scene.brackets
        if len(brackets) > MOST_NAMES:
            return f"{index + 1}"
        name = brackets[index].name
        return shortened(name, LONGEST_NAME)


def swept_rows(corner: Corner, step_mm: float = STEP_MM["mm"]) -> tuple[SweptRow, ...]:
    """The swept-length table straight ahead; travels out of reach are left out."""
    motion = solve(corner.linkage, corner.hub, travel_steps(corner, step_mm))
    shaft = follow(corner, motion)
    gaps = corner_clearance(corner, motion, shaft).gap_mm

    def rows() -> Iterator[SweptRow]:
        for index in np.flatnonzero(motion.in_reach & shaft.reaches):
            gap = float(gaps[index])
            yield SweptRow(
                travel_mm=float(motion.travel_mm[index]),
                swept_length_mm=float(shaft.swept_length_mm[index]),
                plunge_mm=float(shaft.plunge_mm[index]),
                stroke_left_in_mm=float(shaft.stroke_left_in_mm[index]),
                stroke_left_out_mm=float(shaft.stroke_left_out_mm[index]),
                inner_angle_deg=float(shaft.inner_angle_deg[index]),
                outer_angle_deg=float(shaft.outer_angle_deg[index]),
                gap_mm=gap if np.isfinite(gap) else None,
            )

    return tuple(rows())
