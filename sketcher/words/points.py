"""Points, readings and what to read next, in words: the same for command, window and sheet."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from kinematics.sure.certainty import Certainty
from kinematics.sure.readings import Reading, ReadingKind
from sketcher.words.answer import brief, travel_words, typed
from sketcher.words.certainty import percent, thing_words
from sketcher.words.plain import printable
from sketcher.words.units import Unit, format_length, in_unit

if TYPE_CHECKING:
    from kinematics.sure.chance_next import NextForChance
    from kinematics.sure.read_next import NextReading
    from kinematics.sure.settling import CheckedReading, Settled, SettledPoint

_MARK = "mark."
_READING_KEY = re.compile(r"reading\[(\d+)\]\.\w+")
# Drawn nearer than this to where its readings put it, a point is settled.
SETTLED_MM = 0.05
_OF = {
    "up": "above the floor",
    "out": "from the centreline",
    "fore": "forward of the plumb line",
    "across": "across to the same point on the other side",
}
# What a reading is taken with.
TAKEN_WITH: Mapping[ReadingKind, str] = {
    "distance": "a tape in a straight line from centre to centre",
    "rise": "a level and a rule",
    "slope": "an angle gauge laid along the line",
    "up": "a level floor and an upright rule",
    "out": "a plumb line and the chalked centreline",
    "fore": "the plumb line that fore is counted from",
    "across": "a tape, and the wheel on the other side held alike",
}

_HOLD = {
    "arm_pivot": "middle of the inner bush's bolt; front and rear bush averaged",
    "lower_pivot": "middle of the inner bush's bolt; front and rear bush averaged",
    "upper_pivot": "middle of the inner bush's bolt; front and rear bush averaged",
    "ball_joint": "centre of the ball: half a ball below the top of its housing",
    "lower_ball_joint": "centre of the ball, not of its nut",
    "upper_ball_joint": "centre of the ball, not of its nut",
    "strut_top": "centre of the top mount's bearing, from under the bonnet",
    "strut_lower": "middle of the tube, low down; scribe it, for it is read more than once",
    "outer_joint": "where the plane of its balls meets the hub axis, marked on the joint's bell",
    "wheel_centre": "hub face, in the middle",
    "mid_stroke": "half way between the scribed lines of bottomed and pulled out",
}
NO_MARKS = (
    "No mark yet: choose three or more on the body near the wheel, not in one line (a hole, a bolt "
    "head, a chalk cross), letter them in the drawing, and measure every point to each."
)


def point_words(path: str, paths: Sequence[str] = ()) -> str:
    """A point as a person would say it; its side where ``paths`` has both."""
    if path.startswith(_MARK):
        return " ".join(printable(path.removeprefix(_MARK)).split())
    words = thing_words(path).replace(", mid-stroke", "'s mid-stroke")
    sides = [side for side in ("left", "right") if path.startswith(f"shafts.{side}.")]
    others = {one.split(".")[1] for one in paths if one.startswith("shafts.")}
    return f"{sides[0]} {words}" if sides and len(others) > 1 else words


def unmet_words(problem: str, paths: Sequence[str], unit: Unit = "mm") -> str:
    """Why readings cannot be met, with readings and points named as a person names them."""
    said = _READING_KEY.sub(lambda found: f"reading {int(found[1]) + 1}", in_unit(problem, unit))
    for path in sorted(paths, key=len, reverse=True):
        said = said.replace(path, point_words(path, paths))
    return said


def value_words(reading: Reading, unit: Unit = "mm") -> str:
    """A reading's number as it was typed, with its unit."""
    return f"{brief(reading.value)}°" if reading.kind == "slope" else typed(reading.value, unit)


def off_words(reading: Reading, off: float, unit: Unit = "mm") -> str:
    """How far a reading is off, with its unit and sign."""
    if reading.kind == "slope":
        return f"{off:+.2f}°".replace("-", "−")
    return format_length(off, unit, signed=True)


def held_words(travel_mm: float, steer_deg: float, unit: Unit = "mm") -> str:
    """Where the wheel was held; empty for ride height with the steering straight."""
    held = f" at {travel_words(travel_mm, unit)}" if travel_mm else ""
    return f"{held}, steer {brief(steer_deg, sign=True)}°" if steer_deg else held


def hold_words(path: str) -> str:
    """What to hold the tape to for a point."""
    if path.startswith(_MARK):
        return "its middle; it stays on the body"
    return _HOLD.get(path.rpartition(".")[2], "its centre")


def what_words(
    reading: Reading, paths: Sequence[str] = (), unit: Unit = "mm", *, held: bool = True
) -> str:
    """What a reading is of: "from ball joint to rail hole", "ball joint, above the floor"."""
    names = [point_words(one, paths) for one in reading.points]
    where = held_words(reading.travel, reading.steer, unit) if held else ""
    if len(names) == 1:
        return f"{names[0]}, {_OF[reading.kind]}{where}"
    kind = "" if reading.kind == "distance" else f"{reading.kind} "
    return f"{kind}from {names[0]} to {names[1]}{where}"


def reading_words(reading: Reading, unit: Unit = "mm", paths: Sequence[str] = ()) -> str:
    """A reading with its number."""
    return f"{what_words(reading, paths, unit)}: {value_words(reading, unit)}"


def state_words(settled: Settled, paths: Sequence[str] = (), unit: Unit = "mm") -> str:
    """Whether the points are where their readings put them, in one line."""
    if settled.suspicious is not None:
        return f"Not sure: {suspicious_words(settled, paths, unit)}."
    if not any(one.rests for one in settled.points):
        return "No point rests on readings: every coordinate counts as typed, by the tape."
    if settled.drawn_off_mm > SETTLED_MM:
        return f"Not settled: {drawn_off_words(settled, paths, unit)}."
    return "Settled: every point is drawn where its readings put it."


