"""``certainty``, ``trial`` and ``placement``: what they print is what the mechanics answer."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kinematics.parts import DEFAULT_MARGIN, Bracket, Measured
from kinematics.shaft.mount_room import MountRoom
from kinematics.shaft.placement import (
    Place,
    Spare,
    place_gearbox,
    placed_corner,
    smallest_spare_gap,
)
from kinematics.shaft.whole_motion import examine
from kinematics.sure.measurands import MID_STROKE
from kinematics.sure.tape import Tape
from scenes.library import example, example_text
from scenes.model import SIDES, Scene, Side
from scenes.part_keys import path_of
from scenes.reading import parse_scene, read_scene
from scenes.writing import scene_text
from sketcher.__main__ import main
from sketcher.answers.fitted import trial_in_scene
from sketcher.answers.placed import POINTS_WITH_GAPS, broken, place_in_scene, shifted_scene
from sketcher.answers.sure import certainty_in_scene
from sketcher.words.certainty import CONTRADICTED
from tests.conftest import certainty_once as certainty

MEASURED = "van-rear-measured"
FRONT = "van-front"


def told(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    assert main(list(words)) == code
    return capsys.readouterr().out


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(list(words)) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    return err


def as_json(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> Any:
    return json.loads(told(capsys, *words, "--json", code=code))


def file_of(tmp_path: Path, text: str) -> str:
    path = tmp_path / "scene.toml"
    path.write_text(text)
    return str(path)


def test_certainty_tells_what_the_draws_say(capsys: pytest.CaptureFixture[str]) -> None:
    scene = example(MEASURED)
    found = certainty_in_scene(scene, "left", DEFAULT_MARGIN)
    text = " ".join(
        told(capsys, "certainty", "--example", MEASURED, "--side", "left", code=1).split()
    )
    # 87.x is shown as 87: a chance is never rounded up.
    assert f"chance {math.floor(100 * found.chance)} %" in text
    low, high = found.ride_centred.low_mm, found.ride_centred.high_mm
    assert f"95 % between {math.floor(low * 10) / 10} and {math.ceil(high * 10) / 10} mm" in text
    assert f"{found.best_length_mm:.1f} mm: chance over 999 in 1000" in text
    first = found.shares[0]
    assert first.thing == MID_STROKE
    better = math.floor(1000 * first.chance_if_halved) / 10
    line = (
        f"1. inner joint, mid-stroke: {100 * first.share:.0f} % of the doubt; known twice as well"
    )
    assert line in text
    assert f"{better} %" in text
    # How the chance was drawn is for JSON.
    assert not re.search(r"seed|draws|first order", text)
    assert "try the length in it before anything is cut" in text


@pytest.mark.usefixtures("few_draws")
def test_a_position_that_looks_misread_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    right, wrong = "outer_joint = [639.5, 263.5, -0.5]", "outer_joint = [649.5, 263.5, -0.5]"
    assert right in example_text(MEASURED)
    scene = file_of(tmp_path, example_text(MEASURED).replace(right, wrong))
    line = "the outer joint's position at droop 25.0 mm looks misread by 10 mm: measure it again"
    said = " ".join(
        told(capsys, "certainty", scene, "--length", "409", "--side", "right", code=1).split()
    )
    assert line in said
    # Without the trial fit, which contradicts such points by itself.
    trial = r"(?ms)^\[\[shafts\.left\.trial\]\][^\n]*\n.*?(?=^\[|\Z)"
    alone = re.sub(trial, "", Path(scene).read_text())
    verdict = as_json(capsys, "report", file_of(tmp_path, alone), code=1)["sides"]["left"][
        "verdict"
    ]
    assert verdict["state"] == "not sure enough"
    assert f"The{line[3:]}." in verdict["because"]
    found = as_json(capsys, "certainty", scene, code=1)["sides"]["left"]["misread"]
    assert (found["point"], found["travel_mm"]) == ("outer_joint", -25)
    assert found["by_mm"] == pytest.approx(10.0, abs=2.0)
    assert (
        as_json(capsys, "certainty", "--example", MEASURED, code=1)["sides"]["left"]["misread"]
        is None
    )


def test_the_chance_of_the_joint_angles_is_that_of_the_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    worst = examine(example(FRONT).corner("left")).outer_angle.value
    text = re.sub(
        r"(?m)^(\[shafts.left.outer_joint\]\n)max_angle = [\d.]+",
        rf"\g<1>max_angle = {worst + 0.05:.2f}",
        example_text(FRONT),
    )
    scene = file_of(tmp_path, text)
    words = ("certainty", scene, "--side", "left", "--draws", "4000")
    chance = as_json(capsys, *words, code=1)["sides"]["left"]["angles_chance"]
    assert 0.1 < chance < 0.9
    assert f"joint angles chance {math.floor(100 * chance)} % by tape error alone" in " ".join(
        told(capsys, *words, code=1).split()
    )


@pytest.mark.parametrize(("draws", "code"), [("999", 2), ("1000", 0), ("1000001", 2)])
def test_how_often_may_be_drawn(draws: str, code: int, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["certainty", "--example", FRONT, "--side", "right", "--draws", draws]
    assert main(words) == code
    assert ("expected 1000 to 1000000" in capsys.readouterr().err) == (code == 2)


def test_certainty_as_json_has_every_number(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("certainty", "--example", MEASURED, "--draws", "2000", "--seed", "7", "--margin", "2")
    sides = as_json(capsys, *words, code=1)["sides"]
    assert list(sides) == ["left", "right"]
    scene = example(MEASURED)
    for side in SIDES:
        answer = sides[side]
        found = certainty_in_scene(scene, side, 2.0, draws=2000, seed=7)
        assert answer["chance"] == found.chance
        assert answer["ride_centred_length"]["interval_low_mm"] == found.ride_centred.low_mm
        assert answer["best_length_mm"] == found.best_length_mm
        assert answer["sampling_error"] == found.sampling_error(found.chance)
        assert [one["thing"] for one in answer["measure_again"]] == [
            path_of(share.thing, side) for share in found.shares
        ]
        assert (answer["draws"], answer["seed"], answer["margin_mm"]) == (2000, 7, 2.0)


def test_the_length_to_judge_may_be_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("certainty", "--example", FRONT, "--side", "right", "--draws", "2000")
    sure = as_json(capsys, *words, "--length", "408")["sides"]["right"]
    unsure = as_json(capsys, *words, "--length", "15 5/8 in", code=1)["sides"]["right"]
    assert sure["length_mm"] == 408
    assert unsure["length_mm"] == pytest.approx(15.625 * 25.4)
    assert unsure["chance"] < 0.95 < sure["chance"]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--length", "408"), "--length: say with --side"),
        (("--draws", "5"), "--draws: expected 1000 to"),
        (("--seed", "-1"), "--seed: expected 0 or more"),
        (("--margin", "-1"), "--margin: expected mm"),
        (("--side", "left", "--length", "0"), "--length: expected mm between joint centres"),
    ],
)
def test_certainty_refuses_in_one_line(
    words: tuple[str, ...], line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert line in refused(capsys, "certainty", "--example", FRONT, *words)


def test_an_error_of_something_that_is_not_there_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = example_text(FRONT) + '[[tape.error]]\nthing = "hub.nut"\nsize = 1\n'
    assert "hub.nut" in refused(capsys, "certainty", file_of(tmp_path, text))


def test_the_report_tells_the_chance(capsys: pytest.CaptureFixture[str]) -> None:
    scene = example(MEASURED)
    sure = certainty_in_scene(scene, "left", DEFAULT_MARGIN)
    told_low = told(capsys, "report", "--example", MEASURED, code=1)
    assert f"chance {math.floor(100 * sure.chance)} %" in told_low.lower()
    assert "over 999 in 1000" in told(capsys, "report", "--example", FRONT)
    plain = as_json(capsys, "report", "--example", FRONT)["sides"]["left"]
    asked = as_json(capsys, "report", "--example", FRONT, "--certainty")["sides"]["left"]
    assert "certainty" not in plain
    corner = example(FRONT).corner("left")
    assert asked.pop("certainty")["chance"] == certainty(corner).chance
    assert asked == plain


def test_the_trial_fit_tells_what_the_fit_says(capsys: pytest.CaptureFixture[str]) -> None:
    scene = example(MEASURED)
    trial, fit = scene.left_making.trial, trial_in_scene(scene, "left")
    text = told(capsys, "trial", "--example", MEASURED, code=1)
    assert "The car and the points agree" in text
    for one in fit.residuals:
        assert f"predicted {one.before_mm:.2f} mm, off by {one.residual_before_mm:+.2f} mm" in text
        assert f"after the fit {one.residual_mm:+.2f} mm".replace("-", "−") in text
    answer = as_json(capsys, "trial", "--example", MEASURED, code=1)["sides"]["left"]
    after = certainty_in_scene(scene, "left", DEFAULT_MARGIN, fit=fit)
    assert answer["agrees"] is True
    assert answer["certainty_after"]["chance"] == after.chance
    assert answer["certainty_after"]["chance"] > answer["certainty_before"]["chance"]
    assert [one["measured_mm"] for one in answer["measurements"]] == [one.value for one in trial]


def test_points_that_the_car_contradicts_promise_no_chance(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = re.sub(r"(?m)^value = 391.7$", "value = 396.7", example_text("van-front-making"))
    answer = told(capsys, "trial", file_of(tmp_path, text), code=1)
    assert "The car and the points do not agree" in answer
    assert "fitted: not told, for the car and the points do not agree" in answer
    assert answer.count("chance over 999 in 1000") <= 1
    assert "\n\n\n" not in answer


def test_fitted_points_are_written_and_the_scene_stays(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = file_of(tmp_path, example_text(MEASURED))
    target = tmp_path / "fitted.toml"
    told(capsys, "trial", scene, "-o", str(target), code=1)
    assert Path(scene).read_text() == example_text(MEASURED)
    assert "# the housing's bottom was felt for, not seen" in target.read_text()
    before, after = example(MEASURED), read_scene(target)
    fit = trial_in_scene(before, "left")
    assert after.hub.outer_joint == pytest.approx(fit.fitted.hub.outer_joint, abs=0.006)
    assert after.left is not None
    assert after.left.inner_joint.mid_stroke == pytest.approx(
        fit.fitted.shaft.inner_joint.mid_stroke, abs=0.006
    )
    assert after.right == before.right
    assert after.left.length == 409.5
    assert isinstance(after.linkage, Measured)
    # The fitted scene fits: nothing is left to be moved far.
    again = as_json(capsys, "trial", str(target), code=1)["sides"]["left"]
    assert all(abs(one["residual_mm"]) < 0.4 for one in again["measurements"])


def test_the_scene_itself_is_not_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = file_of(tmp_path, example_text(MEASURED))
    assert "keep both" in refused(capsys, "trial", scene, "-o", scene)
    assert Path(scene).read_text() == example_text(MEASURED)


@pytest.mark.usefixtures("few_draws")
def test_a_car_that_disagrees_is_said_and_the_worst_reading_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = example_text(MEASURED).replace("value = 401.4", "value = 411.4")
    scene = file_of(tmp_path, text)
    said = " ".join(told(capsys, "trial", scene, code=1).split())
    assert "do not agree" in said
    assert "Do not cut by these points" in said
    assert "to keep it" not in said
    assert as_json(capsys, "trial", scene, code=1)["sides"]["left"]["agrees"] is False


@pytest.mark.usefixtures("few_draws")
def test_stroke_ends_that_are_fitted_shift_their_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    corner = example(FRONT).corner("left")
    rows = "".join(
        f'[[shafts.left.trial]]\ntravel = {t}\nvalue = {v}\nquantity = "plunge"\n'
        for t, v in ((-60, 1.5), (0, 0.0), (50, -1.5))
    )
    text = example_text(FRONT).replace("length = 391\n", "length = 391\n" + rows_after(), 1)
    scene = file_of(tmp_path, text + rows)
    target = tmp_path / "fitted.toml"
    main(["trial", scene, "-o", str(target)])
    capsys.readouterr()
    after = read_scene(target)
    assert after.left is not None
    assert after.left.length != corner.shaft.length
    assert replace(after.left, length=391) == replace(example_left(scene), length=391)


def rows_after() -> str:
    return 'doubtful = ["shafts.left.length"]\n'


def example_left(path: str) -> Any:
    return read_scene(Path(path)).left


@pytest.mark.parametrize(
    ("was", "now", "line"),
    [
        ("[[shafts.left.trial]]", "[[shafts.right.runout_]]", "unknown key"),
        ("travel = 55\n", "travel = 155\n", "travel 155 mm is out of reach"),
        (
            "[shafts.left]\n",
            '[shafts.left]\ndoubtful = ["nut"]\n',
            "shafts.left.doubtful: expected",
        ),
    ],
)
def test_a_trial_fit_that_cannot_be_is_refused_in_a_line(
    was: str, now: str, line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = file_of(tmp_path, example_text(MEASURED).replace(was, now))
    assert main(["trial", scene]) == 2
    assert line in capsys.readouterr().err


def test_without_measurements_it_says_what_to_enter(capsys: pytest.CaptureFixture[str]) -> None:
    assert "expected [[shafts.left.trial]] measurements" in refused(
        capsys, "trial", "--example", FRONT
    )


# Gearbox placement.


def test_the_room_of_the_mounts_is_read_and_written() -> None:
    scene = example(MEASURED)
    assert scene.gearbox_placement == MountRoom((-5, 5), (-8, 8))
    assert parse_scene(scene_text(scene)) == scene
    other = replace(scene, gearbox_placement=MountRoom((0, 0), (-4, 10)))
    text = scene_text(other, example_text(MEASURED))
    assert "up = [-4, 10]" in text
    assert parse_scene(text) == other
    assert parse_scene(scene_text(replace(scene, gearbox_placement=None))).gearbox_placement is None


@pytest.mark.parametrize("wrong", ["-3", "[4, 2]", '"wide"', "[1, 2, 3]"])
def test_a_room_that_is_none_is_refused(
    wrong: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = example_text(MEASURED).replace("up = 8", f"up = {wrong}")
    assert "gearbox.placement.up: expected mm each way, or [least, most]" in refused(
        capsys, "placement", file_of(tmp_path, text)
    )


def test_placement_tells_the_best_place_of_the_map(capsys: pytest.CaptureFixture[str]) -> None:
    scene = example(MEASURED)
    corners: dict[Side, Any] = {side: scene.corner(side) for side in scene.sides}
    room = scene.gearbox_placement
    assert room is not None
    found = place_gearbox(corners, room, points=POINTS_WITH_GAPS, spare_gap=smallest_spare_gap)
    answer = as_json(capsys, "placement", "--example", MEASURED, code=1)
    assert answer["best"]["lateral_mm"] == found.best.lateral_mm == -5
    assert answer["best"]["up_mm"] == found.best.up_mm
    assert len(answer["map"]["kept"]) == len(answer["map"]["lateral_mm"]) == POINTS_WITH_GAPS
    text = told(capsys, "placement", "--example", MEASURED, code=1)
    assert "The gearbox is best 5.0 mm towards the car's right" in text
    before = min(spare.share for spare in found.now.spares)
    after = min(spare.share for spare in found.best.spares)
    assert f"{math.floor(100 * before)} % to spare" in text
    assert f"{math.floor(100 * after)} % to spare" in text
    cells = [
        re.findall(r"[-*+0-9](?= |$)", line[31:]) for line in text.splitlines() if "8.0  " in line
    ]
    assert any("*" in row for row in cells)


@pytest.mark.usefixtures("few_draws")
def test_the_shifted_scene_has_what_was_promised(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "shifted.toml"
    told(capsys, "placement", "--example", MEASURED, "-o", str(target), code=1)
    before, after = example(MEASURED), read_scene(target)
    best = place_in_scene(before).best
    for side in before.sides:
        promised = placed_corner(before.corner(side), side, best.lateral_mm, best.up_mm)
        assert after.corner(side) == promised
    spare = {(one.side, one.quantity): one.share for one in best.spares}
    found = examine(after.corner("left"))
    left = min(found.stroke_left_in.value, found.stroke_left_out.value) - 3.0
    # The map looks at every fourth mm of travel only.
    assert left / 22.0 == pytest.approx(spare["left", "stroke"], abs=0.01)
    # The mounts reach as far as before: less on the side that the gearbox went to.
    was, now = before.gearbox_placement, after.gearbox_placement
    assert was is not None
    assert now is not None
    for room, rest, by in (
        (was.lateral, now.lateral, best.lateral_mm),
        (was.up, now.up, best.up_mm),
    ):
        assert rest == pytest.approx((room[0] - by, room[1] - by))


@pytest.mark.usefixtures("few_draws")
def test_with_free_lengths_the_written_scene_leaves_them_open(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "shifted.toml"
    told(capsys, "placement", "--example", MEASURED, "--free", "-o", str(target), code=1)
    after = read_scene(target)
    assert after.left is not None
    assert after.left.length is None


def test_without_room_it_says_what_to_enter(capsys: pytest.CaptureFixture[str]) -> None:
    assert "gearbox.placement: expected" in refused(capsys, "placement", "--example", FRONT)


def on_gearbox(scene: Scene) -> Scene:
    ear = Bracket("ear", ((200, 330), (230, 330), (230, 350)), "gearbox")
    return replace(scene, brackets=(*scene.brackets, ear))


def test_brackets_on_the_gearbox_go_with_it_on_both_sides() -> None:
    scene = on_gearbox(example(MEASURED))
    shifted = shifted_scene(scene, -5.0, 2.0)
    ears = [one for one in shifted.brackets if one.name.startswith("ear")]
    # Towards the car's right is inboard on the left and outboard on the right.
    assert [(one.name, one.outline[0]) for one in ears] == [
        ("ear, left", (195, 332)),
        ("ear, right", (205, 332)),
    ]
    up = shifted_scene(scene, 0.0, 2.0)
    assert [one.outline[0] for one in up.brackets if one.name == "ear"] == [(200, 332)]
    one_side = shifted_scene(replace(scene, left=None), -5.0, 0.0)
    assert [one.outline[0] for one in one_side.brackets if one.name == "ear"] == [(205, 330)]


def test_no_tape_table_means_a_class_ii_tape(capsys: pytest.CaptureFixture[str]) -> None:
    said = " ".join(told(capsys, "certainty", "--example", FRONT, "--side", "left").split())
    assert "no tape given: ±0.7 mm assumed up to 1 m, a class II tape" in said
    assert "by tape error alone: a misread point, gaps and a worn bush are not in it" in said
    report = " ".join(told(capsys, "report", "--example", FRONT, "--certainty").split())
    assert "Chance over 999 in 1000 by tape error alone" in report
    assert "a misread point, gaps and a worn bush are not in it" in report
    assert "No tape given: ±0.7 mm assumed" in report
    given = " ".join(told(capsys, "report", "--example", MEASURED, code=1).split())
    assert "assumed" not in given
    corner = example(FRONT).corner("left")
    assert certainty(corner, None).chance == certainty(corner, Tape()).chance


def test_a_chance_by_points_that_the_car_contradicts_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = example_text("van-front-making")
    assert CONTRADICTED not in " ".join(told(capsys, "certainty", file_of(tmp_path, scene)).split())
    text = re.sub(r"(?m)^value = 391.7$", "value = 396.7", scene)
    answer = " ".join(told(capsys, "certainty", file_of(tmp_path, text), code=1).split())
    assert answer.index(CONTRADICTED) < answer.index("chance over 999")


def test_a_limit_that_is_just_met_is_not_broken() -> None:
    met, missed = (Spare("left", "stroke", share, 0.0) for share in (0.0, -0.001))
    for spares in ((met,), (missed,), (missed, met)):
        assert broken(Place(0.0, 0.0, spares, {})) == tuple(one for one in spares if one is missed)
