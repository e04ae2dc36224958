"""How sure an answer is, in plain words: the same for commands, window and sheet.

A chance comes from a finite number of draws and is never shown as certain.  It is rounded
down, and every uncertainty up.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from kinematics.sure.certainty import COVERAGE, DRAWS, Certainty, Estimate, Share
from kinematics.sure.measurands import AXES, Coordinate
from kinematics.sure.tape import Tape, class_ii_limit_mm
from scenes.key_table import named
from scenes.model import Side
from scenes.part_keys import path_of
from sketcher.words.answer import travel_words, typed
from sketcher.words.plain import finite, picked
from sketcher.words.units import Unit, format_length

if TYPE_CHECKING:
    from kinematics.sure.misread import Misread
    from kinematics.sure.trial_fit import FittedCoordinate, Residual, TrialFit

# What is in a chance, wherever one is told.
ALONE = "by tape error alone"
NOT_IN_IT = "a misread point, gaps and a worn bush are not in it"
CONTRADICTED = (
    "the car contradicts these points: no chance by them counts before they are measured again"
)
# Below this a length is not sure enough to cut a shaft by.
SURE_ENOUGH = 0.95
# A share below this is not worth another visit under the car.
WORTH_MEASURING = 0.03
# A fit that moves a coordinate by less has left it where it was.
LEAST_CHANGE_MM = 0.05

_POSITION = re.compile(r"linkage\.position\[(\d+)\]\.(\w+)")
_PER_CENT = round(100 * COVERAGE)


def thing_words(thing: str) -> str:
    """A measured thing as a person would say it: "hub.outer_joint" is "outer joint"."""
    position = _POSITION.fullmatch(thing)
    if position:
        return f"{position[2].replace('_', ' ')} at position {int(position[1]) + 1}"
    # Of a length that is still to be cut, the error is the cut's.
    return "cutting to length" if thing.rpartition(".")[2] == "length" else named(thing)


def percent(chance: float, draws: int = DRAWS) -> str:
    """A chance in per cent, rounded down and no surer than so many draws can tell."""
    # Nothing seen in n draws happens, 19 times out of 20, in fewer than 3/n of all cases.
    finest = max(3.0 / draws, 0.001)
    if chance > 1.0 - finest:
        return f"over {math.floor(1000.0 * (1.0 - finest) + 1e-9)} in 1000"
    if chance < finest:
        return f"under {math.ceil(1000.0 * finest - 1e-9) / 10.0:.1f} %"
    tenths = math.floor(1000.0 * chance + 1e-9)
    # A tenth of a per cent matters near the ends only.
    return f"{tenths / 10:.1f} %" if tenths >= 950 or tenths < 50 else f"{tenths // 10} %"


def assumed_words(tape: Tape[str] | None, unit: Unit = "mm") -> str:
    """What was assumed of the tape where nobody said; empty where somebody did."""
    if tape is not None and tape.limit is not None:
        return ""
    limit = format_length(class_ii_limit_mm(1000.0), unit, rounding="up")
    return f"no tape given: ±{limit} assumed"


def rests_on_words(tape: Tape[str] | None, unit: Unit = "mm") -> str:
    """What a chance rests on, and what is not in it."""
    return "; ".join(filter(None, (assumed_words(tape, unit), NOT_IN_IT)))


def tape_words(tape: Tape[str] | None, unit: Unit = "mm", readings: int = 0) -> str:
    """What the points were measured with, and what was assumed where nobody said.

    Points that rest on ``readings`` are as sure as these leave them.
    """
    if tape is None or tape.limit is None:
        metre = "1 m" if unit == "mm" else format_length(1000.0, unit, digits=0)
        words = f"{assumed_words(tape, unit)} up to {metre}, a class II tape laid to a surface"
    else:
        words = f"within ±{typed(tape.limit, unit)}"
    if readings:
        words = f"points as sure as {readings} readings leave them; for the rest {words}"
    own = [thing_words(error.thing) for error in (tape.errors if tape else ())]
    return f"{words}; of their own: {', '.join(own)}" if own else words


def interval_words(estimate: Estimate, unit: Unit = "mm") -> str:
    """A result with its 95 % interval, rounded outwards."""
    low = format_length(estimate.low_mm, unit, named=False, rounding="down")
    high = format_length(estimate.high_mm, unit, rounding="up")
    return f"{format_length(estimate.value_mm, unit)}; {_PER_CENT} % between {low} and {high}"


def chance_words(found: Certainty, unit: Unit = "mm") -> str:
    """The chance of the length judged, in one line."""
    length = format_length(found.length_mm, unit)
    kind = "" if found.length_given else ", ride-centred,"
    margin = typed(found.margin_mm, unit)
    return (
        f"{length}{kind} keeps {margin} at both ends of the stroke everywhere: "
        f"chance {percent(found.chance, found.draws)} {ALONE}"
    )


def short_chance(found: Certainty) -> str:
    """The chance in few words, where the length stands beside it."""
    chance = percent(found.chance, found.draws)
    words = f"chance {chance} {ALONE} that stroke and margin hold"
    if found.angles_chance < SURE_ENOUGH:
        words += f"; joint angles {percent(found.angles_chance, found.draws)}"
    return words


def misread_words(misread: Misread, unit: Unit = "mm") -> str:
    """A measured position that does not fit the path of the others, in one line."""
    point = misread.point.replace("_", " ")
    at = travel_words(misread.travel_mm, unit)
    by = format_length(misread.by_mm, unit, digits=None if unit == "in" else 0, rounding="up")
    return f"the {point}'s position at {at} looks misread by {by}: measure it again"


def best_words(found: Certainty, unit: Unit = "mm") -> str:
    """The length with the best chance."""
    if found.best_length_mm is None:
        return "none: the linkage closes in no draw"
    length = format_length(found.best_length_mm, unit)
    return f"{length}: chance {percent(found.best_chance, found.draws)}"


def worth_measuring(found: Certainty) -> tuple[Share, ...]:
    """What is worth measuring again, the largest share first."""
    return tuple(share for share in found.shares if share.share >= WORTH_MEASURING)


def share_words(share: Share, found: Certainty) -> str:
    """One thing's share of the doubt, and what another measurement of it would be worth."""
    words = f"{thing_words(path_of(share.thing))}: {100 * share.share:.0f} % of the doubt"
    better = percent(share.chance_if_halved, found.draws)
    if better == percent(found.chance, found.draws):
        return words
    return f"{words}; known twice as well, chance {better}"


