"""Malformed scene files by the hundred: one line for each problem, naming the key, no traceback."""

from __future__ import annotations

import copy
import datetime as dt
import math
import random
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from scenes.errors import SceneError
from scenes.library import example_names, example_text
from scenes.model import Scene
from scenes.reading import parse_scene, read_scene

Path_ = tuple[str | int, ...]

TEXTS = {name: example_text(name) for name in example_names()}
FRONT = tomllib.loads(TEXTS["van-front"])
REAR = tomllib.loads(TEXTS["van-rear"])

# What the contract lets be left out.
OPTIONAL = {
    "title",
    "notes",
    "steering",
    "gearbox",
    "movement",
    "length",
    "axis",
    "stroke_at_angle",
    "section",
    "bracket",
    "name",
    "mounted_on",
    "fore",
    "wanted_gap",
    "out",
    "up",
    "left",
    "right",
    "drive",
    "tape",
    "strut_tube",
    "arm",
}
WRONG: dict[str, Any] = {
    "true": True,
    "a table": {"nope": 1},
    "nested lists": [[["x"]]],
    "not a number": math.nan,
    "infinite": math.inf,
    "a huge whole number": 10**30,
    "a huge number": 1e300,
    "a day": dt.date(2024, 2, 29),
    "a point of words": ["a", "b"],
    "a point of four": [1, 2, 3, 4],
    "a point with a hole": [1, True],
}


def places(value: Any, path: Path_ = ()) -> Iterator[Path_]:
    """The path of every key in a scene; tables of a list are counted, its numbers are not."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield (*path, key)
            yield from places(inner, (*path, key))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for index, inner in enumerate(value):
            yield from places(inner, (*path, index))


def named(path: Path_) -> str:
    """The path as a message names it."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def changed(scene: dict[str, Any], path: Path_, value: Any) -> str:
    """The scene's text with another value at a path; taken out where it is None."""
    scene = copy.deepcopy(scene)
    table: Any = scene
    for step in path[:-1]:
        table = table[step]
    if value is None:
        del table[path[-1]]
    else:
        table[path[-1]] = value
    return tomlkit.dumps(scene)


def problems(text: str) -> list[str]:
    """The lines that refuse a text; none where it is a scene."""
    try:
        parse_scene(text)
    except SceneError as caught:
        error = caught
    else:
        return []
    lines = [str(problem) for problem in error.problems]
    assert lines
    assert str(error) == "\n".join(lines)
    for line in lines:
        assert line == line.strip()
        assert "\n" not in line
        assert "\r" not in line
        assert 10 < len(line) < 400
    return lines


CASES = [
    pytest.param(scene, path, id=f"{kind}-{named(path)}")
    for kind, scene in (("front", FRONT), ("rear", REAR))
    for path in places(scene)
]


def test_there_are_hundreds_of_cases() -> None:
    assert len(CASES) * len(WRONG) > 1000


@pytest.mark.parametrize(("scene", "path"), CASES)
def test_a_wrong_value_is_named(scene: dict[str, Any], path: Path_) -> None:
    for what, value in WRONG.items():
        lines = problems(changed(scene, path, value))
        assert lines, what
        assert all(line.startswith(named(path)) for line in lines), (what, lines)
        assert "expected" in lines[0], what


@pytest.mark.parametrize("path", list(places(FRONT)), ids=named)
def test_a_missing_key_is_named_unless_it_may_be_left_out(path: Path_) -> None:
    if path[-1] == "fore" and path[0] == "gearbox":
        return
    lines = problems(changed(FRONT, path, None))
    if path[-1] in OPTIONAL:
        assert lines == []
    else:
        (line,) = lines
        assert line.startswith(f"{named(path)}: missing; expected")


TABLES = [(), *(path for path in places(FRONT) if isinstance(path[-1], str))]


@pytest.mark.parametrize("path", TABLES, ids=named)
def test_an_unknown_key_is_named(path: Path_) -> None:
    table: Any = FRONT
    for step in path:
        table = table[step]
    if not isinstance(table, dict):
        return
    (line,) = problems(changed(FRONT, (*path, "nonsense"), 1))
    assert line.startswith(f"{named((*path, 'nonsense'))}: unknown key")
    assert "expected only" in line


