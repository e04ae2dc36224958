"""The drawing of the welder's fixture: to scale, with every place in it, no word on another."""

from __future__ import annotations

import pytest

from kinematics.making.fixture import fixture
from sketcher.drawing.fixture_view import fixture_size_mm, fixture_view
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import Circle, Polygon, Text
from sketcher.drawing.style import style
from tests.test_drawing_cuts import plan

SCALE, WIDTH_MM = 1 / 3, 184.0


def test_blocks_lie_where_they_are_said_to_be() -> None:
    cuts = plan()
    found = fixture(cuts)
    picture, _ = fixture_view(cuts, found, SCALE, WIDTH_MM)
    centres = sorted(item.centre[0] for item in picture if isinstance(item, Circle))
    hub = centres[-1]
    assert hub - centres[0] == pytest.approx(found.overall_mm)
    blocks = [
        sorted({round(x, 6) for x, _ in item.points})
        for item in picture.with_role("outer_joint")
        if isinstance(item, Polygon)
    ]
    for one in found.supports:
        assert any(
            edges[0] == pytest.approx(hub - one.to_mm, abs=1e-5)
            and edges[-1] == pytest.approx(hub - one.from_mm, abs=1e-5)
            for edges in blocks
        )
    told = " | ".join(picture.texts)
    for number, one in enumerate(found.supports, 1):
        assert f"block {number} {one.middle_mm:.1f}" in told or (
            f"block {number} {one.middle_mm:.2f}" in told
        )
    assert "scale 1:3" in told


def test_words_stay_inside_and_off_one_another() -> None:
    for sleeve in (True, False):
        cuts = plan() if sleeve else plan(sleeve=None)
        found = fixture(cuts)
        picture, camera = fixture_view(cuts, found, SCALE, WIDTH_MM)
        room, box = Room(camera, style("light")), camera.box
        placed = [(item, room.box(item)) for item in picture if isinstance(item, Text)]
        for text, words in placed:
            assert box.left <= words.left, text.text
            assert words.right <= box.right, text.text
            assert box.bottom <= words.bottom, text.text
        for index, (one, first) in enumerate(placed):
            for other, second in placed[index + 1 :]:
                apart = (
                    first.right <= second.left
                    or second.right <= first.left
                    or first.top <= second.bottom
                    or second.top <= first.bottom
                )
                assert apart, (one.text, other.text)
        wide, high = fixture_size_mm(cuts, found, SCALE)
        assert wide <= WIDTH_MM
        assert camera.height / camera.pixels_per_paper_mm == pytest.approx(high)
