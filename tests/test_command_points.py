"""The ``points`` command: as a process would see it, exit code and output."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from kinematics.shaft.whole_motion import examine
from scenes.library import example, example_text
from scenes.reading import read_scene
from sketcher.__main__ import main

TOO_SHORT = """between = ["linkage.ball_joint", "linkage.strut_top"]
distance = 20
[[reading]]
between = ["linkage.ball_joint", "linkage.strut_top"]
rise = 600
"""
READ, MISREAD = "van-front-readings", "van-front-misread"


def answered(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    code = main(["points", *words])
    return code, capsys.readouterr().out


def as_json(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, dict[str, Any]]:
    code, text = answered(capsys, *words, "--json")
    return code, json.loads(text)


def test_a_scene_from_nothing_but_readings_is_settled(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = as_json(capsys, "--example", READ)
    assert code == 0
    assert set(found["points"]) >= {"linkage.ball_joint", "hub.outer_joint", "mark.rail hole"}
    for point in found["points"].values():
        assert len(point["mm"]) == len(point["standard_uncertainty_mm"]) == 3
        assert point["drawn_off_mm"] <= 0.05
        assert point["not_fixed"] == []
        assert point["rests_on"]
    first = found["readings"][0]
    assert set(first) >= {"reading", "residual", "standardised", "redundancy"}
    assert first["reading"] == {"of": "linkage.arm_pivot", "up": 205}
    assert found["suspicious"] is None
    assert 0.01 < found["fit_probability"] <= 1.0
    assert set(found["ride_centred_half_width_mm"]) == {"left", "right"}
    best = found["next"]["left"]
    assert len(best) == 5
    assert best[0]["ride_centred_half_width_mm"] < found["ride_centred_half_width_mm"]["left"]
    assert best[0]["reading"]


def test_the_reading_misread_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = as_json(capsys, "--example", MISREAD, "--side", "left")
    assert code == 1
    one = found["readings"][found["suspicious"]]
    assert one["reading"]["between"] == ["linkage.ball_joint", "mark.subframe bolt"]
    assert one["misread_by"] == pytest.approx(18.0, abs=2.0)
    assert one["standardised"] > 3.29
    code, text = answered(capsys, "--example", MISREAD, "--side", "left")
    assert code == 1
    flat = " ".join(text.split())
    assert "from ball joint to subframe bolt: 330 mm, seems misread by +1" in flat


def test_settling_puts_the_points_where_the_readings_say(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = example_text(READ)
    ball = next(line for line in text.splitlines() if line.startswith("ball_joint"))
    (tmp_path / "van.toml").write_text(text.replace(ball, "ball_joint = [661, 193]"), "utf-8")
    settled = tmp_path / "settled.toml"
    code, out = answered(capsys, str(tmp_path / "van.toml"), "-o", str(settled), "--side", "left")
    assert code == 1
    assert "Not settled: ball joint is drawn 10." in out
    assert as_json(capsys, str(settled), "--side", "left")[0] == 0
    assert read_scene(settled).readings == read_scene(tmp_path / "van.toml").readings
    assert "# by the tape, from centre to centre" in settled.read_text("utf-8")


def test_what_readings_fix_is_a_guess_no_longer_in_the_settled_scene(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path, settled = tmp_path / "van.toml", tmp_path / "settled.toml"
    guessed = 'guessed = ["linkage.ball_joint", "travel.bump"]\n'
    readings = "".join(
        f'[[reading]]\nof = "linkage.ball_joint"\n{kind} = {mm}\n'
        for kind, mm in (("out", 669), ("up", 188))
    )
    path.write_text(guessed + example_text("van-front") + readings, "utf-8")
    assert answered(capsys, str(path), "-o", str(settled))[0] == 1
    # Nobody has read how far forward it is.
    assert read_scene(settled).guessed == ("linkage.ball_joint[2]", "travel.bump")


ABOVE = '[[reading]]\nof = "linkage.strut_top"\nup = 790\n'


@pytest.mark.parametrize("before", ["", ABOVE], ids=["alone", "after another"])
def test_a_slope_the_wrong_way_round_is_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, before: str
) -> None:
    path = tmp_path / "van.toml"
    # The strut climbs from its lower end to its top, whichever way it leans.
    ends = 'between = ["linkage.strut_lower", "linkage.strut_top"]'
    slope = f"[[reading]]\n{ends}\nslope = -82\n"
    path.write_text(example_text("van-front") + before + slope, "utf-8")
    named = f"{path}: reading[{1 if before else 0}].slope: expected a number nearer to 82.1"
    for command in ("points", "report"):
        assert main([command, str(path)]) == 2
        lines = capsys.readouterr().err.splitlines()
        assert len(lines) == 1
        assert lines[0].startswith(named)


def test_what_would_not_help_is_not_asked_for(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "van.toml"
    readings = "".join(
        f'[[reading]]\nof = "linkage.ball_joint"\n{kind} = {mm}\n'
        for kind, mm in (("out", 668), ("up", 188), ("fore", 6))
    )
    path.write_text(example_text("van-front") + readings, "utf-8")
    text = answered(capsys, str(path), "--side", "left", "--for", "inner-angle")[1]
    told = re.findall(r"inner joint angle goes from (\S+) to (\S+)", " ".join(text.split()))
    assert all(now != after for now, after in told)
    assert told or "no one reading would tell the inner joint angle any better" in text
    worst = examine(example("van-front").corner("left")).inner_angle.value
    assert f" {math.ceil(10 * worst - 1e-9) / 10:.1f}° ±" in text


def test_what_nothing_fixes_is_named(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "van.toml"
    path.write_text(
        example_text("van-front")
        + '\n[[mark]]\nname = "hole"\nat = [455, 420]\n'
        + '[[reading]]\nof = "linkage.ball_joint"\nup = 188\n'
        + '[[reading]]\nof = "linkage.ball_joint"\nout = 668\n',
        "utf-8",
    )
    code, found = as_json(capsys, str(path), "--side", "left")
    assert code == 0
    assert found["points"]["linkage.ball_joint"]["not_fixed"] == ["fore"]
    assert found["fit_probability"] is None
    assert "ball joint, fore: nothing fixes it" in found["remarks"]
    assert "hole: no reading names it" in found["remarks"]


@pytest.mark.parametrize(
    ("reading", "line"),
    [
        (
            TOO_SHORT,
            "reading[0].distance: expected 599 mm or more",
        ),
        ('of = "mark.nowhere"\nup = 3\n', "reading[0].of: expected a mark that is in the scene"),
        ('of = "hub.outer_joint"\nup = 3\ntravel = 4000\n', "reading[0].travel: expected a travel"),
    ],
)
def test_readings_that_cannot_be_met_are_one_line(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, reading: str, line: str
) -> None:
    path = tmp_path / "van.toml"
    path.write_text(f"{example_text('van-front')}\n[[reading]]\n{reading}", "utf-8")
    assert main(["points", str(path)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert line in told.err
    assert len(told.err.splitlines()) == 1


@pytest.mark.parametrize("goal", ["inner-angle", "outer-angle", "gap"])
def test_what_to_read_next_for_another_number(
    capsys: pytest.CaptureFixture[str], goal: str
) -> None:
    code, found = as_json(capsys, "--example", READ, "--side", "left", "--for", goal)
    assert code == 0
    asked = found["for"]["left"]
    assert asked["half_width"] > 0.0
    assert 0.0 < asked["next"][0]["half_width"] < asked["half_width"]
    assert set(found["next"]) == {"left"}


def test_what_to_read_next_for_the_chance(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text(READ).replace("length = 391", "length = 384"), "utf-8")
    asked = (str(path), "--side", "left", "--for", "chance")
    code, found = as_json(capsys, *asked)
    assert code == 0
    now = found["chance"]["left"]
    assert 0.9 < now < 0.95
    told = found["for"]["left"]
    assert (told["quantity"], told["value"], told["length_mm"]) == ("chance", now, 384.0)
    rising = [one["chance"] for one in told["next"]]
    assert rising == sorted(rising, reverse=True)
    assert rising[0] > now + 0.01
    # The list that goes by the length says the chance of each, too.
    widths = [one["ride_centred_half_width_mm"] for one in found["next"]["left"]]
    assert widths == sorted(widths)
    chances = [one["chance"] for one in found["next"]["left"]]
    assert all(now - 0.01 < one <= rising[0] for one in chances)
    _, text = answered(capsys, *asked)
    flat = " ".join(text.split())
    assert "chance 94 % by tape error alone" in flat
    # What is low comes first.
    assert flat.index("the chance of 384.0 mm goes from 94 to 95.") < flat.index("the doubt in")


def test_where_the_car_contradicts_the_points_no_chance_counts(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "van.toml"
    for off, told in ((0.0, False), (4.0, True)):
        rows = "".join(
            f"[[shafts.left.trial]]\ntravel = {travel}\nvalue = {swept + off}\nerror = 0.5\n"
            for travel, swept in ((-40, 391.6), (0, 390.5), (40, 389.3))
        )
        path.write_text(example_text(READ) + rows, "utf-8")
        main(["points", str(path), "--side", "left"])
        assert ("no chance by them counts" in " ".join(capsys.readouterr().out.split())) == told


def test_the_chance_of_what_rests_on_no_reading_is_not_told(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["points", "--example", "van-front", "--for", "chance"]) == 2
    line = "--for chance: the left shaft's is not known: no point rests on readings yet"
    assert line in capsys.readouterr().err


def test_a_goal_that_the_scene_does_not_have(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "van.toml"
    path.write_text(example_text("van-front").split("[[bracket]]")[0], "utf-8")
    assert main(["points", str(path), "--for", "gap"]) == 2
    assert "no bracket that the shaft could touch" in capsys.readouterr().err


def test_without_readings_every_coordinate_counts_as_typed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, text = answered(capsys, "--example", "van-front")
    assert code == 0
    assert "every coordinate counts as typed" in text
    _, found = as_json(capsys, "--example", "van-front")
    assert found["points"] == {}
    assert found["readings"] == []


def test_the_verdict_knows_of_the_readings(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def verdict(text: str) -> dict[str, Any]:
        path = tmp_path / "van.toml"
        path.write_text(text, "utf-8")
        main(["report", str(path), "--side", "left", "--json"])
        told: dict[str, Any] = json.loads(capsys.readouterr().out)["sides"]["left"]["verdict"]
        return told

    good, wrong = example_text(READ), example_text(MISREAD)
    assert verdict(good)["state"].startswith("fits")
    low = verdict(good.replace("length = 391", "length = 384"))
    assert low["state"] == "not sure enough"
    assert low["because"][1].startswith("Measure ")
    assert "the chance of 384.0 mm goes from 94 to 95." in low["because"][1]
    misread = verdict(wrong)
    assert misread["state"] == "not sure enough"
    assert any("seems misread by" in line for line in misread["because"])
    moved = verdict(good.replace("out = 338", "out = 333"))
    assert moved["state"] == "not sure enough"
    # Where points are drawn off their readings, the limit that is broken may be the drawing's.
    broken = verdict(good.replace("out = 338", "out = 333").replace("length = 391", "length = 412"))
    assert broken["state"] == "do not cut"
    assert broken["because"][-1].startswith("Not settled: arm pivot is drawn")
    assert broken["because"][-1].endswith("from where its readings put it.")
    twice = verdict(wrong.replace("\ndistance = 330\n", "\ndistance = 360\n"))
    assert twice["state"] == "do not cut"
    assert any("contradict one another" in line for line in twice["because"])


def test_what_the_chance_rests_on_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    main(["certainty", "--example", READ, "--side", "left", "--draws", "1000"])
    told = " ".join(capsys.readouterr().out.split())
    assert "points as sure as 54 readings leave them; for the rest no tape given" in told


def test_only_one_of_two_can_be_written_to_standard_output(
    capfdbinary: pytest.CaptureFixture[bytes],
) -> None:
    asked = ["points", "--example", "van-front-readings", "--side", "left", "--sheet", "-"]
    assert main([*asked, "-o", "-"]) == 2
    assert b"standard output is what -o is written to" in capfdbinary.readouterr().err
    assert main(asked) == 0
    assert capfdbinary.readouterr().out.startswith(b"%PDF")
