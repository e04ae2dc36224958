"""``report``: the answer on one screen, in plain words or as JSON."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

from kinematics.errors import InvalidInput
from kinematics.parts import Steering
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import Examination, examine, whole_motion
from scenes.model import Side
from sketcher.answers.making import Made, made
from sketcher.answers.making_verdict import making_broken
from sketcher.commands.common import (
    Opened,
    add_command,
    add_json,
    add_margin,
    add_side,
    add_units,
    in_scene,
    open_scene,
    require_margin,
)
from sketcher.commands.console import BROKEN, GOOD, UNUSABLE, complain, print_json, tell
from sketcher.commands.making_json import plan_json, strength_json, welded_json
from sketcher.commands.report_page import report_lines
from sketcher.words import answer as wording

if TYPE_CHECKING:
    from kinematics.sure.certainty import Certainty

DESCRIPTION = """\
Say whether the shaft can be cut: its length and length window, the worst stroke left,
joint angles and gaps over the whole motion (travel, steering lock, gearbox movement).
"""
EPILOG = """\
exit code: 0 everything holds, 1 a limit is broken, 2 the scene cannot be read or solved
"""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    says = "the answer on one screen: length, window, worst values, limits"
    parser = add_command(commands, "report", run, says, DESCRIPTION, EPILOG)
    add_side(parser, "both")
    add_margin(parser)
    add_units(parser)
    parser.add_argument(
        "--certainty",
        action="store_true",
        help="say how sure the length is, too; the command certainty tells all of it",
    )
    add_json(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the report."""
    opened = open_scene(arguments)
    require_margin(arguments.margin)
    sides: tuple[Side, ...] = (arguments.side,) if arguments.side else opened.scene.sides
    steering = opened.scene.steering
    found = examine_sides(opened, sides, arguments.margin)
    making = {side: made(opened.scene, side, one) for side, one in found.items()}
    sure = certainties(opened, found) if arguments.certainty else {}
    if arguments.json:
        sides_json = {side: as_json(one, making[side], steering) for side, one in found.items()}
        if sure:
            from sketcher.words.certainty import certainty_json  # noqa: PLC0415

            for side, one_sure in sure.items():
                sides_json[side]["certainty"] = certainty_json(one_sure)
        print_json({"sides": sides_json})
    else:
        tell(*report_lines(opened.scene, found, making, arguments.units, sure))
    # Both sides hang on the same linkage.
    unreachable = next(iter(found.values())).unreachable
    if unreachable:
        complain(*(f"{opened.name}: {wording.unreachable_line(one)}" for one in unreachable))
        return UNUSABLE
    broken = any(all_broken(one, making[side], steering) for side, one in found.items())
    return BROKEN if broken else GOOD


def all_broken(found: Examination, making: Made, steering: Steering | None) -> list[str]:
    """Each limit that is broken, of the motion first, then of making the shaft."""
    return [*wording.broken_lines(found, steering=steering), *making_broken(making)]


def examine_sides(
    opened: Opened, sides: Sequence[Side], margin_mm: float
) -> dict[Side, Examination]:
    """The answer for each side; the wheels of both move alike.

    Raises SceneError for a shaft or linkage that turns out impossible.
    """
    corners = {side: opened.scene.corner(side) for side in sides}

    def examined(side: Side) -> Examination:
        try:
            return examine(corners[side], margin_mm, motion)
        except InvalidInput as error:
            raise in_scene(error, side, opened.name) from error

    try:
        motion = whole_motion(corners[sides[0]])
    except InvalidInput as error:
        raise in_scene(error, sides[0], opened.name) from error
    # numpy lets go of the interpreter while it computes, so two sides share two cores.
    with ThreadPoolExecutor(len(corners)) as pool:
        return dict(zip(corners, pool.map(examined, corners), strict=True))


def certainties(opened: Opened, found: Mapping[Side, Examination]) -> dict[Side, Certainty]:
    """How sure each side's length is."""
    if any(one.unreachable for one in found.values()):
        return {}
    # Twenty thousand draws, of which a plain report needs none.
    from sketcher.commands.certainty import certainty_of  # noqa: PLC0415

    return {side: certainty_of(opened, side, one.margin_mm) for side, one in found.items()}


def as_json(found: Examination, making: Made, steering: Steering | None) -> dict[str, Any]:
    """One side's answer with the report's keys; lengths in mm, angles in degrees."""
    window = found.window
    usable = window is not None and not window.empty
    return {
        "length_mm": found.length_mm,
        "length_given": found.length_given,
        "ride_centred_length_mm": found.ride_centred_length_mm,
        "margin_mm": found.margin_mm,
        "length_window_mm": [window.shortest_mm, window.longest_mm] if usable and window else None,
        "window_shortfall_mm": window.shortfall_mm if window else None,
        "worst": {
            "stroke_left_in_mm": found.stroke_left_in.value,
            "stroke_left_out_mm": found.stroke_left_out.value,
            "inner_angle_deg": found.inner_angle.value,
            "outer_angle_deg": found.outer_angle.value,
            "clearance_mm": found.clearance.value if found.clearance else None,
        },
        "worst_at": {worst.quantity: position_json(worst.position) for worst in found.worst[:4]},
        "brackets": [
            {
                "name": gap.worst.part,
                "clearance_mm": gap.worst.value,
                "wanted_gap_mm": gap.worst.limit,
                "at": position_json(gap.worst.position),
                "section": gap.approach.section_name,
                "point_mm": list(gap.approach.point_mm),
            }
            for gap in found.gaps
        ],
        "broken": all_broken(found, making, steering),
        "cuts": plan_json(making.plan) if making.plan else None,
        "strength": strength_json(making) if making.strength else None,
        "after_welding": welded_json(making) or None,
    }


def position_json(position: Position) -> dict[str, Any]:
    """A position of the whole motion."""
    return {
        "travel_mm": position.travel_mm,
        "steer_deg": position.steer_deg,
        "gearbox_shift_mm": list(position.shift_mm),
    }
