"""The report command: the answer in words and as JSON, its exit code, and every broken limit."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kinematics.linkage.motion import solve
from kinematics.shaft.following import follow
from kinematics.shaft.gearbox_box import GearboxBox
from kinematics.shaft.whole_motion import travel_steps
from scenes.library import example, example_names, example_text
from scenes.reading import parse_scene
from sketcher.__main__ import main

FRONT = example_text("van-front")
LEFT = FRONT[: FRONT.index("[shafts.right]")]
KEYS = {
    "length_mm",
    "ride_centred_length_mm",
    "margin_mm",
    "length_window_mm",
    "window_shortfall_mm",
    "worst",
    "broken",
}
WORST = {
    "stroke_left_in_mm",
    "stroke_left_out_mm",
    "inner_angle_deg",
    "outer_angle_deg",
    "clearance_mm",
}
NO_TABLE = re.compile(r"^stroke_at_angle.*\n", flags=re.MULTILINE)

Run = Callable[..., tuple[int, str, str]]
Side = dict[str, Any]


pytestmark = pytest.mark.usefixtures("few_draws")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Run:
    """Run the command on an example, or on a scene's text, and give back code and outputs."""

    def once(scene: str, *words: object) -> tuple[int, str, str]:
        named = ["--example", scene]
        if "\n" in scene:
            path = tmp_path / "own.toml"
            path.write_text(scene, encoding="utf-8")
            named = [str(path)]
        code = main(["report", *named, *map(str, words)])
        out, err = capsys.readouterr()
        return code, out, err

    return once


@pytest.fixture
def left(run: Run) -> Callable[..., tuple[int, Side]]:
    """The left side of the JSON and the exit code."""

    def once(scene: str, *words: object) -> tuple[int, Side]:
        code, out, _ = run(scene, "--side", "left", "--json", *words)
        return code, json.loads(out)["sides"]["left"]

    return once


@pytest.mark.parametrize(
    ("name", "code"),
    [("van-front", 0), ("van-rear", 0), ("van-front-too-long", 1), ("van-front-mount-fouls", 1)],
)
def test_exit_code_and_words_agree(run: Run, name: str, code: int) -> None:
    found, text, err = run(name, "--side", "left")
    assert (found, err) == (code, "")
    assert ("DO NOT CUT" in text) == ("Do not cut" in text) == bool(code)
    found, out, err = run(name, "--side", "left", "--json")
    assert (found, err) == (code, "")
    assert bool(json.loads(out)["sides"]["left"]["broken"]) == bool(code)


@pytest.mark.parametrize("name", example_names())
def test_json_has_the_contracts_keys(run: Run, name: str) -> None:
    sides = json.loads(run(name, "--json")[1])["sides"]
    assert tuple(sides) == example(name).sides
    for side in sides.values():
        assert set(side) >= KEYS
        assert set(side["worst"]) == WORST
        shortest, longest = side["length_window_mm"]
        assert shortest < longest
        assert side["window_shortfall_mm"] == 0.0
        assert side["margin_mm"] == 3.0


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("name", example_names())
def test_report_fits_a_screen(run: Run, name: str, unit: str) -> None:
    lines = run(name, "--units", unit)[1].splitlines()
    assert len(lines) <= 50
    assert max(map(len, lines)) <= 100
    assert "Ask the inspection office" in " ".join(lines)


def test_side_asked_for_alone(run: Run) -> None:
    assert list(json.loads(run("van-front", "--side", "right", "--json")[1])["sides"]) == ["right"]
    text = run("van-front", "--side", "right")[1]
    assert "RIGHT SHAFT" in text
    assert "LEFT SHAFT" not in text


@pytest.mark.parametrize("side", ["left", "right"])
def test_side_that_the_scene_lacks(run: Run, side: str) -> None:
    scene = (
        LEFT
        if side == "right"
        else FRONT.replace("[shafts.left", "[shafts.right")
        .replace("[[shafts.left", "[[shafts.right")
        .replace(FRONT[FRONT.index("[shafts.right]") : FRONT.index("[[bracket]]")], "")
    )
    code, out, err = run(scene, "--side", side)
    assert (code, out) == (2, "")
    assert err.splitlines() == [f"shafts.{side}: this scene has no {side} shaft"]


