"""The room that tacked gearbox mounts leave."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kinematics.errors import Problem
from kinematics.part import Part


@dataclass(frozen=True, slots=True)
class MountRoom(Part):
    """How far the mounts let the gearbox go from where it is drawn, mm: least and most.

    ``lateral`` is + towards the car's left side, ``up`` + upwards.
    """

    lateral: tuple[float, float] = (0.0, 0.0)
    up: tuple[float, float] = (0.0, 0.0)

    def _problems(self) -> Iterable[Problem]:
        for name in ("lateral", "up"):
            least, most = getattr(self, name)
            if most < least:
                yield Problem(name, "expected [least, most] in mm with most above least")
