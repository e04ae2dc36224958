"""The gearbox output, inner joint with its stroke, shaft and outer joint as they are drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kinematics.parts import Section, Shaft
from scenes.model import Side
from sketcher.answers.pose import Pose, ShaftPose
from sketcher.answers.states import State, angle_state, room_state
from sketcher.drawing.dimensions import angle_arc, dimension
from sketcher.drawing.linkage_view import hub_axis
from sketcher.drawing.picture import Circle, Handle, Horizontal, Line, Lines, Point2, Polygon, Text
from sketcher.drawing.shapes import along, bellows, between, disc, hatching, hull, strip, unit
from sketcher.drawing.sheet import Sheet
from sketcher.drawing.style import ANGLES, DIMENSIONS, LABELS
from sketcher.words.units import format_angle

# Sizes of what the scene does not size, mm.
HOUSING_RADIUS, BELL_RADIUS, STUB = 38.0, 40.0, 13.0
WALL, BOTTOM = 5.0, 9.0
# What a dimension costs whose end something else would lie on.
_HIDDEN = 60.0
# Where the shaft's length is dimensioned: mm on paper off it, above or below; the best first.
_LENGTH_PLACES = ((9.0, 1.0), (16.0, 1.0), (24.0, 1.0), (9.0, -1.0), (16.0, -1.0), (24.0, -1.0))


@dataclass(frozen=True, slots=True)
class Housing:
    """The housing on the sheet: mid-stroke, direction outboard, sheet mm per mm, radius."""

    middle: Point2
    direction: Point2
    stretch: float
    radius: float

    def at(self, plunge_mm: float, aside: float = 0.0) -> Point2:
        """The point on the axis at a plunge, or aside of it."""
        return along(self.middle, self.direction, plunge_mm * self.stretch, aside)

    def slice(self, start_mm: float, end_mm: float, half: float) -> tuple[Point2, ...]:
        """A strip of the housing between two plunges."""
        return strip(self.at(start_mm), self.at(end_mm), half)


def housing_of(sheet: Sheet, shaft: Shaft, pose: ShaftPose) -> Housing:
    """Where the housing lies on the sheet."""
    axis = sheet.flat(pose.axis)
    middle, direction = sheet.flat(pose.mid_stroke), unit((0.0, 0.0), axis)
    return Housing(middle, direction, math.hypot(*axis), _inner_radius(shaft))


def _inner_radius(shaft: Shaft) -> float:
    last = max(shaft.sections, key=lambda section: section.to, default=None)
    return HOUSING_RADIUS if last is None else max(last.diameter[1] / 2 + 1.0, 24.0)


def _bell_radius(shaft: Shaft) -> float:
    first = min(shaft.sections, key=lambda section: section.from_, default=None)
    return BELL_RADIUS if first is None else max(first.diameter[0] / 2 + 1.0, 22.0)


def _draw_gearbox(
    sheet: Sheet, shaft: Shaft, pose: ShaftPose, side: Side, margin_mm: float
) -> None:
    """The gearbox's flank, the housing cut open, and the stroke to scale inside it."""
    joint, home = shaft.inner_joint, housing_of(sheet, shaft, pose)
    inward, outward, radius = joint.stroke_in, joint.stroke_out, home.radius
    bottom, mouth = -inward - WALL, outward + WALL
    key = f"shafts.{side}.inner_joint.mid_stroke"
    _draw_flank(sheet, home, bottom - BOTTOM)
    shell = home.slice(bottom - BOTTOM, mouth, radius + WALL)
    sheet.add(
        Polygon(shell, "housing", "gearbox"),
        Lines(hatching(shell, sheet.camera.paper(1.1)), "bracket_hatching"),
        Polygon(home.slice(bottom, mouth, radius), "bore", "gearbox"),
    )
    half = radius * 0.5
    # Usable stroke at this joint angle; the full one where a straight joint has more.
    near, far = pose.plunge_mm - pose.stroke_left_in_mm, pose.plunge_mm + pose.stroke_left_out_mm
    if far > near:
        sheet.add(Polygon(home.slice(near, far, half), "stroke_margin"))
    if far - near > 2 * margin_mm:
        sheet.add(Polygon(home.slice(near + margin_mm, far - margin_mm, half), "stroke"))
    for plunge in (-inward, outward):
        sheet.add(
            Line(home.at(plunge, radius * 0.86), home.at(plunge, -radius * 0.86), "stroke_end")
        )
    for plunge in (near, far):
        if -inward < plunge < outward:
            sheet.add(Line(home.at(plunge, half), home.at(plunge, -half), "tick"))
    sheet.add(Line(home.at(0.0, radius), home.at(0.0, -radius), "stroke_middle", key))
    sheet.room.take_line(home.at(bottom - BOTTOM * 6), home.at(mouth), radius + WALL)


