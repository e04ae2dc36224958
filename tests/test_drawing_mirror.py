"""The right side as it is printed: turned over, and readable."""

from __future__ import annotations

import pytest

from sketcher.drawing.labels import Room
from sketcher.drawing.mirror import mirrored
from sketcher.drawing.picture import Arc, Picture, Text, box_of
from sketcher.drawing.style import style
from tests.drawn import points_of
from tests.test_drawing_cuts import drawn, plan


def test_everything_lies_as_far_on_the_other_side() -> None:
    picture, camera = drawn(plan())
    middle = camera.box.centre[0]
    over = mirrored(picture, middle)
    assert over.texts == picture.texts
    for one, other in zip(picture, over, strict=True):
        was, now = box_of(points_of(one)), box_of(points_of(other))
        assert (now.left, now.bottom) == pytest.approx((2 * middle - was.right, was.bottom))
        assert (now.right, now.top) == pytest.approx((2 * middle - was.left, was.top))
    room = Room(camera, style("light"))
    for one, other in zip(picture, over, strict=True):
        if isinstance(one, Text) and isinstance(other, Text):
            a, b = room.box(one), room.box(other)
            assert (b.left, b.top) == pytest.approx((2 * middle - a.right, a.top))


def test_an_arc_runs_the_other_way() -> None:
    arc = Arc((10.0, 0.0), 5.0, 0.0, 90.0, "angle")
    (over,) = mirrored(Picture((arc,)), 0.0)
    assert isinstance(over, Arc)
    assert over.points[0] == pytest.approx((-10.0, 5.0))
    assert over.points[-1] == pytest.approx((-15.0, 0.0))
