"""The figures of making, for JSON: lengths in mm, angles in degrees, N·m, MPa, g·mm."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS
from kinematics.making.strength import Stressed
from sketcher.answers.making import Made
from sketcher.answers.verdict import cut_refusals, strong_enough, too_weak
from sketcher.words.cut_steps import WorkLine, step_lines
from sketcher.words.plain import picked
from sketcher.words.strength import warning_lines


def plan_json(plan: CutPlan) -> dict[str, Any]:
    """A cut plan's figures, each distance from a donor's own datum and joint's centre."""
    tolerance = plan.tolerance
    return {
        **picked(plan, "first", "diameter_mm"),
        "cuts": {
            end: {
                "datum": cut.donor.datum.name,
                "saw_from_datum_mm": cut.first_cut_from_datum_mm,
                "saw_from_joint_mm": cut.first_cut_mm,
                "finished_from_datum_mm": cut.cut_from_datum_mm,
                "finished_from_joint_mm": cut.cut_mm,
                "face_from_joint_mm": cut.face_mm,
                "trim_mm": cut.trim_mm,
                "turned_from_joint_mm": cut.turned_from_mm,
                "left_over_mm": cut.left_over_mm,
                "cut_twice": cut.donor.cut_twice,
            }
            for end in ENDS
            for cut in (plan.cut(end),)
        },
        "sleeve_mm": plan.splice.sleeve_span_mm,
        "tolerance": tolerance
        and picked(tolerance, "shorter_mm", "longer_mm", "cuts", "each_cut_mm"),
        "steps": [] if not plan.possible else [_line_json(line) for line in step_lines(plan)],
    }


def _line_json(line: WorkLine) -> dict[str, Any]:
    return {
        "words": line.text,
        "caution": line.caution,
        "actions": [
            {key: value for key, value in asdict(step).items() if value is not None}
            for step in line.steps
        ],
    }


def strength_json(made: Made) -> dict[str, Any]:
    """Strength of one side's shaft; N·m, MPa, mm, degrees."""
    found, torque, whirl = made.strength, made.torque, made.whirl
    if found is None or torque is None or whirl is None:
        return {"holds": False, "refused": list(cut_refusals(made))}
    weakest = found.weakest
    return {
        "holds": strong_enough(made),
        "broken": list(too_weak(made)),
        "torque_nm": found.torque_nm,
        "governed_by": torque.governed_by,
        "engine_torque_nm": torque.shock_nm,
        "grip_torque_nm": torque.grip_nm,
        "wanted_factor": found.wanted_factor,
        "weakest": {"name": weakest.name, "factor": weakest.factor_of_safety},
        "twist_deg": found.twist_deg,
        **picked(whirl, "first_whirl_rpm", "top_speed_rpm"),
        "pieces": [_part_json(one) for one in found.pieces],
        "welds": [_part_json(one) for one in found.welds],
        "unknown_beside_weld": list(found.unknown_beside_weld),
        "mind": list(warning_lines(found)),
        "not_covered": list(found.not_covered),
    }


def _part_json(one: Stressed) -> dict[str, Any]:
    return asdict(one) | picked(one, "peak_stress_mpa", "factor_of_safety", "peak_factor")


def welded_json(made: Made) -> dict[str, Any]:
    """The figures of what was measured."""
    true, finished = made.trueness, made.finished
    content: dict[str, Any] = {}
    if true is not None:
        straight, balance = true.straight, true.balance
        content |= {
            "runout_mm": straight.worst_runout_mm,
            "largest_reading_mm": straight.largest_tir_mm,
            "eccentricity_at_splice_mm": float(straight.eccentricity_mm(straight.splice_at_mm)),
            "bend_deg": straight.kink_deg,
            "step_mm": straight.step_mm,
            "unbalance_gmm": balance.unbalance_gmm,
            "balance_mm_s": balance.velocity_mm_s,
            "balance_grade": balance.grade,
            **picked(balance, "mass_kg", "speed_rpm"),
            "judged": [
                picked(each, "quantity", "value", "limit", "holds", "source")
                for each in true.judged
            ],
        }
    if finished is not None:
        content |= {
            "finished_length_mm": finished.length_mm,
            "length_window_mm": [finished.shortest_mm, finished.longest_mm],
            "length_verdict": finished.verdict,
        }
    return content
