"""The pages that the picture command writes: what the window shows, laid out for a file.

A page in pixels fits its views to the size asked for.  A page on paper is an ISO 216
sheet with the margins of ISO 5457, its views at one of the scales of ISO 5455::

    ┌──────────────────────────────────┬───────────┐
    │ the answer                       │ window    │
    ├────────┬─────────────────────────┼───────────┤
    │ above  │                         │  plots    │   sheet; the other pages are
    │        │  sketch                 │  over     │   one of these, framed, with
    │ values │                         │  travel   │   the title block under it
    │        ├─────────────────────────┤           │
    │        │ title block             │           │
    └────────┴─────────────────────────┴───────────┘
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, get_args

from sketcher.answers.position_values import position_values
from sketcher.answers.shown import nearest_gap
from sketcher.drawing.answer_strip import draw_answer, draw_bar
from sketcher.drawing.areas import Area, natural_scale
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.cut_view import cut_camera, cut_view
from sketcher.drawing.formats import ISO_MM, SCALES
from sketcher.drawing.page import Drawn, Page
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Box, Picture, Point2, Polygon, Polyline, Primitive
from sketcher.drawing.plot_data import column_shown, values_now
from sketcher.drawing.plot_layout import layout as lay_out_plots
from sketcher.drawing.plot_position import position_picture
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.readout import HEAD, ROW, draw_readout
from sketcher.drawing.sketch import SketchExtras as Extras
from sketcher.drawing.sketch import front_view, view_from_above
from sketcher.paper.picture_subject import PictureSubject
from sketcher.words.answer import brief
from sketcher.words.plain import SEEN_FROM, Refused, titled

What = Literal["sketch", "above", "plots", "cuts", "sheet"]
WHATS: tuple[What, ...] = get_args(What)
_FILING_MARGIN_MM, _MARGIN_MM = 20.0, 10.0
_PAD, _STRIP, _BLOCK, _VIEW_PADDING = 8, 72, 44, 16.0


@dataclass(frozen=True, slots=True)
class PagePlaces:
    """Where the parts of a page lie, px; None for those that it does not have."""

    frame: Area
    block: Area
    front: Area | None = None
    above: Area | None = None
    plots: Area | None = None
    cuts: Area | None = None
    readout: Area | None = None
    answer: Area | None = None
    bar: Area | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """How the parts of a page are laid: their places, and the views' cameras.

    ``size``: the page's px.  ``paper``: the sheet's name, empty for a page in pixels.
    """

    size: tuple[int, int]
    places: PagePlaces
    ui_scale: float
    front: Camera | None
    above: Camera | None
    cuts: Camera | None = None
    paper: str = ""

    @property
    def views(self) -> tuple[Camera, ...]:
        """The cameras that there are."""
        return tuple(camera for camera in (self.front, self.above, self.cuts) if camera is not None)

    def at_scale(self, scale: float) -> Setting:
        """The same page with its views at one scale."""
        front, above, cuts = (
            camera and replace(camera, zoom=scale * camera.pixels_per_paper_mm)
            for camera in (self.front, self.above, self.cuts)
        )
        return replace(self, front=front, above=above, cuts=cuts)


def pixel_page(subject: PictureSubject, what: What, width: int, height: int) -> Page:
    """The page at a size in px, its views as large as they fit."""
    ui_scale = natural_scale(height)
    frame = Area(0, 0, width, height).inset(round(_PAD * ui_scale))
    setting = _fitted(subject, (width, height), _places(subject, what, frame, ui_scale), ui_scale)
    return Page(width, height, tuple(_panels(subject, setting)), ui_scale)


def paper_page(subject: PictureSubject, what: What, scale: float | None = None) -> tuple[Page, str]:
    """The page on an ISO 216 sheet, and its size and scale in words.

    Without a scale the sheet is A4 (A3 for ``sheet``) and the views get the largest
    standard scale that fits it; with one, the smallest sheet that holds them.
    Raises Refused where no sheet does.
    """
    best: tuple[float, Setting] | None = None
    for name, page in _papers(what, any_size=scale is not None):
        places = _places(subject, what, _inside_margins(page), 1.0)
        size = (page.width, page.height)
        setting = replace(_fitted(subject, size, places, 1.0), paper=name)
        fits = min((camera.scale for camera in setting.views), default=1.0)
        chosen = scale or next((one for one in SCALES if one <= fits), SCALES[-1])
        if chosen <= fits and (best is None or chosen > best[0]):
            best = (chosen, setting)
    if best is None:
        asked = ratio(scale or SCALES[-1])
        raise Refused(f"--scale: expected one at which the drawing fits A0, got {asked}")
    chosen, setting = best
    setting = setting.at_scale(chosen)
    words = setting.paper if what == "plots" else f"{setting.paper}, scale {ratio(chosen)}"
    # Whole pixels are not whole millimetres, and a sheet's are.
    width, height = (round(px / PIXELS_PER_PAPER_MM) * PIXELS_PER_PAPER_MM for px in setting.size)
    return Page(width, height, tuple(_panels(subject, setting))), words


def ratio(scale: float) -> str:
    """A scale as ISO 5455 writes it: ``1 : 5``; one between the standard ones to a tenth."""
    return f"1 : {brief(round(1 / scale, 1))}" if scale <= 1.0 else f"{brief(scale)} : 1"


def _papers(what: What, *, any_size: bool) -> Iterator[tuple[str, Area]]:
    """The sheets to try, the smallest first, upright before lying."""
    names = tuple(ISO_MM)
    first = names.index("A3") if what == "sheet" else 0
    for name in names[first : None if any_size else first + 1]:
        short, long = (round(mm * PIXELS_PER_PAPER_MM) for mm in ISO_MM[name])
        if what != "sheet":
            yield name, Area(0, 0, short, long)
        if what != "plots":
            yield name, Area(0, 0, long, short)


def _inside_margins(page: Area) -> Area:
    left, other = (round(mm * PIXELS_PER_PAPER_MM) for mm in (_FILING_MARGIN_MM, _MARGIN_MM))
    return Area(left, other, page.width - left - other, page.height - 2 * other)


def _fitted(
    subject: PictureSubject, size: tuple[int, int], places: PagePlaces, ui_scale: float
) -> Setting:
    def camera(box: Box, area: Area | None) -> Camera | None:
        if area is None:
            return None
        return Camera.on(area, ui_scale).fitted(box, padding_px=_VIEW_PADDING)

    front = camera(subject.front_box, places.front)
    above = camera(subject.above_box, places.above)
    cuts, area = None, places.cuts
    if area is not None:
        within = area.inset(round(_PAD * ui_scale))
        cuts = cut_camera(subject.cut_plan, Camera.on(within, ui_scale))
    return Setting(size, places, ui_scale, front, above, cuts)


def _places(subject: PictureSubject, what: What, frame: Area, ui_scale: float) -> PagePlaces:
    """Share a frame among the parts of a page."""

    def px(value: float) -> int:
        return round(value * ui_scale)

    block_height = px(_BLOCK)
    body = Area(frame.left, frame.top, frame.width, frame.height - block_height)
    block = Area(frame.left, body.bottom, frame.width, block_height)
    match what:
        case "sketch":
            return PagePlaces(frame, block, front=body)
        case "above":
            return PagePlaces(frame, block, above=body)
        case "plots":
            return PagePlaces(frame, block, plots=body)
        case "cuts":
            return PagePlaces(frame, block, cuts=body)
    left = min(max(round(frame.width * 0.22), px(280)), px(344))
    right = min(max(round(frame.width * 0.27), px(328)), px(560))
    top = frame.top + px(_STRIP)
    middle = frame.width - left - right
    rows = len(position_values(subject.shown, subject.unit, nearest_gap(subject.shown)))
    table = px(HEAD + ROW * rows)
    front_height = frame.bottom - top - block_height
    return PagePlaces(
        frame,
        block=Area(frame.left + left, frame.bottom - block_height, middle, block_height),
        front=Area(frame.left + left, top, middle, front_height),
        above=Area(frame.left, top, left, frame.bottom - top - table),
        plots=Area(frame.right - right, top, right, frame.bottom - top),
        readout=Area(frame.left, frame.bottom - table, left, table),
        answer=Area(frame.left, frame.top, frame.width - right, px(_STRIP)),
        bar=Area(frame.right - right, frame.top, right, px(_STRIP)),
    )


def _panels(subject: PictureSubject, setting: Setting) -> Iterator[Drawn]:
    """The parts of a page in the order they are painted, frames on top."""
    shown, solved = subject.shown, subject.solved
    places, size, ui_scale = setting.places, setting.size, setting.ui_scale
    front, above = setting.front, setting.above
    whole = Camera(*size, ui_scale=ui_scale).in_pixels()
    strips = [a for a in (places.answer, places.bar, places.plots) if a is not None]
    # Printed paper has no surround to be told from.
    grounds = strips if setting.paper else [Area(0, 0, *size), *strips]
    under: list[Primitive] = [Polygon(_corners(area, size), "surround") for area in grounds]
    views = [a for a in (places.front, places.above, places.cuts, places.block) if a]
    under += [Polygon(_corners(area, size), "panel") for area in views]
    yield Drawn(Picture(tuple(under)), whole)

    extras = Extras(
        envelope=solved.envelope,
        gaps=shown.gaps,
        margin_mm=solved.found.margin_mm,
        unit=subject.unit,
    )
    scene, side, ride = subject.scene, subject.side, solved.ride
    if front is not None:
        yield Drawn(front_view(scene, side, subject.pose, ride, front, extras), front)
    if above is not None:
        aside = replace(extras, envelope=(), names=front is None)
        yield Drawn(view_from_above(scene, side, subject.pose, ride, above, aside), above)
    if setting.cuts is not None:
        yield Drawn(
            cut_view(subject.cut_plan, setting.cuts, subject.unit, sure=subject.told.fits),
            setting.cuts,
        )
    if places.plots is not None:
        yield _plots(subject, places.plots, ui_scale)
    if places.readout is not None:
        pane = Pane(places.readout, ui_scale)
        rows = position_values(shown, subject.unit, nearest_gap(shown))
        yield Drawn(draw_readout(pane, rows, subject.position), pane.camera)
    if places.answer is not None:
        pane = Pane(places.answer, ui_scale)
        yield Drawn(draw_answer(pane, shown, subject.unit, subject.told), pane.camera)
    if places.bar is not None:
        pane = Pane(places.bar, ui_scale)
        yield Drawn(draw_bar(pane, shown, subject.unit, subject.told), pane.camera)
    pane = Pane(places.block, ui_scale)
    yield Drawn(
        _title_block(pane, subject, front or above or setting.cuts, setting.paper), pane.camera
    )

    boxes = [*views, *(a for a in (places.readout,) if a is not None), places.frame]
    outlines = [_corners(area, size) for area in boxes]
    frames = (Polyline((*outline, outline[0]), "panel") for outline in outlines)
    yield Drawn(Picture(tuple(frames)), whole)


def _plots(subject: PictureSubject, area: Area, ui_scale: float) -> Drawn:
    pad = round(_PAD * ui_scale)
    within = Area(area.left, area.top + pad, area.width, area.height - 2 * pad)
    camera = Camera.on(within, ui_scale).in_pixels()
    column = column_shown(subject.solved, subject.unit)
    where = lay_out_plots(column, camera)
    now = values_now(column, subject.shown, subject.unit)
    picture = plots_picture(column, where) + position_picture(column, where, subject.travel_mm, now)
    return Drawn(picture, camera)


def _title_block(pane: Pane, subject: PictureSubject, view: Camera | None, paper: str) -> Picture:
    """What is drawn, from which side, where the wheel is, and how large."""
    right, middle = 92.0, pane.height / 2
    pane.line(pane.width - right, 0, pane.width - right, pane.height, "note")
    pane.line(0, middle, pane.width, middle, "note")
    within = pane.width - right - 16
    pane.text(8, middle / 2, titled(subject.scene.title), "label_strong", within=within)
    at = subject.position
    words = f"{SEEN_FROM[subject.side]}; {at[0].lower()}{at[1:]}"
    pane.text(8, middle * 1.5, words, "label", size="small", within=within)
    column = pane.width - right + 8
    scale = "" if view is None else f"scale {ratio(view.scale)}"
    unit = "mm" if subject.unit == "mm" else "inches"
    sheet = f"{paper}, {unit}" if paper else unit
    pane.text(column, middle / 2, scale, "note", size="small", within=right - 12)
    pane.text(column, middle * 1.5, sheet, "note", size="small", within=right - 12)
    return pane.picture


def _corners(area: Area, size: tuple[int, int]) -> tuple[Point2, ...]:
    """An area's corners on the whole page, upwards."""
    left, right, height = area.left, area.right, size[1]
    top, bottom = height - area.top, height - area.bottom
    return ((left, bottom), (right, bottom), (right, top), (left, top))
