"""A pose that cannot close: what cannot reach what, with the last good pose faint behind it."""

from __future__ import annotations

import math

from scenes.key_table import named
from scenes.model import Scene
from sketcher.answers.pose import Pose
from sketcher.drawing.backdrop import draw_backdrop, scale_bar
from sketcher.drawing.bracket_view import draw_sign_of_past
from sketcher.drawing.camera import Camera
from sketcher.drawing.dimensions import dimension
from sketcher.drawing.fonts import size_px
from sketcher.drawing.linkage_view import arms, draw_points
from sketcher.drawing.pane import wrapped
from sketcher.drawing.picture import Arc, Line, Picture, Point2, Text
from sketcher.drawing.shapes import angle_of, unit
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.sketch import SketchExtras, draw_ghost
from sketcher.drawing.style import style

_ARC_HALF_DEG = 38.0
_ARM_NAMES = {"arm": "reach of the arm", "upper_arm": "reach of the upper arm"}


def cannot_close(
    scene: Scene,
    last: Pose,
    camera: Camera,
    words: str,
    *,
    asked_travel_mm: float | None = None,
    drawn: Pose | None = None,
    shown: SketchExtras | None = None,
) -> Picture:
    """The front view where the linkage cannot take the position asked for.

    ``last`` is the last pose that closed, drawn faint.  Each arm's reach is drawn as
    the circle that its ball joint stays on; with ``asked_travel_mm`` the height
    that the wheel centre was asked to have, and how much is missing.  ``drawn`` has
    the points to take hold of, the last pose's where left out.  ``words`` say
    what cannot reach what.
    """
    show = shown or SketchExtras()
    sheet = Sheet(camera, style(), show.unit, covered=show.covered)
    draw_backdrop(sheet, grid=show.grid)
    bar = scale_bar(sheet)
    draw_ghost(sheet, scene, last)
    pose = drawn or last
    if asked_travel_mm is not None:
        _draw_asked(sheet, last, asked_travel_mm)
    for key, pivot, ball in arms(pose, scene):
        _draw_reach(sheet, sheet.flat(pivot), sheet.flat(ball), _ARM_NAMES[key])
    if scene.linkage.kind == "wishbones":
        low = sheet.flat(pose["linkage.lower_ball_joint"])
        _draw_reach(
            sheet, low, sheet.flat(pose["linkage.upper_ball_joint"]), "reach of the knuckle"
        )
    elif scene.linkage.kind == "strut":
        low, top = sheet.flat(pose["linkage.ball_joint"]), sheet.flat(pose["linkage.strut_top"])
        sheet.add(Line(low, top, "unreached"))
    draw_points(sheet, pose)
    for path, point in pose.points.items():
        sheet.label(sheet.flat(point), named(path), key=path, clear_mm=2.8)
    _write(sheet, words)
    sheet.add(*bar)
    return sheet.picture


def _draw_reach(sheet: Sheet, centre: Point2, end: Point2, words: str) -> None:
    """Part of the circle that a ball joint stays on, and the radius to where it was."""
    radius = math.dist(centre, end)
    middle = angle_of(unit(centre, end))
    arc = Arc(centre, radius, middle - _ARC_HALF_DEG, middle + _ARC_HALF_DEG, "unreached")
    sheet.add(Line(centre, end, "faint"), arc)
    sheet.room.take_run(arc.points)
    sheet.label(arc.points[-1], words, "label_past")


def _draw_asked(sheet: Sheet, last: Pose, asked_travel_mm: float) -> None:
    """The height asked of the wheel centre, and the gap between it and what was reached."""
    wheel = sheet.flat(last["hub.wheel_centre"])
    missing = asked_travel_mm - last.travel_mm
    asked = (wheel[0], wheel[1] + missing)
    half = sheet.camera.paper(14.0)
    sheet.add(Line((asked[0] - half, asked[1]), (asked[0] + half, asked[1]), "unreached"))
    draw_sign_of_past(sheet, asked)
    if abs(missing) > 1e-6:
        text = f"{sheet.length(abs(missing))} missing"
        aside = -math.copysign(sheet.camera.paper(20.0), missing)
        dimension(wheel, asked, aside, text, sheet, role="dimension_past")
    sheet.room.take_line((asked[0] - half, asked[1]), (asked[0] + half, asked[1]))
    sheet.label((asked[0] + half, asked[1]), "asked of the wheel centre", "label_past", first=(0,))


def _write(sheet: Sheet, words: str) -> None:
    """The words at the top, broken to lines that fit."""
    camera, view, paper = sheet.camera, sheet.camera.box, sheet.camera.paper
    room_px = (view.width - paper(12.0)) * camera.zoom
    size = size_px("normal", camera.pixels_per_paper_mm)
    for number, line in enumerate(wrapped(words, room_px, size, True, len(words))):
        at = (view.left + paper(5.0), view.top - paper(4.0 + 5.0 * number))
        sheet.add(Text(at, line, "note_past", vertical="top", backed=True))
