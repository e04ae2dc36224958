"""The room that tacked gearbox mounts leave."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kinematics.errors import Check
from kinematics.part import Part


@dataclass(frozen=True, slots=True)
class MountRoom(Part):
    """How far the mounts let the gearbox go from where it is drawn, mm: least and most.

    ``lateral`` is + towards the car's left side, ``up`` + upwards.
    """

    lateral: tuple[float, float] = (0.0, 0.0)
    up: tuple[float, float] = (0.0, 0.0)

    def _checks(self) -> Iterable[Check]:
        for name in ("lateral", "up"):
            least, most = getattr(self, name)
            yield most >= least, name, "[least, most] in mm with most above least"
