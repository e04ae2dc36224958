"""``table``: the swept-length table as CSV."""

from __future__ import annotations

import argparse
import csv
import io
import math
from collections.abc import Sequence

import numpy as np

from kinematics.linkage.motion import Motion, solve
from kinematics.parts import Corner
from kinematics.shaft.following import ShaftMotion, follow, require_reaching
from kinematics.shaft.fouling import corner_clearance
from kinematics.shaft.whole_motion import travel_steps, unreachable
from kinematics.vectors import Array
from sketcher.commands import common
from sketcher.commands.console import GOOD, UNUSABLE, CommandError, complain
from sketcher.commands.output import output_form, to_file, write_out
from sketcher.words.answer import unreachable_line
from sketcher.words.plain import printable

DEFAULT_STEP_MM = 5.0
MOST_ROWS = 1_000_000
_DIGITS = 6

DESCRIPTION = """\
Write the swept-length table: a row for each wheel travel from full droop to full bump,
ride height among them. Lengths are mm, angles degrees, whatever the scene is shown in.
"""
EPILOG = """\
examples:
  sketcher table my-van.toml -o swept.csv
  sketcher table my-van.toml --side right --step 2 --steer -30 0 36
"""


def _angle(word: str) -> float:
    try:
        return float(word)
    except ValueError as error:
        # The option takes every word up to the next option.
        hint = f'expected degrees, got "{word}" (a scene goes before --steer)'
        raise argparse.ArgumentTypeError(hint) from error


OPTIONS = (
    common.a_side(),
    common.Option(
        "--step",
        type=common.length_option,
        default=DEFAULT_STEP_MM,
        metavar="MM",
        help="travel step (default 5)",
    ),
    common.Option(
        "--steer",
        type=_angle,
        nargs="+",
        action="extend",
        metavar="DEG",
        help="steer angles, + where the front of the wheel moves outboard (default: straight)",
    ),
    to_file("FILE.csv", "write to this file"),
)


def run(arguments: argparse.Namespace) -> int:
    """Write the table."""
    opened = common.open_scene(arguments)
    if arguments.output is not None:
        output_form(arguments.output, opened, (".csv",))
    scene = opened.scene
    side = common.sides_asked(arguments, scene)[0]
    steer = tuple(dict.fromkeys(arguments.steer or (0.0,)))
    with common.scene_problems(opened, side):
        text, motion = table_csv(scene.corner(side), step_mm=arguments.step, steer_deg=steer)
    write_out(text.encode("utf-8"), arguments.output)
    if bool(np.all(motion.in_reach)):
        return GOOD
    beyond = [unreachable_line(one) for one in unreachable(motion)]
    lines = [*beyond, "the table holds only the rows in reach"]
    complain(*(f"{opened.name}: {line}" for line in lines))
    return UNUSABLE


def table_csv(
    corner: Corner, step_mm: float = DEFAULT_STEP_MM, steer_deg: Sequence[float] = (0.0,)
) -> tuple[str, Motion]:
    """The table as RFC 4180 text, rows out of reach left out, and the motion behind it.

    Raises InvalidInput for a shaft too short to reach, CommandError for a steer
    angle beyond the locks or a step that makes no table.
    """
    _check(corner, step_mm, steer_deg)
    travel, steer = travel_steps(corner, step_mm), np.asarray(steer_deg, dtype=float)
    motion = solve(corner.linkage, corner.hub, travel[None, :], steer[:, None])
    shaft = follow(corner, motion)
    require_reaching(motion, shaft)
    columns = _columns(corner, motion, shaft)
    rows = zip(*(_cells(values, motion) for values in columns.values()), strict=True)
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(columns)
    writer.writerows(rows)
    return stream.getvalue(), motion


def _check(corner: Corner, step_mm: float, steer_deg: Sequence[float]) -> None:
    span = corner.travel.bump + corner.travel.droop
    if not (math.isfinite(step_mm) and step_mm > 0.0):
        raise CommandError(f"--step: expected mm above 0, got {step_mm:g}")
    if span / step_mm * len(steer_deg) > MOST_ROWS:
        raise CommandError(f"--step: expected a step that makes fewer than {MOST_ROWS} rows")
    low = -corner.steering.outside_lock if corner.steering else 0.0
    high = corner.steering.inside_lock if corner.steering else 0.0
    for angle in steer_deg:
        common.require_within_locks(angle, low, high)


def _columns(corner: Corner, motion: Motion, shaft: ShaftMotion) -> dict[str, Array | list[str]]:
    out, up, fore = np.moveaxis(motion.outer_joint, -1, 0)
    upper, strut = motion.upper_arm_angle_deg, motion.strut_length_mm
    if upper is None and strut is None:
        # Measured positions have neither strut nor arms: the cells stay empty.
        strut = np.full(motion.travel_mm.shape, np.nan)
    kind = {"upper_arm_angle_deg": upper, "strut_length_mm": strut}
    gaps = corner_clearance(corner, motion, shaft)
    names = ["", *(_as_text(bracket.name) for bracket in corner.brackets)]
    nearest = [names[index + 1] for index in gaps.nearest.flat]
    return {
        "travel_mm": motion.travel_mm,
        "steer_deg": motion.steer_deg,
        "arm_angle_deg": motion.arm_angle_deg,
        **{name: values for name, values in kind.items() if values is not None},
        "camber_deg": motion.camber_deg,
        "wheel_out_mm": motion.wheel_centre[..., 0],
        "wheel_up_mm": motion.wheel_centre[..., 1],
        "outer_joint_out_mm": out,
        "outer_joint_up_mm": up,
        "outer_joint_fore_mm": fore,
        "swept_length_mm": shaft.swept_length_mm,
        "length_change_mm": shaft.length_change_mm,
        "plunge_mm": shaft.plunge_mm,
        "stroke_left_in_mm": shaft.stroke_left_in_mm,
        "stroke_left_out_mm": shaft.stroke_left_out_mm,
        "inner_angle_deg": shaft.inner_angle_deg,
        "outer_angle_deg": shaft.outer_angle_deg,
        "clearance_mm": gaps.gap_mm,
        "nearest_bracket": nearest,
        "roll_centre_up_mm": motion.roll_centre_up_mm,
        "instant_centre_out_mm": motion.instant_centre[..., 0],
        "instant_centre_up_mm": motion.instant_centre[..., 1],
    }


def _as_text(name: str) -> str:
    """A name as a cell's text: spreadsheets would take some for a formula to work out."""
    name = printable(name)
    return f"'{name}" if name.lstrip().startswith(("=", "+", "-", "@")) else name


def _cells(values: Array | list[str], motion: Motion) -> list[str]:
    """The cells of a column in reach; empty where a value is at infinity."""
    if isinstance(values, list):
        return [value for value, ok in zip(values, motion.in_reach.flat, strict=True) if ok]
    # Adding 0 turns the minus sign of a rounded zero away.
    rounded = np.round(values[motion.in_reach], _DIGITS) + 0.0
    return [f"{value:.{_DIGITS}f}" if math.isfinite(value) else "" for value in rounded]
