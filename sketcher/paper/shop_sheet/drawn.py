"""The sketch and the plots as they are printed: black on white, to scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from kinematics.errors import KinematicsError
from kinematics.linkage.motion import reach_of, solve
from kinematics.making.cut_plan import CutPlan
from kinematics.making.fixture import Fixture
from kinematics.parts import Corner
from kinematics.shaft.following import follow
from kinematics.shaft.fouling import corner_clearance
from kinematics.vectors import Array
from scenes.model import Side
from sketcher.answers.corner_answers import envelope_outlines, gaps_at, poses
from sketcher.answers.pose import Pose
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.cut_view import cut_camera_at, cut_size_mm, cut_view
from sketcher.drawing.fixture_view import fixture_size_mm, fixture_view
from sketcher.drawing.mirror import mirrored
from sketcher.drawing.page import Drawn
from sketcher.drawing.picture import Box, Picture
from sketcher.drawing.plot_data import Column, column_of
from sketcher.drawing.plot_layout import layout
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.sketch import SketchExtras, front_view, world_box
from sketcher.paper.shop_sheet.subject import Subject
from sketcher.words.answer import brief

# Room round the drawing for names and dimensions, mm on paper.
_AROUND_MM = 5.0
_CURVE_POINTS = 61


def scales() -> tuple[float, ...]:
    """Scales that a rule reads easily, full size first."""
    steps = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 8.0)
    return tuple(1.0 / (step * 10.0**power) for power in range(6) for step in steps)


def largest_scale(fits: Callable[[float], bool]) -> float:
    """The largest of the round scales at which a drawing fits."""
    return next(filter(fits, scales()), scales()[-1])


def paper_camera(box: Box, width_mm: float, height_mm: float) -> Camera:
    """The camera of a world box at the largest round scale that fits a room on paper.

    The room's whole width is used, of its height what the drawing needs.
    """
    wide, high = width_mm - 2 * _AROUND_MM, height_mm - 2 * _AROUND_MM
    scale = largest_scale(lambda one: box.width * one <= wide and box.height * one <= high)
    per, tall = PIXELS_PER_PAPER_MM, box.height * scale + 2 * _AROUND_MM
    return Camera(width_mm * per, tall * per, box.centre, scale * per)


def ride_pose(corner: Corner) -> Pose | None:
    """The pose at ride height; None where the linkage does not close there."""
    try:
        return poses(corner, reach_of(corner.linkage, corner.hub), 0.0, 0.0).ride
    except KinematicsError:
        return None


def of_side(picture: Picture, camera: Camera, side: Side) -> Drawn:
    """A drawing with its outboard end where it is, the car being seen from the front."""
    return Drawn(picture if side == "left" else mirrored(picture, camera.box.centre[0]), camera)


def caption(drawn: Drawn, side: Side, ahead: str = "") -> str:
    """What a front view shows, for under it; ``ahead`` is how the wheel is steered."""
    way, scale = "right" if side == "left" else "left", brief(1.0 / drawn.camera.scale)
    shows = f"Front view at ride height{ahead}, out to the {way}."
    return f"{shows} Scale 1:{scale} when printed at 100 %."


def sketch_of(subject: Subject, pose: Pose, width_mm: float, height_mm: float) -> Drawn:
    """The front view at ride height at the largest round scale that fits a room on paper."""
    corner, side = subject.corner, subject.side
    camera = paper_camera(world_box(subject.scene, pose, side), width_mm, height_mm)
    within = reach_of(corner.linkage, corner.hub)
    shown = SketchExtras(
        envelope=envelope_outlines(corner, within),
        gaps=gaps_at(corner, within, pose),
        margin_mm=subject.found.margin_mm,
        grid=False,
        unit=subject.unit,
    )
    brackets = tuple(
        replace(bracket, name=subject.bracket_name(index))
        for index, bracket in enumerate(subject.scene.brackets)
    )
    scene = replace(subject.scene, brackets=brackets)
    return of_side(front_view(scene, side, pose, pose, camera, shown), camera, side)


def plots_of(subject: Subject, width_mm: float, height_mm: float) -> Drawn:
    """The column of plots over travel, straight ahead and at both locks."""
    column = _column(subject)
    # The swept length stands in its table.
    shown = tuple(plot for plot in column.plots if plot.key != "plot.swept_length")
    column = replace(column, plots=shown)
    per = PIXELS_PER_PAPER_MM
    camera = Camera(width_mm * per, height_mm * per).in_pixels()
    return Drawn(plots_picture(column, layout(column, camera)), camera)


def cuts_of(subject: Subject, plan: CutPlan, width_mm: float) -> Drawn:
    """The drawing of the cuts at the largest round scale at which it is no wider."""
    scale = largest_scale(lambda one: cut_size_mm(plan, one)[0] <= width_mm)
    camera = cut_camera_at(plan, scale, width_mm)
    words, sure = f"1:{brief(1.0 / scale)}", subject.told.fits
    drawn = cut_view(plan, camera, subject.unit, scale=words, sure=sure)
    return of_side(drawn, camera, subject.side)


def fixture_of(subject: Subject, plan: CutPlan, found: Fixture, width_mm: float) -> Drawn:
    """The welder's fixture at the largest round scale at which it is no wider."""
    scale = largest_scale(lambda one: fixture_size_mm(plan, found, one)[0] <= width_mm)
    sure = subject.told.fits
    drawn = fixture_view(plan, found, scale, width_mm, subject.unit, sure=sure)
    return of_side(*drawn, subject.side)


def _column(subject: Subject) -> Column:
    corner = subject.corner
    steering = corner.steering
    steer: Array = np.unique(
        [0.0] if steering is None else [-steering.outside_lock, 0.0, steering.inside_lock]
    )
    travel = np.linspace(-corner.travel.droop, corner.travel.bump, _CURVE_POINTS)
    motion = solve(corner.linkage, corner.hub, travel[:, None], steer[None, :])
    shaft = follow(corner, motion)
    gaps = corner_clearance(corner, motion, shaft).gap_mm
    return column_of(
        corner.shaft,
        travel,
        steer.tolist(),
        shaft,
        margin_mm=subject.found.margin_mm,
        gap_mm=gaps if subject.found.gaps else None,
        wanted_gap_mm=max((one.wanted_gap for one in corner.brackets), default=0.0),
        unit=subject.unit,
    )
