"""The chance where points rest on readings: against drawing whole cars and examining each."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kinematics.parts import DEFAULT_MARGIN, GearboxMovement
from kinematics.shaft.following import ride_centred_length_mm
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.length_window import length_window
from kinematics.shaft.whole_motion import whole_motion
from kinematics.sure.measurands import Coordinate
from kinematics.sure.readings import Reading
from kinematics.sure.variants import varied_corner
from scenes.model import Scene
from sketcher.answers.next_reading import points_in_scene
from sketcher.answers.points import settled_scene
from sketcher.answers.sure import certainty_in_scene, correlated_in_scene
from tests.random_readings import err, well_read

CARS = 300


@pytest.fixture(scope="module")
def scene() -> Scene:
    true, readings = well_read()
    bare = replace(true, brackets=(), right=None, gearbox_movement=GearboxMovement())
    # A tape that reads every distance and height to a few mm: the chance is then a real one.
    loose = tuple(replace(one, error=3.0) for one in readings)
    return settled_scene(replace(bare, readings=err(np.random.default_rng(4), bare, loose)))


def test_the_chance_is_that_of_cars_drawn_one_by_one(scene: Scene) -> None:
    """Points correlated as the adjustment has them, everything else by the tape."""
    corner = scene.corner("left")
    found = certainty_in_scene(scene, "left", DEFAULT_MARGIN, draws=20_000)
    # A length for which the chance is far from certain either way.
    length = float(np.quantile(found.shortest_draws_mm, 0.6))
    assert 0.3 < found.chance_of(length) < 0.9
    together = correlated_in_scene(scene, "left")
    assert together is not None
    kept = [n for n, (one, _) in enumerate(together.coordinates) if one.part != "mark"]
    names = [together.coordinates[n] for n in kept]
    covariance = together.covariance_mm2[np.ix_(kept, kept)]
    rng = np.random.default_rng(9)
    root = np.linalg.cholesky(covariance + 1e-12 * np.eye(len(kept)))
    chosen = [Coordinate(thing, axis, 0.0) for thing, axis in names]
    joint = corner.shaft.inner_joint
    rides, good = [], 0
    for _ in range(CARS):
        offsets = root @ rng.normal(size=len(kept))
        car = varied_corner(corner, chosen, offsets)
        strokes = rng.uniform(-0.7, 0.7, 2)
        table = tuple((a, i + strokes[0], o + strokes[1]) for a, i, o in joint.stroke_at_angle)
        inner = replace(
            car.shaft.inner_joint,
            stroke_in=joint.stroke_in + strokes[0],
            stroke_out=joint.stroke_out + strokes[1],
            stroke_at_angle=table,
        )
        bump, droop = rng.uniform(-0.7, 0.7, 2)
        car = replace(
            car,
            shaft=replace(car.shaft, inner_joint=inner),
            travel=replace(
                car.travel, bump=corner.travel.bump + bump, droop=corner.travel.droop + droop
            ),
        )
        motion = whole_motion(car, 5.0, 5.0)
        window = length_window(inner, motion, GearboxBox.of(GearboxMovement()), DEFAULT_MARGIN)
        good += window.holds(length + rng.uniform(-0.7, 0.7))
        rides.append(ride_centred_length_mm(inner, car.hub.outer_joint))
    chance = float(found.chance_of(length))
    assert good / CARS == pytest.approx(chance, abs=3.3 * np.sqrt(chance * (1 - chance) / CARS))
    assert found.ride_centred.standard_uncertainty_mm == pytest.approx(np.std(rides), rel=0.15)


def test_the_length_s_interval_is_that_of_the_adjustment(scene: Scene) -> None:
    found = certainty_in_scene(scene, "left", DEFAULT_MARGIN, draws=20_000)
    half = points_in_scene(scene).half_width_mm["left"]
    width = found.ride_centred.high_mm - found.ride_centred.low_mm
    assert 0.5 * width == pytest.approx(half, rel=0.03)
    assert found.ride_centred.first_order_mm is not None
    assert found.ride_centred.first_order_mm * 1.959964 == pytest.approx(half, rel=0.02)


def test_what_hangs_together_matters(scene: Scene) -> None:
    """The shaft's two ends measured from one another: each unsure, their distance is not."""
    outer, inner = "hub.outer_joint", "shafts.left.inner_joint.mid_stroke"
    apart = math.dist(scene.points[outer], scene.points[inner])
    readings = (
        Reading("out", (outer,), scene.points[outer][0], 20.0),
        Reading("up", (inner,), scene.points[inner][1], 20.0),
        Reading("distance", (outer, inner), apart, 0.5),
    )
    answer = points_in_scene(replace(scene, readings=readings))
    assert answer.settled.correlated("left").covariance_mm2[0, 0] > 30.0
    assert answer.half_width_mm["left"] < 0.7


def test_readings_of_a_mark_alone_leave_the_chance_as_it_is(scene: Scene) -> None:
    """The first reading of a list need not name a point that the shaft hangs on."""
    bare = replace(scene, readings=())
    mark = f"mark.{scene.marks[0].name}"
    read = replace(bare, readings=(Reading("up", (mark,), scene.points[mark][1]),))
    without = certainty_in_scene(bare, "left", DEFAULT_MARGIN, draws=500)
    with_mark = certainty_in_scene(read, "left", DEFAULT_MARGIN, draws=500)
    assert with_mark.chance == without.chance
    assert with_mark.ride_centred.low_mm == without.ride_centred.low_mm
