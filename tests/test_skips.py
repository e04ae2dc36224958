"""A test that skips itself where everything has to run is a failure, not a silence."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.waiting import PATIENCE_SECONDS

SKIPS = """
import pytest


def test_needs_a_screen():
    pytest.skip("no screen")


@pytest.mark.skipif(True, reason="only on Windows")
def test_other_platform():
    pass


@pytest.mark.xfail(reason="known")
def test_known():
    assert False
"""


@pytest.mark.parametrize(
    ("ci", "closing"),
    [("true", "1 failed, 1 skipped, 1 xfailed"), ("", "2 skipped, 1 xfailed")],
)
def test_skips_are_failures_on_ci_only(ci: str, closing: str, root: Path, tmp_path: Path) -> None:
    shutil.copy(root / "tests" / "conftest.py", tmp_path)
    (tmp_path / "test_skips.py").write_text(SKIPS, encoding="utf-8")
    result = subprocess.run(
        [sys.executable, "-m", "pytest", "--quiet", "-p", "no:cacheprovider"],
        cwd=tmp_path,
        env={**os.environ, "CI": ci},
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_SECONDS,
    )
    assert closing in result.stdout, result.stdout
    assert result.returncode == bool(ci)
