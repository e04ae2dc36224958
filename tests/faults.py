"""Faults put in on purpose, one at a time: which of them do the tests catch?

    python -m tests.faults --count 100 [--seed 1] [--in kinematics/making]

Each fault changes one operator, comparison, number, truth value or condition of ``kinematics``,
``scenes`` or of what is no widget in ``sketcher`` (its screen is), in a copy of the checkout.  It
is run against the tests that pass through its line, quickest first, then against the others of
their files, for a result may be kept between tests and then only the first of them passes
through.  What a name stands for is run against the tests of every file that has the name, too.
The first test that fails has caught it.  What no test is given within the time that a fault has,
is missed.  Which tests pass where, and how long they take, is found out once by a run of all
tests and kept in the folder ``.faults``, which git ignores; ``--anew`` finds it out again.

A number is made a tenth larger, a whole one larger by one.  A number of a millionth or less is
room for the rounding of sums: it becomes a million times as large, for a tenth of it is nothing.

What can change nothing that a test could ask about is not put in:

- annotations, and unions of types;
- a decorator's flags (slots, the size of what is kept), and whether a field is in the ``repr``;
- assertions, ``strict`` among them, which only say what is so anyway;
- another negative number for the length that ``reshape`` is to find out: numpy takes them alike;
- ``optimize`` of a sum of products: in which order it is summed.

Drawing is listed apart: in ``sketcher/drawing`` and ``sketcher/paper`` numbers, truth values and
arithmetic are where ink lies, how wide and how bold it is, and a test of every pixel would hold
nothing true.  What decides whether a thing is drawn counts, and so does all that is to scale or
tells a value.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import os
import random
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from coverage.numbits import numbits_to_nums

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / ".faults"
WIDGETS = "sketcher/window/screen/"
DRAWING = ("sketcher/drawing/", "sketcher/paper/")
# What is to scale on a drawing, or tells a value.
TRUE = (
    *("drawing/camera", "drawing/mirror", "drawing/hitting", "drawing/plot_data"),
    "paper/template/output",
)
ROUNDING = 1e-6
_GONE = re.compile(r"^ERROR: not found: (.*)$", re.MULTILINE)
# What a fault's tests may take together, by the time that they took when they were found out.
SECONDS = 40.0
# What takes long to import, and is the same whatever the fault.
LIBRARIES = (
    *("numpy", "scipy.optimize", "scipy.interpolate", "scipy.stats", "scipy.spatial", "shapely"),
    *("hypothesis.strategies", "tomlkit", "pygame", "pygame_gui", "ezdxf", "svgpathtools"),
    *("reportlab.platypus", "PIL.Image", "pypdf", "pypdfium2", "trimesh", "fcl", "networkx"),
)

SWAPPED: dict[type, type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.Mod: ast.Mult, ast.FloorDiv: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
    ast.MatMult: ast.Mult,
}  # fmt: skip
TURNED: dict[type, type[ast.cmpop]] = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """One way to break a piece of code: where, how it is told, and what does it to the tree."""

    node: ast.expr | ast.AugAssign
    told: str
    inks: bool
    make: Callable[[], None]


@dataclass(frozen=True, slots=True)
class Fault:
    """A change by its file and its number among the file's changes."""

    path: str
    number: int
    line: int
    # The lines of its statement; none where it runs when its file is imported, and then the
    # names that its line gives a value to.
    lines: range
    names: frozenset[str]
    told: str
    cosmetic: bool

    def put_into(self, text: str) -> str:
        tree = ast.parse(text)
        list(changes(tree))[self.number].make()
        return ast.unparse(tree)


def _change(node: ast.expr | ast.AugAssign, field: str, value: object, *, inks: bool) -> Change:
    was, before = getattr(node, field), ast.unparse(node)
    setattr(node, field, value)
    after = ast.unparse(node)
    setattr(node, field, was)
    told = " ".join(f"{before} -> {after}".split())
    return Change(node, told, inks, lambda: setattr(node, field, value))


def _negated(holder: ast.AST, field: str, test: ast.expr, place: int | None = None) -> Change:
    instead = ast.UnaryOp(ast.Not(), test)

    def make() -> None:
        if place is None:
            setattr(holder, field, instead)
        else:
            getattr(holder, field)[place] = instead

    told = " ".join(f"{ast.unparse(test)} -> {ast.unparse(instead)}".split())
    return Change(test, told, inks=False, make=make)


