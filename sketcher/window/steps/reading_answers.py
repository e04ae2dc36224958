"""What the readings say of the points, and what to read next, as far as it is worked out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from operator import attrgetter

from kinematics.sure.certainty import Certainty
from kinematics.sure.chance_next import NextForChance
from kinematics.sure.readings import Reading
from kinematics.sure.settling import Settled
from scenes.model import Scene, Side
from sketcher.answers.memo import Answer, Same, answered
from sketcher.answers.next_reading import PointsAnswer, next_for_chance, points_in_scene
from sketcher.answers.points import settle_scene
from sketcher.answers.shown import Shown
from sketcher.window.model.editor import Editor
from sketcher.words.certainty import SURE_ENOUGH
from sketcher.words.points import raising

_READINGS = "readings of the points"
_FOR_CHANCE = "read next for the chance"
_hangs_on = attrgetter("linkage", "hub", "left", "right", "marks", "readings", "tape", "brackets")


def settled_shown(editor: Editor) -> Settled | None:
    """The points by the readings as they are shown: with what is being typed, too."""
    scene = editor.document.standing
    if editor.tried_settled is not None or not scene.readings:
        return editor.tried_settled
    answer = points_answer(editor)
    if answer.problem:
        return None
    if answer.found is not None:
        found: PointsAnswer = answer.found
        return found.settled
    # The edit that came before has settled it already; only what to read next takes longer.
    settled: Settled | None = answered(partial(settle_scene, scene)).found
    return settled


def points_answer(editor: Editor) -> Answer:
    """The points by the readings, as far as that is worked out; the last while a drag lasts.

    What is only being typed is not in them.
    """
    scene = editor.document.standing
    if not scene.readings:
        return Answer()
    if editor.document.under_way:
        return Answer(editor.worker.latest(_READINGS))
    work = partial(points_in_scene, scene)
    return editor.worker.ask(_READINGS, _hangs_on(scene), work, soon=True)


def points_shown(editor: Editor) -> PointsAnswer | None:
    """The points by the readings, the last that were known while they are worked out anew."""
    answer = points_answer(editor)
    if answer.problem or not editor.document.standing.readings:
        return None
    found = answer.found or editor.worker.latest(_READINGS)
    return found if isinstance(found, PointsAnswer) else None


@dataclass(frozen=True, slots=True, eq=False)
class ForChance:
    """What to read next for the chance of one side's length, the best first."""

    side: Side
    readings: tuple[Reading, ...]
    sure: Certainty
    next: tuple[NextForChance, ...]

    @property
    def low(self) -> bool:
        """Whether the chance is what is low, so that this is told first."""
        return self.sure.chance < SURE_ENOUGH


def for_chance(editor: Editor, shown: Shown) -> ForChance | None:
    """What to read next for the chance of the side shown, the last while it is worked out anew."""
    scene, side = editor.document.standing, editor.side
    sure = None if shown.solved is None else shown.solved.certainty
    if scene.readings and sure is not None and not editor.document.trying:
        editor.worker.ask(_FOR_CHANCE, (Same(sure), side), partial(_for_chance, scene, side, sure))
    return chance_told(editor)


def chance_told(editor: Editor) -> ForChance | None:
    """The same, without asking for it."""
    found = editor.worker.latest(_FOR_CHANCE)
    if not isinstance(found, ForChance) or found.side != editor.side:
        return None
    return found if found.readings == editor.document.standing.readings else None


def best_reading(editor: Editor) -> Reading | None:
    """What to read next, were it one reading only: for the chance where that is low."""
    chance, found = chance_told(editor), points_shown(editor)
    if chance is not None and chance.low and chance.next:
        return chance.next[0].reading
    best = () if found is None else found.next.get(editor.side, ())
    return best[0].reading if best else None


def _for_chance(scene: Scene, side: Side, sure: Certainty) -> ForChance:
    return ForChance(side, scene.readings, sure, raising(sure, next_for_chance(scene, side, sure)))