@pytest.mark.parametrize("margin", [0.0, 3.0, 7.5])
def test_window_over_the_whole_motion_by_the_contracts_formula(
    left: Callable[..., tuple[int, Side]], margin: float
) -> None:
    """[max |O - P_out|, min |O - P_in|], and worst values by their definitions."""
    text = NO_TABLE.sub("", LEFT)
    _, found = left(text, "--margin", margin)
    corner = parse_scene(text).corner("left")
    joint, steering = corner.shaft.inner_joint, corner.steering
    assert steering is not None
    motion = solve(
        corner.linkage,
        corner.hub,
        travel_steps(corner, 1.0)[:, None],
        np.arange(-steering.outside_lock, steering.inside_lock + 1.0)[None, :],
    )
    moved = [
        (out, up, fore)
        for out in (-3.0, 0.0, 3.0)
        for up in (-5.0, 0.0, 5.0)
        for fore in (-7.0, 0.0, 7.0)
        if np.count_nonzero([out, up, fore]) != 2
    ]
    axis = np.array(joint.axis)
    span = motion.outer_joint - (np.array(joint.mid_stroke) + np.array(moved)[:, None, None, :])
    p_out, p_in = (joint.stroke_out - margin) * axis, -(joint.stroke_in - margin) * axis
    shortest = np.linalg.norm(span - p_out, axis=-1).max()
    longest = np.linalg.norm(span - p_in, axis=-1).min()
    assert found["length_window_mm"] == pytest.approx([shortest, longest], abs=1e-9)
    assert found["margin_mm"] == margin
    along = span @ axis
    plunge = along - np.sqrt(391.0**2 - (span**2).sum(-1) + along**2)
    shaft = span - plunge[..., None] * axis
    inner = np.degrees(np.arccos(shaft @ axis / 391.0))
    outer = np.degrees(np.arccos((shaft * motion.hub_axis).sum(-1) / 391.0))
    worst = found["worst"]
    assert worst["stroke_left_in_mm"] == pytest.approx(joint.stroke_in + plunge.min(), abs=1e-9)
    assert worst["stroke_left_out_mm"] == pytest.approx(joint.stroke_out - plunge.max(), abs=1e-9)
    assert worst["inner_angle_deg"] == pytest.approx(inner.max(), abs=1e-6)
    assert worst["outer_angle_deg"] == pytest.approx(outer.max(), abs=1e-6)


def test_places_in_the_json_are_where_the_values_are(
    left: Callable[..., tuple[int, Side]],
) -> None:
    _, found = left("van-front")
    corner = example("van-front").corner("left")
    names = {"stroke_left_in": "mm", "stroke_left_out": "mm"}
    names |= {"inner_angle": "deg", "outer_angle": "deg"}
    for quantity, unit in names.items():
        at = found["worst_at"][quantity]
        motion = solve(corner.linkage, corner.hub, at["travel_mm"], at["steer_deg"])
        shaft = follow(corner, motion, shift_mm=at["gearbox_shift_mm"])
        key = f"{quantity}_{unit}"
        assert float(getattr(shaft, key)) == pytest.approx(found["worst"][key], abs=1e-9)
        assert at["gearbox_shift_mm"] in GearboxBox.of(corner.gearbox_movement).places().tolist()


def test_length_left_out_is_the_ride_centred_one(
    run: Run, left: Callable[..., tuple[int, Side]]
) -> None:
    text = LEFT.replace("length = 391\n", "")
    code, found = left(text)
    scene = example("van-front")
    assert scene.left is not None
    centred = math.dist(scene.hub.outer_joint, scene.left.inner_joint.mid_stroke)
    assert code == 0
    assert found["length_mm"] == found["ride_centred_length_mm"] == pytest.approx(centred)
    words = run(text, "--side", "left")[1]
    assert "No length yet: the ride-centred 390.5 mm fits as far as looked at" in words
    assert "can be cut" not in words


