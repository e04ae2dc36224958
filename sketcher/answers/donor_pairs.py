"""The donors that a scene lists for one side, ranked in pairs."""

from __future__ import annotations

from kinematics.making.ranking import DonorPair, ranked_pairs
from kinematics.making.torque import wheel_torque
from kinematics.shaft.whole_motion import Examination
from scenes.model import Scene, Side


def ranked(scene: Scene, side: Side, found: Examination) -> tuple[DonorPair, ...]:
    """All pairs for a shaft of the length that was examined, the best first; none without."""
    making, shaft = scene.making(side), scene.shaft(side)
    if making.splice is None:
        return ()
    return ranked_pairs(
        making.donors("hub"),
        making.donors("gearbox"),
        making.splice,
        found.length_mm,
        torque_nm=None if scene.drive is None else wheel_torque(scene.drive).governing_nm,
        window_mm=found.right_mm,
        sections=() if shaft is None else shaft.sections,
    )
