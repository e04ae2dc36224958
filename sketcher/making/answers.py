"""What a scene tells of making one side's shaft, answered: cut plan, strength, after welding."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from kinematics.assembly import finished_pieces, finished_welds
from kinematics.balance import FinishedLength, Trueness, finished_length, trueness
from kinematics.cutplan import CutPlan
from kinematics.cutting import plan_cuts
from kinematics.errors import InvalidInput, Problem
from kinematics.examine import Examination
from kinematics.parts import Section
from kinematics.straightness import straightness
from kinematics.strength import Strength, strength
from kinematics.torque import Drive, WheelTorque, shaft_speed_rpm, wheel_torque
from kinematics.whirl import Whirl, whirl
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
    """The tables of the scene that a cut plan needs and that are not there."""
    making, at = scene.making(side), f"shafts.{side}"
    wanted = {
        f"[{at}.donors.hub]": making.hub_donor,
        f"[{at}.donors.gearbox]": making.gearbox_donor,
        f"[{at}.splice]": making.splice,
    }
    return tuple(name for name, value in wanted.items() if value is None)


def lacking_for_strength(scene: Scene, side: Side) -> tuple[str, ...]:
    """The same for the strength of the finished shaft."""
    drive = () if scene.drive is not None else ("[drive]",)
    return (*lacking_for_cuts(scene, side), *drive)


def lacking_after_welding(scene: Scene, side: Side) -> tuple[str, ...]:
    """The same for what is measured after welding: readings, or a finished length."""
    making, at = scene.making(side), f"shafts.{side}"
    if making.runout:
        return lacking_for_strength(scene, side)
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
    shaft = scene.shaft(side)
    window = found.window
    ends = None
    if window is not None and not window.empty:
        ends = (window.shortest_mm, window.longest_mm)
    sections = () if shaft is None else shaft.sections
    return made_of(scene.making(side), scene.drive, sections, found.length_mm, ends)


def made_of(
    making: Making,
    drive: Drive | None,
    sections: tuple[Section, ...],
    length_mm: float,
    window_mm: tuple[float, float] | None,
) -> Made:
    """The same from its parts; ``window_mm`` None where no length is right.

    A length outside its window, or a boot in the way, refuses the plan and leaves strength
    and unbalance as they are: those hang on the donors and the splice alone.
    """
    result = Made()
    try:
        if making.finished_length is not None and window_mm is not None:
            finished = finished_length(making.finished_length, window_mm)
            result = replace(result, finished=finished)
        hub, gearbox, splice = making.hub_donor, making.gearbox_donor, making.splice
        if hub is None or gearbox is None or splice is None:
            return result
        plan = plan_cuts(hub, gearbox, splice, length_mm, window_mm=window_mm, sections=sections)
        result = replace(result, plan=plan)
        alone = plan_cuts(hub, gearbox, splice, length_mm)
        if alone.possible and drive is not None:
            result = _loaded(result, alone, drive)
            result = _welded(result, alone, drive, making)
    except InvalidInput as error:
        return replace(result, problem="; ".join(_in_scene(error)))
    return result


def _loaded(result: Made, plan: CutPlan, drive: Drive) -> Made:
    torque, pieces = wheel_torque(drive), finished_pieces(plan)
    speed = shaft_speed_rpm(drive.top_speed, drive.tyre_radius)
    return replace(
        result,
        torque=torque,
        strength=strength(pieces, torque.governing_nm, finished_welds(plan)),
        whirl=whirl(pieces, plan.length_mm, speed),
    )


def _welded(result: Made, plan: CutPlan, drive: Drive, making: Making) -> Made:
    if not making.runout:
        return result
    straight = straightness(making.runout, plan.length_mm, plan.splice.at)
    speed = shaft_speed_rpm(drive.top_speed, drive.tyre_radius)
    return replace(result, trueness=trueness(finished_pieces(plan), straight, speed))


def _in_scene(error: InvalidInput) -> Iterator[str]:
    names = {"at": "splice.at", "length_mm": "finished_length"}
    for problem in error.problems:
        yield str(Problem(names.get(problem.field, problem.field), problem.message))
