"""ISO 286-2, limits of H8 bores and g7 bars, and ISO 5817 no. 617, root gap of a fillet.

From memory: 25 mm has H8 +33/0 and g7 −7/−28; 16 mm +27/0, −6/−24; 40 mm +39/0, −9/−34 µm.
ISO 5817, level B: 0.5 mm + 0.1 a, 2 mm at most.
"""

from __future__ import annotations

import pytest

from kinematics.making.fit import sleeve_fit


@pytest.mark.parametrize(
    ("diameter", "least", "most"),
    [(10.0, 0.005, 0.042), (16.0, 0.006, 0.051), (18.0, 0.006, 0.051), (18.01, 0.007, 0.061),
     (25.0, 0.007, 0.061), (30.0, 0.007, 0.061), (40.0, 0.009, 0.073), (60.0, 0.010, 0.086)],
)  # fmt: skip
def test_sliding_fit_is_smallest_bore_on_largest_bar_and_the_other_way(
    diameter: float, least: float, most: float
) -> None:
    fit = sleeve_fit(diameter + 0.05, diameter, 5.0)
    assert (fit.least_mm, fit.sliding_mm) == pytest.approx((least, most))
    assert fit.clearance_mm == pytest.approx(0.05)
    assert sleeve_fit(diameter + most - 1e-4, diameter, 5.0).slides
    assert not sleeve_fit(diameter + most + 1e-4, diameter, 5.0).slides


def test_gap_that_fillets_bridge() -> None:
    # Throat 3.54 of a leg of 5: 0.854 on each side.
    assert sleeve_fit(26.0, 25.0, 5.0).most_mm == pytest.approx(
        2 * (0.5 + 0.1 * 5 * 0.70711), abs=1e-4
    )
    assert sleeve_fit(26.0, 25.0, 60.0).most_mm == pytest.approx(4.0)


def test_bars_beyond_the_table_have_the_fit_of_its_last_row() -> None:
    # ISO 286-2 goes on to 500 mm with wider limits: the last row's are the stricter ones.
    assert sleeve_fit(90.05, 90.0, 5.0).sliding_mm == sleeve_fit(80.05, 80.0, 5.0).sliding_mm
