"""How much torque one drive shaft sees: what the engine sends, or what the tyre holds."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from kinematics.errors import Check
from kinematics.part import Part

STANDARD_GRAVITY = 9.80665
# Common practice, no source: a dropped clutch or a sudden motor twice over; a dry road.
DEFAULT_SHOCK_FACTOR = 2.0
DEFAULT_GRIP = 1.0


@dataclass(frozen=True, slots=True)
class Drive(Part):
    """What drives one wheel, and how fast.

    ``engine_torque`` in N·m at its most; ``gear`` and ``final_drive`` are ratios, of
    the lowest gear; ``differential_split`` is this shaft's share (0.5 open, 1 where one
    wheel can take all).  ``wheel_load`` is the mass on the wheel in kg as scales show it,
    laden; ``grip`` the tyre's friction; ``tyre_radius`` the loaded radius, floor to wheel
    centre, mm; ``top_speed`` in km/h.
    """

    engine_torque: float
    gear: float
    final_drive: float
    wheel_load: float
    tyre_radius: float
    top_speed: float
    differential_split: float = 0.5
    shock_factor: float = DEFAULT_SHOCK_FACTOR
    grip: float = DEFAULT_GRIP

    def _checks(self) -> Iterable[Check]:
        for name, unit in (
            ("engine_torque", "N·m"),
            ("gear", "a ratio"),
            ("final_drive", "a ratio"),
            ("wheel_load", "kg"),
            ("tyre_radius", "mm"),
            ("top_speed", "km/h"),
            ("grip", "a coefficient of friction"),
        ):
            yield getattr(self, name) > 0, name, f"{unit} above 0"
        yield 0 < self.differential_split <= 1, "differential_split", "a share above 0, up to 1"
        yield self.shock_factor >= 1, "shock_factor", "a factor of 1 or more"


@dataclass(frozen=True, slots=True)
class WheelTorque:
    """Torque in one drive shaft, N·m.

    ``steady_nm`` without and ``shock_nm`` with the shock factor; ``grip_nm`` is where the
    tyre slips.  The smaller of the last two governs.  A tyre that spins and then grips
    again can go past ``grip_nm`` for a moment, for the wheel's own inertia adds to it.
    """

    steady_nm: float
    shock_nm: float
    grip_nm: float

    @property
    def governed_by(self) -> Literal["engine", "grip"]:
        """Which of the two limits is the smaller."""
        return "engine" if self.shock_nm <= self.grip_nm else "grip"

    @property
    def governing_nm(self) -> float:
        """The torque to design for."""
        return min(self.shock_nm, self.grip_nm)


def wheel_torque(drive: Drive) -> WheelTorque:
    """Torque in one drive shaft from the engine and from the tyre.

    Engine torque × gear × final drive × share × shock factor, no loss in the gearbox taken
    off, against load × grip × loaded radius.
    """
    steady = drive.engine_torque * drive.gear * drive.final_drive * drive.differential_split
    grip = drive.wheel_load * STANDARD_GRAVITY * drive.grip * drive.tyre_radius * 1e-3
    return WheelTorque(steady_nm=steady, shock_nm=steady * drive.shock_factor, grip_nm=grip)


def shaft_speed_rpm(speed_kmh: float, tyre_radius_mm: float) -> float:
    """Turns of wheel and shaft in a minute at a road speed.

    The loaded radius is a little below the rolling radius, so that the answer is on the
    fast side.
    """
    metres_per_minute = speed_kmh * 1000.0 / 60.0
    return metres_per_minute / (2.0 * math.pi * tyre_radius_mm * 1e-3)