def test_a_slip_of_the_keyboard_is_recognised() -> None:
    text = TEXTS["van-front"].replace("ball_joint =", "ball_jiont =")
    missing, unknown = sorted(problems(text))
    assert unknown.startswith("linkage.ball_joint: missing") or missing.startswith(
        "linkage.ball_jiont"
    )
    assert any('did you mean "ball_joint"' in line for line in (missing, unknown))


def test_every_problem_is_found_in_one_go() -> None:
    scene = copy.deepcopy(FRONT)
    wrong: list[Path_] = [
        ("linkage", "strut_top"),
        ("linkage", "ball_joint"),
        ("hub", "wheel_centre"),
        ("travel", "bump"),
        ("steering", "inside_lock"),
        ("gearbox", "movement", "up"),
        ("shafts", "left", "length"),
        ("shafts", "left", "inner_joint", "stroke_at_angle"),
        ("shafts", "left", "section", 1, "diameter"),
        ("shafts", "right", "outer_joint", "max_angle"),
        ("bracket", 0, "outline"),
        ("bracket", 1, "mounted_on"),
        ("title",),
        ("format",),
    ]
    for path in wrong:
        table: Any = scene
        for step in path[:-1]:
            table = table[step]
        table[path[-1]] = False
    lines = problems(tomlkit.dumps(scene))
    assert sorted(line.split(":")[0] for line in lines) == sorted(map(named, wrong))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("format = 1", "format = 2", "format: expected 1, got 2"),
        ("format = 1", "format = true", "format: expected 1, got true"),
        ("format = 1", "format = 1.0", "format: expected 1, got 1.0"),
        ("format = 1", 'format = "1"', 'format: expected 1, got "1"'),
        (
            "ball_joint = [668, 188, 6]",
            'ball_joint = "x"',
            'linkage.ball_joint: expected [out, up] or [out, up, fore] in mm, got "x"',
        ),
        ("ball_joint = [668, 188, 6]", "ball_joint = [338, 205, 6]", "linkage.ball_joint: "),
        ("strut_lower = [636, 350, -4]", "strut_lower = [575, 790, -30]", "linkage.strut_lower: "),
        ("wheel_centre = [716, 292]", "wheel_centre = [652, 293]", "hub.wheel_centre: "),
        ("wheel_centre = [716, 292]", "wheel_centre = [652, 400]", "hub.wheel_centre: "),
        ("bump = 70", "bump = -1", "travel.bump: "),
        ("droop = 80", "droop = -0.1", "travel.droop: "),
        ("inside_lock = 35", "inside_lock = 90", "steering.inside_lock: "),
        ("outside_lock = 29", "outside_lock = -1", "steering.outside_lock: "),
        ("fore = 7", "fore = -7", "gearbox.movement.fore: "),
        ("length = 391", "length = 0", "shafts.left.length: "),
        ("length = 391", "length = -391", "shafts.left.length: "),
        (
            "mid_stroke = [262, 312, -8]",
            "mid_stroke = [262, 312, -8]\naxis = [0, 0, 0]",
            "shafts.left.inner_joint.axis: ",
        ),
        (
            "mid_stroke = [262, 312, -8]",
            "mid_stroke = [262, 312, -8]\naxis = [-1, 0]",
            "shafts.left.inner_joint.axis: ",
        ),
        (
            "[[0, 23, 24], [12, 21, 21],",
            "[[0, 23, 24], [12, 21],",
            "shafts.left.inner_joint.stroke_at_angle: ",
        ),
        (
            "[[0, 23, 24], [12, 21, 21], [18, 18, 16], [23, 9, 7]]",
            "[]",
            "shafts.left.inner_joint.stroke_at_angle: expected rows",
        ),
        (
            "[[0, 23, 24], [12, 21, 21],",
            "[[12, 23, 24], [0, 21, 21],",
            "shafts.left.inner_joint.stroke_at_angle: expected rows in order",
        ),
        (
            "[[0, 23, 24], [12, 21, 21],",
            "[[0, 23, 24], [12, -21, 21],",
            "shafts.left.inner_joint.stroke_at_angle: expected strokes",
        ),
        (
            "[[0, 23, 24], [12, 21, 21],",
            "[[-1, 23, 24], [12, 21, 21],",
            "shafts.left.inner_joint.stroke_at_angle: expected angles",
        ),
        ("max_angle = 46", "max_angle = 0", "shafts.left.outer_joint.max_angle: "),
        ("max_angle = 23", "max_angle = 91", "shafts.left.inner_joint.max_angle: "),
        ("to = 96", "to = 20", "shafts.left.section[0].to: "),
        ("diameter = 25", "diameter = 0", "shafts.left.section[1].diameter: "),
        ("diameter = [84, 34]", "diameter = [84, -1]", "shafts.left.section[0].diameter: "),
        (
            "[[404, 196], [470, 196], [470, 214], [404, 232]]",
            "[[404, 196], [470, 214], [470, 196], [404, 232]]",
            "bracket[0].outline: expected an outline that does not cross",
        ),
        (
            "[[404, 196], [470, 196], [470, 214], [404, 232]]",
            "[[404, 196], [470, 196]]",
            "bracket[0].outline: expected three corners",
        ),
        (
            "[[404, 196], [470, 196], [470, 214], [404, 232]]",
            "[[404, 196], [437, 196], [470, 196]]",
            "bracket[0].outline: ",
        ),
        ("[[404, 196], [470, 196], [470, 214], [404, 232]]", "[]", "bracket[0].outline: "),
        ("fore = [-45, 40]", "fore = [40, -45]", "bracket[0].fore: "),
        ('mounted_on = "body"', 'mounted_on = "roof"', "bracket[0].mounted_on: "),
        ('kind = "strut"', 'kind = "trailing arm"', "linkage.kind: "),
        ('name = "motor mount foot"', 'name = "gearbox\\u0000"', "bracket[0].name: expected text"),
        ('name = "motor mount foot"', 'name = " "', "bracket[0].name: expected a name, got"),
        ('title = "City', 'title = "City \\u0000', "title: expected text without"),
    ],
)
def test_what_describes_no_real_part_is_refused(old: str, new: str, said: str) -> None:
    text = TEXTS["van-front"]
    assert old in text
    (line,) = problems(text.replace(old, new, 1))
    assert line.startswith(said)


