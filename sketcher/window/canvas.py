"""The drawn areas of the window: each is painted again only when what it shows changes."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

import pygame

from kinematics.vectors import Array
from sketcher.drawing.camera import Camera
from sketcher.drawing.picture import Picture, Point2
from sketcher.drawing.plot_data import Column, column_of
from sketcher.drawing.plot_layout import Layout as PlotLayout
from sketcher.drawing.plot_layout import layout as lay_out_plots
from sketcher.drawing.plot_position import position_picture
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.pose import Pose, pose_as_drawn
from sketcher.drawing.sketch import Shown as Extras
from sketcher.drawing.sketch import front_view, view_from_above, world_box, world_box_above
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface
from sketcher.drawing.unclosed_view import cannot_close
from sketcher.window.desk import Desk
from sketcher.window.edits import View
from sketcher.window.ink import Ink
from sketcher.window.layout import Area, Layout
from sketcher.window.live import Shown, Solved, nearest_gap
from sketcher.window.readings import Reading, readings
from sketcher.window.readout import draw_readout, draw_title, position_words
from sketcher.window.steering import draw_steering
from sketcher.window.strip import draw_answer, draw_bar


@dataclass(frozen=True, slots=True)
class Seen:
    """A picture on screen and the camera it was painted with."""

    picture: Picture
    camera: Camera


class _Same:
    """Equal only to the very same thing: arrays have no plain equality."""

    def __init__(self, thing: object) -> None:
        self._thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self._thing is other._thing

    __hash__ = None  # type: ignore[assignment]


class Canvas:
    """Paints the desk on a surface, and knows what was painted where."""

    def __init__(self, surface: pygame.Surface, layout: Layout) -> None:
        self.surface = surface
        self.layout = layout
        self.seen: dict[View, Seen] = {}
        self.plots: PlotLayout | None = None
        self.rows: tuple[Reading, ...] = ()
        self._painted: dict[str, tuple[object, ...]] = {}
        self._column: tuple[object, Column, Picture] | None = None

    def forget(self, *names: str) -> None:
        """Paint again, all or the named areas, whatever they show."""
        for name in names or tuple(self._painted):
            self._painted.pop(name, None)

    def fit(self, desk: Desk, shown: Shown) -> None:
        """Point the cameras so that both views show everything."""
        if shown.solved is None or shown.pose is None:
            return
        ride, side = shown.solved.ride, shown.solved.side
        desk.cameras["front"] = self._fitted(desk, shown.solved)
        scale = self.layout.scale
        above = self.layout.above
        desk.cameras["above"] = Camera.fitting(
            world_box_above(desk.scene, ride, side), above.width, above.height,
            left=above.left, top=above.top, ui_scale=scale, padding_px=12.0,
        )  # fmt: skip

    def _fitted(self, desk: Desk, solved: Solved) -> Camera:
        """The front camera that shows everything, the view from above covering nothing of it."""
        whole, inset = self.layout.front, self.layout.above
        free = Area(whole.left, whole.top, whole.width, self.layout.title.top - whole.top)
        beside = Area(inset.right, free.top, free.right - inset.right, free.height)
        under = Area(free.left, inset.bottom, free.width, free.bottom - inset.bottom)
        box = world_box(desk.scene, solved.ride, solved.side)
        points = [p[:2] for p in solved.ride.points.values()]
        points += [corner for bracket in desk.scene.brackets for corner in bracket.outline]

        def camera(area: Area) -> Camera:
            fitted = Camera.fitting(
                box, area.width, area.height, left=area.left, top=area.top,
                ui_scale=self.layout.scale, padding_px=16.0,
            )  # fmt: skip
            return replace(
                fitted, left=whole.left, top=whole.top, width=whole.width, height=whole.height,
                centre=fitted.to_world(_middle(whole)),
            )  # fmt: skip

        room = inset.inset(-self.layout.px(40))
        shifted = Area(free.left + free.width // 5, free.top, free.width * 4 // 5, free.height)
        for area in (free, shifted):
            first = camera(area)
            if not any(room.holds(first.to_screen(point)) for point in points):
                return first
        return max((camera(beside), camera(under)), key=lambda one: one.zoom)

    def resize(self, desk: Desk) -> None:
        """Lay the cameras on the areas of this layout."""
        for view, area in (("front", self.layout.front), ("above", self.layout.above)):
            name: View = "front" if view == "front" else "above"
            desk.cameras[name] = desk.cameras[name].resized(
                area.width, area.height, left=area.left, top=area.top, ui_scale=self.layout.scale
            )

    def paint(self, desk: Desk, shown: Shown, pointer: Point2) -> bool:
        """Paint what has changed; whether anything has."""
        lit = tuple(sorted({desk.selection, desk.hover, desk.lit} - {""}))
        common = (desk.unit, desk.theme)
        self.rows = readings(shown, desk.unit, nearest_gap(shown))
        cameras = (desk.cameras["front"], desk.cameras["above"])
        solved, pose = shown.solved, shown.pose
        view = (
            shown.pose,
            shown.gaps,
            shown.closes,
            shown.problem,
            lit,
            desk.grid_mm is not None,
            *common,
        )
        ride = None if solved is None else (solved.ride, solved.corner, solved.envelope)
        changed = False
        if self._new("front", view, ride, cameras[0]):
            self._front(desk, shown, lit)
            self.forget("above", "title")
            changed = True
        if self._new("readout", self.rows, position_words(desk), *common):
            self._readout(desk)
            changed = True
        if self._new("above", view, ride, cameras[1]):
            self._above(desk, shown, lit)
            changed = True
        document = desk.document
        title = (desk.scene.title, document.dirty, document.path, desk.side, cameras[0].scale)
        if self._new("title", title, *common):
            ink = Ink(self.layout.title, self.layout.scale)
            self._put(draw_title(ink, desk, cameras[0], desk.unit), ink, desk, self.layout.title)
            changed = True
        if self._new("answer", solved and solved.found, shown.problem, *common):
            ink = Ink(self.layout.answer, self.layout.scale)
            picture = draw_answer(ink, desk.scene, shown, desk.unit)
            self._put(picture, ink, desk, self.layout.answer)
            changed = True
        if self._new("bar", solved and solved.found, *common):
            ink = Ink(self.layout.bar, self.layout.scale)
            self._put(draw_bar(ink, shown, desk.unit), ink, desk, self.layout.bar)
            changed = True
        hover = pointer if self._over_plots(pointer) else None
        sweep = None if solved is None else (solved.sweep, _Same(solved.gap_mm))
        if self._new("plots", sweep, pose, desk.travel_mm, hover, *common):
            self._plots(desk, shown, hover)
            changed = True
        if self._new("steer", desk.steer_deg, desk.steer_range, desk.playing, *common):
            ink = Ink(self.layout.steer, self.layout.scale)
            self._put(draw_steering(ink, desk), ink, desk, self.layout.steer)
            changed = True
        return changed

    def _new(self, name: str, *shows: object) -> bool:
        if self._painted.get(name) == shows:
            return False
        self._painted[name] = shows
        return True

    def _over_plots(self, pointer: Point2) -> bool:
        return self.plots is not None and self.plots.frame_at(pointer) is not None

    def _put(self, picture: Picture, ink: Ink, desk: Desk, area: Area) -> None:
        self._fill(area, desk, sheet=True)
        paint_surface(self.surface, picture, ink.camera, style(desk.theme))

    def _fill(self, area: Area, desk: Desk, *, sheet: bool = False) -> None:
        palette = style(desk.theme).palette
        rect = (area.left, area.top, area.width, area.height)
        self.surface.fill(palette.sheet if sheet else palette.paper, rect)

    def _frame(self, area: Area, desk: Desk) -> None:
        width = max(1, self.layout.px(1.5))
        rect = (area.left, area.top, area.width, area.height)
        pygame.draw.rect(self.surface, style(desk.theme).palette.ink, rect, width)

    def _front(self, desk: Desk, shown: Shown, lit: Collection[str]) -> None:
        self._fill(self.layout.sheet, desk, sheet=True)
        self._fill(self.layout.front, desk)
        if shown.solved is not None and shown.pose is not None:
            self._view("front", desk, shown, shown.solved, shown.pose, lit)
        self._frame(self.layout.front, desk)

    def _above(self, desk: Desk, shown: Shown, lit: Collection[str]) -> None:
        self._fill(self.layout.above, desk)
        if shown.solved is not None and shown.pose is not None:
            self._view("above", desk, shown, shown.solved, shown.pose, lit)
        self._frame(self.layout.above, desk)

    def _view(
        self, view: View, desk: Desk, shown: Shown, solved: Solved, pose: Pose,
        lit: Collection[str],
    ) -> None:  # fmt: skip
        camera, front = desk.cameras[view], view == "front"
        extras = Extras(
            envelope=solved.envelope if front else (),
            gaps=tuple(g for g in shown.gaps if g.bracket < len(desk.scene.brackets)),
            margin_mm=solved.found.margin_mm,
            unit=desk.unit,
            names=front,
        )
        chosen = style(desk.theme)
        if front and not shown.closes:
            refused = (
                desk.scene.linkage != solved.corner.linkage or desk.scene.hub != solved.corner.hub
            )
            picture = cannot_close(
                desk.scene, pose, camera, "",
                asked_travel_mm=None if refused else desk.travel_mm,
                drawn=pose_as_drawn(desk.scene.linkage, desk.scene.hub) if refused else None,
                shown=extras,
            )  # fmt: skip
        else:
            draw = front_view if front else view_from_above
            picture = draw(desk.scene, desk.side, pose, solved.ride, camera, extras)
        paint_surface(self.surface, picture, camera, chosen, lit=lit)
        self.seen[view] = Seen(picture, camera)

    def _readout(self, desk: Desk) -> None:
        area = self.layout.readout
        ink = Ink(area, self.layout.scale)
        self._fill(area, desk)
        picture = draw_readout(ink, self.rows, position_words(desk))
        paint_surface(self.surface, picture, ink.camera, style(desk.theme))
        self._frame(area, desk)

    def _plots(self, desk: Desk, shown: Shown, hover: Point2 | None) -> None:
        area = self.layout.plots
        self._fill(area, desk, sheet=True)
        solved = shown.solved
        if solved is None:
            return
        column, still = self._still_plots(desk, solved, area)
        assert self.plots is not None
        camera, chosen = self.plots.camera, style(desk.theme)
        paint_surface(self.surface, still, camera, chosen)
        moving = position_picture(
            column, self.plots, desk.travel_mm, _now(column, shown, desk), hover=hover
        )
        paint_surface(self.surface, moving, camera, chosen)

    def _still_plots(self, desk: Desk, solved: Solved, area: Area) -> tuple[Column, Picture]:
        key = (solved.sweep, _Same(solved.gap_mm), desk.unit, self.layout)
        if self._column is not None and self._column[0] == key:
            return self._column[1:]
        sweep = solved.sweep
        wanted = max((b.wanted_gap for b in solved.corner.brackets), default=6.0)
        travel: Array = sweep.motion.travel_mm[:, 0]
        column = column_of(
            solved.corner.shaft,
            travel,
            sweep.steer_deg.tolist(),
            sweep.shaft,
            margin_mm=solved.found.margin_mm,
            gap_mm=solved.gap_mm,
            wanted_gap_mm=wanted,
            unit=desk.unit,
        )
        pad = self.layout.px(8)
        camera = Camera.of_pixels(
            area.width, area.height - 2 * pad, left=area.left, top=area.top + pad,
            ui_scale=self.layout.scale,
        )  # fmt: skip
        self.plots = lay_out_plots(column, camera)
        picture = plots_picture(column, self.plots)
        self._column = (key, column, picture)
        return column, picture


def _now(column: Column, shown: Shown, desk: Desk) -> list[float | None]:
    """Each plot's value at the pose shown."""
    pose = shown.pose
    if pose is None or pose.shaft is None or shown.solved is None:
        return [None] * len(column.plots)
    mid = shown.solved.corner.shaft.inner_joint.mid_stroke
    swept = sum((a - b) ** 2 for a, b in zip(pose["hub.outer_joint"], mid, strict=True)) ** 0.5
    per = 25.4 if desk.unit == "in" else 1.0
    gap = min((gap.gap_mm for gap in shown.gaps), default=None)
    values: dict[str, float | None] = {
        "plot.plunge": pose.shaft.plunge_mm / per,
        "plot.inner_angle": pose.shaft.inner_angle_deg,
        "plot.outer_angle": pose.shaft.outer_angle_deg,
        "plot.swept_length": swept / per,
        "plot.clearance": None if gap is None else gap / per,
    }
    return [values.get(plot.key) for plot in column.plots]


def _middle(area: Area) -> Point2:
    return (area.left + area.width / 2, area.top + area.height / 2)
