"""Torque, torsion and the strength of pieces and welds: properties, second routes, refusals."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from kinematics.errors import InvalidInput
from kinematics.making.concentration import shoulder_factor
from kinematics.making.pieces import Layer, Notch, ShaftPiece, mass_kg
from kinematics.making.steels import DEFAULT_STEEL, STEELS, Steel, steel_named
from kinematics.making.strength import NOT_COVERED, Weld, strength
from kinematics.making.torque import Drive, shaft_speed_rpm, wheel_torque
from kinematics.making.torsion import (
    butt_stress_mpa,
    fillet_stress_mpa,
    polar_moment_mm4,
    shear_stress_mpa,
    torque_shares,
    torsional_stiffness_nm2,
    twist_deg,
)
from kinematics.part import Part

outers = st.floats(5, 100)
bores = st.floats(0, 0.99)


def van(**other: float) -> Drive:
    values: dict[str, float] = {
        "engine_torque": 180,
        "gear": 1.0,
        "final_drive": 8.2,
        "wheel_load": 380,
        "tyre_radius": 290,
        "top_speed": 120,
    }
    return Drive(**(values | other))


@given(outers, bores)
def test_polar_moment_is_the_integral_of_r_cubed(outer: float, part: float) -> None:
    bore = part * outer
    area = quad(lambda r: 2 * math.pi * r**3, bore / 2, outer / 2)[0]
    assert float(polar_moment_mm4(outer, bore)) == pytest.approx(area, rel=1e-9)


@given(outers, bores, st.floats(1, 5000))
def test_stress_over_the_section_is_the_torque(outer: float, part: float, torque: float) -> None:
    bore, most = part * outer, float(shear_stress_mpa(torque, outer, part * outer))
    held = quad(lambda r: most * r / (outer / 2) * 2 * math.pi * r**2, bore / 2, outer / 2)[0]
    assert held * 1e-3 == pytest.approx(torque, rel=1e-9)


@given(st.lists(st.floats(10, 1e4), min_size=1, max_size=4))
def test_shares_add_up_and_keep_their_order(stiffness: list[float]) -> None:
    shares = torque_shares(stiffness)
    assert float(np.sum(shares)) == pytest.approx(1.0)
    assert np.argmax(shares) == np.argmax(stiffness)


def test_a_tube_in_layers_is_the_bar() -> None:
    layered = (Layer(15), Layer(20, 15), Layer(30, 20))
    whole = strength([ShaftPiece("bar", 0, 300, (Layer(30),))], 500)
    parts = strength([ShaftPiece("bar", 0, 300, layered)], 500)
    assert parts.twist_deg == pytest.approx(whole.twist_deg)
    assert parts.pieces[-1].stress_mpa == pytest.approx(whole.pieces[0].stress_mpa)
    assert sum(one.torque_nm for one in parts.pieces) == pytest.approx(500)
    assert mass_kg([ShaftPiece("bar", 0, 300, layered)]) == pytest.approx(
        mass_kg([ShaftPiece("bar", 0, 300, (Layer(30),))])
    )


def test_twist_adds_along_the_shaft() -> None:
    pieces = [ShaftPiece("a", 0, 100, (Layer(20),)), ShaftPiece("b", 100, 350, (Layer(28),))]
    expected = float(twist_deg(400, 100, 20)) + float(twist_deg(400, 250, 28))
    assert strength(pieces, 400).twist_deg == pytest.approx(expected)


def test_layers_that_carry_nothing_have_mass_only() -> None:
    sleeve_only = ShaftPiece("sleeve", 0, 100, (Layer(20, carries=False), Layer(34, 20)))
    found = strength([sleeve_only], 400)
    assert [one.outer_mm for one in found.pieces] == [34]
    assert found.pieces[0].torque_nm == 400
    assert mass_kg([sleeve_only]) > mass_kg([ShaftPiece("tube", 0, 100, (Layer(34, 20),))])


def test_a_groove_is_where_it_breaks() -> None:
    pieces = [
        ShaftPiece("bar", 0, 100, (Layer(24),)),
        ShaftPiece("groove", 100, 104, (Layer(22),), Notch("groove", 24, 0.5)),
        ShaftPiece("rest", 104, 300, (Layer(24),)),
    ]
    found = strength(pieces, 500)
    assert found.weakest.name == "groove"
    assert found.weakest.peak_stress_mpa > found.weakest.stress_mpa
    assert found.weakest.peak_factor == pytest.approx(
        DEFAULT_STEEL.shear_yield_mpa / found.weakest.peak_stress_mpa
    )
    assert found.weakest.factor_of_safety == pytest.approx(
        DEFAULT_STEEL.shear_yield_mpa / found.weakest.stress_mpa
    )


def test_a_peak_past_yield_is_listed_though_the_bar_would_hold() -> None:
    pieces = [
        ShaftPiece("bar", 0, 100, (Layer(24),)),
        ShaftPiece("groove", 100, 104, (Layer(23),), Notch("groove", 24, 0.2)),
    ]
    found = strength(pieces, 220)
    assert found.holds
    assert [one.name for one in found.yields_at] == ["groove"]
    assert strength(pieces, 100).yields_at == ()


def test_notches_are_cut_into_the_smaller_diameter() -> None:
    assert Notch("shoulder", 24, 1).factor(24) == 1.0
    assert Notch("shoulder", 24, 1).factor(22) < Notch("groove", 24, 1).factor(22)


def test_weld_shares_and_sizes() -> None:
    pieces = [ShaftPiece("bar", 0, 300, (Layer(25),))]
    welds = (
        Weld("butt", "butt", 150, 25, 12.5),
        Weld("part way", "butt", 150, 25, 4),
        Weld("fillet", "fillet", 120, 25, 5, share=0.5),
    )
    found = strength(pieces, 600, welds, wanted_factor=1.2)
    whole, part, fillet = found.welds
    assert whole.stress_mpa == pytest.approx(found.pieces[0].stress_mpa)
    assert part.stress_mpa == pytest.approx(float(shear_stress_mpa(600, 25, 17)))
    assert fillet.stress_mpa == pytest.approx(float(fillet_stress_mpa(300, 25, 5)))
    assert float(butt_stress_mpa(600, 25, 40)) == pytest.approx(whole.stress_mpa)
    weak = {one.name for one in (*found.pieces, *found.welds) if one.factor_of_safety < 1.2}
    assert {one.name for one in found.too_weak} == weak
    assert found.holds == (not weak)


def test_welds_in_reserve_are_shown_and_do_not_decide() -> None:
    pieces = [ShaftPiece("bar", 0, 300, (Layer(25),))]
    weak = Weld("fillet", "fillet", 120, 25, 1)
    assert not strength(pieces, 200, [weak]).holds
    found = strength(pieces, 200, [dataclasses.replace(weak, reserve=True)])
    assert found.holds
    assert found.welds[0].factor_of_safety < 1.0
    assert found.weakest.name == "bar"


def test_the_result_says_what_it_does_not_cover() -> None:
    found = strength([ShaftPiece("bar", 0, 300, (Layer(25),))], 100)
    assert found.holds
    assert found.not_covered == NOT_COVERED
    for word in ("fatigue", "heat", "joints", "weld"):
        assert any(word in line for line in found.not_covered)


def test_a_bar_thicker_than_its_steel_is_known_for_is_named() -> None:
    steel = steel_named("C45 Quenched and Tempered")
    pieces = [
        ShaftPiece("thick", 0, 50, (Layer(45, steel=steel),)),
        ShaftPiece("bar", 50, 90, (Layer(25),)),
    ]
    assert strength(pieces, 100).beyond_steel == ("thick",)


def test_steels_are_told_apart_and_marked() -> None:
    assert len({steel.name for steel in STEELS}) == len(STEELS)
    assert all("memory" in steel.source for steel in STEELS)
    with pytest.raises(InvalidInput, match=r"expected one of C45 normalised, .* got butter"):
        steel_named("butter")
    with pytest.raises(InvalidInput) as caught:
        steel_named("41Cr4 quench0d\nand tempered")
    (problem,) = caught.value.problems
    assert problem.message.startswith(
        "expected a steel that is known, such as 41Cr4 quenched and tempered or "
    )
    assert problem.message.endswith(", got 41Cr4 quench0d and tempered")
    assert len(problem.message) < 200


def test_engine_or_grip_governs() -> None:
    torque = wheel_torque(van())
    assert torque.steady_nm == pytest.approx(180 * 8.2 / 2)
    assert torque.shock_nm == pytest.approx(2 * torque.steady_nm)
    assert torque.grip_nm == pytest.approx(380 * 9.80665 * 0.290)
    assert torque.governed_by == "grip"
    assert torque.governing_nm == torque.grip_nm
    weak = wheel_torque(van(engine_torque=40))
    assert weak.governed_by == "engine"
    assert weak.governing_nm == weak.shock_nm


def test_shaft_speed() -> None:
    # A wheel of 1 m round turns 1000 times in a km.
    assert shaft_speed_rpm(60, 1000 / (2 * math.pi)) == pytest.approx(1000)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: van(engine_torque=0), "engine_torque"),
        (lambda: van(grip=-1), "grip"),
        (lambda: van(differential_split=1.2), "differential_split"),
        (lambda: van(shock_factor=0.5), "shock_factor"),
        (lambda: van(top_speed=math.nan), "top_speed"),
        (lambda: Layer(0), "outer"),
        (lambda: Layer(20, 20), "bore"),
        (lambda: ShaftPiece("p", 5, 5, (Layer(20),)), "to"),
        (lambda: ShaftPiece("p", 0, 5, (Layer(20, carries=False),)), "layers"),
        (lambda: ShaftPiece("p", 0, 5, (Layer(20), Layer(30, 19))), "layers"),
        (lambda: Notch("groove", 0, 1), "diameter"),
        (lambda: Notch("groove", 20, 0), "radius"),
        (lambda: Steel("s", 0, "none"), "yield_strength"),
        (lambda: Steel("s", 100, "none", 0), "largest"),
        (lambda: Weld("w", "butt", 0, 25, 0), "size"),
        (lambda: Weld("w", "butt", 0, 25, 5, share=0), "share"),
    ],
)
def test_impossible_inputs_are_refused(make: object, field: str) -> None:
    assert callable(make)
    with pytest.raises(InvalidInput, match=f"^{field}: expected"):
        make()


def test_impossible_questions_are_refused() -> None:
    bar = [ShaftPiece("bar", 0, 300, (Layer(25),))]
    with pytest.raises(InvalidInput, match="torque_nm"):
        strength(bar, 0)
    with pytest.raises(InvalidInput, match="wanted_factor"):
        strength(bar, 10, wanted_factor=0.9)
    assert issubclass(Drive, Part)
    assert float(torsional_stiffness_nm2(25)) > 0


# R. L. Norton, Machine Design, appendix on stress concentration, after R. E. Peterson: a shaft
# with a shoulder fillet in torsion, Kt = A (r/d)^b (memory).
SHOULDERS = (
    (2.00, 0.86331, -0.23865),
    (1.33, 0.84897, -0.23161),
    (1.20, 0.83425, -0.21649),
    (1.09, 0.90337, -0.12692),
)


@pytest.mark.parametrize(("ratio", "a", "b"), SHOULDERS)
@pytest.mark.parametrize("slender", [0.02, 0.05, 0.1])
def test_a_shoulder_concentrates_as_petersons_curves_do(
    ratio: float, a: float, b: float, slender: float
) -> None:
    found = shoulder_factor(ratio * 25.0, 25.0, slender * 25.0)
    assert found == pytest.approx(a * slender**b, rel=1e-6)


@pytest.mark.parametrize(("low", "high"), [(1.09, 1.20), (1.20, 1.33), (1.33, 2.00)])
def test_between_two_curves_a_shoulder_lies_straight_between_them(low: float, high: float) -> None:
    ends = [shoulder_factor(ratio * 25.0, 25.0, 1.0) for ratio in (low, high)]
    middle = shoulder_factor(0.5 * (low + high) * 25.0, 25.0, 1.0)
    assert middle == pytest.approx(sum(ends) / 2.0, rel=1e-9)
    assert shoulder_factor(80.0, 25.0, 1.0) == shoulder_factor(50.0, 25.0, 1.0)
