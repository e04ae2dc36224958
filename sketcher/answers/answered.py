"""One side's shaft with everything that is known of it, and the verdict on it."""

from __future__ import annotations

from dataclasses import dataclass, field

from kinematics.parts import Corner
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import Examination
from scenes.model import Scene, Side
from sketcher.answers.making import Made
from sketcher.answers.verdict import Verdict, verdict
from sketcher.answers.workings import Workings
from sketcher.words import answer as wording
from sketcher.words.lengths import MM, Lengths


@dataclass(frozen=True, slots=True, eq=False)
class Answered:
    """One side's shaft: its answer over the whole motion, and what stands behind it."""

    scene: Scene
    side: Side
    found: Examination
    workings: Workings = field(default_factory=Workings)

    @property
    def corner(self) -> Corner:
        """The corner of the car that the shaft is for."""
        return self.scene.corner(self.side)

    @property
    def made(self) -> Made:
        """What the scene tells of making the shaft."""
        return self.workings.made

    def verdict(self, say: Lengths = MM) -> Verdict:
        """Whether to cut, why, and what was not looked at."""
        return verdict(self.scene, self.side, self.found, self.workings, say)

    def place(self, position: Position) -> str:
        """A position in few words."""
        return wording.place(position, self.scene)
