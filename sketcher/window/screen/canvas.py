"""The drawn areas of the window: each is painted again only when what it shows changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import pygame

from sketcher.answers.memo import Same
from sketcher.answers.pose import pose_as_drawn
from sketcher.answers.position_values import Reading, readings
from sketcher.answers.shown import Shown, Solved, nearest_gap
from sketcher.drawing.answer_strip import draw_answer, draw_bar, length_now
from sketcher.drawing.area_picture import Ink
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.photo_layer import FlatPhoto, paint_photo
from sketcher.drawing.picture import Picture, Point2
from sketcher.drawing.readout import columns_of, draw_readout
from sketcher.drawing.sketch import Shown as Extras
from sketcher.drawing.sketch import front_view, view_from_above, world_box, world_box_above
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface
from sketcher.drawing.unclosed_view import cannot_close
from sketcher.window.model.desk import Desk
from sketcher.window.model.drawn_gap import DrawnGaps
from sketcher.window.model.edits import View
from sketcher.window.screen.bracket_overlay import overlay, overlay_shows
from sketcher.window.screen.layers import Layers
from sketcher.window.screen.layout import Layout
from sketcher.window.screen.plotting import Plots
from sketcher.window.screen.position_entry import position_texts
from sketcher.window.screen.steering import draw_steering
from sketcher.window.screen.title_block import draw_title
from sketcher.window.steps.judged import verdict_of


@dataclass(frozen=True, slots=True)
class Seen:
    """A picture on screen and the camera it was painted with."""

    picture: Picture
    camera: Camera


Shows = tuple[object, ...]
# An area beside the front view: its name, what it shows, and how it is painted.
Part = tuple[str, Shows, Callable[[], None]]
_SLOW = ("plots", "above")
# Follow the hand in every frame.
_AT_ONCE = ("readout", "steer", "bar")


class Canvas:
    """Paints the desk on a surface, and knows what was painted where."""

    def __init__(self, surface: pygame.Surface, layout: Layout) -> None:
        self.surface = surface
        self.layout = layout
        self.seen: dict[View, Seen] = {}
        self.plots = Plots(layout)
        self.rows: tuple[Reading, ...] = ()
        self._painted: dict[str, Shows] = {}
        self._kept: dict[str, pygame.Surface] = {}
        self._layers: dict[View, Layers] = {"front": Layers(), "above": Layers()}
        self._seats: dict[str, int] = {}
        self._drawn_gaps = DrawnGaps()

    def forget(self) -> None:
        """Paint everything again, whatever it shows."""
        self._painted.clear()
        self._seats.clear()
        self._layers = {"front": Layers(), "above": Layers()}

    def fit(self, desk: Desk, shown: Shown) -> None:
        """Point the cameras so that both views show everything."""
        if shown.solved is None:
            return
        ride, side = shown.solved.ride, shown.solved.side
        desk.cameras["front"] = self._fitted(desk, shown.solved)
        above = self.layout.above
        desk.cameras["above"] = Camera.fitting(
            world_box_above(desk.scene, ride, side), above.width, above.height,
            left=above.left, top=above.top, ui_scale=self.layout.scale, padding_px=12.0,
        )  # fmt: skip

    def _fitted(self, desk: Desk, solved: Solved) -> Camera:
        """The front camera that shows everything, the view from above covering nothing of it."""
        whole, inset = self.layout.front, self.layout.above
        free = Area(whole.left, whole.top, whole.width, self.layout.title.top - whole.top)
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
        aside = Area(free.left + free.width // 5, free.top, free.width * 4 // 5, free.height)
        for area in (free, aside):
            first = camera(area)
            if not any(room.holds(first.to_screen(point)) for point in points):
                return first
        beside = Area(inset.right, free.top, free.right - inset.right, free.height)
        under = Area(free.left, inset.bottom, free.width, free.bottom - inset.bottom)
        return max((camera(beside), camera(under)), key=lambda one: one.zoom)

    def resize(self, desk: Desk) -> None:
        """Lay the cameras on the areas of this layout."""
        areas: dict[View, Area] = {"front": self.layout.front, "above": self.layout.above}
        for view, area in areas.items():
            desk.cameras[view] = desk.cameras[view].resized(
                area.width, area.height, left=area.left, top=area.top, ui_scale=self.layout.scale
            )

    def paint(
        self,
        desk: Desk,
        shown: Shown,
        pointer: Point2,
        *,
        hurried: bool = False,
        beside: bool = True,
    ) -> None:
        """Paint what has changed.

        ``hurried``, while something is dragged: what the hand moves and its numbers are
        painted in each frame, and the areas beside it take turns, none of them where
        ``beside`` is False.
        """
        if shown.solved is not None:
            self.rows = readings(shown, desk.unit, nearest_gap(shown))
        self._paint_front(desk, shown)
        parts = self._beside(desk, shown)
        waiting = [part for part in parts if self._painted.get(part[0]) != part[1]]
        if hurried:
            waiting = self._now(waiting, beside=beside)
        for name, shows, paint in waiting:
            paint()
            self._painted[name] = shows
        solved = shown.solved
        if solved is not None:
            hover = pointer if self.plots.holds(pointer) else None
            position = (Same(self.plots.still), shown.pose, desk.travel_mm, hover, desk.theme)
            if self._painted.get("position") != position:
                self.plots.paint(self.surface, desk, shown, hover)
                self._painted["position"] = position

    def _now(self, waiting: list[Part], *, beside: bool) -> list[Part]:
        """What of the areas that wait is painted in this frame of a drag.

        What changes seldom goes first: the plots with the sweep, the words with the answer,
        the view from above in every frame.
        """
        at_once = [part for part in waiting if part[0] in _AT_ONCE]
        words = [part for part in waiting if part[0] not in (*_AT_ONCE, *_SLOW)]
        slow = [part for part in waiting if part[0] in _SLOW]
        if beside and slow and slow[0][0] == "plots":
            return [slow[0], *at_once]
        return [*(words or slow if beside else ()), *at_once]

    def _beside(self, desk: Desk, shown: Shown) -> list[Part]:
        """The areas beside the front view: name, what it shows, and how it is painted."""
        solved, camera, document = shown.solved, desk.cameras["front"], desk.document
        common = (desk.unit, desk.theme)
        found = (Same(solved and solved.found), Same(solved and solved.certainty))
        sweep = solved and (solved.sweep, Same(solved.gap_mm))
        typed = position_texts(desk)

        def ink(name: str, draw: Callable[[Ink], Picture]) -> Callable[[], None]:
            return lambda: self._ink(name, desk, draw)

        above = (*self._view_shows(desk, shown), desk.cameras["above"])
        title = (desk.scene.title, document.dirty, document.path, desk.side, camera.scale)
        steer = (desk.steer_deg, desk.steer_range)
        told = verdict_of(desk, shown)
        return [
            ("plots", (sweep, *common), lambda: self.plots.draw(desk, shown)),
            ("above", above, lambda: self._above(desk, shown)),
            (
                "readout",
                (self.rows, tuple(typed.items()), *common),
                ink(
                    "readout",
                    lambda i: draw_readout(i, self.rows, "", typed, columns_of(i.width)),
                ),
            ),
            (
                "answer",
                (found, shown.problem, told, *common),
                ink("answer", lambda i: draw_answer(i, shown, desk.unit, told)),
            ),
            (
                "bar",
                (found, solved and length_now(shown), *common),
                ink("bar", lambda i: draw_bar(i, shown, desk.unit)),
            ),
            ("steer", (steer, *common), ink("steer", lambda i: draw_steering(i, desk))),
            (
                "title",
                (title, *common),
                ink("title", lambda i: draw_title(i, desk, camera, desk.unit)),
            ),
        ]

    def _view_shows(self, desk: Desk, shown: Shown) -> Shows:
        solved = shown.solved
        drawn = solved and (solved.ride, desk.scene, Same(solved.envelope))
        return (shown.pose, shown.gaps, shown.closes, drawn, _lit(desk), desk.unit, desk.theme)

    def _paint_front(self, desk: Desk, shown: Shown) -> None:
        gap = self._drawn_gaps.look(desk, shown)
        over = (gap, *overlay_shows(desk, shown))
        photo = Same(_photo(desk))
        shows = (*self._view_shows(desk, shown), desk.cameras["front"], over, photo)
        if self._painted.get("front") == shows:
            return
        self._painted["front"] = shows
        self._view("front", desk, shown)
        lies_over = overlay(desk, shown, gap)
        if lies_over.primitives:
            camera, held = desk.cameras["front"], ("pencil",)
            paint_surface(self.surface, lies_over, camera, style(desk.theme), lit=held)
        self._frame(self.layout.front, desk)
        # These lie on the front view, or on the sheet around it.
        for name in ("above", "title", "readout"):
            if name in self._kept:
                area: Area = getattr(self.layout, name)
                self.surface.blit(self._kept[name], (area.left, area.top))

    def _above(self, desk: Desk, shown: Shown) -> None:
        area = self.layout.above
        self._view("above", desk, shown)
        self._frame(area, desk)
        self._keep("above", area)

    def _view(self, view: View, desk: Desk, shown: Shown) -> None:
        solved, pose = shown.solved, shown.pose
        camera, front, scene = desk.cameras[view], view == "front", desk.scene
        area = self.layout.front if front else self.layout.above
        photo = _photo(desk) if front else None

        def back() -> None:
            if front:
                self._fill(self.layout.sheet, desk, sheet=True)
            self._fill(area, desk)
            if photo is not None:
                paint_photo(self.surface, photo, camera)

        if solved is None or pose is None:
            back()
            return
        extras = Extras(
            envelope=solved.envelope if front else (),
            gaps=tuple(gap for gap in shown.gaps if gap.bracket < len(scene.brackets)),
            margin_mm=solved.found.margin_mm,
            unit=desk.unit,
            names=front,
            seats=self._seats if front else None,
        )
        if front and not shown.closes:
            as_it_was = (solved.corner.linkage, solved.corner.hub)
            moved = (scene.linkage, scene.hub) != as_it_was
            picture = cannot_close(
                scene, pose, camera, "",
                asked_travel_mm=None if moved else desk.travel_mm,
                drawn=pose_as_drawn(scene.linkage, scene.hub) if moved else None,
                shown=extras,
            )  # fmt: skip
        else:
            draw = front_view if front else view_from_above
            picture = draw(scene, desk.side, pose, solved.ride, camera, extras)
        look = style(desk.theme)
        layers = self._layers[view]
        layers.paint(
            self.surface, area, back, picture, camera, look, lit=_lit(desk), under=Same(photo)
        )
        self.seen[view] = Seen(picture, camera)

    def _ink(self, name: str, desk: Desk, draw: Callable[[Ink], Picture]) -> None:
        area: Area = getattr(self.layout, name)
        ink = Ink(area, self.layout.scale)
        on_paper = name in ("readout", "title")
        self._fill(area, desk, sheet=not on_paper)
        paint_surface(self.surface, draw(ink), ink.camera, style(desk.theme))
        if on_paper:
            self._frame(area, desk)
            self._keep(name, area)

    def _keep(self, name: str, area: Area) -> None:
        rect = pygame.Rect(area.left, area.top, area.width, area.height)
        seen = rect.clip(self.surface.get_rect())
        if seen.width and seen.height:
            self._kept[name] = self.surface.subsurface(seen).copy()

    def _fill(self, area: Area, desk: Desk, *, sheet: bool = False) -> None:
        palette = style(desk.theme).palette
        rect = (area.left, area.top, area.width, area.height)
        self.surface.fill(palette.sheet if sheet else palette.paper, rect)

    def _frame(self, area: Area, desk: Desk) -> None:
        width = max(1, self.layout.px(1.5))
        rect = (area.left, area.top, area.width, area.height)
        pygame.draw.rect(self.surface, style(desk.theme).palette.ink, rect, width)


def _photo(desk: Desk) -> FlatPhoto | None:
    return desk.photo.flat(desk.worker, desk.scene, desk.document.path)


def _lit(desk: Desk) -> tuple[str, ...]:
    return tuple(sorted({desk.selection, desk.hover, desk.lit} - {""}))


def _middle(area: Area) -> Point2:
    return (area.left + area.width / 2, area.top + area.height / 2)
