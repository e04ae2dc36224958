"""``report``: the answer on one screen, in plain words or as JSON."""

from __future__ import annotations

import argparse
from typing import Any

from kinematics.shaft.length_window import Position
from sketcher.answers.verdict import Answered, making_broken
from sketcher.commands import common
from sketcher.commands.answering import EXIT_CODES, answer_sides, exit_code, verdict_json
from sketcher.commands.console import print_json, tell
from sketcher.commands.report_page import report_lines
from sketcher.words import answer as wording
from sketcher.words.certainty import certainty_json
from sketcher.words.plain import picked

DESCRIPTION = """\
Say whether the shaft can be cut: its length and length window, the worst stroke left,
joint angles and gaps over the whole motion (travel, steering lock, gearbox movement).
"""
EPILOG = EXIT_CODES

OPTIONS = (
    common.a_side("both"),
    common.MARGIN,
    common.IN_UNITS,
    common.Option(
        "--certainty",
        action="store_true",
        help="with --json, how sure the length is, too; the command certainty tells all of it",
    ),
    common.AS_JSON,
)


def run(arguments: argparse.Namespace) -> int:
    """Print the report."""
    opened = common.open_scene(arguments)
    answers = answer_sides(opened, common.sides_asked(arguments, opened.scene), arguments.margin)
    if arguments.json:
        sides_json = {one.side: as_json(one, certainty=arguments.certainty) for one in answers}
        print_json({"sides": sides_json})
    else:
        tell(*report_lines(opened.scene, answers, arguments.units))
    return exit_code(opened, answers)


def as_json(one: Answered, *, certainty: bool = False) -> dict[str, Any]:
    """One side's answer with the report's keys; lengths in mm, angles in degrees."""
    # The page has no use for them.
    from sketcher.commands.making_json import plan_json, strength_json, welded_json  # noqa: PLC0415

    found, making, sure = one.found, one.made, one.workings.certainty
    window = found.window
    broken = wording.broken_lines(found, one.scene.steering)
    return {
        "verdict": verdict_json(one),
        **picked(found, "length_mm", "length_given", "ride_centred_length_mm", "margin_mm"),
        "length_window_mm": found.right_mm,
        "window_shortfall_mm": window.shortfall_mm if window else None,
        "worst": {
            **{f"{w.quantity}_{'deg' if w.is_angle else 'mm'}": w.value for w in found.of_joints},
            "clearance_mm": found.clearance.value if found.clearance else None,
        },
        "worst_at": {worst.quantity: _position_json(worst.position) for worst in found.of_joints},
        "brackets": [
            {
                "name": gap.worst.part,
                "clearance_mm": gap.worst.value,
                "wanted_gap_mm": gap.worst.limit,
                "at": _position_json(gap.worst.position),
                "section": gap.approach.section_name,
                "point_mm": gap.approach.point_mm,
            }
            for gap in found.gaps
        ],
        "broken": [*broken, *making_broken(making)],
        "cuts": plan_json(making.plan) if making.plan and not one.verdict().forbids else None,
        "strength": strength_json(making) if making.strength else None,
        "after_welding": welded_json(making) or None,
        **({"certainty": certainty_json(sure, one.side)} if certainty and sure is not None else {}),
    }


def _position_json(position: Position) -> dict[str, Any]:
    return picked(position, "travel_mm", "steer_deg") | {"gearbox_shift_mm": position.shift_mm}
