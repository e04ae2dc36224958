"""The answers on making one side's shaft: cut plan, strength, after welding, donors."""

from __future__ import annotations

from dataclasses import replace

from kinematics.errors import InvalidInput, Problem
from kinematics.making.assembly import finished_pieces, finished_welds
from kinematics.making.balance import FinishedLength, trueness
from kinematics.making.cut_plan import CutPlan
from kinematics.making.lathe_work import LatheWork, lathe_works
from kinematics.making.planning import plan_cuts
from kinematics.making.ranking import DonorPair, ranked_pairs
from kinematics.making.straightness import straightness
from kinematics.making.strength import strength
from kinematics.making.torque import Drive, shaft_speed_rpm, wheel_torque
from kinematics.making.whirl import Whirl, first_whirl_rpm
from kinematics.shaft.whole_motion import Examination
from scenes.making import Making
from scenes.model import Scene, Side
from sketcher.answers.making import Made, lacking_for_cuts, lacking_for_strength, measured_making


def made(scene: Scene, side: Side, found: Examination) -> Made:
    """Everything that the scene tells of making a shaft of the length that was examined."""
    borne = Made()
    if not lacking_for_strength(scene, side):
        borne = loaded(measured_making(scene, side), scene.drive, found.length_mm)
    return together(planned(scene, side, found), borne)


def together(plan: Made, borne: Made) -> Made:
    """What hangs on the window and what hangs on the load, as one."""
    problem = plan.problem or borne.problem
    return replace(borne, plan=plan.plan, finished=plan.finished, problem=problem)


def planned(scene: Scene, side: Side, found: Examination) -> Made:
    """Cut plan and finished length: what hangs on the length window."""
    making, ends = measured_making(scene, side), found.right_mm
    result = Made()
    try:
        if making.finished_length is not None and ends is not None:
            result = replace(result, finished=FinishedLength(making.finished_length, *ends))
        hub, gearbox, splice = making.hub_donor, making.gearbox_donor, making.splice
        if hub is None or gearbox is None or splice is None or lacking_for_cuts(scene, side):
            return result
        sections = scene.corner(side).shaft.sections
        plan = plan_cuts(hub, gearbox, splice, found.length_mm, window_mm=ends, sections=sections)
        return replace(result, plan=plan)
    except InvalidInput as error:
        return replace(result, problem=_in_scene(error))


def loaded(making: Making, drive: Drive | None, length_mm: float) -> Made:
    """Strength, whirl and trueness: what hangs on donors, splice and drive.

    A length outside its window, or a boot in the way, refuses the cut plan and changes
    nothing here; donors and a splice that do not go together leave nothing to reckon with.
    """
    hub, gearbox, splice = making.hub_donor, making.gearbox_donor, making.splice
    if hub is None or gearbox is None or splice is None or drive is None:
        return Made()
    try:
        plan = plan_cuts(hub, gearbox, splice, length_mm)
        if not plan.possible:
            return Made()
        torque, pieces = wheel_torque(drive), finished_pieces(plan)
        speed = shaft_speed_rpm(drive.top_speed, drive.tyre_radius)
        found = strength(pieces, torque.governing_nm, finished_welds(plan))
        whirl = Whirl(first_whirl_rpm(pieces, length_mm), speed)
        result = Made(torque=torque, strength=found, whirl=whirl)
    except InvalidInput as error:
        return Made(problem=_in_scene(error))
    try:
        if not making.runout:
            return result
        straight = straightness(making.runout, length_mm, splice.at)
        return replace(result, trueness=trueness(pieces, straight, speed))
    except InvalidInput as error:
        return replace(result, problem=_in_scene(error))


def ranked(scene: Scene, side: Side, found: Examination) -> tuple[DonorPair, ...]:
    """The donors listed, in pairs for the length that was examined, the best first; or none."""
    making = scene.making(side)
    if making.splice is None:
        return ()
    return ranked_pairs(
        making.donors("hub"),
        making.donors("gearbox"),
        making.splice,
        found.length_mm,
        torque_nm=None if scene.drive is None else wheel_torque(scene.drive).governing_nm,
        window_mm=found.right_mm,
        sections=scene.corner(side).shaft.sections,
    )


def on_the_lathe(scene: Scene, side: Side, plan: CutPlan) -> tuple[LatheWork, ...]:
    """What each donor asks of the scene's lathe."""
    shaft = scene.corner(side).shaft
    return lathe_works(plan, scene.lathe, shaft.outer_joint.sections, shaft.inner_joint.sections)


_NAMES = {"at": "splice.at", "length_mm": "finished_length", "splice_at_mm": "splice.at"}


def _in_scene(error: InvalidInput) -> str:
    return "; ".join(
        str(Problem(_NAMES.get(problem.field, problem.field), problem.message))
        for problem in error.problems
    )
