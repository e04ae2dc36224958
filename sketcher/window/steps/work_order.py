"""The work order: the steps of the job in order, their fields and one-line summaries."""

from __future__ import annotations

import re
from collections.abc import Iterator

from kinematics.parts import GearboxMovement, Linkage, Measured
from scenes.guessed import tally
from scenes.model import Scene, Side
from sketcher.answers.shown import Shown
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, field_of
from sketcher.window.steps.bracket_step import BRACKETS_STEP
from sketcher.window.steps.certainty_rows import doubt_rows
from sketcher.window.steps.making_step import MAKING_STEP
from sketcher.window.steps.placement_rows import placement_rows
from sketcher.window.steps.reading_rows import reading_part
from sketcher.window.steps.rows import (
    Buttons,
    FieldRow,
    Note,
    Row,
    RowHeading,
    WorkStep,
    one,
    point_row,
    value_rows,
)
from sketcher.window.steps.trial_step import TRIAL_STEP
from sketcher.words.answer import inside_window, length_words, where
from sketcher.words.units import format_length

# Measure.


def _measure_summary(editor: Editor, shown: Shown) -> str:  # noqa: ARG001
    guesses, values = tally(editor.scene, editor.side)
    if guesses:
        return f"{guesses} of {values} not measured yet"
    travel = editor.scene.travel
    bump, droop = (
        format_length(v, editor.unit, digits=0 if editor.unit == "mm" else 2, named=False)
        for v in (travel.bump, travel.droop)
    )
    return f"{editor.scene.linkage.kind}, bump {bump}, droop {droop}"


def _measure_rows(editor: Editor, shown: Shown) -> Iterator[Row]:
    scene = editor.scene
    yield Buttons(("strut", "wishbones", "measured"))
    yield from reading_part(editor, shown)
    yield from _linkage_rows(scene.linkage)
    yield RowHeading("Hub\tout\tup\tfore")
    yield point_row("outer joint", "hub.outer_joint")
    yield point_row("wheel centre", "hub.wheel_centre")
    yield from _motion_rows(scene)
    for side in scene.sides:
        yield from _joint_rows(side)
    yield from doubt_rows(editor, shown)
    yield RowHeading("Scene")
    yield one("title", Field("title", "title", "text", "What the scene is called."))
    yield one("notes", Field("notes", "notes", "notes", "What is worth knowing about it."))
    yield Buttons(("measure_list",))


def _motion_rows(scene: Scene) -> Iterator[Row]:
    yield RowHeading("Travel and steering")
    yield from value_rows("travel", "", "bump", "droop")
    yield Buttons(("steers",))
    if scene.steering is None:
        yield Note("Nothing is said of steering yet.", lines=1)
    if scene.steers:
        yield from value_rows("steering", "", "inside lock", "outside lock")
    yield RowHeading("Gearbox, ±\tout\tup\tfore")
    yield FieldRow(
        "on its mounts",
        tuple(field_of(f"gearbox.movement.{axis}") for axis in ("out", "up", "fore")),
        "gearbox.movement",
    )
    if scene.gearbox_movement == GearboxMovement():
        yield Buttons(("solid_mounts",))


def _joint_rows(side: Side) -> Iterator[Row]:
    shaft = f"shafts.{side}"
    joint = f"{shaft}.inner_joint"
    yield RowHeading(f"{side.capitalize()} inner\tout\tup\tfore")
    yield point_row("mid-stroke", f"{joint}.mid_stroke")
    yield from value_rows(joint, side, "stroke in", "stroke out")
    yield one("largest angle", field_of(f"{joint}.max_angle", side))
    yield one("stroke at angle", field_of(f"{joint}.stroke_at_angle", side))
    yield Buttons((f"stroke_stays_{side}",))
    # Behind what is read off the joint: a list typed blindly meets no direction on its way.
    yield FieldRow(
        "housing axis",
        tuple(
            field_of(f"{joint}.axis[{i}]", label=f"{side} housing axis, {axis}")
            for i, axis in enumerate(("out", "up", "fore"))
        ),
        f"{joint}.axis",
    )
    yield RowHeading(f"{side.capitalize()} outer joint")
    yield one("largest angle", field_of(f"{shaft}.outer_joint.max_angle", side))


