"""The command line as a whole: help, mistakes, malformed scenes, pipes and plain terminals."""

from __future__ import annotations

import contextlib
import csv
import os
import random
import re
import shlex
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scenes.errors import SceneError
from scenes.library import example_names, example_text
from scenes.reading import parse_scene
from sketcher import __version__
from sketcher.__main__ import COMMANDS, main
from tests.waiting import PATIENCE_SECONDS

FRONT = example_text("van-front")
# A smaller scene answers faster: one side, no brackets, little travel.
SMALL = (
    FRONT[: FRONT.index("[shafts.right]")]
    .replace("bump = 70", "bump = 7")
    .replace("droop = 80", "droop = 8")
)
ODD = [
    '""',
    '"x"',
    "-1",
    "0",
    "1e9",
    "nan",
    "inf",
    "true",
    "[]",
    "[1, 2, 3, 4]",
    "{}",
    "1979-05-27",
]


def process(*words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The command line as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "sketcher", *words],
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
        timeout=PATIENCE_SECONDS,
    )


def code_of(words: list[str]) -> int:
    """The exit code, however it is given back."""
    try:
        return main(words)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else -1


def test_help_teaches(capsys: pytest.CaptureFixture[str]) -> None:
    assert code_of(["--help"]) == 0
    text = capsys.readouterr().out
    for command in COMMANDS:
        assert f"sketcher {command} " in text
    assert "spring" in text
    assert "axle stands" in text


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_has_its_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert code_of([command, "--help"]) == 0
    text = capsys.readouterr().out
    assert f"usage: sketcher {command}" in text
    assert import_module(f"sketcher.commands.{command}").EPILOG.strip() in text
    assert all(name in text for name in example_names())
    assert max(map(len, text.splitlines())) <= 100


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert code_of(["--version"]) == 0
    assert capsys.readouterr().out.strip() == f"sketcher {__version__}"


