"""Lint, layout and types hold for everything that is committed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.parametrize(
    "check",
    [
        pytest.param(["ruff", "check", "--quiet"], id="lint"),
        pytest.param(["ruff", "format", "--check"], id="layout"),
        pytest.param(["mypy"], id="types"),
    ],
)
def test_code_is_clean(check: list[str], root: Path) -> None:
    result = subprocess.run(
        [sys.executable, "-m", *check], cwd=root, capture_output=True, text=True, check=False
    )
    assert result.returncode == 0, result.stdout + result.stderr
