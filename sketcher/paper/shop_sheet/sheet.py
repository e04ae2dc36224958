"""The pages of the shop sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Frame, NextPageTemplate, PageBreak, PageTemplate, Table

from kinematics.making.cut_plan import CutPlan
from kinematics.making.fixture import fixture
from kinematics.shaft.whole_motion import Examination
from kinematics.sure.certainty import DRAWS
from scenes.model import Scene, Side
from sketcher.answers.workings import placement_of, workings
from sketcher.drawing.formats import PAPERS_MM, Paper
from sketcher.drawing.page import Drawn
from sketcher.drawing.pdf import BOLD, REGULAR, register_fonts
from sketcher.paper.shop_sheet import answer, checking, flow, making
from sketcher.paper.shop_sheet.blocks import Words
from sketcher.paper.shop_sheet.drawn import (
    caption,
    cuts_of,
    fixture_of,
    plots_of,
    ride_pose,
    sketch_of,
)
from sketcher.paper.shop_sheet.subject import Subject
from sketcher.words.plain import shortened, titled
from sketcher.words.units import Unit

_MARGIN, _HEAD, _FOOT = 13 * mm, 7 * mm, 7 * mm
_LONGEST_TITLE = 160
_CAPTION = 10 * mm
_LEAST_DRAWING, _GOOD_DRAWING, _LARGE_DRAWING = 45 * mm, 76 * mm, 92 * mm
_PLOTS_WIDTH, _STRENGTH_WIDTH, _BESIDE = 62 * mm, 73 * mm, 4 * mm
_LEAST_PLOTS, _TALLEST_PLOTS = 76 * mm, 120 * mm
# What stands beside the table may be so much longer before it goes under it.
_LONGER = 25 * mm


def subjects_of(
    scene: Scene, found: Mapping[Side, Examination], draws: int = DRAWS, unit: Unit = "mm"
) -> tuple[Subject, ...]:
    """Each side that was examined, with all that follows from how it is made."""
    placement = placement_of(scene, next(iter(found.values())).margin_mm) if found else None
    return tuple(
        Subject(scene, side, one, workings(scene, side, one, draws, placement=placement), unit)
        for side, one in found.items()
    )


def pages_pdf(subjects: Sequence[Subject], *, paper: Paper = "a4", date: str = "") -> bytes:
    """The shop sheet of subjects that are worked out already."""
    register_fonts()
    return _Sheet(subjects, paper, date).built()


class _Held(Canvas):  # type: ignore[misc]  # the library is published without types
    """A canvas that keeps its pages open until the last, when it is known how many there are."""

    def __init__(self, closing: Callable[[Any], None], *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._closing = closing
        self._open: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802  # the library's own name
        """Put the page aside."""
        self._open.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Close every page, then the file."""
        for page in self._open:
            self.__dict__.update(page)
            self._closing(self)
            super().showPage()
        super().save()


@dataclass(frozen=True, slots=True)
class _First:
    """The first page, and what of the later ones there was room for."""

    parts: list[Any]
    has_worst: bool
    has_plots: bool


