"""The numbers at the current position, each with its limit and how it stands."""

from __future__ import annotations

from dataclasses import dataclass

from sketcher.answers.shown import Shown
from sketcher.answers.states import State, angle_state, gap_state, stroke_state
from sketcher.words.answer import signed
from sketcher.words.units import Rounding, Unit, format_angle, format_length


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

    def length(value: float | None, *, plus: bool = False, rounding: Rounding = "nearest") -> str:
        if value is None:
            return _EMPTY
        return format_length(value, unit, signed=plus, rounding=rounding)

    def at_least(limit: float) -> str:
        return f"min {format_length(limit, unit, named=False)}"

    def stroke(value: float | None) -> State | None:
        return None if value is None else stroke_state(value, margin)

    def angle(value: float | None, limit: float) -> State | None:
        return None if value is None else angle_state(value, limit)

    swept = _swept(shown)
    change = None if swept is None else swept - solved.found.ride_centred_length_mm
    left_in = shaft.stroke_left_in_mm if shaft else None
    left_out = shaft.stroke_left_out_mm if shaft else None
    inner = shaft.inner_angle_deg if shaft else None
    outer = shaft.outer_angle_deg if shaft else None
    outer_limit = corner.shaft.outer_joint.max_angle
    rows = [
        PositionValue(
            "plunge",
            length(shaft.plunge_mm if shaft else None, plus=True),
            help="Where the inner joint's centre sits on the housing axis, from mid-stroke: "
            "+ pulled out towards the wheel, − pushed in towards the gearbox.",
        ),
        PositionValue(
            "stroke to bottom",
            length(left_in, rounding="down"),
            at_least(margin),
            stroke(left_in),
            "Stroke that is left before the inner joint bottoms; negative where it is past the "
            "end. The limit is the margin that should be left.",
        ),
        PositionValue(
            "stroke to pull apart",
            length(left_out, rounding="down"),
            at_least(margin),
            stroke(left_out),
            "Stroke that is left before the inner joint pulls apart; negative where it is past "
            "the end. The limit is the margin that should be left.",
        ),
        PositionValue(
            "inner joint angle",
            _degrees(inner),
            f"max {joint.max_angle:g}°",
            angle(inner, joint.max_angle),
            "Angle between the housing axis and the shaft, and the most that the joint bends.",
        ),
        PositionValue(
            "outer joint angle",
            _degrees(outer),
            f"max {outer_limit:g}°",
            angle(outer, outer_limit),
            "Angle between the shaft and the hub axis, and the most that the joint bends.",
        ),
        PositionValue(
            "swept length",
            length(swept),
            help="Straight distance from the outer joint's centre to mid-stroke: the length that "
            "a shaft would need here to keep its inner joint at mid-stroke.",
        ),
        PositionValue(
            "change",
            length(change, plus=True),
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


def _swept(shown: Shown) -> float | None:
    assert shown.solved is not None
    assert shown.pose is not None
    mid = shown.solved.corner.shaft.inner_joint.mid_stroke
    outer = shown.pose["hub.outer_joint"]
    return float(sum((a - b) ** 2 for a, b in zip(outer, mid, strict=True)) ** 0.5)


def _degrees(value: float | None) -> str:
    return _EMPTY if value is None else format_angle(value)


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
        gap_state(value, wanted),
        # The name may be longer than its row.
        f'To "{name}". {about}',
    )
