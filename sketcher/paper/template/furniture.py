"""What stands on a template beside the outline: words, rulers that check the printer, marks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import shapely

from kinematics.gaps.outlines import Outline, edge_length_mm
from kinematics.parts import Bracket
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM
from sketcher.drawing.dimensions import readable
from sketcher.drawing.fonts import size_px, width_px
from sketcher.drawing.picture import (
    Box,
    Circle,
    Line,
    Picture,
    Point2,
    Polygon,
    Primitive,
    Size,
    Text,
    Vertical,
    box_of,
)
from sketcher.drawing.shapes import angle_of, pointing
from sketcher.words.plain import printable, shortened
from sketcher.words.units import MM_PER_INCH, Unit, format_length

LINE_MM = 4.6
TITLE_MM = 7.5
RULER_MM = 2.4
RULERS_MM = 16.0
UPRIGHT_MM = 9.0
# More corners than this are a curve, and numbers along it would hide it.
MOST_NUMBERED = 16
SHORTEST_NAMED_EDGE_MM = 15.0
CROSS_MM = 5.0
# A level line is moved from the middle where it is longer by more than this elsewhere.
_LONG_ENOUGH = 0.6
SEEN = (
    "Seen from the front, outboard to the right: the left side of the car. "
    "For the right side turn the template over."
)
CUT_TO = "Print at 100 %, not fitted to the page, then measure the bars: 100 mm both ways, 4 in."


def width_mm(text: str, size: Size = "small", *, bold: bool = False) -> float:
    """How wide a line of text is on paper."""
    size_there = size_px(size, PIXELS_PER_PAPER_MM)
    return width_px(text, size_there, bold) / PIXELS_PER_PAPER_MM


def words(bracket: Bracket, unit: Unit, of: str, *, across_mm: float) -> tuple[str, ...]:
    """The lines under the bracket's name, wrapped to a width."""
    left, bottom, right, top = shapely.Polygon(bracket.outline).bounds

    def say(mm: float, *, named: bool = True) -> str:
        return format_length(mm, unit, named=named)

    depth = "every depth (none given)"
    if bracket.fore is not None:
        rear, front = bracket.fore
        depth = f"{say(front - rear)} deep, fore {say(rear)} to {say(front)}"
    lines = [
        f"{printable(of)}. " * bool(of) + f"Mounted on the {bracket.mounted_on}; {depth}.",
        f"{say(right - left)} x {say(top - bottom)}, {len(bracket.outline)} corners.",
        SEEN,
        _on_the_car(bracket, say),
    ]
    if len(bracket.outline) <= MOST_NUMBERED:
        places = [
            f"{i} ({say(x - left, named=False)}, {say(y - bottom, named=False)})"
            for i, (x, y) in enumerate(bracket.outline, 1)
        ]
        named = "inches" if unit == "in" else unit
        # No line breaks inside a place.
        listed = "  ".join(place.replace(" ", "\N{NO-BREAK SPACE}") for place in places)
        lines.append(f"Corners from the lower left, across and up, {named}: {listed}")
    return tuple(part for line in lines for part in _wrapped(line, across_mm))


def _on_the_car(bracket: Bracket, say: Callable[[float], str]) -> str:
    """Where the bracket sits: two corners from centreline and floor, and a level line."""
    outline = bracket.outline
    numbered = len(outline) <= MOST_NUMBERED
    places = []
    for what, corner in (("innermost", min(outline)), ("outermost", max(outline))):
        number = f" {outline.index(corner) + 1}" if numbered else ""
        places.append(f"{what} corner{number} out {say(corner[0])}, up {say(corner[1])}")
    level = f"the dot-dash line is level, up {say(level_mm(outline))}"
    return f"On the car at ride height: {'; '.join(places)}; {level}."


def level_mm(outline: Outline) -> float:
    """How high the level line runs, on a whole mm: about half way up, where it is long."""
    box = box_of(outline)
    middle = round(box.centre[1])
    eighth = box.height / 8.0
    heights = [middle + round(eighths * eighth) for eighths in (0, 1, -1, 2, -2, 3, -3)]

    def long(height: float) -> float:
        left, right = _longest_run(outline, height)
        return right - left

    longest = max(map(long, heights))
    return float(next(height for height in heights if long(height) >= _LONG_ENOUGH * longest))


def _longest_run(outline: Outline, height: float) -> tuple[float, float]:
    """From where to where the outline holds a level line, where it does so furthest."""
    box = box_of(outline)
    level = shapely.LineString([(box.left - 1.0, height), (box.right + 1.0, height)])
    runs = shapely.get_parts(shapely.Polygon(outline).intersection(level))
    left, _, right, _ = max(
        (run.bounds for run in runs if run.length > 0.0),
        key=lambda bounds: bounds[2] - bounds[0],
        default=(box.left, height, box.right, height),
    )
    return left, right


def _wrapped(line: str, across_mm: float) -> Iterator[str]:
    held = ""
    for word in line.split(" "):
        longer = f"{held} {word}" if held else word
        if held and width_mm(longer) > across_mm:
            yield held
            longer = word.lstrip()
        held = longer
    yield held


