"""The drawn areas of the window: each is painted again only when what it shows changes."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import pygame

from sketcher.answers.memo import Same
from sketcher.answers.pose import pose_as_drawn
from sketcher.answers.position_values import PositionValue, position_values
from sketcher.answers.shown import Shown, nearest_gap
from sketcher.drawing.answer_strip import draw_answer, draw_bar, length_now
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.page import Drawn
from sketcher.drawing.pane import Pane
from sketcher.drawing.photo_layer import FlatPhoto, draw_pins, paint_photo
from sketcher.drawing.picture import Box, Picture, Point2, View, box_of
from sketcher.drawing.reading_view import ReadingsShown
from sketcher.drawing.readout import columns_of, draw_readout
from sketcher.drawing.sketch import SketchExtras as Extras
from sketcher.drawing.sketch import front_view, view_from_above
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface
from sketcher.drawing.unclosed_view import cannot_close
from sketcher.window.model import reading_edits
from sketcher.window.model.drawn_gap import DrawnGaps
from sketcher.window.model.editor import Editor
from sketcher.window.model.photo_pins import all_pins, plane_shown
from sketcher.window.model.pointing_out import READINGS
from sketcher.window.screen.bracket_overlay import overlay, overlay_shows
from sketcher.window.screen.layers import Layers
from sketcher.window.screen.layout import ScreenLayout
from sketcher.window.screen.panes import draw_steering, draw_title
from sketcher.window.screen.plotting import Plots
from sketcher.window.screen.position_entry import position_texts
from sketcher.window.screen.view_cameras import ride_of
from sketcher.window.steps.judged import verdict_of
from sketcher.window.steps.reading_answers import best_reading, settled_shown

Shows = tuple[object, ...]
# An area beside the front view: its name, what it shows, and how it is painted.
AreaPart = tuple[str, Shows, Callable[[], None]]
_SLOW = ("plots", "above")
# Follow the hand in every frame.
_AT_ONCE = ("readout", "steer", "bar")


class Canvas:
    """Paints the editor on a surface, and knows what was painted where."""

    def __init__(self, surface: pygame.Surface, layout: ScreenLayout) -> None:
        self.surface = surface
        self.layout = layout
        self.seen: dict[View, Drawn] = {}
        self.plots = Plots(layout)
        self.rows: tuple[PositionValue, ...] = ()
        self._painted: dict[str, Shows] = {}
        self._kept: dict[str, pygame.Surface] = {}
        self._layers: dict[View, Layers] = {"front": Layers(), "above": Layers()}
        self._seats: dict[str, int] = {}
        self._drawn_gaps = DrawnGaps()
        self._words = True

    def forget(self) -> None:
        """Paint everything again, whatever it shows."""
        self._painted.clear()
        self._seats.clear()
        self._layers = {"front": Layers(), "above": Layers()}

    def paint(
        self,
        editor: Editor,
        shown: Shown,
        pointer: Point2,
        *,
        hurried: bool = False,
        late: bool = True,
        words: bool = True,
    ) -> None:
        """Paint what has changed.

        ``hurried``, while something is dragged: what the hand moves and its numbers are
        painted in each frame, and the areas round it take turns, none of them where
        ``late`` is False.  ``words``, whether there is time to write on each reading.
        """
        self._words = words
        if shown.solved is not None:
            self.rows = position_values(shown, editor.unit, nearest_gap(shown))
        self._paint_front(editor, shown)
        parts = self._other_areas(editor, shown)
        waiting = [part for part in parts if self._painted.get(part[0]) != part[1]]
        if hurried:
            waiting = self._now(waiting, late=late)
        for name, shows, paint in waiting:
            paint()
            self._painted[name] = shows
        solved = shown.solved
        if solved is not None:
            hover = pointer if self.plots.holds(pointer) else None
            position = (Same(self.plots.still), shown.pose, editor.travel_mm, hover, editor.theme)
            if self._painted.get("position") != position:
                self.plots.paint(self.surface, editor, shown, hover)
                self._painted["position"] = position

    def _now(self, waiting: list[AreaPart], *, late: bool) -> list[AreaPart]:
        """What of the areas that wait is painted in this frame of a drag.

        What changes seldom goes first: the plots with the sweep, the words with the answer,
        the view from above in every frame.
        """
        at_once = [part for part in waiting if part[0] in _AT_ONCE]
        words = [part for part in waiting if part[0] not in (*_AT_ONCE, *_SLOW)]
        slow = [part for part in waiting if part[0] in _SLOW]
        if late and slow and slow[0][0] == "plots":
            return [slow[0], *at_once]
        return [*(words or slow if late else ()), *at_once]

    def _other_areas(self, editor: Editor, shown: Shown) -> list[AreaPart]:
        """The areas round the front view: name, what it shows, and how it is painted."""
        solved, camera, document = shown.solved, editor.cameras["front"], editor.document
        common = (editor.unit, editor.theme)
        found = (Same(solved and solved.found), Same(solved and solved.certainty))
        sweep = solved and (solved.sweep, Same(solved.gap_mm))
        typed = position_texts(editor)

        above = (*self._view_shows(editor, shown), editor.cameras["above"])
        title = (editor.scene.title, document.dirty, document.path, editor.side, camera.scale)
        steer = (editor.steer_deg, editor.scene.steer_range)
        told, unit = verdict_of(editor, shown), editor.unit
        length = solved and length_now(shown)
        panes: dict[str, tuple[Shows, Callable[[Pane], Picture]]] = {
            "readout": (
                (self.rows, tuple(typed.items())),
                lambda i: draw_readout(i, self.rows, "", typed, columns_of(i.width)),
            ),
            "answer": (
                (found, shown.problem, shown.outdated, told),
                lambda i: draw_answer(i, shown, unit, told),
            ),
            "bar": ((found, length, told and told.state), lambda i: draw_bar(i, shown, unit, told)),
            "steer": (steer, lambda i: draw_steering(i, editor)),
            "title": (title, lambda i: draw_title(i, editor, camera, unit)),
        }
        return [
            ("plots", (sweep, *common), lambda: self.plots.draw(editor, shown)),
            ("above", above, lambda: self._above(editor, shown)),
            *(
                (name, (*shows, *common), partial(self._draw_pane, name, editor, draw))
                for name, (shows, draw) in panes.items()
            ),
        ]

    def _view_shows(self, editor: Editor, shown: Shown) -> Shows:
        solved = shown.solved
        drawn = solved and (solved.ride, editor.scene, Same(solved.envelope))
        how = (_lit(editor), editor.unit, editor.theme, self._readings(editor))
        return (shown.pose, shown.gaps, shown.closes, drawn, *how)

    def _readings(self, editor: Editor) -> ReadingsShown | None:
        """Readings and marks, while Measure is open."""
        scene, steps = editor.scene, editor.open_steps
        if "Measure" not in steps or not (scene.readings or scene.marks or READINGS in steps):
            return None
        lit = frozenset(reading_edits.point_at(scene, key) or key for key in _lit(editor))
        return ReadingsShown(settled_shown(editor), best_reading(editor), lit, self._words)

    def _paint_front(self, editor: Editor, shown: Shown) -> None:
        gap = self._drawn_gaps.look(editor, shown)
        over = (gap, *overlay_shows(editor, shown))
        photo = (Same(_photo(editor)), all_pins(editor), "Brackets" in editor.open_steps)
        shows = (*self._view_shows(editor, shown), editor.cameras["front"], over, photo)
        if self._painted.get("front") == shows:
            return
        self._painted["front"] = shows
        self._view("front", editor, shown)
        lies_over = overlay(editor, shown, gap)
        if lies_over.primitives:
            camera, held = editor.cameras["front"], ("open outline",)
            paint_surface(self.surface, lies_over, camera, style(editor.theme), lit=held)
        self._frame(self.layout.front, editor)
        # These lie on the front view, or on the sheet around it.
        for name in ("above", "title", "readout"):
            if name in self._kept:
                self.surface.blit(self._kept[name], getattr(self.layout, name)[:2])

    def _above(self, editor: Editor, shown: Shown) -> None:
        area = self.layout.above
        self._view("above", editor, shown)
        self._frame(area, editor)
        self._keep("above", area)

    def _view(self, view: View, editor: Editor, shown: Shown) -> None:
        solved, pose = shown.solved, shown.pose
        camera, front, scene = editor.cameras[view], view == "front", editor.scene
        area = self.layout.front if front else self.layout.above
        photo = _photo(editor) if front else None

        def back() -> None:
            if front:
                self._fill(self.layout.sheet, editor, sheet=True)
            self._fill(area, editor)
            if photo is not None:
                paint_photo(self.surface, photo, camera)

        if solved is None or pose is None:
            back()
            return
        ride = ride_of(scene, solved)
        if ride is not solved.ride:
            pose = ride
        extras = Extras(
            envelope=solved.envelope if front else (),
            gaps=tuple(gap for gap in shown.gaps if gap.bracket < len(scene.brackets)),
            margin_mm=solved.found.margin_mm,
            unit=editor.unit,
            names=front,
            seats=self._seats if front else None,
            readings=self._readings(editor),
            covered=self._covered(camera) if front else (),
        )
        if front and not shown.closes:
            as_it_was = (solved.corner.linkage, solved.corner.hub)
            moved = (scene.linkage, scene.hub) != as_it_was
            picture = cannot_close(
                scene, pose, camera, "",
                asked_travel_mm=None if moved else editor.travel_mm,
                drawn=pose_as_drawn(scene.linkage, scene.hub) if moved else None,
                shown=extras,
            )  # fmt: skip
        else:
            draw = front_view if front else view_from_above
            picture = draw(scene, editor.side, pose, ride, camera, extras)
        if front and "Brackets" in editor.open_steps:
            picture += _pins(editor)
        look = style(editor.theme, see_through=photo is not None)
        layers = self._layers[view]
        layers.paint(
            self.surface, area, back, picture, camera, look, lit=_lit(editor), under=Same(photo)
        )
        self.seen[view] = Drawn(picture, camera)

    def _covered(self, camera: Camera) -> tuple[Box, ...]:
        """What of the front view the view from above and the title block lie on."""
        return tuple(
            box_of([camera.to_world((a.left, a.top)), camera.to_world((a.right, a.bottom))])
            for a in (self.layout.above, self.layout.title)
        )

    def _draw_pane(self, name: str, editor: Editor, draw: Callable[[Pane], Picture]) -> None:
        area: Area = getattr(self.layout, name)
        pane = Pane(area, self.layout.scale)
        on_paper = name in ("readout", "title")
        self._fill(area, editor, sheet=not on_paper)
        paint_surface(self.surface, draw(pane), pane.camera, style(editor.theme))
        if on_paper:
            self._frame(area, editor)
            self._keep(name, area)

    def _keep(self, name: str, area: Area) -> None:
        seen = pygame.Rect(area).clip(self.surface.get_rect())
        if seen.width and seen.height:
            self._kept[name] = self.surface.subsurface(seen).copy()

    def _fill(self, area: Area, editor: Editor, *, sheet: bool = False) -> None:
        palette = style(editor.theme).palette
        self.surface.fill(palette.sheet if sheet else palette.paper, area)

    def _frame(self, area: Area, editor: Editor) -> None:
        width = max(1, self.layout.px(1.5))
        pygame.draw.rect(self.surface, style(editor.theme).palette.line, area, width)


def _photo(editor: Editor) -> FlatPhoto | None:
    return editor.photo.flat(editor.worker, editor.scene, editor.document.path)


def _pins(editor: Editor) -> Picture:
    shown = plane_shown(editor) if editor.scene.photo is not None else None
    if shown is None:
        return Picture()
    return draw_pins(all_pins(editor), shown[1], editor.cameras["front"])


def _lit(editor: Editor) -> tuple[str, ...]:
    picked: set[str] = set()
    if editor.pointing is not None:
        paths, points = editor.scene.points, editor.pointing.points
        picked = {
            reading_edits.key_of_point(editor.scene, one) if one in paths else one for one in points
        }
    return tuple(sorted({editor.selection, editor.hover, editor.lit, *picked} - {""}))
