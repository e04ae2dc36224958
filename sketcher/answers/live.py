"""What is shown for a scene at one position, kept while it holds.

What the hand moves is worked out in every frame, its gaps included.  The sweep, the gaps
over it and the envelope take turns, one in a frame, so that no frame waits for all of
them; the answer over the whole motion is worked out beside the frames once the hand is
still.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial

from kinematics.errors import KinematicsError
from kinematics.linkage.reach import Reach
from kinematics.parts import DEFAULT_MARGIN, Bracket, Corner, Hub, Linkage
from kinematics.shaft.whole_motion import Examination
from kinematics.shaft.whole_motion import Gap as WorstGap
from kinematics.sure.certainty import Certainty
from kinematics.vectors import Array
from scenes.model import Scene, Side
from sketcher.answers import solving
from sketcher.answers.pose import Pose
from sketcher.answers.solving import Outlines, Poses, Sweep
from sketcher.drawing.bracket_view import Gap
from sketcher.words.answer import unreachable_line

# Brackets whose worst gap over the sweep is found in one turn.
AT_A_TURN = 6


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """One corner as far as it is worked out.

    ``exact`` says whether ``found`` is over the whole motion, every mm and degree, or
    over the sweep's positions only.  ``gap_mm`` has the sweep's shape and is None
    where nothing can touch.
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


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What the window shows: the last good picture, and what is wrong since, if anything.

    ``solved`` and ``pose`` are None only where no scene was ever good.  ``problem``
    is one line about the scene, or the position, that was asked for; what is shown
    then is the last that was good.  ``gaps`` are those of each bracket at the pose.
    ``closes`` is False where the linkage cannot take what was asked for.
    """

    solved: Solved | None
    pose: Pose | None
    problem: str = ""
    gaps: tuple[Gap, ...] = ()
    closes: bool = True


@dataclass(slots=True)
class _Kept:
    """The last that was good of each part, and what it was worked out for."""

    linkage: tuple[Linkage, Hub] | None = None
    within: Reach | None = None
    poses: Poses | None = None
    poses_for: object = None
    pose: Pose | None = None
    sweep: Sweep | None = None
    sweep_for: Corner | None = None
    gaps: tuple[Gap, ...] = ()
    gaps_for: object = None
    gap_mm: Array | None = None
    gap_mm_for: tuple[object, object] | None = None
    worst: tuple[WorstGap | None, ...] = ()
    worst_for: tuple[object, ...] = ()
    envelope: Outlines = ()
    envelope_for: Corner | None = None
    whole: Examination | None = None
    whole_for: Corner | None = None
    certainty: Certainty | None = None
    certainty_for: object = None
    solved: Solved | None = None
    solved_from: object = None


@dataclass(frozen=True, slots=True)
class _Whole:
    """The answer over the whole motion, under way."""

    asked: Corner
    work: Future[Examination]


@dataclass(frozen=True, slots=True)
class _Chance:
    """How sure it is, under way."""

    asked: object
    work: Future[Certainty]


_Work = _Whole | _Chance


class Live:
    """Works out what is shown, a part at a time, and keeps the last that was good."""

    def __init__(self, margin_mm: float = DEFAULT_MARGIN) -> None:
        self.margin_mm = margin_mm
        self._kept = _Kept()
        self._turn = 0
        self._problem = ""
        self._refused = False
        self._asked: tuple[Scene, Side] | None = None
        self._corner: Corner | None = None
        self._moving: Corner | None = None
        self._pool: ThreadPoolExecutor | None = None
        self._working: _Work | None = None

    def forget(self) -> None:
        """Start afresh with another document."""
        self._kept = _Kept()
        self._asked = self._corner = None
        self._problem, self._refused = "", False

    def show(
        self,
        scene: Scene,
        side: Side,
        travel_mm: float,
        steer_deg: float,
        *,
        exact: bool = False,
        pose_only: bool = False,
    ) -> Shown:
        """The scene at a position; never raises for a scene that makes no working linkage.

        ``exact`` works out everything at once, the answer over the whole motion
        included; ``pose_only`` leaves the parts that take turns as they are.
        """
        kept = self._kept
        self._take_work()
        problem = self._look_at(scene, side, travel_mm, steer_deg)
        corner = self._corner
        if corner is None or kept.within is None:
            return Shown(kept.solved, kept.pose, problem, kept.gaps, closes=False)
        problem = problem or self._pose(corner, travel_mm, steer_deg)
        closes = not problem
        if exact:
            while self._take_turn(corner):
                pass
            self._finish(corner)
        elif kept.sweep is None or not pose_only:
            self._take_turn(corner)
        problem = problem or self._problem
        if not problem and kept.pose is not None and kept.pose.shaft is None:
            problem = f"shafts.{side}.length: {TOO_SHORT}"
        return Shown(self._solved(side, corner), kept.pose, problem, kept.gaps, closes)

    @property
    def pending(self) -> bool:
        """Whether there is a part that has not had its turn, or an answer under way."""
        return self._working is not None or (
            self._corner is not None and bool(self._stale(self._corner))
        )

    @property
    def exact(self) -> bool:
        """Whether the answer shown is over the whole motion."""
        return self._corner is not None and self._kept.whole_for == self._corner

    @property
    def weighing(self) -> bool:
        """Whether the chance of the length is being worked out."""
        return isinstance(self._working, _Chance)

    def answer_beside(self, *, rested: bool = True) -> None:
        """Begin to work out, beside the frames, what takes longer than one.

        First the answer over the whole motion; then, once the hand has ``rested``, how
        sure it is by the tape's errors.
        """
        corner, within = self._corner, self._kept.within
        if corner is None or within is None or self._working is not None or self._asked is None:
            return
        if self._problem or self._stale(corner):
            return
        if not self.exact:
            work = self._worker.submit(solving.whole_answer, corner, within, self.margin_mm)
            self._working = _Whole(corner, work)
        elif (
            rested
            and self._kept.certainty_for != (corner, self._asked[0].tape)
            and not self._unreachable
        ):
            (scene, side), margin = self._asked, self.margin_mm
            chance = self._worker.submit(solving.chance, corner, scene.tape, side, margin)
            self._working = _Chance((corner, scene.tape), chance)

    @property
    def _worker(self) -> ThreadPoolExecutor:
        if self._pool is None:
            self._pool = ThreadPoolExecutor(1, thread_name_prefix="answer")
        return self._pool

    @property
    def _unreachable(self) -> bool:
        whole = self._kept.whole
        return whole is None or bool(whole.unreachable)

    def close(self) -> None:
        """Let go of the worker."""
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)

    def _take_work(self) -> None:
        """Take over what was worked out beside the frames, if it is still what is asked for."""
        working, kept = self._working, self._kept
        if working is None or not working.work.done():
            return
        self._working = None
        if isinstance(working, _Chance):
            kept.certainty_for = working.asked
            kept.certainty = None if working.work.exception() else working.work.result()
        else:
            self._keep_whole(working.asked, working.work.result)

    def _keep_whole(self, corner: Corner, answer: Callable[[], Examination]) -> None:
        """Keep the answer over the whole motion, or what is wrong with it."""
        kept = self._kept
        kept.whole, kept.whole_for = None, corner
        try:
            kept.whole = answer()
        except KinematicsError as error:
            if corner is self._corner:
                self._problem = solving.lines_of(error)

    def _look_at(self, scene: Scene, side: Side, travel_mm: float, steer_deg: float) -> str:
        """Take over another scene, if it makes a working linkage; what is wrong otherwise."""
        if self._asked is not None and self._asked[0] is scene and self._asked[1] == side:
            return self._problem if self._corner is None or self._refused else ""
        self._asked = (scene, side)
        self._problem, self._refused = "", False
        kept = self._kept
        try:
            corner = scene.corner(side)
            linkage = (corner.linkage, corner.hub)
            bare = _bare(corner)
            same = self._moving is not None and bare == self._moving
            asked = (self._moving, travel_mm, steer_deg)
            poses = kept.poses if same and kept.poses_for == asked else None
            if poses is None:
                within = kept.within if kept.linkage == linkage else None
                poses = solving.poses(corner, within, travel_mm, steer_deg)
        except KinematicsError as error:
            self._problem, self._refused = solving.lines_of(error), True
            return self._problem
        kept.linkage, kept.within = linkage, poses.motion.reach
        # Kept as it is while only brackets change, so that parts are told apart by identity.
        if not same:
            self._moving = bare
        kept.poses, kept.poses_for = poses, (self._moving, travel_mm, steer_deg)
        self._corner = corner
        return ""

    def _pose(self, corner: Corner, travel_mm: float, steer_deg: float) -> str:
        kept = self._kept
        asked = (self._moving, travel_mm, steer_deg)
        assert kept.within is not None
        if kept.poses is None or kept.poses_for != asked:
            kept.poses = solving.poses(corner, kept.within, travel_mm, steer_deg)
            kept.poses_for = asked
        if kept.poses.here is None:
            return self._out_of_reach(travel_mm)
        kept.pose = kept.poses.here
        if kept.gaps_for != (kept.poses, corner.brackets):
            kept.gaps_for = (kept.poses, corner.brackets)
            here = kept.poses.motion.at(1)
            kept.gaps = solving.gaps_at(corner, kept.within, kept.pose, kept.poses.ride, here)
        return ""

    def _stale(self, corner: Corner) -> list[Callable[[Corner], None]]:
        """The parts that were worked out for something else, in the order of their turns."""
        kept = self._kept
        bare = self._moving
        stale: list[Callable[[Corner], None]] = []
        if kept.sweep_for is not bare:
            stale.append(self._do_sweep)
        if solving.can_touch(corner):
            if not stale and kept.gap_mm_for != (corner.brackets, bare):
                stale.append(self._do_gap_curve)
            late = [
                i
                for i, bracket in enumerate(corner.brackets)
                if i >= len(kept.worst_for) or kept.worst_for[i] != (bracket, bare)
            ]
            for first in range(0, len(late), AT_A_TURN):
                some = late[first : first + AT_A_TURN]
                stale.append(partial(self._do_worst_gaps, indices=some))
        if kept.envelope_for is not bare:
            stale.append(self._do_envelope)
        return stale

    def _take_turn(self, corner: Corner) -> bool:
        """Let one stale part have its turn; whether there was one."""
        stale = self._stale(corner)
        if not stale:
            self._turn = 0
            return False
        turn, self._turn = self._turn, self._turn + 1
        # While the linkage moves, every part is stale in every turn: they go round.
        (stale[0] if self._kept.sweep is None else stale[turn % len(stale)])(corner)
        return True

    def _do_sweep(self, corner: Corner) -> None:
        kept = self._kept
        assert kept.within is not None
        kept.sweep_for = self._moving
        try:
            kept.sweep = solving.sweep(corner, kept.within, self.margin_mm)
        except KinematicsError as error:
            self._problem = solving.lines_of(error)
        else:
            self._problem = ""
            if solving.can_touch(corner):
                # Its curve among the plots is as old as the others.
                self._do_gap_curve(corner)

    def _do_gap_curve(self, corner: Corner) -> None:
        kept = self._kept
        if kept.sweep is not None:
            kept.gap_mm = solving.gap_curve(corner, kept.sweep)
            kept.gap_mm_for = (corner.brackets, kept.sweep_for)

    def _do_worst_gaps(self, corner: Corner, indices: Sequence[int]) -> None:
        kept = self._kept
        if kept.sweep is None:
            return
        count = len(corner.brackets)
        worst = list((*kept.worst, *(None,) * count)[:count])
        worst_for = list((*kept.worst_for, *(None,) * count)[:count])
        found = solving.worst_gaps(corner, kept.sweep, indices)
        for index, one in zip(indices, found, strict=True):
            worst[index] = one
            worst_for[index] = (corner.brackets[index], kept.sweep_for)
        kept.worst, kept.worst_for = tuple(worst), tuple(worst_for)

    def _do_envelope(self, corner: Corner) -> None:
        kept = self._kept
        assert kept.within is not None
        kept.envelope = solving.envelope_outlines(corner, kept.within)
        kept.envelope_for = self._moving

    def _finish(self, corner: Corner) -> None:
        kept = self._kept
        if kept.whole_for == corner or self._problem or kept.within is None:
            return
        within = kept.within
        self._keep_whole(corner, lambda: solving.whole_answer(corner, within, self.margin_mm))

    def _solved(self, side: Side, corner: Corner) -> Solved | None:
        kept = self._kept
        if kept.sweep is None or kept.poses is None or kept.within is None:
            return kept.solved
        whole = kept.whole if kept.whole_for == corner else None
        asked = (corner, None if self._asked is None else self._asked[0].tape)
        sure = kept.certainty if kept.certainty_for == asked else None
        touch = solving.can_touch(corner)
        gap_mm = kept.gap_mm if touch else None
        if gap_mm is not None and gap_mm.shape != kept.sweep.motion.travel_mm.shape:
            gap_mm = None
        worst = kept.worst if touch else ()
        made_from = (
            side, corner, kept.poses.ride, kept.sweep, gap_mm, worst, kept.envelope, whole, sure
        )  # fmt: skip
        before = kept.solved_from
        if isinstance(before, tuple) and all(
            a is b for a, b in zip(before, made_from, strict=True)
        ):
            return kept.solved
        kept.solved = Solved(
            side=side,
            corner=corner,
            within=kept.within,
            ride=kept.poses.ride,
            sweep=kept.sweep,
            found=whole
            or replace(kept.sweep.found, gaps=tuple(one for one in worst if one is not None)),
            exact=whole is not None,
            gap_mm=gap_mm,
            envelope=kept.envelope,
            certainty=sure,
        )
        kept.solved_from = made_from
        return kept.solved

    def _out_of_reach(self, travel_mm: float) -> str:
        kept = self._kept
        if kept.sweep is not None:
            for beyond in kept.sweep.found.unreachable:
                return unreachable_line(beyond)
        assert kept.within is not None
        reason = kept.within.lowest_reason if travel_mm < 0 else kept.within.highest_reason
        return f"travel {travel_mm:+.0f} mm is out of reach: {reason}".replace("-", "−")


TOO_SHORT = "the shaft is too short to reach from the outer joint to the housing axis"


def _bare(corner: Corner) -> Corner:
    """The corner without its brackets: what decides how the shaft moves."""
    return replace(corner, brackets=()) if corner.brackets else corner


def nearest_gap(shown: Shown) -> tuple[float, float, str] | None:
    """The smallest gap at the pose, the gap wanted there, and the bracket's name."""
    if shown.solved is None or not shown.gaps:
        return None
    nearest = min(shown.gaps, key=lambda gap: gap.gap_mm - gap.wanted_mm)
    brackets: tuple[Bracket, ...] = shown.solved.corner.brackets
    if nearest.bracket >= len(brackets):
        return None
    return (nearest.gap_mm, nearest.wanted_mm, brackets[nearest.bracket].name)
