"""Readings in the sketch: thin dimension lines with what each is off by, and doubts as ellipses.

A reading is drawn where the wheel is held as it was when the reading was taken; what is on
the body alone is always there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import median

from kinematics.parts import Point
from kinematics.sure.readings import Reading
from kinematics.sure.settling import CheckedReading, Ellipse, Settled, SettledPoint
from scenes.model import Scene
from scenes.readings import MARK
from sketcher.answers.pose import Pose
from sketcher.answers.reading_list import letters
from sketcher.drawing.picture import Box, Circle, Handle, Line, Lines, Point2, Polygon, Role, Text
from sketcher.drawing.shapes import along, arrowhead, between, cross, disc, pointing, unit
from sketcher.drawing.sheet import Sheet
from sketcher.words.points import off_words, short_residual, value_words

# Ellipses are made larger by the least of these that shows them, and by no more than the last.
FACTORS = (1, 2, 5, 10, 20, 50, 100)
_SEEN_MM, _TOO_LARGE_MM = 1.6, 24.0
_STUB_MM, _ARROW_MM, _MARK_MM = 8.0, 1.8, 1.3
_SIDES = 48
# Words cover no more than this part of a line, and stand at these; so far off from points.
_PART_FOR_WORDS = 0.6
_PARTS = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)
_CLEAR_MM = 0.8
# Words that would hide more of the drawing than this stay away until they are asked for.
_MOST_COVERED = 0.6
# The weight of words that were asked for.
_ASKED_FOR = math.inf
# What is said at an ellipse that is too large to be made larger.
_NOT_FIXED = {"front": "not fixed, true size", "above": "not fixed"}
# Near enough to where the wheel was held, mm and degrees.
_HELD = 0.6
_ON_BODY = ("arm_pivot", "lower_pivot", "upper_pivot", "strut_top")
# The view's own axes, and what a single reading is drawn along in it: towards where it is from.
_TOWARDS = {
    "front": {"up": (0.0, -1.0), "out": (-1.0, 0.0), "across": (-1.0, 0.0)},
    "above": {"fore": (0.0, -1.0), "out": (-1.0, 0.0), "across": (-1.0, 0.0)},
}
_NOT_FROM_ABOVE = ("rise", "slope")


@dataclass(frozen=True, slots=True, eq=False)
class ReadingsShown:
    """What of the readings a view shows.

    ``next`` is what to read next; ``lit`` are keys of lit things; ``words``, whether there is
    time to write on each.
    """

    settled: Settled | None
    next: Reading | None = None
    lit: frozenset[str] = frozenset()
    words: bool = True


def draw_readings(sheet: Sheet, scene: Scene, pose: Pose, shown: ReadingsShown) -> ReadingWords:
    """Readings, marks, ellipses, and what to read next; the words on readings come last of all."""
    places = _PointPlaces(scene, pose)
    settled = shown.settled
    if settled is not None:
        _draw_ellipses(sheet, settled, places)
    checked = settled.readings if settled is not None else ()
    suspicious = settled.suspicious if settled is not None else None
    words = ReadingWords(sheet, [sheet.flat(places.of(path)) for path in scene.points])
    for number, reading in enumerate(scene.readings):
        told = checked[number] if number < len(checked) else None
        if told is not None and told.reading != reading:
            told = None
        line = _Drawn(
            f"reading[{number}]", reading, told, number == suspicious and told is not None
        )
        if places.here(reading):
            _draw_reading(sheet, line, places, shown, words)
    if shown.next is not None and shown.words:
        _draw_next(sheet, shown.next, places)
    _draw_marks(sheet, scene)
    return words


@dataclass(frozen=True, slots=True, eq=False)
class _PointPlaces:
    """Where points are in the pose."""

    scene: Scene
    pose: Pose

    def of(self, path: str) -> Point:
        return self.pose.points.get(path) or self.scene.points[path]

    def here(self, reading: Reading) -> bool:
        """Whether the wheel is held as it was for a reading."""
        held = self.held_at(reading.travel, reading.steer)
        return held or all(on_body(path) for path in reading.points)

    def held_at(self, travel_mm: float, steer_deg: float) -> bool:
        pose = self.pose
        near = abs(pose.travel_mm - travel_mm) < _HELD
        return near and abs(pose.steer_deg - steer_deg) < _HELD

    @property
    def as_drawn(self) -> bool:
        """Whether the pose is the one that the scene draws."""
        return self.held_at(0.0, 0.0)


def on_body(path: str) -> bool:
    """Whether a point stays where it is while the wheel moves."""
    fixed = path.startswith((MARK, "shafts.", "linkage.position"))
    return fixed or path.rpartition(".")[2] in _ON_BODY


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """A reading to be drawn: its key, what is told of it, whether it seems misread."""

    key: str
    reading: Reading
    told: CheckedReading | None
    suspicious: bool


class ReadingWords:
    """Words on lines, each where there is room for it, and all of them over the lines."""

    def __init__(self, sheet: Sheet, points: list[Point2]) -> None:
        self._sheet = sheet
        self._points = points
        self._wanted: list[tuple[float, list[Text]]] = []

    def tell(self, text: Text, places: list[Point2]) -> None:
        """Write words that have to be there, at the best of some places."""
        tried = _at(text, places)
        self._sheet.write(self._best(tried) or tried[0])

    def want(self, text: Text, places: list[Point2], weight: float) -> None:
        """Ask for words at the best of some places; the larger the weight the earlier."""
        self._wanted.append((weight, _at(text, places)))

    def write(self) -> None:
        """Write what there is room for, once everything else is written."""
        room = self._sheet.room
        for weight, tried in sorted(self._wanted, key=lambda one: -one[0]):
            most = _MOST_COVERED if weight < _ASKED_FOR else math.inf
            found = self._best(tried)
            if found is not None and room.lines_under(room.box(found)) <= most:
                self._sheet.write(found)

    def _best(self, tried: list[Text]) -> Text | None:
        """The one that covers the least of the drawing; None where words or a point are."""
        room = self._sheet.room
        free = (one for one in tried if self._free(room.box(one)))
        # Of alike ones the first, which is nearest to its line.
        return min(free, key=lambda one: round(room.lines_under(room.box(one)), 1), default=None)

    def _free(self, box: Box) -> bool:
        """Whether words there are seen whole, and cover no others and no point."""
        room, about = self._sheet.room, box.grown(self._sheet.camera.paper(_CLEAR_MM))
        if room.written_on(box) or not room.in_view(box):
            return False
        return not any(about.holds(point) for point in self._points)


def _draw_reading(
    sheet: Sheet, drawn: _Drawn, places: _PointPlaces, shown: ReadingsShown, words: ReadingWords
) -> None:
    reading, key = drawn.reading, drawn.key
    lit = key in shown.lit or bool(set(reading.points) & shown.lit)
    ends = _ends(sheet, reading, places, whole=lit)
    if ends is None:
        return
    a, b = ends
    role: Role = "dimension_past" if drawn.suspicious else "reading_lit" if lit else "reading"
    arrow = sheet.camera.paper(_ARROW_MM)
    sheet.add(Line(a, b, role, key))
    if math.dist(a, b) > 2.6 * arrow:
        sheet.add(Polygon(arrowhead(b, unit(a, b), arrow), role, key))
        if len(reading.points) == 2:
            sheet.add(Polygon(arrowhead(a, unit(b, a), arrow), role, key))
    text = _text(sheet, drawn, shown, lit=lit)
    if not text or not shown.words:
        return
    said: Role = "label_past" if drawn.suspicious else "here_word" if lit else "label"
    laid = Text(a, text, said, key, size="small")
    spots = _beyond(sheet, a, b, laid) if len(reading.points) == 1 else []
    if lit or not spots:
        spots += _along(sheet, a, b, laid, rows=3 if lit else 1)
    if key in shown.lit or drawn.suspicious:
        words.tell(laid, spots)
    elif lit:
        words.want(laid, spots, _ASKED_FOR)
    elif drawn.told is not None and drawn.told.checked:
        words.want(laid, spots, drawn.told.standardised)


def _at(text: Text, places: list[Point2]) -> list[Text]:
    return [
        replace(text, at=place, horizontal="centre", vertical="middle", backed=True)
        for place in places
    ]


def _along(sheet: Sheet, a: Point2, b: Point2, text: Text, rows: int = 1) -> list[Point2]:
    """Where on the line of a reading its words may stand, so that it is still seen to lead on.

    Beside it they may be up to ``rows`` of them away.
    """
    width, height = sheet.room.measure(text.text, text.role, "small")
    x, y = unit(a, b)
    # What of the line they cover, along it.
    covered = min(width / max(abs(x), 1e-9), height / max(abs(y), 1e-9))
    on_it = covered < _PART_FOR_WORDS * math.dist(a, b)
    aside = sheet.camera.paper(_CLEAR_MM) + 0.5 * (abs(y) * width + abs(x) * height)
    on_line = [between(a, b, part) for part in _PARTS]
    beside = [
        along(at, way, row * aside)
        for row in range(1, rows + 1)
        for at in on_line
        for way in ((-y, x), (y, -x))
    ]
    return [*on_line, *beside] if on_it else beside


def _beyond(sheet: Sheet, a: Point2, b: Point2, text: Text) -> list[Point2]:
    """Where the words of a reading of one point may stand: behind its arrow, then beside it."""
    width, height = sheet.room.measure(text.text, text.role, "small")
    x, y = unit(a, b)
    gap = sheet.camera.paper(_CLEAR_MM)
    off = gap + 0.5 * (abs(x) * width + abs(y) * height)
    aside = gap + 0.5 * (abs(y) * width + abs(x) * height)
    end, middle = along(b, (x, y), off), between(a, b, 0.6)
    return [end, *(along(middle, way, aside) for way in ((-y, x), (y, -x)))]


def _text(sheet: Sheet, drawn: _Drawn, shown: ReadingsShown, *, lit: bool) -> str:
    """What is written on a reading: how far it is off, and its number where it matters."""
    number, off = value_words(drawn.reading, sheet.unit), ""
    if drawn.told is not None:
        off = short_residual(drawn.told, sheet.unit).removesuffix(f" {sheet.unit}")
    if sheet.view == "above":
        return f"{number} ({off})" if drawn.key in shown.lit else ""
    if drawn.suspicious and drawn.told is not None:
        by = off_words(drawn.reading, drawn.told.misread_by, sheet.unit)
        return f"{number}: misread by {by}?"
    return f"{number} ({off})" if lit and off else number if lit else off


def _ends(
    sheet: Sheet, reading: Reading, places: _PointPlaces, *, whole: bool
) -> tuple[Point2, Point2] | None:
    """From where to where a reading is drawn in this view; None where it cannot be seen."""
    at = [sheet.flat(places.of(path)) for path in reading.points]
    if len(at) == 2:
        above = sheet.view == "above" and reading.kind in _NOT_FROM_ABOVE
        return None if above or math.dist(*at) < 1.0 else (at[0], at[1])
    towards = _TOWARDS[sheet.view].get(reading.kind)
    if towards is None:
        return None
    far = at[0][1] if towards[1] else at[0][0]
    reach = far if whole else math.copysign(min(sheet.camera.paper(_STUB_MM), abs(far)), far)
    return None if abs(reach) < 1e-6 else (at[0], along(at[0], towards, reach))


def _draw_ellipses(sheet: Sheet, settled: Settled, places: _PointPlaces) -> None:
    """Where each point lies with 95 %, enlarged where that is too small to be seen."""
    found = [
        (one, one.ellipse("up" if sheet.view == "front" else "fore"))
        for one in settled.points
        if one.rests and one.fixed_by and (on_body(one.name) or places.as_drawn)
        and one.name in places.scene.points
    ]  # fmt: skip
    if not found:
        return
    factor = enlarged([ellipse for _, ellipse in found], sheet.camera.paper(_SEEN_MM))
    for one, ellipse in found:
        large = ellipse.long_mm * factor > sheet.camera.paper(_TOO_LARGE_MM)
        times = 1 if large else factor
        sheet.add(Polygon(_outline(sheet, one, ellipse, times, places), "doubt"))
        if large and factor > 1:
            sheet.label(sheet.flat(places.of(one.name)), _NOT_FIXED[sheet.view], first=(7,))
    view, paper = sheet.camera.box, sheet.camera.paper
    at = (view.left + paper(5.0), view.bottom + paper(10.0))
    size = f", {factor} times enlarged" if factor > 1 else ", true size"
    text = f"95 % ellipses{size}" if sheet.view == "front" else f"95 %{size}"
    sheet.add(Text(at, text, "label", size="small", backed=True))


def enlarged(ellipses: list[Ellipse], seen_mm: float) -> int:
    """By how much ellipses are enlarged so that the usual one can be seen; in the view's mm."""
    usual = median(ellipse.long_mm for ellipse in ellipses)
    return next((factor for factor in FACTORS if usual * factor >= seen_mm), FACTORS[-1])


