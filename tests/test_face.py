"""The face of the mechanics: what a notebook sees, and the examples of DEVELOPERS.md run."""

from __future__ import annotations

import doctest
import re
import subprocess
import sys
from pathlib import Path

import pytest

import kinematics

BLOCKS = re.findall(
    r"(?ms)^```python\n(.*?)^```", (Path(__file__).parents[1] / "DEVELOPERS.md").read_text("utf-8")
)


def test_dir_shows_what_there_is_and_all_of_it_is_there() -> None:
    assert dir(kinematics) == sorted(kinematics.__all__)
    for name in kinematics.__all__:
        assert getattr(kinematics, name).__doc__
    assert {"solve", "follow", "examine", "certainty", "Corner"} <= set(dir(kinematics))
    with pytest.raises(AttributeError, match="solved"):
        kinematics.solved  # noqa: B018


@pytest.mark.parametrize("block", BLOCKS, ids=range(len(BLOCKS)))
def test_the_examples_of_the_developers_page_run(block: str) -> None:
    example = doctest.DocTestParser().get_doctest(block, {}, "DEVELOPERS.md", None, None)
    assert example.examples
    assert doctest.DocTestRunner().run(example).failed == 0


def test_there_are_two_examples_and_the_short_one_is_short() -> None:
    assert len(BLOCKS) >= 2
    assert sum("from scenes" in block and block.count(">>>") <= 5 for block in BLOCKS) == 1


def test_the_face_alone_loads_no_library() -> None:
    script = "import sys, kinematics; print({'numpy', 'shapely', 'scipy'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True)
    assert done.stdout.strip() == b"set()"
