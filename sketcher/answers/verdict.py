"""One answer for a side: whether to cut, why, and what nobody looked at.

It is made here and nowhere else, from everything that the scene knows, and shown by
window, commands, sheet and JSON alike.  What a state means, the gravest first:

* ``do not cut``                a limit is broken, the car contradicts the points, no length
  fits, or a donor refuses the plan
* ``not sure enough``           nothing is broken, but what is known is too little
* ``fits as far as looked at``  nothing speaks against it, but something was left out
* ``fits by what was measured`` nothing was left out; the car still has the last word
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from kinematics.parts import Corner, GearboxMovement
from kinematics.shaft.mount_room import MountRoom
from kinematics.shaft.whole_motion import Examination
from scenes.guessed import guessed_values, tally
from scenes.model import Scene, Side
from sketcher.answers.making import Made
from sketcher.answers.workings import Workings
from sketcher.words import answer as wording
from sketcher.words import certainty as chances
from sketcher.words import points as readings
from sketcher.words.cuts import refusal_line
from sketcher.words.guesses import guess_words
from sketcher.words.lengths import MM, Lengths
from sketcher.words.plain import listed, sentence
from sketcher.words.strength import unknown_lines, weak_lines, whirl_line
from sketcher.words.units import in_unit
from sketcher.words.welded import finished_line, not_good_lines

VerdictState = Literal[
    "do not cut", "not sure enough", "fits as far as looked at", "fits by what was measured"
]
TRY_IT = "try it in the car before cutting"


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer: its state, one line, the reasons for it, and what was not looked at."""

    state: VerdictState
    line: str
    because: tuple[str, ...] = ()
    not_looked_at: tuple[str, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether nothing that is known speaks against it."""
        return self.state.startswith("fits")

    @property
    def forbids(self) -> bool:
        """Whether nothing may be cut: no cut order, no saw mark, no finished dimension."""
        return self.state == "do not cut"


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


@dataclass(frozen=True, slots=True)
class _Reason:
    """Why not: in a few words for the one line, and in a sentence."""

    brief: str
    sentence: str


def verdict(
    scene: Scene, side: Side, found: Examination, works: Workings, say: Lengths = MM
) -> Verdict:
    """The answer for one side's shaft of the length that was examined."""
    left_out = [*_left_out(scene, side)]
    length = wording.length_words(found, say.unit)
    named = length if found.length_given else f"the ride-centred {length}"

    state: VerdictState
    reasons = [*_against(scene, found, works, say, named)]
    if reasons:
        state, line = "do not cut", f"Do not cut{reasons[0].brief}."
        # Of points that are drawn elsewhere than they were read, no limit is known to be broken.
        reasons += _drawn_off(scene, works, say)
    elif doubts := [*_doubts(scene, side, works, say)]:
        state, reasons = "not sure enough", doubts
        line = f"Not sure enough to cut at {named}: {doubts[0].brief}."
    else:
        state, line = "fits by what was measured", f"{named} fits by what was measured; {TRY_IT}."
        if left_out:
            missing = listed([one.brief for one in left_out])
            state = "fits as far as looked at"
            line = f"{named} fits as far as looked at, which leaves out {missing}; {TRY_IT}."
        line = line if found.length_given else f"No length yet: {line}"
        reasons = [_Reason("", holds) for holds in _for_it(scene, found, works, say)]
    because = tuple(dict.fromkeys(_sentence(one.sentence) for one in reasons))
    return Verdict(state, line, because, tuple(_sentence(one.sentence) for one in left_out))


def _sentence(text: str) -> str:
    return sentence(text.removesuffix("."))


def _against(
    scene: Scene, found: Examination, works: Workings, say: Lengths, named: str
) -> Iterator[_Reason]:
    """What forbids cutting, the car's own word first."""
    if works.trial is not None and not works.trial.agrees:
        yield _Reason(": the car contradicts the points", chances.agreement(works.trial, say.unit))
    if works.settled is not None and not works.settled.agree:
        brief = "the readings contradict one another"
        yield _Reason(f": {brief}", f"{brief}: more than one seems misread; read them again")
    if found.unreachable:
        brief = ": part of the travel or steering asked for is out of reach"
    elif found.window is not None and found.window.empty:
        brief = ": no length keeps the margin at both ends of the stroke"
    else:
        count = len(found.broken)
        brief = f" at {named}: {'a limit is' if count == 1 else f'{count} limits are'} broken"
    for line in wording.broken_at(found, say.unit, lambda at: wording.place(at, scene, say.unit)):
        yield _Reason(brief, line)
    # Out of reach, nothing else was looked at over the whole motion.
    if not found.unreachable:
        yield from _of_making(works.made, say, named)


def _of_making(made: Made, say: Lengths = MM, named: str = "") -> Iterator[_Reason]:
    """What of the making breaks a limit."""
    for line in cut_refusals(made, say):
        yield _Reason(f" at {named}: the cut plan does not work out", f"cut plan: {line}")
    for line in too_weak(made):
        yield _Reason(f" at {named}: the spliced shaft is too weak", f"strength: {line}")
    for line in not_good_enough(made, say):
        brief = ": the welded shaft is not good enough, do not fit it"
        yield _Reason(brief, f"after welding: {line}")


def _doubts(scene: Scene, side: Side, works: Workings, say: Lengths) -> Iterator[_Reason]:
    """What leaves the answer less than sure enough."""
    for problem in (works.trial_problem, works.settled_problem):
        if problem:
            brief = "what was measured on the car could not be compared"
            said = readings.unmet_words(problem, list(scene.points), say.unit)
            yield _Reason(brief, f"{brief}: {said}")
    settled = works.settled
    if settled is not None and settled.suspicious is not None:
        said = readings.suspicious_words(settled, list(scene.points), say.unit)
        yield _Reason(f"reading {settled.suspicious + 1} seems misread", said)
    else:
        yield from _drawn_off(scene, works, say)
    guesses, values = tally(scene, side)
    if guesses:
        be = "is" if guesses == 1 else "are"
        brief = f"{guesses} of {values} values {be} still the starting sketch's"
        named = guess_words(scene, guessed_values(scene, side))
        yield _Reason(brief, f"{brief}: {named}")
    if scene.gearbox_placement not in (None, MountRoom()):
        brief = "the gearbox mounts are only tacked"
        why = "[gearbox.placement] leaves room, and the length hangs on where they are welded"
        yield _Reason(brief, f"{brief}: {why}")
    yield from _chance_doubts(scene, works, say)
    found = works.made.strength
    for line in () if found is None else unknown_lines(found):
        yield _Reason("how far welding softens the steel is not known", f"strength: {line}")
    finished = works.made.finished
    if finished is not None and finished.verdict == "doubtful":
        said = f"after welding: finished length {finished_line(finished, say)}"
        yield _Reason("the finished length has to be measured again", said)


def _drawn_off(scene: Scene, works: Workings, say: Lengths) -> Iterator[_Reason]:
    settled = works.settled
    if settled is not None and settled.drawn_off_mm > readings.SETTLED_MM:
        off = readings.drawn_off_words(settled, list(scene.points), say.unit)
        yield _Reason("points are not where their readings put them", f"not settled: {off}")


def _chance_doubts(scene: Scene, works: Workings, say: Lengths) -> Iterator[_Reason]:
    sure = works.certainty
    if sure is None:
        yield _Reason("the chance is not known", "the chance by tape error is not known")
        return
    if sure.misread is not None:
        misread = chances.misread_words(sure.misread, say.unit)
        yield _Reason("a measured position looks misread", misread)
    least = min(sure.chance, sure.angles_chance)
    # Written so that a chance that is not known is too small.
    if not least >= chances.SURE_ENOUGH:
        brief = f"chance {chances.percent(least, sure.draws)} {chances.ALONE}"
        wanted = f"wanted {100 * chances.SURE_ENOUGH:.0f} % or more"
        said = (chances.short_chance(sure), _assumed(scene, works, say), wanted)
        yield _Reason(brief, "; ".join(filter(None, said)))
        for one in readings.raising(sure, works.next_for_chance)[:1]:
            paths = list(scene.points)
            yield _Reason(brief, readings.next_for_chance_words(one, sure, say.unit, paths))


def _assumed(scene: Scene, works: Workings, say: Lengths) -> str:
    """What is assumed of the tape; nothing where all points are as sure as their readings."""
    if works.settled is not None and all(one.rests for one in works.settled.points):
        return ""
    return chances.assumed_words(scene.tape, say.unit)


def _for_it(scene: Scene, found: Examination, works: Workings, say: Lengths) -> Iterator[str]:
    """What was looked at, and holds."""
    holds = "every limit holds" if found.gaps else "stroke and joint angles hold"
    yield f"{holds} over the whole motion"
    if works.certainty is not None:
        chance = chances.short_chance(works.certainty)
        yield "; ".join(filter(None, (chance, _assumed(scene, works, say), chances.NOT_IN_IT)))
    if works.trial is not None:
        yield chances.agreement(works.trial, say.unit)
    if strong_enough(works.made):
        yield "the spliced shaft holds on paper with sound welds"


def _left_out(scene: Scene, side: Side) -> Iterator[_Reason]:
    """What the scene leaves out, and how it would say that there is none of it."""
    shaft = scene.shaft(side)
    steers = scene.steering is not None
    moves = scene.gearbox_movement != GearboxMovement() or "gearbox.movement" in scene.none_of
    shrinks = shaft is None or bool(shaft.inner_joint.stroke_at_angle)
    for given, name, otherwise in (
        (steers, "steering", "[steering] with locks of 0 says that it does not steer"),
        (moves, "gearbox movement", "[gearbox.movement] of 0 says: solid mounts"),
        (shrinks, "stroke at an angle", "one row of stroke_at_angle says: it stays"),
    ):
        if not given:
            yield _Reason(name, f"{name} was not given; {otherwise}")
    if not scene.brackets and "bracket" not in scene.none_of:
        said = "brackets were not given; bracket = [] says that nothing stands near"
        yield _Reason("brackets", said)
    elif scene.brackets and shaft is not None and not shaft.sections:
        said = f"gaps were not looked at; the shaft has no [[shafts.{side}.section]]"
        yield _Reason("gaps", said)
    for name, value in (("bump", scene.travel.bump), ("droop", scene.travel.droop)):
        if value == 0.0:
            yield _Reason(f"{name} travel", f"{name} travel is 0; no {name} was looked at")


def cut_refusals(made: Made, say: Lengths = MM) -> Iterator[str]:
    """What speaks against the cut plan."""
    if made.problem:
        yield in_unit(made.problem, say.unit)
    if made.plan is not None:
        for refusal in made.plan.refusals:
            yield refusal_line(made.plan, refusal, say)


def too_weak(made: Made) -> Iterator[str]:
    """What of strength and whirl does not hold."""
    if made.strength is not None:
        yield from weak_lines(made.strength)
    if made.whirl is not None and not made.whirl.holds:
        yield f"it would whirl: {whirl_line(made.whirl)}"


def strong_enough(made: Made) -> bool:
    """Whether strength is known, beside the welds too, and holds."""
    found = made.strength
    return found is not None and not found.unknown_beside_weld and not any(too_weak(made))


def not_good_enough(made: Made, say: Lengths = MM) -> Iterator[str]:
    """What of the welded shaft is not good enough; a length to be measured again is no fault."""
    finished = made.finished
    doubtful = finished is not None and finished.verdict == "doubtful"
    yield from not_good_lines(made.trueness, None if doubtful else finished, say)


def making_broken(made: Made) -> list[str]:
    """Everything of the making that breaks a limit, in words."""
    return [one.sentence for one in _of_making(made)]
