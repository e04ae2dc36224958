"""Good, close or past: the plain state of a value, with the word that goes with it."""

from __future__ import annotations

from typing import Literal

State = Literal["good", "close", "past"]

# An angle within this part of its limit is close to it.
CLOSE_TO_ANGLE = 0.9


def room_state(left_mm: float, wanted_mm: float) -> State:
    """Of a stroke or a gap that is left: past its end, less than wanted, or good."""
    if left_mm < 0.0:
        return "past"
    return "close" if left_mm < wanted_mm else "good"


def angle_state(angle_deg: float, limit_deg: float) -> State:
    """Of a joint angle against its limit: past it, within a tenth of it, or good."""
    if angle_deg > limit_deg:
        return "past"
    return "close" if angle_deg > CLOSE_TO_ANGLE * limit_deg else "good"
