"""What a scene tells of making one side's shaft, and what it lacks for the answers on that."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scenes.guessed import guessed_values
from scenes.making import Making
from scenes.model import Scene, Side

if TYPE_CHECKING:
    from kinematics.making.balance import FinishedLength, Trueness
    from kinematics.making.cut_plan import CutPlan
    from kinematics.making.strength import Strength
    from kinematics.making.torque import WheelTorque
    from kinematics.making.whirl import Whirl


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


def at_length(scene: Scene, side: Side, length_mm: float) -> Scene:
    """The scene with another length of one shaft; raises InvalidInput for one that is none."""
    shaft = scene.shaft(side)
    if shaft is None:
        return scene
    changed = replace(shaft, length=length_mm)
    return replace(scene, left=changed) if side == "left" else replace(scene, right=changed)


def is_told(scene: Scene, side: Side) -> bool:
    """Whether the scene tells enough of making a side's shaft for any answer."""
    return not lacking_for_cuts(scene, side) or scene.making(side).finished_length is not None
