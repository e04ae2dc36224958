"""What a side's swept length may measure in the car, by the tape and the readings of its scene."""

from __future__ import annotations

from collections.abc import Sequence

from kinematics.sure.expected import Expected, expected_swept
from scenes.model import Scene, Side
from scenes.part_keys import tape_on
from sketcher.answers.sure import correlated_in_scene


def expected_in_scene(scene: Scene, side: Side, travel_mm: Sequence[float]) -> tuple[Expected, ...]:
    """What one side's swept length may measure in the car at each travel.

    Raises NoSuchSide, InvalidInput for readings that cannot be met.
    """
    corner = scene.corner(side)
    tape, together = tape_on(scene.tape, corner, side), correlated_in_scene(scene, side)
    return expected_swept(corner, travel_mm, tape, correlated=together)