def _is_type(node: ast.expr) -> bool:
    if isinstance(node, ast.BinOp):
        return _is_type(node.left) or _is_type(node.right)
    if isinstance(node, ast.Subscript):
        return _is_type(node.value)
    name = node.id if isinstance(node, ast.Name) else getattr(node, "attr", "")
    builtin = name in {"bool", "int", "float", "str", "tuple", "dict", "list"}
    return builtin or (name[:1].isupper() and not name.isupper())


def _other(value: complex) -> object:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    assert isinstance(value, float)
    if not value:
        return 0.1
    return value * (1.1 if abs(value) > ROUNDING else 1e6)


def _is_found_out(node: ast.AST, of: ast.AST) -> bool:
    """Whether a node is the length that ``reshape`` is to find out: a negative number."""
    shape = isinstance(of, ast.Call) and getattr(of.func, "attr", "") == "reshape"
    match node:
        case ast.UnaryOp(op=ast.USub(), operand=ast.Constant()):
            return shape
    return False


def _of_operator(node: ast.AST) -> Iterator[Change]:
    match node:
        case ast.BinOp(op=ast.BitOr()) if _is_type(node):
            return
        case ast.BinOp(op=op) | ast.AugAssign(op=op) if type(op) in SWAPPED:
            yield _change(node, "op", SWAPPED[type(op)](), inks=True)
        case ast.Compare(ops=ops):
            for place, one in enumerate(ops):
                turned = [*ops[:place], TURNED[type(one)](), *ops[place + 1 :]]
                yield _change(node, "ops", turned, inks=False)
        case ast.BoolOp(op=op):
            other = ast.Or() if isinstance(op, ast.And) else ast.And()
            yield _change(node, "op", other, inks=False)
        case ast.UnaryOp(op=ast.USub()):
            yield _change(node, "op", ast.UAdd(), inks=True)


def _of_node(node: ast.AST) -> Iterator[Change]:
    yield from _of_operator(node)
    match node:
        case ast.If(test=test) | ast.IfExp(test=test) | ast.While(test=test):
            yield _negated(node, "test", test)
        case ast.comprehension(ifs=ifs):
            for place, test in enumerate(ifs):
                yield _negated(node, "ifs", test, place)
        case ast.Constant(value=bool() | int() | float() as value):
            yield _change(node, "value", _other(value), inks=True)


def changes(tree: ast.AST) -> Iterator[Change]:
    """Every change that code can be given, in its order."""
    for name, value in ast.iter_fields(tree):
        if name in {"annotation", "returns", "decorator_list", "format_spec"}:
            continue
        for node in value if isinstance(value, list) else [value]:
            if not isinstance(node, ast.AST) or isinstance(node, ast.Assert):
                continue
            if isinstance(node, ast.keyword) and node.arg in {"strict", "repr", "optimize"}:
                continue
            if _is_found_out(node, tree):
                yield from _of_operator(node)
                continue
            if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
                continue
            yield from _of_node(node)
            yield from changes(node)


def faults(below: str) -> list[Fault]:
    """Every fault that the files below a folder can be given."""
    found: list[Fault] = []
    for path, tree in _sources(below):
        if path.startswith(WIDGETS):
            continue
        drawn = path.startswith(DRAWING) and not any(one in path for one in TRUE)
        later, named = _run_later(tree), _named(tree)
        for number, one in enumerate(changes(tree)):
            line = one.node.lineno
            lines, names = later.get(line, range(0)), frozenset(named.get(line, ()))
            found.append(Fault(path, number, line, lines, names, one.told, drawn and one.inks))
    return found


def _sources(below: str) -> Iterator[tuple[str, ast.Module]]:
    for package in ("kinematics", "scenes", "sketcher"):
        for file in sorted((ROOT / package).rglob("*.py")):
            path = file.relative_to(ROOT).as_posix()
            if path.startswith(below):
                yield path, ast.parse(file.read_text(encoding="utf-8"))


