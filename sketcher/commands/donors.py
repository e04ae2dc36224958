"""``donors``: every hub donor with every gearbox donor, the best pair first."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from kinematics.making.ranking import DonorPair
from sketcher.answers.making import lacking_for_cuts
from sketcher.answers.making_work import ranked
from sketcher.answers.verdict import Answered
from sketcher.commands.answering import verdict_json
from sketcher.commands.making import MAKING_OPTIONS, told
from sketcher.commands.report_page import row, verdict_lines
from sketcher.words.donor_pairs import cost_lines, pair_words, verdict_words
from sketcher.words.lengths import Lengths
from sketcher.words.plain import picked

DESCRIPTION = """\
Rank all pairs of donors that the scene lists: whether a pair can be made, what has to be turned
off, which joints stay on, the weakest place, and what length is left over; of a pair that is
refused, why. More than one donor of an end is a list of tables, [[shafts.SIDE.donors.hub]] or
[[shafts.SIDE.donors.gearbox]], each with a name; [shafts.SIDE.donors] use = ["…", "…"] picks the
hub donor and the gearbox donor that everything else is answered for.
"""
EPILOG = """\
examples:
  sketcher donors --example van-front-making
exit code: 0 it fits with the donors in use, 1 do not cut or not sure enough, 2 the scene cannot
be read or solved, or lacks what is needed
"""

OPTIONS = MAKING_OPTIONS


def run(arguments: argparse.Namespace) -> int:
    """Print the pairs."""
    return told(arguments, lacking_for_cuts, _page, _as_json)


def _page(one: Answered, say: Lengths) -> Iterator[str]:
    pairs = ranked(one.scene, one.side, one.found)
    count = "1 pair" if len(pairs) == 1 else f"{len(pairs)} pairs"
    yield from verdict_lines(one, say)
    yield ""
    yield f"{count.upper()} OF DONORS for {say.place(one.found.length_mm)}"
    for number, pair in enumerate(pairs, 1):
        yield ""
        yield from row(f"{number}", f"{pair_words(pair)}: {verdict_words(pair)}")
        for line in cost_lines(pair, say):
            yield from row("", line)


def _as_json(one: Answered) -> dict[str, Any]:
    pairs = ranked(one.scene, one.side, one.found)
    return {"verdict": verdict_json(one), "pairs": [*map(_pair_json, pairs)]}


def _pair_json(pair: DonorPair) -> dict[str, Any]:
    """One pair's figures; mm, cm³."""
    weakest = None if pair.strength is None else pair.strength.weakest
    plan = pair.plan
    return {
        "hub": pair.hub.name,
        "gearbox": pair.gearbox.name,
        **picked(pair, "possible", "holds"),
        "diameter_mm": None if plan is None else plan.diameter_mm,
        **picked(pair, "turned_off_cm3", "joints_on"),
        "weakest": weakest and {"name": weakest.name, "factor": weakest.factor_of_safety},
        "left_over_mm": None if plan is None else pair.left_over_mm,
        "because": list(cost_lines(pair)),
    }
