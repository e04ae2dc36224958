"""How sure a length is: against the full motion, against first order, against itself."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from kinematics.errors import InvalidInput, OutOfReach
from kinematics.linkage.motion import reach_of, solve
from kinematics.parts import (
    Corner,
    Measured,
    MeasuredPosition,
    OuterJoint,
    Travel,
)
from kinematics.shaft.following import follow
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.length_window import length_window
from kinematics.shaft.whole_motion import examine, whole_motion
from kinematics.sure.certainty import Certainty, certainty
from kinematics.sure.critical_positions import critical_positions
from kinematics.sure.measurands import (
    BUMP,
    DROOP,
    LENGTH,
    MID_STROKE,
    OUTER_JOINT,
    STROKE_IN,
    STROKE_OUT,
    Measurand,
    coordinates,
)
from kinematics.sure.sampling import SampledAnswers, answers
from kinematics.sure.tape import Tape, TapeError
from kinematics.sure.trial import TrialMeasurement
from kinematics.sure.trial_fit import trial_fit
from kinematics.sure.variants import Positions, Variants, varied_corner
from kinematics.vectors import Array
from scenes.library import example
from tests import strategies

MARGIN = 3.0


@pytest.fixture(scope="module")
def front() -> Corner:
    return replace(example("van-front").corner("left"), brackets=())


@pytest.fixture(scope="module")
def rear() -> Corner:
    return replace(example("van-rear").corner("left"), brackets=())


def plain_stroke(corner: Corner) -> Corner:
    joint = replace(corner.shaft.inner_joint, stroke_at_angle=())
    return replace(corner, shaft=replace(corner.shaft, inner_joint=joint))


def drawn(
    corner: Corner, tape: Tape[Measurand], count: int, seed: int = 4
) -> tuple[Variants, SampledAnswers]:
    measured = coordinates(corner)
    errors = [tape.error_of(one.thing, one.axis, one.value_mm) for one in measured]
    rng = np.random.default_rng(seed)
    # As many draws as a real run chooses its positions by.
    offsets = np.stack([error.drawn(rng, max(count, 1000)) for error in errors], axis=1)
    variants = Variants(corner, measured, offsets)
    critical = critical_positions(variants, MARGIN)
    variants = variants.part(slice(count))
    return variants, answers(variants, critical)


def draw_of(variants: Variants, draw: int) -> Corner:
    """A draw's corner, built by itself."""
    return varied_corner(variants.corner, variants.coordinates, variants.offsets_mm[draw])


def window_of_the_full_grid(variants: Variants, draw: int) -> Array:
    """A draw's corner followed by 1 mm and 1 degree, the gearbox anywhere in its box."""
    corner = draw_of(variants, draw)
    joint, motion = corner.shaft.inner_joint, whole_motion(corner)
    window = length_window(joint, motion, GearboxBox.of(corner.gearbox_movement), MARGIN)
    longest = window.longest_mm
    if not joint.stroke_at_angle:
        # The point of the box that is nearest to the outer joint can lie inside a face.
        axis = np.array(joint.axis) / np.linalg.norm(joint.axis)
        pushed_in = joint.mid_stroke + axis * (MARGIN - joint.stroke_in)
        box = dataclasses.astuple(corner.gearbox_movement)
        nearest = np.clip(motion.outer_joint, pushed_in - box, pushed_in + box)
        longest = np.linalg.norm(motion.outer_joint - nearest, axis=-1).min()
    made: float = variants.offsets_mm[draw, -1].item()
    return np.array([window.shortest_mm, longest]) - made


