"""What follows from how a shaft is made: cut plan, strength, whirl, how sure, how true."""

from __future__ import annotations

from dataclasses import dataclass

from kinematics.assembly import finished_pieces, finished_welds
from kinematics.balance import FinishedLength, Trueness, finished_length, trueness
from kinematics.certainty import Certainty, certainty
from kinematics.cutplan import CutPlan
from kinematics.cutting import plan_cuts
from kinematics.errors import InvalidInput, KinematicsError, Problem
from kinematics.examine import Examination
from kinematics.fit import TrialFit, trial_fit
from kinematics.straightness import straightness
from kinematics.strength import Strength, strength
from kinematics.torque import WheelTorque, shaft_speed_rpm, wheel_torque
from kinematics.whirl import Whirl, whirl
from scenes.model import Scene, Side


@dataclass(frozen=True, slots=True, eq=False)
class Workings:
    """Everything about making one shaft that its scene has enough for; None for the rest.

    ``trial_problem`` says why what was measured on the car could not be compared.
    """

    plan: CutPlan | None = None
    torque: WheelTorque | None = None
    strength: Strength | None = None
    whirl: Whirl | None = None
    certainty: Certainty | None = None
    trueness: Trueness | None = None
    finished: FinishedLength | None = None
    trial: TrialFit | None = None
    trial_problem: str = ""


def workings(scene: Scene, side: Side, found: Examination) -> Workings:
    """Work out what the scene has enough for.

    Raises InvalidInput, by the scene's keys, for a splice that is not between the joints.
    """
    making, corner, drive = scene.making(side), scene.corner(side), scene.drive
    window = found.window
    ends = None if window is None or window.empty else (window.shortest_mm, window.longest_mm)
    plan = _plan(scene, side, found, ends)
    torque = None if drive is None else wheel_torque(drive)
    rpm = None if drive is None else shaft_speed_rpm(drive.top_speed, drive.tyre_radius)
    pieces = finished_pieces(plan) if plan is not None and plan.possible else None
    strong = turning = true = None
    if plan is not None and pieces is not None and torque is not None and rpm is not None:
        strong = strength(pieces, torque.governing_nm, finished_welds(plan))
        turning = whirl(pieces, plan.length_mm, rpm)
        if making.runout:
            straight = straightness(making.runout, plan.length_mm, plan.splice.at)
            true = trueness(pieces, straight, rpm)
    trial, problem = _trial(scene, side)
    return Workings(
        plan=plan,
        torque=torque,
        strength=strong,
        whirl=turning,
        # Where the whole motion is not in reach there is nothing to be sure of.
        certainty=None
        if found.unreachable
        else certainty(corner, scene.tape, shaft=f"shafts.{side}", margin_mm=found.margin_mm),
        trueness=true,
        finished=None
        if making.finished_length is None or ends is None
        else finished_length(making.finished_length, ends),
        trial=trial,
        trial_problem=problem,
    )


def _plan(
    scene: Scene, side: Side, found: Examination, ends: tuple[float, float] | None
) -> CutPlan | None:
    making, shaft = scene.making(side), scene.corner(side).shaft
    if making.hub_donor is None or making.gearbox_donor is None or making.splice is None:
        return None
    try:
        return plan_cuts(
            making.hub_donor,
            making.gearbox_donor,
            making.splice,
            found.length_mm,
            window_mm=ends,
            sections=shaft.sections,
        )
    except InvalidInput as error:
        raise InvalidInput(
            [Problem(f"shafts.{side}.splice.{one.field}", one.message) for one in error.problems]
        ) from error


def _trial(scene: Scene, side: Side) -> tuple[TrialFit | None, str]:
    making = scene.making(side)
    if not making.trial:
        return None, ""
    try:
        fitted = trial_fit(
            scene.corner(side),
            making.trial,
            scene.tape,
            doubtful=making.doubtful,
            shaft=f"shafts.{side}",
        )
    except KinematicsError as error:
        return None, "; ".join(str(error).split("\n"))
    return fitted, ""
