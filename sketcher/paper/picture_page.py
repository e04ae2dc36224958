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

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

from scenes.model import Scene, Side
from sketcher.answers.pose import Pose
from sketcher.drawing.answer_strip import draw_answer, draw_bar
from sketcher.drawing.areas import Area, natural_scale
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.cut_view import cut_camera, cut_view
from sketcher.drawing.formats import ISO_MM, SCALES
from sketcher.drawing.page import Drawn, Page
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Box, Picture, Point2, Polygon, Polyline
from sketcher.drawing.plot_data import column_shown, values_now
from sketcher.drawing.plot_layout import layout as lay_out_plots
from sketcher.drawing.plot_position import position_picture
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.readout import HEAD, ROW, draw_readout
from sketcher.drawing.sketch import SketchExtras as Extras
from sketcher.drawing.sketch import front_view, view_from_above, world_box, world_box_above
from sketcher.paper.picture_subject import PictureSubject
from sketcher.words.answer import brief
from sketcher.words.plain import SEEN_FROM, Refused, titled

What = Literal["sketch", "above", "plots", "cuts", "sheet"]
WHATS: tuple[What, ...] = get_args(What)
Part = Literal["sketch", "above", "plots", "cuts", "readout", "answer", "bar", "block"]
_FILING_MARGIN_MM, _MARGIN_MM = 20.0, 10.0
_PAD, _STRIP, _BLOCK, _VIEW_PADDING = 8, 72, 44, 16.0
# What the views of the car have to show.
_BOXES: Mapping[Part, Callable[[Scene, Pose, Side], Box]] = {
    "sketch": world_box,
    "above": world_box_above,
}


@dataclass(frozen=True, slots=True)
class Setting:
    """How the parts of a page are laid: their places, and the cameras of the views among them.

    ``size``: the page's px.  ``frame``: what the parts share, px.  ``paper``: the sheet's
    name, empty for a page in pixels.
    """

    size: tuple[int, int]
    frame: Area
    places: Mapping[Part, Area]
    cameras: Mapping[Part, Camera]
    ui_scale: float = 1.0
    paper: str = ""

    def at_scale(self, scale: float) -> Setting:
        """The same page with its views at one scale."""
        cameras = {
            part: replace(camera, zoom=scale * camera.pixels_per_paper_mm)
            for part, camera in self.cameras.items()
        }
        return replace(self, cameras=cameras)

    def areas(self, *parts: Part) -> list[Area]:
        """The places of those of some parts that the page has."""
        return [self.places[part] for part in parts if part in self.places]


def pixel_page(subject: PictureSubject, what: What, width: int, height: int) -> Page:
    """The page at a size in px, its views as large as they fit."""
    ui_scale = natural_scale(height)
    frame = Area(0, 0, width, height).inset(round(_PAD * ui_scale))
    setting = _setting(subject, what, (width, height), frame, ui_scale)
    return Page(width, height, tuple(_panels(subject, setting)), ui_scale)


def paper_page(subject: PictureSubject, what: What, scale: float | None = None) -> tuple[Page, str]:
    """The page on an ISO 216 sheet, and its size and scale in words.

    Without a scale the sheet is A4 (A3 for ``sheet``) and the views get the largest
    standard scale that fits it; with one, the smallest sheet that holds them.
    Raises Refused where no sheet does.
    """
    best: tuple[float, Setting] | None = None
    for name, page in _papers(what, any_size=scale is not None):
        size = (page.width, page.height)
        setting = replace(_setting(subject, what, size, _inside_margins(page)), paper=name)
        fits = min((camera.scale for camera in setting.cameras.values()), default=1.0)
        chosen = scale or next((one for one in SCALES if one <= fits), SCALES[-1])
        if chosen <= fits and (best is None or chosen > best[0]):
            best = (chosen, setting)
    if best is None:
        asked = ratio(scale or SCALES[-1])
        raise Refused(f"--scale: expected one at which the drawing fits A0, got {asked}")
    chosen, setting = best
    words = setting.paper if what == "plots" else f"{setting.paper}, scale {ratio(chosen)}"
    # Whole pixels are not whole millimetres, and a sheet's are.
    width, height = (round(px / PIXELS_PER_PAPER_MM) * PIXELS_PER_PAPER_MM for px in setting.size)
    return Page(width, height, tuple(_panels(subject, setting.at_scale(chosen)))), words


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


def _setting(
    subject: PictureSubject, what: What, size: tuple[int, int], frame: Area, ui_scale: float = 1.0
) -> Setting:
    """The parts of a page in its frame, the views as large as they fit."""
    places = _places(subject, what, frame, ui_scale)
    cameras: dict[Part, Camera] = {}
    for part, shown in _BOXES.items():
        if part in places:
            box = shown(subject.scene, subject.solved.ride, subject.side)
            camera = Camera.on(places[part], ui_scale)
            cameras[part] = camera.fitted(box, padding_px=_VIEW_PADDING)
    if "cuts" in places:
        within = places["cuts"].inset(round(_PAD * ui_scale))
        cameras["cuts"] = cut_camera(subject.cut_plan, Camera.on(within, ui_scale))
    return Setting(size, frame, places, cameras, ui_scale)


