"""Brackets as they are drawn: hatched as if cut (ISO 128-50), marked where they foul."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kinematics.parts import Bracket
from scenes.model import Scene
from sketcher.answers.corner_answers import PoseGap
from sketcher.answers.pose import Pose, carried
from sketcher.drawing.dimensions import leader
from sketcher.drawing.picture import Box, Circle, Handle, Line, Lines, Point2, Polygon, box_of
from sketcher.drawing.shapes import between, cross, hatching, hull
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.style import DIMENSIONS, HATCHINGS, LABELS, OUTLINES
from sketcher.words.plain import shortened

# Where the text of the smallest gap is tried, mm on paper from the gap, the nearest first.
_GAP_PLACES: tuple[Point2, ...] = tuple(
    sorted(
        (
            (out, up)
            for up in (-12.0, -18.0, 12.0, 18.0, -26.0, 26.0)
            for out in (7.0, -7.0, 14.0, -14.0, 22.0, -22.0)
        ),
        key=lambda place: math.hypot(*place),
    )
)

# Signs of a bracket's name in the sketch: the form has the whole of it.
_LONGEST_NAME = 28
# A place of the gap's words that costs less is kept while the gap moves.
_FREE_ENOUGH = 5.0


def draw_brackets(
    sheet: Sheet, brackets: Sequence[Bracket], pose: Pose, gaps: Sequence[PoseGap]
) -> None:
    """Every bracket in the front view, with edges and corners to take hold of."""
    states = {gap.bracket: gap.state for gap in gaps}
    for index, bracket in enumerate(brackets):
        depth = 0.0 if bracket.fore is None else (bracket.fore[0] + bracket.fore[1]) / 2
        outline = _outline(sheet, bracket, pose, depth)
        state = states.get(index, "good")
        key = f"bracket[{index}]"
        pitch = sheet.camera.paper(1.8 if state == "good" else 1.3)
        slant = 45.0 if index % 2 == 0 else -45.0
        sheet.add(
            Polygon(outline, OUTLINES[state], key),
            Lines(hatching(outline, pitch, slant), HATCHINGS[state]),
        )
        following = (*outline[1:], outline[0])
        for corner, (a, b) in enumerate(zip(outline, following, strict=True)):
            sheet.add(Line(a, b, "edge", f"{key}.edge[{corner}]"))
        for corner, at in enumerate(outline):
            sheet.add(Handle(at, f"{key}.outline[{corner}]"))
        sheet.room.take_run(outline, closed=True)
        box = box_of(outline)
        sheet.room.take_line((box.left, box.centre[1]), (box.right, box.centre[1]), box.height / 2)


def _outline(sheet: Sheet, bracket: Bracket, pose: Pose, fore: float = 0.0) -> tuple[Point2, ...]:
    """A bracket's outline as its carrier has taken it, at one depth."""
    return tuple(sheet.flat(carried((out, up, fore), bracket, pose)) for out, up in bracket.outline)


def draw_brackets_above(
    sheet: Sheet, brackets: Sequence[Bracket], pose: Pose, gaps: Sequence[PoseGap]
) -> None:
    """Every bracket of known depth, seen from above."""
    states = {gap.bracket: gap.state for gap in gaps}
    for index, bracket in enumerate(brackets):
        if bracket.fore is None:
            continue
        front, back = (_outline(sheet, bracket, pose, fore) for fore in bracket.fore)
        outline = hull([*front, *back])
        if outline:
            state = states.get(index, "good")
            pitch = sheet.camera.paper(1.8)
            sheet.add(
                Polygon(outline, OUTLINES[state], f"bracket[{index}]"),
                Lines(hatching(outline, pitch), HATCHINGS[state]),
            )


def draw_bracket_labels(sheet: Sheet, scene: Scene, pose: Pose, gaps: Sequence[PoseGap]) -> None:
    """Names with the state in words, a sign where one fouls, and the smallest gap as a leader."""
    keys = bracket_keys(scene)
    for one in gaps:
        if one.state == "past":
            draw_sign_of_past(sheet, sheet.flat(one.at))
    nearest = min(gaps, key=lambda gap: gap.gap_mm - gap.wanted_mm, default=None)
    if nearest is not None:
        _draw_gap(sheet, nearest, keys[nearest.bracket])
    states = {gap.bracket: gap.state for gap in gaps}
    bodies = (*scene.brackets, *scene.linkage_bodies)
    for index, bracket in enumerate(bodies):
        state = states.get(index, "good")
        if state == "good" and index >= len(scene.brackets):
            continue
        box = box_of(_outline(sheet, bracket, pose))
        stands = {"good": "", "close": ": too close", "past": ": fouls"}[state]
        name = f"{shortened(bracket.name, _LONGEST_NAME)}{stands}"
        at = (box.centre[0], box.bottom)
        sheet.label(at, name, LABELS[state], key=keys[index], first=(7, 5, 4))


def bracket_keys(scene: Scene) -> tuple[str, ...]:
    """The key of each thing that the shaft can foul: the brackets, then strut tube and arm."""
    keys = [f"bracket[{index}]" for index in range(len(scene.brackets))]
    keys += ["strut"] if scene.strut_tube is not None else []
    keys += ["arm"] if scene.arm is not None else []
    return tuple(keys)


def draw_sign_of_past(sheet: Sheet, at: Point2) -> None:
    """A cross in a ring: something is past its limit there."""
    size = sheet.camera.paper(1.7)
    sheet.add(
        Circle(at, size * 1.75, "note_past_ring"), Lines(cross(at, size, slanted=True), "note_past")
    )


def _draw_gap(sheet: Sheet, gap: PoseGap, key: str) -> None:
    paper, at = sheet.camera.paper, sheet.flat(gap.at)
    told = sheet.length(gap.gap_mm, rounding="down")
    if gap.state == "past":
        text = f"overlap {sheet.length(-gap.gap_mm, rounding='up')}"
    elif gap.state == "close":
        text = f"gap {told}, wanted {sheet.length(gap.wanted_mm)}"
    else:
        text = f"gap {told}"
    width, height = sheet.room.measure(text, DIMENSIONS[gap.state])

    def cost(shift: Point2, enough: float) -> float:
        # A short leader is the better one.
        found = 0.12 * math.hypot(*shift)
        if found >= enough:
            return found
        elbow = (at[0] + paper(shift[0]), at[1] + paper(shift[1]))
        left = elbow[0] if shift[0] > 0.0 else elbow[0] - width
        shelf = Box(left, elbow[1], left + width, elbow[1] + height * 1.4)
        found += sheet.room.cost_of_box(shelf)
        if found < enough:
            found += 0.4 * sheet.room.cost_of_line(between(at, elbow, 0.3), elbow)
        return found

    seat = sheet.seats.get("gap")
    if seat is None or cost(_GAP_PLACES[seat], _FREE_ENOUGH) >= _FREE_ENOUGH:
        least, seat = math.inf, 0
        for place, shift in enumerate(_GAP_PLACES):
            if 0.12 * math.hypot(*shift) >= least:
                # No further place can be better.
                break
            found = cost(shift, least)
            if found < least:
                least, seat = found, place
    sheet.seats["gap"] = seat
    best = _GAP_PLACES[seat]
    elbow = (at[0] + paper(best[0]), at[1] + paper(best[1]))
    leader(at, elbow, text, sheet, role=DIMENSIONS[gap.state], key=key)
