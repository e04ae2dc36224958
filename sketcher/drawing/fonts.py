"""The one font family, which ships with pygame_gui: its file and its measures."""

from __future__ import annotations

import importlib.util
from functools import cache, lru_cache
from pathlib import Path

import pygame

from sketcher.drawing.camera import PIXELS_PER_PAPER_MM
from sketcher.drawing.picture import Size
from sketcher.drawing.style import LETTERING
from sketcher.words.plain import Refused

if not getattr(pygame, "IS_CE", False):
    # Both install a package of one name, and the later one is what is found.
    raise Refused(
        "another pygame is installed over pygame-ce, which the drawing needs: "
        "pip uninstall pygame, then pip install --force-reinstall pygame-ce"
    )

FAMILY = "Noto Sans"
# Height of capitals and figures as a part of the font size, from the font's own tables.
CAPITAL_HEIGHT = 0.714


def font_path(*, bold: bool = False) -> Path:
    """The font's file; raises FileNotFoundError where pygame_gui is not installed whole."""
    spec = importlib.util.find_spec("pygame_gui")
    if spec is None or spec.origin is None:
        raise FileNotFoundError("expected pygame_gui to be installed, for its fonts")
    path = Path(spec.origin).parent / "data" / f"NotoSans-{'Bold' if bold else 'Regular'}.ttf"
    if not path.is_file():
        raise FileNotFoundError(f"expected the font {path.name} in pygame_gui's data folder")
    return path


@cache
def font(size_px: int, bold: bool = False) -> pygame.font.Font:
    """The font at a size in device px; needs no display."""
    if not pygame.font.get_init():
        pygame.font.init()
    return pygame.font.Font(font_path(bold=bold), size_px)


def size_px(size: Size, pixels_per_paper_mm: float) -> int:
    """Font size of a lettering size, whole device px."""
    return max(6, round(LETTERING[size] * pixels_per_paper_mm))


def font_px(size: Size, scale: float) -> int:
    """Font size of one of the three lettering sizes at a UI scale, px."""
    return size_px(size, PIXELS_PER_PAPER_MM * scale)


@lru_cache(maxsize=4096)
def width_px(text: str, size: int, bold: bool = False) -> float:
    """How wide a line of text is at a font size in px."""
    return float(font(size, bold).size(text)[0])