@pytest.mark.parametrize(
    ("name", "table", "limit", "draws"),
    [
        ("van-front", False, None, 40),
        ("van-front", False, 3.0, 40),
        ("van-front", True, None, 8),
        ("van-rear", False, None, 40),
        ("van-rear", False, 3.0, 40),
    ],
)
def test_critical_positions_stand_for_the_full_grid(
    name: str, table: bool, limit: float | None, draws: int
) -> None:
    corner = replace(example(name).corner("left"), brackets=())
    if not table:
        corner = plain_stroke(corner)
    variants, found = drawn(corner, Tape(limit), draws)
    grid = np.array([window_of_the_full_grid(variants, draw) for draw in range(draws)])
    # Both look at steps, neither is exact between its own: a two-hundredth of the tape's limit.
    close = 0.005 * (limit or 1.0)
    np.testing.assert_allclose(found.shortest_mm, grid[:, 0], rtol=0, atol=close)
    np.testing.assert_allclose(found.longest_mm, grid[:, 1], rtol=0, atol=close)
    assert np.abs(found.shortest_mm - grid[:, 0]).mean() < 0.001
    assert np.abs(found.longest_mm - grid[:, 1]).mean() < 0.001


@pytest.mark.parametrize(
    ("name", "limit"), [("van-front", 3.0), ("van-rear", 3.0), ("van-rear-measured", None)]
)
def test_each_draw_is_followed_to_its_own_worst_positions(name: str, limit: float | None) -> None:
    corner = replace(example(name).corner("left"), brackets=())
    # Judged where both angles break in some draws.
    worst = examine(corner)
    joint = replace(corner.shaft.inner_joint, max_angle=worst.inner_angle.value)
    outer = OuterJoint(worst.outer_angle.value)
    corner = replace(corner, shaft=replace(corner.shaft, inner_joint=joint, outer_joint=outer))
    variants, found = drawn(corner, Tape(limit), 1000)
    critical = critical_positions(variants, MARGIN)
    everywhere = {
        name: replace(getattr(critical, name), off=np.inf)
        for name in ("shortest", "longest", "inner_angle", "outer_angle")
    }
    every = answers(variants, replace(critical, ends=critical.positions, **everywhere))
    close = 0.002 * (limit or 1.0)
    np.testing.assert_allclose(found.shortest_mm, every.shortest_mm, rtol=0, atol=close)
    np.testing.assert_allclose(found.longest_mm, every.longest_mm, rtol=0, atol=close)
    np.testing.assert_array_equal(found.angles_hold, every.angles_hold)
    np.testing.assert_array_equal(found.closes, every.closes)
    assert 0 < np.count_nonzero(found.angles_hold) < 1000


@settings(max_examples=12)
@given(corner=strategies.corners(table=None), seed=st.integers(0, 1000))
def test_critical_positions_of_any_corner(corner: Corner, seed: int) -> None:
    limits = reach_of(corner.linkage, corner.hub)
    travel = Travel(min(60.0, 0.6 * limits.highest_mm), min(60.0, -0.6 * limits.lowest_mm))
    corner = replace(corner, travel=travel)
    if not whole_motion(corner, 10.0, 5.0).in_reach.all():
        corner = replace(corner, steering=None)
    variants, found = drawn(plain_stroke(corner), Tape(), 3, seed)
    for draw in range(3):
        if found.closes[draw]:
            ends = window_of_the_full_grid(variants, draw)
            assert found.shortest_mm[draw] == pytest.approx(ends[0], abs=0.02)
            assert found.longest_mm[draw] == pytest.approx(ends[1], abs=0.02)


def test_without_errors_it_is_the_examination(front: Corner) -> None:
    sure, seen = certainty(front, Tape(0.0), draws=10), examine(front)
    assert seen.window is not None
    assert sure.ride_centred.value_mm == pytest.approx(seen.ride_centred_length_mm, abs=1e-9)
    assert sure.ride_centred.low_mm == sure.ride_centred.high_mm
    assert sure.shortest.value_mm == pytest.approx(seen.window.shortest_mm, abs=0.005)
    assert sure.longest.value_mm == pytest.approx(seen.window.longest_mm, abs=0.005)
    assert sure.chance == float(seen.window.holds(sure.length_mm))
    assert sure.best_length_mm == pytest.approx(seen.window.middle_mm, abs=0.005)
    assert sure.shares == ()