def _named(tree: ast.AST) -> dict[int, set[str]]:
    """The lines that give names a value, what a parameter is when left out included."""
    named: dict[int, set[str]] = {}

    def name(value: ast.expr | None, *targets: ast.AST) -> None:
        if value is not None:
            found = {
                one.id
                for target in targets
                for one in ast.walk(target)
                if isinstance(one, ast.Name)
            }
            found |= {target.arg for target in targets if isinstance(target, ast.arg)}
            for line in range(value.lineno, (value.end_lineno or value.lineno) + 1):
                named.setdefault(line, set()).update(found)

    for node in ast.walk(tree):
        match node:
            case ast.Assign(targets=targets, value=value):
                name(value, *targets)
            case ast.AnnAssign(target=target, value=value):
                name(value, target)
            case ast.arguments():
                every = [*node.posonlyargs, *node.args]
                defaults = [*zip(reversed(every), reversed(node.defaults), strict=False)]
                for taken, value in (
                    *defaults,
                    *zip(node.kwonlyargs, node.kw_defaults, strict=True),
                ):
                    name(value, taken)
    return named


def _run_later(tree: ast.AST) -> dict[int, range]:
    """The lines that run when something is called, each with those of its statement."""
    later: dict[int, range] = {}
    for function in ast.walk(tree):
        if isinstance(function, (ast.FunctionDef, ast.AsyncFunctionDef)):
            for top in function.body:
                # Outer statements first, so that the innermost one is left standing.
                for node in ast.walk(top):
                    if isinstance(node, ast.stmt):
                        lines = range(node.lineno, (node.end_lineno or node.lineno) + 1)
                        later.update(dict.fromkeys(lines, lines))
    return later


def _mentioned() -> dict[str, set[tuple[str, int]]]:
    """Where each name is used by what is called."""
    found: dict[str, set[tuple[str, int]]] = {}
    for path, tree in _sources(""):
        later = _run_later(tree)
        for node in ast.walk(tree):
            name = node.id if isinstance(node, ast.Name) else getattr(node, "attr", "")
            if name and isinstance(node, ast.expr) and node.lineno in later:
                found.setdefault(name, set()).add((path, node.lineno))
    return found


def find_out() -> None:
    """Run all tests once, and keep which lines each of them passes through and how it went."""
    KEPT.mkdir(exist_ok=True)
    settings = KEPT / "settings"
    settings.write_text(
        "[run]\nrelative_files = true\nsource = kinematics, scenes, sketcher\n"
        f"data_file = {KEPT / 'passes-through'}\n",
        encoding="utf-8",
    )
    words = ["-vv", "-p", "no:cacheprovider", "--cov", f"--cov-config={settings}"]
    words += ["--cov-context=test", "--cov-report=", "--cov-fail-under=0", "--tb=no"]
    words += ["--durations=0", "--durations-min=0"]
    with (KEPT / "out").open("w", encoding="utf-8") as out:
        subprocess.run([sys.executable, "-m", "pytest", *words], cwd=ROOT, stdout=out, check=False)


class Covered:
    """Which tests pass through a line, by the time that they take."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}
        failing: set[str] = set()
        for line in (KEPT / "out").read_text(encoding="utf-8").splitlines():
            if took := re.match(r"([\d.]+)s (?:call|setup|teardown) +(.*)", line):
                test = took[2].strip()
                self.seconds[test] = self.seconds.get(test, 0.0) + float(took[1])
            elif line.startswith(("FAILED ", "ERROR ")):
                failing.add(line.partition(" ")[2].partition(" - ")[0])
        # A test that fails anyway would be said to catch everything.
        self.tests = {test for test in self.seconds if test not in failing}
        self.of_line: dict[tuple[str, int], set[str]] = {}
        self.of_name = _mentioned()
        self.named_in = {file: _words(ROOT / file) for file in {_file(one) for one in self.tests}}
        self.of_file: dict[str, set[str]] = {}
        with sqlite3.connect(KEPT / "passes-through") as data:
            rows = data.execute(
                "select file.path, context.context, line_bits.numbits from line_bits"
                " join file on file.id = line_bits.file_id"
                " join context on context.id = line_bits.context_id"
            )
            for path, context, bits in rows:
                test = str(context).rpartition("|")[0]
                for number in numbits_to_nums(bits):
                    self.of_line.setdefault((path, number), set()).add(test)
                self.of_file.setdefault(path, set()).add(test)

    def tests_of(self, fault: Fault) -> list[str]:
        """The tests that a fault is run against, in their order, as far as its time goes."""
        passing = self._passing([(fault.path, fault.line)])
        if not fault.lines:
            # What a name stands for counts where it is used, and where a test asks for it by name.
            used = (self.of_name.get(one, set()) for one in fault.names)
            passing |= self._passing(set().union(*used))
            passing = passing or self.of_file.get(fault.path, set()) & self.tests
            passing |= {one for one in self.tests if fault.names & self.named_in[_file(one)]}
        elif not passing:
            # The interpreter makes one step of a statement over several lines, or some of it.
            passing = self._passing((fault.path, line) for line in fault.lines)
        if not passing and "" in self.of_line.get((fault.path, fault.line), set()):
            # What is called once, when its file is imported.
            passing = self.of_file.get(fault.path, set()) & self.tests
        files = {_file(test) for test in passing}
        others = {test for test in self.tests if _file(test) in files} - passing
        order = [one for tests in (passing, others) for one in sorted(tests, key=self._cost)]
        spent = 0.0
        taken: list[str] = []
        for test in order:
            spent += self.seconds[test]
            if spent > SECONDS and taken:
                break
            taken.append(test)
        return taken

    def _passing(self, lines: Iterable[tuple[str, int]]) -> set[str]:
        return set().union(*(self.of_line.get(line, set()) for line in lines)) & self.tests

    def _cost(self, test: str) -> tuple[float, str]:
        return self.seconds[test], test


def _file(test: str) -> str:
    return test.partition("::")[0]


def _words(file: Path) -> set[str]:
    """Every word of a test's file; none where the file has gone since."""
    return set(re.findall(r"\w+", file.read_text(encoding="utf-8"))) if file.is_file() else set()


