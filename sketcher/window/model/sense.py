"""Whether a value that was typed can be meant: what is asked about it, and what may be meant."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from kinematics.parts import Measured
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

# What of a key and its size is odd, in words.
Rule = Callable[[str, float, Scene, Unit], str]
# A coordinate of a point, by the point.
_COORDINATE = re.compile(r"((?:linkage|hub)\..+|.+\.mid_stroke)\[[012]\]")
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
    of = field.unit(unit)
    named = f"{text}°" if of == "°" else f"{text} {of}".strip()
    run_on = _run_on(text, before)
    if run_on:
        return Question(f"{named}: {run_on[0]} or {run_on[1]} meant? {doubt}", run_on)
    return Question(f"{named}: is that meant? {doubt}", (before,) if before else ())


def _run_on(text: str, before: str) -> tuple[str, ...]:
    """The two numbers that one may be made of."""
    if not before or len(text) <= len(before):
        return ()
    for rest in (text.removeprefix(before), text.removesuffix(before)):
        # A nought too many is no second number.
        if rest != text and rest[0] in "123456789":
            return (before, rest)
    return ()


def _doubt(key: str, scene: Scene, unit: Unit) -> str:
    """Why a value is odd; empty where it is not, or where the scene has none."""
    try:
        value = value_of(scene, key)
    except NoSuchThing:
        return ""
    point = _COORDINATE.fullmatch(key)
    if point is not None:
        apart = _apart(scene, point[1])
        far = apart > MOST_APART_MM
        return f"It is {_length(apart, unit)} from the points beside it." if far else ""
    sizes = value if isinstance(value, tuple) else (value,)
    if not sizes or any(isinstance(one, bool) or not isinstance(one, int | float) for one in sizes):
        return ""
    size = max(map(abs, sizes))
    return next((line for rule in _RULES if (line := rule(key, size, scene, unit))), "")


def _length(mm: float, unit: Unit) -> str:
    return format_length(mm, unit, digits=0 if unit == "mm" else 1)


def _over(pattern: str, what: str, most_mm: float) -> Rule:
    def rule(key: str, size: float, _: Scene, unit: Unit) -> str:
        over = size > most_mm and re.search(pattern, key)
        return f"{what} over {_length(most_mm, unit)} is rare." if over else ""

    return rule


def _joint(key: str, size: float, _scene: Scene, _unit: Unit) -> str:
    over = key.endswith(".max_angle") and size > MOST_JOINT_DEG
    return f"A joint that bends over {MOST_JOINT_DEG:g}° is rare." if over else ""


def _shaft(key: str, size: float, _scene: Scene, unit: Unit) -> str:
    if not re.fullmatch(r"shafts\.\w+\.(finished_)?length", key):
        return ""
    rare = not LEAST_SHAFT_MM <= size <= MOST_SHAFT_MM
    bounds = f"{_length(LEAST_SHAFT_MM, unit)} to {_length(MOST_SHAFT_MM, unit)}"
    return f"Shafts are {bounds} between joint centres." if rare else ""


def _thick(key: str, size: float, scene: Scene, unit: Unit) -> str:
    if not _DIAMETER.search(key):
        return ""
    name = value_of(scene, key.rpartition(".")[0]).name.lower()
    bar = "boot" not in name and "joint" not in name
    what, most = ("bar", MOST_BAR_MM) if bar else ("boot", MOST_BOOT_MM)
    return f"A {what} over {_length(most, unit)} is rare." if size > most else ""


_RULES: tuple[Rule, ...] = (
    _over(r"\.stroke_(in|out)$", "A stroke", MOST_STROKE_MM),
    _over(r"^travel\.|\]\.travel$", "A travel", MOST_TRAVEL_MM),
    _joint,
    _shaft,
    _thick,
)


def _apart(scene: Scene, key: str) -> float:
    """How far a point is from the nearest of the points that it stands among, mm."""
    here = value_of(scene, key)
    around, linkage = [scene.hub.outer_joint, scene.hub.wheel_centre], scene.linkage
    if isinstance(linkage, Measured):
        around += [position.outer_joint for position in linkage.positions]
    else:
        around += [getattr(linkage, name) for name in type(linkage).__slots__]
    for side in SIDES:
        shaft = scene.shaft(side)
        if shaft is not None and "mid_stroke" not in key:
            around.append(shaft.inner_joint.mid_stroke)
    if here in around:
        around.remove(here)
    return min(math.dist(here, there) for there in around)
