"""Where things stand on the screen: one grid of 8 px, from 1280×720 upwards.

::

    ┌───────────────────────────────────────────────────────────┐
    │ side  │ the answer in one sentence           │ window bar │  strip
    ├───────┼──────────────────────────────────────┼────────────┤
    │ work  │ view from │                          │  plots     │
    │ order │ above     │                          │  over      │
    │       ├───────────┘   front view             │  travel    │
    │       │                          title block │            │
    │       ├──────────────────────────────────────┼────────────┤
    │       │ readout                              │  steering  │
    ├───────┴──────────────────────────────────────┴────────────┤
    │ what the pointer would do            files, undo, export  │  foot
    └───────────────────────────────────────────────────────────┘
"""

from __future__ import annotations

from dataclasses import dataclass

import pygame

from sketcher.drawing.areas import Area
from sketcher.drawing.readout import columns_of, height_of

GRID = 8
SMALLEST = (960, 600)
SMALLEST_SCALE = 0.75


@dataclass(frozen=True, slots=True)
class ScreenLayout:
    """The areas of one screen size at one UI scale."""

    scale: float
    screen: Area
    strip: Area
    sides: Area
    answer: Area
    bar: Area
    panel: Area
    sheet: Area
    readout: Area
    above: Area
    title: Area
    front: Area
    plots: Area
    steer: Area
    foot: Area

    def px(self, at_scale_1: float) -> int:
        """Device px of a length given at UI scale 1."""
        return round(at_scale_1 * self.scale)

    def rect(self, *at_scale_1: float) -> pygame.Rect:
        """Device px of a rectangle given at UI scale 1: left, top, width and height."""
        return pygame.Rect([self.px(value) for value in at_scale_1])


def lay_out(width: int, height: int, scale: float, readout_rows: int) -> ScreenLayout:
    """The areas for a screen; smaller ones than the least are laid out as the least."""

    def px(value: float) -> int:
        return round(value * scale)

    width, height = max(width, px(SMALLEST[0])), max(height, px(SMALLEST[1]))
    pad = px(GRID)
    strip_height, foot_height = px(72), px(40)
    panel_width = min(max(round(width * 0.275), px(336)), px(352))
    plots_width = min(max(round(width * 0.27), px(328)), px(560))
    middle = height - strip_height - foot_height
    strip = Area(0, 0, width, strip_height)
    plots_left = width - plots_width
    steer = Area(plots_left, height - foot_height - px(64), plots_width, px(64))
    plots = Area(plots_left, strip_height, plots_width, middle - steer.height)
    sheet = Area(panel_width, strip_height, plots_left - panel_width, middle)
    # Under the sketch where that is wide enough, otherwise under the form.
    under_sketch = columns_of((sheet.width - pad) / scale) > 1
    left, wide = (sheet.left, sheet.width - pad) if under_sketch else (pad, panel_width - 2 * pad)
    table = px(height_of(wide / scale, readout_rows))
    readout = Area(left, height - foot_height - pad - table, wide, table)
    taken = table + pad
    panel = Area(0, strip_height, panel_width, middle - (0 if under_sketch else taken + pad))
    front_height = middle - 2 * pad - (taken if under_sketch else 0)
    front = Area(sheet.left, sheet.top + pad, sheet.width - pad, front_height)
    title_width = min(px(360), front.width)
    title = Area(front.right - title_width, front.bottom - px(52), title_width, px(52))
    above_width = min(max(round(front.width * 0.4), px(224)), px(400))
    above = Area(front.left, front.top, above_width, round(front.height * 0.34))
    return ScreenLayout(
        scale=scale,
        screen=Area(0, 0, width, height),
        strip=strip,
        sides=Area(0, 0, panel_width, strip_height),
        answer=Area(panel_width, 0, plots_left - panel_width, strip_height),
        bar=Area(plots_left, 0, plots_width, strip_height),
        panel=panel,
        sheet=sheet,
        readout=readout,
        above=above,
        title=title,
        front=front,
        plots=plots,
        steer=steer,
        foot=Area(0, height - foot_height, width, foot_height),
    )
