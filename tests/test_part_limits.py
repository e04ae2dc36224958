"""What each part takes and what it refuses, number by number, held as it is.

Pinned from our own output: it proves nothing right, and shows at once what a change changes.
``python -m tests.test_part_limits`` writes ``tests/pinned/part-limits.txt`` anew.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any

from kinematics.errors import InvalidInput
from kinematics.linkage.bodies import Arm, StrutTube
from kinematics.making.lathe import Lathe
from kinematics.part import Part
from kinematics.sure.readings import READING_KINDS, Mark, Reading
from kinematics.sure.tape import Tape, TapeError
from scenes.errors import SceneError
from scenes.library import example
from scenes.photo import Photo
from tests import random_scenes
from tests.pinning import now_and_before, write_anew

TRIED = (-1e5, -90.0, -1.0, -1e-3, 0.0, 1e-3, 0.5, 1.0, 1.001, 79.9, 80.0, 89.9, 90.0, 1e5, 1.1e5)
OWN: tuple[Part, ...] = (
    Arm(22.0, 18.0, (-40.0, 35.0)),
    StrutTube(52.0, 10.0, 190.0),
    Lathe(500.0, 200.0, 120.0, 26.0),
    Mark("hole", (455.0, 420.0, 120.0)),
    Tape(0.7, (TapeError("linkage.arm_pivot", (0.5,)),)),
    *(
        Reading(kind, ("a", "b") if kind in ("distance", "rise", "slope") else ("a",), 20.0, 1.0)
        for kind in READING_KINDS
    ),
    Photo("front.jpg", ((0.0, 0.0, 0.0, 0.0), (90.0, 0.0, 90.0, 0.0))),
)


def parts_in(value: Any) -> Iterator[Part]:
    """Every part of a scene."""
    if isinstance(value, Part):
        yield value
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from parts_in(getattr(value, field.name))
    elif isinstance(value, tuple):
        for one in value:
            yield from parts_in(one)


def every_part() -> dict[str, Part]:
    """One of each kind, those with most in them first."""
    found: dict[str, Part] = {}
    scenes = [example("van-front-making"), example("van-rear-measured")]
    scenes += [random_scenes.made(1, "wishbones"), random_scenes.made(2, "strut")]
    for scene in (*scenes, random_scenes.scene(1, "wishbones")):
        for part in (*parts_in(scene), scene.corner("left")):
            found.setdefault(type(part).__name__, part)
    for part in OWN:
        found[f"{type(part).__name__} {getattr(part, 'kind', '')}".strip()] = part
    return found


def told(part: Part, name: str, value: object) -> str:
    try:
        dataclasses.replace(part, **{name: value})  # type: ignore[type-var]
    except InvalidInput as error:
        return " and ".join(f"{one.field}: {one.message}" for one in error.problems)
    except (SceneError, TypeError, ValueError) as error:
        return f"{type(error).__name__}: {error}"
    return "taken"


def of_part(called: str, part: Part) -> Iterator[str]:
    for field in dataclasses.fields(part):  # type: ignore[arg-type]
        value = getattr(part, field.name)
        tried: list[object] = []
        if value is None or (isinstance(value, int | float) and not isinstance(value, bool)):
            tried = [*TRIED]
        elif isinstance(value, tuple) and all(isinstance(one, int | float) for one in value):
            for place in range(len(value)):
                tried += [(*value[:place], one, *value[place + 1 :]) for one in TRIED]
        elif isinstance(value, str):
            tried = ["", "nothing of the kind"]
        last = ""
        for one in tried:
            now = told(part, field.name, one)
            if now != last:
                yield f"{called}.{field.name} from {one}: {now}"
            last = now


def test_what_parts_take_and_refuse() -> None:
    every = (line for called, part in every_part().items() for line in of_part(called, part))
    said, was = now_and_before("part-limits", every)
    assert said == was


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
