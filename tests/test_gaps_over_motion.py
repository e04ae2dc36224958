"""The smallest gap over a whole motion is some position's own, and no position has a smaller."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kinematics.errors import InvalidInput
from kinematics.gaps.clearance import clearance
from kinematics.gaps.closest import SMALL, closest_approaches
from kinematics.parts import (
    MOST_CORNERS,
    Bracket,
    Corner,
    GearboxMovement,
    Section,
    Steering,
    Travel,
)
from kinematics.shaft.following import follow, gearbox_shifts
from kinematics.shaft.fouling import Solids, solids
from kinematics.shaft.whole_motion import whole_motion
from scenes.library import example

DRAWN = example("van-rear").corner("left")
HOUSING = (Section("housing", -50.0, 20.0, (84.0, 84.0)),)
REAR = replace(
    DRAWN,
    shaft=replace(DRAWN.shaft, inner_joint=replace(DRAWN.shaft.inner_joint, sections=HOUSING)),
    brackets=(),
    travel=Travel(57.0, 61.0),
    steering=Steering(32.0, 30.0),
    gearbox_movement=GearboxMovement(2.0, 3.0, 2.0),
)
MOUNTS = st.sampled_from(("body", "arm", "knuckle", "gearbox"))
# Corners round the shaft's outline, from clear of it to right through it.
CORNERS = st.tuples(st.floats(200, 720), st.floats(180, 420))


def parts_of(corner: Corner, travel_step: float, steer_step: float) -> Solids:
    motion = whole_motion(corner, travel_step, steer_step)
    shifts = gearbox_shifts(corner.gearbox_movement)
    shaft = follow(corner, motion, shift_mm=shifts)
    return solids(corner, motion, shaft)


COARSE = parts_of(REAR, 4.0, 4.0)


def one_gap(parts: Solids, bracket: Bracket, at: tuple[int, ...]) -> float:
    """The gap at one position of the motion alone."""
    shape = (*np.broadcast_shapes(*(body.positions for body in parts.bodies)),)
    place = int(np.ravel_multi_index(at, shape))
    bodies = []
    for body in parts.bodies:
        own = body.seen_from(parts.carriers[bracket.mounted_on]).flat(shape)
        bodies.append(replace(own, origin=own.origin[place], axis=own.axis[place]))
    still = replace(bracket, mounted_on="body")
    return float(clearance(bodies, [still]).gap_mm)


@settings(max_examples=40, deadline=None)
@given(
    corners=st.tuples(CORNERS, CORNERS, CORNERS),
    mount=MOUNTS,
    fore=st.none() | st.tuples(st.floats(-80, 20), st.floats(25, 80)),
)
def test_the_smallest_gap_is_that_of_looking_everywhere(
    corners: tuple[tuple[float, float], ...], mount: str, fore: tuple[float, float] | None
) -> None:
    try:
        bracket = Bracket("triangle", corners, mount, fore)  # type: ignore[arg-type]
    except InvalidInput:
        assume(False)
        raise
    (found,) = closest_approaches(COARSE.bodies, [bracket], COARSE.carriers)
    everywhere = clearance(COARSE.bodies, [bracket], COARSE.carriers, each_position=False)
    assert everywhere.worst is not None
    assert found.gap_mm == pytest.approx(everywhere.worst.gap_mm, abs=2e-6)
    assert np.isfinite(found.point_mm).all()
    assert one_gap(COARSE, bracket, found.position) == pytest.approx(found.gap_mm, abs=2e-6)
    body = COARSE.bodies[found.body]
    assert body.sections[found.section].name == found.section_name


def test_a_gap_that_stays_the_same_is_not_lost() -> None:
    # The housing moves with the gearbox, so its gap to what is on the gearbox never changes.
    fine = parts_of(REAR, 1.0, 1.0)
    assert np.prod(np.broadcast_shapes(*(body.positions for body in fine.bodies))) > SMALL
    rng = np.random.default_rng(3)
    made: list[Bracket] = []
    while len(made) < 12:
        out, up = rng.uniform(180, 420), rng.uniform(180, 420)
        corners = tuple(
            (float(out + x), float(up + y)) for x, y in rng.uniform(-60.0, 60.0, (3, 2))
        )
        made.append(Bracket(f"triangle {len(made)}", corners, "gearbox", (-40.0, 40.0)))
    for found, bracket in zip(
        closest_approaches(fine.bodies, made, fine.carriers), made, strict=True
    ):
        assert np.isfinite(found.point_mm).all()
        assert one_gap(fine, bracket, found.position) == pytest.approx(found.gap_mm, abs=2e-6)


def ring(corners: int, centre: tuple[float, float] = (430.0, 300.0)) -> Bracket:
    turn = np.linspace(0.0, 2.0 * np.pi, corners, endpoint=False)
    radius = 30.0 + 3.0 * np.cos(7.0 * turn)
    points = np.stack([centre[0] + radius * np.cos(turn), centre[1] + radius * np.sin(turn)], 1)
    return Bracket("ring", tuple((float(x), float(y)) for x, y in points), fore=(-30.0, 40.0))


def test_an_outline_of_many_corners_is_worked_out_in_little_memory() -> None:
    few = parts_of(REAR, 20.0, 20.0)
    tracemalloc.start()
    try:
        found = clearance(few.bodies, [ring(MOST_CORNERS)], few.carriers)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert found.worst is not None
    coarse = clearance(few.bodies, [ring(MOST_CORNERS // 4)], few.carriers).worst
    assert coarse is not None
    assert found.worst.gap_mm == pytest.approx(coarse.gap_mm, abs=0.01)
    assert most < 100e6


def test_more_corners_than_a_drawing_may_have_are_refused() -> None:
    assert len(ring(MOST_CORNERS).outline) == MOST_CORNERS == 2000
    with pytest.raises(InvalidInput, match="outline: expected 2000 corners or fewer, got 2001"):
        ring(MOST_CORNERS + 1)
