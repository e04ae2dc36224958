"""The numbers at the current position, each with its limit and how it stands."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sketcher.answers.shown import Shown
from sketcher.answers.states import State, angle_state, room_state
from sketcher.words.answer import signed
from sketcher.words.units import Unit, format_angle, format_length


@dataclass(frozen=True, slots=True)
class PositionValue:
    """One row of the readout; ``state`` is None for what has no limit."""

    name: str
    value: str
    limit: str = ""
    state: State | None = None
    help: str = ""


ROWS = 9
_EMPTY = "–"


def position_values(
    shown: Shown, unit: Unit, gap: tuple[float, float, str] | None
) -> tuple[PositionValue, ...]:
    """The rows of the readout at the position shown.

    ``gap`` is the smallest gap there, the wanted one, and the bracket's name.
    """
    solved, pose = shown.solved, shown.pose
    if solved is None or pose is None:
        return ()
    shaft, corner = pose.shaft, solved.corner
    joint, margin = corner.shaft.inner_joint, solved.found.margin_mm

    def length(value: float | None, *, plus: bool = False) -> str:
        return _EMPTY if value is None else format_length(value, unit, signed=plus)

    def stroke(name: str, left_mm: float | None, end: str) -> PositionValue:
        return PositionValue(
            name,
            _EMPTY if left_mm is None else format_length(left_mm, unit, rounding="down"),
            f"min {format_length(margin, unit, named=False)}",
            None if left_mm is None else room_state(left_mm, margin),
            f"Stroke that is left before the inner joint {end}; negative where it is past the "
            "end. The limit is the margin that should be left.",
        )

    def angle(name: str, angle_deg: float | None, most_deg: float, between: str) -> PositionValue:
        return PositionValue(
            name,
            _EMPTY if angle_deg is None else format_angle(angle_deg),
            f"max {most_deg:g}°",
            None if angle_deg is None else angle_state(angle_deg, most_deg),
            f"Angle between {between}, and the most that the joint bends.",
        )

    plunge = left_in = left_out = inner = outer = None
    if shaft is not None:
        plunge = shaft.plunge_mm
        left_in, left_out = shaft.stroke_left_in_mm, shaft.stroke_left_out_mm
        inner, outer = shaft.inner_angle_deg, shaft.outer_angle_deg
    swept = math.dist(pose["hub.outer_joint"], joint.mid_stroke)
    most = corner.shaft.outer_joint.max_angle
    rows = [
        PositionValue(
            "plunge",
            length(plunge, plus=True),
            help="Where the inner joint's centre sits on the housing axis, from mid-stroke: "
            "+ pulled out towards the wheel, − pushed in towards the gearbox.",
        ),
        stroke("stroke to bottom", left_in, "bottoms"),
        stroke("stroke to pull apart", left_out, "pulls apart"),
        angle("inner joint angle", inner, joint.max_angle, "the housing axis and the shaft"),
        angle("outer joint angle", outer, most, "the shaft and the hub axis"),
        PositionValue(
            "swept length",
            length(swept),
            help="Straight distance from the outer joint's centre to mid-stroke: the length that "
            "a shaft would need here to keep its inner joint at mid-stroke.",
        ),
        PositionValue(
            "change",
            length(swept - solved.found.ride_centred_length_mm, plus=True),
            help="Swept length here less the swept length at ride height, steering straight.",
        ),
        PositionValue(
            "camber",
            f"{signed(pose.camber_deg)}°",
            help="Inclination of the wheel: + where its top leans outboard.",
        ),
        _gap_reading(gap, unit, "no brackets" if not corner.brackets else "not checked"),
    ]
    assert len(rows) == ROWS
    return tuple(rows)


def _gap_reading(gap: tuple[float, float, str] | None, unit: Unit, none: str) -> PositionValue:
    about = (
        "Smallest gap between the shaft's outline and a bracket at this position; negative where "
        "they overlap. The limit is the gap that the bracket wants."
    )
    if gap is None:
        return PositionValue("gap", none, help=about)
    value, wanted, name = gap
    return PositionValue(
        f"gap, {name}",
        format_length(value, unit, rounding="down"),
        f"min {format_length(wanted, unit, named=False)}",
        room_state(value, wanted),
        # The name may be longer than its row.
        f'To "{name}". {about}',
    )
