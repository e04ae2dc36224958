"""Cars read at random: points, readings that err within their limits, and a drawing that is off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from kinematics.parts import Strut, Wishbones
from kinematics.sure.reading_values import ReadingValues
from kinematics.sure.readings import BETWEEN_KINDS, Mark, Reading, ReadingKind
from kinematics.vectors import Array
from scenes.library import example
from scenes.model import Scene
from sketcher.answers.points import car_points

KINDS: tuple[ReadingKind, ...] = (
    "distance", "distance", "distance", "distance", "distance", "distance",
    "rise", "slope", "up", "up", "out", "fore", "across",
)  # fmt: skip
Held = tuple[float, float]


def random_readings(
    rng: np.random.Generator, scene: Scene, count: int, held: Sequence[Held] = ()
) -> tuple[Reading, ...]:
    """Readings of the scene as it is, each off by chance within its limit."""
    points = scene.points
    found: list[Reading] = []
    names = [name for name in points if not name.startswith("shafts.right")]
    while len(found) < count:
        kind = KINDS[rng.integers(len(KINDS))]
        chosen = [names[n] for n in rng.permutation(len(names))[: 1 + (kind in BETWEEN_KINDS)]]
        span = np.abs(np.subtract(points[chosen[0]], points[chosen[-1]]))
        if kind in BETWEEN_KINDS and (np.linalg.norm(span) < 60.0 or span[0] < 30.0):
            continue
        at = held[int(rng.integers(len(held)))] if held and rng.random() < 0.3 else (0.0, 0.0)
        error = 1.0 if rng.random() < 0.4 else None
        found.append(Reading(kind, tuple(chosen), 1.0, error, *at))
    return err(rng, scene, found)


def err(rng: np.random.Generator, scene: Scene, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """The same readings of the scene as it is, off by chance within their limits."""
    points = car_points(scene)
    values = ReadingValues(points, readings)(np.zeros(3 * len(points))).values
    exact = [replace(one, value=value) for one, value in zip(readings, values, strict=True)]
    return tuple(
        replace(one, value=one.value + rng.uniform(-one.limit, one.limit)) for one in exact
    )


def drawn_off(rng: np.random.Generator, scene: Scene, off_mm: float) -> Scene:
    """The scene drawn by somebody: read points off by so much, the others within a tape's error."""
    read = {name for one in scene.readings for name in one.points}

    def drawn(name: str) -> tuple[float, float, float]:
        by = rng.normal(0.0, off_mm, 3) if name in read else rng.uniform(-0.7, 0.7, 3)
        out, up, fore = np.add(scene.points[name], by).tolist()
        return (out, up, fore)

    linkage = scene.linkage
    assert isinstance(linkage, Strut | Wishbones)
    return replace(
        scene,
        linkage=type(linkage)(*(drawn(f"linkage.{field}") for field in type(linkage).__slots__)),
        hub=replace(
            scene.hub,
            outer_joint=drawn("hub.outer_joint"),
            wheel_centre=drawn("hub.wheel_centre"),
        ),
        marks=tuple(Mark(one.name, drawn(f"mark.{one.name}")) for one in scene.marks),
    )


def car(rng: np.random.Generator, name: str = "van-front", marks: int = 3) -> Scene:
    """The van with some marks on its body."""
    places: Array = rng.uniform((300, 150, -200), (700, 700, 200), (marks, 3))
    return replace(
        example(name),
        marks=tuple(Mark(f"m{n}", (a, b, c)) for n, (a, b, c) in enumerate(places.tolist())),
    )


def car_read(
    rng: np.random.Generator,
    name: str = "van-front",
    count: int = 20,
    held: Sequence[Held] = (),
    off_mm: float = 3.0,
) -> Scene:
    """A car with readings at random, drawn off."""
    true = car(rng, name)
    read = replace(true, readings=random_readings(rng, true, count, held))
    return drawn_off(rng, read, off_mm)


# What somebody would read: everything to two marks and to the centreline, heights by a long rule.
MARKS = (
    Mark("rail hole", (455.0, 420.0, 120.0)),
    Mark("subframe bolt", (395.0, 232.0, -140.0)),
    Mark("sill seam", (640.0, 205.0, -310.0)),
)
_READ = (
    "linkage.arm_pivot", "linkage.ball_joint", "linkage.strut_top", "linkage.strut_lower",
    "hub.outer_joint", "hub.wheel_centre", "shafts.left.inner_joint.mid_stroke",
)  # fmt: skip


def well_read() -> tuple[Scene, tuple[Reading, ...]]:
    """The van with every point of the left side fixed twice over, and those readings."""
    scene = replace(example("van-front"), marks=MARKS)
    marks = tuple(f"mark.{mark.name}" for mark in MARKS)
    readings = [Reading("up", (name,), 1.0) for name in (*_READ, *marks)]
    readings += [Reading("out", (name,), 1.0) for name in (*_READ, *marks)]
    readings += [Reading("fore", (name,), 1.0) for name in marks]
    readings += [Reading("distance", (name, mark), 1.0) for name in _READ for mark in marks]
    return scene, tuple(readings)