@pytest.mark.parametrize("command", ["report", "table"])
def test_a_scene_has_to_be_named_once(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    for words in ([command], [command, "van.toml", "--example", "van-front"]):
        assert main(words) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert err.splitlines() == ["expected a scene file, or --example NAME"]


def test_an_example_that_is_none_lists_those_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report", "--example", "lorry"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith('no example "lorry"; expected one of van-front, ')


def test_a_misspelt_command_lists_those_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reprot", "van.toml"]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("expected a command (report, table")
    assert line.endswith('or a scene, got "reprot"')


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["report", "--example", "van-front", "--side", "middle"], "--side"),
        (["report", "--example", "van-front", "--margin", "wide"], "--margin"),
        (["report", "--example", "van-front", "--units", "cubits"], "--units"),
        (["table", "--example", "van-front", "--step", "often"], "--step"),
        (["table", "--example"], "--example"),
        (["table", "--example", "van-front", "--colour"], "--colour"),
    ],
)
def test_a_mistyped_option_is_named(
    words: list[str], named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert code_of(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert named in err.splitlines()[-1]


@pytest.mark.parametrize("command", ["report", "table"])
@pytest.mark.parametrize(
    ("content", "says"),
    [
        (None, "cannot be read: "),
        (b"\xff\xfe", "expected UTF-8 text"),
        (b"format = ", "not a TOML file"),
        (b"x = 0\n" * 700_000, "too large"),
    ],
)
def test_a_file_that_is_no_scene_is_named_once(
    command: str,
    content: bytes | None,
    says: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = tmp_path / "own.toml"
    if content is not None:
        path.write_bytes(content)
    assert main([command, str(path)]) == 2
    out, err = capsys.readouterr()
    (line,) = err.splitlines()
    assert out == ""
    assert line.startswith(f"{path}: {says}") or (says == "too large" and says in line)
    assert line.count(str(path)) == 1


def test_a_folder_is_no_scene(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report", str(tmp_path)]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"{tmp_path}: cannot be read: ")


def test_every_problem_of_a_scene_has_its_line_with_the_files_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.toml"
    text = FRONT.replace("ball_joint = [668, 188, 6]", 'ball_joint = "x"')
    text = text.replace("bump = 70", "bump = -70").replace("stroke_in = 23", "stroke = 23", 1)
    path.write_text(text, encoding="utf-8")
    assert main(["table", str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    lines = err.splitlines()
    assert all(line.startswith(f"{path}: ") for line in lines)
    for key in ("linkage.ball_joint", "travel.bump", "stroke_in", "stroke"):
        assert any(key in line for line in lines), key
    assert f'{path}: linkage.ball_joint: expected [out, up] or [out, up, fore] in mm, got "x"' in (
        lines
    )


def test_a_dead_point_is_refused_with_the_files_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.toml"
    # An arm straight up lifts nothing.
    text = SMALL.replace("arm_pivot = [338, 205]", "arm_pivot = [668, 5]")
    path.write_text(text.replace("wheel_centre = [716, 292]", "wheel_centre = [668, 1e3]"))
    for command in ("report", "table"):
        code = main([command, str(path)])
        out, err = capsys.readouterr()
        assert code == 2
        assert "nan" not in out
        assert all(line.startswith(f"{path}: ") for line in err.splitlines())


def mutated(text: str, seed: int) -> str:
    """A scene with one to three mistakes, of the kinds that typing makes."""
    draw = random.Random(seed)
    lines = text.splitlines()
    for _ in range(draw.randint(1, 3)):
        at = draw.randrange(len(lines))
        match draw.randrange(7):
            case 0:
                del lines[at]
            case 1:
                lines.insert(at, lines[draw.randrange(len(lines))])
            case 2:
                key = lines[at].partition("=")[0]
                lines[at] = f"{key}= {draw.choice(ODD)}"
            case 3:
                numbers = list(re.finditer(r"-?\d+", lines[at]))
                if numbers:
                    number = draw.choice(numbers)
                    new = draw.choice(ODD[2:9])
                    lines[at] = lines[at][: number.start()] + new + lines[at][number.end() :]
            case 4:
                lines[at] = lines[at].replace("_", "", 1)
            case 5:
                cut = draw.randrange(len(lines[at]) + 1)
                lines[at] = lines[at][:cut] + draw.choice('[]"={}#,.\\\x00é') + lines[at][cut:]
            case _:
                lines = lines[:at] + lines[at + 1 :] + [lines[at]]
    return "\n".join(lines) + "\n"


def holds_together(path: Path, words: list[str], capsys: pytest.CaptureFixture[str]) -> int:
    """Whatever the scene: an answer or plain lines, never both for a scene refused."""
    code = main(words)
    out, err = capsys.readouterr()
    assert code in {0, 1, 2}
    assert "Traceback" not in err
    assert re.search(r"\b(nan|inf)\b", out, re.IGNORECASE) is None
    if code == 2:
        assert err
        assert all(line.startswith(f"{path}: ") for line in err.splitlines()), err
    else:
        assert err == ""
        assert out
    return code


@pytest.mark.usefixtures("few_draws")
@pytest.mark.parametrize("seeds", range(8))
def test_malformed_scenes_get_plain_lines(
    seeds: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.toml"
    refused = 0
    for seed in range(seeds * 40, seeds * 40 + 40):
        text = mutated(SMALL, seed)
        path.write_text(text, encoding="utf-8")
        try:
            parse_scene(text)
        except SceneError:
            refused += 1
        command = ("report", "table")[seed % 2]
        holds_together(path, [command, str(path)], capsys)
    assert refused > 10


@settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(st.text(max_size=200) | st.binary(max_size=200))
def test_any_file_gets_plain_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: str | bytes
) -> None:
    path = tmp_path / "own.toml"
    path.write_bytes(
        content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass")
    )
    assert holds_together(path, ["report", str(path)], capsys) == 2


def test_answers_as_a_process_of_its_own(tmp_path: Path) -> None:
    done = process("report", "--example", "van-front-mount-fouls", "--side", "left")
    assert (done.returncode, done.stderr) == (1, b"")
    assert "Do not cut" in done.stdout.decode("utf-8")
    path = tmp_path / "own.toml"
    path.write_text("format = 2", encoding="utf-8")
    done = process("table", str(path))
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode("utf-8").startswith(f"{path}: ")


@pytest.mark.parametrize(
    "words", [("report",), ("report", "--json"), ("table", "--step", "0.02"), ("report", "--help")]
)
def test_a_reader_that_closes_early_is_left_in_peace(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    path = tmp_path / "own.toml"
    path.write_text(SMALL.replace("bump = 7 ", "bump = 70 "), encoding="utf-8")
    scene = [] if "--help" in words else [str(path)]
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "sketcher", *words, *scene],
            stdout=writing,
            stderr=subprocess.PIPE,
            check=False,
            timeout=PATIENCE_SECONDS,
        )
    finally:
        os.close(writing)
    assert done.stderr == b""


@pytest.mark.skipif(sys.platform == "win32", reason="only on Windows")
def test_a_full_disk_is_told() -> None:
    if not Path("/dev/full").exists():
        return
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "sketcher", "table", "--example", "van-rear"],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
            timeout=PATIENCE_SECONDS,
        )
    assert done.returncode == 2
    (line,) = done.stderr.decode("utf-8").splitlines()
    assert line.startswith("the answer cannot be written: ")


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437"])
def test_a_terminal_with_few_letters_loses_no_sign(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    text = FRONT[: FRONT.index("[shafts.right]")].replace("length = 391", "length = 412")
    path.write_text(text.replace("City van", "Grüße 日本"), encoding="utf-8")
    done = process("report", str(path), PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert (done.returncode, done.stderr) == (1, b"")
    shown = done.stdout.decode(encoding)
    assert "-5.7 mm (min 3)" in shown
    assert "steer -29" in shown
    assert "°" in shown or " deg" in shown


def loaded_of(modules: list[str], words: list[str]) -> str:
    """Which of some modules a command loads, and whatever else it complains of."""
    script = (
        "import sys; from sketcher.__main__ import main; "
        f"code = main({words!r}); "
        f"sys.exit(', '.join(name for name in {modules!r} if name in sys.modules) or code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, check=False, timeout=PATIENCE_SECONDS
    )
    return f"{done.stderr.decode()}{done.returncode or ''}"


@pytest.mark.parametrize(
    "words",
    [
        ["report", "--example", "van-rear"],
        ["table", "--example", "van-rear"],
        ["cuts", "--example", "van-front-making"],
        ["strength", "--example", "van-front-making"],
        ["certainty", "--example", "van-rear", "--draws", "1000"],
    ],
)
def test_commands_wait_for_nothing_that_draws(words: list[str]) -> None:
    """A command must not load what only the window or another command needs."""
    heavy = ["pygame", "pygame_gui", "tomlkit", "reportlab", "ezdxf", "matplotlib", "scipy"]
    assert loaded_of(heavy, words) == ""


SETTLING = ("adjustment", "settling", "read_next", "chance_next", "trial_fit")
MAKING = ("cut_plan", "planning", "strength", "balance", "assembly", "whirl", "lathe_work")


@pytest.mark.parametrize(
    ("name", "told"),
    [("van-front", ()), ("van-rear", ()), ("van-front-readings", ("sure",))],
)
def test_a_report_loads_nothing_that_its_scene_does_not_ask_for(
    name: str, told: tuple[str, ...]
) -> None:
    rooms = {"shaft": ("placement",), "sure": SETTLING, "making": MAKING}
    spared = [
        f"kinematics.{room}.{module}"
        for room, modules in rooms.items()
        for module in modules
        if room not in told
    ]
    assert loaded_of(spared, ["report", "--example", name]) == ""


@pytest.mark.parametrize("words", [["--help"], ["--version"]])
def test_help_waits_for_no_mechanics(words: list[str]) -> None:
    script = (
        "import sys\nfrom sketcher.__main__ import main\n"
        f"try: main({words!r})\nexcept SystemExit: pass\n"
        "loaded = [name for name in sys.modules if name.startswith('sketcher.commands.')]\n"
        "heavy = [name for name in ('numpy', 'shapely', 'pygame') if name in sys.modules]\n"
        "sys.exit(', '.join(heavy + loaded) if (heavy, loaded) != ([], "
        "['sketcher.commands.console']) else 0)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, check=False, timeout=PATIENCE_SECONDS
    )
    assert done.stderr.decode() == ""
    assert done.returncode == 0


def shell(line: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """A line of the shell in which PROG is the command line."""
    prog = f"{shlex.quote(sys.executable)} -m sketcher"
    return subprocess.run(
        ["sh", "-c", line.replace("PROG", prog)],
        env={**os.environ, **environment},
        capture_output=True,
        check=False,
        timeout=PATIENCE_SECONDS,
    )


@pytest.mark.parametrize("command", ["report", "table"])
def test_a_closed_standard_output_is_one_line(command: str) -> None:
    result = shell(f"PROG {command} --example van-front >&-")
    assert result.returncode == 2
    assert result.stderr.decode().splitlines() == [
        "standard output is closed, the answer would go nowhere"
    ]


def test_a_closed_standard_error_does_no_harm() -> None:
    assert shell("PROG table --example van-front 2>&-").returncode == 0


@pytest.mark.parametrize("driver", [{}, {"DISPLAY": ":987"}, {"SDL_VIDEODRIVER": "none"}])
def test_without_a_display_no_window_is_open_that_nobody_sees(driver: dict[str, str]) -> None:
    line = "unset DISPLAY WAYLAND_DISPLAY SDL_VIDEODRIVER; exec env "
    result = shell(line + " ".join(f"{k}={v}" for k, v in driver.items()) + " PROG")
    assert result.returncode == 2
    (said,) = result.stderr.decode().splitlines()
    assert said.startswith("there is no display to open the window on")


@pytest.mark.parametrize("words", [[], ["picture", "--example", "van-front", "-o", "-"]])
def test_another_library_over_ours_is_one_line(words: list[str], tmp_path: Path) -> None:
    """Two libraries install a package of one name; what is found may be the other."""
    (tmp_path / "pygame").mkdir()
    (tmp_path / "pygame" / "__init__.py").write_text("error = Exception\n")
    found = os.pathsep.join((str(tmp_path), str(Path(__file__).parent.parent)))
    result = process(*words, PYTHONPATH=found)
    assert result.returncode == 2
    (said,) = result.stderr.decode().splitlines()
    assert said.startswith("another pygame is installed over pygame-ce")


def test_a_file_name_that_is_no_utf_8(tmp_path: Path) -> None:
    name = os.fsencode(tmp_path) + b"/caf\xe9.toml"
    with contextlib.suppress(OSError):
        Path(os.fsdecode(name)).write_text(SMALL, encoding="utf-8")
        assert process("report", os.fsdecode(name)).returncode in {0, 1}
    result = process("report", os.fsdecode(name + b".x"))
    assert result.returncode == 2
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.usefixtures("few_draws")
@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@sum", " =1", "\x1b[31mred"])
def test_a_name_stays_a_name(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No spreadsheet works it out, and no terminal obeys it; other cells stay numbers."""
    path = tmp_path / "own.toml"
    quoted = name.replace("\x1b", "\\u001b")
    path.write_text(FRONT.replace('"brake hose stay"', f'"{quoted}"'), encoding="utf-8")
    for command in (["table", "--step", "40"], ["report"], ["trim", "--bracket", "no such"]):
        main([command[0], str(path), *command[1:]])
        out, err = capsys.readouterr()
        assert "\x1b" not in out + err
        if command[0] == "table":
            rows = list(csv.DictReader(out.splitlines()))
            cells = {row["nearest_bracket"] for row in rows}
            told = name if name[0] == "\x1b" else f"'{name}"
            assert told.replace("\x1b", " ") in cells
            assert any(row["travel_mm"].startswith("-") for row in rows)
