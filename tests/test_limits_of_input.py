"""How large and how small what is read in may be: on both sides of each limit.  Our choices."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from kinematics.errors import InvalidInput
from kinematics.parts import Bracket, Measured, MeasuredPosition, Strut
from kinematics.sure.readings import Reading
from scenes.library import example
from sketcher.interchange.loops import OutlineError, few_enough
from sketcher.interchange.outline_file import read_outline
from sketcher.interchange.photo_file import PhotoError, read_photo
from sketcher.words.units import LengthError, parse_length
from tests.outlines_drawn import dxf, svg


def rim(corners: int) -> tuple[tuple[float, float], ...]:
    turns = (2.0 * math.pi * i / corners for i in range(corners))
    return tuple((400.0 + 80.0 * math.cos(turn), 300.0 + 80.0 * math.sin(turn)) for turn in turns)


def strut(arm_mm: float) -> Strut:
    return Strut((350.0, 200.0, 0.0), (350.0 + arm_mm, 200.0, 0.0), (600, 780, 0), (660, 340, 0))


def positions(apart_mm: float) -> Measured:
    return Measured(
        tuple(MeasuredPosition(t, (650.0, 300.0 + t, 0.0)) for t in (-30.0, 30.0, 30.0 + apart_mm))
    )


LIMITS: dict[str, tuple[Callable[[float], object], float, float]] = {
    "more corners": (lambda n: Bracket("rim", rim(int(n))), 2000, 2001),
    "a shorter arm": (strut, 0.0011, 0.0009),
    "a smaller outline": (
        lambda side: Bracket("dot", ((0, 0), (side, 0), (side, side), (0, side))),
        0.0011,
        0.0009,
    ),
    "a longer length": (lambda mm: Bracket("far", ((0, 0), (mm, 0), (0, 50))), 1e5, 1.001e5),
    "travels closer together": (positions, 1.0, 0.99),
    "a steeper slope": (
        lambda deg: Reading("slope", ("linkage.arm_pivot", "linkage.ball_joint"), deg),
        90.0,
        90.1,
    ),
}


@pytest.mark.parametrize("what", LIMITS)
def test_a_part_at_the_limit_is_taken_and_the_next_is_not(what: str) -> None:
    make, good, bad = LIMITS[what]
    make(good)
    with pytest.raises(InvalidInput, match="expected"):
        make(bad)


def test_a_typed_length_may_be_as_long_as_a_road() -> None:
    assert parse_length("100 m") == 1e5
    with pytest.raises(LengthError, match="below"):
        parse_length("100.1 m")


def test_lines_and_curves_of_one_part() -> None:
    few_enough(5000)
    with pytest.raises(OutlineError, match="got 5001"):
        few_enough(5001)


@pytest.mark.parametrize(("side", "taken"), [(1.01, True), (0.99, False)])
def test_an_outline_encloses_a_square_millimetre(side: float, taken: bool, tmp_path: Path) -> None:
    corners = [(0, 0), (side, 0), (side, side), (0, side)]
    path = dxf(tmp_path, lambda space: space.add_lwpolyline(corners, close=True))
    if taken:
        assert len(read_outline(path).outline) == 4
    else:
        with pytest.raises(OutlineError, match="encloses"):
            read_outline(path)


@pytest.mark.parametrize(("open_mm", "taken"), [(0.009, True), (0.0115, False)])
def test_ends_a_hundredth_apart_meet(open_mm: float, taken: bool, tmp_path: Path) -> None:
    # The last side ends short of where the first one began; three sides are enough.
    corners = [(open_mm, 0), (50, 0), (50, 30), (0, 0)]
    path = dxf(tmp_path, lambda space: space.add_lwpolyline(corners))
    if taken:
        assert len(read_outline(path).outline) == 3
    else:
        with pytest.raises(OutlineError, match="meets nothing"):
            read_outline(path)


def test_a_hair_below_zero_is_zero(tmp_path: Path) -> None:
    corners = [(-1e-7, -1e-7), (50, -1e-7), (50, 30), (-1e-7, 30)]
    path = dxf(tmp_path, lambda space: space.add_lwpolyline(corners, close=True))
    numbers = [number for corner in read_outline(path).outline for number in corner]
    assert all(math.copysign(1.0, number) == 1.0 for number in numbers)


@pytest.mark.parametrize(("groups", "taken"), [(60, True), (61, False)])
def test_groups_within_groups(groups: int, taken: bool, tmp_path: Path) -> None:
    body = "<g>" * groups + "<path d='M0 0H50V30Z'/>" + "</g>" * groups
    path = svg(tmp_path, body)
    if taken:
        assert len(read_outline(path).outline) == 3
    else:
        with pytest.raises(OutlineError, match="nested"):
            read_outline(path)


@pytest.mark.parametrize(("high", "taken"), [(80.07, True), (80.1, False)])
def test_a_page_in_the_proportion_of_its_view_box(high: float, taken: bool, tmp_path: Path) -> None:
    path = svg(tmp_path, "<path d='M0 0H50V30Z'/>", f'width="100mm" height="{high}mm"')
    if taken:
        assert read_outline(path).outline
    else:
        with pytest.raises(OutlineError, match="proportion"):
            read_outline(path)


@pytest.mark.parametrize(("high", "taken"), [(5000, True), (5001, False)])
def test_a_photo_of_fifty_million_pixels(
    high: int, taken: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "photo.png"
    Image.new("1", (10_000, high)).save(path, compress_level=1)
    # Its pixels are not needed, and take long.
    monkeypatch.setattr(
        "sketcher.interchange.photo_file.ImageOps.exif_transpose",
        lambda _: Image.new("RGB", (10, 10)),
    )
    if taken:
        read_photo(path)
    else:
        with pytest.raises(PhotoError, match="50 million"):
            read_photo(path)


# What may be nothing at all, and what must be something, for a part to be one.
FROM_0 = {
    *("bump", "droop", "stroke_in", "stroke_out", "inside_lock", "outside_lock"),
    *("out", "up", "fore", "wanted_gap", "bevel_angle", "spigot_clearance", "fit_clearance"),
    *("root_gap", "shrinkage", "trim", "clear", "tir", "limit"),
}
ABOVE_0 = {
    *("max_angle", "root", "radius", "yield_strength", "largest", "normalised"),
    *("turn_radius", "filler_yield", "finished_length", "value", "error", "engine_torque"),
    *("gear", "final_drive", "wheel_load", "tyre_radius", "top_speed", "differential_split"),
    *("grip", "between_centres", "swing", "swing_over_carriage", "spindle_bore", "leg"),
}


def parts_of(thing: object) -> Iterator[Any]:
    """Every part within a scene."""
    if isinstance(thing, Mapping):
        thing = tuple(thing.values())
    if isinstance(thing, tuple):
        for one in thing:
            yield from parts_of(one)
    elif dataclasses.is_dataclass(thing):
        yield thing
        for one in dataclasses.fields(thing):
            yield from parts_of(getattr(thing, one.name))


def test_what_may_be_nothing_and_what_must_be_something() -> None:
    tried = set()
    for part in parts_of(example("van-front-making")):
        for name in {one.name for one in dataclasses.fields(part)} & (FROM_0 | ABOVE_0):
            if not isinstance(getattr(part, name), float | int):
                continue
            good, bad = (0.0, -0.001) if name in FROM_0 else (0.05, 0.0)
            assert getattr(dataclasses.replace(part, **{name: good}), name) == good
            with pytest.raises(InvalidInput, match="expected"):
                dataclasses.replace(part, **{name: bad})
            tried.add(name)
    assert tried == FROM_0 | ABOVE_0