def test_two_brackets_of_one_name_are_refused_and_both_named() -> None:
    first, second, *_ = (bracket["name"] for bracket in FRONT["bracket"])
    text = TEXTS["van-front"].replace(f'name = "{second}"', f'name = "{first}"')
    (line,) = problems(text)
    assert line == (
        f'bracket[1].name: expected a name of its own, bracket[0] is named "{first}", too'
    )


def test_an_outline_closed_by_its_first_corner_is_the_same_outline() -> None:
    text = TEXTS["van-front"]
    open_end = "[[404, 196], [470, 196], [470, 214], [404, 232]]"
    for closed in (
        "[[404, 196], [470, 196], [470, 214], [404, 232], [404, 196]]",
        "[[404, 196], [404, 196.0], [470, 196], [470, 214], [404, 232], [404, 196], [404, 196]]",
    ):
        assert parse_scene(text.replace(open_end, closed)) == parse_scene(text)


def test_a_measured_wheel_centre_on_the_outer_joint_is_refused() -> None:
    """As the hub's own is: without a hub axis there is no camber."""
    text = TEXTS["van-rear-measured"]
    position = tomllib.loads(text)["linkage"]["position"][0]
    (line,) = problems(
        changed(
            tomllib.loads(text), ("linkage", "position", 0, "wheel_centre"), position["outer_joint"]
        )
    )
    assert line.startswith(
        "linkage.position[0].wheel_centre: expected a point outboard of outer_joint"
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "#",
        "format",
        "format = ",
        "format = 1\nformat = 1\n",
        "[linkage]\n[linkage]\n",
        "[[bracket]]\n[bracket]\n",
        "a.b = 1\na = 2\n",
        "format = 1 title = 2",
        "x = " + "[" * 20000 + "]" * 20000,
        "x = " + "{a=" * 5000 + "1" + "}" * 5000,
        "x = " + "9" * 5000,
        "format = 1\0",
        "\ufefformat = 1",
        'title = "unclosed',
        "title = '''unclosed",
        "x = 1979-13-45",
        "x = 0x",
        "format = 1\rtitle = 2",
        "<?xml version='1.0'?><scene/>",
        '{"format": 1}',
        "shafts = []",
        "shafts = [1]",
        "[shafts]\nmiddle = 1",
        "[[linkage]]\nkind = 'strut'",
        "bracket = 3",
        "bracket = [1, 2]",
        "linkage = 'strut'",
        "[gearbox]\nmovement = 4",
        '"" = 1',
        '"a key with\\nlines" = 1',
        "[linkage]\nkind = ['strut']",
    ],
    ids=range(33),
)
def test_what_is_hardly_a_scene_is_refused(text: str) -> None:
    assert problems(text)


