"""The measure list on paper: read back, its numbers are the adjustment's."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from kinematics.sure.readings import Reading
from scenes.library import example
from sketcher.__main__ import main
from sketcher.answers.points import points_in_scene
from sketcher.answers.reading_list import (
    all_readings,
    in_crawl_order,
    letters,
    planned_readings,
)
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


def test_points_are_lettered_in_the_drawing_as_in_the_table() -> None:
    scene = example(READ)
    names = letters(scene)
    assert names["linkage.arm_pivot"] == "A"
    assert len(set(names.values())) == len(scene.points)
    drawn = lettered(scene, "left", 180.0)
    assert drawn is not None
    shown = {names[path] for path in scene.points if not path.startswith("shafts.right")}
    assert shown <= set(drawn.picture.texts)


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
