"""Opening the display, or saying in one line that there is none."""

from __future__ import annotations

import os
import sys

import pygame

from sketcher.drawing import fonts  # noqa: F401  refuses another pygame
from sketcher.words.plain import Refused

NO_DISPLAY = (
    "there is no display to open the window on; report, table, picture and the other commands "
    "need none"
)
# What the library falls back to where nobody would see the window.
_UNSEEN = ("dummy", "offscreen", "evdev")


def open_display() -> None:
    """Open the display.

    Raises Refused where there is none, unless the environment asks for an unseen one.
    """
    asked = os.environ.get("SDL_VIDEODRIVER")
    if not asked and sys.platform.startswith("linux") and not os.environ.get("WAYLAND_DISPLAY"):
        if not os.environ.get("DISPLAY"):
            raise Refused(NO_DISPLAY)
        # Others would be tried in turn, and complain on standard error.
        os.environ["SDL_VIDEODRIVER"] = "x11"
    try:
        pygame.display.init()
    except pygame.error as error:
        raise Refused(f"{NO_DISPLAY} ({error})") from error
    if not asked and pygame.display.get_driver() in _UNSEEN:
        pygame.display.quit()
        raise Refused(NO_DISPLAY)
