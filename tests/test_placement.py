"""Gearbox placement: signs, the map against single examinations, the best place."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinematics.errors import InvalidInput, OutOfReach
from kinematics.parts import Bracket, Corner, Side, Travel
from kinematics.shaft.mount_room import MountRoom
from kinematics.shaft.placement import (
    Place,
    place_gearbox,
    placed_corner,
    smallest_spare_gap,
)
from kinematics.shaft.whole_motion import examine
from scenes.library import example

ROOM = MountRoom((-12.0, 16.0), (-10.0, 14.0))


def corners(name: str = "van-front") -> dict[Side, Corner]:
    scene = example(name)
    return {side: replace(scene.corner(side), brackets=()) for side in scene.sides}


def plain(corner: Corner) -> Corner:
    joint = replace(corner.shaft.inner_joint, stroke_at_angle=())
    return replace(corner, shaft=replace(corner.shaft, inner_joint=joint))


def with_length(corner: Corner, length: float | None) -> Corner:
    return replace(corner, shaft=replace(corner.shaft, length=length))


def spares(place: Place) -> dict[tuple[Side, str], float]:
    return {(one.side, one.quantity): one.share for one in place.spares}


def test_to_the_left_is_outboard_on_the_left_and_inboard_on_the_right() -> None:
    both = corners()
    for side, out in (("left", 5.0), ("right", -5.0)):
        corner = both["left" if side == "left" else "right"]
        was = corner.shaft.inner_joint.mid_stroke
        now = placed_corner(corner, "left" if side == "left" else "right", 5.0, -3.0)
        mid = now.shaft.inner_joint.mid_stroke
        assert mid == pytest.approx((was[0] + out, was[1] - 3.0, was[2]))
        assert now.hub == corner.hub


def test_brackets_on_the_gearbox_go_with_it() -> None:
    foot = Bracket("foot", ((400, 200), (440, 200), (440, 220)), "gearbox")
    rail = Bracket("rail", ((400, 200), (440, 200), (440, 220)), "body")
    moved = placed_corner(replace(corners()["right"], brackets=(foot, rail)), "right", 5.0, 2.0)
    assert moved.brackets[0].outline[0] == (395.0, 202.0)
    assert moved.brackets[1] == rail


@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("name", ["van-front", "van-rear"])
def test_a_place_leaves_what_its_examination_says(name: str, free: bool) -> None:
    both = {side: plain(corner) for side, corner in corners(name).items()}
    found = place_gearbox(both, ROOM, free=free)
    for place in (found.best, found.now):
        told = spares(place)
        for side, corner in both.items():
            there = placed_corner(corner, side, place.lateral_mm, place.up_mm)
            seen = examine(with_length(there, place.lengths_mm[side]))
            joint = corner.shaft.inner_joint
            half = (joint.stroke_in + joint.stroke_out) / 2
            if free or corner.shaft.length is None:
                assert seen.window is not None
                assert place.lengths_mm[side] == pytest.approx(seen.window.middle_mm, abs=0.02)
                left = (seen.window.longest_mm - seen.window.shortest_mm) / 2
            else:
                left = min(seen.stroke_left_in.to_spare, seen.stroke_left_out.to_spare)
            # The map steps by 4 mm and 4 degrees, the examination by 1.
            assert told[side, "stroke"] == pytest.approx(left / half, abs=0.003)
            inner, outer = seen.inner_angle, seen.outer_angle
            assert told[side, "inner_angle"] == pytest.approx(
                inner.to_spare / inner.limit, abs=0.003
            )
            assert told[side, "outer_angle"] == pytest.approx(
                outer.to_spare / outer.limit, abs=0.003
            )


def test_positions_chosen_in_few_places_serve_the_whole_map() -> None:
    both = corners()
    found = place_gearbox(both, ROOM, points=5)
    for i in (0, 1, 3, 4):
        for j in (1, 2, 4):
            lateral, up = float(found.lateral_mm[i]), float(found.up_mm[j])
            there = placed_corner(both["left"], "left", lateral, up)
            seen = examine(there)
            left = min(seen.stroke_left_in.to_spare, seen.stroke_left_out.to_spare)
            joint = there.shaft.inner_joint
            told = found.shares[found.limits.index(("left", "stroke")), i, j]
            assert told * (joint.stroke_in + joint.stroke_out) / 2 == pytest.approx(left, abs=0.05)


def test_a_finer_map_says_the_same_of_the_places_of_a_coarser_one() -> None:
    both = corners("van-rear")
    coarse, fine = (place_gearbox(both, ROOM, points=points) for points in (9, 17))
    np.testing.assert_allclose(fine.shares[:, ::2, ::2], coarse.shares, atol=1e-3)
    assert fine.share.max() >= coarse.share.max() - 1e-3
    assert place_gearbox(both, ROOM).share.shape == (21, 21)


def test_a_gap_in_the_room_is_told_from_few_positions_but_nearly_right() -> None:
    for bracket in (
        Bracket("rail", ((400, 205), (460, 205), (460, 240), (400, 240))),
        Bracket("stay", ((560, 380), (600, 380), (600, 420)), "knuckle", (-40.0, 60.0)),
    ):
        corner = replace(corners()["left"], brackets=(bracket,))
        (gap,) = examine(corner).gaps
        told = smallest_spare_gap(corner) + bracket.wanted_gap
        assert gap.worst.value - 1e-6 <= told <= gap.worst.value + 0.6


def test_a_mirrored_car_has_a_mirrored_map() -> None:
    scene = corners("van-rear")
    both: dict[Side, Corner] = {
        "left": scene["left"],
        "right": with_length(scene["right"], 398.0),
    }
    swapped: dict[Side, Corner] = {"left": both["right"], "right": both["left"]}
    room = MountRoom((-10.0, 10.0), (-5.0, 5.0))
    one, other = (place_gearbox(sides, room, points=9) for sides in (both, swapped))
    np.testing.assert_allclose(one.kept, other.kept[::-1], atol=1e-9)
    np.testing.assert_allclose(one.share, other.share[::-1], atol=1e-9)


def test_equal_shafts_want_the_gearbox_where_both_have_as_much() -> None:
    corner = with_length(plain(corners("van-rear")["left"]), None)
    # The right output sits 8 mm further inboard: 4 mm to the left is even.
    inner = placed_corner(corner, "left", -8.0, 0.0)
    room = MountRoom((-12.0, 12.0), (0.0, 0.0))
    found = place_gearbox({"left": inner, "right": corner}, room, points=25)
    assert found.best.lateral_mm == pytest.approx(4.0, abs=1e-9)
    told = spares(found.best)
    assert told["left", "stroke"] == pytest.approx(told["right", "stroke"], abs=1e-6)
    assert found.up_mm.tolist() == [0.0]


@settings(max_examples=10)
@given(lateral=st.floats(-15, 15), up=st.floats(-10, 10), wide=st.floats(0, 12))
def test_the_best_place_is_in_the_room_and_keeps_most(
    lateral: float, up: float, wide: float
) -> None:
    room = MountRoom((lateral, lateral + wide), (up, up + wide))
    found = place_gearbox(corners("van-rear"), room, points=7)
    best = found.best
    assert room.lateral[0] <= best.lateral_mm <= room.lateral[1]
    assert room.up[0] <= best.up_mm <= room.up[1]
    assert best.worst.kept == pytest.approx(found.kept.max())
    assert (found.kept <= 1.0 + 1e-12).all()
    assert (found.now.lateral_mm, found.now.up_mm) == (0.0, 0.0)
    worst = np.take_along_axis(found.shares, found.worst[None], axis=0)[0]
    assert (worst >= found.share - 1e-12).all()


def test_a_broken_limit_weighs_more_than_any_spare() -> None:
    both = corners("van-rear")
    both["left"] = with_length(both["left"], 425.0)
    found = place_gearbox(both, MountRoom((-10.0, 10.0), (-10.0, 10.0)))
    assert found.now.worst.side == "left"
    assert found.now.worst.quantity == "stroke"
    assert found.now.worst.share < 0
    # Too long a shaft on the left wants the gearbox moved inboard there: to the right.
    assert found.best.lateral_mm < 0


def test_a_gap_counts_where_it_is_asked_for() -> None:
    below = Bracket("rail", ((400, 205), (460, 205), (460, 240), (400, 240)))
    both = {side: replace(corner, brackets=(below,)) for side, corner in corners().items()}
    room = MountRoom((0.0, 0.0), (-8.0, 12.0))
    found = place_gearbox(both, room, points=6, spare_gap=smallest_spare_gap)
    clearance = found.shares[found.limits.index(("left", "clearance")), 0]
    # Over a rail below the shaft, higher is clearer, until a full wanted gap is to spare.
    assert (np.diff(clearance) >= 0).all()
    assert clearance[0] < clearance[-1] <= 1.0
    asked = placed_corner(both["left"], "left", 0.0, 12.0)
    assert clearance[-1] == pytest.approx(min(smallest_spare_gap(asked) / 6.0, 1.0))
    assert np.isinf(smallest_spare_gap(corners()["left"]))


def test_what_makes_no_map_is_refused() -> None:
    with pytest.raises(InvalidInput, match="left, the right or both"):
        place_gearbox({}, ROOM)
    with pytest.raises(InvalidInput, match="most above least"):
        MountRoom((5.0, -5.0))
    far = {side: replace(one, travel=Travel(900, 50)) for side, one in corners().items()}
    with pytest.raises(OutOfReach, match="travel"):
        place_gearbox(far, ROOM)
