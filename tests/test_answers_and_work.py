"""What is answered of axles made at random, and how much is worked out for it.

Pinned from our own output: it proves nothing right, and shows at once what a change changes.
Speed is a feature: how many numbers the functions of each module are given to work on does not
grow unnoticed.  Another processor rounds in another way, and a search may end a step sooner.
``python -m tests.test_answers_and_work`` writes ``tests/pinned/answers`` anew; read the
difference.
"""

from __future__ import annotations

import dataclasses
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import numpy as np
import pytest
import shapely

import kinematics
from kinematics.errors import KinematicsError
from kinematics.gaps.clearance import clearance
from kinematics.gaps.closest import closest_approaches
from kinematics.gaps.envelope import envelope
from kinematics.linkage.motion import reach_of
from kinematics.part import Part
from kinematics.shaft.clearing import trim_to_clear
from kinematics.shaft.following import follow, gearbox_shifts
from kinematics.shaft.fouling import solids
from kinematics.shaft.placement import place_gearbox
from kinematics.shaft.whole_motion import examine, whole_motion
from kinematics.sure.certainty import certainty
from kinematics.sure.chance_next import read_next_for_chance
from kinematics.sure.expected import expected_swept
from kinematics.sure.read_next import read_next, ride_centred_slopes, unread
from kinematics.sure.settling import settle
from kinematics.sure.tape import Tape
from kinematics.sure.trial_fit import trial_fit
from kinematics.vectors import Array
from sketcher.answers.corner_answers import gap_curve, sweep, worst_gaps
from sketcher.answers.making_work import made
from sketcher.answers.points import car_points
from tests import random_scenes
from tests.pinning import ROUNDING, now_and_before, same, write_anew
from tests.random_readings import car_read

MECHANICS = str(Path(kinematics.__file__).resolve().parent)
FEW = 9
# How far a count of numbers may be off, among whole steps of a search, relative.
STEP = 3e-3


def examined(seed: int, kind: str) -> object:
    corner = random_scenes.scene(seed, kind, brackets=2).corner("left")
    return examine(corner, 2.0, whole_motion(corner, 12.0, 16.0))


def gaps(seed: int, kind: str) -> Iterator[object]:
    corner = random_scenes.scene(seed, kind, brackets=5).corner("left")
    motion = whole_motion(corner, 9.0, 11.0)
    shaft = follow(corner, motion, shift_mm=gearbox_shifts(corner.gearbox_movement)[:3])
    parts = solids(corner, motion, shaft)
    yield clearance(parts.bodies, corner.brackets, parts.carriers)
    yield clearance(parts.bodies, corner.brackets, parts.carriers, each_bracket=False).gap_mm


def sweeping(seed: int, kind: str) -> Iterator[object]:
    corner = random_scenes.scene(seed, kind, brackets=3).corner("left")
    over = sweep(corner, reach_of(corner.linkage, corner.hub))
    yield gap_curve(corner, over)
    yield worst_gaps(corner, over, (0, 2))


def blocks(seed: int, kind: str) -> object:
    corner = random_scenes.scene(seed, kind, brackets=4).corner("left")
    motion = whole_motion(corner, 3.0, 4.0)
    shaft = follow(corner, motion, shift_mm=gearbox_shifts(corner.gearbox_movement)[:5])
    parts = solids(corner, motion, shaft)
    return closest_approaches(parts.bodies, corner.brackets, parts.carriers)


def swept(seed: int, kind: str) -> Iterator[object]:
    corner = random_scenes.scene(seed, kind, brackets=0).corner("left")
    motion = whole_motion(corner, 1.0, 40.0)
    bodies = solids(corner, motion, follow(corner, motion)).bodies
    yield envelope(bodies)
    yield envelope(bodies, grown_mm=4.0, within_mm=1.0)
    yield envelope(bodies, within_mm=1e-9)


def trimmed(seed: int, kind: str) -> Iterator[object]:
    corner = random_scenes.scene(seed, kind, brackets=2, share=0.15).corner("left")
    for bracket in corner.brackets[:2]:
        yield trim_to_clear({"shafts.left": corner}, bracket)


def sure(seed: int, kind: str) -> object:
    return certainty(random_scenes.scene(seed, kind).corner("left"), draws=300)


def lost(seed: int, kind: str) -> object:
    """Errors as large as the linkage: most of the draws get nowhere."""
    return certainty(random_scenes.scene(seed, kind).corner("left"), Tape(1000.0), draws=300)


def fitted(seed: int, kind: str) -> object:
    scene = random_scenes.made(seed, kind)
    return trial_fit(scene.corner("left"), scene.left_making.trial)


def expected(seed: int, kind: str) -> object:
    return expected_swept(random_scenes.scene(seed, kind).corner("left"), (-30.0, 0.0, 25.0))


def placed(seed: int, kind: str) -> Iterator[object]:
    scene = random_scenes.scene(seed, kind)
    assert scene.gearbox_placement is not None
    for free in (False, True):
        corners = {"left": scene.corner("left")}
        yield place_gearbox(corners, scene.gearbox_placement, free=free, points=5)  # type: ignore[arg-type]


def read(seed: int, name: str) -> Iterator[object]:
    rng = np.random.default_rng(seed)
    scene = car_read(rng, name, 24, ((-60.0, 0.0), (40.0, 12.0)))
    settled = settle(car_points(scene), scene.readings)
    yield settled
    could = unread(settled, scene.brackets)
    yield read_next(settled, ride_centred_slopes(settled, "left"), could)
    drawn = certainty(scene.corner("left"), draws=300, correlated=settled.correlated("left"))
    few = dataclasses.replace(
        could,
        readings=could.readings[::40],
        slopes=could.slopes[::40],
        variance=could.variance[::40],
    )
    yield read_next_for_chance(settled, "left", drawn, few)


