"""What lies over the sketch while brackets are drawn, dragged and trimmed.

The outline in the making with its gap, the dimension that a drag changes, the
points that can be caught, and what has to be cut off a bracket for it to clear.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from kinematics.parts import Bracket, FrontPoint
from scenes.keys import has, value_of
from sketcher.answers.pose import carried
from sketcher.answers.shown import Shown
from sketcher.drawing.dimensions import dimension
from sketcher.drawing.picture import (
    Circle,
    Handle,
    Lines,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Role,
    Text,
    box_of,
)
from sketcher.drawing.shapes import hatching
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.style import HATCHINGS, NOTES, style
from sketcher.window.model import edits
from sketcher.window.model.cutting_back import ToTrim, ask_to_trim, to_trim
from sketcher.window.model.drawn_gap import DrawnGap
from sketcher.window.model.editor import Editor, HeldThing
from sketcher.window.model.open_outline import OpenOutline
from sketcher.window.steps.bracket_step import STATE_WORDS
from sketcher.words.units import format_length

NO_GAP = DrawnGap()
# Dimensions keep this far from what they measure, mm on paper.
_ASIDE_MM = 5.0


def overlay_shows(editor: Editor, shown: Shown) -> tuple[object, ...]:
    """What the overlay hangs on, besides what the view under it does."""
    ask_to_trim(editor, shown)
    return (editor.open_outline, editor.held, editor.snapping.catch, to_trim(editor))


def overlay(editor: Editor, shown: Shown, gap: DrawnGap = NO_GAP) -> Picture:
    """The overlay of the front view; ``gap`` is that of what is being drawn."""
    sheet = Sheet(editor.cameras["front"], style(editor.theme), editor.unit)
    for cut in to_trim(editor):
        _draw_cut(sheet, editor, shown, cut)
    if editor.open_outline is not None:
        _draw_open_outline(sheet, editor, editor.open_outline, gap)
    if editor.held is not None and has(editor.scene, editor.held.key):
        _draw_held(sheet, editor, shown, editor.held)
    # Lines of the sketch run under it.
    items = (replace(x, backed=True) if isinstance(x, Text) else x for x in sheet.picture)
    return Picture(tuple(items))


def _draw_cut(sheet: Sheet, editor: Editor, shown: Shown, cut: ToTrim) -> None:
    """What has to go, hatched across the bracket's own hatching, with how much in words."""
    bracket = editor.scene.brackets[cut.bracket]
    for part in cut.areas:
        outline = tuple(_carried(point, bracket, shown) for point in part)
        pitch = sheet.camera.paper(1.2)
        slant = -45.0 if cut.bracket % 2 == 0 else 45.0
        sheet.add(Lines(hatching(outline, pitch, slant), "trim_hatching"), Polygon(outline, "trim"))
    box = box_of(_carried(corner, bracket, shown) for corner in bracket.outline)
    deep = format_length(cut.deepest_mm, editor.unit, rounding="up")
    left = not cut.trimmed.nothing_left
    words = f"trim up to {deep} deep" if left else "nothing would be left"
    at = (box.right, box.bottom)
    sheet.label(at, words, "here_word", clear_mm=2.8, first=(0, 4, 7), backed=True)


def _draw_open_outline(
    sheet: Sheet, editor: Editor, open_outline: OpenOutline, drawn: DrawnGap
) -> None:
    run = open_outline.run
    _draw_outline(sheet, open_outline, drawn)
    for corner in run:
        sheet.add(Handle(corner, "open outline"))
    if editor.snapping.catch:
        sheet.add(*(Circle(p, sheet.camera.paper(1.2), "snap") for p in editor.aids().catch))
    for a, b, text in _sizes(editor, open_outline):
        dimension(a, b, sheet.camera.paper(_ASIDE_MM), text, sheet)
    at = open_outline.at or (run[-1] if run else None)
    if at is None:
        return
    words, role = _gap_words(sheet, open_outline, drawn)
    if words:
        _say(sheet, at, words, role)


def _draw_outline(sheet: Sheet, open_outline: OpenOutline, drawn: DrawnGap) -> None:
    """The outline as it would be, hatched by how it stands; its run where it makes none yet."""
    outline, run = open_outline.drawn(), open_outline.run
    wrong = bool(open_outline.problem)
    if outline is not None and not wrong:
        role = HATCHINGS[drawn.state]
        sheet.add(
            Lines(hatching(outline, sheet.camera.paper(1.8)), role),
            Polygon(outline, "snap", "open outline"),
        )
    elif len(run) > 1:
        sheet.add(Polyline(run, "unreached" if wrong else "snap", "" if wrong else "open outline"))
    if open_outline.shape == "plate" and len(run) > 1:
        sheet.add(Polyline(run, "axis"))