def _draw_flank(sheet: Sheet, home: Housing, start: float) -> None:
    """The gearbox's side with its output, broken off inboard (ISO 128-3)."""
    radius = home.radius
    flank = start - 16.0
    sheet.add(Polygon(home.slice(flank, start, radius * 0.55), "gearbox", "gearbox"))
    high, deep = radius * 1.75, 34.0
    teeth = [
        home.at(flank - deep + (5.0 if i % 2 else -5.0), high - 2 * high * i / 8) for i in range(9)
    ]
    outline = (home.at(flank, -high), home.at(flank, high), *teeth)
    sheet.add(Polygon(outline, "gearbox", "gearbox"))
    sheet.room.take_line(home.at(flank - deep), home.at(flank), high)


def draw_shaft(
    sheet: Sheet, shaft: Shaft, pose: Pose, side: Side, margin_mm: float, sleeve: Section | None
) -> None:
    """The shaft with its sections, the outer joint's bell, and what the inner joint rides in.

    Nothing where the shaft does not reach its housing.
    """
    shaft_pose = pose.shaft
    if shaft_pose is None:
        return
    key = f"shafts.{side}"
    outer, inner = sheet.flat(pose["hub.outer_joint"]), sheet.flat(shaft_pose.inner_joint)
    sheet.add(Line(inner, outer, "shaft_line", key))
    _draw_bell(sheet, shaft, pose)
    drawn = [(f"{key}.section[{i}]", section) for i, section in enumerate(shaft.sections)]
    if sleeve is not None:
        drawn.append((f"{key}.splice.sleeve", sleeve))
    for section_key, section in sorted(drawn, key=lambda pair: max(pair[1].diameter)):
        start = between(outer, inner, section.from_ / shaft_pose.length_mm)
        end = between(outer, inner, section.to / shaft_pose.length_mm)
        half_start, half_end = section.diameter[0] / 2, section.diameter[1] / 2
        if abs(half_start - half_end) > 4.0:
            folded = bellows(start, end, half_start, half_end, 11.0)
            sheet.add(Polygon(folded, "boot", section_key))
        else:
            sheet.add(Polygon(strip(start, end, half_start, half_end), "shaft", section_key))
        sheet.room.take_line(start, end, max(half_start, half_end))
    sheet.room.take_line(inner, outer)
    _draw_gearbox(sheet, shaft, shaft_pose, side, margin_mm)


def _draw_bell(sheet: Sheet, shaft: Shaft, pose: Pose) -> None:
    radius = _bell_radius(shaft)
    outer, axis = sheet.flat(pose["hub.outer_joint"]), sheet.flat(hub_axis(pose))
    span = math.dist(pose["hub.outer_joint"], pose["hub.wheel_centre"])
    stub = strip(outer, along(outer, axis, span + 14.0), STUB)
    back = along(outer, axis, min(radius * 0.7, span * 0.6))
    bell = hull([*disc(outer, radius, 40), *disc(back, radius * 0.62, 40)])
    for outline in (stub, bell):
        sheet.add(Polygon(outline, "outer_joint", "hub.outer_joint"))
    sheet.room.take_disc(outer, radius)


