"""How often one misread reading is found: many cars read at random, one number each off by 10 mm.

    python -m tests.misread --count 500 --readings 34

Prints how many are named as suspicious, and why the others are not: another reading errs with
the misread one so nearly alike that no test tells them apart, or a coordinate that the readings
hardly fix gives way to it.
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import dataclass, field, replace

import numpy as np

from kinematics.errors import KinematicsError
from kinematics.sure.reading_values import ReadingValues
from kinematics.sure.readings import Reading
from kinematics.sure.settling import Settled, settle
from sketcher.answers.points import car_points, settle_scene
from tests.random_readings import car_read

LEAST_REDUNDANCY, LEAST_MM, MOST_MM = 0.2, 10.0, 30.0
# Residuals that go together as much as this say the same of every error.
_ALIKE = 0.9


@dataclass
class Tally:
    """What came of it."""

    clean: int = 0
    false_alarms: int = 0
    misread: Counter[str] = field(default_factory=Counter)


def alike(settled: Settled, one: int, other: int) -> float:
    """The correlation of two residuals."""
    readings = [each.reading for each in settled.readings]
    slopes = ReadingValues(settled.car, readings)(np.zeros(3 * len(settled.car))).slopes
    spread = slopes @ settled.covariance_mm2 @ slopes.T
    left = np.diag([each.standard_uncertainty**2 for each in readings]) - spread
    return float(left[one, other] / np.sqrt(left[one, one] * left[other, other]))


def named(place: int, settled: Settled) -> str:
    """Whether the misread reading is the one that is named, and if not, why not."""
    if settled.suspicious is None:
        return "not seen: a coordinate that is hardly fixed gives way"
    if settled.suspicious == place:
        return "found"
    if abs(alike(settled, place, settled.suspicious)) > _ALIKE:
        return "another is named, which errs alike"
    return "another is named"


def tally(count: int, readings: int, seed: int) -> Tally:
    """Read so many cars, and misread one number of each."""
    rng, found = np.random.default_rng(seed), Tally()
    while found.misread.total() < count:
        scene = car_read(rng, "van-front", readings)
        settled = settle_scene(scene)
        found.clean += 1
        found.false_alarms += settled.suspicious is not None
        checked = [
            place
            for place, one in enumerate(settled.readings)
            if one.redundancy > LEAST_REDUNDANCY and one.reading.kind != "slope"
        ]
        if not checked:
            continue
        place = checked[rng.integers(len(checked))]
        by = rng.choice((-1.0, 1.0)) * rng.uniform(LEAST_MM, MOST_MM)
        wrong: list[Reading] = [*scene.readings]
        if wrong[place].value + by <= 0.0:
            continue
        wrong[place] = replace(wrong[place], value=wrong[place].value + by)
        try:
            found.misread[named(place, settle(car_points(scene), wrong))] += 1
        except KinematicsError:
            found.misread["refused in one line"] += 1
    return found


def main() -> None:
    """Print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--readings", type=int, default=34)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    found = tally(asked.count, asked.readings, asked.seed)
    print(f"{found.false_alarms} of {found.clean} clean sets raise an alarm")
    for words, number in found.misread.most_common():
        print(f"{100.0 * number / asked.count:5.1f} %  {words}")


if __name__ == "__main__":
    main()
