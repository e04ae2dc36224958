"""What a person does about tape errors, the trial fit and the gearbox: scene in, scene out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from kinematics.errors import InvalidInput
from kinematics.sure.tape import Tape, TapeError, class_ii_limit_mm
from kinematics.sure.trial import QUANTITIES, TrialMeasurement, TrialQuantity
from scenes.keys import refusing, with_value
from scenes.model import Scene, Side


def turn_own_error(scene: Scene, thing: str) -> Scene:
    """A tape error of its own for one thing, at first what it has now; or the tape's again."""
    tape = scene.tape or Tape()
    size = class_ii_limit_mm(0.0) if tape.limit is None else tape.limit
    errors = tuple(error for error in tape.errors if error.thing != thing)
    if not has_own_error(scene, thing):
        errors += (TapeError(thing, (size,)),)
    return replace(scene, tape=replace(tape, errors=errors))


def has_own_error(scene: Scene, thing: str) -> bool:
    """Whether a thing has a tape error of its own."""
    return scene.tape is not None and any(one.thing == thing for one in scene.tape.errors)


def remove_last_measurement(scene: Scene, side: Side) -> Scene:
    """The trial fit without the measurement that was entered last."""
    trial = scene.making(side).trial
    return with_value(scene, f"shafts.{side}.trial", trial[:-1])


def measured_quantity(scene: Scene, side: Side) -> TrialQuantity:
    """What was measured last at the trial fit; the centre distance where nothing was."""
    trial = scene.making(side).trial
    return trial[-1].quantity if trial else QUANTITIES[0]


def turn_quantity(scene: Scene, side: Side) -> Scene:
    """Every measurement of the trial fit read as the other quantity.

    Raises EditRefused where a value cannot be one.
    """
    now = measured_quantity(scene, side)
    other = QUANTITIES[(QUANTITIES.index(now) + 1) % len(QUANTITIES)]
    key = f"shafts.{side}.trial"
    try:
        turned = tuple(replace(one, quantity=other) for one in scene.making(side).trial)
    except InvalidInput as error:
        raise refusing(error, f"{key}.quantity") from error
    return with_value(scene, key, turned)


def add_measurement(
    scene: Scene,
    side: Side,
    travel_mm: float,
    value_mm: float,
    quantity: TrialQuantity | None = None,
) -> Scene:
    """One measurement more; what is not said of it is as with the one before it.

    Raises EditRefused for a value that cannot be one.
    """
    trial = scene.making(side).trial
    key = f"shafts.{side}.trial"
    said: dict[str, Any] = {"travel": travel_mm, "value": value_mm}
    if quantity is not None:
        said["quantity"] = quantity
    try:
        one = replace(trial[-1], **said) if trial else TrialMeasurement(**said)
    except InvalidInput as error:
        raise refusing(error, f"{key}.value") from error
    return with_value(scene, key, (*trial, one))
