"""What a side may measure, its trial fit, and the scene with the points that it found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kinematics.errors import require
from kinematics.sure.expected import Expected, expected_swept
from kinematics.sure.measurands import STROKE_IN, STROKE_OUT
from kinematics.sure.trial_fit import LEAST_HEIGHTS, TrialFit, trial_fit
from scenes.keys import value_of, with_value
from scenes.model import Scene, Side
from scenes.part_keys import path_of, tape_on, things_at
from sketcher.answers.sure import correlated_in_scene

# A tape reads tenths at best; a scene file with more digits only looks surer.
_DIGITS = 2


def trial_in_scene(scene: Scene, side: Side) -> TrialFit:
    """What was measured on the car on one side, against its points.

    Raises NoSuchSide, InvalidInput for too little data or data that the corner cannot
    predict, OutOfReach for a travel that the linkage does not take.
    """
    making = scene.making(side)
    corner = scene.corner(side)
    measured = f"[[shafts.{side}.trial]] measurements at {LEAST_HEIGHTS} heights or more"
    require((making.trial, f"shafts.{side}.trial", f"{measured}, there are none"))
    things = things_at(making.doubtful, corner, side, f"shafts.{side}.doubtful")
    doubtful, together = tuple(things.values()), correlated_in_scene(scene, side)
    tape = tape_on(scene.tape, corner, side)
    return trial_fit(corner, making.trial, tape, doubtful=doubtful, correlated=together)


def expected_in_scene(scene: Scene, side: Side, travel_mm: Sequence[float]) -> tuple[Expected, ...]:
    """What one side's swept length may measure in the car at each travel.

    Raises NoSuchSide, InvalidInput for readings that cannot be met.
    """
    corner = scene.corner(side)
    tape, together = tape_on(scene.tape, corner, side), correlated_in_scene(scene, side)
    return expected_swept(corner, travel_mm, tape, correlated=together)


def fitted_scene(scene: Scene, side: Side, fit: TrialFit) -> Scene:
    """The scene with the fitted points, to a hundredth of a mm; all else as it is."""
    for one in fit.coordinates:
        thing, axis = one.coordinate.thing, one.coordinate.axis
        path, value = path_of(thing, side), round(one.fitted_mm, _DIGITS)
        if abs(one.change_mm) < 0.5 * 10.0**-_DIGITS or value_of(scene, path) is None:
            # A length that is left open follows from the points.
            continue
        if thing in (STROKE_IN, STROKE_OUT):
            # Its error shifts the whole column of the stroke at an angle.
            holder = path.rpartition(".")[0]
            joint = fit.fitted.shaft.inner_joint
            rows = tuple(
                (angle, round(inward, _DIGITS), round(outward, _DIGITS))
                for angle, inward, outward in joint.stroke_at_angle
            )
            changed = {thing.field: value, "stroke_at_angle": rows}
            scene = with_value(scene, holder, replace(value_of(scene, holder), **changed))
        else:
            scene = with_value(scene, path if axis is None else f"{path}[{axis}]", value)
    return scene
