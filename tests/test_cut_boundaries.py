"""Each threshold that refuses a cut plan, or a shaft: just inside it holds, just outside not."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import Any

import pytest

from kinematics.making.balance import trueness
from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.pieces import Layer, ShaftPiece
from kinematics.making.planning import plan_cuts
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import steel_named
from kinematics.making.straightness import Runout, straightness
from kinematics.making.strength import strength
from kinematics.making.torsion import shear_stress_mpa
from kinematics.making.whirl import Whirl
from kinematics.parts import Section

LENGTH, AT = 380.0, 190.0
# Half the butt weld at the surface: 30° through all of a bar of 25.
HALF = 12.5 * math.tan(math.radians(30))
TUBE = Sleeve(60, 25.05, 36, at=AT, split=True)


def donor(*stretches: Stretch, usable_to: float = 300.0) -> Donor:
    listed = stretches or (Stretch("bar", 20, 300, 25),)
    return Donor(usable_to, Datum("mark", 10), listed)


def plan(splice: Splice | None = None, hub: Donor | None = None, **other: Any) -> CutPlan:
    splice = splice or Splice(at=AT, butt=Butt())
    hub = hub or donor()
    both = {"hub": hub, "gearbox": other.pop("gearbox", hub)}
    return plan_cuts(both["hub"], both["gearbox"], splice, LENGTH, **other)


def sleeved(**changes: Any) -> Splice:
    butt = changes.pop("butt", None)
    return Splice(at=AT, butt=butt, sleeve=dataclasses.replace(TUBE, **changes), diameter=25)


def up_to_a_groove(end: float) -> Donor:
    return donor(Stretch("g", 20, end, 25, "groove", root=23), Stretch("bar", end, 300, 25))


def up_to_a_collar(end: float) -> Donor:
    return donor(Stretch("collar", 20, end, 30), Stretch("bar", end, 300, 25))


def boot(low: float, high: float, thick: float = 40.0) -> list[Section]:
    return [Section("boot", low, high, (thick, thick))]


BOUNDARIES: dict[str, tuple[str, Callable[[float], CutPlan], float, float]] = {
    # What, its reason, the plan at a value, the last value that is good, the first that is not.
    "bar ends": ("donor too short", lambda x: plan(hub=donor(usable_to=x)), 190.0, 189.98),
    "bar begins": (
        "nothing known there",
        lambda x: plan(hub=donor(Stretch("bar", x, 300, 25))),
        AT - HALF - 0.01,
        AT - HALF + 0.01,
    ),
    # 60 mm of spigot want 61 mm of bore.
    "bore as deep as the bar is known": (
        "nothing known there",
        lambda x: plan(
            Splice(at=AT, butt=Butt(spigot_length=60, bore=12)),
            hub=donor(Stretch("bar", x, 300, 25)),
        ),
        AT - 61.01,
        AT - 60.99,
    ),
    "groove near the weld": (
        "weld or sleeve on",
        lambda x: plan(hub=up_to_a_groove(x)),
        AT - HALF - 10.01,
        AT - HALF - 9.99,
    ),
    "boot towards the hub": (
        "weld or sleeve under",
        lambda x: plan(sections=boot(100, x)),
        AT - HALF - 10.01,
        AT - HALF - 9.99,
    ),
    "boot towards the gearbox": (
        "weld or sleeve under",
        lambda x: plan(sections=boot(x, 300)),
        AT + HALF + 10.01,
        AT + HALF + 9.99,
    ),
    "outline as thick as the bar": (
        "weld or sleeve under",
        lambda x: plan(sections=boot(100, 300, x)),
        25.0,
        25.01,
    ),
    "bar to be turned": (
        "bar too thin",
        lambda x: plan(Splice(at=AT, butt=Butt(), diameter=x)),
        25.0,
        25.01,
    ),
    "loose sleeve": ("sleeve too loose", lambda x: plan(sleeved(bore=x)), 25.5, 25.51),
    "tight halves": ("sleeve too tight", lambda x: plan(sleeved(bore=x)), 25.0, 24.99),
    "tight tube": (
        "sleeve too tight",
        lambda x: plan(sleeved(bore=x, split=False)),
        25.0071,
        25.0069,
    ),
    # The next shorter length that a lathe is set to.
    "sleeve alone": ("sleeve misses the splice", lambda x: plan(sleeved(length=x)), 50.0, 49.95),
    "sleeve over a butt weld": (
        "sleeve misses the splice",
        lambda x: plan(sleeved(length=x, butt=Butt())),
        2 * HALF + 0.01,
        2 * HALF - 0.01,
    ),
    "room to slide the sleeve": (
        "nowhere to slide the sleeve",
        lambda x: plan(sleeved(split=False, butt=Butt()), up_to_a_collar(x)),
        AT - HALF - 30 - 60 - 0.01,
        AT - HALF - 30 - 60 + 0.01,
    ),
    "bore as large as the bar": (
        "bore too large",
        lambda x: plan(Splice(at=AT, butt=Butt(spigot_length=20, bore=x))),
        24.99,
        25.01,
    ),
    "bevel to the middle": (
        "bevel too deep",
        lambda x: plan(Splice(at=AT, butt=Butt(bevel_depth=x))),
        12.5,
        12.51,
    ),
    "bevel to the bore": (
        "bevel too deep",
        lambda x: plan(Splice(at=AT, butt=Butt(bevel_depth=x, spigot_length=20, bore=12))),
        6.5,
        6.51,
    ),
    "shortest length": (
        "outside the length window",
        lambda x: plan(window_mm=(x, 400)),
        LENGTH,
        LENGTH + 0.01,
    ),
    "longest length": (
        "outside the length window",
        lambda x: plan(window_mm=(300, x)),
        LENGTH,
        LENGTH - 0.01,
    ),
}


@pytest.mark.parametrize("name", BOUNDARIES)
def test_a_plan_is_refused_from_its_threshold_on(name: str) -> None:
    reason, at, good, bad = BOUNDARIES[name]
    assert reason not in {one.reason for one in at(good).refusals}
    assert reason in {one.reason for one in at(bad).refusals}


@pytest.mark.parametrize(("away", "diameter"), [(15.01, 25.0), (14.99, 24.0)])
def test_how_near_the_splice_a_thinner_bar_counts(away: float, diameter: float) -> None:
    step = AT - away
    hub = donor(Stretch("thin", 20, step, 24), Stretch("bar", step, 300, 25))
    assert plan(hub=hub, gearbox=donor()).diameter_mm == diameter


def test_trim_bore_and_turning_are_as_usual() -> None:
    thick = donor(Stretch("bar", 20, 300, 26))
    found = plan(Splice(at=AT, butt=Butt(spigot_length=20, bore=12), root_gap=1), thick,
                 gearbox=donor())  # fmt: skip
    assert found.gearbox.trim_mm == 3.0
    assert found.bore_depth_mm == 20.0 - 1.0 + 1.0
    assert found.hub.turned_from_mm is not None
    weld = found.splice.butt_span_mm(25)[0]
    assert 0.0 <= found.hub.turned_from_mm - (weld - 2.0) < 0.05


@pytest.mark.parametrize(("outer", "beyond"), [(40.0, ()), (40.01, ("bar",))])
def test_largest_bar_of_a_steel(outer: float, beyond: tuple[str, ...]) -> None:
    bar = Layer(outer, steel=steel_named("C45 quenched and tempered"))
    assert strength([ShaftPiece("bar", 0, 9, (bar,))], 100).beyond_steel == beyond


@pytest.mark.parametrize(("factor", "holds"), [(1.5001, True), (1.4999, False)])
def test_factor_that_is_wanted(factor: float, holds: bool) -> None:
    torque = 305 / math.sqrt(3) / factor / float(shear_stress_mpa(1.0, 25.0))
    assert strength([ShaftPiece("bar", 0, 9, (Layer(25),))], torque).holds is holds


@pytest.mark.parametrize(("first", "holds"), [(2000.1, True), (1999.9, False)])
def test_whirl_that_is_wanted(first: float, holds: bool) -> None:
    assert Whirl(first, 1000.0).holds is holds


@pytest.mark.parametrize(
    ("tir", "speed", "holds"),
    [(0.1523, 1000, (True, True)), (0.1525, 1000, (False, True)), (0.1, 13000, (True, True)),
     (0.1, 16000, (True, False))],
)  # fmt: skip
def test_runout_and_balance_that_are_good_enough(
    tir: float, speed: float, holds: tuple[bool, bool]
) -> None:
    bar = [ShaftPiece("bar", 0, 400, (Layer(25),))]
    # Half of the peak on average, 0.025 mm: G40 at 40 / 0.025 rad/s, 15 279 rpm.
    found = trueness(bar, straightness([Runout(200, tir), Runout(200.001, tir)], 400, 200), speed)
    assert tuple(one.holds for one in found.judged) == holds


def test_halves_without_a_butt_weld_leave_the_gap_and_nothing_is_bored() -> None:
    found = plan(Splice(at=AT, sleeve=TUBE, root_gap=2.0))
    assert found.hub.cut_mm + found.gearbox.cut_mm == pytest.approx(LENGTH - 2.0)
    assert found.hub.cut_mm == found.hub.face_mm
    assert (found.bore_depth_mm, found.splice.bore_mm) == (0.0, 0.0)
