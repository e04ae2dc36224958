"""A scene's points by its readings: settled, and checked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import TypeVar

from kinematics.errors import InvalidInput
from kinematics.sure.adjustment import NotSettled
from kinematics.sure.measurands import AXES, Measurand, MeasuredPart
from kinematics.sure.reading_values import CarPoint
from kinematics.sure.readings import Reading
from kinematics.sure.settling import DRAWN_LIMIT_MM, Settled, settle
from kinematics.sure.tape import Tape
from scenes.guessed import without_guesses
from scenes.keys import EditRefused, with_value
from scenes.model import Scene
from scenes.part_keys import ANY_SIDE, in_scene, path_of
from scenes.readings import MARK

T = TypeVar("T")
# Digits of a settled coordinate in the file, mm, and what is near enough with so many.
_DIGITS = 2
_NEAR_MM = 0.02
_MOST_ROUNDS = 60


def car_points(scene: Scene) -> tuple[CarPoint, ...]:
    """Every point of a scene that a reading can name, with how well it counts as read as typed."""
    tape: Tape[str] = scene.tape or Tape()
    found = []
    for thing, side, at in scene.measured_points():
        path = path_of(thing, side or ANY_SIDE)
        errors = (tape.error_of(path, axis, value) for axis, value in enumerate(at))
        out, up, fore = (error.standard_uncertainty_mm for error in errors)
        found.append(CarPoint(path, thing, at, (out, up, fore), side))
    return tuple(found)


def settle_scene(scene: Scene) -> Settled:
    """All readings of a scene at once; quick enough to follow every key.

    Raises InvalidInput for readings that cannot be met or were taken where the
    linkage does not go, or lead nowhere; NotSettled where errors lie too far apart.
    """
    try:
        return _settled(car_points(scene), scene.readings)
    except InvalidInput as error:
        raise InvalidInput(in_scene(error.problems)) from error


@lru_cache(maxsize=8)
def _settled(points: tuple[CarPoint, ...], readings: tuple[Reading, ...]) -> Settled:
    return settle(points, readings)


def settled_scene(scene: Scene) -> Scene:
    """The scene with every point that rests on readings put where they say.

    A coordinate that hardly any reading fixes follows where it is drawn: where one
    still would once the points are there, the drawing counts less and less.
    A coordinate that readings fix is a guess no longer.
    Raises as :func:`settle_scene`, and EditRefused where no real part would come of it.
    """
    limit_mm = DRAWN_LIMIT_MM
    for _ in range(_MOST_ROUNDS):
        settled = settle_scene(scene)
        if settled.drawn_off_mm <= _NEAR_MM:
            break
        try:
            if limit_mm != DRAWN_LIMIT_MM:
                settled = settle(car_points(scene), scene.readings, limit_mm)
            limit_mm *= 2.0
        except (InvalidInput, NotSettled):
            limit_mm = DRAWN_LIMIT_MM
        scene = with_points(scene, settled)
    return without_guesses(scene, tuple(_fixed(settle_scene(scene)))) if scene.guessed else scene


def _fixed(settled: Settled) -> Iterator[str]:
    """The coordinates that readings fix, by their paths: guesses no longer."""
    for one in settled.points:
        if one.fixed_by and not one.name.startswith(MARK):
            yield from (f"{one.name}[{n}]" for n, at in enumerate(AXES) if at not in one.not_fixed)


def with_points(scene: Scene, settled: Settled) -> Scene:
    """The scene with its points where an adjustment has put them.

    Raises EditRefused where no real part would come of it.
    """
    found = {
        (car.thing, car.side): tuple(round(value, _DIGITS) for value in one.at.tolist())
        for car, one in zip(settled.car, settled.points, strict=True)
        if one.rests
    }

    def moved(part: T, name: MeasuredPart) -> T:
        own = {thing.field: at for (thing, _), at in found.items() if thing.part == name}
        return replace(part, **own)  # type: ignore[type-var]

    try:
        # Together: a point moved alone might pass through its neighbour.
        scene = replace(
            scene,
            linkage=moved(scene.linkage, "linkage"),
            hub=moved(scene.hub, "hub"),
            marks=tuple(
                replace(mark, at=found.get((Measurand("mark", mark.name), None), mark.at))
                for mark in scene.marks
            ),
        )
    except InvalidInput as error:
        problem = error.problems[0]
        raise EditRefused(f"{problem.field}: {problem.message}, by the readings") from error
    for (thing, side), at in found.items():
        if thing.part in ("position", "inner_joint"):
            scene = with_value(scene, path_of(thing, side or ANY_SIDE), at)
    return scene
