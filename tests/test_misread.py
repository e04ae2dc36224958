"""A measured position that looks misread is found, and an honest one is not.

The amount and its test are those of data snooping (W. Baarda, A Testing Procedure for
Use in Geodetic Networks, 1968; from memory), as in ISO 17123-like least squares; scipy's
chi-square distribution is the second route of the threshold.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import chi2

from kinematics.linkage.motion import solve
from kinematics.parts import Corner, Measured, MeasuredPosition, Point
from kinematics.sure.measurands import Measurand, coordinates
from kinematics.sure.misread import SUSPICIOUS, misread_position
from kinematics.sure.tape import Tape, TapeError
from kinematics.sure.variants import varied_corner
from scenes.library import example
from tests.test_measured import TRAVELS, taken_from


@pytest.fixture(scope="module")
def measured() -> Corner:
    return taken_from(example("van-front").corner("left"), TRAVELS)


def _with(position: MeasuredPosition, point: str, at: Point) -> MeasuredPosition:
    if point == "outer_joint":
        return replace(position, outer_joint=at)
    return replace(position, wheel_centre=at)


def misread_by(corner: Corner, number: int, point: str, by_mm: float, axis: int) -> Corner:
    assert isinstance(corner.linkage, Measured)
    positions = list(corner.linkage.positions)
    at = list(getattr(positions[number], point))
    at[axis] += by_mm
    positions[number] = _with(positions[number], point, tuple(at))
    return replace(corner, linkage=Measured(tuple(positions)))


@pytest.mark.parametrize("number", range(5))
@pytest.mark.parametrize("by_mm", [-10.0, 10.0])
@pytest.mark.parametrize("point", ["outer_joint", "wheel_centre"])
def test_a_misread_position_is_named(
    measured: Corner, number: int, by_mm: float, point: str
) -> None:
    found = misread_position(misread_by(measured, number, point, by_mm, 0))
    assert found is not None
    assert (found.point, found.travel_mm) == (point, TRAVELS[number])
    assert found.by_mm == pytest.approx(10.0, abs=0.5)


def test_ride_height_may_be_the_one(measured: Corner) -> None:
    out, up, fore = measured.hub.outer_joint
    hub = replace(measured.hub, outer_joint=(out, up, fore + 8.0))
    found = misread_position(replace(measured, hub=hub))
    assert found is not None
    assert (found.point, found.travel_mm) == ("outer_joint", 0.0)


def test_tape_errors_alone_are_not_called_misread(measured: Corner) -> None:
    every, random = coordinates(measured), np.random.default_rng(8)
    sizes = [Tape().error_of(one.thing, one.axis, one.value_mm).size_mm for one in every]
    for _ in range(150):
        assert (
            misread_position(
                varied_corner(measured, every, random.uniform(-1, 1, len(every)) * sizes)
            )
            is None
        )


def test_what_stands_out_depends_on_how_well_it_was_read(measured: Corner) -> None:
    wrong = misread_by(measured, 2, "outer_joint", 6.0, 1)
    assert misread_position(wrong) is not None
    assert misread_position(wrong, Tape(6.0)) is None
    one_badly = Tape(errors=(TapeError(Measurand("position", "outer_joint", 2), (0.7, 9.0, 0.7)),))
    assert misread_position(wrong, one_badly) is None


def test_the_threshold_is_one_in_a_thousand() -> None:
    assert pytest.approx(chi2.ppf(0.999, df=3) ** 0.5, abs=0.01) == SUSPICIOUS


@pytest.mark.parametrize("size", [4.0, 4.06])
def test_it_is_told_just_beyond_the_threshold(size: float) -> None:
    # Exactly known travel, a straight path and one reading off: the residual is known.
    path = [-60.0, -40.0, -20.0, 20.0, 40.0, 60.0]
    hub = example("van-front").hub
    out, up, fore = hub.outer_joint
    positions = tuple(MeasuredPosition(t, (out, up + t, fore)) for t in path)
    corner = replace(
        taken_from(example("van-front").corner("left"), path), hub=hub, linkage=Measured(positions)
    )
    # A wheel's path is off a parabola by 0.2 mm, one standard deviation.
    sigma = np.hypot(0.1 / 3**0.5, 0.2)
    hat = np.vander([0.0, *path], 3) @ np.linalg.pinv(np.vander([0.0, *path], 3))
    redundancy = 1.0 - hat[3, 3]
    wrong = misread_by(corner, 2, "outer_joint", size * sigma / redundancy**0.5, 0)
    found = misread_position(wrong, Tape(0.1))
    assert (found is not None) == (size > SUSPICIOUS)
    if found is not None:
        assert found.standardised == pytest.approx(size, rel=1e-6)


def test_three_positions_and_linkages_have_nothing_to_compare() -> None:
    corner = example("van-front").corner("left")
    assert misread_position(corner) is None
    few = taken_from(corner, [-60.0, 60.0])
    assert misread_position(misread_by(few, 0, "outer_joint", 20.0, 0)) is None
    motion = solve(few.linkage, few.hub, 0.0)
    assert motion.in_reach