def remarks(found: Certainty) -> Iterator[str]:
    """What an honest reader wants to know about these numbers; how they were drawn is in JSON."""
    if found.does_not_close:
        share = math.ceil(1000.0 * found.does_not_close / found.draws) / 10.0
        yield (
            f"in {share:g} % of the cars that the tape allows, the linkage does not close over "
            "the whole travel; they count as failed"
        )
    yield f"the chance is {ALONE}: {NOT_IN_IT}"


def certainty_json(found: Certainty, side: Side) -> dict[str, Any]:
    """The result with its units in the keys, fit for JSON."""
    return {
        **picked(found, "length_mm", "length_given", "margin_mm", "chance", "angles_chance"),
        "sampling_error": found.sampling_error(found.chance),
        "ride_centred_length": _estimate_json(found.ride_centred),
        "window_shortest": _estimate_json(found.shortest),
        "window_longest": _estimate_json(found.longest),
        **picked(found, "best_length_mm", "best_chance"),
        "measure_again": [
            {
                "thing": path_of(share.thing, side),
                "share": share.share,
                "chance_if_known_twice_as_well": share.chance_if_halved,
            }
            for share in found.shares
        ],
        "misread": found.misread and asdict(found.misread),
        **picked(found, "draws", "seed", "does_not_close"),
    }


def _estimate_json(estimate: Estimate) -> dict[str, float | None]:
    return {
        "value_mm": finite(estimate.value_mm),
        "interval_low_mm": finite(estimate.low_mm),
        "interval_high_mm": finite(estimate.high_mm),
        "standard_uncertainty_mm": finite(estimate.standard_uncertainty_mm),
        "first_order_mm": estimate.first_order_mm,
    }


# The trial fit.


