"""What certainty, trial fit and placement cost: `python -m tests.benchmarks.bench_certainty`.

Medians of the time of one core, in seconds.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from functools import partial

from kinematics.linkage.motion import solve
from kinematics.shaft.following import follow
from kinematics.shaft.mount_room import MountRoom
from kinematics.shaft.placement import place_gearbox
from kinematics.sure.certainty import DRAWS, certainty
from kinematics.sure.tape import Tape
from kinematics.sure.trial import TrialMeasurement
from kinematics.sure.trial_fit import trial_fit
from scenes.library import example


def median_s(work: Callable[[], object], repeats: int = 5) -> float:
    """Median processor time of a call."""
    work()
    times = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return statistics.median(times)


def main() -> int:
    for name in ("van-front", "van-rear"):
        corner = example(name).corner("left")
        for words, limit in (("class II tape", None), ("known to 3 mm", 3.0)):
            spent = median_s(partial(certainty, corner, Tape(limit)))
            print(f"{name}, {words}: {DRAWS} draws over the whole motion {spent:6.3f} s")
    scene = example("van-front")
    corner = scene.corner("left")
    heights = [-75.0, -40.0, 0.0, 35.0, 65.0]
    motion = solve(corner.linkage, corner.hub, heights)
    swept = follow(corner, motion).swept_length_mm
    trial = [TrialMeasurement(t, v + 0.3) for t, v in zip(heights, swept.tolist(), strict=True)]
    print(
        f"trial fit of all points at 5 heights: {median_s(lambda: trial_fit(corner, trial)):6.3f} s"
    )
    both = {side: scene.corner(side) for side in scene.sides}
    room = MountRoom((-15.0, 15.0), (-10.0, 10.0))
    for free in (False, True):
        spent = median_s(lambda free=free: place_gearbox(both, room, free=free))  # type: ignore[misc]
        print(f"placement, 21 x 21 places, shafts {'free' if free else 'as given'}: {spent:6.3f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
