"""One shaft, and everything that its shop sheet is made from."""

from __future__ import annotations

from dataclasses import dataclass

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
_OF_SHAFT = (
    *("swept_length_mm", "plunge_mm", "stroke_left_in_mm", "stroke_left_out_mm"),
    *("inner_angle_deg", "outer_angle_deg"),
)


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
        return shortened(brackets[index].name, LONGEST_NAME)


def swept_columns(corner: Corner, step_mm: float = STEP_MM["mm"]) -> dict[str, list[float]]:
    """The swept-length table, wheel straight ahead and gearbox at rest; mm and degrees.

    Columns by the names that they have in a table of results; travels out of reach are left
    out, and ``clearance_mm`` is NaN where there is nothing to touch.
    """
    motion = solve(corner.linkage, corner.hub, travel_steps(corner, step_mm))
    shaft = follow(corner, motion)
    columns = {name: getattr(shaft, name) for name in _OF_SHAFT}
    columns["travel_mm"] = motion.travel_mm
    columns["clearance_mm"] = corner_clearance(corner, motion, shaft).gap_mm
    seen = motion.in_reach & shaft.reaches
    return {name: values[seen].tolist() for name, values in columns.items()}
