"""The welder's fixture: heights in the V, places that are free, and the runout that is left."""

from __future__ import annotations

import itertools
import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from kinematics.errors import InvalidInput
from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.fixture import axis_over_v_mm, fixture
from kinematics.making.planning import plan_cuts
from kinematics.making.splice import Butt, Sleeve, Splice
from scenes.library import example_text
from sketcher.__main__ import main

MARK = Datum("mark", 10)
HUB = Donor(
    300,
    MARK,
    (
        Stretch("spline", 15, 40, 26, "spline", root=24),
        Stretch("neck", 40, 70, 24),
        Stretch("groove", 70, 76, 25, "groove", root=23),
        Stretch("bar", 76, 300, 25),
    ),
)
GEARBOX = Donor(300, MARK, (Stretch("boot seat", 15, 60, 27, "boot"), Stretch("bar", 60, 300, 28)))
SPLIT = Sleeve(60, 25.05, 36, split=True)


def plan(splice: Splice | None = None, hub: Donor = HUB, gearbox: Donor = GEARBOX) -> CutPlan:
    splice = splice or Splice(at=200, butt=Butt(), root_gap=2, shrinkage=0.6)
    return plan_cuts(hub, gearbox, splice, 400.0)


@given(st.floats(5, 60), st.floats(30, 150))
def test_a_bar_touches_both_sides_of_its_v(diameter: float, angle: float) -> None:
    half = math.radians(angle / 2)
    axis = Point(0, axis_over_v_mm(diameter, angle))
    for hand in (1, -1):
        side = LineString([(0, 0), (hand * 500 * math.sin(half), 500 * math.cos(half))])
        assert axis.distance(side) == pytest.approx(diameter / 2)


@pytest.mark.parametrize("angle", [60.0, 90.0, 120.0])
def test_shims_bring_both_halves_to_one_height(angle: float) -> None:
    found = fixture(plan(), angle)
    heights = [axis_over_v_mm(one.diameter_mm, angle) + one.shim_mm for one in found.supports]
    assert max(heights) - min(heights) <= 0.01
    assert min(one.shim_mm for one in found.supports) == 0.0
    assert {one.diameter_mm for one in found.supports} == {24, 25, 28}
    # By hand for a V of 90 degrees: 28 lies 2.121 mm higher than 25, 2.828 higher than 24.
    if angle == 90.0:
        shims = [one.shim_mm for one in found.supports]
        assert shims == pytest.approx([2.83, 2.12, 0, 0])


@pytest.mark.parametrize(
    "splice",
    [
        Splice(at=200, butt=Butt(), root_gap=2, shrinkage=0.6),
        Splice(at=200, butt=Butt(), sleeve=SPLIT),
        Splice(at=210, butt=Butt(), sleeve=Sleeve(50, 25.05, 36)),
    ],
)
def test_blocks_stand_under_plain_bar_and_in_nobodys_way(splice: Splice) -> None:
    cuts = plan(splice)
    found = fixture(cuts)
    assert [one.end for one in found.supports] == ["hub", "hub", "gearbox", "gearbox"]
    assert found.overall_mm == pytest.approx(cuts.length_mm + splice.shrinkage)
    for one in found.supports:
        assert 9.0 <= one.to_mm - one.from_mm <= 20.0
        own = (one.from_mm, one.to_mm)
        if one.end == "gearbox":
            own = (found.overall_mm - one.to_mm, found.overall_mm - one.from_mm)
        under = list(cuts.cut(one.end).donor.between(*own))
        assert [stretch.kind for stretch in under] == ["bar"]
        # No torch and no sleeve comes there, and the weld's own room is kept.
        assert one.to_mm <= found.torch_mm[0] + 1e-9 or one.from_mm >= found.torch_mm[1] - 1e-9
        if found.sleeve_waits is not None:
            low, high = found.sleeve_waits
            assert one.to_mm <= low + 1e-9 or one.from_mm >= high - 1e-9
    # The butt is welded in it; the sleeve goes over a weld that is dressed, off its blocks.
    weld = cuts.splice.butt_span_mm(cuts.diameter_mm)
    assert found.torch_mm[0] == pytest.approx(weld[0] - 30)
    assert found.torch_mm[1] == pytest.approx(weld[1] + splice.shrinkage + 30)
    whole = splice.sleeve is not None and not splice.sleeve.split
    assert (found.sleeve_waits is not None) == whole
    if found.sleeve_waits is not None:
        low, high = found.sleeve_waits
        assert high - low == pytest.approx(50)
        assert low >= 40
        assert high <= found.torch_mm[0] + 1e-9


