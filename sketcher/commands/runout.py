"""``runout``: whether the welded shaft runs true enough and came out at the right length."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from sketcher.answers.making import lacking_after_welding, measured_making
from sketcher.answers.verdict import Answered, cut_refusals
from sketcher.commands.answering import verdict_json
from sketcher.commands.making import MAKING_OPTIONS, told
from sketcher.commands.making_json import welded_json
from sketcher.commands.report_page import row, verdict_lines
from sketcher.words import welded as words
from sketcher.words.cautions import NEVER_HANGING
from sketcher.words.lengths import MM, Lengths

DESCRIPTION = """\
Say whether the welded shaft is good enough: from runout readings, its eccentricity and bend at
the splice, what unbalance is left at top speed and the grade of ISO 21940-11; and the finished
length against the length window. The scene tells of the readings: [[shafts.SIDE.runout]] with
at, tir and high_at, and shafts.SIDE.finished_length.
"""
EPILOG = """\
examples:
  sketcher runout --example van-front-making
exit code: 0 it fits, 1 do not cut or not sure enough, 2 the scene cannot be read or solved,
or lacks what is needed
"""
LOOK = (
    "Have the welds looked at and checked for cracks by a qualified welder or engineer before "
    "the shaft turns in a car; a true shaft can still have a bad weld."
)


OPTIONS = MAKING_OPTIONS


def run(arguments: argparse.Namespace) -> int:
    """Print how the welded shaft came out."""
    return told(arguments, lacking_after_welding, _page, as_json)


def _wrong(one: Answered, say: Lengths = MM) -> list[str]:
    """What is not good enough, or was measured and could not be judged."""
    making, made = measured_making(one.scene, one.side), one.made
    lines = []
    if making.runout and made.trueness is None:
        why = "; ".join(cut_refusals(made, say)) or "the cut plan does not work out"
        lines.append(f"the readings cannot be judged: {why}")
    if making.finished_length is not None and made.finished is None:
        lines.append("the finished length cannot be judged: no length is right, see the report")
    return [*lines, *words.not_good_lines(made.trueness, made.finished, say)]


def _word(one: Answered) -> str:
    if _wrong(one):
        return "Not good enough: do not fit it."
    if one.made.trueness is None:
        return "Of the right length; nobody has read yet whether it runs true."
    if one.made.finished is None:
        return "Straight; nobody has measured yet how long it came out. The weld is not judged."
    return "Straight, and of the right length; the weld is not judged."


def _page(one: Answered, say: Lengths) -> Iterator[str]:
    true, finished = one.made.trueness, one.made.finished
    yield from verdict_lines(one, say)
    yield from row("welded shaft", _word(one))
    for line in _wrong(one, say):
        yield from row("NOT GOOD", line)
    if true is not None:
        runout, grade = true.judged
        yield from row("runout", words.judged_line(runout, say))
        yield from row("", words.expected_line(true.straight, say))
        if one.made.torque is not None:
            yield from row("", words.used_at_line(one.made.torque.governing_nm, true))
        yield from row("bend", words.bend_line(true.straight, say))
        yield from row("balance", words.judged_line(grade, say))
        yield from row("unbalance", words.unbalance_line(true))
    if finished is not None:
        yield from row("finished length", words.finished_line(finished, say))
    yield from row("caution", f"{LOOK} {NEVER_HANGING}")


def as_json(one: Answered) -> dict[str, Any]:
    """How one side's shaft came out; mm, degrees, g·mm."""
    wrong = _wrong(one)
    judged = {"verdict": verdict_json(one), "good_enough": not wrong, "broken": wrong}
    return judged | welded_json(one.made)