def _outline(
    sheet: Sheet, point: SettledPoint, ellipse: Ellipse, factor: int, places: _PointPlaces
) -> tuple[Point2, ...]:
    centre, way = sheet.flat(places.of(point.name)), pointing(ellipse.direction_deg)
    # Thinner than a line it would not be seen as an ellipse.
    long, short = ellipse.long_mm * factor, max(ellipse.short_mm * factor, sheet.camera.paper(0.3))
    circle = disc((0.0, 0.0), 1.0, _SIDES)
    return tuple(along(centre, way, long * u, short * v) for u, v in circle)


def _draw_next(sheet: Sheet, reading: Reading, places: _PointPlaces) -> None:
    """The reading that would help most, dashed."""
    if not places.as_drawn or any(path not in places.scene.points for path in reading.points):
        return
    ends = _ends(sheet, reading, places, whole=True)
    if ends is None:
        return
    sheet.add(Line(*ends, "next_reading"))
    if sheet.view == "front":
        sheet.label(between(*ends, 0.3), "read next", "here_word", first=(0, 1))


def take_marks(sheet: Sheet, scene: Scene) -> None:
    """Keep the dimensions off the marks, which are drawn over them."""
    about = sheet.camera.paper(_MARK_MM)
    for mark in scene.marks:
        x, y = sheet.flat(mark.at)
        sheet.room.take_words(Box(x - about, y - about, x + about, y + about))


def _draw_marks(sheet: Sheet, scene: Scene) -> None:
    """Marks on the body as crosses in circles, with their names."""
    size, named = sheet.camera.paper(_MARK_MM), letters(scene)
    for place, mark in enumerate(scene.marks):
        at, key = sheet.flat(mark.at), f"mark[{place}].at"
        sheet.add(Circle(at, size, "mark", key), Lines(cross(at, size), "cross", key))
        sheet.add(Handle(at, key))
        sheet.room.take_disc(at, size)
        if sheet.view == "front":
            letter = named[f"{MARK}{mark.name}"]
            sheet.label(at, f"{letter}  {mark.name}", key=key, clear_mm=2.8)
