"""What workshops know of light cars' shafts.  Common practice, no source."""

from __future__ import annotations

import pytest

from kinematics.making.balance import trueness
from kinematics.making.pieces import Layer, ShaftPiece
from kinematics.making.steels import steel_named
from kinematics.making.straightness import Runout, straightness
from kinematics.making.strength import strength
from kinematics.making.torque import Drive, shaft_speed_rpm, wheel_torque
from kinematics.making.whirl import Whirl, first_whirl_rpm

LB_FT = 1.3558179483

# 34 lb·ft; gearing, load and tyre of a plausible light car.
LIGHT_CAR = Drive(
    engine_torque=34 * LB_FT,
    gear=3.4,
    final_drive=4.1,
    wheel_load=190,
    tyre_radius=265,
    top_speed=130,
    shock_factor=1.0,
    grip=0.8,
)


def bar(steel: str) -> tuple[ShaftPiece, ...]:
    return (ShaftPiece("bar", 40, 360, (Layer(22, steel=steel_named(steel)),)),)


@pytest.mark.parametrize("steel", ["C45 quenched and tempered", "SAE 1045 cold drawn"])
def test_34_lb_ft_into_a_22_mm_bar_of_plain_medium_carbon_steel(steel: str) -> None:
    torque = wheel_torque(LIGHT_CAR)
    assert torque.governed_by == "engine"
    found = strength(bar(steel), torque.governing_nm)
    assert found.holds
    assert found.weakest.factor_of_safety > 1.5


def test_the_same_bar_normalised_is_inside_its_yield_and_no_more() -> None:
    """Welding takes hardening out: the margin beside a weld is this one."""
    found = strength(bar("C45 normalised"), wheel_torque(LIGHT_CAR).governing_nm)
    assert 1.0 < found.weakest.factor_of_safety < 1.5


@pytest.mark.parametrize("tir", [0.127, 0.140, 0.152])
@pytest.mark.parametrize("sides", ["both", "hub"])
def test_usual_runout_after_welding_is_good_enough(tir: float, sides: str) -> None:
    readings = [Runout(200, tir)] + ([Runout(200.001, tir)] if sides == "both" else [])
    found = trueness(
        bar("C45 normalised"), straightness(readings, 400, 200), shaft_speed_rpm(150, 265)
    )
    assert all(one.holds for one in found.judged)
    assert found.balance.grade is not None
    assert found.balance.grade <= 16.0


def test_twice_that_is_not() -> None:
    found = trueness(
        bar("C45 normalised"), straightness([Runout(200, 0.3)], 400, 200), shaft_speed_rpm(150, 265)
    )
    assert not all(one.holds for one in found.judged)
    assert [one.quantity for one in found.judged if not one.holds] == ["runout"]


def test_a_short_bar_never_whirls_at_road_speed() -> None:
    first = first_whirl_rpm(bar("C45 normalised"), 400)
    assert Whirl(first, shaft_speed_rpm(200, 265)).ratio > 5