def _linkage_rows(linkage: Linkage) -> Iterator[Row]:
    if not isinstance(linkage, Measured):
        yield RowHeading("Linkage\tout\tup\tfore")
        for name in type(linkage).__slots__:
            yield point_row(name.replace("_", " "), f"linkage.{name}")
        return
    wheel = linkage.positions[0].wheel_centre is not None
    for number in range(len(linkage.positions)):
        key = f"linkage.position[{number}]"
        yield RowHeading(f"Position {number + 1}\tout\tup\tfore")
        yield one("travel", field_of(f"{key}.travel", f"position {number + 1}"))
        yield point_row("outer joint", f"{key}.outer_joint")
        if wheel:
            yield point_row("wheel centre", f"{key}.wheel_centre")


# Length.


def _length_summary(editor: Editor, shown: Shown) -> str:
    if shown.solved is None:
        return "no answer yet"
    found = shown.solved.found
    length = length_words(found, editor.unit)
    return length if found.length_given else f"{length}, ride-centred"


def _length_rows(editor: Editor, shown: Shown) -> Iterator[Row]:
    yield from _window_rows(editor, shown)
    yield from placement_rows(editor)


def _window_rows(editor: Editor, shown: Shown) -> Iterator[Row]:
    shaft = f"shafts.{editor.side}"
    yield one("length", field_of(f"{shaft}.length"))
    yield Buttons(("ride_centred", "middle"))
    yield Buttons(("undecided",))
    if shown.solved is None:
        return
    found, unit, steering = shown.solved.found, editor.unit, editor.scene.steering
    yield Note(f"Ride-centred: {format_length(found.ride_centred_length_mm, unit)}.", lines=1)
    window = found.window
    if window is None or window.empty:
        yield Note(inside_window(found, unit).capitalize() + ".", "past")
        return
    short, long = window.shortest_mm, window.longest_mm
    yield Note(
        f"Window: {format_length(short, unit, named=False, rounding='up')} to "
        f"{format_length(long, unit, rounding='down')}, "
        f"keeping {format_length(found.margin_mm, unit)} at each end of the stroke."
    )
    yield Note(f"Shorter pulls apart at {where(window.pulls_apart_at, steering, unit)}.")
    yield Note(f"Longer bottoms at {where(window.bottoms_at, steering, unit)}.")


WORK_ORDER: tuple[WorkStep, ...] = (
    WorkStep("Measure", _measure_summary, _measure_rows),
    WorkStep("Length", _length_summary, _length_rows),
    BRACKETS_STEP,
    TRIAL_STEP,
    MAKING_STEP,
)


# Where a key has its fields: the first of these that it matches.
_STEPS_OF: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"^(reading|mark)\[", ("Measure", "Measure/Readings")),
    (r"^photo\.", ("Brackets", "Brackets/Photo")),
    (r"^bracket\[|\.section\[", ("Brackets",)),
    (r"drive\.", ("Making", "Making/Drive")),
    (r"lathe\.", ("Making", "Making/Lathe")),
    (r"\.donors\.", ("Making", "Making/Donors")),
    (r"\.splice", ("Making", "Making/Splice and sleeve")),
    (r"\.runout|\.finished_length", ("Making", "Making/After welding")),
    (r"\.trial", ("Trial fit",)),
    (r"\.length$", ("Length",)),
    (r"^(linkage|hub|shafts|travel|steering|gearbox)\.", ("Measure",)),
)


def steps_of(key: str) -> tuple[str, ...]:
    """The step whose fields a selected thing has, and its part there; nothing where none."""
    return next((steps for pattern, steps in _STEPS_OF if re.search(pattern, key)), ())


def step_of(key: str) -> str:
    """The step whose fields a selected thing has; empty where none."""
    return next(iter(steps_of(key)), "")
