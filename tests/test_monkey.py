"""Random events on the window: no exception, and a scene that still makes a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests import monkey


@pytest.mark.parametrize(
    ("name", "seed"),
    [("van-front", 20), ("van-rear", 1), ("van-rear-measured", 2), ("van-front-making", 3)],
)
def test_a_monkey_leaves_a_valid_scene(name: str, seed: int, tmp_path: Path) -> None:
    events = 500
    assert monkey.run(name, seed, events, tmp_path) > events / monkey.EVENTS_PER_FRAME / 10
