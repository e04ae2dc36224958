"""What is shown for a scene at one position."""

from __future__ import annotations

from dataclasses import dataclass

from kinematics.linkage.reach import Reach
from kinematics.parts import Bracket, Corner
from kinematics.shaft.whole_motion import Examination
from kinematics.sure.certainty import Certainty
from kinematics.vectors import Array
from scenes.model import Side
from sketcher.answers.corner_answers import Outlines, PoseGap, Sweep
from sketcher.answers.pose import Pose


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """One corner as far as it is worked out.

    ``exact`` says whether ``found`` is over the whole motion, every mm and degree, or
    over the sweep's positions only.  ``gap_mm`` has the sweep's shape and is None
    where nothing can touch.  ``uncertain`` says why there is no ``certainty``, where there
    can be none.
    """

    side: Side
    corner: Corner
    within: Reach
    ride: Pose
    sweep: Sweep
    found: Examination
    exact: bool
    gap_mm: Array | None
    envelope: Outlines
    certainty: Certainty | None = None
    uncertain: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What the window shows: the last good picture, and what is wrong since, if anything.

    ``solved`` and ``pose`` are None only where no scene was ever good.  ``problem``
    is one line about the scene, or the position, that was asked for; what is shown
    then is the last that was good.  ``gaps`` are those of each bracket at the pose.
    ``closes`` is False where the linkage cannot take what was asked for.  ``outdated`` is
    one line about why the scene is older than its file, if it is.
    """

    solved: Solved | None
    pose: Pose | None
    problem: str = ""
    gaps: tuple[PoseGap, ...] = ()
    closes: bool = True
    outdated: str = ""


def nearest_gap(shown: Shown) -> tuple[float, float, str] | None:
    """The smallest gap at the pose, the gap wanted there, and the bracket's name."""
    if shown.solved is None or not shown.gaps:
        return None
    nearest = min(shown.gaps, key=lambda gap: gap.gap_mm - gap.wanted_mm)
    brackets: tuple[Bracket, ...] = shown.solved.corner.brackets
    if nearest.bracket >= len(brackets):
        return None
    return (nearest.gap_mm, nearest.wanted_mm, brackets[nearest.bracket].name)