def caught_by(fault: Fault, tests: list[str], copy: Path) -> str:
    """What catches a fault, empty where nothing does."""
    if not tests:
        return ""
    place, text = copy / fault.path, (copy / fault.path).read_text(encoding="utf-8")
    place.write_text(fault.put_into(text), encoding="utf-8")
    try:
        ended, out = ran(tests, copy)
        # Tests that have gone since it was found out where they pass.
        gone = {Path(one).relative_to(copy).as_posix() for one in re.findall(_GONE, out)}
        if ended == pytest.ExitCode.USAGE_ERROR and gone:
            ended, out = ran([one for one in tests if one.partition("[")[0] not in gone], copy)
    finally:
        place.write_text(text, encoding="utf-8")
    if ended is None:
        return "no end"
    if ended in {pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED}:
        return ""
    found = re.search(r"^(?:FAILED|ERROR) (.*?)(?: - |$)", out, re.MULTILINE)
    return found[1] if found else "no import"


def ran(tests: list[str], copy: Path) -> tuple[int | None, str]:
    """How tests ended in a copy, None where they did not, and what was printed.

    In a child of this process, where the libraries are there already.
    """
    out = copy / "out"
    child = os.fork()
    if not child:
        os.setsid()
        printed = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(printed, 1)
        os.dup2(printed, 2)
        os.chdir(copy)
        sys.path[:] = [str(copy), *(one for one in sys.path if Path(one).resolve() != ROOT)]
        os.environ |= {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
        for name in [one for one in sys.modules if one.partition(".")[0] == "tests"]:
            del sys.modules[name]
        os._exit(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "--tb=no", *tests]))
    late = time.monotonic() + 60.0 + 3.0 * SECONDS
    while time.monotonic() < late:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status), out.read_text("utf-8", "replace")
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return None, ""


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
    parser.add_argument("--count", type=int, default=100, help="faults, drawing's apart")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--in", dest="below", default="", help="only files below this folder")
    parser.add_argument("--drawing", action="store_true", help="try what is listed apart, too")
    parser.add_argument("--anew", action="store_true", help="find out again what tests cover")
    arguments = parser.parse_args()
    if arguments.anew or not (KEPT / "out").exists():
        find_out()
    os.environ |= {"SDL_VIDEODRIVER": "dummy", "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
    for library in LIBRARIES:
        importlib.import_module(library)
    covered, every = Covered(), faults(arguments.below)
    random.Random(arguments.seed).shuffle(every)
    drawing: list[str] = []
    counted = caught = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = copied(Path(folder))
        for fault in every:
            if counted == arguments.count:
                break
            line = f"{fault.path}:{fault.line}: {fault.told}"
            if fault.cosmetic and not arguments.drawing:
                drawing.append(f"drawing   {line}")
                continue
            by = caught_by(fault, covered.tests_of(fault), copy)
            if fault.cosmetic:
                drawing.append(f"drawing   {line}  [{by}]")
                continue
            counted, caught = counted + 1, caught + bool(by)
            print(f"caught    {line}  [{by}]" if by else f"MISSED    {line}", flush=True)
    print("\n".join(drawing))
    print(f"{caught} of {counted} caught, {len(drawing)} of drawing apart")


if __name__ == "__main__":
    main()
