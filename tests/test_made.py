"""What is told of many ways to make one shaft: donors, splices, drives, lathes, readings at random.

Pinned from our own output: it proves nothing right, and shows at once that a change changes
something.  What ``cuts``, ``strength``, ``runout`` and ``donors`` print is held as a sum of its
words and one of its numbers; ``list(told(seed))`` with ``held`` left out shows the pages.
``python -m tests.test_made`` writes ``tests/pinned/made`` anew.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any, get_args

import numpy as np
import pytest

from kinematics.errors import InvalidInput, KinematicsError
from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.fixture import fixture
from kinematics.making.lathe import Lathe
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import STEELS
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from kinematics.shaft.whole_motion import Examination, examine, whole_motion
from kinematics.sure.certainty import Certainty, certainty
from kinematics.sure.tape import Tape
from scenes.library import example
from scenes.making import Making
from scenes.model import Scene
from sketcher.answers.making import lacking_for_cuts, lacking_for_strength
from sketcher.answers.making_work import made
from sketcher.answers.verdict import Answered
from sketcher.answers.workings import Workings
from sketcher.commands import cuts, donors, runout, strength
from sketcher.drawing.cut_view import cut_camera_at, cut_view
from sketcher.drawing.fixture_view import fixture_view
from sketcher.words.lengths import Lengths
from sketcher.words.units import Unit
from tests.drawn import laid
from tests.pinning import held, now_and_before, same, write_anew

BASE = example("van-front-making")
PAGES: tuple[Any, ...] = (cuts, strength, runout, donors)


@cache
def found() -> Examination:
    corner = BASE.corner("left")
    return examine(corner, 3.0, whole_motion(corner, 8.0, 9.0))


@cache
def chance() -> Certainty:
    """That of a tape which errs by a tenth of a mm."""
    return certainty(BASE.corner("left"), Tape(0.1), draws=300)


class Choices:
    """Choices that hang on a number."""

    def __init__(self, seed: int) -> None:
        self._rng = np.random.default_rng(seed)

    def between(self, low: float, high: float, digits: int = 1) -> float:
        return round(float(self._rng.uniform(low, high)), digits)

    def of(self, *values: Any) -> Any:
        return values[int(self._rng.integers(len(values)))]


def donor(one: Choices, name: str) -> Donor:
    edges = [one.between(12, 24)]
    for _ in range(3):
        edges.append(round(edges[-1] + one.between(6, 40), 1))
    end = one.between(235, 310)
    bar, kind = one.of(23.0, 25.0, 25.4, 28.0), one.of("bar", "boot", "groove", "spline")
    root = bar - 1.2 if kind in ("groove", "spline") else None
    datum = one.of(*edges[1:], one.between(edges[1], edges[3]))
    return Donor(
        one.of(end, round(end - one.between(0, 40), 1)),
        Datum(one.of("shoulder", "groove's edge"), datum),
        (
            Stretch("spline", edges[0], edges[1], bar + 1.0, "spline", bar - 1.0, 1.5),
            Stretch("neck", edges[1], edges[2], one.of(bar, bar - 0.5, bar + 3.0), radius=2.5),
            Stretch(kind, edges[2], edges[3], bar, kind, root, one.of(0.5, 2.0)),
            Stretch("bar", edges[3], end, bar),
        ),
        cut_twice=one.of(True, False),
        joint_comes_off=one.of(True, True, False),
        steel=one.of(*STEELS),
        name=name,
    )


def splice(one: Choices, bar: float) -> Splice:
    spigot = one.of(0.0, 0.0, 18.0, 30.0)
    butt = Butt(
        one.of(0.0, 30.0, 37.5),
        one.of(None, None, 3.0, 6.0),
        spigot,
        one.of(10.0, 14.0) if spigot else 0.0,
        one.of("hub", "gearbox"),
        one.of(0.05, 0.1),
    )
    thinner = one.of(None, None, round(bar - 1.0, 1))
    bore = round((thinner or bar) + one.of(0.02, 0.05, 0.05, 0.3), 2)
    sleeve = Sleeve(
        one.of(40.0, 75.0, 95.0),
        bore,
        round(bore + one.of(4.0, 10.0, 14.0), 2),
        one.of(None, None, one.between(150, 230)),
        one.of(0.05, 0.1),
        one.of(False, True),
        one.of(None, 2.0),
        one.of(*STEELS),
    )
    kind = one.of("both", "butt", "sleeve")
    return Splice(
        one.between(130, 250),
        None if kind == "sleeve" else butt,
        None if kind == "butt" else sleeve,
        root_gap=one.of(0.0, 1.5, 2.5),
        shrinkage=one.of(0.0, 0.6),
        diameter=thinner,
        trim=one.of(0.0, 3.0),
        clear=one.of(0.0, 10.0),
        turn_radius=one.of(0.5, 1.0, 3.0),
        filler_yield=one.of(300.0, 400.0),
        heat_treated_after=one.of(False, False, True),
    )


def scene(seed: int) -> Scene:
    """The example with its left shaft made in another way."""
    one = Choices(seed)
    hub, gearbox = donor(one, "first hub"), donor(one, "first gearbox")
    bar = min(hub.stretches[-1].diameter, gearbox.stretches[-1].diameter)
    turned = [
        Runout(one.between(60, 330), one.between(0.0, 0.3, 2), one.of(None, one.between(0, 360)))
        for _ in range(one.of(0, 1, 2, 3))
    ]
    making = Making(
        hub_donor=hub,
        gearbox_donor=gearbox,
        splice=splice(one, bar),
        runout=tuple(turned),
        finished_length=one.of(None, found().length_mm + one.between(-9, 9, 2)),
    )
    if one.of(True, False):
        others = replace(making.hub_others, donors=(replace(donor(one, "other hub")),))
        making = replace(making, hub_others=replace(others, place=one.of(0, 1)))
    drive = Drive(
        one.between(20, 130),
        one.of(1.0, 1.5, 3.6),
        3.8,
        one.between(200, 420),
        one.between(250, 330),
        one.of(60.0, 110.0, 190.0),
        one.of(0.5, 0.5, 1.0),
        one.of(1.0, 2.0),
        one.of(0.7, 1.0),
    )
    limits = ((150, 700), (60, 300), (40, 200), (18, 60))
    sizes = [one.of(None, one.between(low, high)) for low, high in limits]
    return replace(
        BASE,
        left_making=making,
        drive=one.of(None, drive, drive),
        lathe=one.of(None, Lathe(*sizes), Lathe(*sizes)),
    )


def pictured(plan: CutPlan, *, sure: bool) -> Iterator[str]:
    """What the drawings of a plan are made of, and where it lies."""
    for unit, scale in zip(get_args(Unit), (0.5, 0.2), strict=True):
        camera = cut_camera_at(plan, scale, 190.0)
        for picture in (
            cut_view(plan, camera, unit, "1:2", sure=sure),
            fixture_view(plan, fixture(plan), scale, 190.0, unit, sure=sure)[0],
        ):
            # Where words have no room, which are as wide as a library has them, they give way.
            yield from laid(one for one in picture if _is_to_scale(one.role))


def _is_to_scale(role: str) -> bool:
    return not role.startswith(("dimension", "label", "note", "faint"))


def told(seed: int) -> Iterator[str]:
    try:
        drawn = scene(seed)
    except (InvalidInput, ValueError) as error:
        yield f"{seed}: {error}"
        return
    try:
        works = Workings(made(drawn, "left", found()), chance() if seed % 5 else None)
        one = Answered(drawn, "left", found(), works)
    except KinematicsError as error:
        yield f"{seed}: {error}"
        return
    yield f"{seed}: lacks {lacking_for_cuts(drawn, 'left')} {lacking_for_strength(drawn, 'left')}"
    yield f"  {one.verdict().line}"
    plan = one.made.plan
    if plan is not None and plan.possible and seed % 2 == 0:
        yield f"  pictured {held(pictured(plan, sure=seed % 4 == 0))}"
    for page in PAGES:
        name = page.__name__.rpartition(".")[2]
        for unit in get_args(Unit):
            yield f"  {name} {unit} {held(page._page(one, Lengths(unit)))}"
        as_json = getattr(page, "as_json", None) or page._as_json
        yield f"  {name} {held([json.dumps(as_json(one), indent=0)])}"


@pytest.mark.parametrize("first", range(0, 120, 12))
def test_what_is_told_of_a_shaft_is_as_it_was(first: int) -> None:
    lines = (line for seed in range(first, first + 12) for line in told(seed))
    said, was = now_and_before(f"made/{first}", lines)
    assert len(said) == len(was)
    for line, before in zip(said, was, strict=True):
        assert line == before or same(line, before), line


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
