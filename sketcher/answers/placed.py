"""Where to weld tacked gearbox mounts: the search over a scene, its words, the shifted scene."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from kinematics.errors import invalid
from kinematics.parts import DEFAULT_MARGIN, Bracket, Corner
from kinematics.shaft import placement
from kinematics.shaft.mount_room import MountRoom
from scenes.model import Scene, Side
from sketcher.words.plain import finite, picked
from sketcher.words.units import Unit, format_length

# Gaps are asked for once for every place of the map; more places would keep a person waiting.
POINTS_WITH_GAPS = 9
# The gearbox stands where it should once it is this close to the best place.
NEAR_ENOUGH_MM = 0.5
LIMIT_WORDS: Mapping[placement.SpareQuantity, str] = {
    "stroke": "stroke",
    "inner_angle": "inner joint's angle",
    "outer_angle": "outer joint's angle",
    "clearance": "gap",
}
NO_ROOM = "expected [gearbox.placement] with out and up: how far the tacked mounts may be shifted"


def place_in_scene(
    scene: Scene, margin_mm: float = DEFAULT_MARGIN, *, free: bool = False
) -> placement.Placement:
    """The placement map of a scene, over the room that its mounts leave.

    Raises InvalidInput where the scene leaves none, or a shaft is impossible;
    OutOfReach where the linkage does not take its whole motion.
    """
    room = scene.gearbox_placement
    if room is None or room == MountRoom():
        raise invalid("gearbox.placement", NO_ROOM)
    corners: dict[Side, Corner] = {side: scene.corner(side) for side in scene.sides}
    touching = any(one.brackets and one.shaft.sections for one in corners.values())
    return placement.place_gearbox(
        corners,
        room,
        margin_mm=margin_mm,
        free=free,
        points=POINTS_WITH_GAPS if touching else placement.POINTS,
        spare_gap=_spare_gap if touching else None,
    )


def _spare_gap(corner: Corner) -> float:
    # A shaft without an outline meets nothing.
    return placement.smallest_spare_gap(corner) if corner.shaft.sections else math.inf


def shifted_scene(scene: Scene, lateral_mm: float, up_mm: float, *, free: bool = False) -> Scene:
    """The scene with the gearbox, and the brackets on it, set elsewhere in the same room.

    Sideways moves the brackets of a gearbox between two shafts outboard on one side and
    inboard on the other, which one outline cannot say: there each stands twice from now on,
    as seen from the left and from the right.  ``free`` leaves the lengths open.
    """
    changes: dict[str, Any] = {}
    for side in scene.sides:
        shaft = scene.shaft(side)
        assert shaft is not None
        corner = placement.placed_corner(scene.corner(side), side, lateral_mm, up_mm)
        joint = corner.shaft.inner_joint
        out, up, fore = joint.mid_stroke
        joint = replace(joint, mid_stroke=(round(out, 3), round(up, 3), fore))
        changes[side] = replace(shaft, inner_joint=joint, length=None if free else shaft.length)
    moved = (_moved(one, scene.sides, lateral_mm, up_mm) for one in scene.brackets)
    brackets = itertools.chain.from_iterable(moved)
    room = scene.gearbox_placement
    if room is not None:
        left = [
            (round(least - by, 3), round(most - by, 3))
            for (least, most), by in ((room.lateral, lateral_mm), (room.up, up_mm))
        ]
        changes["gearbox_placement"] = MountRoom(*left)
    return replace(scene, brackets=tuple(brackets), **changes)


def _moved(
    bracket: Bracket, sides: tuple[Side, ...], lateral_mm: float, up_mm: float
) -> Iterator[Bracket]:
    if bracket.mounted_on != "gearbox":
        yield bracket
        return
    twice = len(sides) > 1 and lateral_mm != 0.0
    for side in sides if twice else sides[:1]:
        out = placement.OUTBOARD[side] * lateral_mm
        outline = tuple((round(x + out, 3), round(y + up_mm, 3)) for x, y in bracket.outline)
        name = f"{bracket.name}, {side}" if twice else bracket.name
        yield replace(bracket, outline=outline, name=name)


def shift_words(lateral_mm: float, up_mm: float, unit: Unit = "mm") -> str:
    """A shift of the gearbox as a person would say it."""
    parts = [
        f"{format_length(abs(value), unit)} {words[value < 0.0]}"
        for value, words in (
            (lateral_mm, ("towards the car's left", "towards the car's right")),
            (up_mm, ("up", "down")),
        )
        if abs(value) >= 0.05
    ]
    return " and ".join(parts) or "where it is drawn"


def spare_words(spare: placement.Spare) -> str:
    """One limit and what it has to spare, rounded down."""
    if spare.share < 0.0:
        return f"{spare.side} shaft's {LIMIT_WORDS[spare.quantity]}: broken"
    share = math.floor(100.0 * spare.share + 1e-9)
    return f"{spare.side} shaft's {LIMIT_WORDS[spare.quantity]}: {share} % to spare"


def least_spare(place: placement.Place) -> placement.Spare:
    """The limit with the least to spare of its own, of those there are."""
    return min(place.spares, key=lambda spare: spare.share)


def broken(place: placement.Place) -> tuple[placement.Spare, ...]:
    """The limits that are broken at a place."""
    return tuple(spare for spare in place.spares if spare.share < 0.0)


def placement_words(found: placement.Placement, unit: Unit = "mm") -> str:
    """Where the gearbox is best, in one line."""
    best = found.best
    if broken(best):
        return "Nowhere in this room does every limit hold; the place that comes closest is shown."
    if math.hypot(best.lateral_mm, best.up_mm) < NEAR_ENOUGH_MM:
        return "The gearbox is best where it is drawn."
    shift = shift_words(best.lateral_mm, best.up_mm, unit)
    return f"The gearbox is best {shift}."


def map_lines(found: placement.Placement, unit: Unit = "mm") -> Iterator[str]:
    """The map as text: what the worst limit keeps of its own most in tenths, up upwards.

    ``*`` is best, ``+`` where the gearbox is drawn, ``-`` a place where a limit is broken.
    """
    axes = (found.lateral_mm, found.up_mm)
    best = tuple(map(_near, axes, (found.best.lateral_mm, found.best.up_mm)))
    now = tuple(_near(axis, 0.0) for axis in axes)
    inside = all(axis[0] <= 0.0 <= axis[-1] for axis in axes)
    # Every other place of an axis with many, the best and the one as drawn among them.
    columns, rows = (
        sorted({*range(0, len(axis), 2 if len(axis) > 11 else 1), *places})
        for axis, *places in zip(axes, best, now, strict=True)
    )
    for row in reversed(rows):
        cells = []
        for column in columns:
            if (column, row) == best:
                cells.append("*")
            elif (column, row) == now and inside:
                cells.append("+")
            elif found.share[column, row] < 0.0:
                cells.append("-")
            else:
                cells.append(str(min(9, int(10.0 * found.kept[column, row]))))
        up = format_length(found.up_mm[row], unit, signed=True, named=False)
        yield f"{up:>7}  {' '.join(cells)}"
    left, right = (
        format_length(found.lateral_mm[end], unit, signed=True, named=False) for end in (0, -1)
    )
    width = 2 * len(columns) - 1
    yield f"{'':7}  {left}{right:>{max(width - len(left), len(right) + 1)}}"


def _near(axis: Any, value: float) -> int:
    return int(np.abs(axis - value).argmin())


def placement_json(found: placement.Placement) -> dict[str, Any]:
    """The placement, fit for JSON."""
    return {
        "best": _place_json(found.best),
        "as_drawn": _place_json(found.now),
        "map": {
            "lateral_mm": found.lateral_mm.tolist(),
            "up_mm": found.up_mm.tolist(),
            "kept": [[*map(finite, row)] for row in found.kept.tolist()],
            "smallest_spare_share": [[*map(finite, row)] for row in found.share.tolist()],
        },
    }


def _place_json(place: placement.Place) -> dict[str, Any]:
    return {
        **picked(place, "lateral_mm", "up_mm"),
        "lengths_mm": {side: finite(length) for side, length in place.lengths_mm.items()},
        "spare": [
            {
                "side": spare.side,
                "limit": spare.quantity,
                "share": finite(spare.share),
                "broken": spare.share < 0.0,
            }
            for spare in place.spares
        ],
    }