@pytest.mark.parametrize(("length", "word"), [(405.0, "long"), (380.0, "short")])
def test_length_outside_the_window(
    run: Run, left: Callable[..., tuple[int, Side]], length: float, word: str
) -> None:
    text = LEFT.replace("length = 391\n", f"length = {length}\n")
    code, found = left(text)
    shortest, longest = found["length_window_mm"]
    past = max(length - longest, shortest - length)
    assert code == 1
    assert past > 0
    (line,) = found["broken"]
    assert ("bottoms" if word == "long" else "pulls apart") in line
    words = run(text, "--side", "left")[1]
    assert f"the length is {math.ceil(past * 10) / 10:.1f} mm too {word} for it" in words
    assert f"Do not cut at {length} mm: a limit is broken." in words


def test_broken_limits_in_the_json_name_the_steering_too(
    left: Callable[..., tuple[int, Side]],
) -> None:
    _, found = left(LEFT.replace("length = 391\n", "length = 405\n"))
    assert found["worst_at"]["stroke_left_in"]["steer_deg"] == -29.0
    (line,) = found["broken"]
    assert "at bump 70.0 mm, steer −29° (outside lock), gearbox moved 3.0 mm outboard" in line


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("length = 391\n", "length = 412\n", "the inner joint bottoms: 5.7 mm past the end"),
        ("length = 391\n", "length = 404\n", "too little stroke before the inner joint bottoms"),
        ("length = 391\n", "length = 376\n", "the inner joint pulls apart: "),
        ("length = 391\n", "length = 381\n", "too little stroke before the inner joint pulls ap"),
        ("max_angle = 23\n", "max_angle = 15\n", "the inner joint bends 15.3° at full droop"),
        ("max_angle = 46\n", "max_angle = 38.5\n", "the outer joint bends 39.0° at full bump"),
        ("fore = [20, 26]", "wanted_gap = 40", 'to "brake hose stay" is'),
        ("[404, 232]", "[404, 322]", '"bar" fouls "motor mount foot" by 12.5 mm at'),
    ],
)
def test_each_broken_limit_is_named(run: Run, old: str, new: str, words: str) -> None:
    text = LEFT + (FRONT[FRONT.index("[[bracket]]") :] if '"' in words else "")
    assert old in text
    text = text.replace(old, new)
    if "bends" in words:
        text = NO_TABLE.sub("", text)
    code, out, err = run(text)
    assert (code, err) == (1, "")
    assert any(one in flat(out) for one in (words, words[0].upper() + words[1:]))
    assert len(json.loads(run(text, "--json")[1])["sides"]["left"]["verdict"]["because"]) == 1
    assert "can be cut" not in out


def test_several_broken_limits_are_counted(run: Run) -> None:
    text = LEFT.replace("max_angle = 23", "max_angle = 12").replace("= 46", "= 30")
    code, out, _ = run(text)
    assert code == 1
    assert "Do not cut at 391.0 mm: 2 limits are broken." in out
    assert out.count("The inner joint bends") == out.count("The outer joint bends") == 1


def test_empty_window_says_by_how_much_and_which_positions_fight(
    run: Run, left: Callable[..., tuple[int, Side]]
) -> None:
    text = NO_TABLE.sub("", LEFT).replace("= 23 ", "= 9 ").replace("= 24 ", "= 9 ")
    code, found = left(text)
    assert code == 1
    assert found["length_window_mm"] is None
    short = found["window_shortfall_mm"]
    assert short > 0.0
    # An end gives way by the margin times the cosine of the joint's angle.
    less = short / 2 / math.cos(math.radians(23))
    assert left(text, "--margin", 3.0 - less)[1]["length_window_mm"] is not None
    out = run(text)[1]
    assert "no length keeps the margin at both ends of the stroke" in out
    said = flat(out)
    assert f"the window is short by {math.ceil(short * 10) / 10:.1f} mm; not to pull apart" in said
    assert "at full droop, inside lock" in said
    assert "at full bump, outside lock" in said
    assert "length window empty, short by" in said


