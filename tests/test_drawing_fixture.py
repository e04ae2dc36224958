"""The drawing of the welder's fixture: to scale, with every place in it, no word on another."""

from __future__ import annotations

import pytest
import shapely

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
        assert f"block {number}: {one.middle_mm:.1f}" in told or (
            f"block {number}: {one.middle_mm:.2f}" in told
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


def test_each_bar_lies_in_its_v_from_the_end_with_the_shim_under_the_block() -> None:
    cuts = plan()
    found = fixture(cuts)
    picture, _ = fixture_view(cuts, found, SCALE, WIDTH_MM)
    told = " | ".join(picture.texts)
    sizes = {(one.diameter_mm, one.shim_mm) for one in found.supports}
    for diameter, shim in sizes:
        assert f"Ø{diameter:g} " in told
        assert (f"shim {shim:g} mm" if shim else "no shim") in told
    blocks = [
        item.points
        for item in picture.with_role("outer_joint")
        if isinstance(item, Polygon) and len(item.points) == 7
    ]
    assert len(blocks) == len(sizes)
    bars = [
        shapely.Polygon(one.points).buffer(0)
        for one in picture.with_role("shaft")
        if isinstance(one, Polygon)
    ]
    for block in blocks:
        left, bottom, right = (shapely.Point(block[i]) for i in (5, 4, 3))
        near = [bar for bar in bars if bar.distance(bottom) < 12]
        assert len(near) == 1
        for cheek in (left, right):
            # A bar of many flat sides stands for a round one.
            assert shapely.LineString([bottom, cheek]).distance(near[0]) < 0.15


def test_halves_are_drawn_turned_as_they_are() -> None:
    cuts = plan()
    picture, _ = fixture_view(cuts, fixture(cuts), SCALE, WIDTH_MM)
    turned = cuts.gearbox.turned_from_mm
    assert turned is not None
    (left, y), *_ = sorted(item.centre for item in picture if isinstance(item, Circle))
    halves = [
        max(up for _, up in item.points) - y
        for item in picture.with_role("shaft")
        if isinstance(item, Polygon)
        and min(x for x, _ in item.points) == pytest.approx(left + turned)
    ]
    assert halves == [pytest.approx(cuts.diameter_mm / 2)]
