"""The table of the scene file's keys against the mechanics and against what reading refuses."""

from __future__ import annotations

import copy
import dataclasses
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
import tomlkit

from scenes.errors import SceneError
from scenes.key import Key
from scenes.key_table import all_keys, general, key_of, named
from scenes.library import example_names, example_text
from scenes.reading import parse_scene

SCENES = {name: tomllib.loads(example_text(name)) for name in example_names()}
# Parts inside parts are tables of their own; what a scene cannot say has its source for it.
INNER = {"sections", "stretches", "datum", "butt", "errors", "source", "typical", "points", "kind"}
# A reading's number stands under its kind.
INNER |= {"value", "sleeve", "inner_joint", "outer_joint", "wheel_centre_fore"}
INNER |= {"splice", "runout", "trial", "hub_donor", "gearbox_donor", "hub_others", "gearbox_others"}
# It is compared with the window, and feeds no part.
SCENE_ALONE = {"shafts.*.finished_length"}
# The range of each number that has one: square brackets hold their ends.
RANGES = {
    "[0, inf)": """
        travel.bump travel.droop gearbox.movement.out gearbox.movement.up gearbox.movement.fore
        shafts.*.inner_joint.stroke_in shafts.*.inner_joint.stroke_out shafts.*.section[].diameter
        shafts.*.inner_joint.section[].diameter shafts.*.outer_joint.section[].diameter
        shafts.*.trial[].travel_error shafts.*.donors.*.stretch[].from shafts.*.splice.root_gap
        shafts.*.splice.shrinkage shafts.*.splice.trim shafts.*.splice.butt.spigot_length
        shafts.*.splice.butt.bore shafts.*.splice.butt.spigot_clearance
        shafts.*.splice.sleeve.fit_clearance shafts.*.runout[].tir tape.limit tape.error[].size
        strut_tube.wanted_gap arm.wanted_gap bracket[].wanted_gap
    """,
    "[0, 90)": """
        steering.inside_lock steering.outside_lock
    """,
    "(0, 1]": """
        photo.opacity drive.differential_split
    """,
    "(0, inf)": """
        shafts.*.length shafts.*.finished_length shafts.*.trial[].error
        shafts.*.donors.*.usable_to shafts.*.donors.*.stretch[].to
        shafts.*.donors.*.stretch[].diameter shafts.*.donors.*.stretch[].root
        shafts.*.donors.*.stretch[].radius shafts.*.donors.*.steel.yield_strength
        shafts.*.donors.*.steel.largest shafts.*.donors.*.steel.normalised
        shafts.*.splice.sleeve.steel.yield_strength shafts.*.splice.sleeve.steel.largest
        shafts.*.splice.sleeve.steel.normalised shafts.*.splice.at shafts.*.splice.diameter
        shafts.*.splice.turn_radius shafts.*.splice.filler_yield shafts.*.splice.butt.bevel_depth
        shafts.*.splice.sleeve.length shafts.*.splice.sleeve.bore
        shafts.*.splice.sleeve.outside_diameter shafts.*.splice.sleeve.leg drive.engine_torque
        drive.gear drive.final_drive drive.wheel_load drive.tyre_radius drive.top_speed drive.grip
        lathe.between_centres lathe.swing lathe.swing_over_carriage lathe.spindle_bore
        strut_tube.diameter reading[].error
    """,
    "(0, 90)": """
        shafts.*.inner_joint.max_angle shafts.*.outer_joint.max_angle
    """,
    "[0, 80)": """
        shafts.*.splice.butt.bevel_angle
    """,
    "[1, inf)": """
        drive.shock_factor
    """,
}
RANGE_OF = {path: within for within, paths in RANGES.items() for path in paths.split()}
BESIDE = {0.0: (-0.001,), 1.0: (0.999,), 80.0: (80.0, 80.001), 90.0: (90.0, 90.001)}