def draw_joint_centres(sheet: Sheet, shaft: Shaft, pose: Pose, side: Side) -> None:
    """Both joints' centres, the inner one riding in its stroke, and their handles."""
    paper = sheet.camera.paper
    outer = sheet.flat(pose["hub.outer_joint"])
    sheet.add(Circle(outer, paper(1.5), "joint", "hub.outer_joint"))
    sheet.add(Circle(outer, paper(0.5), "joint_dot", "hub.outer_joint"))
    sheet.room.take_disc(outer, paper(1.8))
    shaft_pose = pose.shaft
    if shaft_pose is None:
        return
    inner = sheet.flat(shaft_pose.inner_joint)
    key = f"shafts.{side}.inner_joint.mid_stroke"
    home = housing_of(sheet, shaft, shaft_pose)
    along_shaft = unit(inner, outer)
    mouth = (shaft.inner_joint.stroke_out + WALL - 1.0 - shaft_pose.plunge_mm) * home.stretch
    stub = min((min(section.diameter) for section in shaft.sections), default=2 * STUB) / 2
    if mouth > 0.0:
        outline = strip(inner, along(inner, along_shaft, mouth), stub)
        sheet.add(Polygon(outline, "shaft_inside"))
        edges = ((outline[0], outline[1]), (outline[3], outline[2]))
        sheet.add(Lines(edges, "shaft_edge"))
    ends = along(inner, along_shaft, -18.0), along(outer, along_shaft, 18.0)
    sheet.add(Line(*ends, "axis"))
    reach = home.radius * 0.74
    for aside in (reach, -reach):
        roller = along(inner, along_shaft, 0.0, aside)
        sheet.add(Circle(roller, home.radius * 0.2, "joint"))
    arm = reach - home.radius * 0.2
    ends = along(inner, along_shaft, 0.0, arm), along(inner, along_shaft, 0.0, -arm)
    sheet.add(Polygon(strip(*ends, 4.0), "joint"))
    sheet.add(Circle(inner, max(paper(1.7), 7.0), "joint_centre", f"shafts.{side}"))
    sheet.add(Circle(inner, paper(0.5), "here"))
    sheet.add(Handle(home.middle, key))
    sheet.room.take_disc(inner, paper(2.0))


def _draw_stroke_labels(sheet: Sheet, shaft: Shaft, pose: ShaftPose, margin_mm: float) -> None:
    """The words at the ends of the stroke, and the plunge as a dimension under the housing."""
    joint, home = shaft.inner_joint, housing_of(sheet, shaft, pose)
    paper = sheet.camera.paper
    inward = room_state(pose.stroke_left_in_mm, margin_mm)
    outward = room_state(pose.stroke_left_out_mm, margin_mm)
    wide = (joint.stroke_in + joint.stroke_out) * home.stretch > paper(16.0)
    over = home.radius + WALL
    words: tuple[tuple[float, str, State, Horizontal], ...] = (
        (-joint.stroke_in, "bottoms", inward, "right"),
        (joint.stroke_out, "pulls apart", outward, "left"),
    )
    for plunge, word, state, hand in words:
        if not wide and state == "good":
            continue
        text = word if state != "past" else f"{word}: past the end"
        foot, top = home.at(plunge, over), home.at(plunge, over + paper(2.4))
        sheet.add(Line(foot, top, DIMENSIONS[state]))
        shift = paper(0.8 if hand == "right" else -0.8)
        at, backed = (top[0] + shift, top[1] + paper(0.7)), state != "good"
        label = Text(at, text, LABELS[state], "", hand, size="small", backed=backed)
        sheet.write(_in_view(sheet, label))
    role = DIMENSIONS["past" if "past" in (inward, outward) else "good"]
    start, end = (home.at(plunge) for plunge in sorted((0.0, pose.plunge_mm)))
    value = f"plunge {sheet.length(pose.plunge_mm, signed=True)}"
    if abs(pose.plunge_mm) * home.stretch > paper(0.2):
        dimension(start, end, -(over + paper(6.0)), value, sheet, role=role)
    else:
        sheet.label(home.at(0.0, -over), "at mid-stroke", "note", first=(7,))