def test_a_scene_without_any_shaft_is_refused() -> None:
    text = changed(FRONT, ("shafts",), {})
    assert problems(text) == ["shafts: expected [shafts.left], [shafts.right] or both"]


@pytest.mark.parametrize("seed", range(60))
def test_torn_files(seed: int) -> None:
    """Cut off, with a piece missing, doubled or shuffled: a scene or a refusal, nothing else."""
    chance = random.Random(seed)
    for text in TEXTS.values():
        a, b = sorted(chance.sample(range(len(text)), 2))
        lines = text.splitlines(keepends=True)
        chance.shuffle(lines)
        for torn in (text[:a], text[:a] + text[b:], text[:b] + text[a:], "".join(lines)):
            problems(torn)


@given(st.binary(max_size=300))
def test_any_bytes_at_all(tmp_path_factory: pytest.TempPathFactory, junk: bytes) -> None:
    path = tmp_path_factory.mktemp("junk") / "scene.toml"
    path.write_bytes(junk)
    with pytest.raises(SceneError) as caught:
        read_scene(path)
    assert caught.value.source == str(path)


@given(
    st.sampled_from(sorted(TEXTS)),
    st.lists(st.tuples(st.floats(0, 1), st.text(max_size=5)), min_size=1, max_size=4),
)
def test_typed_over(name: str, slips: list[tuple[float, str]]) -> None:
    text = TEXTS[name]
    for share, typed in slips:
        at = int(share * len(text))
        text = text[:at] + typed + text[at + len(typed) :]
    problems(text)


class TestFiles:
    def refused(self, path: Path) -> str:
        with pytest.raises(SceneError) as caught:
            read_scene(path)
        assert caught.value.source == str(path)
        (problem,) = caught.value.problems
        return str(problem)

    def test_none_there(self, tmp_path: Path) -> None:
        assert "cannot be read: No such file" in self.refused(tmp_path / "none.toml")

    def test_a_folder(self, tmp_path: Path) -> None:
        assert "cannot be read: " in self.refused(tmp_path)

    def test_an_impossible_name(self) -> None:
        assert self.refused(Path("a\0b.toml")) == "no file can have this name"

    def test_not_text(self, tmp_path: Path) -> None:
        path = tmp_path / "scene.toml"
        path.write_bytes(b'format = 1\ntitle = "\xff"\n')
        assert "expected UTF-8 text, byte 20 is none" in self.refused(path)

    def test_far_too_large(self, tmp_path: Path) -> None:
        path = tmp_path / "scene.toml"
        path.write_bytes(b"#" * 4_000_001)
        assert "too large" in self.refused(path)

    @pytest.mark.parametrize("kind", ["byte order mark", "line ends", "both"])
    def test_as_other_editors_save(self, tmp_path: Path, kind: str) -> None:
        text = TEXTS["van-front"]
        path = tmp_path / "scene.toml"
        content = text.replace("\n", "\r\n") if kind != "byte order mark" else text
        path.write_bytes((b"\xef\xbb\xbf" if kind != "line ends" else b"") + content.encode())
        scene: Scene = read_scene(path)
        assert scene == parse_scene(text)