def measurement_words(residual: Residual, unit: Unit = "mm") -> str:
    """What was measured, and where."""
    one = residual.measurement
    plunge = one.quantity == "plunge"
    what = "plunge" if plunge else "swept length"
    steer = f", steer {one.steer:+g}°".replace("-", "−") if one.steer else ""
    value = format_length(one.value, unit, signed=plunge)
    return f"{what} {value} at {travel_words(one.travel, unit)}{steer}"


def prediction_words(residual: Residual, unit: Unit = "mm") -> str:
    """What the points predict, and by how much they miss."""
    plunge = residual.measurement.quantity == "plunge"
    value = _finely(residual.before_mm, unit, signed=plunge)
    return f"{value}, {residual_words(residual, unit)}"


def residual_words(residual: Residual, unit: Unit = "mm") -> str:
    """Measured less predicted, from the points as taken and from the fitted ones."""
    before = _finely(residual.residual_before_mm, unit, signed=True)
    return f"off by {before}; after the fit {_finely(residual.residual_mm, unit, signed=True)}"


def agreement(fit: TrialFit, unit: Unit = "mm") -> str:
    """Whether the car and the points agree, in one plain line."""
    often = fit.probability * 100.0
    if fit.agrees:
        return (
            f"The car and the points agree, normal for a tape: {math.floor(often + 1e-9)} of 100 "
            "trial fits are as far off."
        )
    rare = "less than 1" if often < 1.0 else f"only {math.floor(often + 1e-9)}"
    line = (
        "The car and the points do not agree: tape error alone would leave so large a misfit in "
        f"{rare} of 100 trial fits. Do not cut by these points"
    )
    if fit.outlier is not None:
        return f"{line}; measure {measurement_words(fit.residuals[fit.outlier], unit)} again."
    return f"{line}; measure again, points and trial fit."


def changes(fit: TrialFit) -> Iterator[tuple[str, tuple[FittedCoordinate, ...]]]:
    """Each thing that the fit moved, in words, with the coordinates that it moved."""
    things = dict.fromkeys(one.coordinate.thing for one in fit.coordinates)
    for thing in things:
        own = (one for one in fit.coordinates if one.coordinate.thing == thing)
        moved = tuple(one for one in own if abs(one.change_mm) >= LEAST_CHANGE_MM)
        if moved:
            yield thing_words(path_of(thing)), moved


def change_words(moved: Sequence[FittedCoordinate], unit: Unit = "mm") -> str:
    """How far the fit moved one thing, coordinate by coordinate."""
    words = []
    for one in moved:
        axis, taken = one.coordinate.axis, _finely(one.coordinate.value_mm, unit, named=False)
        change = _finely(one.change_mm, unit, signed=True, named=False)
        name = "" if axis is None else f"{AXES[axis]} "
        words.append(f"{name}{taken} to {_finely(one.fitted_mm, unit)} ({change})")
    return ", ".join(words)


def fit_json(fit: TrialFit, side: Side) -> dict[str, Any]:
    """The trial fit, fit for JSON."""
    return {
        **picked(fit, "agrees", "probability", "chi_square", "degrees_of_freedom", "outlier"),
        "measurements": [
            {
                "travel_mm": one.measurement.travel,
                "steer_deg": one.measurement.steer,
                "quantity": one.measurement.quantity,
                "measured_mm": one.measurement.value,
                "predicted_mm": one.before_mm,
                "predicted_after_fit_mm": one.after_mm,
                "residual_mm": one.residual_before_mm,
                "residual_after_fit_mm": one.residual_mm,
                **picked(one, "standard_uncertainty_mm", "standardised", "redundancy"),
            }
            for one in fit.residuals
        ],
        "fitted": [
            {
                "coordinate": _coordinate_name(one.coordinate, side),
                "taken_mm": one.coordinate.value_mm,
                "fitted_mm": one.fitted_mm,
                "standard_uncertainty_mm": one.fitted_uncertainty_mm,
            }
            for one in fit.coordinates
        ],
    }


def _coordinate_name(one: Coordinate, side: Side) -> str:
    path = path_of(one.thing, side)
    return path if one.axis is None else f"{path} {AXES[one.axis]}"


def _finely(mm: float, unit: Unit, *, signed: bool = False, named: bool = True) -> str:
    """A length with the digits that show what a fit does, finer than a tape reads."""
    return format_length(mm, unit, digits=2 if unit == "mm" else 3, signed=signed, named=named)