def _places(
    subject: PictureSubject, what: What, frame: Area, ui_scale: float
) -> Mapping[Part, Area]:
    """Share a frame among the parts of a page."""

    def px(value: float) -> int:
        return round(value * ui_scale)

    block_height = px(_BLOCK)
    if what != "sheet":
        body = Area(frame.left, frame.top, frame.width, frame.height - block_height)
        return {what: body, "block": Area(frame.left, body.bottom, frame.width, block_height)}
    left = min(max(round(frame.width * 0.22), px(280)), px(344))
    right = min(max(round(frame.width * 0.27), px(328)), px(560))
    top = frame.top + px(_STRIP)
    middle = frame.width - left - right
    table = px(HEAD + ROW * len(subject.values))
    front_height = frame.bottom - top - block_height
    return {
        "block": Area(frame.left + left, frame.bottom - block_height, middle, block_height),
        "sketch": Area(frame.left + left, top, middle, front_height),
        "above": Area(frame.left, top, left, frame.bottom - top - table),
        "plots": Area(frame.right - right, top, right, frame.bottom - top),
        "readout": Area(frame.left, frame.bottom - table, left, table),
        "answer": Area(frame.left, frame.top, frame.width - right, px(_STRIP)),
        "bar": Area(frame.right - right, frame.top, right, px(_STRIP)),
    }


def _panels(subject: PictureSubject, setting: Setting) -> Iterator[Drawn]:
    """The parts of a page in the order they are painted, frames on top."""
    size, places, unit = setting.size, setting.places, subject.unit
    whole = Camera(*size, ui_scale=setting.ui_scale).in_pixels()
    strips = setting.areas("answer", "bar", "plots")
    # Printed paper has no surround to be told from.
    grounds = strips if setting.paper else [Area(0, 0, *size), *strips]
    views = setting.areas("sketch", "above", "cuts", "block")
    under = [Polygon(_corners(area, size), "surround") for area in grounds]
    under += [Polygon(_corners(area, size), "panel") for area in views]
    yield Drawn(Picture(tuple(under)), whole)

    for part, camera in setting.cameras.items():
        yield Drawn(_view(subject, part, camera, alone="sketch" not in places), camera)
    if "plots" in places:
        yield _plots(subject, places["plots"], setting.ui_scale)
    view = next(iter(setting.cameras.values()), None)
    panes: dict[Part, Callable[[Pane], Picture]] = {
        "readout": lambda pane: draw_readout(pane, subject.values, subject.position),
        "answer": lambda pane: draw_answer(pane, subject.shown, unit, subject.told),
        "bar": lambda pane: draw_bar(pane, subject.shown, unit, subject.told),
        "block": lambda pane: _title_block(pane, subject, view, setting.paper),
    }
    for part, draw in panes.items():
        if part in places:
            pane = Pane(places[part], setting.ui_scale)
            yield Drawn(draw(pane), pane.camera)

    outlines = [_corners(area, size) for area in (*views, *setting.areas("readout"), setting.frame)]
    frames = (Polyline((*outline, outline[0]), "panel") for outline in outlines)
    yield Drawn(Picture(tuple(frames)), whole)


def _view(subject: PictureSubject, part: Part, camera: Camera, *, alone: bool) -> Picture:
    """A view to scale; that from above has names where it is ``alone``."""
    if part == "cuts":
        return cut_view(subject.cut_plan, camera, subject.unit, sure=subject.told.fits)
    scene, side, solved = subject.scene, subject.side, subject.solved
    extras = Extras(gaps=subject.shown.gaps, margin_mm=solved.found.margin_mm, unit=subject.unit)
    if part == "above":
        extras = replace(extras, names=alone)
        return view_from_above(scene, side, subject.pose, solved.ride, camera, extras)
    extras = replace(extras, envelope=solved.envelope)
    return front_view(scene, side, subject.pose, solved.ride, camera, extras)


def _plots(subject: PictureSubject, area: Area, ui_scale: float) -> Drawn:
    pad = round(_PAD * ui_scale)
    within = Area(area.left, area.top + pad, area.width, area.height - 2 * pad)
    camera = Camera.on(within, ui_scale).in_pixels()
    column = column_shown(subject.solved, subject.unit)
    where = lay_out_plots(column, camera)
    now = values_now(column, subject.shown)
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
    high = size[1]
    return Box(area.left, high - area.bottom, area.right, high - area.top).corners
