"""What is said of a chance, a measured thing and a trial fit is honest and readable."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.sure.certainty import Certainty, certainty
from kinematics.sure.misread import Misread
from kinematics.sure.tape import Tape, TapeError
from kinematics.sure.trial import TrialMeasurement
from kinematics.sure.trial_fit import TrialFit, trial_fit
from scenes.library import example
from sketcher.words import certainty as words


@pytest.fixture(scope="module")
def found() -> Certainty:
    return certainty(example("van-front").corner("left"), draws=2000)


@given(st.floats(0.0, 1.0), st.integers(1000, 100_000))
def test_a_chance_is_never_shown_better_than_it_is(chance: float, draws: int) -> None:
    shown = words.percent(chance, draws)
    if shown.startswith("over"):
        in_1000 = int(shown.removeprefix("over ").removesuffix(" in 1000"))
        assert in_1000 <= 1000 * chance + 1e-6
        assert in_1000 <= 999
        return
    number = float(shown.removesuffix(" %").removeprefix("under "))
    assert "100" not in shown
    if shown.startswith("under"):
        assert 100 * chance < number + 1e-9
        return
    assert number <= 100 * chance + 1e-6
    assert 100 * chance - number < 1.0


def test_few_draws_are_not_sure_of_much() -> None:
    assert words.percent(1.0, 1000) == "over 997 in 1000"
    assert words.percent(1.0, 20_000) == "over 999 in 1000"
    assert words.percent(0.0, 1000) == "under 0.3 %"


@pytest.mark.parametrize(
    ("thing", "said"),
    [
        ("hub.outer_joint", "outer joint"),
        ("linkage.lower_ball_joint", "lower ball joint"),
        ("linkage.position[2].wheel_centre", "wheel centre at position 3"),
        ("shafts.right.inner_joint.mid_stroke", "inner joint, mid-stroke"),
        ("shafts.left.length", "cutting to length"),
        ("travel.bump", "full bump"),
    ],
)
def test_things_are_called_what_a_person_calls_them(thing: str, said: str) -> None:
    assert words.thing_words(thing) == said


def test_lengths_are_shown_in_the_unit_asked_for(found: Certainty) -> None:
    assert "391.0 mm keeps 3 mm" in words.chance_words(found)
    assert "15.394 in keeps 0.118 in" in words.chance_words(found, "in")
    low, high = found.ride_centred.low_mm / 25.4, found.ride_centred.high_mm / 25.4
    shown = words.interval_words(found.ride_centred, "in")
    assert (
        f"{math.floor(low * 1000) / 1000:.3f} and {math.ceil(high * 1000) / 1000:.3f} in" in shown
    )


def test_the_tape_is_named() -> None:
    assert words.tape_words(None).startswith("no tape given: ±0.7 mm assumed up to 1 m")
    assert words.tape_words(Tape(), "in").startswith("no tape given: ±0.028 in assumed")
    own = Tape(1.0, (TapeError("hub.outer_joint", (2.0,)),))
    assert words.tape_words(own) == "within ±1 mm; of their own: outer joint"


def test_remarks_own_up(found: Certainty) -> None:
    plain = list(words.remarks(found))
    assert len(plain) == 1
    assert plain[0].startswith("the chance is by tape error alone: a misread point")
    owned = next(words.remarks(replace(found, does_not_close=31)))
    assert owned.startswith("in 1.6 % of the cars that the tape allows, the linkage does not close")


def test_how_it_was_drawn_is_told_in_json(found: Certainty) -> None:
    told = words.certainty_json(found, "left")
    assert (told["draws"], told["seed"]) == (2000, 1)
    ride = told["ride_centred_length"]
    assert ride["first_order_mm"] == found.ride_centred.first_order_mm


def test_a_misread_position_is_told_no_smaller_than_it_is() -> None:
    said = words.misread_words(Misread("wheel_centre", 40.0, 5.2, 7.0))
    assert said == (
        "the wheel centre's position at bump 40.0 mm looks misread by 6 mm: measure it again"
    )
    assert "by 0.205 in" in words.misread_words(Misread("wheel_centre", 0.0, 5.2, 7.0), "in")


def test_joint_angles_that_may_be_too_large_are_told_in_few_words(found: Certainty) -> None:
    assert "joint angles" not in words.short_chance(replace(found, angles_chance=0.95))
    told = words.short_chance(replace(found, angles_chance=0.9499))
    assert told.endswith("; joint angles 94 %")


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.95, "95.0 %"),
        (0.9499, "94 %"),
        (0.9569, "95.6 %"),
        (0.05, "5 %"),
        (0.0499, "4.9 %"),
        (0.999, "99.9 %"),
        (0.99901, "over 999 in 1000"),
        (0.001, "0.1 %"),
        (0.00099, "under 0.1 %"),
    ],
)
def test_tenths_near_the_ends_only(chance: float, said: str) -> None:
    assert words.percent(chance) == said


@pytest.mark.parametrize(("share", "told"), [(0.0301, 1), (0.0299, 0)])
def test_a_thing_is_worth_measuring_from_three_per_cent(
    found: Certainty, share: float, told: int
) -> None:
    one = replace(found.shares[0], share=share)
    assert len(words.worth_measuring(replace(found, shares=(one,)))) == told


def test_json_tells_what_the_draws_leave_open(found: Certainty) -> None:
    # Root of 0.9 * 0.1 / 2000 is 0.671 per cent.
    told = words.certainty_json(replace(found, chance=0.9), "left")
    assert told["sampling_error"] == pytest.approx(0.00671, abs=5e-6)


def test_a_thing_is_ranked_by_its_share_and_small_ones_left_out(found: Certainty) -> None:
    again = words.worth_measuring(found)
    assert 2 <= len(again) < len(found.shares)
    assert [share.share for share in again] == sorted(
        (share.share for share in again), reverse=True
    )
    # What would change nothing is not said.
    assert "known twice" not in words.share_words(again[0], found)
    better = replace(found, chance=0.8)
    assert words.share_words(again[0], better).endswith(
        "known twice as well, chance over 998 in 1000"
    )


def fit_of(values: tuple[float, ...]) -> TrialFit:
    corner = example("van-rear").corner("left")
    rows = [
        TrialMeasurement(travel, value)
        for travel, value in zip((-60.0, -30.0, 0.0, 30.0, 55.0), values, strict=True)
    ]
    return trial_fit(corner, rows, Tape(0.7))


GOOD = (402.3, 401.7, 400.3, 398.1, 395.7)


def test_agreement_in_plain_words() -> None:
    fit = fit_of(GOOD)
    assert fit.agrees
    assert words.agreement(fit).startswith("The car and the points agree")
    assert list(words.changes(fit)) == []


def test_disagreement_names_what_to_measure_again() -> None:
    one_off = fit_of((402.3, 401.7, 409.0, 398.1, 395.7))
    assert not one_off.agrees
    assert "less than 1 of 100" in words.agreement(one_off)
    assert "Do not cut by these points" in words.agreement(one_off)
    assert one_off.outlier == 2
    assert "measure swept length 409.0 mm at ride height again" in words.agreement(one_off)
    assert "measure swept length 16.102 in at ride height again" in words.agreement(one_off, "in")


def test_changes_say_from_where_to_where() -> None:
    fit = fit_of(tuple(value + 1.2 for value in GOOD))
    moved = dict(words.changes(fit))
    mid = moved["inner joint, mid-stroke"]
    shown = words.change_words(mid)
    assert f"out 240.00 to {mid[0].fitted_mm:.2f} mm" in shown
    assert "−" in shown


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (0.3599, " 35 of 100"),
        (0.05, " 5 of 100"),
        (0.0499, "only 4 of"),
        (0.0099, "less than 1 of"),
    ],
)
def test_a_misfit_is_never_called_commoner_than_it_is(probability: float, said: str) -> None:
    assert said in words.agreement(replace(fit_of(GOOD), probability=probability))


@pytest.mark.parametrize(("by_mm", "told"), [(0.051, 1), (0.049, 0)])
def test_a_change_is_told_from_a_twentieth_of_a_millimetre(by_mm: float, told: int) -> None:
    fit = fit_of(GOOD)
    one = replace(fit.coordinates[0], fitted_mm=fit.coordinates[0].coordinate.value_mm - by_mm)
    assert len(list(words.changes(replace(fit, coordinates=(one,))))) == told
