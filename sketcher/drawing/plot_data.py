"""What the column of plots shows: values over travel, bands and limits, ready to be drawn."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.parts import Shaft
from kinematics.shaft.following import ShaftMotion
from kinematics.vectors import Array
from sketcher.answers.shown import Shown, Solved
from sketcher.answers.states import CLOSE_TO_ANGLE, State
from sketcher.words.units import MM_PER_INCH, Unit

Which = Literal["straight", "inside", "outside"]
WORDS: dict[Which, str] = {
    "straight": "straight",
    "inside": "inside lock",
    "outside": "outside lock",
}
# A swept length that changes less than this still gets an axis this tall, mm.
_LEAST_SPAN_MM = 4.0
_MOST_GAPS_WANTED = 5.0
# Of a length as it is shown: what one mm is, and its digits.
_PER_MM: dict[Unit, float] = {"mm": 1.0, "in": 1.0 / MM_PER_INCH}
_DIGITS: dict[Unit, int] = {"mm": 1, "in": 3}


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """Values over the column's travel; NaN where out of reach."""

    which: Which
    values: Array


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """A region of a state between two curves over travel, with its word."""

    state: State
    low: Array
    high: Array
    word: str = ""
    at_top: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Plot:
    """One quantity over travel; values in mm (or inches, as shown) or degrees."""

    key: str
    title: str
    unit: str
    digits: int
    low: float
    high: float
    curves: tuple[Curve, ...]
    bands: tuple[Band, ...] = ()
    signed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """Plots over one shared travel, mm, rising; ``unit`` is what its axis shows."""

    travel_mm: Array
    plots: tuple[Plot, ...]
    unit: Unit = "mm"


def column_of(
    shaft: Shaft,
    travel_mm: Array,
    steer_deg: Sequence[float],
    motion: ShaftMotion,
    *,
    margin_mm: float = 3.0,
    gap_mm: Array | None = None,
    wanted_gap_mm: float = 6.0,
    unit: Unit = "mm",
) -> Column:
    """The column for one shaft.

    ``motion`` and ``gap_mm`` have the shape (travels, steers); of ``steer_deg`` 0
    is straight, + the inside and − the outside lock, as many as there are.
    """
    which: tuple[Which, ...] = tuple(
        "straight" if angle == 0.0 else "inside" if angle > 0.0 else "outside"
        for angle in steer_deg
    )
    plots = [
        _plunge(shaft, motion, which, margin_mm, unit),
        _angle("inner", motion.inner_angle_deg, which, shaft.inner_joint.max_angle),
        _angle("outer", motion.outer_angle_deg, which, shaft.outer_joint.max_angle),
        _swept(motion, which, unit),
    ]
    if gap_mm is not None and bool(np.isfinite(gap_mm).any()):
        plots.append(_gaps(gap_mm, which, wanted_gap_mm, unit))
    return Column(np.asarray(travel_mm, dtype=np.float64), tuple(plots), unit)


def _curves(values: Array, which: tuple[Which, ...]) -> tuple[Curve, ...]:
    return tuple(Curve(name, values[:, i]) for i, name in enumerate(which))


def _plunge(
    shaft: Shaft, motion: ShaftMotion, which: tuple[Which, ...], margin_mm: float, unit: Unit
) -> Plot:
    per = _PER_MM[unit]
    with np.errstate(invalid="ignore"):
        # Of the steer angles the one that bends the joint most leaves the least usable stroke.
        out = np.fmin.reduce(motion.plunge_mm + motion.stroke_left_out_mm, axis=1)
        inward = np.fmax.reduce(motion.plunge_mm - motion.stroke_left_in_mm, axis=1)
    joint = shaft.inner_joint
    out = np.where(np.isfinite(out), out, joint.stroke_out) * per
    inward = np.where(np.isfinite(inward), inward, -joint.stroke_in) * per
    margin = margin_mm * per
    values = motion.plunge_mm * per
    full = (joint.stroke_in + joint.stroke_out) * per or 1.0
    high = float(np.nanmax(values, initial=joint.stroke_out * per))
    low = float(np.nanmin(values, initial=-joint.stroke_in * per))
    high, low = high + 0.16 * full, low - 0.16 * full
    top, bottom = np.full_like(out, high), np.full_like(out, low)
    return Plot(
        "plot.plunge", "plunge", unit, _DIGITS[unit], low, high,
        _curves(values, which),
        (
            Band("past", out, top, "pulls apart"),
            Band("close", out - margin, out),
            Band("close", inward, inward + margin),
            Band("past", bottom, inward, "bottoms", at_top=False),
        ),
        signed=True,
    )  # fmt: skip


