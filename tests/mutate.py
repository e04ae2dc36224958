"""Example scenes changed at random, in text and in structure, each asked for an answer.

``python -m tests.mutate --count 6000 --seed 1`` for developers; the tests run a few.  Every
scene is either refused in lines that name the key, or answered: never a traceback, never
NaN, never a character that moves a terminal's cursor, and never without an end.
"""

from __future__ import annotations

import argparse
import contextlib
import copy
import io
import json
import math
import os
import random
import signal
import sys
import tempfile
import tomllib
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit

from scenes.errors import SceneError
from scenes.library import example_names, example_text
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.__main__ import COMMANDS as KNOWN
from sketcher.__main__ import main

TEXTS = {name: example_text(name) for name in example_names()}
LONGEST_SECONDS = 60.0
NUMBERS = (
    *(0, -1, 1, 0.0, -0.0, 1e-9, 1e-3, 0.5, 89.999, 90, 180, 360, 1e3, -1e4, 99_999.0, 1e5),
    *(1e5 + 1, 1e9, 1e300, -1e300, math.nan, math.inf, -math.inf),
)
WORDS = (
    *("", " ", "x", "left", "arm", "body", "strut", "measured", "<b>bold</b>", "<a href='x'>"),
    *("=1+1", "@sum", "\x1b[2J\x1b[31m", "\x07\x08\r", "\x9b31m", "\u202egnp", "\ud7ff", "é" * 300),
    *("a\nb", "\0", "linkage.ball_joint", "mark.rail hole", "%s{0}", "&amp;", "C45", "'; drop"),
)
# Each with what it needs besides the scene; the dearest are asked least often.
COMMANDS: tuple[tuple[int, tuple[str, ...]], ...] = (
    (8, ("report", "--json")),
    (4, ("report",)),
    (4, ("points", "--json")),
    (3, ("points",)),
    (4, ("cuts", "--json")),
    (3, ("cuts", "--units", "in")),
    (3, ("strength",)),
    (2, ("strength", "--json")),
    (3, ("runout", "--json")),
    (4, ("table", "--step", "20")),
    (3, ("trial", "--json")),
    (1, ("trim",)),
    (2, ("donors", "--json")),
    (2, ("template", "-o", "-")),
    (1, ("placement", "--json")),
    (2, ("certainty", "--draws", "1000", "--json")),
    (1, ("picture", "-o", "-", "--scale", "1:5")),
    (1, ("sheet", "-o", "-")),
)


class NoEndError(Exception):
    """An answer that does not come."""


@dataclass(frozen=True, slots=True)
class Fault:
    """A scene that was neither refused nor answered as it should be."""

    case: int
    words: tuple[str, ...]
    what: str
    text: str


def mutated(random_: random.Random) -> str:
    """One example scene, changed in one to four places."""
    text = random_.choice(list(TEXTS.values()))
    if random_.random() < 0.4:
        for _ in range(random_.randint(1, 3)):
            text = random_.choice(_TEXT)(text, random_)
        return text
    scene = tomllib.loads(text)
    for _ in range(random_.randint(1, 4)):
        _change(scene, random_)
    try:
        return tomlkit.dumps(scene)
    except (ValueError, TypeError):
        return text


def _spans(text: str, random_: random.Random) -> tuple[int, int]:
    start = random_.randrange(len(text) + 1)
    return start, min(len(text), start + random_.randint(0, 40))


def _cut_out(text: str, random_: random.Random) -> str:
    start, end = _spans(text, random_)
    return text[:start] + text[end:]


def _typed_over(text: str, random_: random.Random) -> str:
    start, _ = _spans(text, random_)
    letter = random_.choice("0123456789.-[]=\"'#\n\t ex,{}_") if random_.random() < 0.8 else "\x00"
    return text[:start] + letter + text[start + random_.randint(0, 1) :]


def _lines(text: str, random_: random.Random) -> str:
    lines = text.splitlines(keepends=True) or [""]
    i, j = random_.randrange(len(lines)), random_.randrange(len(lines))
    match random_.randrange(3):
        case 0:
            del lines[i]
        case 1:
            lines.insert(j, lines[i])
        case _:
            lines[i], lines[j] = lines[j], lines[i]
    return "".join(lines)


def _torn(text: str, random_: random.Random) -> str:
    return text[: _spans(text, random_)[0]]


def _other_number(text: str, random_: random.Random) -> str:
    places = [i for i, letter in enumerate(text) if letter.isdigit()]
    if not places:
        return text
    start = end = random_.choice(places)
    while end < len(text) and (text[end].isdigit() or text[end] == "."):
        end += 1
    return text[:start] + str(random_.choice(NUMBERS)) + text[end:]