def test_travel_out_of_reach_is_no_answer(run: Run) -> None:
    text = LEFT.replace("bump = 70", "bump = 400")
    code, out, err = run(text)
    assert code == 2
    assert "Do not cut: part of the travel or steering asked for is out of reach." in out
    assert "stroke left" not in out
    assert "to +400 mm is out of reach: the linkage passes a dead point" in flat(out)
    (line,) = err.splitlines()
    assert "own.toml: travel −80 to +400 mm is out of reach" in line
    code, out, _ = run(text, "--json")
    assert code == 2
    for side in json.loads(out)["sides"].values():
        assert side["length_window_mm"] is None
        assert side["window_shortfall_mm"] is None
        assert "out of reach" in side["broken"][0]


def test_what_is_told_to_be_in_reach_is(run: Run) -> None:
    err = run(LEFT.replace("bump = 70", "bump = 400"))[2]
    able = re.search(r"in reach is (\S+) to (\S+) mm", err)
    assert able is not None
    low, high = (float(word.replace("−", "-")) for word in able.groups())
    text = LEFT.replace("bump = 70", f"bump = {high}").replace("droop = 80", f"droop = {-low}")
    assert "out of reach" not in run(text)[1]


def test_travel_far_out_of_reach_costs_nothing(run: Run) -> None:
    assert run(LEFT.replace("bump = 70", "bump = 100_000"))[0] == 2


def test_gaps_not_looked_at_are_said_to_be(run: Run) -> None:
    bare = LEFT[: LEFT.index("[[shafts.left.section]]")]
    brackets = FRONT[FRONT.index("[[bracket]]") :]
    for text, why in ((LEFT, "the scene has no [[bracket]]"), (bare + brackets, "no outline")):
        code, out, _ = run(text)
        assert code == 0
        assert "Stroke and joint angles hold" in out
        assert "fits as far as looked at" in flat(out)
        assert "Every limit" not in out
        assert why in flat(out)
        assert json.loads(run(text, "--json")[1])["sides"]["left"]["worst"]["clearance_mm"] is None


def test_a_shaft_too_short_to_reach_is_refused_with_the_files_name(run: Run) -> None:
    code, out, err = run(LEFT.replace("length = 391", "length = 12"))
    assert (code, out) == (2, "")
    (line,) = err.splitlines()
    assert "own.toml: shafts.left.length: expected a shaft that reaches" in line


def test_inches_have_fractions_beside_them(run: Run) -> None:
    out = run("van-front", "--side", "left", "--units", "in")[1]
    # 391 mm are 15.3937 in: 15 25/64 less three thousandths.
    assert '15.394 in (15 25/64") fits by what was measured' in out
    assert " mm" not in out.partition("No tape given")[0]
    window = re.search(r'length window +([\d.]+) in \((\d+) (\d+)/(\d+)"\) to', out)
    assert window is not None
    shortest = json.loads(run("van-front", "--json")[1])["sides"]["left"]["length_window_mm"][0]
    decimal, whole, above, below = map(float, window.groups())
    assert decimal * 25.4 >= shortest
    assert (whole + above / below) * 25.4 >= shortest


def test_json_is_in_mm_whatever_the_units(run: Run) -> None:
    assert run(LEFT, "--json", "--units", "in") == run(LEFT, "--json")


@pytest.mark.parametrize("margin", ["-1", "nan", "inf"])
def test_a_margin_that_is_none_is_refused(run: Run, margin: str) -> None:
    code, out, err = run("van-front", f"--margin={margin}")
    assert (code, out) == (2, "")
    assert err.splitlines() == [f"--margin: expected mm, 0 or more, got {margin}"]


def test_title_cannot_break_the_page(run: Run) -> None:
    text = LEFT.replace("City van, front axle", "City\\n\\u001b[2Jvan")
    first = run(text)[1].splitlines()[0]
    assert first.startswith("City")
    assert "\x1b" not in first


def test_margin_may_be_typed_in_inches(left: Callable[..., tuple[int, Side]]) -> None:
    assert left(LEFT, "--margin", '1/8"')[1]["margin_mm"] == pytest.approx(3.175)