def manufactured(seed: int, kind: str) -> object:
    scene = random_scenes.made(seed, kind)
    corner = scene.corner("left")
    return made(scene, "left", examine(corner, 2.0, whole_motion(corner, 10.0, 15.0)))


ASKED: Mapping[str, tuple[Callable[[int, str], object], tuple[tuple[int, str], ...]]] = {
    "examined": (
        examined,
        ((1, "strut"), (2, "strut"), (3, "wishbones"), (6, "wishbones"), (5, "measured")),
    ),
    "gaps": (gaps, ((11, "strut"), (12, "wishbones"), (13, "measured"), (14, "strut"))),
    "sweeping": (sweeping, ((15, "strut"), (16, "wishbones"))),
    "blocks": (blocks, ((11, "strut"), (12, "wishbones"), (14, "strut"))),
    "swept": (swept, ((1, "strut"), (4, "wishbones"))),
    "trimmed": (trimmed, ((21, "strut"), (22, "wishbones"), (23, "strut"), (25, "measured"))),
    "sure": (sure, ((1, "strut"), (2, "wishbones"), (3, "measured"))),
    "lost": (lost, ((1, "strut"), (2, "wishbones"))),
    "fitted": (fitted, ((1, "strut"), (2, "wishbones"), (3, "measured"))),
    "expected": (expected, ((1, "strut"), (2, "measured"))),
    "placed": (placed, ((1, "strut"), (2, "wishbones"))),
    "read": (read, ((1, "van-front"), (2, "van-rear"))),
    "made": (manufactured, tuple((n, ("strut", "wishbones")[n % 2]) for n in range(1, 9))),
}


def told(value: Any, path: str = "") -> Iterator[str]:
    """Every number and word of an answer."""
    match value:
        case np.ndarray() | float():
            yield f"{path}: {_numbers(np.asarray(value, dtype=float))}"
        case shapely.Geometry():
            yield f"{path}: {value.area:.9g} {value.length:.9g}"
        case Part():
            yield f"{path}: {type(value).__name__}"
        case tuple() | list() if all(isinstance(one, int | float) for one in value):
            yield from told(np.array(value, dtype=float), path)
        case tuple() | list() | Mapping():
            within = value if isinstance(value, Mapping) else dict(enumerate(value))
            for key, one in within.items():
                yield from told(one, f"{path}[{key}]")
        case _ if dataclasses.is_dataclass(value):
            for field in dataclasses.fields(value):
                yield from told(getattr(value, field.name), f"{path}.{field.name}")
        case _:
            yield f"{path}: {'a function' if callable(value) else value}"


def _numbers(values: Array) -> str:
    """A few numbers as they are; of many what any change of them changes."""
    if values.size <= FEW:
        return " ".join(f"{one:.9g}" for one in values.ravel())
    known = values[np.isfinite(values)]
    # Weights in no order twice, so that numbers that change places are seen, too.
    sums = np.abs(known).sum(), known @ np.cos(np.arange(len(known)) ** 1.5)
    return f"{values.shape} {values.size - known.size} {sums[0]:.9g} {sums[1]:.9g}"


def _forget() -> None:
    """Forget what the mechanics keep, so that it does not matter what was asked before."""
    for name, module in sys.modules.items():
        if name.startswith("kinematics."):
            for one in vars(module).values():
                if hasattr(one, "cache_clear"):
                    one.cache_clear()


def worked(work: Callable[[], Any]) -> tuple[Any, Counter[str]]:
    """What is answered, and how many numbers each module's functions were given for it."""
    numbers = Counter[str]()
    modules: dict[CodeType, str] = {}

    def seen(frame: FrameType, event: str, _: object) -> None:
        if event != "call":
            return
        code = frame.f_code
        module = modules.get(code)
        if module is None:
            # What the language runs as a function and nobody has written as one does not count.
            ours = code.co_filename.startswith(MECHANICS) and not code.co_name.startswith("<")
            module = code.co_filename[len(MECHANICS) + 1 :] if ours else ""
            modules[code] = module
        if module:
            arrays = (one for one in frame.f_locals.values() if isinstance(one, np.ndarray))
            numbers[module] += sum(one.size for one in arrays)

    _forget()
    before = sys.getprofile()
    sys.setprofile(seen)
    try:
        return work(), numbers
    finally:
        sys.setprofile(before)


def of(name: str, seed: int, kind: str) -> Iterator[str]:
    question = ASKED[name][0]

    def work() -> object:
        try:
            found = question(seed, kind)
            return list(found) if isinstance(found, Iterator) else found
        except KinematicsError as error:
            return str(error)

    answer, numbers = worked(work)
    yield from told(answer)
    if question is trimmed:
        # Much of a cut edge is as near as wanted: where it is looked at hangs on last digits.
        return
    yield from (f"{module} {count}" for module, count in sorted(numbers.items()) if count)


@pytest.mark.parametrize(
    ("name", "seed", "kind"),
    [(name, *one) for name, (_, seeds) in ASKED.items() for one in seeds],
)
def test_answers_and_work_are_as_they_were(name: str, seed: int, kind: str) -> None:
    said, was = now_and_before(f"answers/{name}-{seed}-{kind}", of(name, seed, kind))
    assert len(said) == len(was)
    for line, before in zip(said, was, strict=True):
        assert len(line.split()) == len(before.split()), line
        assert same(line, before, STEP if ".py " in line else ROUNDING), line


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
