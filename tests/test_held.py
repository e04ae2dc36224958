"""What is answered of many axles, scene files, lengths and drawings made at random, held as sums.

Pinned from our own output: it proves nothing right, and shows at once that a change changes
something.  Of each question there is a sum of the words and one of the numbers that answer it;
its function without ``held`` shows them whole.  ``python -m tests.test_held`` writes
``tests/pinned/held`` anew.
"""

from __future__ import annotations

import json
import random
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import get_args

import numpy as np
import pygame
import pytest
from ezdxf.layouts.layout import Modelspace

from kinematics.errors import KinematicsError
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import examine, whole_motion
from scenes.errors import SceneError
from scenes.keys import EditRefused
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.answers.next_reading import points_in_scene
from sketcher.answers.photo_plane import photo_plane
from sketcher.answers.points import settled_scene
from sketcher.answers.verdict import Answered
from sketcher.commands import report
from sketcher.commands.common import Opened
from sketcher.commands.points import points_lines
from sketcher.commands.points_json import SideAnswer, answer_json
from sketcher.commands.report_page import report_lines
from sketcher.drawing.camera import Camera
from sketcher.drawing.page import page_of_one
from sketcher.drawing.picture import (
    Arc,
    Circle,
    Line,
    Lines,
    Picture,
    Polygon,
    Polyline,
    Primitive,
)
from sketcher.drawing.style import Theme, style
from sketcher.drawing.surface import paint_surface
from sketcher.drawing.svg import svg_text, svg_tree
from sketcher.interchange.loops import OutlineError
from sketcher.interchange.outline_file import OutlineChoice, outlines_in, read_outline
from sketcher.words import units
from sketcher.words.units import LengthError, Rounding, Unit
from tests import random_scenes
from tests.mutate import mutated
from tests.outlines_drawn import dxf
from tests.pinning import held, now_and_before, same, write_anew
from tests.random_readings import car_read

KINDS = ("strut", "wishbones", "measured")
ANYWHERE = Position(0.0, 0.0)


