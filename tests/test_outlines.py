"""Drawing steps: each does what its name says and nothing else."""

from __future__ import annotations

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon

from kinematics.errors import InvalidInput
from kinematics.gaps import outlines
from kinematics.gaps.outlines import Outline
from kinematics.parts import FrontPoint

BOX = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0))
place = st.tuples(st.floats(-500, 500), st.floats(-500, 500))


def close(a: Outline, b: Outline, within: float = 1e-9) -> bool:
    return len(a) == len(b) and all(math.dist(p, q) <= within for p, q in zip(a, b, strict=True))


def test_examples_in_the_text() -> None:
    assert doctest.testmod(outlines).failed == 0


def test_a_rectangle_by_drag_may_start_at_any_corner() -> None:
    assert outlines.rectangle((40.0, 20.0), (0.0, 0.0)) == BOX
    with pytest.raises(InvalidInput, match="opposite"):
        outlines.rectangle((0, 0), (10, 0))


@given(diameter=st.floats(0.5, 2000), tolerance=st.floats(0.01, 1))
def test_a_circle_holds_its_disc_and_stays_within_the_tolerance(
    diameter: float, tolerance: float
) -> None:
    ring = outlines.circle((3, 4), diameter, flattened_to_mm=tolerance)
    far = max(math.dist(p, (3, 4)) for p in ring)
    assert far <= diameter / 2 + tolerance + 1e-9
    assert Polygon(ring).exterior.distance(Point(3, 4)) == pytest.approx(diameter / 2)


def test_a_circle_needs_a_diameter() -> None:
    with pytest.raises(InvalidInput, match="diameter_mm"):
        outlines.circle((0, 0), 0)


def test_a_straight_plate_is_a_rectangle_about_its_line() -> None:
    bar = Polygon(outlines.plate([(0, 10), (40, 10), (40, 10)], 20))
    assert bar.equals(Polygon(BOX))


def test_a_bent_plate_has_a_mitred_bend() -> None:
    angle = outlines.plate([(0, 0), (50, 0), (50, 30)], 6)
    # Two legs that share the corner square: 53 and 33 long outside, 6 thick.
    assert Polygon(angle).area == pytest.approx(53 * 6 + 33 * 6 - 36)
    assert len(angle) == 6


@pytest.mark.parametrize(
    ("line", "thickness", "field"),
    [
        ([(0, 0)], 5, "line"),
        ([(0, 0), (0, 0)], 5, "line"),
        ([(0, 0), (10, 0)], 0, "thickness_mm"),
        ([(0, 0), (50, 0), (50, 50), (0, 50), (0, 0)], 5, "line"),
        ([(0, 0), (50, 0), (50, 50), (25, -20)], 5, "line"),
    ],
)
def test_plates_that_cannot_be_are_refused(
    line: list[FrontPoint], thickness: float, field: str
) -> None:
    with pytest.raises(InvalidInput, match=field):
        outlines.plate(line, thickness)


def test_a_hole_takes_its_disc_and_a_saw_cut() -> None:
    drilled = Polygon(outlines.with_hole(BOX, (20, 10), 8))
    assert drilled.is_valid
    assert drilled.area == pytest.approx(800 - 16 * math.pi - 6 * 2, abs=3)
    assert drilled.distance(Point(20, 10)) == pytest.approx(4)


def test_a_hole_over_the_edge_is_a_notch() -> None:
    notched = Polygon(outlines.with_hole(BOX, (20, 0), 8))
    assert notched.area == pytest.approx(800 - 8 * math.pi, abs=1)


@pytest.mark.parametrize(("centre", "diameter"), [((20, 10), 30), ((200, 0), 8), ((20, 10), 90)])
def test_holes_that_cannot_be_are_refused(centre: FrontPoint, diameter: float) -> None:
    with pytest.raises(InvalidInput):
        outlines.with_hole(BOX, centre, diameter)


@given(by=place)
def test_moving_there_and_back(by: FrontPoint) -> None:
    back = outlines.moved_outline(outlines.moved_outline(BOX, by), (-by[0], -by[1]))
    assert close(back, BOX)


def test_typing_an_edge_length_moves_its_far_corner_along_it() -> None:
    longer = outlines.with_edge_length(BOX, 3, 30)
    assert longer == ((0.0, -10.0), *BOX[1:])
    assert outlines.edge_length_mm(longer, 3) == pytest.approx(30)
    with pytest.raises(InvalidInput, match="length_mm"):
        outlines.with_edge_length(BOX, 0, 0)
    with pytest.raises(InvalidInput, match="edge"):
        outlines.with_edge_length(((0, 0), (0, 0), (1, 1)), 0, 5)


def test_snapping_square_to_an_anchor() -> None:
    assert outlines.square_to((11, 60), (10, 5)) == (10, 60)
    assert outlines.square_to((61, 10), (10, 5)) == (61, 5)


@given(point=place)
def test_a_corner_snapped_square_has_a_right_angle(point: FrontPoint) -> None:
    x, y = outlines.square_corner(BOX, 1, point)
    (x0, y0), (x2, y2) = BOX[0], BOX[2]
    if math.dist(point, (20, 10)) > 1e-3:
        assert (x - x0) * (x - x2) + (y - y0) * (y - y2) == pytest.approx(0, abs=1e-6)


def test_a_corner_dragged_to_the_middle_stays() -> None:
    assert outlines.square_corner(BOX, 1, (20.0, 10.0)) == (20.0, 10.0)