def test_runout_that_is_left_is_the_worst_of_all_shims() -> None:
    cuts = plan()
    found = fixture(cuts, shim_tolerance_mm=0.02)
    # 0.02 of the stock and half of the 0.01 that leaves of a feeler gauge come in.
    each = 0.02 + 0.005
    at, length = cuts.splice.at, found.overall_mm
    worst = 0.0
    for signs in itertools.product((1, -1), repeat=4):
        points = [
            (one.middle_mm, sign * each) for one, sign in zip(found.supports, signs, strict=True)
        ]

        def height(index: int, x: float, points: list[tuple[float, float]] = points) -> float:
            (a, low), (b, high) = points[2 * index], points[2 * index + 1]
            return low + (high - low) * (x - a) / (b - a)

        outer, inner = height(0, 0.0), height(1, length)
        turned = outer + (inner - outer) * at / length
        worst = max(worst, *(2 * abs(height(index, at) - turned) for index in (0, 1)))
    assert found.runout_left_mm == pytest.approx(worst)
    coarse = fixture(cuts, shim_tolerance_mm=0.1).runout_left_mm
    assert coarse is not None
    assert coarse == pytest.approx(worst * 0.105 / 0.025)


def test_a_waiting_sleeve_leaves_the_blocks_as_far_apart_as_it_can() -> None:
    cuts = plan(Splice(at=200, butt=Butt(), sleeve=Sleeve(80, 25.05, 36)))
    found = fixture(cuts)
    assert found.sleeve_waits is not None
    first, second = (one for one in found.supports if one.end == "hub")
    # Between its blocks: next to the torch it would push both to its far side.
    assert first.to_mm <= found.sleeve_waits[0] < found.sleeve_waits[1] <= second.from_mm
    assert second.middle_mm - first.middle_mm > 90
    # A longer one has no room between them, and stands where room for two is left.
    longer = fixture(plan(Splice(at=200, butt=Butt(), sleeve=Sleeve(100, 25.05, 36))))
    assert longer.sleeve_waits is not None
    assert longer.homeless == ()
    with_it = next(one for one in longer.supports if one.end == "hub")
    assert not longer.sleeve_waits[0] < with_it.middle_mm < longer.sleeve_waits[1]


def test_a_sleeve_alone_is_welded_in_it() -> None:
    cuts = plan(Splice(at=200, sleeve=Sleeve(60, 25.05, 36)))
    found = fixture(cuts)
    assert found.torch_mm == pytest.approx(
        (cuts.welded_span_mm[0] - 30, cuts.welded_span_mm[1] + 30)
    )
    assert found.sleeve_waits is None


def test_no_block_stands_on_a_fillet_or_under_a_boot_that_stays() -> None:
    neck = Stretch("neck", 40, 70, 24, radius=3)
    hub = replace(HUB, stretches=(HUB.stretches[0], neck, *HUB.stretches[2:]))
    assert fixture(plan(hub=hub)).supports[0].from_mm == 43.0
    seat = Stretch("boot seat", 70, 76, 25, "boot")
    boot = replace(hub, stretches=(*hub.stretches[:2], seat, hub.stretches[3]))
    assert fixture(plan(hub=boot)).supports[0].from_mm == 43.0
    stays = replace(boot, joint_comes_off=False)
    assert fixture(plan(hub=stays)).supports[0].from_mm == 76.0


def test_a_half_without_room_is_named() -> None:
    short = Donor(300, MARK, (Stretch("seat", 15, 150, 25, "boot"), Stretch("bar", 150, 300, 25)))
    found = fixture(plan(hub=short))
    assert found.homeless == ("hub",)
    assert [one.end for one in found.supports] == ["gearbox", "gearbox"]
    assert found.runout_left_mm is None
    none = fixture(plan(hub=short, gearbox=short))
    assert (none.supports, none.base_mm) == ((), 0.0)


def test_no_v_and_no_tolerance_are_refused() -> None:
    with pytest.raises(InvalidInput, match=r"v_angle_deg.*shim_tolerance_mm"):
        fixture(plan(), 180.0, -0.1)


def test_cuts_tells_of_the_fixture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole = example_text("van-front-making")
    path = tmp_path / "own.toml"
    path.write_text(whole[: whole.index("[tape]")], encoding="utf-8")
    main(["cuts", str(path)])
    page = " ".join(capsys.readouterr().out.split())
    assert "FIXTURE for the welder, V-blocks of 90°" in page
    assert "V-block 4 gearbox half" in page
    # The joints are off: 391.6 less 88 and 38 to the datums.
    assert "length to tack 391.6 mm between joint centres, 265.6 mm between datums" in page
    assert (
        "its end 145.0 mm from the outer joint's centre, 57.0 mm from \"boot groove, edge" in page
    )
    assert "joint centres: 391.0 mm; 265.0 mm between datums. 22" in page
    # What fits another part follows what that came to: 25.05 less 25, 12 less 11.95.
    assert "diameter 25.05 mm; what is turned, 0.050 mm under what it measures. 4" in page
    assert "28.0 mm long; 0.050 mm under the bore that was made; bevel its face" in page
    assert "total indicator reading at the splice" in page
    main(["cuts", str(path), "--json"])
    told = json.loads(capsys.readouterr().out)["sides"]["left"]["fixture"]
    assert len(told["supports"]) == 4
