"""What a scene tells of making one side's shaft, answered: cut plan, strength, after welding."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kinematics.errors import InvalidInput, Problem
from kinematics.making.assembly import finished_pieces, finished_welds
from kinematics.making.balance import FinishedLength, Trueness, finished_length, trueness
from kinematics.making.cut_plan import CutPlan
from kinematics.making.lathe import LatheWork, lathe_works
from kinematics.making.planning import plan_cuts
from kinematics.making.straightness import straightness
from kinematics.making.strength import Strength, strength
from kinematics.making.torque import Drive, WheelTorque, shaft_speed_rpm, wheel_torque
from kinematics.making.whirl import Whirl, whirl
from kinematics.shaft.whole_motion import Examination
from scenes.guessed import guessed_values
from scenes.making import Making
from scenes.model import Scene, Side


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """One side's shaft as it is to be made, or was; None for what the scene does not tell.

    ``problem`` is one line about a splice or readings that fit no real shaft.
    """

    plan: CutPlan | None = None
    torque: WheelTorque | None = None
    strength: Strength | None = None
    whirl: Whirl | None = None
    trueness: Trueness | None = None
    finished: FinishedLength | None = None
    problem: str = ""


def lacking_for_cuts(scene: Scene, side: Side) -> tuple[str, ...]:
    """What of the scene a cut plan needs and that is not there: tables, or measured values."""
    return (*_tables_for_cuts(scene, side), *placeholders(scene, side, "donors"))


def placeholders(scene: Scene, side: Side, part: str) -> tuple[str, ...]:
    """What was only started of a part, in words; nothing where all of it is measured.

    A part is ``donors`` or ``runout`` of a side, or ``drive``.
    """
    key = part if part == "drive" else f"shafts.{side}.{part}"
    count = sum(_within(path, key) for path in guessed_values(scene, side))
    if not count:
        return ()
    still = "1 is still a placeholder" if count == 1 else f"{count} are still placeholders"
    return (f"measured values of the {part} ({still})",)


def measured_making(scene: Scene, side: Side) -> Making:
    """How a side's shaft is made, without what nobody has measured on it after welding."""
    making, guesses = scene.making(side), guessed_values(scene, side)
    taken = tuple(
        reading
        for index, reading in enumerate(making.runout)
        if not any(_within(path, f"shafts.{side}.runout[{index}]") for path in guesses)
    )
    if f"shafts.{side}.finished_length" in guesses:
        making = replace(making, finished_length=None)
    return making if len(taken) == len(making.runout) else replace(making, runout=taken)


def _within(path: str, key: str) -> bool:
    return path.startswith((f"{key}.", f"{key}["))


def _tables_for_cuts(scene: Scene, side: Side) -> tuple[str, ...]:
    making, at = scene.making(side), f"shafts.{side}"
    wanted = {
        f"[{at}.donors.hub]": making.hub_donor,
        f"[{at}.donors.gearbox]": making.gearbox_donor,
        f"[{at}.splice]": making.splice,
    }
    return tuple(name for name, value in wanted.items() if value is None)


def lacking_for_strength(scene: Scene, side: Side) -> tuple[str, ...]:
    """The same for the strength of the finished shaft."""
    drive = placeholders(scene, side, "drive") if scene.drive is not None else ("[drive]",)
    return (*lacking_for_cuts(scene, side), *drive)


def lacking_after_welding(scene: Scene, side: Side) -> tuple[str, ...]:
    """The same for what is measured after welding: readings, or a finished length."""
    making, at = measured_making(scene, side), f"shafts.{side}"
    if scene.making(side).runout:
        return (*lacking_for_strength(scene, side), *placeholders(scene, side, "runout"))
    if making.finished_length is not None:
        return ()
    return (f"[[{at}.runout]] or {at}.finished_length",)


def at_length(scene: Scene, side: Side, length_mm: float | None) -> Scene:
    """The scene with another length of one shaft; as it is where that is None."""
    shaft = scene.shaft(side)
    if length_mm is None or shaft is None:
        return scene
    changed = replace(shaft, length=length_mm)
    return replace(scene, left=changed) if side == "left" else replace(scene, right=changed)


def made(scene: Scene, side: Side, found: Examination) -> Made:
    """Everything that the scene tells of making a shaft of the length that was examined."""
    borne = Made()
    if not lacking_for_strength(scene, side):
        borne = loaded(measured_making(scene, side), scene.drive, found.length_mm)
    return together(planned(scene, side, found), borne)


def together(plan: Made, borne: Made) -> Made:
    """What hangs on the window and what hangs on the load, as one."""
    return replace(
        plan,
        torque=borne.torque,
        strength=borne.strength,
        whirl=borne.whirl,
        trueness=borne.trueness,
        problem=plan.problem or borne.problem,
    )


def planned(scene: Scene, side: Side, found: Examination) -> Made:
    """Cut plan and finished length: what hangs on the length window."""
    making, shaft, ends = measured_making(scene, side), scene.shaft(side), found.right_mm
    result = Made()
    try:
        if making.finished_length is not None and ends is not None:
            result = replace(result, finished=finished_length(making.finished_length, ends))
        hub, gearbox, splice = making.hub_donor, making.gearbox_donor, making.splice
        if hub is None or gearbox is None or splice is None or lacking_for_cuts(scene, side):
            return result
        sections = () if shaft is None else shaft.sections
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
        result = Made(
            torque=torque,
            strength=strength(pieces, torque.governing_nm, finished_welds(plan)),
            whirl=whirl(pieces, length_mm, speed),
        )
    except InvalidInput as error:
        return Made(problem=_in_scene(error))
    try:
        if not making.runout:
            return result
        straight = straightness(making.runout, length_mm, splice.at)
        return replace(result, trueness=trueness(pieces, straight, speed))
    except InvalidInput as error:
        return replace(result, problem=_in_scene(error))


def on_the_lathe(scene: Scene, side: Side, plan: CutPlan) -> tuple[LatheWork, ...]:
    """What each donor asks of the scene's lathe."""
    shaft = scene.shaft(side)
    if shaft is None:
        return lathe_works(plan, scene.lathe)
    outer, inner = shaft.outer_joint.sections, shaft.inner_joint.sections
    return lathe_works(plan, scene.lathe, outer, inner)


_NAMES = {"at": "splice.at", "length_mm": "finished_length", "splice_at_mm": "splice.at"}


def _in_scene(error: InvalidInput) -> str:
    return "; ".join(
        str(Problem(_NAMES.get(problem.field, problem.field), problem.message))
        for problem in error.problems
    )