@pytest.mark.parametrize("name", ["van-front", "van-rear"])
def test_monte_carlo_agrees_with_first_order_where_the_model_is_near_linear(name: str) -> None:
    sure = certainty(example(name).corner("left"))
    for one in (sure.ride_centred, sure.shortest, sure.longest):
        assert one.standard_uncertainty_mm == pytest.approx(one.first_order_mm, rel=0.03)
        assert one.mean_mm == pytest.approx(one.value_mm, abs=0.15)
        assert one.low_mm < one.value_mm < one.high_mm
        # Between a rectangle's 1.65 and a normal's 1.96 standard uncertainties, each way.
        assert 1.6 < (one.high_mm - one.low_mm) / (2 * one.standard_uncertainty_mm) < 2.0


def test_ride_centred_length_against_its_own_derivatives(front: Corner) -> None:
    # The distance of two points: each coordinate counts by its direction cosine.
    tape = Tape(0.0, (TapeError(OUTER_JOINT, (0.3, 0.5, 0.7), "sigma"),))
    span = np.subtract(front.hub.outer_joint, front.shaft.inner_joint.mid_stroke)
    cosines = span / np.linalg.norm(span)
    expected = np.sqrt(np.sum((cosines * [0.3, 0.5, 0.7]) ** 2))
    assert certainty(front, tape, draws=10).ride_centred.first_order_mm == pytest.approx(
        expected, rel=1e-5
    )


def with_length(corner: Corner, length: float) -> Corner:
    return replace(corner, shaft=replace(corner.shaft, length=length))


def test_chance_counts_the_draws_whose_window_holds_the_length(rear: Corner) -> None:
    sure = certainty(rear, draws=3000)
    lengths = np.linspace(sure.shortest.low_mm - 2, sure.longest.high_mm + 2, 57)
    counted = [
        np.mean((sure.shortest_draws_mm <= length) & (length <= sure.longest_draws_mm))
        for length in lengths
    ]
    np.testing.assert_allclose(sure.chance_of(lengths), counted, atol=1e-12)
    assert sure.best_chance >= max(counted) - sure.sampling_error(0.5)
    near_end = certainty(with_length(rear, 389.7), draws=3000)
    assert 0.05 < near_end.chance < 0.95
    assert near_end.chance == pytest.approx(float(sure.chance_of(389.7)), abs=0.05)


def narrow(corner: Corner) -> Certainty:
    """Judged where the window is barely open: the chance is neither 0 nor 1."""
    tight = replace(corner.shaft.inner_joint, stroke_in=10.2, stroke_out=10.2)
    corner = replace(corner, shaft=replace(corner.shaft, inner_joint=tight, length=None))
    return certainty(plain_stroke(corner), draws=20_000)


def test_empty_windows_hold_no_length(rear: Corner) -> None:
    sure = narrow(rear)
    empty = sure.shortest_draws_mm > sure.longest_draws_mm
    assert empty.any()
    some = sure.shortest_draws_mm[empty][:50]
    counted = [
        np.mean((sure.shortest_draws_mm <= length) & (length <= sure.longest_draws_mm))
        for length in some
    ]
    np.testing.assert_allclose(sure.chance_of(some), counted, atol=1e-12)


def test_the_best_length_is_the_best(rear: Corner) -> None:
    sure = narrow(rear)
    assert 0.1 < sure.best_chance < 0.99
    assert sure.best_length_mm is not None
    lengths = sure.best_length_mm + np.linspace(-5, 5, 201)
    slack = 2 * sure.sampling_error(sure.best_chance)
    assert sure.best_chance >= sure.chance_of(lengths).max() - slack
    assert sure.chance <= sure.best_chance + slack


