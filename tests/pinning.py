"""Lines of our own output that are held as they were, and written anew where that is asked for."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable
from pathlib import Path
from zlib import crc32

import numpy as np
import pytest

PINNED = Path(__file__).resolve().parent / "pinned"
_ANEW = "PINNED_ANEW"
# How far a number may be off by what the order of sums does to it, relative.
ROUNDING = 1e-6
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def now_and_before(name: str, said: Iterable[str]) -> tuple[list[str], list[str]]:
    """The lines as they are and as they were kept; the same where they are written anew."""
    now = "\n".join(said).splitlines()
    kept = PINNED / f"{name}.txt"
    if _ANEW in os.environ:
        kept.parent.mkdir(exist_ok=True)
        kept.write_text("\n".join((*now, "")), encoding="utf-8")
    return now, kept.read_text(encoding="utf-8").splitlines()


def same(line: str, before: str, off: float = ROUNDING) -> bool:
    """Whether two lines say the same, their numbers within ``off`` of one another."""
    for one, other in zip(line.split(), before.split(), strict=True):
        if one != other:
            try:
                a, b = float(one.strip("(),")), float(other.strip("(),"))
            except ValueError:
                return False
            if not math.isclose(a, b, rel_tol=off, abs_tol=1e-7):
                return False
    return True


def held(lines: Iterable[str]) -> str:
    """Words and numbers of a page in two numbers that any change of any of them changes."""
    text = "\n".join(lines)
    numbers = np.array([float(one) for one in _NUMBER.findall(text)])
    # Weights in no order twice, so that numbers that change places are seen, too.
    total = numbers @ np.cos(np.arange(len(numbers)) ** 1.5)
    return f"{crc32(_NUMBER.sub('', text).encode())} {len(numbers)} {total:.9g}"


def write_anew(file: str) -> int:
    """Write down anew what the tests of a file hold; the exit code."""
    os.environ[_ANEW] = "1"
    return int(pytest.main(["-q", file]))
