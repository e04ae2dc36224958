"""The table command: the contract's columns, rows and refusals, and every figure in it."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.linkage.motion import solve
from kinematics.shaft.whole_motion import steps
from scenes.library import example, example_names, example_text
from sketcher.__main__ import main

BEFORE = ["travel_mm", "steer_deg", "arm_angle_deg"]
AFTER = [
    "camber_deg",
    "wheel_out_mm",
    "wheel_up_mm",
    "outer_joint_out_mm",
    "outer_joint_up_mm",
    "outer_joint_fore_mm",
    "swept_length_mm",
    "length_change_mm",
    "plunge_mm",
    "stroke_left_in_mm",
    "stroke_left_out_mm",
    "inner_angle_deg",
    "outer_angle_deg",
    "clearance_mm",
    "nearest_bracket",
]
# What positions taken on the car say nothing of.
OF_A_LINKAGE = {
    "arm_angle_deg",
    "strut_length_mm",
    "roll_centre_up_mm",
    "instant_centre_out_mm",
    "instant_centre_up_mm",
}
FRONT = example_text("van-front")

Row = dict[str, str]
Run = Callable[..., tuple[int, list[Row], str]]


@pytest.fixture
def run(capfdbinary: pytest.CaptureFixture[bytes]) -> Run:
    """Run the command and give back exit code, rows and what it complained of."""

    def once(*words: object) -> tuple[int, list[Row], str]:
        code = main(["table", *map(str, words)])
        out, err = capfdbinary.readouterr()
        return code, rows_of(out.decode()), err.decode()

    return once


@pytest.fixture
def scene_file(tmp_path: Path) -> Callable[[str], Path]:
    """Write a scene to a file."""

    def write(text: str) -> Path:
        path = tmp_path / "own.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def rows_of(text: str) -> list[Row]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def column(rows: Sequence[Row], name: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([float(row[name]) for row in rows])


@pytest.mark.parametrize(
    ("name", "own"), [("van-front", "strut_length_mm"), ("van-rear", "upper_arm_angle_deg")]
)
def test_columns_are_the_contracts_in_order_then_further_ones(
    run: Run, name: str, own: str
) -> None:
    code, rows, err = run("--example", name)
    names = list(rows[0])
    assert (code, err) == (0, "")
    assert names[:19] == [*BEFORE, own, *AFTER]
    assert len(set(names)) == len(names)
    assert {"roll_centre_up_mm", "instant_centre_out_mm"} <= set(names[19:])


def isfinite(cell: str) -> bool:
    return math.isfinite(float(cell))


@pytest.mark.parametrize("name", example_names())
def test_every_example_has_rows_of_finite_numbers(run: Run, name: str) -> None:
    _, rows, _ = run("--example", name, "--step", 20)
    for row in rows:
        for key, value in row.items():
            unknown = name == "van-rear-measured" and key in OF_A_LINKAGE
            assert value == "" if unknown else key == "nearest_bracket" or isfinite(value)


def test_rows_run_from_full_droop_to_full_bump(run: Run) -> None:
    _, rows, _ = run("--example", "van-front")
    assert column(rows, "travel_mm").tolist() == [*range(-80, 71, 5)]
    assert set(column(rows, "steer_deg")) == {0.0}


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        (30, [-80, -60, -30, 0, 30, 60, 70]),
        (64.5, [-80, -64.5, 0, 64.5, 70]),
        (80, [-80, 0, 70]),
        (1e6, [-80, 0, 70]),
    ],
)
def test_ends_and_ride_height_are_rows_whatever_the_step(
    run: Run, step: float, expected: list[float]
) -> None:
    _, rows, _ = run("--example", "van-front", "--step", step)
    assert column(rows, "travel_mm").tolist() == expected


def test_travel_that_is_no_multiple_of_the_step(
    run: Run, scene_file: Callable[[str], Path]
) -> None:
    text = FRONT.replace("bump = 70", "bump = 3.4").replace("droop = 80", "droop = 7.25")
    _, rows, _ = run(scene_file(text))
    assert column(rows, "travel_mm").tolist() == [-7.25, -5, 0, 3.4]
    # 3.4/0.1 is a whole number but for the last binary digit: no row may come twice.
    _, rows, _ = run(scene_file(text), "--step", 0.1)
    travel = column(rows, "travel_mm")
    assert len(travel) == 1 + 72 + 1 + 34
    assert np.all(np.diff(travel) > 0.04)


def test_no_travel_at_all_is_the_row_at_ride_height(
    run: Run, scene_file: Callable[[str], Path]
) -> None:
    text = FRONT.replace("bump = 70", "bump = 0").replace("droop = 80", "droop = 0")
    _, rows, _ = run(scene_file(text))
    assert [row["travel_mm"] for row in rows] == ["0.000000"]


@given(
    st.integers(0, 3000).map(lambda n: n / 10),
    st.integers(0, 3000).map(lambda n: n / 10),
    st.sampled_from([0.1, 0.3, 0.7, 1.0, 2.5, 5.0, 7.0]),
)
def test_steps_have_both_ends_and_zero_and_no_two_alike(
    droop: float, bump: float, step: float
) -> None:
    travel = steps(-droop, bump, step)
    gaps = np.diff(travel)
    assert travel[0] == -droop
    assert travel[-1] == bump
    assert 0.0 in travel
    assert np.all(gaps > 1e-6 * step)
    assert np.all(gaps <= step * (1 + 2e-6))


def test_steer_angles_within_and_at_the_locks(run: Run) -> None:
    code, rows, _ = run("--example", "van-front", "--steer", -29, 0, 12.5, 35, "--step", 40)
    assert code == 0
    steer = [row["steer_deg"] for row in rows]
    assert list(dict.fromkeys(steer)) == ["-29.000000", "0.000000", "12.500000", "35.000000"]
    for angle in dict.fromkeys(steer):
        travel = [row["travel_mm"] for row in rows if row["steer_deg"] == angle]
        assert [float(value) for value in travel] == [-80, -40, 0, 40, 70]


def test_steer_given_twice_adds_up_and_repeats_no_rows(run: Run) -> None:
    words = ("--example", "van-front", "--step", 80)
    _, once, _ = run(*words, "--steer", 0, 10)
    assert run(*words, "--steer", 0, "--steer", 10, 0)[1] == once


@pytest.mark.parametrize("angle", ["36", "-29.001", "90", "nan", "inf"])
def test_steer_beyond_the_locks_is_refused_in_one_line(run: Run, angle: str) -> None:
    code, rows, err = run("--example", "van-front", "--steer", 0, angle)
    assert (code, rows) == (2, [])
    (line,) = err.splitlines()
    assert "--steer" in line
    assert "from -29 to +35 deg" in line
    assert line.endswith(f"got {angle}")


def test_an_axle_that_does_not_steer_has_only_straight_rows(run: Run) -> None:
    assert run("--example", "van-rear", "--steer", 0)[0] == 0
    code, rows, err = run("--example", "van-rear", "--steer", 1)
    assert (code, rows) == (2, [])
    assert "only 0 (no steering)" in err


def test_a_scene_after_the_steer_angles_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stop:
        main(["table", "--steer", "0", "35", "van.toml"])
    assert stop.value.code == 2
    assert 'expected degrees, got "van.toml" (a scene goes before --steer)' in (
        capsys.readouterr().err
    )


@pytest.mark.parametrize("step", ["0", "-5", "nan", "inf", "1e-300"])
def test_a_step_that_makes_no_table_is_refused_in_one_line(run: Run, step: str) -> None:
    code, rows, err = run("--example", "van-front", f"--step={step}")
    assert (code, rows) == (2, [])
    (line,) = err.splitlines()
    assert line.startswith("--step: expected")


def test_text_is_rfc_4180(
    scene_file: Callable[[str], Path], capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    """RFC 4180 section 2: lines end in CRLF, fields with commas or quotes are quoted."""
    name = 'foot, 3/8" plate'
    text = FRONT.replace('name = "brake hose stay"', f"name = '{name}'")
    assert main(["table", str(scene_file(text)), "--step", "80"]) == 0
    raw = capfdbinary.readouterr().out
    lines = raw.split(b"\r\n")
    assert lines[-1] == b""
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert len(lines) == 1 + 3 + 1
    assert b',"foot, 3/8"" plate",' in raw
    rows = rows_of(raw.decode("utf-8"))
    assert name in {row["nearest_bracket"] for row in rows}
    assert {len(row) for row in rows} == {22}


def test_numbers_have_digits_enough_and_no_minus_before_zero(run: Run) -> None:
    _, rows, _ = run("--example", "van-front", "--step", 80)
    for row in rows:
        for key, value in row.items():
            if key != "nearest_bracket":
                assert len(value.partition(".")[2]) >= 3
                assert not value.startswith("-0.000000")
                assert "e" not in value
    ride = rows[1]
    assert ride["travel_mm"] == ride["length_change_mm"] == "0.000000"


def test_output_goes_to_the_file_and_nowhere_else(
    tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    path = tmp_path / "swept.csv"
    words = ["table", "--example", "van-front"]
    main(words)
    shown = capfdbinary.readouterr().out
    path.write_text("what stood here before", encoding="utf-8")
    assert main([*words, "-o", str(path)]) == 0
    assert capfdbinary.readouterr().out == b""
    assert path.read_bytes() == shown
    assert [file.name for file in tmp_path.iterdir()] == ["swept.csv"]


def test_a_refusal_leaves_the_file_as_it_was(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "swept.csv"
    path.write_text("what stood here before", encoding="utf-8")
    assert run("--example", "van-front", "--steer", 80, "-o", path)[0] == 2
    assert path.read_text(encoding="utf-8") == "what stood here before"


@pytest.mark.parametrize("place", ["missing/swept.csv", "."])
def test_a_file_that_cannot_be_written_is_named(run: Run, tmp_path: Path, place: str) -> None:
    path = tmp_path / place
    code, _, err = run("--example", "van-front", "-o", path)
    assert code == 2
    (line,) = err.splitlines()
    assert line.startswith(f"{path}: cannot be written: ")
    assert list(tmp_path.iterdir()) == []


def test_side_without_a_shaft_is_refused(run: Run, scene_file: Callable[[str], Path]) -> None:
    text = FRONT[: FRONT.index("[shafts.right]")]
    code, rows, err = run(scene_file(text), "--side", "right")
    assert (code, rows) == (2, [])
    assert err.splitlines() == ["shafts.right: this scene has no right shaft"]


def test_first_side_where_none_is_asked_for(run: Run) -> None:
    assert run("--example", "van-front")[1] == run("--example", "van-front", "--side", "left")[1]
    assert run("--example", "van-front")[1] != run("--example", "van-front", "--side", "right")[1]


def test_travel_out_of_reach_has_no_rows_and_is_told(
    run: Run, scene_file: Callable[[str], Path]
) -> None:
    path = scene_file(FRONT.replace("bump = 70", "bump = 400.5"))
    code, rows, err = run(path, "--step", 10)
    assert code == 2
    limits = solve(example("van-front").linkage, example("van-front").hub, 0.0).reach
    travel = column(rows, "travel_mm")
    assert travel[0] == -80
    assert travel[-1] == math.floor(limits.highest_mm / 10) * 10
    assert not any("nan" in value for row in rows for value in row.values())
    assert all(row["swept_length_mm"] for row in rows)
    first, second = err.splitlines()
    assert first.startswith(f"{path}: travel −80 to +400.5 mm is out of reach")
    assert f"{math.floor(limits.highest_mm * 10) / 10:+.1f} mm" in first
    assert second == f"{path}: the table holds only the rows in reach"


def test_a_shaft_too_short_to_reach_is_refused(run: Run, scene_file: Callable[[str], Path]) -> None:
    path = scene_file(FRONT.replace("length = 391", "length = 12"))
    code, rows, err = run(path)
    assert (code, rows) == (2, [])
    (line,) = err.splitlines()
    assert line.startswith(f"{path}: shafts.left.length: expected a shaft that reaches")


@pytest.mark.parametrize("steer", ["0.05", "-0.05"])
def test_an_axle_that_does_not_steer_has_no_steer_angle_but_none(run: Run, steer: str) -> None:
    code, _, told = run("--example", "van-rear-measured", "--side", "left", f"--steer={steer}")
    assert code == 2
    assert "--steer" in told
    assert (
        run("--example", "van-rear-measured", "--side", "left", "--step", "80", "--steer", "0")[0]
        == 0
    )
