"""Runout, balance and finished length: recovered bends, supports, refusals."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.errors import InvalidInput
from kinematics.making.balance import FinishedLength, residual_unbalance, trueness
from kinematics.making.pieces import Layer, ShaftPiece
from kinematics.making.straightness import Runout, straightness

LENGTH, SPLICE = 400.0, 180.0
BAR = (ShaftPiece("bar", 0, LENGTH, (Layer(24),)),)
STATIONS = (40.0, 90.0, 150.0, 175.0, 185.0, 240.0, 330.0, 370.0)
complexes = st.builds(cmath.rect, st.floats(0.01, 0.4), st.floats(-3.1, 3.1))


def centre(at: float, hub: complex, gearbox: complex) -> complex:
    """Of the shaft at a station, where its bars reach these points at the splice."""
    return hub * at / SPLICE if at <= SPLICE else gearbox * (LENGTH - at) / (LENGTH - SPLICE)


@given(complexes, complexes)
def test_clocked_readings_recover_the_bend(hub: complex, gearbox: complex) -> None:
    def reading(at: float) -> Runout:
        seen = centre(at, hub, gearbox)
        return Runout(at, 2 * abs(seen), math.degrees(cmath.phase(seen)))

    found = straightness([reading(at) for at in STATIONS], LENGTH, SPLICE)
    assert found.clocked
    assert found.sides == "both"
    assert found.step_mm == pytest.approx(abs(hub - gearbox), abs=1e-9)
    kink = abs(hub / SPLICE + gearbox / (LENGTH - SPLICE))
    assert found.kink_deg == pytest.approx(math.degrees(kink), abs=1e-9)
    for at in STATIONS:
        assert complex(found.offset_mm(at)) == pytest.approx(centre(at, hub, gearbox), abs=1e-9)
        assert float(found.eccentricity_mm(at)) == pytest.approx(
            abs(centre(at, hub, gearbox)), abs=1e-9
        )


@pytest.mark.parametrize("side", ["hub", "gearbox"])
def test_readings_on_one_side_take_the_other_to_meet_it(side: str) -> None:
    at = [60, 120, 170] if side == "hub" else [200, 280, 350]
    readings = [Runout(x, 2 * abs(centre(x, 0.07, 0.07))) for x in at]
    found = straightness(readings, LENGTH, SPLICE)
    assert found.sides == side
    assert not found.clocked
    assert found.step_mm == pytest.approx(0.0, abs=1e-12)
    assert found.eccentricity_mm([0, SPLICE, LENGTH]) == pytest.approx([0, 0.07, 0])
    # Far from the splice the indicator shows less than the splice itself runs out.
    assert found.worst_runout_mm == pytest.approx(0.14)
    assert found.largest_tir_mm < found.worst_runout_mm


def test_unclocked_readings_beyond_a_support_lean_the_other_way() -> None:
    stations = (-20.0, *STATIONS, 410.0)
    readings = [Runout(x, 2 * abs(centre(x, 0.07, 0.07))) for x in stations]
    found = straightness(readings, LENGTH, SPLICE)
    assert float(found.eccentricity_mm(SPLICE)) == pytest.approx(0.07)


def test_unbalance_is_the_integral_of_mass_and_eccentricity() -> None:
    straight = straightness([Runout(170, 0.2, 30), Runout(200, 0.16, 200)], LENGTH, SPLICE)
    at = (np.arange(200_000) + 0.5) * LENGTH / 200_000
    each = math.pi / 4 * 24**2 * 7.85e-3 * LENGTH / 200_000  # g
    moment = straight.offset_mm(at) * each
    balance = residual_unbalance(BAR, straight, 1500)
    assert balance.inner_gmm == pytest.approx(abs(np.sum(moment * at / LENGTH)), rel=1e-3)
    assert balance.outer_gmm == pytest.approx(abs(np.sum(moment * (1 - at / LENGTH))), rel=1e-3)
    assert balance.unbalance_gmm >= abs(np.sum(moment)) * (1 - 1e-3)


def test_a_straight_shaft_is_good_and_a_banana_is_not() -> None:
    good = trueness(BAR, straightness([Runout(100, 0.0)], LENGTH, SPLICE), 1500)
    assert all(one.holds for one in good.judged)
    assert good.balance.velocity_mm_s == 0.0
    bent = straightness([Runout(180, 3.0)], LENGTH, SPLICE)
    bad = trueness(BAR, bent, 1500)
    assert [(one.quantity, one.holds) for one in bad.judged] == [
        ("runout", False),
        ("balance", False),
    ]
    assert "common practice" in bad.judged[0].source
    assert "ISO 21940-11" in bad.judged[1].source


@pytest.mark.parametrize(
    ("length", "verdict", "spare"),
    [
        (398.0, "inside", 8.0),
        (390.3, "doubtful", 0.3),
        (406.0, "doubtful", 0.0),
        (389.0, "too short", -1.0),
        (406.5, "too long", -0.5),
    ],
)
def test_finished_length(length: float, verdict: str, spare: float) -> None:
    found = FinishedLength(length, 390, 406, within_mm=0.5)
    assert found.verdict == verdict
    assert found.to_spare_mm == pytest.approx(spare)


def test_impossible_questions_are_refused() -> None:
    reading = [Runout(100, 0.1)]
    straight = straightness(reading, LENGTH, SPLICE)
    with pytest.raises(InvalidInput, match="tir: expected mm"):
        Runout(100, -0.1)
    with pytest.raises(InvalidInput, match="splice_at_mm"):
        straightness(reading, LENGTH, 500)
    with pytest.raises(InvalidInput, match="runout: expected a reading away"):
        straightness([Runout(0, 0.1)], LENGTH, SPLICE)
    with pytest.raises(InvalidInput, match="speed_rpm"):
        residual_unbalance(BAR, straight, 0)
    with pytest.raises(InvalidInput, match=r"length_mm.*window_mm.*within_mm"):
        FinishedLength(0, 400, 390, -1)