def _angle(joint: str, values: Array, which: tuple[Which, ...], limit: float) -> Plot:
    most = max(float(np.nanmax(values, initial=0.0)), limit)
    high = most + 0.26 * limit
    edge, close, top = (np.full(len(values), v) for v in (limit, CLOSE_TO_ANGLE * limit, high))
    past = Band("past", edge, top, f"past its limit {limit:g}°")
    bands = (past, Band("close", close, edge))
    key, title = f"plot.{joint}_angle", f"{joint} joint angle"
    return Plot(key, title, "°", 1, 0.0, high, _curves(values, which), bands)


def _swept(motion: ShaftMotion, which: tuple[Which, ...], unit: Unit) -> Plot:
    per = _PER_MM[unit]
    values = motion.swept_length_mm * per
    length = motion.length_mm * per
    low = min(float(np.nanmin(values, initial=length)), length)
    high = max(float(np.nanmax(values, initial=length)), length)
    spare = max(0.12 * (high - low), 0.5 * (_LEAST_SPAN_MM * per - high + low), 1e-6)
    key, axis = "plot.swept_length", (low - spare, high + spare)
    return Plot(key, "swept length", unit, _DIGITS[unit], *axis, _curves(values, which))


def _gaps(gap_mm: Array, which: tuple[Which, ...], wanted_mm: float, unit: Unit) -> Plot:
    values, wanted, digits = gap_mm * _PER_MM[unit], wanted_mm * _PER_MM[unit], _DIGITS[unit]
    least = float(np.nanmin(values, initial=0.0))
    # What is far away need not be told apart; what is near must be.
    most = min(
        float(np.nanmax(values, initial=wanted * 2.0)), _MOST_GAPS_WANTED * max(wanted, 1e-3)
    )
    high = most * 1.1
    low = min(least * 1.1, -0.18 * high)
    zero, edge, bottom = (np.full(len(values), v) for v in (0.0, wanted, low))
    bands = (
        Band("close", zero, edge, f"closer than wanted {wanted:.{digits}f}"),
        Band("past", bottom, zero, "fouls", at_top=False),
    )
    key, title = "plot.clearance", "gap, nearest bracket"
    return Plot(key, title, unit, digits, low, high, _curves(values, which), bands)


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


def values_now(column: Column, shown: Shown) -> list[float | None]:
    """Each plot's value at the pose shown, in the column's unit."""
    pose, solved = shown.pose, shown.solved
    if pose is None or pose.shaft is None or solved is None:
        return [None] * len(column.plots)
    mid = solved.corner.shaft.inner_joint.mid_stroke
    per = _PER_MM[column.unit]
    gap = min((gap.gap_mm for gap in shown.gaps), default=None)
    values: dict[str, float | None] = {
        "plot.plunge": pose.shaft.plunge_mm * per,
        "plot.inner_angle": pose.shaft.inner_angle_deg,
        "plot.outer_angle": pose.shaft.outer_angle_deg,
        "plot.swept_length": math.dist(pose["hub.outer_joint"], mid) * per,
        "plot.clearance": None if gap is None else gap * per,
    }
    return [values.get(plot.key) for plot in column.plots]
