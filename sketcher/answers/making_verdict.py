"""What of a shaft's making breaks a limit, and the one line that says so."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.shaft.whole_motion import Examination
from sketcher.answers.making import Made
from sketcher.words import answer as wording
from sketcher.words.cuts import refusal_line
from sketcher.words.lengths import MM, Lengths
from sketcher.words.strength import weak_lines, whirl_line
from sketcher.words.welded import not_good_lines


def cut_refusals(made: Made, say: Lengths = MM) -> Iterator[str]:
    """What speaks against the cut plan."""
    if made.problem:
        yield made.problem
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
    """What of the welded shaft is not good enough."""
    yield from not_good_lines(made.trueness, made.finished, say)


def making_broken(made: Made, say: Lengths = MM) -> list[str]:
    """Everything of the making that breaks a limit, in words."""
    refused = [f"cut plan: {line}" for line in cut_refusals(made, say)]
    weak = [f"strength: {line}" for line in too_weak(made)]
    welded = [f"after welding: {line}" for line in not_good_enough(made, say)]
    return [*refused, *weak, *welded]


def verdict(found: Examination, made: Made, say: Lengths = MM) -> str:
    """One line that says whether the shaft can be cut, its making looked at too."""
    told = wording.verdict(found, say.unit)
    if wording.broken_lines(found):
        return told
    length = wording.length_words(found, say.unit)
    if any(cut_refusals(made, say)):
        return f"Do not cut at {length}: the cut plan does not work out."
    if any(too_weak(made)):
        return f"Do not cut at {length}: the spliced shaft is too weak."
    if any(not_good_enough(made, say)):
        return f"Do not fit the welded shaft: it is not good enough. {told}"
    return told
