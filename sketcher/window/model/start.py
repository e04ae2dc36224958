"""Where an empty scene starts: a sensible strut layout to drag into shape."""

from __future__ import annotations

from kinematics import parts
from scenes.guessed import with_guesses
from scenes.keys import EditRefused, value_of, with_value
from scenes.model import SIDES, Scene, Side
from sketcher.window.model.making_edits import length_of

_OF_A_SHAFT = ("inner_joint.mid_stroke", "inner_joint.stroke_in", "inner_joint.stroke_out",
               "inner_joint.max_angle", "outer_joint.max_angle", "section[0]", "section[1]",
               "section[2]")  # fmt: skip


def start_scene() -> Scene:
    """A plausible strut front axle with round numbers and an undecided shaft on each side.

    Every number of it is a guess until somebody types or drags it.
    """

    def shaft(mid_out: float) -> parts.Shaft:
        return parts.Shaft(
            inner_joint=parts.InnerJoint((mid_out, 310.0, 0.0), 22.0, 22.0, 22.0),
            outer_joint=parts.OuterJoint(45.0),
            sections=_sections(400.0),
        )

    scene = Scene(
        title="New scene",
        linkage=parts.Strut((350.0, 210.0, 0.0), (680.0, 195.0, 0.0), (590.0, 780.0, -20.0),
                      (650.0, 345.0, 0.0)),
        hub=parts.Hub((665.0, 300.0, 0.0), (735.0, 300.0, 0.0)),
        travel=parts.Travel(70.0, 80.0),
        steering=parts.Steering(34.0, 28.0),
        gearbox_movement=parts.GearboxMovement(4.0, 5.0, 6.0),
        left=shaft(270.0),
        right=shaft(260.0),
    )  # fmt: skip
    points = type(scene.linkage).__slots__
    return with_guesses(
        scene,
        (
            *(f"linkage.{point}" for point in points),
            "hub.outer_joint", "hub.wheel_centre", "travel.bump", "travel.droop",
            "steering.inside_lock", "steering.outside_lock",
            *(f"gearbox.movement.{axis}" for axis in ("out", "up", "fore")),
            *(f"shafts.{side}.{name}" for side in SIDES for name in _OF_A_SHAFT),
        ),
    )  # fmt: skip


def start_outline(scene: Scene, side: Side) -> Scene:
    """A bar and two boots for a shaft without an outline, to be set right.

    Raises EditRefused where it has one.
    """
    key = f"shafts.{side}.section"
    if value_of(scene, key):
        raise EditRefused(f"{key}: there is an outline here")
    sections = _sections(round(length_of(scene, side)))
    new = with_value(scene, key, sections)
    return with_guesses(new, (f"{key}[{i}]" for i in range(len(sections))))


def _sections(length_mm: float) -> tuple[parts.Section, ...]:
    """A bar and two boots of a small car's shaft."""
    part = min(length_mm / 400.0, 1.0)
    boot, bar = (30.0 * part, 100.0 * part), length_mm - 100.0 * part
    return (
        parts.Section("outer boot", *boot, (85.0, 35.0)),
        parts.Section("bar", boot[1], bar, (25.0, 25.0)),
        parts.Section("inner boot", bar, length_mm - 30.0 * part, (35.0, 80.0)),
    )
