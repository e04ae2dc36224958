"""The column of plots on screen: curves kept as they are, the position painted on top."""

from __future__ import annotations

import pygame

from sketcher.answers.shown import Shown
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Point2
from sketcher.drawing.plot_data import Column, column_shown, values_now
from sketcher.drawing.plot_layout import PlotLayout
from sketcher.drawing.plot_layout import layout as lay_out_plots
from sketcher.drawing.plot_position import position_picture
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface
from sketcher.window.model.editor import Editor
from sketcher.window.screen.layout import ScreenLayout

_PAD = 8


class Plots:
    """The column: its curves on a surface of their own, and where they lie."""

    def __init__(self, layout: ScreenLayout) -> None:
        self._layout = layout
        area = layout.plots
        self.still = pygame.Surface((area.width, area.height))
        self.where: PlotLayout | None = None
        self._column: Column | None = None

    def holds(self, point: Point2) -> bool:
        """Whether device px lie where taking hold moves the wheel."""
        return self.where is not None and self.where.holds(point)

    def travel_at(self, point: Point2) -> float:
        """The travel at device px, mm."""
        return 0.0 if self.where is None else self.where.travel_at(point)

    def draw(self, editor: Editor, shown: Shown) -> None:
        """Draw the curves anew."""
        solved, area = shown.solved, self._layout.plots
        self.still = pygame.Surface((area.width, area.height))
        self.still.fill(style(editor.theme).palette.sheet)
        if solved is None:
            return
        column = column_shown(solved, editor.unit)
        pad = self._layout.px(_PAD)

        def camera(left: int, top: int) -> Camera:
            within = Area(left, top + pad, area.width, area.height - 2 * pad)
            return Camera.on(within, self._layout.scale).in_pixels()

        here = camera(0, 0)
        picture = plots_picture(column, lay_out_plots(column, here))
        paint_surface(self.still, picture, here, style(editor.theme))
        self.where = lay_out_plots(column, camera(area.left, area.top))
        self._column = column

    def paint(
        self, surface: pygame.Surface, editor: Editor, shown: Shown, hover: Point2 | None
    ) -> None:
        """The curves, and the current position on them."""
        area = self._layout.plots
        surface.blit(self.still, (area.left, area.top))
        if self._column is None or self.where is None:
            return
        now = values_now(self._column, shown)
        picture = position_picture(self._column, self.where, editor.travel_mm, now, hover=hover)
        paint_surface(surface, picture, self.where.camera, style(editor.theme))
