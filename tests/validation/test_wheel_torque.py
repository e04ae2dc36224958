"""Torque at the wheel from the engine's.

Formula and figures: tutorial "wheel torque calculation", x-engineer.org: 150 N·m through
4.171 and 3.460, shared by an open differential.
"""

from __future__ import annotations

import pytest

from kinematics.making.torque import Drive, wheel_torque


def test_torque_on_each_side_of_an_open_differential() -> None:
    drive = Drive(150, 4.171, 3.460, wheel_load=400, tyre_radius=320, top_speed=180)
    assert wheel_torque(drive).steady_nm == pytest.approx(1082.37, abs=5e-3)
