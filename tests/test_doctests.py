"""Worked examples in docstrings give what they say."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
WITH_EXAMPLES = [
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for package in ("kinematics", "scenes", "sketcher")
    for path in sorted((ROOT / package).rglob("*.py"))
    if ">>>" in path.read_text(encoding="utf-8")
]


def test_some_modules_have_examples() -> None:
    assert len(WITH_EXAMPLES) >= 2


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_examples_in_docstrings(name: str) -> None:
    found = doctest.testmod(importlib.import_module(name.removesuffix(".__init__")))
    assert found.attempted > 0
    assert found.failed == 0
