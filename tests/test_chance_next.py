"""What to read next for the chance, against the scene settled and drawn again with the reading in.

The two differ by the sampling error of the chance drawn again: half a per cent at 4000 draws.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from kinematics.parts import DEFAULT_MARGIN
from kinematics.sure.certainty import Certainty
from kinematics.sure.chance_next import chance_after, read_next_for_chance
from kinematics.sure.read_next import unread
from kinematics.sure.readings import Reading
from kinematics.sure.trial import TrialMeasurement
from scenes.keys import with_value
from scenes.library import example
from scenes.model import Scene
from sketcher.answers.next_reading import next_for_chance, points_in_scene
from sketcher.answers.points import settle_scene, settled_scene
from sketcher.answers.sure import certainty_in_scene
from sketcher.words.points import next_for_chance_words, raising

READ = example("van-front-readings")
MID = "shafts.left.inner_joint.mid_stroke"
DRAWS = 4000


def weighed(scene: Scene, draws: int = DRAWS) -> Certainty:
    return certainty_in_scene(scene, "left", DEFAULT_MARGIN, draws=draws)


@cache
def car_weighed(car: str, draws: int = DRAWS) -> Certainty:
    return weighed(CARS[car], draws)


def of_length(scene: Scene, length_mm: float) -> Scene:
    return with_value(scene, "shafts.left.length", length_mm)


# As it is; read by a rule of wood; hardly fixed, where the window's ends bend.
CARS = {
    "well read": of_length(READ, 384.0),
    "read roughly": settled_scene(
        replace(
            of_length(READ, 400.0),
            readings=tuple(
                replace(one, error=2.0 if one.kind == "slope" else 5.0) for one in READ.readings
            ),
        )
    ),
    "hardly fixed": replace(of_length(READ, 385.0), readings=READ.readings[::2]),
}


@pytest.mark.parametrize("car", CARS)
def test_the_chance_after_a_reading_is_that_of_solving_again(car: str) -> None:
    scene = CARS[car]
    sure, settled = car_weighed(car), settle_scene(scene)
    best = read_next_for_chance(settled, "left", sure, unread(settled, scene.brackets))
    chances = [one.chance for one in best]
    assert len(best) == 5
    assert chances == sorted(chances, reverse=True)
    for one in (best[0], best[3])[: 2 if car == "well read" else 1]:
        again = weighed(replace(scene, readings=(*scene.readings, one.reading)))
        assert one.chance == pytest.approx(again.chance, abs=0.015)
        assert one.chance > sure.chance
    # And told alone, whatever else is asked.
    alone = chance_after(settled, "left", sure, [best[0].reading])
    assert alone == pytest.approx([best[0].chance])


def test_no_other_reading_would_raise_the_chance_more() -> None:
    scene = CARS["hardly fixed"]
    sure, settled = car_weighed("hardly fixed", 800), settle_scene(scene)
    could = unread(settled, scene.brackets)
    every = chance_after(settled, "left", sure, could.readings)
    best = read_next_for_chance(settled, "left", sure, could)
    assert len(every) > 50
    assert best[0].chance >= every.max() - 0.02


def test_a_reading_of_what_the_chance_does_not_hang_on_leaves_it() -> None:
    scene = CARS["well read"]
    sure, settled = car_weighed("well read"), settle_scene(scene)
    right = Reading("up", ("shafts.right.inner_joint.mid_stroke",), 312.0, 0.1)
    assert chance_after(settled, "left", sure, [right]) == pytest.approx([sure.chance], abs=0.003)
    assert chance_after(settled, "left", sure, []).shape == (0,)


def test_a_reading_far_coarser_than_what_is_known_leaves_the_chance() -> None:
    scene = CARS["well read"]
    sure, settled = car_weighed("well read"), settle_scene(scene)
    coarse = Reading("distance", ("hub.outer_joint", MID), 390.0, 500.0)
    assert chance_after(settled, "left", sure, [coarse]) == pytest.approx([sure.chance], abs=0.003)


def test_without_readings_or_where_the_chance_is_high_nothing_is_asked_for() -> None:
    assert next_for_chance(READ, "left", weighed(READ, 800)) == ()
    typed = of_length(example("van-front"), 384.0)
    sure, settled = weighed(typed, 800), settle_scene(typed)
    assert next_for_chance(typed, "left", sure) == ()
    assert read_next_for_chance(settled, "left", sure, unread(settled)) == ()


def test_the_chance_is_told_as_a_sentence() -> None:
    scene = CARS["well read"]
    sure = car_weighed("well read", 800)
    best = next_for_chance(scene, "left", sure)
    words = next_for_chance_words(best[0], replace(sure, chance=0.9149))
    assert words.startswith("Measure ")
    assert ": the chance of 384.0 mm goes from 91 to 9" in words
    assert "the ride-centred 384.0 mm" in next_for_chance_words(
        best[0], replace(sure, length_given=False)
    )
    same = replace(best[0], chance=sure.chance + 1e-9)
    assert raising(sure, (best[0], same)) == best[:1]


def test_marks_are_on_the_side_of_the_first_shaft() -> None:
    """A tape from the other side's output to a mark would lead across the car."""
    both = settle_scene(READ)
    names = [frozenset(one.points) for one in unread(both).readings if one.kind == "distance"]
    other = "shafts.right.inner_joint.mid_stroke"
    assert not any(other in one and any(p.startswith("mark.") for p in one) for one in names)
    assert frozenset((other, "hub.outer_joint")) in names
    left_out = [
        one for one in READ.readings if not any(p.startswith("shafts.left") for p in one.points)
    ]
    alone = replace(READ, left=None, readings=tuple(left_out))
    found = unread(settle_scene(alone)).readings
    assert any(other in one.points and "mark.rail hole" in one.points for one in found)
    assert np.all(unread(both).variance > 0.0)


def test_what_a_trial_has_measured_is_not_asked_for_again() -> None:
    both = frozenset(("hub.outer_joint", "shafts.left.inner_joint.mid_stroke"))

    def asked(trial: TrialMeasurement) -> bool:
        scene = replace(READ, left_making=replace(READ.left_making, trial=(trial,)))
        found = points_in_scene(scene).unread.readings
        return both in [frozenset(one.points) for one in found if one.kind == "distance"]

    assert both in [frozenset(one.points) for one in unread(settle_scene(READ)).readings]
    assert not asked(TrialMeasurement(0.0, 390.5))
    assert asked(TrialMeasurement(-60.0, 392.0))
    assert asked(TrialMeasurement(0.0, 0.5, "plunge"))
