"""Waiting for what another thread or process works out: a busy machine is slow, not wrong."""

from __future__ import annotations

import time
from collections.abc import Callable

# Long enough for any machine: it is spent only where something never comes.
PATIENCE_SECONDS = 300.0


def wait_until(
    done: Callable[[], object],
    meanwhile: Callable[[], object] = lambda: None,
    *,
    pause_seconds: float = 0.005,
) -> None:
    """Do something over and over, with pauses for whoever works, until something is so.

    Raises ``TimeoutError`` where it never is.
    """
    until = time.monotonic() + PATIENCE_SECONDS
    while not done():
        if time.monotonic() > until:
            raise TimeoutError(f"not so after {PATIENCE_SECONDS:g} s")
        meanwhile()
        time.sleep(pause_seconds)
