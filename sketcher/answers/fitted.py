"""A side's trial fit, and the scene with the points that it found."""

from __future__ import annotations

from dataclasses import replace

from kinematics.errors import InvalidInput, Problem
from kinematics.sure.trial_fit import LEAST_HEIGHTS, TrialFit, trial_fit
from scenes.keys import value_of, with_value
from scenes.model import Scene, Side
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
    if not making.trial:
        raise InvalidInput(
            [
                Problem(
                    f"shafts.{side}.trial",
                    f"expected [[shafts.{side}.trial]] measurements at {LEAST_HEIGHTS} heights "
                    "or more, there are none",
                )
            ]
        )
    shaft = f"shafts.{side}"
    return trial_fit(
        corner,
        making.trial,
        scene.tape,
        doubtful=making.doubtful,
        shaft=shaft,
        correlated=correlated_in_scene(scene),
    )


def fitted_scene(scene: Scene, side: Side, fit: TrialFit) -> Scene:
    """The scene with the fitted points, to a hundredth of a mm; all else as it is."""
    path = f"shafts.{side}.inner_joint"
    for one in fit.coordinates:
        thing, place = one.coordinate.thing, one.coordinate.place
        value = round(one.fitted_mm, _DIGITS)
        if abs(one.change_mm) < 0.5 * 10.0**-_DIGITS or value_of(scene, thing) is None:
            # A length that is left open follows from the points.
            continue
        if thing in (f"{path}.stroke_in", f"{path}.stroke_out"):
            # Its error shifts the whole column of the stroke at an angle.
            joint = fit.fitted.shaft.inner_joint
            rows = tuple(
                (angle, round(inward, _DIGITS), round(outward, _DIGITS))
                for angle, inward, outward in joint.stroke_at_angle
            )
            changed = {thing.rpartition(".")[2]: value, "stroke_at_angle": rows}
            scene = with_value(scene, path, replace(value_of(scene, path), **changed))
        else:
            scene = with_value(scene, f"{thing}[{place}]" if one.coordinate.point else thing, value)
    return scene
