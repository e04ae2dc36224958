"""What a picture is of: one side of a scene at a position, worked out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kinematics.making.cut_plan import CutPlan
from scenes.model import Scene, Side
from sketcher.answers.kept import Answers
from sketcher.answers.making import lacking_for_cuts
from sketcher.answers.pose import Pose
from sketcher.answers.position_values import PositionValue, position_values
from sketcher.answers.shown import Shown, Solved, nearest_gap
from sketcher.answers.verdict import Answered, Verdict
from sketcher.answers.workings import workings
from sketcher.drawing.readout import position_words
from sketcher.drawing.style import Theme
from sketcher.words.lengths import Lengths
from sketcher.words.plain import Refused
from sketcher.words.units import Unit


@dataclass(frozen=True, eq=False)
class PictureSubject:
    """What is drawn: one side of a scene at a position where everything is worked out."""

    scene: Scene
    side: Side
    travel_mm: float
    steer_deg: float
    unit: Unit
    theme: Theme
    shown: Shown
    solved: Solved
    pose: Pose

    @classmethod
    def of(
        cls,
        scene: Scene,
        side: Side,
        travel_mm: float,
        steer_deg: float,
        *,
        unit: Unit = "mm",
        theme: Theme = "light",
    ) -> PictureSubject:
        """Work out everything at a position.

        Raises Refused where that position cannot be drawn.
        """
        shown = Answers().show(scene, side, travel_mm, steer_deg, exact=True)
        if shown.solved is None or shown.pose is None or shown.problem:
            raise Refused(shown.problem or "the sketch cannot be drawn")
        return cls(scene, side, travel_mm, steer_deg, unit, theme, shown, shown.solved, shown.pose)

    @property
    def position(self) -> str:
        """Where the wheel is, in words."""
        steer_deg = self.steer_deg if self.scene.steers else None
        return position_words(self.travel_mm, steer_deg, self.unit)

    @cached_property
    def values(self) -> tuple[PositionValue, ...]:
        """What holds at that position."""
        return position_values(self.shown, self.unit, nearest_gap(self.shown))

    @cached_property
    def answered(self) -> Answered:
        """The side drawn, with all that its verdict is made from."""
        found = self.solved.found
        return Answered(self.scene, self.side, found, workings(self.scene, self.side, found))

    @cached_property
    def told(self) -> Verdict:
        """The verdict on the side drawn."""
        return self.answered.verdict(Lengths(self.unit))

    @property
    def lacking(self) -> tuple[str, ...]:
        """The tables of the scene that the cuts need and that are not there."""
        return lacking_for_cuts(self.scene, self.side)

    @property
    def cut_plan(self) -> CutPlan:
        """How the shaft is cut.

        Raises Refused where the scene does not tell, or the shaft must not be cut.
        """
        if self.lacking:
            raise Refused(f"--what cuts: the scene has no {', '.join(self.lacking)}")
        plan, told = self.answered.made.plan, self.told
        if told.forbids or plan is None:
            raise Refused(f"--what cuts: {told.line} {' '.join(told.because)}")
        return plan
