"""What README.md says is what happens.

`python -m tests.test_readme` runs the worked examples anew and puts what they print in the file.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import pytest

from tests.waiting import PATIENCE_SECONDS

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
TRANSCRIPT = re.compile(r"(?<=^```console\n).*?(?=^```)", flags=re.MULTILINE | re.DOTALL)
TRANSCRIPTS = TRANSCRIPT.findall(README)
ELISION = "…"


def marked(name: str) -> str:
    """The one command between two markers, as .ci/run reads it too."""
    pattern = rf"<!-- {name} -->\n```sh\n([^\n]+)\n```\n<!-- end of {name} -->"
    (command,) = re.findall(pattern, README)
    return str(command)


def steps(transcript: str) -> list[tuple[str, list[str]]]:
    """Each command of a transcript with the lines that follow it."""
    found: list[tuple[str, list[str]]] = []
    for line in transcript.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        else:
            found[-1][1].append(line.rstrip())
    return found


def matches(shown: list[str], real: list[str]) -> bool:
    """Whether the lines are the same; a line that holds only … stands for any lines."""
    escaped = ["(?:[^\n]*\n)*?" if line == ELISION else re.escape(line) + "\n" for line in shown]
    return re.fullmatch("".join(escaped), "".join(f"{line}\n" for line in real)) is not None


def test_first_paragraph_states_the_job() -> None:
    paragraph = README.split("\n\n")[1]
    assert not paragraph.startswith(("#", "!", "<", "-"))
    assert all(word in paragraph for word in ("drive shaft", "how long", "plung", "cut"))


def test_each_command_sets_up_all_that_it_needs() -> None:
    environment = "python3 -m venv .venv && "
    for name in ("main job", "tests"):
        command = marked(name)
        assert command.startswith(environment)
        assert " install " in command
    assert marked("main job").endswith(" && .venv/bin/python -m sketcher")
    assert marked("tests").endswith(" && .venv/bin/python -m pytest --cov")


def test_ci_runs_the_commands_of_the_readme(root: Path) -> None:
    for name in ("main job", "tests"):
        result = subprocess.run(
            ["bash", ".ci/run", "--show", name],
            cwd=root,
            capture_output=True,
            text=True,
            check=True,
        )
        assert result.stdout.strip() == marked(name)


def test_oldest_python_is_the_one_that_the_package_asks_for(root: Path) -> None:
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    oldest = project["requires-python"].removeprefix(">=")
    assert f"Python {oldest} or newer" in README


def test_links_and_pictures_exist(root: Path) -> None:
    targets = re.findall(r"\]\(([^)#\s]+)[^)]*\)", README) + re.findall(r'src="([^"]+)"', README)
    local = [target for target in targets if "://" not in target]
    assert local
    assert [target for target in local if not (root / target).is_file()] == []


def test_nothing_is_left_to_do() -> None:
    assert "TODO" not in README


def test_there_is_a_worked_example() -> None:
    assert any(step[1] for transcript in TRANSCRIPTS for step in steps(transcript))


def answer(command: str, folder: Path) -> list[str]:
    """The lines that a command of the README prints."""
    program, *arguments = shlex.split(command)
    assert program == "sketcher"
    result = subprocess.run(
        [sys.executable, "-m", "sketcher", *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "PYTHONPATH": str(ROOT)},
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=PATIENCE_SECONDS,
    )
    assert result.returncode in {0, 1}, result.stderr
    return [line.rstrip() for line in result.stdout.splitlines()]


@pytest.mark.parametrize("transcript", TRANSCRIPTS)
def test_worked_examples_print_what_is_shown(transcript: str, tmp_path: Path) -> None:
    for command, shown in steps(transcript):
        real = answer(command, tmp_path)
        assert matches(shown, real), "\n".join([f"$ {command}", *real])


def anew(transcript: str, folder: Path) -> str:
    """A transcript with what its commands print now; where lines are left out, as it was."""
    lines: list[str] = []
    for command, shown in steps(transcript):
        real = answer(command, folder)
        lines += [f"$ {command}", *(shown if ELISION in shown else real)]
    return "".join(f"{line}\n" for line in lines)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        text = TRANSCRIPT.sub(lambda found: anew(found[0], Path(scratch)), README)
    (ROOT / "README.md").write_text(text, encoding="utf-8")
