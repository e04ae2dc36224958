"""What is shown for a scene at one position, each part kept while it holds.

What the hand moves is worked out in every frame, its gaps included.  The sweep, the gaps
over it and the envelope take turns, one in a frame, so that no frame waits for all of
them; the answer over the whole motion is left to the worker once the hand is still.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from kinematics.linkage.reach import Reach
from kinematics.parts import DEFAULT_MARGIN, Corner
from kinematics.shaft.whole_motion import Examination, WorstGap
from kinematics.vectors import Array
from scenes.model import Scene, Side
from sketcher.answers import corner_answers
from sketcher.answers.corner_answers import Outlines, Poses, Sweep
from sketcher.answers.memo import Answer, Memo, Same, answered
from sketcher.answers.pose import Pose
from sketcher.answers.shown import Shown, Solved
from sketcher.answers.sure import certainty_in_scene
from sketcher.answers.worker import Worker
from sketcher.words.answer import unreachable_line

# One and the same: what is kept is told from what is new by what it is, not by what it says.
_UNASKED = Answer()
# Brackets whose worst gap over the sweep is found in one turn.
AT_A_TURN = 6


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """What is asked for, once it makes a working linkage.

    ``moving`` is the corner without its brackets, which decides how the shaft moves; it
    stays the same thing while only brackets change.
    """

    scene: Scene
    side: Side
    corner: Corner
    moving: Corner
    within: Reach

    @property
    def weighed(self) -> tuple[object, ...]:
        """What the chance of the length hangs on."""
        scene = self.scene
        return (self.corner, scene.tape, scene.marks, scene.readings)


class Answers:
    """Works out what is shown, a part at a time, and keeps the last that was good.

    A part that fails is kept as failed for what it was asked, and what is wrong with it
    is told; the last that was good of it stays on show.
    """

    def __init__(self, margin_mm: float = DEFAULT_MARGIN, worker: Worker | None = None) -> None:
        self.margin_mm = margin_mm
        self.worker = worker or Worker()
        self._memo = Memo()
        self._turn = 0

    def forget(self) -> None:
        """Start afresh with another document."""
        self._memo.forget()
        self.worker.forget()

    def close(self) -> None:
        """Let go of the worker."""
        self.worker.close()

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
        memo = self._memo
        self.worker.take()
        looked = memo.ask(
            "scene", (Same(scene), side), lambda: self._look_at(scene, side, travel_mm, steer_deg)
        )
        asked = self._asked
        if asked is None:
            return Shown(None, None, looked.problem, closes=False)
        problem = looked.problem or self._stand_at(asked, travel_mm, steer_deg)
        closes = not problem
        if closes:
            problem = self._gaps_here(asked).problem
        if exact:
            while self._take_turn(asked):
                pass
            self._finish(asked)
        elif memo.last("sweep") is None or not pose_only:
            self._take_turn(asked)
        pose: Pose | None = memo.last("pose")
        problem = problem or self._problem(asked)
        if not problem and pose is not None and pose.shaft is None:
            problem = f"shafts.{side}.length: {TOO_SHORT}"
        return Shown(self._solved(asked), pose, problem, memo.last("gaps") or (), closes)

    @property
    def pending(self) -> bool:
        """Whether there is a part that has not had its turn, or an answer under way."""
        if self.worker.under_way("whole motion") or self.weighing:
            return True
        asked = self._asked
        return asked is not None and bool(self._stale(asked))

    @property
    def exact(self) -> bool:
        """Whether the answer over the whole motion is known, or why there is none."""
        asked = self._asked
        return asked is not None and self._whole(asked) is not None

    @property
    def weighing(self) -> bool:
        """Whether the chance of the length is being worked out."""
        return self.worker.under_way("chance")

    def work_on(self, seconds: float, *, rested: bool = True) -> None:
        """Have the worker go on with what takes longer than a frame.

        First the answer over the whole motion; then, once the hand has ``rested``, how
        sure it is by the tape's errors.
        """
        asked = self._asked
        if asked is not None and not self._stale(asked):
            self._ask_worker(asked)
        self.worker.go_on(seconds, rested=rested)

    def _ask_worker(self, asked: _Asked) -> None:
        corner, margin_mm = asked.corner, self.margin_mm
        whole = self._whole(asked)
        if whole is None:
            if not self._problem(asked):
                work = partial(corner_answers.whole_answer, corner, asked.within, margin_mm)
                self.worker.ask("whole motion", corner, work, soon=True)
        elif whole.found is not None and not whole.found.unreachable:
            weigh = partial(certainty_in_scene, asked.scene, asked.side, margin_mm)
            self.worker.ask("chance", asked.weighed, weigh)

    @property
    def _asked(self) -> _Asked | None:
        asked: _Asked | None = self._memo.last("scene")
        return asked

    def _look_at(self, scene: Scene, side: Side, travel_mm: float, steer_deg: float) -> _Asked:
        """Take over another scene; raises KinematicsError where it makes no working linkage."""
        memo, corner = self._memo, scene.corner(side)
        linkage = (corner.linkage, corner.hub)
        bare = replace(corner, brackets=()) if corner.brackets else corner
        before = self._asked
        moving = before.moving if before is not None and before.moving == bare else bare
        position = (moving, travel_mm, steer_deg)
        poses = memo.answer("poses", position)
        if poses is None or poses.found is None:
            reach = memo.answer("reach", linkage)
            within: Reach | None = None if reach is None else reach.found
            poses = Answer(corner_answers.poses(corner, within, travel_mm, steer_deg))
            memo.put("poses", position, poses)
        found: Poses = poses.found
        memo.put("reach", linkage, Answer(found.motion.reach))
        return _Asked(scene, side, corner, moving, found.motion.reach)

    def _stand_at(self, asked: _Asked, travel_mm: float, steer_deg: float) -> str:
        """Put the wheel at a position; what is wrong with it, if anything."""
        work = partial(corner_answers.poses, asked.corner, asked.within, travel_mm, steer_deg)
        answer = self._memo.ask("poses", (asked.moving, travel_mm, steer_deg), work)
        if answer.problem:
            return answer.problem
        found: Poses = answer.found
        if found.here is None:
            before: Pose | None = self._memo.last("pose")
            if before is None or before.points.keys() != found.ride.points.keys():
                # Another kind of linkage, whose points the last good pose does not have.
                self._memo.put("pose", found.ride, Answer(found.ride))
            return self._out_of_reach(asked, travel_mm)
        self._memo.put("pose", found, Answer(found.here))
        return ""

    def _gaps_here(self, asked: _Asked) -> Answer:
        """Each bracket's gap at the pose, which was found."""
        corner, found = asked.corner, self._memo.last("poses")
        work = partial(corner_answers.gaps_at, corner, asked.within, found.here, found.motion.at(1))
        return self._memo.ask("gaps", (found, corner.brackets), work)

    # The parts that take turns.

    def _known(self, asked: _Asked) -> dict[object, Answer | None]:
        """The answer of each part for what is asked, None where it has not had its turn."""
        corner, moving = asked.corner, asked.moving
        keys: dict[object, object] = dict.fromkeys(("sweep", "envelope", "swept answer"), moving)
        sweep = self._memo.answer("sweep", moving)
        if corner_answers.can_touch(corner) and (sweep is None or not sweep.problem):
            keys["gap curve"] = (corner.brackets, moving)
            for index, bracket in enumerate(corner.brackets):
                keys["worst gap", index] = (bracket, moving)
        return {name: self._memo.answer(name, key) for name, key in keys.items()}

    def _stale(self, asked: _Asked) -> list[Callable[[_Asked], None]]:
        """What still has to be worked out for what is asked, in the order of the turns."""
        known = self._known(asked)
        late, sweep = [name for name, one in known.items() if one is None], known["sweep"]
        stale: list[Callable[[_Asked], None]] = [self._do_sweep] if sweep is None else []
        if "gap curve" in late and sweep is not None:
            stale.append(self._do_gap_curve)
        worst = [name[1] for name in late if isinstance(name, tuple)]
        for first in range(0, len(worst), AT_A_TURN):
            some = worst[first : first + AT_A_TURN]
            stale.append(partial(self._do_worst_gaps, indices=some))
        if "envelope" in late:
            stale.append(self._do_envelope)
        if "swept answer" in late and (sweep is None or not sweep.problem):
            stale.append(self._do_swept_answer)
        return stale

    def _problem(self, asked: _Asked) -> str:
        """What is wrong with a part of what is asked, or with its whole motion."""
        known = (*self._known(asked).values(), self._whole(asked))
        return next((one.problem for one in known if one is not None and one.problem), "")

    def _take_turn(self, asked: _Asked) -> bool:
        """Let one stale part have its turn; whether there was one."""
        stale = self._stale(asked)
        if not stale:
            self._turn = 0
            return False
        turn, self._turn = self._turn, self._turn + 1
        # While the linkage moves, every part is stale in every turn: they go round.
        first = self._memo.last("sweep") is None
        (stale[0] if first else stale[turn % len(stale)])(asked)
        if first:
            self._do_swept_answer(asked)
        return True

    def _do_sweep(self, asked: _Asked) -> None:
        work = partial(corner_answers.sweep, asked.moving, asked.within)
        if self._memo.ask("sweep", asked.moving, work).found is not None:
            # Its curve among the plots is as old as the others.
            self._do_gap_curve(asked)

    def _do_swept_answer(self, _: _Asked) -> None:
        sweep: Sweep | None = self._memo.last("sweep")
        if sweep is not None:
            work = partial(corner_answers.swept_answer, sweep, self.margin_mm)
            self._memo.ask("swept answer", sweep.corner, work)

    def _do_envelope(self, asked: _Asked) -> None:
        work = partial(corner_answers.envelope_outlines, asked.corner, asked.within)
        self._memo.ask("envelope", asked.moving, work)

    def _do_gap_curve(self, asked: _Asked) -> None:
        # Gaps are found over the latest sweep, and kept as what holds for it.
        corner, sweep = asked.corner, self._memo.last("sweep")
        if sweep is not None and corner_answers.can_touch(corner):
            work = partial(corner_answers.gap_curve, corner, sweep)
            self._memo.ask("gap curve", (corner.brackets, sweep.corner), work)

    def _do_worst_gaps(self, asked: _Asked, indices: Sequence[int]) -> None:
        corner, sweep = asked.corner, self._memo.last("sweep")
        if sweep is None:
            return
        answer = answered(partial(corner_answers.worst_gaps, corner, sweep, indices))
        for place, index in enumerate(indices):
            one = answer if answer.problem else Answer(answer.found[place])
            self._memo.put(("worst gap", index), (corner.brackets[index], sweep.corner), one)

    # The answer as a whole.

    def _whole(self, asked: _Asked) -> Answer | None:
        """The answer over the whole motion, from wherever it was worked out."""
        by_worker = self.worker.answer("whole motion", asked.corner)
        return by_worker or self._memo.answer("whole motion", asked.corner)

    def _finish(self, asked: _Asked) -> None:
        if self._whole(asked) is None and not self._problem(asked):
            work = partial(corner_answers.whole_answer, asked.corner, asked.within, self.margin_mm)
            self._memo.ask("whole motion", asked.corner, work)

    def _solved(self, asked: _Asked) -> Solved | None:
        memo, corner = self._memo, asked.corner
        sweep: Sweep | None = memo.last("sweep")
        poses: Poses | None = memo.last("poses")
        over_sweep: Examination | None = memo.last("swept answer")
        if sweep is None or over_sweep is None or poses is None:
            before: Solved | None = memo.last("solved")
            return before
        whole = self._whole(asked)
        found: Examination | None = None if whole is None else whole.found
        sure = self.worker.answer("chance", asked.weighed) or _UNASKED
        touch = corner_answers.can_touch(corner)
        gap_mm: Array | None = memo.last("gap curve") if touch else None
        if gap_mm is not None and gap_mm.shape != sweep.motion.travel_mm.shape:
            gap_mm = None
        places = range(len(corner.brackets) if touch else 0)
        worst: list[WorstGap | None] = [memo.last(("worst gap", place)) for place in places]
        envelope: Outlines = memo.last("envelope") or ()
        fixed = (asked.side, corner, poses.ride, sweep, over_sweep, gap_mm, envelope, found, sure)
        key = tuple(map(Same, (*fixed, *worst)))

        def put_together() -> Solved:
            gaps = tuple(one for one in worst if one is not None)
            return Solved(
                side=asked.side,
                corner=corner,
                within=asked.within,
                ride=poses.ride,
                sweep=sweep,
                found=found or replace(over_sweep, gaps=gaps),
                exact=found is not None,
                gap_mm=gap_mm,
                envelope=envelope,
                certainty=sure.found,
                uncertain=sure.problem,
            )

        solved: Solved = memo.ask("solved", key, put_together).found
        return solved

    def _out_of_reach(self, asked: _Asked, travel_mm: float) -> str:
        over_sweep: Examination | None = self._memo.last("swept answer")
        if over_sweep is not None:
            for beyond in over_sweep.unreachable:
                return unreachable_line(beyond)
        within = asked.within
        reason = within.lowest_reason if travel_mm < 0 else within.highest_reason
        return f"travel {travel_mm:+.0f} mm is out of reach: {reason}".replace("-", "−")


TOO_SHORT = "the shaft is too short to reach from the outer joint to the housing axis"
