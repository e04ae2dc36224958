"""The measure list on paper: what to read off the car, to be filled in lying under it.

Before anything is typed, or where it is wanted blank, it has empty boxes; afterwards the
numbers, how far each is off, and what to read again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Frame, PageTemplate

from kinematics.sure.readings import Reading
from scenes.model import Scene, Side
from scenes.readings import MARK
from sketcher.answers.next_reading import PointsAnswer
from sketcher.answers.reading_list import (
    Stop,
    all_readings,
    in_crawl_order,
    letters,
    planned_readings,
    position_travels,
)
from sketcher.drawing.formats import PAPERS_MM, Paper
from sketcher.drawing.page import Drawn
from sketcher.drawing.pdf import REGULAR, register_fonts
from sketcher.drawing.picture import Box, Circle, Line, Picture, Polygon, Polyline, Text, box_of
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.sketch import SketchExtras, front_view, world_box
from sketcher.drawing.style import style
from sketcher.paper.shop_sheet import flow
from sketcher.paper.shop_sheet.blocks import Block, Heading, SheetTable, Words
from sketcher.paper.shop_sheet.drawn import caption, of_side, paper_camera, ride_pose
from sketcher.words import points as words
from sketcher.words.answer import brief
from sketcher.words.plain import sentence, shortened, titled
from sketcher.words.units import MM_PER_INCH, Unit

_MARGIN, _FOOT = 13 * mm, 8 * mm
_DRAWING_MM = 92.0
_LONGEST_TITLE = 90
_DOT_MM = 0.9
CAUTION = (
    "Never work under a car that stands on a jack alone: axle stands, on firm level ground, wheels "
    "chocked. A spring under load can kill: use a proper spring compressor."
)
FRAME = (
    "Car on its wheels at ride height, tyres at road pressure, wheels straight ahead, on a floor "
    "that a level calls level. Snap a chalk line on the floor under the car's centreline; hang a "
    "plumb line that stays where it is: fore is counted from it, forward is plus. "
)
FINENESS: dict[Unit, str] = {
    "mm": "Read to half a millimetre, hook the tape's end nowhere: start at 100 and take 100 off.",
    "in": "Read to 1/64 inch, hook the tape's end nowhere: start at 10 and take 10 off.",
}


def reading_sheet_pdf(
    scene: Scene,
    answer: PointsAnswer,
    side: Side,
    *,
    paper: Paper = "a4",
    blank: bool = False,
    unit: Unit = "mm",
) -> bytes:
    """The sheet of one side, as a PDF; the same scene gives the same bytes.

    ``blank``: boxes for every reading, those that are typed already among them.
    """
    register_fonts()
    page = tuple(length * mm for length in PAPERS_MM[paper])
    width, height = page[0] - 2 * _MARGIN, page[1] - 2 * _MARGIN - _FOOT
    frame = Frame(_MARGIN, _MARGIN + _FOOT, width, height, 0, 0, 0, 0)
    title = shortened(titled(scene.title), _LONGEST_TITLE)
    pages = [PageTemplate("readings", [frame], onPage=partial(_foot, title, page[0]))]
    story: list[Any] = [flow.paragraph(title, flow.TITLE), flow.gap(1.5)]
    fields = (("Date", ""), ("Read by", ""), ("Typed by", ""))
    story += [flow.to_fill_in(fields, width), flow.gap(2)]
    frame_words = Words(f"{FRAME}{FINENESS[unit]}", "tight")
    story += flow.stacked((Words(CAUTION, "caution"), frame_words), width)
    drawn = lettered(scene, side, width / mm, unit)
    if drawn is not None:
        under = Words(caption(drawn, side), "small")
        story += [flow.Painted(drawn), *flow.stacked((under,), width)]
    story += flow.flowing(tuple(_blocks(scene, answer, side, unit, blank=blank)), width)
    return flow.pdf_bytes(story, page, f"Measure list: {title}", pages)


def _foot(title: str, page_width: float, canvas: Any, document: Any) -> None:
    canvas.saveState()
    canvas.setFont(REGULAR, 8.5)
    canvas.drawString(_MARGIN, _MARGIN, f"Measure list: {title}")
    canvas.drawRightString(page_width - _MARGIN, _MARGIN, f"page {document.page}")
    canvas.restoreState()


def lettered(scene: Scene, side: Side, width_mm: float, unit: Unit = "mm") -> Drawn | None:
    """The front view at ride height with a letter at each point; None where it does not close.

    The right side is drawn as it is seen from the front, its outboard end on the left.
    """
    pose = ride_pose(scene.corner(side))
    if pose is None:
        return None
    shown = _seen(scene, side)
    box = world_box(scene, pose, side)
    corners = [(box.left, box.bottom), (box.right, box.top)]
    box = box_of([*corners, *((at[0], at[1]) for at in shown.values())])
    camera = paper_camera(box, width_mm, _DRAWING_MM)
    shown_as = SketchExtras(grid=False, names=False, dimensions=False, unit=unit)
    # Of brackets nothing is read, and their names would stand where marks do.
    bare = replace(scene, brackets=())
    base = front_view(bare, side, pose, pose, camera, shown_as)
    sheet = Sheet(camera, style())
    dot = _DOT_MM / camera.scale
    sheet.add(*(Circle(at[:2], dot, "joint_dot") for at in shown.values()))
    _take(sheet, base)
    for x, y, _ in shown.values():
        sheet.room.take_words(Box(x - dot, y - dot, x + dot, y + dot))
    names = letters(scene)
    for path, at in shown.items():
        sheet.label((at[0], at[1]), names[path], key=path, size="normal")
    # Letters are read through whatever lies beneath them.
    over = (replace(one, backed=True) if isinstance(one, Text) else one for one in sheet.picture)
    return of_side(base + Picture(tuple(over)), camera, side)


def _take(sheet: Sheet, base: Picture) -> None:
    """Keep letters off what is drawn, as far as there is room elsewhere."""
    for item in base:
        match item:
            case Line():
                sheet.room.take_line(item.start, item.end)
            case Polygon() | Polyline():
                sheet.room.take_run(item.points, closed=isinstance(item, Polygon))
            case _:
                pass


def _seen(scene: Scene, side: Side) -> dict[str, tuple[float, float, float]]:
    return {
        path: at
        for path, at in scene.points.items()
        if not path.startswith("shafts.") or path.startswith(f"shafts.{side}.")
    }


def _blocks(
    scene: Scene, answer: PointsAnswer, side: Side, unit: Unit, *, blank: bool
) -> Iterator[Block]:
    paths, names = list(scene.points), letters(scene)
    readings = all_readings(scene) if blank else planned_readings(scene)
    typed = bool(scene.readings) and not blank
    if typed:
        yield Heading("What the readings say")
        settled = answer.settled
        yield Words(words.state_words(settled, paths, unit), "plain" if answer.good else "caution")
        for remark in words.remarks(settled, paths, unit):
            yield Words(sentence(remark), "tight")
    yield Heading("Points, and what to hold the tape to")
    yield SheetTable(
        ("", "point", "hold it to", "roughly at out, up, fore"),
        tuple(
            (
                names[path],
                words.point_words(path, paths),
                words.hold_words(path),
                ", ".join(_roughly(value, unit) for value in at),
            )
            for path, at in scene.points.items()
        ),
        (0.6, 2.2, 6.2, 2.2),
        words=frozenset((0, 1, 2)),
    )
    if not any(path.startswith(MARK) for path in paths):
        yield Words(words.NO_MARKS, "missing")
    first = 1
    for stop in in_crawl_order(readings, position_travels(scene)):
        yield Heading(_heading(stop, unit))
        yield (
            _typed(stop, scene, answer, unit)
            if typed
            else _empty(stop, first, readings, scene, unit)
        )
        first += len(stop.readings)
    if typed and answer.next.get(side):
        yield Heading("Read next")
        yield SheetTable(
            ("what to read", "with", "leaves the length known to", unit),
            tuple(
                (
                    _named(one.reading, scene),
                    words.TAKEN_WITH[one.reading.kind],
                    words.doubt_words(one.half_width, unit),
                    _box(one.reading),
                )
                for one in answer.next[side]
            ),
            (4.0, 3.4, 2.0, 1.4),
            to_write=frozenset((3,)),
            words=frozenset((0, 1)),
        )


def _roughly(mm_: float, unit: Unit) -> str:
    return brief(round(mm_)) if unit == "mm" else f"{mm_ / MM_PER_INCH:.1f}".replace("-", "−")


def _box(reading: Reading) -> str:
    """What stands in a box for the pen: the unit, where it is not that of the column."""
    return "°" if reading.kind == "slope" else ""


def _heading(stop: Stop, unit: Unit) -> str:
    where = f"{stop.where[0].upper()}{stop.where[1:]}"
    held = words.held_words(stop.travel_mm, stop.steer_deg, unit)
    return f"{where}{held}" if held else f"{where}, at ride height"


def _named(reading: Reading, scene: Scene) -> str:
    names, paths = letters(scene), list(scene.points)
    marks = "–".join(names[path] for path in reading.points)
    return f"{marks}: {words.what_words(reading, paths, held=False)}"


def _empty(
    stop: Stop, first: int, readings: tuple[Reading, ...], scene: Scene, unit: Unit
) -> SheetTable:
    listed = enumerate((readings[place] for place in stop.readings), first)
    return SheetTable(
        ("", "what to read", "with", unit, "again"),
        tuple(
            (str(number), _named(one, scene), words.TAKEN_WITH[one.kind], _box(one), _box(one))
            for number, one in listed
        ),
        (0.7, 4.2, 3.6, 1.5, 1.5),
        to_write=frozenset((3, 4)),
        words=frozenset((1, 2)),
    )


def _typed(stop: Stop, scene: Scene, answer: PointsAnswer, unit: Unit) -> SheetTable:
    settled = answer.settled
    rows: list[tuple[str, ...]] = []
    strong = set()
    for place in stop.readings:
        one = settled.readings[place]
        again = ""
        if place == settled.suspicious:
            by = words.off_words(one.reading, one.misread_by, unit)
            again = f"misread by {by}? read it again"
            strong.add(len(rows))
        rows.append(
            (
                str(place + 1),
                _named(one.reading, scene),
                words.value_words(one.reading, unit),
                words.off_words(one.reading, one.residual, unit),
                again,
                _box(one.reading),
            )
        )
    return SheetTable(
        ("", "what was read", "read", "off by", "read again", unit),
        tuple(rows),
        (0.7, 4.2, 1.5, 1.4, 2.4, 1.3),
        strong=frozenset(strong),
        to_write=frozenset((5,)),
        words=frozenset((1, 4)),
    )
