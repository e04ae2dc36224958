"""The measure list on paper: read back, its numbers are the adjustment's."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
import shapely

from kinematics.sure.readings import Reading
from scenes.library import example
from sketcher.__main__ import main
from sketcher.answers.next_reading import points_in_scene
from sketcher.answers.reading_list import (
    all_readings,
    in_crawl_order,
    letters,
    planned_readings,
)
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import Circle, Polygon, Text
from sketcher.drawing.style import style
from sketcher.paper.reading_sheet import lettered, reading_sheet_pdf

READ, MISREAD = "van-front-readings", "van-front-misread"


def text_of(content: bytes) -> str:
    document = pypdfium2.PdfDocument(content)
    pages = [page.get_textpage().get_text_range() for page in document]
    return " ".join(" ".join(pages).split())


def sheet(name: str) -> str:
    scene = example(name)
    return text_of(reading_sheet_pdf(scene, points_in_scene(scene), "left"))


def test_an_empty_sheet_lists_every_point_with_boxes() -> None:
    scene = example("van-front")
    text = sheet("van-front")
    for words in ("arm pivot", "ball joint", "hub face, in the middle", "No mark yet", "again"):
        assert words in text
    assert "B–E: from ball joint to outer joint" in text
    planned = planned_readings(scene)
    named = {name for one in planned for name in one.points}
    assert named == set(scene.points)
    assert "axle stands" in text


def test_after_typing_it_says_what_to_read_again() -> None:
    text = sheet(MISREAD)
    assert "B–J: from ball joint to subframe bolt 330 mm" in text
    assert "misread by +17.0 mm? read it again" in text
    assert "Read next" in text
    assert "read it again" not in sheet(READ)


def test_a_blank_sheet_has_boxes_for_what_is_typed_already() -> None:
    scene = example(MISREAD)
    answer = points_in_scene(scene)
    text = text_of(reading_sheet_pdf(scene, answer, "left", blank=True))
    assert "B–J: from ball joint to subframe bolt" in text
    for typed in ("330 mm", "misread by", "Read next", "off by"):
        assert typed not in text
    every = all_readings(scene)
    assert every[: len(scene.readings)] == scene.readings
    numbers = {(one.kind, frozenset(one.points), one.travel, one.steer) for one in every}
    assert len(numbers) == len(every) > len(scene.readings)
    last = f" {len(every)} "
    assert last in text


def test_the_order_is_that_in_which_one_crawls() -> None:
    """Each place once at each height of the wheel, ride height first; every reading once."""
    readings = example(READ).readings
    stops = in_crawl_order(readings)
    places = [place for stop in stops for place in stop.readings]
    assert sorted(places) == list(range(len(readings)))
    assert len({(one.where, one.travel_mm, one.steer_deg) for one in stops}) == len(stops)
    held = [one.travel_mm for one in stops]
    assert held == sorted(held, key=lambda travel: (travel != 0.0, travel))
    bonnet = Reading("up", ("linkage.strut_top",), 790.0)
    wheel = Reading("up", ("hub.wheel_centre",), 292.0)
    assert [one.where for one in in_crawl_order([bonnet, wheel])] == [
        "at the wheel",
        "under the bonnet",
    ]


def test_measured_positions_are_read_with_the_wheel_held_there() -> None:
    scene = example("van-rear-measured")
    assert {name for one in planned_readings(scene) for name in one.points} == set(scene.points)
    text = sheet("van-rear-measured")
    at = text.index("At the wheel at droop 75.0 mm")
    assert at < text.index("outer joint at position 1, above the floor", at)
    assert text.index("At the wheel, at ride height") < at


def test_points_are_lettered_in_the_drawing_as_in_the_table() -> None:
    scene = example(READ)
    names = letters(scene)
    assert names["linkage.arm_pivot"] == "A"
    assert len(set(names.values())) == len(scene.points)
    drawn = lettered(scene, "left", 180.0)
    assert drawn is not None
    shown = {names[path] for path in scene.points if not path.startswith("shafts.right")}
    assert shown <= set(drawn.picture.texts)


def test_in_inches_and_with_the_right_side_where_it_is() -> None:
    scene = example(MISREAD)
    answer = points_in_scene(scene)
    typed = text_of(reading_sheet_pdf(scene, answer, "right", unit="in"))
    assert "B–J: from ball joint to subframe bolt 12.992 in" in typed
    assert "misread by +0.670 in? read it again" in typed
    assert "at droop 2.362 in" in typed
    assert "out to the left" in typed
    blank = text_of(reading_sheet_pdf(scene, answer, "right", unit="in", blank=True))
    assert "Read to 1/64 inch" in blank
    for text in (typed, blank):
        assert " mm" not in text
    # What an angle gauge reads is in degrees, in both boxes.
    assert "slope from arm pivot to ball joint an angle gauge laid along the line ° °" in blank
    drawn = [lettered(scene, side, 180.0) for side in scene.sides]
    across = [
        next(item.at[0] for item in one.picture if isinstance(item, Text) and item.text == "F")
        - next(item.at[0] for item in one.picture if isinstance(item, Text) and item.text == "A")
        for one in drawn
        if one is not None
    ]
    assert across[0] > 0 > across[1]


@pytest.mark.parametrize("name", ["van-front-readings", "van-rear"])
def test_letters_leave_the_arms_seen(name: str) -> None:
    """What a letter stands on is hidden: no arm loses more than a tenth of its length by it."""
    drawn = lettered(example(name), "left", 180.0)
    assert drawn is not None
    room = Room(drawn.camera, style())
    named = [room.box(item) for item in drawn.picture if isinstance(item, Text) and item.backed]
    hidden = shapely.union_all([shapely.box(b.left, b.bottom, b.right, b.top) for b in named])
    dots = [item for item in drawn.picture.with_role("joint_dot") if isinstance(item, Circle)]
    assert not [dot for dot in dots if hidden.contains(shapely.Point(dot.centre))]
    arms = [item for item in drawn.picture.with_role("arm") if isinstance(item, Polygon)]
    assert arms
    for arm in arms:
        shape = shapely.Polygon(arm.points)
        assert shape.intersection(hidden).area < 0.1 * shape.area


def test_the_command_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "list.pdf"
    assert (
        main(
            [
                "points",
                "--example",
                READ,
                "--sheet",
                str(path),
                "--paper",
                "letter",
                "--side",
                "left",
            ]
        )
        == 0
    )
    assert path.read_bytes().startswith(b"%PDF")
    capsys.readouterr()
    assert main(["points", "--example", "van-front", "--sheet", str(path), "--blank"]) == 0
    assert main(["points", "--example", READ, "--blank"]) == 2
    assert "--blank: expected --sheet FILE.pdf" in capsys.readouterr().err
    assert main(["points", "--example", READ, "--sheet", str(tmp_path / "list.txt")]) == 2
    assert "--sheet: expected a file ending in .pdf" in capsys.readouterr().err
