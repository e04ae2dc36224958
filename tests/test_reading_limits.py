"""The thresholds of readings, each from both sides, as the published method or the scene's
contract has them.

3.29: two-sided 0.1 % (W. Baarda, *A testing procedure for use in geodetic networks*, 1968; from
memory).  ±0.2° of an angle gauge: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import chi2, norm

from kinematics.errors import InvalidInput
from kinematics.sure import settling
from kinematics.sure.adjustment import CRITICAL, chance_of_misfit, standardised, suspicious
from kinematics.sure.read_next import LONGEST_MM, SHORTEST_MM, read_next, unread
from kinematics.sure.reading_values import ReadingValues
from kinematics.sure.readings import BetweenKind, Mark, Reading
from scenes.library import example
from scenes.model import Scene
from sketcher.answers.points import car_points, settle_scene
from sketcher.words import points as words

BALL, OUTER, PIVOT = "linkage.ball_joint", "hub.outer_joint", "linkage.arm_pivot"


def read(*readings: Reading, marks: tuple[Mark, ...] = ()) -> Scene:
    return replace(example("van-front"), readings=readings, marks=marks)


def test_baarda_s_critical_value() -> None:
    assert norm.ppf(0.9995) == pytest.approx(CRITICAL, abs=0.005)
    redundancy = np.array([0.5, 0.5])
    assert suspicious(np.array([3.28, 1.0]), redundancy) is None
    assert suspicious(np.array([3.30, 1.0]), redundancy) == 0
    assert suspicious(np.array([3.30, 4.0]), redundancy) == 1


def test_what_nothing_checks_is_never_suspicious() -> None:
    assert suspicious(np.array([9.0]), np.array([0.009])) is None
    assert suspicious(np.array([9.0]), np.array([0.011])) == 0
    assert suspicious(np.empty(0), np.empty(0)) is None
    assert standardised(np.array([-2.0, 1.0]), np.array([0.25, 0.0])).tolist() == [4.0, 0.0]


def test_chance_of_a_misfit_is_chi_square_s() -> None:
    assert chance_of_misfit(11.07, 5) == pytest.approx(0.05, abs=2e-4)
    for freedom in (1, 2, 3, 4, 17, 60, 151):
        for misfit in (0.0, 1e-6, 0.3, 3.0, freedom, 2.0 * freedom, 400.0):
            expected = chi2.sf(misfit, freedom)
            assert chance_of_misfit(misfit, freedom) == pytest.approx(expected, rel=1e-10)
    assert (chance_of_misfit(0.0, 0), chance_of_misfit(0.1, 0)) == (1.0, 0.0)


def test_a_coordinate_known_to_ten_millimetres_is_fixed() -> None:
    """Drawn ±50 and read ±e together: 1/σ² = 3/50² + 3/e², ±10 where e = 10.206."""
    just = 1.0 / math.sqrt(1.0 / 10.0**2 - 1.0 / 50.0**2)
    for error, fixed in ((just - 0.01, True), (just + 0.01, False)):
        ball = settle_scene(read(Reading("up", (BALL,), 188.0, error))).point(BALL)
        assert ("up" not in ball.not_fixed) is fixed
        assert ball.not_fixed[-1] == "fore"


def test_where_a_point_is_drawn_counts_as_read_to_fifty_millimetres() -> None:
    ball = settle_scene(read(Reading("up", (BALL,), 188.0))).point(BALL)
    assert ball.standard_uncertainty_mm[0] == pytest.approx(50.0 / math.sqrt(3.0))
    # Read 10 off from there with an error as large: half way.
    half = settle_scene(read(Reading("up", (BALL,), 198.0, 50.0))).point(BALL)
    assert half.at[1] == pytest.approx(193.0)


def test_a_typed_coordinate_keeps_the_tape_s_error() -> None:
    pivot = settle_scene(read(Reading("up", (BALL,), 188.0))).point(PIVOT)
    assert not pivot.rests
    assert pivot.standard_uncertainty_mm == pytest.approx([0.7 / math.sqrt(3.0)] * 3)


def test_a_gauge_reads_to_a_fifth_of_a_degree() -> None:
    assert Reading("slope", (PIVOT, BALL), -2.9).limit == 0.2
    assert Reading("slope", (PIVOT, BALL), -2.9, 0.5).limit == 0.5
    assert Reading("slope", (PIVOT, BALL), 90.0).value == 90.0
    with pytest.raises(InvalidInput, match="from −90 to 90"):
        Reading("slope", (PIVOT, BALL), 90.1)


@pytest.mark.parametrize(("short_by", "met"), [(24.0, True), (26.0, False)])
def test_far_too_short_a_distance_cannot_be_met(short_by: float, met: bool) -> None:
    heights = (Reading("up", (BALL,), 188.0, 1.0), Reading("up", (OUTER,), 390.0, 1.0))
    # 202 apart, 2 of it in the errors of the heights and 1 in that of the distance.
    distance = Reading("distance", (BALL, OUTER), 199.0 - short_by, 1.0)
    scene = read(*heights, distance)
    if met:
        assert settle_scene(scene).readings
        return
    with pytest.raises(InvalidInput, match=r"expected 199 mm or more"):
        settle_scene(scene)


@pytest.mark.parametrize(("apart", "offered"), [(19.0, False), (21.0, True)])
def test_points_in_one_place_are_none_for_a_tape(apart: float, offered: bool) -> None:
    marks = (Mark("a", (300.0, 300.0, 0.0)), Mark("b", (300.0 + apart, 300.0, 0.0)))
    settled = settle_scene(read(Reading("up", (OUTER,), 293.0), marks=marks))
    slopes = np.zeros(3 * len(settled.points))
    slopes[-6] = 1.0
    found = read_next(settled, slopes, unread(settled), best=99)
    assert any(one.reading.points == ("mark.a", "mark.b") for one in found) is offered
    assert (SHORTEST_MM, LONGEST_MM) == (20.0, 3000.0)


def test_half_widths_are_two_sided_95_per_cent() -> None:
    assert norm.ppf(0.975) == pytest.approx(settling.HALF_WIDTH_95, abs=1e-6)


def test_readings_contradict_one_another_at_a_tenth_of_a_per_cent() -> None:
    scene = read(*(Reading("up", (BALL,), 188.0, 1.0) for _ in range(4)))
    settled = settle_scene(scene)
    assert replace(settled, rest_probability=0.00101).agree
    assert not replace(settled, rest_probability=0.00099).agree
    assert replace(settled, rest_probability=None).agree


@pytest.mark.parametrize(("off", "words_say"), [(0.04, "Settled"), (0.06, "Not settled")])
def test_settled_is_within_a_twentieth_of_a_millimetre(off: float, words_say: str) -> None:
    # Read as exactly as makes the drawing's ±50 nothing beside it.
    scene = read(Reading("up", (BALL,), 188.0 + off, 0.1))
    assert words.state_words(settle_scene(scene)).startswith(words_say)


def test_numbers_are_said_as_they_were_typed() -> None:
    up = Reading("up", (BALL,), 188.0, travel=-60.0, steer=5.0)
    assert words.reading_words(up) == (
        "ball joint, above the floor at droop 60.0 mm, steer +5°: 188 mm"
    )
    slope = Reading("slope", (PIVOT, BALL), -2.9)
    assert words.reading_words(slope) == "slope from arm pivot to ball joint: −2.9°"
    assert words.off_words(slope, -0.123) == "−0.12°"
    assert words.doubt_words(0.6712) == "±0.68 mm"


@pytest.mark.parametrize("kind", ["distance", "slope", "rise"])
def test_slopes_and_curvature_are_those_of_the_values(kind: BetweenKind) -> None:
    # From the ball joint outboard to the wheel and inboard to the pivot, both of them rising.
    readings = tuple(Reading(kind, (BALL, other), 60.0) for other in (OUTER, PIVOT))
    car = settle_scene(read(Reading("up", (BALL,), 188.0), Reading("up", (OUTER,), 301.0))).car
    values = ReadingValues(car, readings)
    here, factors, step = np.zeros(3 * len(car)), np.array([0.7, -1.3]), 1e-3
    found = values(here)
    assert found.curvature is not None
    bent = found.curvature(factors)
    for place in range(len(here)):
        by = np.zeros(len(here))
        by[place] = step
        ahead, behind = values(here + by), values(here - by)
        slope = (ahead.values - behind.values) / (2.0 * step)
        np.testing.assert_allclose(found.slopes[:, place], slope, atol=1e-7)
        row = factors @ (ahead.slopes - behind.slopes) / (2.0 * step)
        np.testing.assert_allclose(bent[place], row, atol=1e-7)


def test_a_coordinate_that_is_known_closely_still_counts_as_read() -> None:
    points = [replace(one, sigma_mm=(0.05, 0.0, 0.02)) for one in car_points(example("van-front"))]
    settled = settling.settle(points, [Reading("up", (BALL,), 188.0)])
    assert settled.point(PIVOT).standard_uncertainty_mm == pytest.approx([0.05, 0.0, 0.02])