def _in_view(sheet: Sheet, text: Text) -> Text:
    """A text as far aside as shows all of it, where what it stands at is in view."""
    box, view, edge = sheet.room.box(text), sheet.camera.box, sheet.camera.paper(1.0)
    if not view.left <= text.at[0] <= view.right:
        return text
    by = max(view.left + edge - box.left, 0.0) - max(box.right - view.right + edge, 0.0)
    return replace(text, at=(text.at[0] + by, text.at[1]))


def draw_dimensions(sheet: Sheet, shaft: Shaft, pose: Pose, side: Side, margin_mm: float) -> None:
    """Length, stroke and angles of the shaft; nothing where it does not reach its housing."""
    if pose.shaft is not None:
        _draw_length(sheet, shaft, pose, pose.shaft, side)
        _draw_stroke_labels(sheet, shaft, pose.shaft, margin_mm)
        _draw_angles(sheet, shaft, pose, pose.shaft)


def _draw_length(sheet: Sheet, shaft: Shaft, pose: Pose, shaft_pose: ShaftPose, side: Side) -> None:
    """The shaft's length between joint centres, dimensioned above it."""
    inner, outer = sheet.flat(shaft_pose.inner_joint), sheet.flat(pose["hub.outer_joint"])
    radius = max(_inner_radius(shaft) + WALL, _bell_radius(shaft), 46.0)
    direction, paper = unit(inner, outer), sheet.camera.paper
    begin, end = between(inner, outer, 0.12), between(inner, outer, 0.88)

    aside, least = 0.0, math.inf
    for off_mm, hand in _LENGTH_PLACES:
        # Above the shaft and close to it is where it is sought.
        beforehand = 0.6 * off_mm + (0.0 if hand > 0.0 else 18.0)
        if beforehand >= least:
            break
        this = hand * (radius + paper(off_mm))
        a, b = along(begin, direction, 0.0, this), along(end, direction, 0.0, this)
        cost = beforehand + sheet.room.cost_of_line(a, b, paper(2.5))
        ends = along(inner, direction, 0.0, this), along(outer, direction, 0.0, this)
        if any(box.grown(paper(3.0)).holds(one) for box in sheet.covered for one in ends):
            cost += _HIDDEN
        if cost < least:
            aside, least = this, cost
    text = sheet.length(shaft_pose.length_mm, named=True)
    dimension(inner, outer, aside, text, sheet, key=f"shafts.{side}.length")


def _draw_angles(sheet: Sheet, shaft: Shaft, pose: Pose, shaft_pose: ShaftPose) -> None:
    """The bend of each joint: an arc as seen, its true value beside it."""
    inner, outer = sheet.flat(shaft_pose.inner_joint), sheet.flat(pose["hub.outer_joint"])
    housing, hub = (
        unit((0.0, 0.0), sheet.flat(axis)) for axis in (shaft_pose.axis, hub_axis(pose))
    )
    direction = unit(inner, outer)
    span = math.dist(inner, outer)
    inner_arc = min(max(sheet.camera.paper(26.0), _inner_radius(shaft) * 3.0), span * 0.45)
    hub_length = math.dist(pose["hub.outer_joint"], pose["hub.wheel_centre"])
    outer_arc = hub_length + max(sheet.camera.paper(9.0), 34.0)
    for at, first, radius, value, limit in (
        (inner, housing, inner_arc, shaft_pose.inner_angle_deg, shaft.inner_joint.max_angle),
        (outer, hub, outer_arc, shaft_pose.outer_angle_deg, shaft.outer_joint.max_angle),
    ):
        state = angle_state(value, limit)
        reach = radius + sheet.camera.paper(3.0)
        sheet.add(Line(at, along(at, first, reach), "axis"))
        sheet.add(Line(at, along(at, direction, reach), "axis"))
        middle = angle_arc(at, first, direction, radius, sheet)
        word = {"good": "", "close": " close", "past": f" past {limit:g}°"}[state]
        text = f"{format_angle(value)}{word}"
        # The axes that it stands between may lie close together.
        sheet.label(middle, text, ANGLES[state], size="normal", first=(0, 4, 2), backed=True)