@pytest.mark.parametrize("thing", [OUTER_JOINT, MID_STROKE])
def test_what_the_chance_becomes_if_a_thing_is_known_twice_as_well(
    rear: Corner, thing: Measurand
) -> None:
    measured = coordinates(rear)
    # Judged near the end of the window, where the chance hangs on the errors.
    corner = with_length(rear, 389.6)
    sure = certainty(corner)
    (share,) = [one for one in sure.shares if one.thing == thing]
    halved = tuple(
        Tape().error_of(one.thing, one.axis, one.value_mm).size_mm / 2
        for one in measured
        if one.thing == thing
    )
    again = certainty(corner, Tape(errors=(TapeError(thing, halved),)), seed=77)
    allowed = 3 * (sure.sampling_error(sure.chance) + again.sampling_error(again.chance))
    assert share.chance_if_halved > sure.chance
    assert share.chance_if_halved == pytest.approx(again.chance, abs=allowed)


def test_shares_rank_what_to_measure_again(rear: Corner) -> None:
    tape = Tape(
        0.0,
        (
            TapeError(OUTER_JOINT, (2.0, 0.0, 0.0)),
            TapeError(LENGTH, (1.0,)),
            TapeError(Measurand("linkage", "upper_pivot"), (0.2,)),
        ),
    )
    shares = certainty(rear, tape).shares
    assert [one.thing for one in shares[:2]] == [OUTER_JOINT, LENGTH]
    assert [one.share for one in shares] == sorted((one.share for one in shares), reverse=True)
    assert sum(one.share for one in shares) == pytest.approx(1.0, abs=0.02)
    # Twice the limit is four times the variance, at nearly the same slope.
    assert shares[0].share / shares[1].share == pytest.approx(4.0, rel=0.12)


def test_the_only_error_has_all_of_the_variance(front: Corner) -> None:
    tape = Tape(0.0, (TapeError(STROKE_OUT, (1.0,)),))
    first, *rest = certainty(with_length(front, 384.0), tape).shares
    assert first.thing == STROKE_OUT
    assert first.share == pytest.approx(1.0, abs=0.02)
    assert all(one.share == pytest.approx(0.0, abs=1e-9) for one in rest)


def test_a_draw_that_cannot_close_has_failed(rear: Corner) -> None:
    limits = reach_of(rear.linkage, rear.hub)
    # Full bump just inside of what the points as taken can reach.
    corner = replace(rear, travel=Travel(limits.highest_mm - 0.6, 40.0))
    assert whole_motion(corner).in_reach.all()
    sure = certainty(corner, draws=2000)
    assert 100 < sure.does_not_close < 1900
    assert sure.chance <= 1 - sure.does_not_close / 2000
    assert float(sure.chance_of(1e6)) == 0.0
    closing = np.isfinite(sure.shortest_draws_mm)
    assert np.count_nonzero(~closing) == sure.does_not_close
    assert np.isfinite(sure.shortest.standard_uncertainty_mm)


@pytest.mark.parametrize("name", ["van-front", "van-rear", "van-rear-measured"])
def test_a_shaft_too_short_to_reach_holds_in_no_draw(name: str) -> None:
    """Some draws reach the housing axis where the points as taken do not."""
    corner = replace(example(name).corner("left"), brackets=())
    for length in (5.0, 60.0):
        sure = certainty(with_length(corner, length), draws=100)
        assert (sure.chance, sure.angles_chance, sure.does_not_close) == (0.0, 0.0, 0)


