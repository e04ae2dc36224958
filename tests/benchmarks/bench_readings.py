"""How long the points take to follow a reading: ``python -m tests.benchmarks.bench_readings``."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np

from kinematics.sure.settling import settle
from scenes.library import example
from sketcher.answers.next_reading import points_in_scene
from sketcher.answers.points import car_points

_TIMES = 20


def main() -> None:
    """Print the median of each, processor time."""
    scene = example("van-front-readings")
    points, readings = car_points(scene), scene.readings
    settling, answering = [], []
    for number in range(_TIMES):
        # Another number each time: what was answered before is kept.
        one = replace(readings[0], value=readings[0].value + 0.1 * number)
        changed = (one, *readings[1:])
        start = time.process_time()
        settle(points, changed)
        settling.append(time.process_time() - start)
        start = time.process_time()
        points_in_scene(replace(scene, readings=changed))
        answering.append(time.process_time() - start)
    for name, seconds in (("settling", settling), ("with what to read next", answering)):
        print(f"{len(readings)} readings, {name}: {1e3 * np.median(seconds):.1f} ms")


if __name__ == "__main__":
    main()
