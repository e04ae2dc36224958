"""Readings in the sketch: each where it was taken, doubts as ellipses, what is misread marked."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest

from scenes.library import example
from sketcher.answers.next_reading import PointsAnswer, points_in_scene
from sketcher.drawing.camera import Camera
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import Line, Picture, Polygon, Text
from sketcher.drawing.reading_view import FACTORS, ReadingsShown, ReadingWords, enlarged
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.sketch import SketchExtras, front_view, view_from_above, world_box
from sketcher.drawing.style import style
from tests.drawn import pose

BALL = "linkage.ball_joint"


@cache
def answer(name: str) -> PointsAnswer:
    return points_in_scene(example(name))


def camera_of(name: str) -> Camera:
    scene = example(name)
    return Camera(900.0, 700.0).fitted(world_box(scene, pose(scene, 0.0)))


def drawn(
    name: str, travel: float = 0.0, lit: str = "", *, above: bool = False, words: bool = True
) -> Picture:
    scene = example(name)
    ride = pose(scene, 0.0)
    camera = camera_of(name)
    best = answer(name).next["left"][0].reading
    shown = ReadingsShown(answer(name).settled, best, frozenset({lit} - {""}), words)
    draw = view_from_above if above else front_view
    return draw(scene, "left", pose(scene, travel), ride, camera, SketchExtras(readings=shown))


def lines(picture: Picture, key: str) -> list[Line]:
    return [item for item in picture if isinstance(item, Line) and item.key == key]


def test_the_suspicious_reading_is_marked_and_only_that() -> None:
    picture = drawn("van-front-misread")
    place = answer("van-front-misread").settled.suspicious
    assert place is not None
    (line,) = lines(picture, f"reading[{place}]")
    assert line.role == "dimension_past"
    (told,) = [text for text in picture.texts if "misread by" in text]
    by = answer("van-front-misread").settled.readings[place].misread_by
    assert f"{by:+.1f}" in told
    assert not [text for text in drawn("van-front-readings").texts if "misread" in text]


def test_a_reading_is_drawn_where_the_wheel_is_held_as_it_was() -> None:
    scene = example("van-front-readings")
    held = next(n for n, one in enumerate(scene.readings) if one.travel == -60.0)
    straight = next(n for n, one in enumerate(scene.readings)
                    if one.points == (BALL, "mark.rail hole"))  # fmt: skip
    on_body = next(n for n, one in enumerate(scene.readings)
                   if one.points == ("linkage.arm_pivot", "mark.rail hole"))  # fmt: skip
    ride, low = drawn("van-front-readings"), drawn("van-front-readings", -60.0)
    assert not lines(ride, f"reading[{held}]")
    (line,) = lines(low, f"reading[{held}]")
    at = pose(scene, -60.0)
    ends = [at.points[path][:2] for path in scene.readings[held].points]
    assert line.start == pytest.approx(ends[0])
    assert line.end == pytest.approx(ends[1])
    assert lines(ride, f"reading[{straight}]")
    assert not lines(low, f"reading[{straight}]")
    assert lines(ride, f"reading[{on_body}]")
    assert lines(low, f"reading[{on_body}]")


def test_what_is_lit_tells_its_number_and_goes_all_the_way() -> None:
    scene = example("van-front-readings")
    up = next(
        n for n, one in enumerate(scene.readings) if (one.kind, one.points) == ("up", (BALL,))
    )
    (short,), (whole,) = (
        lines(drawn("van-front-readings", lit=lit), f"reading[{up}]") for lit in ("", BALL)
    )
    assert short.end[1] > 0.0
    assert whole.end[1] == pytest.approx(0.0, abs=1e-9), "down to the floor"
    told = [text for text in drawn("van-front-readings", lit=BALL).texts if "188" in text]
    assert not [text for text in drawn("van-front-readings").texts if "188" in text]
    off = answer("van-front-readings").settled.readings[up].residual
    assert told == [f"188 mm ({off:+.1f})".replace("-", "−")] or told == [f"188 mm ({off:+.1f})"]


@pytest.mark.parametrize("lit", ["", BALL])
def test_residuals_are_written_where_there_is_room_and_on_nothing_else(lit: str) -> None:
    picture = drawn("van-front-readings", lit=lit)
    scene, room = example("van-front-readings"), Room(camera_of("van-front-readings"), style())
    words = [item for item in picture if isinstance(item, Text) and item.key.startswith("reading[")]
    drawn_at_all = {item.key for item in picture if isinstance(item, Line)}
    assert {item.key for item in words} <= drawn_at_all
    assert len(words) > 20, "half of those that are drawn, at the least"
    boxes = [(item, room.box(item)) for item in picture if isinstance(item, Text)]
    for one in words:
        box = room.box(one)
        for other, there in boxes:
            assert other is one or other.angle_deg or not box.overlaps(there), (one, other)
        for at in scene.points.values():
            assert not box.holds(at[:2]) or one.key in lit
    mine = [one for one in words if one.role == "here_word"]
    named = [f"reading[{n}]" for n, one in enumerate(scene.readings)
             if lit in one.points and not one.travel and one.kind != "fore"]  # fmt: skip
    assert sorted(one.key for one in mine) == sorted(named if lit else [])


def test_in_a_small_sketch_words_on_readings_do_not_hide_one_another() -> None:
    scene = example("van-front-readings")
    ride = pose(scene, 0.0)
    camera = Camera(560.0, 340.0).fitted(world_box(scene, ride))
    shown = ReadingsShown(answer("van-front-readings").settled, None, frozenset({BALL}), True)
    picture = front_view(scene, "left", ride, ride, camera, SketchExtras(readings=shown))
    room = Room(camera, style())
    words = [room.box(item) for item in picture
             if isinstance(item, Text) and item.key.startswith("reading[")]  # fmt: skip
    assert len(words) > 5
    assert not any(a.overlaps(b) for a, b in combinations(words, 2))


def test_the_length_is_not_written_on_a_mark() -> None:
    picture, room = drawn("van-front-readings"), Room(camera_of("van-front-readings"), style())
    (length,) = [one for one in picture if isinstance(one, Text) and one.text == "391.0 mm"]
    box = room.box(replace(length, angle_deg=0.0))
    assert not [mark for mark in example("van-front-readings").marks if box.holds(mark.at[:2])]


@pytest.mark.parametrize("above", [False, True])
def test_ellipses_are_as_large_as_written(above: bool) -> None:
    picture = drawn("van-front-readings", above=above)
    (text,) = [text for text in picture.texts if "95 %" in text]
    factor = int(text.partition(", ")[2].split()[0])
    assert factor in FACTORS
    point = answer("van-front-readings").settled.point(BALL)
    ellipse = point.ellipse("fore" if above else "up")
    centre = np.array([point.drawn[0], point.drawn[2 if above else 1]])
    found = [item for item in picture if isinstance(item, Polygon) and item.role == "doubt"]
    mine = [np.array(item.points) for item in found
            if np.allclose(np.mean(item.points, axis=0), centre, atol=0.05)]  # fmt: skip
    assert len(mine) == 1
    reach = np.linalg.norm(mine[0] - centre, axis=1).max()
    assert reach == pytest.approx(factor * ellipse.long_mm, rel=1e-3)


def test_ellipses_are_no_larger_than_they_have_to_be() -> None:
    ellipses = [one.ellipse("up") for one in answer("van-front-readings").settled.points]
    assert enlarged(ellipses, 0.001) == 1
    assert enlarged(ellipses, 1e9) == FACTORS[-1]
    sizes = [enlarged(ellipses, seen) for seen in np.geomspace(0.01, 1000.0, 20)]
    assert sizes == sorted(sizes)


def test_the_reading_to_take_next_is_dashed_and_marks_are_lettered() -> None:
    picture = drawn("van-front-readings")
    (line,) = picture.with_role("next_reading")
    best = answer("van-front-readings").next["left"][0].reading
    assert isinstance(line, Line)
    assert {line.start, line.end} == {
        example("van-front-readings").points[path][:2] for path in best.points
    }
    assert "read next" in picture.texts
    assert "I  rail hole" in picture.texts
    assert "B  ball joint" in picture.texts
    handles = {handle.key: handle.at for handle in picture.handles}
    assert handles["mark[0].at"] == example("van-front-readings").marks[0].at[:2]


def test_a_hurried_picture_has_the_lines_without_their_words() -> None:
    calm, hurried = drawn("van-front-misread"), drawn("van-front-misread", words=False)
    keyed = {
        item.key for item in calm if item.key.startswith("reading[") and isinstance(item, Text)
    }
    assert keyed
    assert not [i for i in hurried if isinstance(i, Text) and i.key.startswith("reading[")]
    assert len(hurried.with_role("reading")) == len(calm.with_role("reading"))


def test_a_word_on_a_reading_gives_way_to_the_drawing_unless_it_was_asked_for() -> None:
    for weight, written in ((1.0, False), (math.inf, True)):
        sheet = Sheet(Camera(800.0, 600.0, (200.0, 200.0)), style())
        for x in range(150, 250, 2):
            sheet.room.take_run([(float(x), 0.0), (float(x), 400.0)])
        words = ReadingWords(sheet, [])
        words.want(Text((200.0, 200.0), "342 mm", "label"), [(200.0, 200.0)], weight)
        words.write()
        assert any(isinstance(one, Text) for one in sheet.picture) is written