@pytest.mark.parametrize("name", ["van-front", "van-rear"])
def test_at_the_very_end_of_reach_half_of_the_draws_fail_and_no_figure_is_nan(name: str) -> None:
    corner = replace(example(name).corner("left"), brackets=(), steering=None)
    highest = reach_of(corner.linkage, corner.hub).highest_mm
    sure = certainty(replace(corner, travel=Travel(highest - 0.001, 40.0)), draws=1000)
    assert 350 < sure.does_not_close < 650
    # Neither the stroke nor the angles of a shaft that is not followed are known to hold.
    assert sure.angles_chance <= 1 - sure.does_not_close / 1000
    for one in (sure.ride_centred, sure.shortest, sure.longest):
        figures = [figure for figure in dataclasses.astuple(one) if figure is not None]
        assert np.isfinite(figures).all()
    assert sure.shortest.first_order_mm is None
    assert sure.best_length_mm is not None
    assert all(np.isfinite((one.share, one.chance_if_halved)).all() for one in sure.shares)


def test_where_no_window_is_open_the_middle_of_the_commonest_is_offered(front: Corner) -> None:
    joint = replace(front.shaft.inner_joint, stroke_in=1.0, stroke_out=1.0, stroke_at_angle=())
    sure = certainty(replace(front, shaft=replace(front.shaft, inner_joint=joint)), draws=999)
    assert bool(np.all(sure.shortest_draws_mm > sure.longest_draws_mm))
    middle = 0.5 * (np.median(sure.shortest_draws_mm) + np.median(sure.longest_draws_mm))
    assert sure.best_length_mm == pytest.approx(middle, abs=1e-9)
    assert sure.chance == 0.0


def test_what_is_taken_where_nothing_is_said(front: Corner) -> None:
    sure = certainty(front)
    assert (sure.draws, sure.seed, sure.margin_mm) == (20_000, 1, 3.0)
    low, high = np.percentile(sure.shortest_draws_mm, (2.5, 97.5))
    assert (sure.shortest.low_mm, sure.shortest.high_mm) == pytest.approx((low, high))


def test_points_that_cannot_take_the_motion_are_refused(rear: Corner) -> None:
    with pytest.raises(OutOfReach, match="travel"):
        certainty(replace(rear, travel=Travel(400.0, 40.0)))


def test_chance_of_the_joint_angles(front: Corner) -> None:
    worst = examine(front).outer_angle.value
    at_limit = replace(front, shaft=replace(front.shaft, outer_joint=OuterJoint(worst)))
    assert certainty(front).angles_chance == 1.0
    assert certainty(at_limit).angles_chance == pytest.approx(0.5, abs=0.1)


def test_the_same_seed_gives_the_same_answer(front: Corner) -> None:
    one, two, other = (certainty(front, draws=500, seed=seed) for seed in (3, 3, 4))
    np.testing.assert_array_equal(one.shortest_draws_mm, two.shortest_draws_mm)
    assert one.chance == two.chance
    assert one.shares == two.shares
    assert not np.array_equal(one.shortest_draws_mm, other.shortest_draws_mm)


def as_measured(corner: Corner, travels: Sequence[float], *, hub: bool = True) -> Corner:
    """The same corner, its positions taken without error at some travels."""
    motion = solve(corner.linkage, corner.hub, travels)
    positions = tuple(
        MeasuredPosition(travel, tuple(outer.tolist()), tuple(wheel.tolist()) if hub else None)
        for travel, outer, wheel in zip(
            travels, motion.outer_joint, motion.wheel_centre, strict=True
        )
    )
    return replace(corner, linkage=Measured(positions), steering=None)