def numbers(value: Any, path: str = "") -> Iterator[str]:
    """The paths of all numbers that stand alone."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from numbers(inner, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for i, inner in enumerate(value):
            yield from numbers(inner, f"{path}[{i}]")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield path


PLACES = {general(path): (name, path) for name, scene in SCENES.items() for path in numbers(scene)}


def holds(within: str, value: float) -> bool:
    """Whether a number is in a range."""
    low, high = map(float, within[1:-1].split(", "))
    above = low <= value if within[0] == "[" else low < value
    return above and (value <= high if within[-1] == "]" else value < high)


def with_number(name: str, path: str, value: float) -> str:
    """The text of an example with another number at a path."""
    scene = copy.deepcopy(SCENES[name])
    holder: Any = scene
    *way, last = path.replace("[", ".").replace("]", "").split(".")
    for step in way:
        holder = holder[int(step) if step.isdigit() else step]
    holder[last] = value
    return tomlkit.dumps(scene)


def refusals(text: str) -> list[str]:
    try:
        parse_scene(text)
    except SceneError as error:
        return [str(problem) for problem in error.problems]
    return []


def test_every_number_of_the_examples_is_in_the_table() -> None:
    kinds = {"format", "photo.opacity", *(f"reading[].{kind}" for kind in (
        "distance", "rise", "slope", "up", "out", "fore", "across"))}  # fmt: skip
    assert {path for path in PLACES if key_of(path) is None} <= kinds | {
        path for path in PLACES if path.startswith("gearbox.placement.")
    }


@pytest.mark.parametrize("key", all_keys().values(), ids=lambda key: key.path)
def test_every_key_feeds_a_field_that_there_is(key: Key) -> None:
    names = {field.name for field in dataclasses.fields(key.part)}
    assert key.field in names or key.path in SCENE_ALONE
    assert key.name
    assert key.help.endswith(".")


@pytest.mark.parametrize(
    "part", {key.part for key in all_keys().values()}, ids=lambda p: p.__name__
)
def test_every_field_of_a_part_has_its_key(part: type) -> None:
    told = {key.field for key in all_keys().values() if key.part is part}
    names = {field.name for field in dataclasses.fields(part)}
    assert names - told <= INNER


def test_every_range_is_of_a_key_that_there_is() -> None:
    assert RANGE_OF.keys() <= all_keys().keys()


@pytest.mark.parametrize("path", sorted(PLACES))
def test_a_number_outside_its_range_is_refused_by_its_key(path: str) -> None:
    (name, place), within = PLACES[path], RANGE_OF.get(path)
    if within is None:
        return
    ends = map(float, within[1:-1].split(", "))
    outside = [value for end in ends for value in BESIDE.get(end, (end,))]
    for value in [one for one in outside if abs(one) < 1e5 and not holds(within, one)]:
        lines = refusals(with_number(name, place, value))
        # Of a list, the whole list may be what is wrong.
        keys = [line.partition(": expected")[0] for line in lines]
        assert any(place.startswith(one) for one in keys if one), (value, lines)


@pytest.mark.parametrize("path", sorted(PLACES))
def test_a_word_in_place_of_a_number_is_told_what_the_key_means(path: str) -> None:
    key, (name, place) = key_of(path), PLACES[path]
    scene = tomllib.loads(with_number(name, place, 1.0))
    text = tomlkit.dumps(scene)
    assert text
    lines = refusals(with_number(name, place, "so"))  # type: ignore[arg-type]
    assert any(line.startswith(f"{place}: expected") for line in lines)
    if key is not None and key.expected and not key.about.startswith(("or ", "each way, or")):
        assert any(key.expected in line for line in lines), lines


def test_a_key_is_said_as_a_mechanic_would() -> None:
    assert named("shafts.left.inner_joint.mid_stroke") == "inner joint, mid-stroke"
    assert named("linkage.position[2].outer_joint[1]") == "outer joint"
    assert named("travel.bump") == "full bump"
    assert named("mark.rail hole") == "rail hole"
