"""``cuts``: where to cut two donors, what to turn and bore, and in which order."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS
from kinematics.making.fixture import V_ANGLE_DEG, fixture
from sketcher.answers.making import lacking_for_cuts
from sketcher.answers.making_work import on_the_lathe
from sketcher.answers.verdict import Answered, cut_refusals
from sketcher.commands.answering import verdict_json
from sketcher.commands.making import MAKING_OPTIONS, told
from sketcher.commands.making_json import plan_json
from sketcher.commands.report_page import REPORT_WIDTH, row, verdict_lines
from sketcher.words import answer as wording
from sketcher.words import cuts
from sketcher.words.cautions import NOT_SURE
from sketcher.words.cut_steps import WELDING, step_lines
from sketcher.words.fixture import fixture_rows
from sketcher.words.lathe import lathe_further, lathe_line
from sketcher.words.lengths import Lengths

DESCRIPTION = """\
Say how to cut two donor shafts for one: which end goes first and why, each cut from something
that a tape can be held against, what to turn and bore, the order of work, and how far the
length may come out wrong. The scene tells of donors and splice:
[shafts.SIDE.donors.hub], [shafts.SIDE.donors.gearbox], [shafts.SIDE.splice].
"""
EPILOG = """\
examples:
  sketcher cuts --example van-front-making
  sketcher cuts my-van.toml --side left --length 390.5 --units in
exit code: 0 it fits, 1 do not cut or not sure enough, 2 the scene cannot be read or solved,
or lacks what the plan needs
"""

OPTIONS = MAKING_OPTIONS
# A line across the page that nobody reads past.
_CROSSED = f" {NOT_SURE.upper()} ".center(REPORT_WIDTH, "/")


def run(arguments: argparse.Namespace) -> int:
    """Print the cut plan."""
    return told(arguments, lacking_for_cuts, _page, as_json)


def _page(one: Answered, say: Lengths) -> Iterator[str]:
    plan, told = one.made.plan, one.verdict(say)
    yield from verdict_lines(one, say)
    if plan is None:
        return
    if told.forbids:
        yield from row("order of work", "none, before everything above is put right")
        return
    before = (*_before(plan, say), *_on_the_lathe(one, plan, say))
    yield from _part("BEFORE THE FIRST CUT", before)
    head = f"FIXTURE for the welder, V-blocks of {V_ANGLE_DEG:g}°"
    yield from _part(head, fixture_rows(fixture(plan), say), sure=told.fits)
    yield from _part("CUTS", _rows(plan, say), sure=told.fits)
    yield ""
    yield "ORDER OF WORK"
    if not told.fits:
        yield _CROSSED
    for number, step in enumerate(step_lines(plan, say), 1):
        yield from _folded(f"{number:>3}  ", step.text)
        if step.caution:
            yield from _folded("     ! ", step.caution)


def _part(head: str, rows: Iterable[tuple[str, str]], *, sure: bool = True) -> Iterator[str]:
    """A part of the page under its heading."""
    yield ""
    yield head
    if not sure:
        yield _CROSSED
    for name, text in rows:
        yield from row(name, text)


def _before(plan: CutPlan, say: Lengths) -> Iterator[tuple[str, str]]:
    """What has to be true, or is to be got ready, before a saw touches a donor."""
    yield "caution", WELDING
    for end in ENDS:
        yield f"{end} datum", cuts.datum_line(plan, end, say)
    yield "sleeve's fit", cuts.fit_line(plan, say)
    yield "tolerance", cuts.tolerance_line(plan, say)


def _rows(plan: CutPlan, say: Lengths) -> Iterator[tuple[str, str]]:
    yield "cut first", cuts.first_line(plan, say)
    for end in (plan.first, *(end for end in ENDS if end != plan.first)):
        yield f"{end} donor", cuts.cut_line(plan, end, say)
        yield "", cuts.turning_line(plan, end, say)
    yield "sleeve", cuts.sleeve_line(plan, say)
    yield "comes to", cuts.closure_line(plan, say)


def _on_the_lathe(one: Answered, plan: CutPlan, say: Lengths) -> Iterator[tuple[str, str]]:
    for work in on_the_lathe(one.scene, one.side, plan):
        yield f"lathe, {work.end}", lathe_line(work, say)
        for text in lathe_further(work, one.scene.lathe, say):
            yield "", text


def _folded(lead: str, text: str) -> list[str]:
    return textwrap.wrap(
        text,
        REPORT_WIDTH,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_on_hyphens=False,
    )


def as_json(one: Answered) -> dict[str, Any]:
    """One side's cut plan; lengths in mm, angles in degrees."""
    told = one.verdict()
    plan = None if told.forbids else one.made.plan
    works = () if plan is None else on_the_lathe(one.scene, one.side, plan)
    return {
        "verdict": verdict_json(one),
        "length_mm": one.found.length_mm,
        "length_window_mm": one.found.right_mm,
        "can_be_cut": told.fits,
        "broken": wording.broken_lines(one.found, one.scene.steering),
        "refused": list(cut_refusals(one.made)),
        **({} if plan is None else plan_json(plan)),
        "fixture": None if plan is None else asdict(fixture(plan)),
        "lathe": [asdict(work) | {"fits": work.fits} for work in works],
    }
