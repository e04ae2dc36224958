"""Trimming leaves the wanted gap, takes no more than it must, and says what falls off."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from kinematics.gaps.clearance import BODY_ONLY, clearance
from kinematics.gaps.solids import TurnedBody
from kinematics.gaps.trimming import trim
from kinematics.parts import Bracket, Carrier, FrontPoint, Section
from kinematics.poses import CarrierPose, Carriers

BAR = (Section("bar", 0, 400, (24, 24)),)
BOOTED = (
    Section("boot", 20, 90, (80, 40)),
    Section("bar", 90, 300, (24, 24)),
    Section("cup", 300, 380, (60, 84)),
)


def level_bar(fore: float = 0.0) -> TurnedBody:
    return TurnedBody.between([400.0, 0, fore], [0.0, 0, fore], BAR)


def swinging() -> TurnedBody:
    rise = np.linspace(-60, 60, 61)
    outer = np.stack([650 - rise**2 / 700, 300 + rise, 0.2 * rise], axis=-1)
    return TurnedBody.between(outer, [270.0, 310.0, 0.0], BOOTED)


def rectangle(
    x0: float,
    y0: float,
    x1: float,
    y1: float,
    *,
    fore: tuple[float, float] | None = None,
    mounted_on: Carrier = "body",
) -> Bracket:
    return Bracket("plate", ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), mounted_on, fore)


def smallest_gap(
    body: TurnedBody, bracket: Bracket | None, carriers: Carriers = BODY_ONLY
) -> float:
    assert bracket is not None
    worst = clearance([body], [bracket], carriers).worst
    assert worst is not None
    return worst.gap_mm


def ups(outline: tuple[FrontPoint, ...] | None) -> list[float]:
    assert outline is not None
    return [up for _, up in outline]


def test_a_clear_bracket_is_left_alone() -> None:
    bracket = rectangle(100, 40, 200, 80)
    result = trim([level_bar()], bracket)
    assert not result.needed
    assert result.outline == bracket.outline
    assert result.gap_mm == pytest.approx(28)


def test_a_plate_above_a_level_bar_loses_a_strip() -> None:
    # Bar to 12 above its axis and 6 wanted: what is below 18 goes.
    result = trim([level_bar()], rectangle(100, 10, 200, 60))
    assert result.cut.area == pytest.approx(8 * 100, abs=0.5 * 100)
    assert 18 <= min(ups(result.outline)) < 18.5
    assert smallest_gap(level_bar(), result.trimmed) == result.gap_mm >= 6
    assert not result.fell_off


def test_a_bracket_behind_the_bar_is_cut_only_where_depth_brings_it_near() -> None:
    # The bar's rear is at -12: a plate whose front is at -20 has 8, at -14 too little.
    far = trim([level_bar()], rectangle(100, -40, 200, 60, fore=(-60, -20)))
    assert not far.needed
    near = trim([level_bar()], rectangle(100, 2, 200, 60, fore=(-60, -14)))
    # Grown to 18 about the axis, at depth -14 it stands sqrt(18² - 14²) above it.
    assert min(ups(near.outline)) == pytest.approx(np.sqrt(18**2 - 14**2), abs=0.5)
    assert near.gap_mm >= 6


def test_a_plate_cut_through_keeps_its_larger_part() -> None:
    result = trim([level_bar()], rectangle(100, -40, 200, 60))
    assert len(result.fell_off) == 1
    assert min(ups(result.outline)) >= 18
    assert max(ups(result.fell_off[0])) <= -18


def test_nothing_may_be_left() -> None:
    result = trim([level_bar()], rectangle(100, -10, 200, 10))
    assert result.outline is None
    assert result.trimmed is None
    assert result.cut.area == pytest.approx(2000)


def test_a_closed_hole_is_opened_with_a_saw_cut() -> None:
    end_on = TurnedBody.between([0.0, 0, -200], [0.0, 0, 200], BAR)
    result = trim([end_on], rectangle(-60, -50, 60, 90))
    assert result.holes_opened == 1
    assert Polygon(result.outline).is_valid
    assert 6 <= smallest_gap(end_on, result.trimmed) < 6.6
    # From the hole straight down to the nearest edge, as wide as a saw cuts.
    level = LineString([(-60.0, -35.0), (60.0, -35.0)])
    assert 120.0 - Polygon(result.outline).intersection(level).length == pytest.approx(
        2.0, abs=0.03
    )


def test_a_moving_carrier_counts() -> None:
    shift = np.array([[0.0, -10.0, 0.0], [0.0, 0.0, 0.0]])
    carriers: Carriers = {"gearbox": CarrierPose.shifted(shift)}
    bracket = rectangle(100, 20, 200, 60, mounted_on="gearbox")
    result = trim([level_bar()], bracket, carriers)
    assert 28 <= min(ups(result.outline)) < 28.5
    assert smallest_gap(level_bar(), result.trimmed, carriers) >= 6


def test_an_arm_that_swings_while_the_wheel_travels() -> None:
    rise = np.linspace(-60, 60, 401)
    carriers: Carriers = {
        "arm": CarrierPose.swung((300.0, 200.0, 0.0), np.degrees(np.arcsin(rise / 350)))
    }
    outer = np.stack([650 - rise**2 / 700, 300 + rise, 0.2 * rise], axis=-1)
    shaft = TurnedBody.between(outer, [270.0, 310.0, 0.0], BOOTED)
    bracket = rectangle(440, 200, 500, 320, mounted_on="arm", fore=(-10, 25))
    result = trim([shaft], bracket, carriers)
    assert result.needed
    assert 6 <= smallest_gap(shaft, result.trimmed, carriers) < 6.6


@settings(max_examples=25, deadline=None)
@given(
    x=st.floats(300, 560),
    y=st.floats(190, 420),
    width=st.floats(10, 120),
    height=st.floats(10, 120),
    wanted=st.floats(0, 15),
    fore=st.none() | st.tuples(st.floats(-90, 60), st.floats(3, 80)),
    notch=st.floats(0.1, 0.9),
)
def test_checking_again_finds_the_wanted_gap(
    x: float,
    y: float,
    width: float,
    height: float,
    wanted: float,
    fore: tuple[float, float] | None,
    notch: float,
) -> None:
    outline = (
        (x, y), (x + width, y), (x + width, y + height),
        (x + notch * width, y + notch * height), (x, y + height),
    )  # fmt: skip
    if not Polygon(outline).is_valid or Polygon(outline).area < 1:
        return
    depth = None if fore is None else (fore[0], fore[0] + fore[1])
    bracket = Bracket("b", outline, fore=depth, wanted_gap=wanted)
    before = smallest_gap(swinging(), bracket)
    result = trim([swinging()], bracket)
    assert result.needed == (before < wanted)
    if result.outline is not None:
        assert smallest_gap(swinging(), result.trimmed) >= wanted
        assert Polygon(result.outline).within(Polygon(outline).buffer(0.01))


def test_a_boot_that_shows_a_gentle_bend_at_the_plates_depths() -> None:
    # Cut by the plate's rear face, the boot's outline is a hyperbola of a large radius.
    boot = Section("boot", 20.0, 136.6662, (90.9356, 109.0846))
    start = np.array([400.0, 0.0, -2.5152])
    shaft = TurnedBody.between(start, start - [95.6898, 27.8298, 8.3049], (boot,))
    plate = rectangle(265.8883, -24.7062, 335.8905, 63.2087, fore=(7.3276, 44.5008))
    result = trim([shaft], plate)
    assert 6.0 <= result.gap_mm <= 6.25


@pytest.mark.parametrize("seed", [33, 40, 44, 76, 79, 91, 124, 190, 230, 243])
def test_no_more_than_a_quarter_of_a_millimetre_too_much_goes(seed: int) -> None:
    rng = np.random.default_rng(seed)
    boot = Section("boot", 20.0, rng.uniform(40.0, 140.0), tuple(rng.uniform(40.0, 160.0, 2)))
    shaft = TurnedBody.between(
        [400.0, 0.0, rng.uniform(-30.0, 30.0)],
        [rng.uniform(0.0, 40.0), rng.uniform(-120.0, 120.0), rng.uniform(-150.0, 150.0)],
        (boot, Section("bar", 140.0, 300.0, (24.0, 24.0))),
    )
    out, up = rng.uniform(260.0, 380.0), rng.uniform(-60.0, 60.0)
    rear = rng.uniform(-90.0, 60.0)
    plate = rectangle(out - 50, up - 40, out + 50, up + 40, fore=(rear, rear + 30.0))
    result = trim([shaft], plate)
    assert result.needed
    assert 6.0 <= result.gap_mm <= 6.25
