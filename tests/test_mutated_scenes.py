"""Some of the scenes changed at random; ``python -m tests.mutate`` runs as many as wanted."""

from __future__ import annotations

from tests.mutate import faults


def test_a_changed_scene_is_answered_or_refused_in_words() -> None:
    wrong = [f"case {one.case}: {one.words} {one.what}" for one in faults(60, seed=3) if one]
    assert wrong == []