def _gap_words(sheet: Sheet, open_outline: OpenOutline, drawn: DrawnGap) -> tuple[str, Role]:
    if open_outline.typed:
        return f"{open_outline.typed}_", "here_word"
    if open_outline.problem:
        return "crosses itself", "note_past"
    gap = drawn.here
    if gap is None:
        return "", "note"
    text = f"{STATE_WORDS[drawn.state]}: {_gap(sheet, gap.gap_mm)} here"
    if drawn.least_mm is not None:
        text += f"\n{_gap(sheet, drawn.least_mm)} over the travel"
    return text, NOTES[drawn.state]


def _gap(sheet: Sheet, gap_mm: float) -> str:
    return f"{'overlap' if gap_mm < 0.0 else 'gap'} {sheet.length(abs(gap_mm))}"


def _sizes(editor: Editor, open_outline: OpenOutline) -> Iterator[tuple[Point2, Point2, str]]:
    """The sizes that the open outline changes, from where to where."""

    def text(mm: float) -> str:
        return format_length(mm, editor.unit, named=False)

    run = open_outline.run
    if open_outline.thickness_mm is not None:
        a, b = run[0], run[1]
        half = 0.5 * open_outline.thickness_mm / max(math.dist(a, b), 1e-9)
        out, up = -(b[1] - a[1]) * half, (b[0] - a[0]) * half
        ends = (a[0] - out, a[1] - up), (a[0] + out, a[1] + up)
        yield (*ends, text(open_outline.thickness_mm))
        return
    if len(run) < 2 or run[-1] == run[-2]:
        return
    a, b = run[-2], run[-1]
    if open_outline.box:
        yield ((b[0], a[1]), (a[0], a[1]), text(abs(b[0] - a[0])))
        yield ((a[0], b[1]), (a[0], a[1]), text(abs(b[1] - a[1])))
    elif open_outline.diameter_mm:
        yield ((2 * a[0] - b[0], 2 * a[1] - b[1]), b, f"⌀{text(open_outline.diameter_mm)}")
    else:
        yield (a, b, text(math.dist(a, b)))


def _draw_held(sheet: Sheet, editor: Editor, shown: Shown, held: HeldThing) -> None:
    """The dimension that the drag under way changes."""
    now = value_of(editor.scene, held.key)
    base = edits.bracket_key(held.key)
    if not base:
        _draw_shift(sheet, held.before, now)
        return
    bracket: Bracket = value_of(editor.scene, base)
    outline = bracket.outline
    if isinstance(held.before, Bracket):
        (x0, y0), (x1, y1) = held.before.outline[0], outline[0]
        at = min(outline, key=lambda corner: (corner[1], corner[0]))
        out, up = (sheet.length(by, signed=True) for by in (x1 - x0, y1 - y0))
        _say(sheet, _carried(at, bracket, shown), f"out {out}, up {up}", "here_word")
        return
    count, first = len(outline), edits.last_place(held.key)
    changed = (first - 1, first, first + 1) if ".edge[" in held.key else (first - 1, first)
    for i in changed:
        ends = outline[i % count], outline[(i + 1) % count]
        a, b = (_carried(corner, bracket, shown) for corner in ends)
        if math.dist(a, b) > 1e-6:
            aside = sheet.camera.paper(_ASIDE_MM) * (-1.0 if _turns_left(outline) else 1.0)
            dimension(a, b, aside, sheet.length(math.dist(*ends)), sheet)
    if ".outline[" in held.key:
        at = _carried(outline[first], bracket, shown)
        x, y = outline[first]
        _say(sheet, at, f"out {sheet.length(x)}, up {sheet.length(y)}", "here_word")


def _draw_shift(sheet: Sheet, before: object, now: object) -> None:
    """Where a point is put, beside it."""
    if not isinstance(before, tuple) or not isinstance(now, tuple) or len(now) != 3:
        return
    places = zip(("out", "up", "fore"), before, now, strict=True)
    text = ", ".join(
        f"{axis} {sheet.length(b)} ({sheet.length(b - a, signed=True)})"
        for axis, a, b in places
        if a != b
    )
    if text:
        _say(sheet, (now[0], now[1]), text, "here_word")


def _say(sheet: Sheet, at: Point2, text: str, role: Role) -> None:
    """Lines of words below a place, as far aside as keeps them in the view."""
    camera = sheet.camera
    off = camera.paper(3.5)
    right, _ = camera.to_world((camera.left + camera.width - 8, camera.top))
    for i, line in enumerate(text.splitlines()):
        width, height = sheet.room.measure(line, role)
        place = (min(at[0] + off, right - width), at[1] - off - 1.9 * height * i)
        sheet.add(Text(place, line, role, vertical="top", backed=True))


def _carried(point: FrontPoint, bracket: Bracket, shown: Shown) -> Point2:
    """A place on a bracket where its carrier takes it, at the pose shown."""
    if shown.pose is None or shown.solved is None:
        return (point[0], point[1])
    depth = 0.0 if bracket.fore is None else (bracket.fore[0] + bracket.fore[1]) / 2
    out, up, _ = carried((point[0], point[1], depth), bracket, shown.pose)
    return (out, up)


def _turns_left(outline: tuple[FrontPoint, ...]) -> bool:
    closed = (*outline, outline[0])
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(closed)) > 0.0
