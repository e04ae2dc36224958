"""One donor of the drawing of the cuts: joint, bar, what is marked on it and what is left on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kinematics.making.cut_plan import Cut, CutPlan
from kinematics.making.donors import ENDS, End, Stretch
from sketcher.drawing.dimensions import FIRST_OVER, FIRST_UNDER, PITCH, Span, spans
from sketcher.drawing.picture import (
    Circle,
    Horizontal,
    Line,
    Lines,
    Point2,
    Polygon,
    Polyline,
    Role,
    Text,
)
from sketcher.drawing.shapes import disc, hatching, hull, torn
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.splice_view import length_words, size_words
from sketcher.words.cautions import NOT_SURE
from sketcher.words.plain import shortened

# Mm of the offcut that are shown.
_SHOWN_BEYOND = 34.0


@dataclass(frozen=True, slots=True)
class DonorBar:
    """One donor on the sheet: where its joint's centre lies, and which way the bar runs."""

    cut: Cut
    x: float
    y: float
    way: float

    def at(self, own_mm: float) -> float:
        """Where a distance from the joint's centre lies across the sheet."""
        return self.x + self.way * own_mm

    def box(self, from_mm: float, to_mm: float, half: float) -> tuple[Point2, ...]:
        """A piece of the bar."""
        a, b = self.at(from_mm), self.at(to_mm)
        return ((a, self.y + half), (b, self.y + half), (b, self.y - half), (a, self.y - half))


def shown_to(cut: Cut) -> float:
    """How far of a donor is drawn; the rest is broken off."""
    return min(cut.donor.stretches[-1].to, cut.first_cut_mm + _SHOWN_BEYOND)


def half_drawn(stretch: Stretch) -> float:
    """Half the diameter that a stretch is drawn with: a groove's bottom, a spline's top."""
    return 0.5 * (stretch.carrying_mm if stretch.kind == "groove" else stretch.diameter)


def joint_radius(plan: CutPlan) -> float:
    """Half the height of a joint's symbol: nothing is known of the joints' own size."""
    return 0.85 * max(plan.cut(end).donor.stretches[0].diameter for end in ENDS)


def from_datum(plan: CutPlan, end: End) -> Iterator[tuple[float, str]]:
    """What is marked on a donor, from its joint's centre, with its word."""
    cut = plan.cut(end)
    if cut.turned_from_mm is not None:
        yield cut.turned_from_mm, "turn from"
    if cut.trim_mm > 0.0:
        yield cut.cut_mm, "finished"
    yield cut.first_cut_mm, "saw"


def from_joint(plan: CutPlan, end: End) -> Iterator[tuple[float, str]]:
    """The cuts of a donor again, which are measured from its joint's centre too."""
    yield from (one for one in from_datum(plan, end) if one[1] != "turn from")


def draw_donor(
    sheet: Sheet, plan: CutPlan, bar: DonorBar, top: float, until_x: float, spare: float
) -> None:
    """One donor as it is, with what is cut, left on and thrown away.

    Its title stands at ``top``, and reaches no further across than ``until_x``; one that needs
    it begins up to ``spare`` further out.
    """
    cut, donor, paper = bar.cut, bar.cut.donor, sheet.camera.paper
    shown = shown_to(cut)
    goes_on = shown < donor.stretches[-1].to - 1e-6
    _draw_joint(sheet, plan, bar)
    for stretch in donor.stretches:
        for low, high, kept in (
            (stretch.from_, min(stretch.to, cut.first_cut_mm), True),
            (max(stretch.from_, cut.first_cut_mm), min(stretch.to, shown), False),
        ):
            if high <= low:
                continue
            half = half_drawn(stretch)
            outline = bar.box(low, high, half)
            if not kept and high == shown and goes_on:
                start = outline[0][0]
                end = torn(bar.at(high), bar.y + half, bar.y - half, paper(0.7))
                outline = ((start, bar.y + half), *end, (start, bar.y - half))
            sheet.add(Polygon(outline, "shaft" if kept else "ghost"))
            if stretch.kind == "spline":
                lines = [half * part for part in (-0.6, -0.2, 0.2, 0.6)]
                sheet.add(Lines(tuple(((outline[0][0], bar.y + y), (outline[1][0], bar.y + y))
                                      for y in lines), "tick"))  # fmt: skip
    half = 0.5 * max(one.diameter for one in donor.between(cut.face_mm - 1.0, shown))
    if cut.trim_mm > 0.0:
        left_on = bar.box(cut.cut_mm, cut.first_cut_mm, half)
        sheet.add(Lines(hatching(left_on, paper(0.6)), "bracket_hatching"))
        sheet.add(Polyline((left_on[0], left_on[3]), "shaft_edge"))
    sheet.add(Line((bar.at(donor.stretches[0].from_ - 3.0), bar.y),
                   (bar.at(shown + 6.0), bar.y), "axis"))  # fmt: skip
    saw, over = bar.at(cut.first_cut_mm), half + paper(2.2)
    sheet.add(Line((saw, bar.y + over), (saw, bar.y - over), "cut"))
    if donor.usable_to < shown:
        sheet.add(
            Lines(hatching(bar.box(donor.usable_to, shown, half), paper(1.6), -45.0), "faint")
        )
    _donor_dimensions(sheet, plan, bar, half)
    _donor_title(sheet, plan, bar, top, until_x, spare)


