"""Limits and defaults just inside and just outside: margin 3 mm, wanted gap 6 mm, trimming."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kinematics.gaps.clearance import clearance
from kinematics.gaps.solids import TurnedBody
from kinematics.gaps.trimming import trim
from kinematics.parts import Bracket, Section
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.whole_motion import examine, whole_motion
from scenes.library import example

BAR = TurnedBody.between([400.0, 0.0, 0.0], [0.0, 0.0, 0.0], (Section("bar", 0, 400, (24, 24)),))


def plate(above_mm: float) -> Bracket:
    """A plate with no wanted gap of its own, so far above a bar of 12 mm radius."""
    low = 12.0 + above_mm
    return Bracket("plate", ((100, low), (200, low), (200, low + 40.0), (100, low + 40.0)))


@pytest.mark.parametrize(("above", "holds"), [(6.0001, True), (5.9999, False)])
def test_six_millimetres_are_wanted_where_nothing_else_is_said(above: float, holds: bool) -> None:
    worst = clearance([BAR], [plate(above)]).worst
    assert worst is not None
    assert worst.holds == holds
    assert trim([BAR], plate(above)).needed != holds


@pytest.mark.parametrize(("more", "broken"), [(-0.0001, False), (0.0001, True)])
def test_three_millimetres_of_stroke_are_left_where_nothing_else_is_said(
    more: float, broken: bool
) -> None:
    corner = replace(example("van-rear").corner("left"), brackets=())
    motion = whole_motion(corner, 15.0)
    window = examine(corner, motion=motion).window
    assert window is not None
    assert window.margin_mm == 3.0
    for length in (window.longest_mm + more, window.shortest_mm - more):
        made = replace(corner, shaft=replace(corner.shaft, length=length))
        found = examine(made, motion=motion)
        assert bool(found.broken) == broken
        assert min(found.stroke_left_in.value, found.stroke_left_out.value) == pytest.approx(
            3.0, abs=2e-4
        )


def test_arrays_of_a_box_cannot_be_written_to() -> None:
    corner = example("van-front").corner("left")
    box = GearboxBox.of(corner.gearbox_movement)
    assert box.places().shape == (27, 3)
    assert len(np.unique(box.corners, axis=0)) == 8
    for array in (box.half_mm, box.places(), box.corners):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.0
