"""R. C. Hibbeler, *Mechanics of Materials*, chapter 5: brass core bonded in a steel tube.

From memory: tube 1 in outside, core 0.5 in, G 11.4e6 and 5.20e6 psi, 250 lb·ft, of which
the tube takes 242.6 and the core 7.38 lb·ft.
"""

from __future__ import annotations

import pytest

from kinematics.making.torsion import torque_shares, torsional_stiffness_nm2

PSI = 6.894757e-6  # GPa


def test_core_and_tube() -> None:
    tube = torsional_stiffness_nm2(25.4, 12.7, 11.4e6 * PSI)
    core = torsional_stiffness_nm2(12.7, 0.0, 5.20e6 * PSI)
    shares = 250.0 * torque_shares([tube, core])
    assert shares[0] == pytest.approx(242.6, abs=0.05)
    assert shares[1] == pytest.approx(7.38, abs=5e-3)