_TEXT: tuple[Callable[[str, random.Random], str], ...] = (
    *(_cut_out, _typed_over, _typed_over, _lines, _lines, _other_number, _other_number),
    _torn,
)


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every holder and key below a value."""
    steps = value.keys() if isinstance(value, dict) else range(len(value))
    for step in list(steps):
        yield value, step
        if isinstance(value[step], (dict, list)):
            yield from _places(value[step])


def _change(scene: dict[str, Any], random_: random.Random) -> None:
    places = list(_places(scene))
    if not places:
        return
    # Most keys hold numbers; the others are to be met as often.
    kind = random_.choice((float, str, list, dict))
    fitting = [
        (holder, key)
        for holder, key in places
        if isinstance(holder[key], (int, float) if kind is float else kind)
    ]
    holder, key = random_.choice(fitting or places)
    match random_.randrange(6):
        case 0:
            del holder[key]
        case 1:
            other, at = random_.choice(places)
            holder[key] = copy.deepcopy(other[at]) if key is not at else 7
        case _:
            holder[key] = _another(holder[key], random_)


def _another(old: Any, random_: random.Random) -> Any:
    """Another value of the same kind, or now and then of another."""
    if random_.random() < 0.1:
        return random_.choice((True, [], {}, [[]], [{}], 7, "7", [1, 2]))
    if isinstance(old, bool):
        return not old
    if isinstance(old, (int, float)):
        factors = (-1, 0.1, 0.5, 0.9, 1.01, 1.5, 3, 25.4)
        return random_.choice((random_.choice(NUMBERS), old * random_.choice(factors)))
    if isinstance(old, str):
        return random_.choice(WORDS)
    if isinstance(old, list) and old:
        return random_.choice(
            (
                [*old, copy.deepcopy(random_.choice(old))],
                random_.sample(old, len(old)),
                old[1:],
            )
        )
    return {}


def faults(count: int, seed: int, first: int = 0) -> Iterator[Fault | None]:
    """What went wrong with each of so many scenes; None where nothing did."""
    # Not every command is there at every step of the way.
    known = [(weight, words) for weight, words in COMMANDS if words[0] in KNOWN]
    weights = [weight for weight, _ in known]
    with tempfile.TemporaryDirectory() as folder:
        for case in range(first, first + count):
            # A string, because a seed of a tuple is not the same everywhere.
            random_ = random.Random(f"{seed}/{case}")
            text = mutated(random_)
            ((_, words),) = random_.choices(known, weights)
            what = _wrong(text, words, Path(folder) / "own.toml")
            yield Fault(case, words, what, text) if what else None


def _wrong(text: str, words: tuple[str, ...], path: Path) -> str:
    try:
        scene = parse_scene(text)
        # What was read can be written, and is then the same.
        if parse_scene(scene_text(scene, text)) != scene:
            return "written and read again it is another scene"
        path.write_text(text, encoding="utf-8")
        code, out, err = _asked([words[0], str(path), *words[1:]])
    except SceneError as error:
        return _wrong_lines([str(problem) for problem in error.problems])
    except Exception:  # noqa: BLE001
        return _last_of_traceback()
    if code not in {0, 1, 2} or (code == 2 and not err):
        return f"exit code {code}, {len(err)} letters of why"
    if "--json" in words and out:
        try:
            json.loads(out, parse_constant=_no_number)
        except ValueError as error:
            return f"JSON: {error}"
    shown = err.decode() if "-" in words else out.decode() + err.decode()
    return _wrong_lines(shown.replace("\r\n", "\n").split("\n"), every=False)


def _no_number(word: str) -> float:
    raise ValueError(f"holds {word}")


def _wrong_lines(lines: list[str], *, every: bool = True) -> str:
    for line in lines:
        if every and not line:
            return "a refusal without words"
        if not line.isprintable():
            return f"a line that a terminal obeys: {line!r}"
        if not every and "nan" in line.lower().split():
            return f"a line that says nothing: {line!r}"
    return ""


def _asked(words: list[str]) -> tuple[int, bytes, bytes]:
    """Exit code, standard output and standard error of a command."""
    raw_out, raw_err = io.BytesIO(), io.BytesIO()
    out = io.TextIOWrapper(raw_out, encoding="utf-8", newline="")
    err = io.TextIOWrapper(raw_err, encoding="utf-8", newline="")
    with (
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        warnings.catch_warnings(),
        _ending(LONGEST_SECONDS),
    ):
        # A division by nothing that a result may rest on.
        warnings.simplefilter("error", RuntimeWarning)
        try:
            code = main(words)
        except SystemExit as stop:
            code = stop.code if isinstance(stop.code, int) else -1
    out.flush()
    err.flush()
    return code, raw_out.getvalue(), raw_err.getvalue()


@contextlib.contextmanager
def _ending(seconds: float) -> Iterator[None]:
    """Raise NoEndError where it takes longer; nothing where the system has no alarm."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def late(*_: object) -> None:
        raise NoEndError(f"no end after {seconds:g} s of processor time")

    before = signal.signal(signal.SIGVTALRM, late)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def _last_of_traceback() -> str:
    error = sys.exc_info()[1]
    assert error is not None
    frames = traceback.extract_tb(error.__traceback__)
    ours = [f for f in frames if "/site-packages/" not in f.filename] or frames
    where = f"{Path(ours[-1].filename).name}:{ours[-1].lineno} {ours[-1].name}"
    return f"{type(error).__name__}: {' '.join(str(error).split())[:160]} at {where}"


def run() -> int:
    """Run as many as asked; 1 where one of them was wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutate", description=__doc__)
    parser.add_argument("--count", type=int, default=6000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="the number of the first case")
    parser.add_argument("--keep", type=Path, help="a folder for the scenes that went wrong")
    arguments = parser.parse_args()
    os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
    kinds: Counter[str] = Counter()
    found = 0
    for fault in faults(arguments.count, arguments.seed, arguments.first):
        if fault is None:
            continue
        found += 1
        kinds[fault.what] += 1
        print(f"case {fault.case}: {' '.join(fault.words)}: {fault.what}", flush=True)
        if arguments.keep is not None:
            arguments.keep.mkdir(parents=True, exist_ok=True)
            (arguments.keep / f"{fault.case}.toml").write_text(fault.text, encoding="utf-8")
    print(f"{arguments.count} scenes, {found} wrong")
    for what, times in kinds.most_common():
        print(f"{times:>5}  {what}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(run())
