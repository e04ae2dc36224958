"""The answer in plain words: the same sentences for the report, the window and the sheet."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping

from kinematics.examine import Examination, Quantity, Unreachable, Worst, unreachable
from kinematics.motion import Motion
from kinematics.parts import Steering
from kinematics.sizing import LengthWindow, Position
from scenes.model import Scene, Side
from sketcher.units import Unit, format_both, format_length

MEANINGS: Mapping[Quantity, str] = {
    "stroke_left_in": "stroke left before the inner joint bottoms",
    "stroke_left_out": "stroke left before it pulls apart",
    "inner_angle": "inner joint angle",
    "outer_angle": "outer joint angle",
    "clearance": "smallest gap",
}
REPORT_WIDTH = 100
# A side's own words for the gearbox's movement, plus and minus.
DIRECTIONS = (("outboard", "inboard"), ("up", "down"), ("forward", "rearward"))
CAUTIONS = (
    "Cautions: these numbers follow from the points that were measured; the car may differ, so",
    "try the length in the car before cutting. Compressed springs can kill: use a proper spring",
    "compressor, and axle stands, never a jack alone. A welded shaft is a rotating part: have it",
    "welded and checked by somebody qualified, and keep to the codes where you live.",
)


def signed(value: float, digits: int = 1) -> str:
    """A number with its sign, a true minus, and no minus before zero."""
    text = f"{value:+.{digits}f}"
    if float(text) == 0.0:
        text = f"{0:.{digits}f}"
    return text.replace("-", "−")


def where(position: Position, steering: Steering | None = None, unit: Unit = "mm") -> str:
    """A position of the whole motion as a person would say it."""
    parts = [travel_words(position.travel_mm, unit)]
    if steering is not None:
        parts.append(steer_words(position.steer_deg, steering))
    moved = [
        f"{format_length(abs(value), unit)} {directions[value < 0.0]}"
        for directions, value in zip(DIRECTIONS, position.shift_mm, strict=True)
        if value
    ]
    if moved:
        parts.append(f"gearbox moved {', '.join(moved)}")
    return ", ".join(parts)


def travel_words(travel_mm: float, unit: Unit = "mm") -> str:
    """Wheel travel in words."""
    if travel_mm == 0.0:
        return "ride height"
    return f"{'bump' if travel_mm > 0 else 'droop'} {format_length(abs(travel_mm), unit)}"


def steer_words(steer_deg: float, steering: Steering | None = None) -> str:
    """A steer angle in words; at a lock, which one."""
    if steer_deg == 0.0:
        return "straight ahead"
    wheel = "inside" if steer_deg > 0 else "outside"
    lock = None
    if steering is not None:
        lock = steering.inside_lock if steer_deg > 0 else -steering.outside_lock
    kind = f"{wheel} lock" if steer_deg == lock else f"{wheel} wheel"
    return f"steer {signed(steer_deg, 0)}° ({kind})"


def amount(worst: Worst, value: float, unit: Unit) -> str:
    """A value of the quantity with its unit."""
    if worst.quantity in ("inner_angle", "outer_angle"):
        return f"{value:.1f}°"
    return format_length(value, unit)


def broken_line(worst: Worst, unit: Unit = "mm", steering: Steering | None = None) -> str:
    """One broken limit in words."""
    value, limit = amount(worst, worst.value, unit), amount(worst, worst.limit, unit)
    place = where(worst.position, steering, unit)
    short = amount(worst, -worst.to_spare, unit)
    match worst.quantity:
        case "stroke_left_in" | "stroke_left_out":
            end = "bottoms" if worst.quantity == "stroke_left_in" else "pulls apart"
            if worst.value < 0.0:
                past = amount(worst, -worst.value, unit)
                return f"the inner joint {end}: {past} past the end of its stroke at {place}"
            return (
                f"too little stroke before the inner joint {end}: {value} left at {place}, "
                f"the margin is {limit}"
            )
        case "inner_angle" | "outer_angle":
            joint = "inner" if worst.quantity == "inner_angle" else "outer"
            return f"the {joint} joint bends {value} at {place}, its limit is {limit}"
        case _:
            if worst.value < 0.0:
                deep = amount(worst, -worst.value, unit)
                return f'the shaft fouls "{worst.part}" by {deep} at {place}'
            return (
                f'the gap to "{worst.part}" is {value} at {place}, wanted is {limit} '
                f"({short} too little)"
            )


def unreachable_line(found: Unreachable) -> str:
    """What the linkage cannot do, and what it can."""
    unit = "mm" if found.quantity == "travel" else "°"
    asked = " to ".join(signed(value, 0) for value in found.asked)
    able = " to ".join(signed(value) for value in found.reachable)
    return (
        f"{found.quantity} {asked} {unit} is out of reach: {found.reason} beyond "
        f"{able} {unit}; correct the points, or {found.quantity}"
    )


def out_of_reach(motion: Motion) -> list[str]:
    """What of a motion is out of reach; empty where all of it is in reach."""
    return [unreachable_line(found) for found in unreachable(motion)]


def broken_lines(
    found: Examination, unit: Unit = "mm", steering: Steering | None = None
) -> list[str]:
    """Each limit that is broken, in words."""
    lines = [unreachable_line(one) for one in found.unreachable]
    lines += [broken_line(worst, unit, steering) for worst in found.broken]
    window = found.window
    if window is not None and window.empty:
        lines.append(_empty_window(window, unit, steering))
    return lines


def _empty_window(window: LengthWindow, unit: Unit, steering: Steering | None) -> str:
    return (
        f"no length keeps {format_length(window.margin_mm, unit)} at both ends: the window is "
        f"short by {format_length(window.shortfall_mm, unit)}; not to pull apart at "
        f"{where(window.pulls_apart_at, steering, unit)} it must not be shorter than "
        f"{format_length(window.shortest_mm, unit)}, not to bottom at "
        f"{where(window.bottoms_at, steering, unit)} not longer than "
        f"{format_length(window.longest_mm, unit)}"
    )


def verdict(found: Examination, unit: Unit = "mm") -> str:
    """One line that says whether the shaft can be cut."""
    length = format_both(found.length_mm, unit)
    if found.unreachable:
        return "Do not cut: part of the travel or steering asked for is out of reach."
    assert found.window is not None
    if found.window.empty:
        return "Do not cut: no length keeps the margin at both ends of the stroke."
    if found.broken:
        what = "length" if found.length_given else "ride-centred length"
        return f"Do not cut at {length}: with this {what} a limit is broken."
    if found.length_given:
        return f"{length} can be cut: every limit holds over the whole motion."
    return f"Not cut yet: the ride-centred length {length} holds every limit."


def inside_window(found: Examination, unit: Unit = "mm") -> str:
    """Whether the length is inside the window, and by how much."""
    window = found.window
    if window is None:
        return "no window: not all of the motion is in reach"
    if window.empty:
        return f"empty, short by {format_length(window.shortfall_mm, unit)}"
    down = found.length_mm - window.shortest_mm
    up = window.longest_mm - found.length_mm
    if down < 0.0:
        return f"the length is {format_length(-down, unit)} too short for it"
    if up < 0.0:
        return f"the length is {format_length(-up, unit)} too long for it"
    return (
        f"the length is inside it, {format_length(down, unit)} above the shortest and "
        f"{format_length(up, unit)} below the longest"
    )


def report(scene: Scene, found: Mapping[Side, Examination], unit: Unit) -> Iterator[str]:
    """The report, line by line."""
    yield scene.title or "Untitled scene"
    for side, one in found.items():
        yield ""
        yield f"{side.upper()} SHAFT  {verdict(one, unit)}"
        yield from _side_lines(one, unit, scene.steering)
    yield ""
    yield from CAUTIONS


def _side_lines(found: Examination, unit: Unit, steering: Steering | None) -> Iterator[str]:
    length = format_both(found.length_mm, unit)
    yield _row("length", length if found.length_given else f"{length}, ride-centred (none given)")
    yield _row("ride-centred length", format_both(found.ride_centred_length_mm, unit))
    window = found.window
    margin = format_length(found.margin_mm, unit)
    if window is not None and not window.empty:
        # Rounded inwards: a length read off the report must not lie outside the window.
        shortest = format_both(window.shortest_mm, unit, rounding="up")
        longest = format_both(window.longest_mm, unit, rounding="down")
        ends = f"{shortest} to {longest}"
        yield _row("length window", f"{ends}, keeping {margin} at each end")
        yield _row("", f"shorter pulls apart at {where(window.pulls_apart_at, steering, unit)}")
        yield _row("", f"longer bottoms at {where(window.bottoms_at, steering, unit)}")
    yield _row("", inside_window(found, unit))
    for worst in found.worst:
        yield _row(_least(worst), _worst_line(worst, unit, steering))
    yield _row(
        "most off-centre",
        f"plunge {format_length(found.off_centre_mm, unit, signed=True)} "
        f"at {where(found.off_centre_at, steering, unit)}",
    )
    broken = broken_lines(found, unit, steering)
    for line in broken:
        yield _row("BROKEN", line)
    if not broken:
        yield _row("limits", "all hold")


def _least(worst: Worst) -> str:
    return {
        "stroke_left_in": "least stroke left in",
        "stroke_left_out": "least stroke left out",
        "inner_angle": "inner joint angle",
        "outer_angle": "outer joint angle",
        "clearance": "gap",
    }[worst.quantity]


def _worst_line(worst: Worst, unit: Unit, steering: Steering | None) -> str:
    part = f' to "{worst.part}"' if worst.part else ""
    kind = "limit" if worst.quantity in ("inner_angle", "outer_angle") else "wanted"
    return (
        f"{amount(worst, worst.value, unit)}{part} ({kind} {amount(worst, worst.limit, unit)}) "
        f"at {where(worst.position, steering, unit)}"
    )


def _row(name: str, text: str) -> str:
    return textwrap.fill(
        text,
        width=REPORT_WIDTH,
        initial_indent=f"  {name:<22} ",
        subsequent_indent=" " * 25,
        break_long_words=False,
        break_on_hyphens=False,
    )