def fitted(name: str, across_mm: float) -> str:
    """A name cut short where it is wider than the sheet."""
    return shortened(name, across_mm, lambda part: width_mm(part, "large", bold=True))


def heading(
    name: str, lines: Sequence[str], top_left: Point2, *, across_mm: float
) -> Iterator[Primitive]:
    """The bracket's name and the lines under it, downwards from a point."""
    x, y = top_left
    yield Text((x, y), fitted(name, across_mm), "label_strong", vertical="top", size="large")
    for i, line in enumerate(lines):
        at = (x, y - TITLE_MM - i * LINE_MM)
        yield Text(at, line, "note", vertical="top", size="small")


def heading_mm(lines: Sequence[str]) -> float:
    """How much height a heading takes."""
    return TITLE_MM + len(lines) * LINE_MM + 2.0


def rulers(lower_left: Point2) -> Iterator[Primitive]:
    """Bars of 100 mm and of 4 in across, what to do with them, and over them one upwards.

    Printers may be off in one direction only.
    """
    x, y = lower_left
    yield from _bar((x, y), 10.0, 10, "100 mm")
    yield from _bar((x, y + 5.0), 0.5 * MM_PER_INCH, 8, "4 in")
    yield Text((x, y + 10.0), CUT_TO, "label_strong", size="small")
    yield from _bar((x, y + RULERS_MM), 10.0, 10, "100 mm", upright=True)


def _bar(
    at: Point2, step: float, count: int, name: str, *, upright: bool = False
) -> Iterator[Primitive]:
    x, y = at
    for i in range(count):
        start, end = i * step, (i + 1) * step
        corners = Box(start, 0.0, end, RULER_MM).corners
        points = tuple((x + v, y + u) if upright else (x + u, y + v) for u, v in corners)
        yield Polygon(points, "scale_empty" if i % 2 else "scale_full")
    past = step * count + 1.5
    place = (x + 0.5 * RULER_MM, y + past) if upright else (x + past, y + 0.5 * RULER_MM)
    turn = 90.0 if upright else 0.0
    yield Text(place, name, "note", vertical="middle", angle_deg=turn, size="small")


def outline_picture(outline: Outline, unit: Unit, level: float) -> Picture:
    """The outline with a level line, its corners numbered and its long edges measured.

    ``level`` is how high the line runs, where the outline is drawn.
    """
    # No further than the outline: what its edges measure stands outside.
    left, right = _longest_run(outline, level)
    ends = ((left, level), (right, level))
    items: list[Primitive] = [Polygon(outline, "cut", "outline"), Line(*ends, "axis", "level")]
    ring = shapely.Polygon(outline).exterior
    # Outside is to the right of a run that is counter-clockwise.
    outward = 1.0 if ring.is_ccw else -1.0
    normals = [_normal(outline, edge, outward) for edge in range(len(outline))]
    for edge, normal in enumerate(normals):
        length = edge_length_mm(outline, edge)
        if length >= SHORTEST_NAMED_EDGE_MM:
            items.append(_edge_label(outline, edge, normal, format_length(length, unit)))
    if len(outline) <= MOST_NUMBERED:
        for corner, (x, y) in enumerate(outline):
            (ax, ay), (bx, by) = normals[corner - 1], normals[corner]
            size = max(math.hypot(ax + bx, ay + by), 1e-6)
            at = (x + 3.0 * (ax + bx) / size, y + 3.0 * (ay + by) / size)
            number = str(corner + 1)
            items.append(Text(at, number, "label", "", "centre", "middle", size="small"))
    return Picture(tuple(items))


def _normal(outline: Outline, edge: int, outward: float) -> Point2:
    (x0, y0), (x1, y1) = outline[edge], outline[(edge + 1) % len(outline)]
    length = max(math.hypot(x1 - x0, y1 - y0), 1e-9)
    return (outward * (y1 - y0) / length, -outward * (x1 - x0) / length)


def _edge_label(outline: Outline, edge: int, normal: Point2, text: str) -> Text:
    (x0, y0), (x1, y1) = outline[edge], outline[(edge + 1) % len(outline)]
    turned = readable(angle_of((x1 - x0, y1 - y0)))
    x, y = pointing(turned + 90.0)
    vertical: Vertical = "bottom" if x * normal[0] + y * normal[1] > 0.0 else "top"
    at = ((x0 + x1) / 2 + 1.4 * normal[0], (y0 + y1) / 2 + 1.4 * normal[1])
    return Text(at, text, "label", "", "centre", vertical, turned, "small")


def cross(at: Point2, name: str) -> Iterator[Primitive]:
    """A mark that two sheets share, to lay one upon the other."""
    x, y = at
    yield Line((x - CROSS_MM, y), (x + CROSS_MM, y), "cross")
    yield Line((x, y - CROSS_MM), (x, y + CROSS_MM), "cross")
    yield Circle(at, 2.5, "cross")
    yield Text((x + 2.2, y + 2.2), name, "label_strong", size="small")