def drawn_off_words(settled: Settled, paths: Sequence[str] = (), unit: Unit = "mm") -> str:
    """The point that is drawn furthest from where its readings put it, and how far."""
    rests = [one for one in settled.points if one.rests]
    off = max(rests, key=lambda one: one.drawn_off_mm)
    far = format_length(off.drawn_off_mm, unit, rounding="up")
    return f"{point_words(off.name, paths)} is drawn {far} from where its readings put it"


def suspicious_words(settled: Settled, paths: Sequence[str] = (), unit: Unit = "mm") -> str:
    """The reading that seems misread, and by how much."""
    assert settled.suspicious is not None
    one = settled.readings[settled.suspicious]
    by = off_words(one.reading, one.misread_by, unit)
    return (
        f"reading {settled.suspicious + 1}, {reading_words(one.reading, unit, paths)}, seems "
        f"misread by {by}; read it again"
    )


def place_words(point: SettledPoint, unit: Unit = "mm") -> str:
    """Where a point is by its readings, each coordinate with its doubt at 95 %."""
    parts = []
    for name, value, sigma in zip(
        ("out", "up", "fore"), point.at.tolist(), point.standard_uncertainty_mm.tolist(),
        strict=True,
    ):  # fmt: skip
        doubt = format_length(1.96 * sigma, unit, named=False, rounding="up")
        parts.append(f"{name} {format_length(value, unit, named=False)} ±{doubt}")
    return f"{', '.join(parts)} {unit} (95 %)"


def rests_words(point: SettledPoint, unit: Unit = "mm") -> str:
    """What a point rests on, and how far it is drawn from there."""
    if not point.fixed_by:
        return "no reading names it"
    numbers = ", ".join(str(place + 1) for place in point.fixed_by)
    plural = "s" if len(point.fixed_by) > 1 else ""
    words = f"rests on reading{plural} {numbers}"
    if point.drawn_off_mm > SETTLED_MM:
        far = format_length(point.drawn_off_mm, unit, rounding="up")
        return f"{words}; drawn {far} from there"
    return words


def short_residual(one: CheckedReading, unit: Unit = "mm") -> str:
    """How far a reading lies off what the points give, in the fewest words."""
    return off_words(one.reading, one.residual, unit) if one.checked else "unchecked"


def residual_words(one: CheckedReading, unit: Unit = "mm") -> str:
    """How far a reading lies off what the points give."""
    words = f"off by {off_words(one.reading, one.residual, unit)}"
    if not one.checked:
        return f"{words}; nothing checks it"
    size = math.ceil(10.0 * one.standardised - 1e-9) / 10.0
    return f"{words}, {size:.1f} standard uncertainties"


def remarks(settled: Settled, paths: Sequence[str] = (), unit: Unit = "mm") -> Iterator[str]:
    """What nothing fixes, and which readings say different things of one number."""
    for point in settled.points:
        if not point.rests:
            continue
        name = point_words(point.name, paths)
        if not point.fixed_by:
            yield f"{name}: no reading names it"
        else:
            for place in point.not_fixed:
                yield f"{name}, {place}: nothing fixes it"
    for first, second in settled.contradictions:
        one, other = settled.readings[first].reading, settled.readings[second].reading
        yield (
            f"readings {first + 1} and {second + 1} say different things of one number: "
            f"{reading_words(one, unit, paths)}, and {reading_words(other, unit, paths)}"
        )


def doubt_words(half_width: float, unit: Unit = "mm", *, named: bool = True) -> str:
    """A 95 % half width, rounded up to a hundredth: what one reading more does is often small."""
    digits = 2 if unit == "mm" else 4
    return f"±{format_length(half_width, unit, digits=digits, rounding='up', named=named)}"


def next_words(one: NextReading, now_mm: float, unit: Unit, paths: Sequence[str]) -> str:
    """What to read next, and what it would do to the doubt in the length."""
    now, after = doubt_words(now_mm, unit, named=False), doubt_words(one.half_width, unit)
    return next_for_words(one, "length", now, after, paths)


def _ask(reading: Reading, paths: Sequence[str]) -> str:
    names = [point_words(name, paths) for name in reading.points]
    if reading.kind == "distance":
        return f"Measure from {names[0]} to {names[1]}"
    return f"Measure {names[0]} {_OF[reading.kind]}"


def next_for_words(one: NextReading, what: str, now: str, after: str, paths: Sequence[str]) -> str:
    """The same for another number than the length."""
    return f"{_ask(one.reading, paths)}: the doubt in the {what} goes from {now} to {after}"


def next_for_chance_words(
    one: NextForChance, sure: Certainty, unit: Unit = "mm", paths: Sequence[str] = ()
) -> str:
    """The same for the chance of the length that was judged."""
    length = format_length(sure.length_mm, unit)
    length = length if sure.length_given else f"the ride-centred {length}"
    now, after = (percent(chance, sure.draws) for chance in (sure.chance, one.chance))
    if after.endswith("%"):
        now = now.removesuffix(" %")
    return f"{_ask(one.reading, paths)}: the chance of {length} goes from {now} to {after}"


def raising(sure: Certainty, after: Sequence[NextForChance]) -> tuple[NextForChance, ...]:
    """The readings after which another chance is told than now."""
    now = percent(sure.chance, sure.draws)
    return tuple(one for one in after if percent(one.chance, sure.draws) != now)