@pytest.mark.parametrize("scene", range(10))
def test_chance_with_a_measured_path_is_that_of_every_travel(scene: int, rear: Corner) -> None:
    """Each position errs by itself, so each may be the one that pulls apart or bottoms."""
    rng = np.random.default_rng(scene)
    travels = np.concatenate(([-40.0, 40.0], rng.choice([-30.0, -20, -10, 10, 20, 30], scene % 5)))
    corner = replace(plain_stroke(rear), travel=Travel(38.0, 40.0), steering=None)
    corner = as_measured(corner, np.unique(travels).tolist(), hub=scene % 2 == 0)
    limit = (0.7, 1.5, 3.0)[scene % 3]
    variants, found = drawn(corner, Tape(limit), 200, scene)

    columns = {(one.thing, one.axis): number for number, one in enumerate(variants.coordinates)}
    assert isinstance(corner.linkage, Measured)
    knots = [(OUTER_JOINT, 0.0, corner.hub.outer_joint)] + [
        (Measurand("position", "outer_joint", number), one.travel, one.outer_joint)
        for number, one in enumerate(corner.linkage.positions)
    ]

    def off(thing: Measurand, axis: int | None = None) -> Array:
        return variants.offsets_mm[:, columns[thing, axis]]

    def point(thing: Measurand, at: Sequence[float]) -> Array:
        return np.stack([at[axis] + off(thing, axis) for axis in range(3)], axis=-1)

    knots.sort(key=lambda knot: knot[1])
    taken = np.array([point(name, at) for name, _, at in knots])
    curve = CubicSpline([travel for _, travel, _ in knots], taken, bc_type="not-a-knot")
    joint, box = corner.shaft.inner_joint, np.array(dataclasses.astuple(corner.gearbox_movement))
    axis = np.array(joint.axis) / np.linalg.norm(joint.axis)
    mid = point(MID_STROKE, joint.mid_stroke)
    out_to = joint.stroke_out - MARGIN + off(STROKE_OUT)
    in_to = MARGIN - joint.stroke_in - off(STROKE_IN)
    shortest, longest = np.full(200, -np.inf), np.full(200, np.inf)
    number = np.arange(200)
    for travel in np.arange(-40.0, 38.5, 1.0):
        # The ends of the travel are read with an error too, and nothing is known beyond a knot.
        end = off(BUMP) * travel / 38.0 if travel > 0 else off(DROOP) * -travel / 40.0
        at = np.clip(travel + end * np.sign(travel), -40.0, 40.0)
        outer = curve(at)[number, number]
        furthest = np.abs(outer - mid - out_to[:, None] * axis) + box
        nearest = np.maximum(np.abs(outer - mid - in_to[:, None] * axis) - box, 0.0)
        shortest = np.maximum(shortest, np.linalg.norm(furthest, axis=1))
        longest = np.minimum(longest, np.linalg.norm(nearest, axis=1))
    made = off(LENGTH)
    np.testing.assert_allclose(found.shortest_mm, shortest - made, rtol=0, atol=1e-6)
    np.testing.assert_allclose(found.longest_mm, longest - made, rtol=0, atol=1e-6)


def test_measured_positions_are_drawn_too(front: Corner) -> None:
    corner = replace(front, steering=None)
    measured = as_measured(corner, [-80.0, -40.0, 35.0, 70.0])
    by_curve, by_linkage = certainty(measured), certainty(corner)
    assert by_curve.ride_centred.value_mm == pytest.approx(by_linkage.ride_centred.value_mm)
    assert by_curve.shortest.value_mm == pytest.approx(by_linkage.shortest.value_mm, abs=0.02)
    # Every position carries an error of its own, about that of the outer joint at ride height.
    ratio = by_curve.shortest.standard_uncertainty_mm / by_linkage.shortest.standard_uncertainty_mm
    assert 0.8 < ratio < 1.3
    assert by_curve.shortest.first_order_mm == pytest.approx(
        by_curve.shortest.standard_uncertainty_mm, rel=0.05
    )


def test_after_a_trial_fit_the_points_are_known_better(front: Corner) -> None:
    heights = [-70.0, -35.0, 0.0, 35.0, 65.0]
    motion = solve(front.linkage, front.hub, heights)
    swept = follow(front, motion).swept_length_mm
    fit = trial_fit(
        front,
        [
            TrialMeasurement(travel, value, error=0.2, travel_error=0.5)
            for travel, value in zip(heights, swept.tolist(), strict=True)
        ],
    )
    before, after = certainty(front), certainty(fit.fitted, correlated=fit.correlated)
    assert after.ride_centred.value_mm == pytest.approx(before.ride_centred.value_mm, abs=0.01)
    assert after.ride_centred.standard_uncertainty_mm < 0.1
    assert after.shortest.standard_uncertainty_mm < before.shortest.standard_uncertainty_mm
    assert after.ride_centred.first_order_mm == pytest.approx(
        after.ride_centred.standard_uncertainty_mm, rel=0.05
    )