def of_axle(number: int) -> Iterator[str]:
    """An axle's report, for people and for programs."""
    kind = KINDS[number % 3]
    scene = random_scenes.scene(
        number, kind, brackets=1 + number % 3, share=(1.0, 0.6, 0.2)[number // 3 % 3]
    )
    corner = scene.corner("left")
    try:
        found = examine(corner, (3.0, 0.5, 6.0)[number % 3], whole_motion(corner, 20.0, 25.0))
    except KinematicsError as error:
        yield str(error)
        return
    # Where something is worst is flat about its place.
    gaps = [replace(gap, worst=replace(gap.worst, position=ANYWHERE)) for gap in found.gaps]
    one = Answered(scene, "left", replace(found, gaps=tuple(gaps)))
    for unit in get_args(Unit):
        yield from report_lines(scene, (one,), unit)
    told = report.as_json(one) | {"worst_at": None}
    told["brackets"] = [gap | {"at": None, "point_mm": None} for gap in told["brackets"]]
    yield json.dumps(told, indent=0)


def of_scene_file(number: int) -> Iterator[str]:
    """Forty scene files, each changed at random: what is wrong with them, or what they say."""
    for case in range(40 * number, 40 * number + 40):
        text = mutated(random.Random(f"held/{case}"))
        try:
            scene = parse_scene(text)
        except SceneError as error:
            yield from (f"{case} {problem}" for problem in error.problems)
        else:
            yield f"{case}"
            if case % 4 == 0:
                yield scene_text(scene, text if case % 8 == 0 else None)


SAID = (
    "expected 254 mm or more, got -3 mm",
    '3 to 12.7 mm from "5 mm plate"',
    "expected mm, got 3",
)
TYPED = (
    *("38.5", "38,5", "1,375", '1 3/8"', "1-3/8 in", "3' 2\"", "-4", "+4 mm", "7/8", "7/8 mm"),
    *("9/8", "1 9/8", "1/0", "x", "", "12 cm", "2 ft", "2 m", "1e9", "100001", "3 4", "½", "2½ in"),
    *("60 droop", "bump 50", "ride height", "droop -3", "at 4", "-60", "50bump"),
)


def of_lengths(number: int) -> Iterator[str]:
    """Lengths as they are shown and typed."""
    rng = np.random.default_rng(number)
    sizes = [*rng.normal(0.0, 40.0, 25).tolist(), *(rng.integers(-400, 400, 15) / 20.0).tolist()]
    for mm in (*sizes, 0.0, -0.0, 0.04, -0.04, 25.4, 12.7, -0.396875, 99_999.96):
        for unit in get_args(Unit):
            for rounding in get_args(Rounding):
                for digits in (None, 0, 2):
                    yield units.format_length(
                        mm, unit, digits=digits, signed=number % 2 == 0, rounding=rounding
                    )
                yield units.format_both(mm, unit, rounding)
                yield units.format_number(mm, number % 4, rounding)
                yield units.format_fraction(mm, 2 ** (number % 7), rounding)
            yield units.typed_length(mm, unit)
        yield units.format_angle(mm)
    for unit in get_args(Unit):
        yield from (units.in_unit(text, unit) for text in SAID)
        for text in TYPED:
            for parse in (units.parse_length, units.parse_travel):
                try:
                    yield f"{parse(text, unit):.9g}"
                except LengthError as error:
                    yield str(error)


def of_readings(number: int) -> Iterator[str]:
    """A car read at random: where its points are, and what to read next."""
    rng = np.random.default_rng(100 + number)
    name = ("van-front", "van-rear")[number % 2]
    elsewhere = ((-60.0, 0.0), (40.0, 0.0 if number % 2 else 12.0))
    count, off_mm = (3, 9, 16, 30)[number % 4], (0.0, 2.0, 8.0)[number % 3]
    scene = car_read(rng, name, count, elsewhere if number % 5 else (), off_mm)
    try:
        answer = points_in_scene(scene)
    except KinematicsError as error:
        yield str(error)
        return
    of_sides = [SideAnswer(side, None, None, (), chance_asked=False) for side in scene.sides]
    for unit in get_args(Unit):
        yield from points_lines(Opened(scene, "", "held", None), answer, of_sides, unit)
    yield json.dumps(answer_json(scene, answer, of_sides), indent=0)
    try:
        settled = settled_scene(scene)
    except (KinematicsError, EditRefused) as error:
        yield str(error)
        return
    yield from (f"{name} {at}" for name, at in settled.points.items())


HEADS = (
    'width="100mm" height="80mm" viewBox="0 0 100 80"',
    'width="10cm" height="8cm" viewBox="0 0 100 80"',
    'width="4in" height="3.2in" viewBox="-10 5 200 160"',
    'width="100" height="80" viewBox="0 0 100 80"',
    'width="283.5pt" height="226.8pt" viewBox="0 0 100 80"',
    'width="100mm" height="90mm" viewBox="0 0 100 80"',
    'width="100mm" height="80mm"',
)
SHAPES = (
    '<rect x="{0}" y="{1}" width="{2}" height="{3}" rx="{4}"/>',
    '<circle cx="{0}" cy="{1}" r="{2}"/>',
    '<ellipse cx="{0}" cy="{1}" rx="{2}" ry="{3}"/>',
    '<polygon points="{0},{1} {2},{1} {2},{3} {4},{3}"/>',
    '<polyline id="edge" points="{0},{1} {2},{1} {2},{3} {0},{1}"/>',
    '<path d="M{0} {1}h{2}v{3}h-{2}z"/>',
    '<path d="M{0} {1}C{2} {3} {4} {3} {4} {1}Q{0} {4} {0} {1}z"/>',
    '<path d="M{0} {1}A{2} {3} 30 1 0 {4} {1}L{0} {1}"/>',
    '<line x1="{0}" y1="{1}" x2="{2}" y2="{3}"/><path d="M{2} {3}L{4} {1}L{0} {1}"/>',
    '<rect x="{0}" y="{1}" width="0" height="{3}"/>',
    '<text id="edge" x="{0}" y="{1}">word</text>',
    '<use x="{0}" y="{1}"/>',
)
TURNS = ("", "translate({0} {1})", "scale({5})", "rotate({4}) skewX({5})", "matrix(1 0 {5} 1 0 0)")


def of_svg_file(number: int) -> Iterator[str]:
    """Thirty drawings of a shape or several: their outlines, or why there is none."""
    chance = random.Random(f"svg/{number}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.svg"
        for _ in range(30):
            body = ""
            for _ in range(chance.choice((1, 1, 1, 2, 3))):
                numbers = [round(chance.uniform(1.0, 60.0), 2) for _ in range(5)]
                numbers.append(round(chance.uniform(0.3, 3.0), 2))
                turn = chance.choice(TURNS).format(*numbers)
                body += f'<g transform="{turn}">{chance.choice(SHAPES).format(*numbers)}</g>'
            head = chance.choice((HEADS[0], *HEADS))
            path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>')
            choice = OutlineChoice(
                chance.choice((None, None, "mm", "in")), chance.choice((None, None, None, "edge"))
            )
            yield f"{head} {body} {choice}"
            yield from _outlines(path, choice)


def _outlines(path: Path, choice: OutlineChoice) -> Iterator[str]:
    try:
        for loop in outlines_in(path, choice):
            yield f"{loop} {[(round(x, 3), round(y, 3)) for x, y in loop.outline]}"
        for one in (1, 2, None):
            read_outline(path, replace(choice, number=one))
    except OutlineError as error:
        yield str(error).removeprefix(f"{path}")


def _drawn_at_random(chance: random.Random, space: Modelspace) -> None:
    """One thing drawn: mostly an outline, or a part of one."""

    def near() -> tuple[float, float]:
        return (round(chance.uniform(-50, 50), 2), round(chance.uniform(-50, 50), 2))

    on = {"layer": chance.choice(("EDGE", "HOLES"))}
    a, b, c = near(), near(), near()
    size = round(chance.uniform(-1.0, 30.0), 2)
    bulged = [(*a, 0.4), (*b, -0.3), (*c, 1.0)]
    triangle, ring = ((a, b), (b, c), (c, a)), ((0.0, 200.0), (200.0, 360.0))
    acts: tuple[Callable[[], object], ...] = (
        lambda: space.add_lwpolyline([a, b, c], close=True, dxfattribs=on),
        lambda: space.add_lwpolyline([a, b, c, a], dxfattribs=on),
        lambda: space.add_lwpolyline(bulged, format="xyb", close=True, dxfattribs=on),
        lambda: space.add_circle(a, size, dxfattribs=on),
        lambda: space.add_ellipse(a, (size + 2.0, 0.0), 0.5, dxfattribs=on),
        lambda: [space.add_line(*ends, dxfattribs=on) for ends in triangle],
        lambda: [space.add_arc(a, size + 2.0, *turn, dxfattribs=on) for turn in ring],
        lambda: space.add_line(a, (*b, 3.0), dxfattribs=on),
        lambda: space.add_text("word", dxfattribs=on).set_placement(a),
        lambda: space.add_point(a, dxfattribs=on),
    )
    chance.choice((*acts[:7], *acts))()


def of_dxf_file(number: int) -> Iterator[str]:
    """Four drawings in other units, on other layers, with other things among them."""
    chance = random.Random(f"dxf/{number}")

    def draw(space: Modelspace) -> None:
        for _ in range(chance.choice((1, 1, 2, 4))):
            _drawn_at_random(chance, space)

    with tempfile.TemporaryDirectory() as folder:
        for _ in range(4):
            path = dxf(Path(folder), draw, chance.choice((4, 4, 4, 1, 5, 0)))
            choice = OutlineChoice(
                chance.choice((None, "mm", "in")), chance.choice((None, None, "EDGE", "NONE"))
            )
            yield from _outlines(path, choice)


def of_photo(number: int) -> Iterator[str]:
    """Photos laid by pins at random: the plane, how far pins are off, or why there is none."""
    rng = np.random.default_rng(number)
    for count in (2, 3, 4, 4, 5, 6, 9):
        pixels = rng.uniform(0.0, 1000.0, (count, 2))
        lean = rng.uniform(-3e-4, 3e-4, 2)
        flat = pixels * (0.8, -0.8) + (100.0, 900.0)
        car = flat / (1.0 + pixels @ lean)[:, None] + rng.normal(0.0, 1.0, (count, 2)) * (count > 4)
        pins = np.round(np.concatenate([pixels, car], axis=1), 2)
        try:
            plane = photo_plane([tuple(row) for row in pins.tolist()])
        except KinematicsError as error:
            yield str(error)
            continue
        yield " ".join(f"{one:.7g}" for one in plane.misfit_mm if count > 4)
        corners = np.array([(0.0, 0.0), (1000.0, 0.0), (500.0, 400.0), (0.0, 1000.0)])
        yield " ".join(f"{one:.7g}" for one in plane.on_car(corners).ravel())


def _a_picture(chance: random.Random) -> Picture:
    """Ten things without words, some of them far out of view."""

    def near() -> tuple[float, float]:
        return (round(chance.uniform(-20, 220), 1), round(chance.uniform(-20, 220), 1))

    items: list[Primitive] = []
    for _ in range(10):
        role = chance.choice(list(style("light").marks))
        run = tuple(near() for _ in range(chance.choice((2, 3, 4, 5, 40))))
        far = chance.choice((run, run, run, (*run, (30_000.0, 5.0))))
        turn = chance.uniform(-90.0, 90.0)
        items.append(
            chance.choice(
                (
                    Line(run[0], far[-1], role),
                    Line(run[0], (run[0][0], run[1][1]), role),
                    Lines(((run[0], run[1]), (run[1], run[0])), role),
                    Polyline(far, role),
                    Polyline((*run, run[0]), role),
                    Polygon(far if len(far) > 2 else (*far, near()), role),
                    Polygon(((0, 0), (60, 0), (60, 40), (0, 40)), role),
                    Circle(run[0], chance.uniform(0.0, 50.0), role),
                    Arc(run[0], chance.uniform(1.0, 50.0), turn, turn + 200.0, role),
                )
            )
        )
    return Picture(tuple(items))


def of_painters(number: int) -> Iterator[str]:
    """Pictures as SVG, and roughly how much of a screen each of their things covers."""
    chance = random.Random(f"painted/{number}")
    for theme in get_args(Theme):
        picture = _a_picture(chance)
        camera = Camera(200.0, 200.0, (100.0, 100.0), 1.0, chance.choice((1.0, 2.0)))
        yield from svg_text(svg_tree(page_of_one(picture, camera))).split(">")
        for item in picture:
            surface = pygame.Surface((200, 200))
            surface.fill((255, 0, 255))
            paint_surface(surface, Picture((item,)), camera, style(theme))
            covered = (pygame.surfarray.array3d(surface) != (255, 0, 255)).any(axis=2)
            # A sixteenth of the view at a time: what a line's edge is smoothed by hardly counts.
            cells = covered.reshape(4, 50, 4, 50).sum(axis=(1, 3))
            yield f"{item.role} {(cells > 25).astype(int).tolist()}"


QUESTIONS: dict[str, tuple[Callable[[int], Iterator[str]], int]] = {
    "axle": (of_axle, 16),
    "scene-file": (of_scene_file, 8),
    "lengths": (of_lengths, 8),
    "readings": (of_readings, 8),
    "svg-file": (of_svg_file, 8),
    "dxf-file": (of_dxf_file, 8),
    "photo": (of_photo, 8),
    "painters": (of_painters, 16),
}


@pytest.mark.parametrize("name", QUESTIONS)
@pytest.mark.parametrize("part", range(4))
def test_what_is_answered_is_as_it_was(name: str, part: int) -> None:
    answer, count = QUESTIONS[name]
    numbers = range(part, count, 4)
    said, was = now_and_before(f"held/{name}-{part}", (f"{n}: {held(answer(n))}" for n in numbers))
    assert len(said) == len(was)
    for line, before in zip(said, was, strict=True):
        assert line == before or same(line, before), line


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
