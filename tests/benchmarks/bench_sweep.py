"""What the main job costs: `python -m tests.benchmarks.bench_sweep`, medians in milliseconds.

A sweep of 241 travels and 41 steer angles with all that the table holds, against scipy's
general root finder on the same conditions, for both kinds of linkage, in one run.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from kinematics.linkage.knuckle import Geometry
from kinematics.linkage.motion import Motion, solve
from kinematics.linkage.reach import reach
from kinematics.parts import Corner, Measured
from kinematics.shaft.following import ShaftMotion, follow
from kinematics.shaft.whole_motion import examine, whole_motion
from kinematics.vectors import Array
from scenes.library import example
from tests.validation.test_constraint_solve import Mechanism

TRAVELS, STEERS = 241, 41
FOLLOWED_BY_SCIPY = 40


def median_ms(run: Callable[[], object], repeats: int = 31) -> float:
    """Median of a call's durations, after one call that is not counted."""
    run()
    durations = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        durations.append(time.perf_counter() - start)
    return statistics.median(durations) * 1e3


def grid(corner: Corner) -> tuple[Array, Array]:
    """The sweep's travels and steer angles, which broadcast."""
    locks = (corner.steering.outside_lock, corner.steering.inside_lock) if corner.steering else None
    low, high = (-locks[0], locks[1]) if locks else (-30.0, 35.0)
    travels = np.linspace(-corner.travel.droop, corner.travel.bump, TRAVELS)
    return travels[:, None], np.linspace(low, high, STEERS)[None, :]


def sweep(corner: Corner) -> tuple[Motion, ShaftMotion]:
    """Everything that the table holds, from the scene's points on."""
    motion = solve(corner.linkage, corner.hub, *grid(corner))
    return motion, follow(corner, motion)


def scipy_ms(corner: Corner) -> float:
    """Milliseconds for each position by scipy, from its neighbour, the shaft left out."""
    mechanism = Mechanism(corner)
    drawn = mechanism.wheel[1]
    travels = np.linspace(0.0, corner.travel.bump, FOLLOWED_BY_SCIPY)
    x = np.zeros(8)
    start = time.perf_counter()
    for travel in travels:
        x = mechanism.neighbour(
            x, 0.0, lambda p, t=travel: p.carried(mechanism.wheel)[1] - drawn - t
        )
    return (time.perf_counter() - start) * 1e3 / len(travels)


def coarse(corner: Corner) -> Motion:
    """The motion that the window looks at while something is dragged."""
    return whole_motion(corner, 5.0, 15.0)


def answers(corner: Corner) -> dict[str, Callable[[], object]]:
    """What is timed beside the sweep."""
    assert not isinstance(corner.linkage, Measured)
    geometry, motion = Geometry.of(corner.linkage, corner.hub), coarse(corner)
    return {
        "reach": lambda: reach(geometry),
        "whole motion, 1 mm and 1 deg": lambda: whole_motion(corner),
        "examine, whole motion": lambda: examine(corner),
        "examine, 5 mm and 15 deg, its motion included": lambda: examine(
            corner, motion=coarse(corner)
        ),
        "examine, 5 mm and 15 deg, motion given": lambda: examine(corner, motion=motion),
    }


def main() -> None:
    """Print the numbers."""
    for name in ("van-front", "van-rear"):
        corner = replace(example(name).corner("left"), brackets=())
        ours = median_ms(partial(sweep, corner))
        theirs = scipy_ms(corner)
        each = ours / (TRAVELS * STEERS)
        print(f"{name}, {corner.linkage.kind}")
        print(f"{ours:10.2f} ms  sweep of {TRAVELS} x {STEERS}, everything derived")
        print(f"{each * 1e3:10.2f} us  one position of it")
        print(f"{theirs * 1e3:10.0f} us  one position by scipy, without its shaft")
        print(f"{theirs / each:10.0f}     ratio")
        for what, run in answers(corner).items():
            print(f"{median_ms(run, 15):10.2f} ms  {what}")


if __name__ == "__main__":
    main()
