"""What clearance costs: `python tests/benchmarks/bench_clearance.py`, medians in milliseconds."""

from __future__ import annotations

import itertools
import statistics
import sys
import time
from collections.abc import Callable

import numpy as np

from kinematics.gaps.clearance import clearance
from kinematics.gaps.closest import closest_approaches
from kinematics.gaps.envelope import envelope
from kinematics.gaps.solids import TurnedBody
from kinematics.gaps.trimming import trim
from kinematics.parts import Bracket, FrontPoint, Section
from kinematics.vectors import Array

SECTIONS = (
    Section("joint boot", 35, 105, (78, 44)),
    Section("bar", 105, 150, (24, 24)),
    Section("damper", 150, 170, (60, 60)),
    Section("bar", 170, 200, (24, 24)),
    Section("sleeve", 200, 260, (34, 34)),
    Section("bar", 260, 300, (24, 24)),
    Section("inner boot", 300, 370, (40, 74)),
    Section("tripod cup", 370, 400, (84, 84)),
)


def swept_shaft(travels: int, steers: int, sections: tuple[Section, ...] = SECTIONS) -> TurnedBody:
    """A shaft through bump and droop, straight and at both locks: close to a real motion."""
    rise, steer = np.meshgrid(
        np.linspace(-85.0, 75.0, travels), np.linspace(-30.0, 30.0, steers), indexing="ij"
    )
    outer = np.stack([676.0 - rise**2 / 700.0 + steer * 0.1, 301.0 + rise, steer * 1.2], axis=-1)
    return TurnedBody.between(outer, [282.0, 318.0, -6.0], sections)


def ragged(centre: FrontPoint, radius: float, corners: int, rng: np.random.Generator) -> Array:
    """A star-shaped outline, seldom convex."""
    angle = np.sort(rng.uniform(0, 2 * np.pi / corners, corners)) + np.arange(corners) * (
        2 * np.pi / corners
    )
    size = radius * rng.uniform(0.5, 1.0, corners)
    return np.asarray(centre) + np.stack([size * np.cos(angle), size * np.sin(angle)], axis=1)


def brackets_round(count: int, corners: int = 12, seed: int = 7) -> list[Bracket]:
    """Brackets above, below, before and behind the shaft; some clear, some in its way."""
    rng = np.random.default_rng(seed)
    made = []
    for i in range(count):
        centre = (rng.uniform(320, 640), 310 + rng.choice([-1, 1]) * rng.uniform(90, 170))
        outline = ragged(centre, rng.uniform(25, 70), corners, rng)
        rear = rng.uniform(-120, 60)
        fore = None if i % 4 == 0 else (rear, rear + rng.uniform(4, 80))
        made.append(Bracket(f"bracket {i}", tuple(map(tuple, outline.tolist())), fore=fore))
    return made


def median_ms(work: Callable[[], object], repeats: int = 21) -> float:
    """Median time of a call."""
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1e3 * statistics.median(times)


def whole_motion() -> TurnedBody:
    """Travel by the millimetre, steer by the degree, gearbox at 15 places: 161 925 positions."""
    shaft = swept_shaft(161, 67)
    sign = np.array([*itertools.product((-1, 1), repeat=3), *np.eye(3), *-np.eye(3), np.zeros(3)])
    inner = np.array([282.0, 318.0, -6.0]) + sign * (4.0, 6.0, 8.0)
    return TurnedBody.between(shaft.origin[..., None, :], inner, SECTIONS)


def main() -> int:
    shaft, dragged = swept_shaft(241, 3), swept_shaft(161, 3)
    few, many = brackets_round(6), brackets_round(10)
    everything = whole_motion()
    trimmed = min(many, key=lambda bracket: np.nanmin(clearance([shaft], [bracket]).gap_mm))
    for what, work in (
        (
            "241 travels x 3 steers x 10 brackets of 12 corners x 8 sections",
            lambda: clearance([shaft], many),
        ),
        (
            "161 travels x 3 steers x 6 brackets, as while dragging",
            lambda: clearance([dragged], few),
        ),
        (
            "the same, smallest gap at each position only",
            lambda: clearance([dragged], few, each_bracket=False),
        ),
        (
            "161 travels x 67 steers x 15 gearbox places, each of 10 brackets",
            lambda: closest_approaches([everything], many),
        ),
        ("envelope of 41 travels", lambda: envelope([swept_shaft(41, 1)])),
        ("envelope of 161 travels x 3 steers", lambda: envelope([dragged])),
        ("trimming one bracket over 241 travels x 3 steers", lambda: trim([shaft], trimmed)),
    ):
        print(f"{what:66} {median_ms(work):7.1f} ms")
    return 0


if __name__ == "__main__":
    sys.exit(main())