def _donor_dimensions(sheet: Sheet, plan: CutPlan, bar: DonorBar, half: float) -> None:
    cut, paper, radius = bar.cut, sheet.camera.paper, joint_radius(plan)
    datum = cut.donor.datum.at
    over = bar.y + radius
    mark = paper(2.6)
    tip = bar.y + _half_at(cut, datum, radius)
    sheet.add(
        Polygon(((bar.at(datum), tip), (bar.at(datum) - mark * 0.5, tip + mark * 0.87),
                 (bar.at(datum) + mark * 0.5, tip + mark * 0.87)), "dimension")
    )  # fmt: skip
    marked = [
        Span(bar.at(datum), bar.at(at), at - datum, word) for at, word in from_datum(plan, cut.end)
    ]
    from_y = (tip + mark * 0.87, bar.y + half)
    # Beyond the cut the lines of the longer ones would strike through a value.
    edge = sheet.camera.box.left if bar.way > 0.0 else sheet.camera.box.right
    free_to_x = edge if min(one.mm for one in marked) > 0.0 else None
    spans(sheet, marked, from_y, over + paper(FIRST_OVER), paper(PITCH), free_to_x)
    centred = [Span(bar.at(0.0), bar.at(at), at, word) for at, word in from_joint(plan, cut.end)]
    under = bar.y - radius - paper(FIRST_UNDER)
    spans(sheet, centred, (bar.y, bar.y - half), under, -paper(PITCH))


def _half_at(cut: Cut, own_mm: float, radius: float) -> float:
    """Half the height of what is drawn at a distance from the joint's centre."""
    there = [one.diameter / 2 for one in cut.donor.between(own_mm - 0.01, own_mm + 0.01)]
    return max([*there, radius if own_mm < 0.6 * radius else 0.0])


def _donor_title(
    sheet: Sheet, plan: CutPlan, bar: DonorBar, top: float, until_x: float, spare: float
) -> None:
    cut, camera = bar.cut, sheet.camera
    left = bar.way > 0.0
    x = bar.x - bar.way * 1.3 * joint_radius(plan)
    room = abs(until_x - x) - camera.paper(1.0)
    strong = f"{cut.end.capitalize()} donor"
    if not cut.donor.cut_twice:
        strong += "; cannot be cut twice"
    if cut.trim_mm > 0.0:
        strong += f"; {length_words(cut.trim_mm, sheet.unit)} trim stays on"
    words = f'datum "{" ".join(cut.donor.datum.name.split())}"'
    if cut.turned_from_mm is not None:
        # First, so that a datum of many words does not cut it off.
        words = f"turned to {size_words(plan.diameter_mm, sheet.unit)}; {words}"
    lines: tuple[tuple[float, str, Role], ...] = (
        (1.2, strong, "label_strong"),
        (5.4, words, "note"),
    )
    for down, text, role in lines:
        wide = sheet.room.measure(text, role, "small")[0]
        out = min(max(wide - room, 0.0), spare)
        at: Point2 = (x - bar.way * out, top - camera.paper(down))
        hand: Horizontal = "left" if left else "right"
        shown = _held(sheet, text, role, room + out)
        sheet.add(Text(at, shown, role, "", hand, "top", size="small"))


def _held(sheet: Sheet, text: str, role: Role, room: float) -> str:
    """A text cut off where its room, world mm, ends."""
    return shortened(text, room, lambda part: sheet.room.measure(part, role, "small")[0])


def draw_half(sheet: Sheet, plan: CutPlan, bar: DonorBar) -> None:
    """What is left of one donor with its joint, turned where it is to be turned."""
    _draw_joint(sheet, plan, bar)
    cut = bar.cut
    turned = cut.face_mm if cut.turned_from_mm is None else cut.turned_from_mm
    for stretch in cut.donor.stretches:
        for low, high, half in (
            (stretch.from_, min(stretch.to, turned), half_drawn(stretch)),
            (max(stretch.from_, turned), min(stretch.to, cut.face_mm), 0.5 * plan.diameter_mm),
        ):
            if high > low:
                sheet.add(Polygon(bar.box(low, high, half), "shaft"))


def _draw_joint(sheet: Sheet, plan: CutPlan, bar: DonorBar) -> None:
    """A joint's symbol with its centre marked: a cup at the gearbox, a bell at the hub."""
    first, radius = bar.cut.donor.stretches[0], joint_radius(plan)
    sheet.add(Polygon(bar.box(-1.3 * radius, 0.0, 0.42 * radius), "outer_joint"))
    if bar.cut.end == "gearbox":
        sheet.add(Polygon(bar.box(-radius, 0.7 * radius, radius), "outer_joint"))
        sheet.add(Polygon(bar.box(-0.6 * radius, 0.7 * radius, 0.72 * radius), "bore"))
    else:
        centre = (bar.x, bar.y)
        back = (bar.at(-0.4 * radius), bar.y)
        sheet.add(Polygon(hull([*disc(centre, radius), *disc(back, 0.62 * radius)]), "outer_joint"))
    sheet.add(Polygon(bar.box(0.0, first.from_, 0.5 * first.diameter), "shaft"))
    mark, small = sheet.camera.paper(2.6), sheet.camera.paper(1.2)
    sheet.add(
        Circle((bar.x, bar.y), small, "joint"),
        Line((bar.x - mark, bar.y), (bar.x + mark, bar.y), "cross"),
        Line((bar.x, bar.y - mark), (bar.x, bar.y + mark), "cross"),
    )


def draw_across(sheet: Sheet) -> None:
    """What nobody who cuts or welds by the drawing reads past."""
    box = sheet.camera.box
    sheet.add(
        Line((box.left, box.bottom), (box.right, box.top), "cut"),
        Text(
            box.centre, NOT_SURE, "note_past", horizontal="centre", vertical="middle",
            size="large", backed=True,
        ),
    )  # fmt: skip
