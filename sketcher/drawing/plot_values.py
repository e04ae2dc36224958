"""The column of plots of what is solved, and the values at the position shown."""

from __future__ import annotations

import math

from sketcher.answers.shown import Shown, Solved
from sketcher.drawing.plot_data import Column, column_of
from sketcher.words.units import MM_PER_INCH, Unit


def column_shown(solved: Solved, unit: Unit) -> Column:
    """The column of plots for what is solved, in the unit shown."""
    sweep = solved.sweep
    return column_of(
        solved.corner.shaft,
        sweep.motion.travel_mm[:, 0],
        sweep.steer_deg.tolist(),
        sweep.shaft,
        margin_mm=solved.found.margin_mm,
        gap_mm=solved.gap_mm,
        wanted_gap_mm=max((bracket.wanted_gap for bracket in solved.corner.brackets), default=6.0),
        unit=unit,
    )


def values_now(column: Column, shown: Shown, unit: Unit) -> list[float | None]:
    """Each plot's value at the pose shown, in the unit shown."""
    pose, solved = shown.pose, shown.solved
    if pose is None or pose.shaft is None or solved is None:
        return [None] * len(column.plots)
    mid = solved.corner.shaft.inner_joint.mid_stroke
    per = MM_PER_INCH if unit == "in" else 1.0
    gap = min((gap.gap_mm for gap in shown.gaps), default=None)
    values: dict[str, float | None] = {
        "plot.plunge": pose.shaft.plunge_mm / per,
        "plot.inner_angle": pose.shaft.inner_angle_deg,
        "plot.outer_angle": pose.shaft.outer_angle_deg,
        "plot.swept_length": math.dist(pose["hub.outer_joint"], mid) / per,
        "plot.clearance": None if gap is None else gap / per,
    }
    return [values.get(plot.key) for plot in column.plots]
