"""How far what is being drawn stays from the shaft, before it is a bracket."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kinematics.parts import Bracket, Corner
from scenes.keys import has, value_of
from sketcher.answers import corner_answers
from sketcher.answers.corner_answers import PoseGap
from sketcher.answers.shown import Shown
from sketcher.answers.states import State, room_state
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import bracket_key


@dataclass(frozen=True, slots=True)
class DrawnGap:
    """The gap at the pose, and the smallest over the travel, mm; None where nothing is met."""

    here: PoseGap | None = None
    least_mm: float | None = None

    @property
    def state(self) -> State:
        """How it stands at the worst of both."""
        if self.here is None:
            return "good"
        least = self.here.gap_mm if self.least_mm is None else self.least_mm
        return room_state(min(least, self.here.gap_mm), self.here.wanted_mm)


class DrawnGaps:
    """Both gaps of what is being drawn, one of them worked out anew in each frame."""

    def __init__(self) -> None:
        self.gap = DrawnGap()
        self._for: tuple[object, ...] = ()
        self._here_next = True
        self._stale: set[bool] = set()

    def look(self, editor: Editor, shown: Shown) -> DrawnGap:
        """The gap as far as it is worked out; it is whole once the hand rests for a frame."""
        corner = _corner_with(editor, shown)
        solved, pose = shown.solved, shown.pose
        if corner is None or solved is None or pose is None:
            self.gap, self._for = DrawnGap(), ()
            return self.gap
        asked = (corner.brackets, pose, solved.sweep)
        if asked != self._for:
            if not self._for:
                self.gap = DrawnGap()
            self._for, self._stale = asked, {True, False}
        if self._stale:
            here = self._here_next if len(self._stale) == 2 else self._stale == {True}
            self._stale.discard(here)
            self._here_next = not here
            if here:
                found = corner_answers.gaps_at(corner, solved.within, pose)
                self.gap = replace(self.gap, here=found[0] if found else None)
            else:
                (over,) = corner_answers.worst_gaps(corner, solved.sweep, (0,))
                self.gap = replace(self.gap, least_mm=None if over is None else over.worst.value)
        return self.gap


def _corner_with(editor: Editor, shown: Shown) -> Corner | None:
    """The corner with what is being drawn alone; None where there is nothing to meet.

    It counts as mounted on the body, at every depth; with a hole, as its bracket is.
    """
    open_outline, solved = editor.open_outline, shown.solved
    outline = None if open_outline is None else open_outline.drawn()
    if outline is None or open_outline is None or solved is None:
        return None
    like = Bracket("drawn", outline)
    base = bracket_key(editor.selection)
    if open_outline.shape == "hole" and has(editor.scene, base):
        like = replace(value_of(editor.scene, base), outline=outline)
    corner = replace(solved.corner, brackets=(like,))
    return corner if corner_answers.can_touch(corner) else None
