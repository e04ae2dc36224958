"""Where the commands write: endings, the scene itself, read-only files, devices and pipes."""

from __future__ import annotations

import csv
import io
import os
import stat
import threading
from pathlib import Path

import pytest

from scenes.library import example_text
from scenes.reading import parse_scene
from sketcher.__main__ import main

TEXT = example_text("van-front")
# Every command that writes, with what it needs, and the ending it writes first.
WRITERS = {
    "table": ([], ".csv"),
    "sheet": (["--side", "left"], ".pdf"),
    "template": (["--bracket", "gearbox mount"], ".pdf"),
    "picture": ([], ".png"),
    "trim": (["--bracket", "gearbox mount"], ".toml"),
}


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "own.toml"
    path.write_text(TEXT, encoding="utf-8")
    return path


def asked(command: str, scene: Path, to: object) -> list[str]:
    """The command with its scene and where it writes."""
    more = list(WRITERS[command][0])
    if "--bracket" in more:
        more[1] = parse_scene(TEXT).brackets[0].name
    return [command, str(scene), *more, "-o", str(to)]


@pytest.mark.parametrize("command", WRITERS)
def test_the_scene_itself_is_never_written_over(
    command: str, scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    linked = scene.with_name(f"other{WRITERS[command][1]}")
    linked.symlink_to(scene)
    hard = scene.with_name(f"hard{WRITERS[command][1]}")
    hard.hardlink_to(scene)
    for target in (scene, linked, hard, scene.parent / "." / scene.name):
        assert main(asked(command, scene, target)) == 2
        out, err = capsys.readouterr()
        assert out == ""
        (line,) = err.splitlines()
        assert line.endswith("is the scene itself; name another file, and keep both")
        assert scene.read_text(encoding="utf-8") == TEXT


@pytest.mark.parametrize("command", WRITERS)
def test_another_ending_is_refused(
    command: str, scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("answer.docx", "answer"):
        assert main(asked(command, scene, scene.with_name(name))) == 2
        out, err = capsys.readouterr()
        assert out == ""
        (line,) = err.splitlines()
        assert line.startswith("-o: expected a file ending in .")
        assert line.endswith(f"got {name}")
        assert not scene.with_name(name).exists()


@pytest.mark.parametrize("command", ["table", "trim"])
def test_a_read_only_file_is_not_replaced(
    command: str, scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = scene.with_name(f"held{WRITERS[command][1]}")
    target.write_text("mine", encoding="utf-8")
    target.chmod(0o444)
    assert main(asked(command, scene, target)) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line == f"{target}: cannot be written: it is read-only"
    assert target.read_text(encoding="utf-8") == "mine"
    assert stat.S_IMODE(target.stat().st_mode) == 0o444


def test_a_pipe_is_written_to_and_stays(scene: Path) -> None:
    pipe = scene.with_name("table.csv")
    os.mkfifo(pipe)
    read: list[bytes] = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_bytes()), daemon=True)
    reader.start()
    assert main(asked("table", scene, pipe)) == 0
    reader.join(10)
    assert read[0].startswith(b"travel_mm,")
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_device_is_written_to_and_stays(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(asked("table", scene, "/dev/null")) == 0
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)
    if Path("/dev/full").exists():
        assert main(asked("table", scene, "/dev/full")) == 2
        assert "No space left" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("command", "begins"),
    [
        ("table", b"travel_mm,"),
        ("template", b"%PDF"),
        ("picture", b"\x89PNG"),
        ("trim", b"format = 1"),
    ],
)
def test_a_dash_is_standard_output_and_holds_nothing_else(
    command: str, begins: bytes, scene: Path, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    assert main(asked(command, scene, "-")) == 0
    out = capfdbinary.readouterr().out
    assert out.startswith(begins)
    assert not Path("-").exists()
    if command == "table":
        assert len(list(csv.reader(io.StringIO(out.decode())))) > 10
    if command == "trim":
        assert parse_scene(out.decode()).brackets
