"""Outlines taken from drawings: joined, flattened, chosen, and put into the scene."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from kinematics.parts import Bracket, FrontPoint
from scenes.library import example
from scenes.reading import read_scene
from sketcher.__main__ import main
from sketcher.interchange.loops import OutlineError, Piece, chosen, closed_loops
from sketcher.interchange.outline_file import (
    with_outline,
)
from tests.outlines_drawn import dxf, outlines, plate_with_hole, refusal


@given(outlines(), st.randoms())
def test_edges_in_any_order_and_direction_join_to_the_outline(
    outline: tuple[FrontPoint, ...], random: object
) -> None:
    edges = [
        (outline[i], outline[(i + 1) % len(outline)])[:: random.choice((1, -1))]  # type: ignore[attr-defined]
        for i in range(len(outline))
    ]
    random.shuffle(edges)  # type: ignore[attr-defined]
    pieces = [Piece(edge, closed=False, where="LINE") for edge in edges]
    (loop,) = closed_loops(pieces)
    assert shapely.Polygon(loop.outline).normalize() == shapely.Polygon(outline).normalize()


def piece(*points: FrontPoint, closed: bool = False) -> Piece:
    return Piece(points, closed, "LINE")


@pytest.mark.parametrize(
    ("pieces", "message"),
    [
        ([piece((0, 0), (50, 0)), piece((50, 0), (50, 50))], r"end at \(.*\) meets nothing"),
        (
            [piece((0, 0), (9, 0)), piece((9, 0), (9, 9)), piece((9, 9), (0, 0)),
             piece((0, 0), (5, 20)), piece((5, 20), (-5, 20)), piece((-5, 20), (0, 0))],
            r"two lines to meet at a corner, at \(0.0, 0.0\) there are 4",
        ),
        ([piece((3, 3), (3, 3.001))], "a line with a length"),
        ([piece((0, 0), (9, 0), (9, 0), closed=True)], "three corners or more"),
        ([piece((0, 0), (9, 9), (9, 0), (0, 9), closed=True)], r"Self-intersection.*\(4.5 4.5\)"),
        ([piece((0, 0), (0.1, 0), (0, 0.1), closed=True)], "are the units right"),
        ([piece((0, 0), (math.nan, 0), (0, 9), closed=True)], "coordinates below 100000 mm"),
        ([piece((0, 0), (2e5, 0), (0, 9), closed=True)], "coordinates below 100000 mm"),
        ([piece((0, 0), (9, 0), (0, 9), closed=True)] * 5_001, "fewer than"),
        (
            [piece(*((math.cos(i / 400), math.sin(i / 400)) for i in range(0)), (0, 0), (1, 0))],
            "meets nothing",
        ),
    ],
)  # fmt: skip
def test_what_is_no_outline_is_said_with_its_place(pieces: list[Piece], message: str) -> None:
    with pytest.raises(OutlineError, match=message):
        closed_loops(pieces)


def test_too_many_corners_are_refused() -> None:
    ring = piece(
        *((500 * math.cos(i * math.tau / 2500), 500 * math.sin(i * math.tau / 2500))
          for i in range(2500)),
        closed=True,
    )  # fmt: skip
    with pytest.raises(OutlineError, match="up to 2000 corners, got 2500"):
        closed_loops([ring])


def test_a_number_that_no_outline_has() -> None:
    (loop,) = closed_loops([piece((0, 0), (9, 0), (9, 9), closed=True)])
    assert chosen([loop], 1) is loop
    with pytest.raises(OutlineError, match="from 1 to 1, got 2"):
        chosen([loop], 2)


def test_only_two_kinds_of_file_and_none_too_large(tmp_path: Path) -> None:
    assert "ends in .dxf or .svg" in refusal(tmp_path / "a.png")
    assert "cannot be read" in refusal(tmp_path / "a.svg")
    large = tmp_path / "large.svg"
    large.write_bytes(b" " * 9_000_000)
    assert "too large" in refusal(large)


def test_a_bracket_that_is_there_is_reshaped_and_keeps_the_rest() -> None:
    scene = example("van-front-mount-fouls")
    square = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0))
    changed = with_outline(scene, "brake hose stay", square)
    assert changed.brackets[1].outline == square
    assert changed.brackets[1].mounted_on == "knuckle"
    assert changed.brackets[1].fore == scene.brackets[1].fore
    assert changed.brackets[0] == scene.brackets[0]
    again = with_outline(scene, "brake hose stay", square, mounted_on="arm", fore=(-9, 9))
    assert (again.brackets[1].mounted_on, again.brackets[1].fore) == ("arm", (-9, 9))


def test_the_command_puts_it_into_the_scene(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing, target = dxf(tmp_path, plate_with_hole), tmp_path / "new.toml"
    words = ["outline", "--example", "van-front", str(drawing), "--name", "plate"]
    place = ["--at", "420", '8 1/2"', "--fore", "-30", "40", "--mounted-on", "gearbox"]
    assert main([*words, "--number", "1", *place, "-o", str(target)]) == 0
    told = capsys.readouterr().out
    assert "50.00 x 30.00 mm, 4 corners" in told
    bracket = read_scene(target).brackets[-1]
    assert bracket == Bracket(
        "plate",
        ((420, 215.9), (470, 215.9), (470, 245.9), (420, 245.9)),
        "gearbox",
        (-30, 40),
    )
    assert main([*words, "--layer", "EDGE"]) == 0
    assert "Nothing was written" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ([], "choose one by its number"),
        (["--number", "1", "--fore", "40", "-30"], "fore: expected [rear, front]"),
        (["--number", "1", "--at", "nan", "0"], "--at: expected two numbers"),
        (["--number", "1", "--fore", "0", "inf"], "--fore: expected two numbers"),
        (["--number", "1", "-o", "/no such folder/a.toml"], "cannot be written"),
    ],
)
def test_the_command_refuses_in_one_line(
    words: list[str], line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = str(dxf(tmp_path, plate_with_hole))
    assert main(["outline", "--example", "van-front", drawing, "--name", "plate", *words]) == 2
    err = capsys.readouterr().err
    assert line in err
    assert err.count("\n") == 1
