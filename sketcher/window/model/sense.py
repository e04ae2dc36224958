"""Whether a value that was typed can be meant: what is asked about it, and what may be meant."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from scenes.keys import NoSuchThing, value_of
from scenes.model import SIDES, Scene
from sketcher.window.model.fields import Field, show
from sketcher.words.units import Unit, format_length

# Common practice, no source: more than these is rare on a car, and a slip of the hand is not.
MOST_STROKE_MM = 100.0
MOST_TRAVEL_MM = 250.0
MOST_JOINT_DEG = 55.0
LEAST_SHAFT_MM, MOST_SHAFT_MM = 100.0, 1200.0
MOST_BAR_MM, MOST_BOOT_MM = 80.0, 150.0
MOST_APART_MM = 1000.0

_DIAMETER = re.compile(r"\.(section\[\d+\]\.diameter|stretch\[\d+\]\.(diameter|root))$")


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked about a value, and the texts that may have been meant instead."""

    text: str
    instead: tuple[str, ...] = ()


def question(field: Field, scene: Scene, unit: Unit, before: str = "") -> Question | None:
    """What there is to ask about a field's value; None where it can be meant.

    ``before`` is the text that stood there: two numbers may have run into one.
    """
    doubt = _doubt(field.key, scene, unit)
    if not doubt:
        return None
    text = show(field, scene, unit)
    named = f"{text} {unit}" if field.kind in ("length", "open_length", "taper") else text
    run_on = _run_on(text, before)
    if run_on:
        return Question(f"{named}: {run_on[0]} or {run_on[1]} meant? {doubt}", run_on)
    return Question(f"{named}: is that meant? {doubt}", (before,) if before else ())


def _run_on(text: str, before: str) -> tuple[str, ...]:
    """The two numbers that one may be made of."""
    if not before or len(text) <= len(before):
        return ()
    for rest in (text.removeprefix(before), text.removesuffix(before)):
        if rest != text and rest[0].isdigit():
            return (before, rest)
    return ()


def _doubt(key: str, scene: Scene, unit: Unit) -> str:
    try:
        value = value_of(scene, key)
    except NoSuchThing:
        return ""
    if value is None:
        return ""

    def length(mm: float) -> str:
        return format_length(mm, unit, digits=0 if unit == "mm" else 1)

    point = _point_of(key)
    if point:
        apart = _apart(scene, point)
        far = apart > MOST_APART_MM
        return f"It is {length(apart)} from the points beside it." if far else ""
    most: tuple[str, float] | None = None
    size = max(map(abs, value)) if isinstance(value, tuple) and value and _plain(value) else value
    if not isinstance(size, int | float) or isinstance(size, bool):
        return ""
    if key.endswith((".stroke_in", ".stroke_out")):
        most = ("A stroke", MOST_STROKE_MM)
    elif key.startswith("travel.") or key.endswith("].travel"):
        most = ("A travel", MOST_TRAVEL_MM)
    elif key.endswith(".max_angle"):
        over = size > MOST_JOINT_DEG
        return f"A joint that bends over {MOST_JOINT_DEG:g}° is rare." if over else ""
    elif _DIAMETER.search(key):
        return _thick(key, scene, size, length)
    elif key.startswith("shafts.") and key.endswith(("length",)) and key.count(".") == 2:
        rare = not LEAST_SHAFT_MM <= size <= MOST_SHAFT_MM
        bounds = f"{length(LEAST_SHAFT_MM)} to {length(MOST_SHAFT_MM)}"
        return f"Shafts are {bounds} between joint centres." if rare else ""
    if most is not None and abs(size) > most[1]:
        return f"{most[0]} over {length(most[1])} is rare."
    return ""


def _thick(key: str, scene: Scene, size: float, length: object) -> str:
    holder = value_of(scene, key.rpartition(".")[0])
    bar = "boot" not in holder.name.lower() and "joint" not in holder.name.lower()
    most = MOST_BAR_MM if bar else MOST_BOOT_MM
    assert callable(length)
    return f"A {'bar' if bar else 'boot'} over {length(most)} is rare." if size > most else ""


def _plain(value: tuple[object, ...]) -> bool:
    return all(isinstance(one, int | float) for one in value)


def _point_of(key: str) -> str:
    """The point that a coordinate belongs to; empty for everything else."""
    match = re.fullmatch(r"((?:linkage|hub)\..+|.+\.mid_stroke)\[[012]\]", key)
    return match[1] if match else ""


def _apart(scene: Scene, key: str) -> float:
    """How far a point is from the nearest of the points that it stands among, mm."""
    here = value_of(scene, key)
    around = [scene.hub.outer_joint, scene.hub.wheel_centre]
    if scene.linkage.kind == "measured":
        around += [position.outer_joint for position in scene.linkage.positions]
    else:
        around += [getattr(scene.linkage, name) for name in type(scene.linkage).__slots__]
    for side in SIDES:
        shaft = scene.shaft(side)
        if shaft is not None and "mid_stroke" not in key:
            around.append(shaft.inner_joint.mid_stroke)
    if here in around:
        around.remove(here)
    return min((math.dist(here, there) for there in around), default=0.0)
