"""The sketch: the front view and the view from above of a scene at one position."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scenes.guessed import guessed_values
from scenes.key_table import named
from scenes.model import Scene, Side
from sketcher.answers.corner_answers import PoseGap
from sketcher.answers.pose import Pose
from sketcher.answers.reading_list import letters
from sketcher.drawing import bracket_view, linkage_view, shaft_view
from sketcher.drawing.backdrop import draw_backdrop, forward_arrow, scale_bar
from sketcher.drawing.camera import Camera
from sketcher.drawing.dimensions import angle_arc
from sketcher.drawing.picture import (
    Box,
    Circle,
    Line,
    Picture,
    Point2,
    Polygon,
    Polyline,
    Primitive,
    box_of,
)
from sketcher.drawing.reading_view import ReadingsShown, draw_readings, take_marks
from sketcher.drawing.shapes import along, pointing
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.style import style
from sketcher.words.units import Unit

MOVED_MM, MOVED_DEG = 0.05, 0.05
# Radius of the ring about a point that nobody has measured, mm on paper.
GUESSED_MM = 3.0


@dataclass(frozen=True, slots=True)
class SketchExtras:
    """What else a view shows, and how; everything may be left out.

    ``envelope``: outlines of what the shaft sweeps, front view, world mm.
    ``gaps``: the gap of each bracket at this position.  ``margin_mm``: the
    stroke to be left at both ends.  ``seats``: where each label stood in the picture
    before, so that none hops about while something is dragged; it is brought up to date.
    ``readings``: readings and marks, and the letters that the points have on paper.
    ``covered``: what of the view something else lies on, world mm; nothing is written there.
    """

    envelope: Sequence[Sequence[Point2]] = ()
    gaps: Sequence[PoseGap] = ()
    margin_mm: float = 3.0
    unit: Unit = "mm"
    grid: bool = True
    names: bool = True
    dimensions: bool = True
    ghost: bool = True
    seats: dict[str, int] | None = None
    readings: ReadingsShown | None = None
    covered: Sequence[Box] = ()


def front_view(
    scene: Scene,
    side: Side,
    pose: Pose,
    ride: Pose,
    camera: Camera,
    shown: SketchExtras | None = None,
) -> Picture:
    """The front view of one corner at a position.

    ``ride`` is its pose at ride height: it sizes the parts and is drawn behind as
    a ghost once the pose has left it.
    """
    show = shown or SketchExtras()
    sheet = Sheet(camera, style(), show.unit, seats=show.seats, covered=show.covered)
    shaft = scene.shaft(side)
    radius = ride["hub.wheel_centre"][1]
    draw_backdrop(sheet, grid=show.grid)
    bar = scale_bar(sheet)
    for outline in show.envelope:
        sheet.add(Polygon(tuple(outline), "envelope"))
    if show.ghost and _moved(pose, ride):
        draw_ghost(sheet, scene, ride)
    linkage_view.draw_wheel(sheet, pose, radius)
    if scene.linkage.kind == "strut":
        linkage_view.draw_strut(sheet, pose, ride, scene.strut_tube)
    linkage_view.draw_knuckle(sheet, pose, scene)
    linkage_view.draw_arms(sheet, pose, scene)
    bracket_view.draw_brackets(sheet, scene.brackets, pose, show.gaps)
    if shaft is not None:
        sleeve = scene.making(side).sleeve_on(shaft)
        shaft_view.draw_shaft(sheet, shaft, pose, side, show.margin_mm, sleeve)
    linkage_view.draw_points(sheet, pose)
    if shaft is not None:
        shaft_view.draw_joint_centres(sheet, shaft, pose, side)
    if show.readings is not None:
        take_marks(sheet, scene)
    if shaft is not None and show.dimensions:
        shaft_view.draw_dimensions(sheet, shaft, pose, side, show.margin_mm)
    # Their names give way to the dimensions.
    linkage_view.draw_measured(sheet, scene, names=show.names)
    _draw_guessed(sheet, scene)
    bracket_view.draw_bracket_labels(sheet, scene, pose, show.gaps)
    _draw_words(sheet, scene, side, pose, show, bar)
    return sheet.picture


def _draw_words(
    sheet: Sheet, scene: Scene, side: Side, pose: Pose, show: SketchExtras,
    bar: tuple[Primitive, ...],
) -> None:  # fmt: skip
    """Readings with what is told of them, names, and what else there is room for."""
    if show.readings is None:
        if show.names:
            _draw_names(sheet, pose, {})
        sheet.add(*bar)
        return
    words = draw_readings(sheet, scene, pose, show.readings)
    if show.names:
        _draw_names(sheet, pose, letters(scene))
        _draw_letter_of_inner_joint(sheet, scene, side)
    sheet.add(*bar)
    words.write()


def view_from_above(
    scene: Scene,
    side: Side,
    pose: Pose,
    ride: Pose,
    camera: Camera,
    shown: SketchExtras | None = None,
) -> Picture:
    """The same corner seen from above: out to the right, fore upwards."""
    show = shown or SketchExtras()
    sheet = Sheet(camera, style(), show.unit, "above")
    shaft = scene.shaft(side)
    radius = ride["hub.wheel_centre"][1]
    draw_backdrop(sheet, grid=show.grid, floor=False)
    furniture = (*forward_arrow(sheet), *scale_bar(sheet))
    if show.ghost and _moved(pose, ride):
        linkage_view.draw_wheel(sheet, ride, radius, "ghost")
    linkage_view.draw_wheel(sheet, pose, radius)
    linkage_view.draw_arms(sheet, pose, scene)
    bracket_view.draw_brackets_above(sheet, scene.brackets, pose, show.gaps)
    if shaft is not None:
        sleeve = scene.making(side).sleeve_on(shaft)
        shaft_view.draw_shaft(sheet, shaft, pose, side, show.margin_mm, sleeve)
    linkage_view.draw_points(sheet, pose)
    linkage_view.draw_measured(sheet, scene, names=show.names)
    if shaft is not None:
        shaft_view.draw_joint_centres(sheet, shaft, pose, side)
    _draw_guessed(sheet, scene)
    if abs(pose.steer_deg) > MOVED_DEG:
        _draw_steer(sheet, pose, radius)
    if show.readings is not None:
        draw_readings(sheet, scene, pose, show.readings).write()
    if show.names:
        _draw_names(sheet, pose, {})
    sheet.add(*furniture)
    return sheet.picture


def _draw_guessed(sheet: Sheet, scene: Scene) -> None:
    """An open, dashed ring about each point that nobody has measured yet."""
    if not scene.guessed:
        return
    points = {path.rpartition("[")[0] for path in guessed_values(scene) if path.endswith("]")}
    for handle in sheet.picture.handles:
        if handle.key in points:
            sheet.add(Circle(handle.at, sheet.camera.paper(GUESSED_MM), "guessed"))


def draw_ghost(sheet: Sheet, scene: Scene, ride: Pose) -> None:
    """The ride-height pose in chain double-dash lines (ISO 128: other positions)."""
    radius = ride["hub.wheel_centre"][1]
    linkage_view.draw_wheel(sheet, ride, radius, "ghost")
    for _, pivot, ball in linkage_view.arms(ride, scene):
        sheet.add(Line(sheet.flat(pivot), sheet.flat(ball), "ghost"))
    outline = linkage_view.knuckle_outline(sheet, ride, scene)
    if outline:
        sheet.add(Polyline((*outline, outline[0]), "ghost"))
    if scene.linkage.kind == "strut":
        low, top = ride["linkage.strut_lower"], ride["linkage.strut_top"]
        sheet.add(Line(sheet.flat(low), sheet.flat(top), "ghost"))
    if ride.shaft is not None:
        inner, outer = ride.shaft.inner_joint, ride["hub.outer_joint"]
        sheet.add(Line(sheet.flat(inner), sheet.flat(outer), "ghost"))


def world_box(scene: Scene, pose: Pose, side: Side | None = None) -> Box:
    """What a front view should show: linkage, wheel, gearbox, brackets, and the floor."""
    points: list[Point2] = [(p[0], p[1]) for p in pose.points.values()]
    wheel = pose["hub.wheel_centre"]
    points += [(wheel[0] + wheel[1] * 0.46, 0.0), (wheel[0] + wheel[1] * 0.46, wheel[1] * 2)]
    points += [corner for bracket in scene.brackets for corner in bracket.outline]
    for shaft in (scene.shaft(side),) if side is not None else (scene.left, scene.right):
        if shaft is not None:
            middle = shaft.inner_joint.mid_stroke
            points += [(middle[0] - 130.0, middle[1] + 75.0), (middle[0], middle[1] - 75.0)]
    box = box_of(points)
    return Box(box.left, min(box.bottom, -42.0), box.right, box.top + 24.0)


def world_box_above(scene: Scene, pose: Pose, side: Side | None = None) -> Box:
    """What a view from above should show."""
    front = world_box(scene, pose, side)
    radius = pose["hub.wheel_centre"][1]
    fore = [p[2] for p in pose.points.values()]
    reach = max(radius, *(abs(value) for value in fore)) + 20.0
    right = front.right
    if scene.steering is not None:
        lock = math.radians(max(scene.steering.inside_lock, scene.steering.outside_lock))
        turned = radius * (math.sin(lock) + linkage_view.TYRE_WIDTH_PART / 2 * math.cos(lock))
        right = max(right, pose["hub.wheel_centre"][0] + turned)
    return Box(front.left, -reach, right, reach)


def _moved(pose: Pose, ride: Pose) -> bool:
    return (
        abs(pose.travel_mm - ride.travel_mm) > MOVED_MM
        or abs(pose.steer_deg - ride.steer_deg) > MOVED_DEG
    )


def _draw_names(sheet: Sheet, pose: Pose, lettered: Mapping[str, str]) -> None:
    for path, point in pose.points.items():
        first = (1, 5, 3) if "pivot" in path else (0, 2, 4)
        name = f"{lettered[path]}  {named(path)}" if path in lettered else named(path)
        sheet.label(sheet.flat(point), name, key=path, clear_mm=2.8, first=first)


def _draw_letter_of_inner_joint(sheet: Sheet, scene: Scene, side: Side) -> None:
    path, shaft = f"shafts.{side}.inner_joint.mid_stroke", scene.shaft(side)
    if shaft is not None:
        at = sheet.flat(shaft.inner_joint.mid_stroke)
        letter = letters(scene)[path]
        sheet.label(at, letter, key=f"{path}, letter", clear_mm=2.8, first=(2, 3, 4, 5))


def _draw_steer(sheet: Sheet, pose: Pose, radius: float) -> None:
    centre = sheet.flat(pose["hub.wheel_centre"])
    reach = radius * 0.8
    ahead = (centre[0], centre[1] + reach + sheet.camera.paper(3.0))
    sheet.add(Line(centre, ahead, "axis"))
    # From above with out to the right, a front that moves outboard turns to the right.
    heading = pointing(90.0 - pose.steer_deg)
    sheet.add(Line(centre, along(centre, heading, reach), "axis"))
    middle = angle_arc(centre, (0.0, 1.0), heading, reach, sheet)
    value = f"steer {pose.steer_deg:+.1f}°".replace("-", "−")
    sheet.label(middle, value, "note", size="normal", first=(6, 0))