def test_an_error_of_something_unknown_is_refused(front: Corner) -> None:
    unknown = Tape(errors=(TapeError(Measurand("hub", "outr"), (1.0,)),))
    with pytest.raises(InvalidInput, match=r"tape, errors: .* got outr of hub"):
        certainty(front, unknown)
    with pytest.raises(InvalidInput, match="draws"):
        certainty(front, draws=1)


def test_the_variant_without_offsets_is_the_corner(front: Corner) -> None:
    measured = coordinates(front)
    assert varied_corner(front, measured, np.zeros(len(measured))) == front
    assert (measured[0].thing, measured[0].axis) == (Measurand("linkage", "arm_pivot"), 0)
    assert (measured[-1].thing, measured[-1].axis) == (LENGTH, None)


def test_variants_of_measured_positions_move_as_the_corner_does() -> None:
    corner = example("van-rear-measured").corner("left")
    measured = coordinates(corner)
    offsets = np.random.default_rng(3).normal(0.0, 0.5, (2, len(measured)))
    travel = np.array([-60.0, 0.0, 41.0])
    variants = Variants(corner, measured, offsets)
    outer, axis = variants.outer_joint(Positions.of(corner, travel, np.zeros(3)))
    for draw in range(2):
        moved = draw_of(variants, draw)
        motion = solve(
            moved.linkage,
            moved.hub,
            variants.travel_mm(Positions.of(corner, travel, np.zeros(3)))[draw],
            np.zeros(3),
        )
        for ours, theirs in ((outer, motion.outer_joint), (axis, motion.hub_axis)):
            np.testing.assert_allclose(ours.stacked()[draw], theirs, atol=1e-9)


def test_shares_add_up_where_either_end_of_the_stroke_may_come_first(front: Corner) -> None:
    window = examine(front).window
    assert window is not None
    middle = with_length(front, 0.5 * (window.shortest_mm + window.longest_mm))
    shares = certainty(middle, draws=2000).shares
    assert sum(one.share for one in shares) == pytest.approx(1.0, abs=0.03)


@pytest.mark.parametrize("hub_measured", [True, False])
def test_variants_of_measured_positions_have_the_hub_axis_of_their_corner(
    hub_measured: bool,
) -> None:
    corner = example("van-rear-measured").corner("left")
    assert isinstance(corner.linkage, Measured)
    # A wheel that toes at each position another way.
    positions = tuple(
        replace(
            one,
            wheel_centre=(
                one.outer_joint[0] + 70.0,
                corner.hub.wheel_centre[1] + one.travel,
                5.0 * place,
            )
            if hub_measured
            else None,
        )
        for place, one in enumerate(corner.linkage.positions)
    )
    corner = replace(corner, linkage=Measured(positions), brackets=())
    measured = coordinates(corner)
    offsets = np.random.default_rng(5).normal(0.0, 0.5, (2, len(measured)))
    travel = np.array([-60.0, 0.0, 41.0])
    variants = Variants(corner, measured, offsets)
    _, axis = variants.outer_joint(Positions.of(corner, travel, np.zeros(3)))
    for draw in range(2):
        moved = draw_of(variants, draw)
        held = variants.travel_mm(Positions.of(corner, travel, np.zeros(3)))[draw]
        expected = solve(moved.linkage, moved.hub, held, np.zeros(3)).hub_axis
        np.testing.assert_allclose(axis.stacked()[draw], expected, atol=1e-9)