class _Sheet:
    """One run through the pages."""

    def __init__(self, subjects: Sequence[Subject], paper: Paper, date: str) -> None:
        self._pages: dict[Side, int] = {subject.side: 0 for subject in subjects}
        self._subjects, self._date = subjects, date
        self._page = tuple(length * mm for length in PAPERS_MM[paper])
        self._width = self._page[0] - 2 * _MARGIN
        self._height = self._page[1] - 2 * _MARGIN - _HEAD - _FOOT

    def built(self) -> bytes:
        """The whole PDF."""
        title = f"Shop sheet: {' '.join(self._subjects[0].scene.title.split())}"
        story: list[Any] = []
        for subject in self._subjects:
            story += [NextPageTemplate(subject.side), *([PageBreak()] if story else [])]
            story += self._story(subject)
        # The first page's template is the first in the list.
        pages = [self._template(subject) for subject in self._subjects]
        closing = partial(_Held, self._edges)
        return flow.pdf_bytes(story, self._page, title, pages, canvasmaker=closing)

    def _template(self, subject: Subject) -> Any:
        def edges(canvas: Any, _document: Any) -> None:
            self._pages[subject.side] += 1
            canvas.of_subject, canvas.number = subject, self._pages[subject.side]

        frame = Frame(_MARGIN, _MARGIN + _FOOT, self._width, self._height, 0, 0, 0, 0)
        return PageTemplate(subject.side, [frame], onPage=edges)

    def _edges(self, canvas: Any) -> None:
        """What every page says at its edges, so that a single one tells what it belongs to."""
        subject, number, (width, height) = canvas.of_subject, canvas.number, self._page
        shaft = f"{subject.side} shaft"
        canvas.saveState()
        canvas.setLineWidth(0.6)
        foot = _MARGIN + _FOOT - 3 * mm
        canvas.line(_MARGIN, foot, width - _MARGIN, foot)
        canvas.setFont(REGULAR, 8.5)
        where = f"{shaft}, page {number} of {self._pages[subject.side]}"
        canvas.drawRightString(width - _MARGIN, foot - 4 * mm, where)
        room = self._width - stringWidth(where, REGULAR, 8.5) - 8 * mm
        title = shortened(_title(subject.scene), room, lambda part: stringWidth(part, REGULAR, 8.5))
        canvas.drawString(_MARGIN, foot - 4 * mm, title)
        if number > 1:
            top = height - _MARGIN - 4 * mm
            canvas.setFont(BOLD, 11)
            length = _head(subject)
            canvas.drawString(_MARGIN, top, f"{shaft.capitalize()}: {length}")
        canvas.restoreState()

    def _story(self, subject: Subject) -> list[Any]:
        first = self._first(subject)
        plots = not first.has_plots
        worst = [] if first.has_worst else flow.flowing(checking.worst_blocks(subject), self._width)
        if subject.made.plan is None or subject.told.forbids:
            order = flow.flowing(making.cut_order_blocks(subject), self._width)
            swept = self._swept(subject, plots=plots)
            more = (*making.strength_blocks(subject), *checking.trial_blocks(subject))
            known = flow.flowing(more, self._width)
            checks = self._checks(subject)
            return [*first.parts, PageBreak(), *order, *swept, *known, *worst, *checks]
        # What may forbid the first cut, or has to be made for it, stands before it.
        return [
            *first.parts,
            PageBreak(),
            *worst,
            *self._before(subject),
            *self._swept(subject, plots=plots),
            *self._fixture(subject, subject.made.plan),
            PageBreak(),
            flow.Painted(cuts_of(subject, subject.made.plan, self._width / mm)),
            flow.gap(1.0),
            *flow.flowing(making.cut_order_blocks(subject), self._width),
            *flow.flowing(checking.after_blocks(subject), self._width),
        ]

    def _first(self, subject: Subject) -> _First:
        """The first page: the answer, the sketch with the plots beside it, the numbers to cut."""
        above = [
            *self._title_block(subject),
            *flow.stacked(answer.verdict_blocks(subject), self._width),
        ]
        said = (
            *answer.length_blocks(subject),
            *answer.certainty_blocks(subject),
            *answer.placement_blocks(subject),
        )
        below = flow.stacked(said, self._width)
        ride = ride_pose(subject.corner)
        if ride is None:
            return _First([*above, *below], has_worst=False, has_plots=False)
        left = self._height - _CAPTION - flow.height_of([*above, *below], self._width)
        worst = flow.stacked(checking.worst_blocks(subject), self._width)
        tall = flow.height_of(worst, self._width)
        # A whole order of work needs the room on the later pages.
        whole = subject.made.plan is not None and not subject.told.forbids
        has_worst = left - tall > (_GOOD_DRAWING if whole else _LARGE_DRAWING)
        if has_worst:
            left, below = left - tall, [*below, *worst]
        has_plots = left > _GOOD_DRAWING
        wide = self._width - _PLOTS_WIDTH - _BESIDE if has_plots else self._width
        drawn = sketch_of(subject, ride, wide / mm, max(left, _LEAST_DRAWING) / mm)
        sketch = [flow.Painted(drawn), *_caption(subject, drawn, wide)]
        if has_plots:
            high = min(left, _TALLEST_PLOTS)
            plots = flow.Painted(plots_of(subject, _PLOTS_WIDTH / mm, high / mm))
            sketch = [self._side_by_side(sketch, [plots], _PLOTS_WIDTH)]
        return _First([*above, *sketch, *below], has_worst, has_plots)

    def _side_by_side(self, left: list[Any], right: list[Any], right_width: float) -> Any:
        widths = (self._width - _BESIDE - right_width, _BESIDE, right_width)
        both = Table([[left, "", right]], colWidths=widths)
        both.setStyle(flow.bare())
        return both

    def _before(self, subject: Subject) -> list[Any]:
        """What to check before cutting, with strength and trial fit where there is room."""
        before = checking.before_blocks(subject)
        more = (*making.strength_blocks(subject), *checking.trial_blocks(subject))
        wide = self._width - _STRENGTH_WIDTH - _BESIDE
        left, right = flow.stacked(before, wide), flow.stacked(more, _STRENGTH_WIDTH)
        tall = flow.height_of(left, wide)
        if not more or flow.height_of(right, _STRENGTH_WIDTH) > tall + _LONGER:
            return flow.flowing((*before, *more), self._width)
        return [self._side_by_side(left, right, _STRENGTH_WIDTH)]

    def _fixture(self, subject: Subject, plan: CutPlan) -> list[Any]:
        """A page for the welder and the lathe."""
        found = fixture(plan)
        drawn = flow.Painted(fixture_of(subject, plan, found, self._width / mm))
        parts = making.fixture_blocks(found, subject.say, sure=subject.told.fits)
        said = (*parts, *making.lathe_blocks(subject, plan))
        return [PageBreak(), drawn, *flow.flowing(said, self._width)]

    def _checks(self, subject: Subject) -> list[Any]:
        """What to check before cutting and after welding, side by side where that fits a page."""
        before, after = checking.before_blocks(subject), checking.after_blocks(subject)
        # There is more to say after.
        right = 0.57 * (self._width - _BESIDE)
        widths = (self._width - _BESIDE - right, right)
        columns = [flow.stacked(one, w) for one, w in zip((before, after), widths, strict=True)]
        tall = max(flow.height_of(one, w) for one, w in zip(columns, widths, strict=True))
        if not after or tall > self._height:
            return [part for one in (before, after) for part in flow.flowing(one, self._width)]
        return [self._side_by_side(columns[0], columns[1], right)]

    def _title_block(self, subject: Subject) -> list[Any]:
        title = flow.paragraph(_title(subject.scene), flow.TITLE)
        side = flow.paragraph(f"{subject.side.capitalize()} shaft", flow.SIDE)
        table = Table([[title, side]], colWidths=(self._width - 45 * mm, 45 * mm))
        table.setStyle(flow.bare())
        fields = (("Date", " ".join(self._date.split())), ("Made by", ""), ("Checked by", ""))
        return [table, flow.gap(1.5), flow.to_fill_in(fields, self._width), flow.gap(2)]

    def _swept(self, subject: Subject, *, plots: bool) -> list[Any]:
        """The swept-length table, with the plots beside it where the first page has none.

        One under the other where the table is too tall.
        """
        swept = making.swept_blocks(subject)
        if not plots:
            return flow.flowing(swept, self._width)
        wide = self._width - _PLOTS_WIDTH - _BESIDE
        table = flow.stacked(swept, wide)
        tall = max(flow.height_of(table, wide), _LEAST_PLOTS)
        if tall > self._height:
            drawn = flow.Painted(plots_of(subject, self._width / mm, 150.0))
            return [*flow.flowing(swept, self._width), drawn]
        drawn = flow.Painted(plots_of(subject, _PLOTS_WIDTH / mm, tall / mm))
        return [self._side_by_side(table, [drawn], _PLOTS_WIDTH)]


def _title(scene: Scene) -> str:
    return shortened(titled(scene.title), _LONGEST_TITLE)


def _head(subject: Subject) -> str:
    """What the later pages say first, should they lie on the bench alone."""
    told, figure = subject.told, answer.length_figure(subject)
    if told.forbids:
        return "Do not cut"
    numbers = f"{figure.value}, {figure.converted}"
    return numbers if told.fits else f"Not sure enough to cut: {numbers}"


def _caption(subject: Subject, drawn: Drawn, width: float) -> list[Any]:
    ahead = ", wheel straight ahead" if subject.scene.steers else ""
    unit = "mm" if subject.unit == "mm" else "inches"
    words = f"{caption(drawn, subject.side, ahead)} Lengths in {unit}."
    return flow.stacked((Words(words, "small"),), width)
