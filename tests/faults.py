"""Faults put in on purpose, one at a time: which of them do the tests catch?

    python -m tests.faults --count 100 [--seed 1] [--in kinematics/making]

Each fault changes one operator, comparison, constant or condition of ``kinematics``, ``scenes``
or of what is no widget in ``sketcher``, in a copy of the checkout, and is run against the tests
that pass through its line.  Which those are is found out once, by a run of all tests, and kept
in the folder ``.faults``, which git ignores; ``--anew`` finds it out again after a change.
What only moves ink on a drawing is listed apart: a test of every pixel would hold nothing true.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from coverage.numbits import numbits_to_nums

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / ".faults"
MAP = KEPT / "passes-through"
FAILING = KEPT / "failing"
WIDGETS = "sketcher/window/screen/"
COSMETIC = ("sketcher/drawing/", "sketcher/paper/")
# More tests than these seldom catch what they do not, and take long.
MOST_TESTS = 60
SECONDS = 240

Outcome = Literal["caught", "survived", "uncovered"]

ARITHMETIC: dict[type[ast.operator], str] = {
    ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.Pow: "*", ast.Mod: "*",
    ast.FloorDiv: "*", ast.BitAnd: "|", ast.BitOr: "&",
}  # fmt: skip
COMPARISON: dict[type[ast.cmpop], str] = {
    ast.Lt: ">=", ast.LtE: ">", ast.Gt: "<=", ast.GtE: "<", ast.Eq: "!=", ast.NotEq: "==",
    ast.Is: "is not", ast.IsNot: "is", ast.In: "not in", ast.NotIn: "in",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Fault:
    """One change of one place of a file: what stands there, and what is put in its stead."""

    path: str
    line: int
    start: int
    end: int
    instead: str

    def put_into(self, text: bytes) -> bytes:
        return text[: self.start] + self.instead.encode() + text[self.end :]

    def told(self, text: bytes) -> str:
        was = " ".join(text[self.start : self.end].decode().split())
        return f"{self.path}:{self.line}: {was} -> {' '.join(self.instead.split())}"


class Finder(ast.NodeVisitor):
    """The faults that a file can be given."""

    def __init__(self, path: str, text: bytes) -> None:
        self.path, self.text = path, text
        self.found: list[Fault] = []
        self._lines = [0]
        for line in text.splitlines(keepends=True):
            self._lines.append(self._lines[-1] + len(line))

    def _place(self, node: ast.expr) -> tuple[int, int]:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return (
            self._lines[node.lineno - 1] + node.col_offset,
            self._lines[node.end_lineno - 1] + node.end_col_offset,
        )

    def _source(self, node: ast.expr) -> str:
        start, end = self._place(node)
        return self.text[start:end].decode()

    def _add(self, node: ast.expr, instead: str) -> None:
        self.found.append(Fault(self.path, node.lineno, *self._place(node), instead))

    def visit_BinOp(self, node: ast.BinOp) -> None:
        text = isinstance(node.left, ast.JoinedStr) or isinstance(node.right, ast.JoinedStr)
        other = ARITHMETIC.get(type(node.op))
        if other and not text and "|" not in self._source(node):
            self._add(node, f"({self._source(node.left)}) {other} ({self._source(node.right)})")
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        if len(node.ops) == 1:
            other, right = COMPARISON[type(node.ops[0])], self._source(node.comparators[0])
            self._add(node, f"{self._source(node.left)} {other} {right}")
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        other = " or " if isinstance(node.op, ast.And) else " and "
        self._add(node, "(" + other.join(f"({self._source(one)})" for one in node.values) + ")")
        self.generic_visit(node)

    def visit_If(self, node: ast.If) -> None:
        self._add(node.test, f"not ({self._source(node.test)})")
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self._add(node.test, f"not ({self._source(node.test)})")
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        value = node.value
        if isinstance(value, bool):
            self._add(node, str(not value))
        elif isinstance(value, int):
            self._add(node, str(value + 1))
        elif isinstance(value, float):
            self._add(node, repr(value * 1.1) if value else "0.1")

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """What stands in braces has no place of its own to be changed at."""

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for one in (*node.args.defaults, *node.args.kw_defaults, *node.body):
            if one is not None:
                self.visit(one)


def sources() -> Iterator[Path]:
    """The files that may be given a fault."""
    for package in ("kinematics", "scenes", "sketcher"):
        for path in sorted((ROOT / package).rglob("*.py")):
            if WIDGETS not in path.as_posix():
                yield path


def faults(below: str) -> list[Fault]:
    """Every fault that the files below a folder can be given."""
    found: list[Fault] = []
    for path in sources():
        name = path.relative_to(ROOT).as_posix()
        if name.startswith(below):
            text = path.read_bytes()
            finder = Finder(name, text)
            finder.visit(ast.parse(text))
            found += finder.found
    return found


def find_out() -> None:
    """Run all tests once, and keep which lines each of them passes through."""
    KEPT.mkdir(exist_ok=True)
    settings = KEPT / "settings"
    settings.write_text(
        f"[run]\ndata_file = {MAP}\nsource = kinematics, scenes, sketcher\n", encoding="utf-8"
    )
    words = ["-q", "-p", "no:cacheprovider", "--cov", f"--cov-config={settings}"]
    words += ["--cov-context=test", "--cov-report=", "--cov-fail-under=0"]
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", *words], cwd=ROOT, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    # A test that fails anyway would be said to catch everything.
    failed = [line.partition(" ")[2].partition(" - ")[0] for line in ran.stdout.splitlines()
              if line.startswith(("FAILED ", "ERROR "))]  # fmt: skip
    FAILING.write_text("\n".join(failed), encoding="utf-8")


def passing_through() -> dict[tuple[str, int], list[str]]:
    """The tests that pass through each line of each file.

    A line that runs when its file is imported is every test's that passes through the file.
    """
    found: dict[tuple[str, int], list[str]] = {}
    failing = set(FAILING.read_text(encoding="utf-8").splitlines())
    with sqlite3.connect(MAP) as data:
        rows = data.execute(
            "select file.path, context.context, line_bits.numbits from line_bits"
            " join file on file.id = line_bits.file_id"
            " join context on context.id = line_bits.context_id"
        )
        for path, context, bits in rows:
            test = context.partition("|")[0]
            if test in failing:
                continue
            for line in numbits_to_nums(bits):
                name = Path(path).relative_to(ROOT).as_posix()
                found.setdefault((name, line), []).append(test)
    of_file: dict[str, set[str]] = {}
    for (name, _), tests in found.items():
        of_file.setdefault(name, set()).update(tests)
    return {
        (name, line): tests if any(tests) else sorted(of_file[name])
        for (name, line), tests in found.items()
    }


def chosen(tests: list[str], path: str, draw: random.Random) -> list[str]:
    """A line's tests, those of its own subject among them where there are too many."""
    named = sorted({test for test in tests if test})
    if len(named) <= MOST_TESTS:
        return named
    stem = Path(path).stem
    near = [test for test in named if stem in test][: MOST_TESTS // 2]
    rest = sorted(set(named) - set(near))
    return near + draw.sample(rest, MOST_TESTS - len(near))


def tried(fault: Fault, tests: list[str], copy: Path) -> Outcome:
    """What the tests say of a fault."""
    if not tests:
        return "uncovered"
    place, text = copy / fault.path, (ROOT / fault.path).read_bytes()
    place.write_bytes(fault.put_into(text))
    environment = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    words = ["-x", "-q", "-p", "no:cacheprovider", *tests]
    try:
        ended = subprocess.run(
            [sys.executable, "-m", "pytest", *words],
            cwd=copy, env=environment, capture_output=True, timeout=SECONDS, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return "caught"
    finally:
        place.write_bytes(text)
    return "survived" if ended.returncode == 0 else "caught"


def copied(to: Path) -> Path:
    """The checkout's files, in a folder where they may be broken."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    for name in listed.stdout.splitlines():
        if (ROOT / name).is_file():
            (to / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, to / name)
    return to


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--in", dest="below", default="", help="only files below this folder")
    parser.add_argument("--anew", action="store_true", help="find out again what tests cover")
    arguments = parser.parse_args()
    if arguments.anew or not MAP.exists():
        find_out()
    covered, draw = passing_through(), random.Random(arguments.seed)
    every = faults(arguments.below)
    told: dict[Outcome, int] = {"caught": 0, "survived": 0, "uncovered": 0}
    cosmetic: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        copy = copied(Path(folder))
        for fault in draw.sample(every, min(arguments.count, len(every))):
            tests = chosen(covered.get((fault.path, fault.line), []), fault.path, draw)
            outcome = tried(fault, tests, copy)
            words = fault.told((ROOT / fault.path).read_bytes())
            if outcome != "caught" and fault.path.startswith(COSMETIC):
                cosmetic.append(f"{outcome:9} {words}")
                continue
            told[outcome] += 1
            print(f"{outcome:9} {words}", flush=True)
    for line in cosmetic:
        print(f"drawing   {line}")
    counted = sum(told.values())
    print(f"{told['caught']} of {counted} caught; {len(cosmetic)} more of drawings were not")


if __name__ == "__main__":
    main()
