"""After welding, in words: runout, bend, unbalance, finished length."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from kinematics.making.straightness import Straightness
from sketcher.words.answer import brief
from sketcher.words.lengths import MM, Lengths
from sketcher.words.strength import down, up
from sketcher.words.units import MM_PER_INCH

if TYPE_CHECKING:
    from kinematics.making.balance import FinishedLength, Judged, Trueness

_SIDES = {
    "both": "read on both sides of the splice",
    "hub": "read on the hub side only; the gearbox side is taken to meet it without a step",
    "gearbox": "read on the gearbox side only; the hub side is taken to meet it without a step",
}


def runout_words(mm: float, say: Lengths = MM) -> str:
    """A total indicator reading, to a thousandth of a mm or a tenth of a thou, upwards."""
    return f"{up(mm / MM_PER_INCH, 4)} in" if say.unit == "in" else f"{up(mm, 3)} mm"


def limit_words(mm: float, say: Lengths = MM) -> str:
    """The most that a reading may be, rounded down."""
    return f"{down(mm / MM_PER_INCH, 4)} in" if say.unit == "in" else f"{down(mm, 3)} mm"


def judged_line(one: Judged, say: Lengths = MM) -> str:
    """One thing against its limit, and where the limit is from."""
    if one.quantity == "runout":
        value, limit = runout_words(one.value, say), limit_words(one.limit, say)
        text = f"{value} total indicator reading, limit {limit}"
    else:
        text = f"{up(one.value, 1)} mm/s, limit G{brief(one.limit)}"
    return f"{text}: {'good enough' if one.holds else 'not good enough'} ({one.source})"


def bend_line(straight: Straightness, say: Lengths = MM) -> str:
    """Eccentricity, bend and step at the splice."""
    at = float(straight.eccentricity_mm(straight.splice_at_mm))
    clocked = "" if straight.clocked else "; high spots not noted, taken to be on one side"
    return (
        f"{runout_words(at, say)} out of centre at the splice; the bars meet at "
        f"{up(straight.kink_deg, 2)}° with a step of {runout_words(straight.step_mm, say)}; "
        f"{_SIDES[straight.sides]}{clocked}"
    )


def expected_line(straight: Straightness, say: Lengths = MM) -> str:
    """Where the runout that is judged was not read but follows; empty where it was read."""
    worst, read = straight.worst_runout_mm, straight.largest_tir_mm
    if worst <= read:
        return ""
    return (
        f"the readings are {runout_words(read, say)} at most; this is what they make of the "
        "splice, where the dial did not stand"
    )


def unbalance_line(found: Trueness) -> str:
    """Residual unbalance at top speed."""
    balance, (_, judged) = found.balance, found.judged
    limit = judged.limit
    allowed = balance.allowed_gmm(limit)
    return (
        f"{up(balance.unbalance_gmm)} g·mm of the {down(allowed, 0)} that G{brief(limit)} allows a "
        f"bar of {balance.mass_kg:.2f} kg at {up(balance.speed_rpm)} rpm; {grade_words(found)}"
    )


def grade_words(found: Trueness) -> str:
    """Which grade the unbalance lies within."""
    grade = found.balance.grade
    velocity = f"{up(found.balance.velocity_mm_s, 1)} mm/s"
    return f"{velocity}, within no grade" if grade is None else f"{velocity}, within G{grade:g}"


def used_at_line(torque_nm: float, found: Trueness) -> str:
    """The load that the usual limit of runout has to suit."""
    return (
        f"the limit is for low-powered shafts; this one turns at up to "
        f"{up(found.balance.speed_rpm)} rpm and is reckoned with {up(torque_nm)} N·m"
    )


def finished_line(found: FinishedLength, say: Lengths = MM) -> str:
    """The finished length against the window."""
    length = say.size(found.length_mm)
    spare = say.plain(abs(found.to_spare_mm), "up" if found.to_spare_mm < 0.0 else "down")
    match found.verdict:
        case "inside":
            return f"{length}: inside its window, {spare} to the nearer end"
        case "doubtful":
            return (
                f"{length}: {spare} inside its window, less than it is measured to "
                f"(±{say.size(found.within_mm)}): measure again"
            )
        case _:
            return f"{length}: {found.verdict}, {spare} outside its window"


def not_good_lines(
    true: Trueness | None, finished: FinishedLength | None, say: Lengths = MM
) -> Iterator[str]:
    """What of the finished shaft is not good enough."""
    if true is not None:
        for one in true.judged:
            if not one.holds:
                yield f"{one.quantity} {judged_line(one, say)}"
    if finished is not None and finished.verdict != "inside":
        yield f"finished length {finished_line(finished, say)}"


def welded_summary(true: Trueness | None, finished: FinishedLength | None, say: Lengths) -> str:
    """Runout, grade and length in few words."""
    parts = []
    if true is not None:
        runout, grade = true.judged
        limit = limit_words(runout.limit, say)
        parts.append(f"runout {runout_words(runout.value, say)} (limit {limit})")
        parts.append(f"balance {grade_words(true)} (limit G{brief(grade.limit)})")
    if finished is not None:
        parts.append(f"length {finished_line(finished, say)}")
    return "; ".join(parts)
