"""Results cannot be written to, whatever they hold."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

import numpy as np
import pytest

import kinematics
from scenes.library import example


def changeable(found: object, name: str) -> Iterator[str]:
    """What could be changed in a result, by its path in it."""
    if isinstance(found, np.ndarray):
        if found.flags.writeable:
            yield name
    elif isinstance(found, tuple):
        for number, one in enumerate(found):
            yield from changeable(one, f"{name}[{number}]")
    elif isinstance(found, (list, dict, set)):
        yield name
    elif dataclasses.is_dataclass(found) and not isinstance(found, type):
        try:
            found.__setattr__(dataclasses.fields(found)[0].name, None)
            yield name
        except dataclasses.FrozenInstanceError:
            pass
        for field in dataclasses.fields(found):
            yield from changeable(getattr(found, field.name), f"{name}.{field.name}")


@pytest.mark.parametrize("name", ["van-front", "van-rear", "van-rear-measured"])
def test_results_are_read_only(name: str) -> None:
    corner = example(name).corner("left")
    motion = kinematics.whole_motion(corner, 20.0, 20.0)
    for found in (
        motion,
        motion.at((0, 0)),
        kinematics.solve(corner.linkage, corner.hub, 10.0),
        kinematics.follow(corner, motion),
        kinematics.examine(corner, motion=motion),
        kinematics.certainty(corner, draws=100),
    ):
        assert list(changeable(found, type(found).__name__)) == []
