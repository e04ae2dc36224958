"""Another kind of linkage in place of the one drawn, with points to start from."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from kinematics import parts
from kinematics.errors import InvalidInput
from kinematics.linkage.motion import reach_of, solve
from scenes.guessed import guessed_values, values_of, with_guesses, without_guesses
from scenes.keys import EditRefused
from scenes.making import Making
from scenes.model import Scene
from sketcher.window.model.start import start_scene

# From the upper ball joint up to a strut's top mount, and how far that leans inboard, mm.
_STRUT_RISE_MM, _STRUT_LEAN_MM = 430.0, 55.0
# An upper ball joint stands about this far above the wheel centre, mm.
_BALL_ABOVE_MM = 60.0
# An upper arm is shorter than the lower one, and falls a little towards its pivot.
_UPPER_PART, _UPPER_FALL_MM = 0.7, 15.0
_SHARES = (-1.0, -0.5, 0.5, 1.0)


def change_linkage(scene: Scene, kind: str) -> Scene:
    """The scene with a linkage of another kind, its points where they could be.

    Pivots and ball joints that both kinds have stay; measured positions are those that the
    linkage drawn would give.  What hangs on the linkage left behind goes with it.
    Raises EditRefused for brackets on an arm that there would no longer be, or where the
    linkage drawn does not close.
    """
    if kind == scene.linkage.kind:
        return scene
    if kind == "measured":
        return _without_loose_ends(with_guesses(_measured(scene), ("linkage",)))
    linkage = scene.linkage
    drawn = _at_hub(scene.hub.outer_joint) if isinstance(linkage, parts.Measured) else linkage
    new = _strut(drawn) if kind == "strut" else _wishbones(drawn, scene.hub.wheel_centre)
    changed = with_guesses(_with_linkage(scene, new), _not_taken(scene, new))
    return _without_loose_ends(changed)


def _not_taken(scene: Scene, new: parts.ArmLinkage) -> Iterator[str]:
    """Paths of the new points that nobody has measured: those that the old linkage had not."""
    guesses = set(guessed_values(scene))
    old = scene.linkage
    names = () if isinstance(old, parts.Measured) else type(old).__slots__
    taken = {getattr(old, name): f"linkage.{name}" for name in names}
    for name in type(new).__slots__:
        before = taken.get(getattr(new, name))
        if before is None:
            yield f"linkage.{name}"
            continue
        yield from (
            value.replace(before, f"linkage.{name}")
            for value in values_of(scene, before)
            if value in guesses
        )


def _strut(linkage: parts.ArmLinkage) -> parts.Strut:
    if isinstance(linkage, parts.Strut):
        return linkage
    out, up, fore = linkage.upper_ball_joint
    top = (out - _STRUT_LEAN_MM, up + _STRUT_RISE_MM, fore)
    return parts.Strut(linkage.lower_pivot, linkage.lower_ball_joint, top, linkage.upper_ball_joint)


def _wishbones(linkage: parts.ArmLinkage, wheel: parts.Point) -> parts.Wishbones:
    if isinstance(linkage, parts.Wishbones):
        return linkage
    pivot, ball, top = linkage.arm_pivot, linkage.ball_joint, linkage.strut_top
    # Up the steering axis that the strut had.
    share = (wheel[1] + _BALL_ABOVE_MM - ball[1]) / (top[1] - ball[1] or 1.0)
    upper = _rounded(tuple(a + (b - a) * share for a, b in zip(ball, top, strict=True)))
    reach = _UPPER_PART * (ball[0] - pivot[0])
    inner = _rounded((upper[0] - reach, upper[1] - _UPPER_FALL_MM, upper[2]))
    return parts.Wishbones(pivot, ball, inner, upper)


def _at_hub(outer_joint: parts.Point) -> parts.Strut:
    """The strut of an empty scene, moved to where the hub is."""
    start = start_scene()
    by = np.subtract(outer_joint, start.hub.outer_joint)
    points = (getattr(start.linkage, name) for name in parts.Strut.__slots__)
    return parts.Strut(*(_rounded((point + by).tolist()) for point in points))


def _measured(scene: Scene) -> Scene:
    if any(bracket.mounted_on == "arm" for bracket in scene.brackets):
        raise EditRefused(
            "linkage.kind: measured positions know no arm; put the brackets on it elsewhere first"
        )
    try:
        reach = reach_of(scene.linkage, scene.hub)
    except InvalidInput as error:
        raise EditRefused(f"linkage.kind: {error.problems[0].message}") from error

    def within(travel_mm: float, reach_mm: float) -> float:
        # A travel that was measured stays as it is; one that is cut short is a plain number.
        return travel_mm if travel_mm <= reach_mm else math.floor(10.0 * reach_mm) / 10.0

    bump = within(scene.travel.bump, reach.highest_mm)
    droop = within(scene.travel.droop, -reach.lowest_mm)
    if min(droop, bump) * min(map(abs, _SHARES)) < parts.SMALLEST_TRAVEL_STEP:
        raise EditRefused(
            "linkage.kind: expected bump and droop of a few mm to take measured positions at"
        )
    travels = [round(share * (bump if share > 0.0 else droop), 6) for share in _SHARES]
    motion = solve(scene.linkage, scene.hub, np.array(travels), within=reach)
    positions = tuple(
        parts.MeasuredPosition(travel, _rounded(outer.tolist()), _rounded(wheel.tolist()))
        for travel, outer, wheel in zip(
            travels, motion.outer_joint, motion.wheel_centre, strict=True
        )
    )
    return replace(_with_linkage(scene, parts.Measured(positions)), steering=None)


def _with_linkage(scene: Scene, linkage: parts.Linkage) -> Scene:
    tube = scene.strut_tube if isinstance(linkage, parts.Strut) else None
    arm = None if isinstance(linkage, parts.Measured) else scene.arm
    new = replace(scene, linkage=linkage, strut_tube=tube, arm=arm, readings=())
    there = new.points
    readings = [one for one in scene.readings if all(point in there for point in one.points)]
    return replace(new, readings=tuple(readings))


def _without_loose_ends(scene: Scene) -> Scene:
    """Without tape errors and doubts about points that there no longer are.

    No two kinds of linkage have a point of one name.
    """

    def there(thing: str) -> bool:
        return not thing.startswith("linkage.")

    def kept(making: Making) -> Making:
        return replace(making, doubtful=tuple(filter(there, making.doubtful)))

    tape = scene.tape
    if tape is not None:
        tape = replace(tape, errors=tuple(one for one in tape.errors if there(one.thing)))
    left, right = kept(scene.left_making), kept(scene.right_making)
    return without_guesses(replace(scene, tape=tape, left_making=left, right_making=right), ())


def _rounded(point: tuple[float, ...] | list[float]) -> parts.Point:
    out, up, fore = (round(value, 1) for value in point)
    return (out, up, fore)
