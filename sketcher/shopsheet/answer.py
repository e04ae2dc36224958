"""Page 1: whether to cut, and the numbers to cut."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kinematics.sizing import LengthWindow
from sketcher import wording
from sketcher.shopsheet.amounts import as_typed, both, inches
from sketcher.shopsheet.blocks import Blocks, Figure, Figures, Words
from sketcher.shopsheet.subject import Subject
from sketcher.units import format_length

# More than these would push the drawing off the page; the clearances have them all.
_MOST_REASONS = 4


def verdict_blocks(subject: Subject) -> Blocks:
    """Whether to cut, in letters that are read from across the bench, and why not."""
    if not subject.do_not_cut:
        return (Words(wording.verdict(subject.found), "good"),)
    reasons = subject.reasons
    shown = [*reasons[:_MOST_REASONS]]
    if len(reasons) > _MOST_REASONS:
        shown.append(f"and {len(reasons) - _MOST_REASONS} more: see the clearances")
    return (
        Words("Do not cut", "stop"),
        *(Words(f"– {line[0].upper()}{line[1:]}", "plain") for line in shown),
    )


def length_blocks(subject: Subject) -> Blocks:
    """The length to cut, its window and its tolerance."""
    return (Figures(tuple(_figures(subject))), Words(motion_words(subject), "small"))


def length_figure(subject: Subject) -> Figure:
    """The length to cut, rounded so that it stays inside its window."""
    found = subject.found
    decimal, _, fraction = wording.length_words(found, "in").partition(" (")
    return Figure(
        "Length between joint centres",
        wording.length_words(found),
        f"{fraction.removesuffix(')')} ({decimal})",
        "" if found.length_given else "none given yet: this is the ride-centred length",
        large=True,
    )


def _figures(subject: Subject) -> Iterator[Figure]:
    found = subject.found
    yield length_figure(subject)
    window = found.window
    if window is not None and not window.empty:
        yield from _window_figures(subject, window)
    if found.length_given:
        centred = found.ride_centred_length_mm
        yield Figure(
            "Ride-centred length",
            format_length(centred),
            inches(centred),
            "with it the inner joint is at mid-stroke at ride height",
        )


def _window_figures(subject: Subject, window: LengthWindow) -> Iterator[Figure]:
    length = subject.found.length_mm
    margin = as_typed(window.margin_mm)
    short, long = window.shortest_mm, window.longest_mm
    holds = window.holds(length)
    apart, bottoms = subject.place(window.pulls_apart_at), subject.place(window.bottoms_at)
    yield Figure(
        "Shortest that is right",
        format_length(short, rounding="up"),
        inches(short, "up"),
        f"{_room(length - short, 'shorter') if holds else ''}below this it comes within "
        f"{margin} of pulling apart at {apart}",
    )
    yield Figure(
        "Longest that is right",
        format_length(long, rounding="down"),
        inches(long, "down"),
        f"{_room(long - length, 'longer') if holds else ''}above this it comes within "
        f"{margin} of bottoming at {bottoms}",
    )


def _room(room_mm: float, word: str) -> str:
    """The tolerance: how far all errors together may take the finished length."""
    return f"may come out {both(room_mm, 'down')} {word}; "


def certainty_blocks(subject: Subject) -> Blocks:
    """How sure the length is, and what to measure again; nothing where it cannot be said."""
    sure = subject.workings.certainty
    if sure is None:
        return ()
    low, high = sure.ride_centred.low_mm, sure.ride_centred.high_mm
    best = ""
    if sure.best_chance > sure.chance + 0.005:
        best = f" Best is {both(sure.best_length_mm)} with {_chance(sure.best_chance)}."
    first = next(iter(sure.shares), None)
    again = ""
    if first is not None:
        thing = first.thing.rpartition(".")[2].replace("_", " ")
        again = f" Most of the doubt ({first.share:.0%}) comes from {thing}: measure it again."
    return (
        Words(
            f"Chance that this length keeps its stroke everywhere, by the tape's error: "
            f"{_chance(sure.chance)}.{best}{again} Ride-centred with 95 % between {both(low)} "
            f"and {both(high)}.",
            "small",
        ),
    )


def _chance(chance: float) -> str:
    """A chance in words; drawn so many times, none is known to be certain."""
    if chance > 0.999:
        return "more than 99.9 %"
    if chance < 0.001:
        return "less than 0.1 %"
    # Rounded down: no chance is shown better than it is.
    return f"{math.floor(chance * 1000.0) / 10.0:.1f} %"


def motion_words(subject: Subject) -> str:
    """The whole motion that the sheet speaks of, in mm and inches."""
    scene = subject.scene
    travel, steering, gearbox = scene.travel, scene.steering, scene.gearbox_movement
    parts = [f"{as_typed(travel.droop)} droop to {as_typed(travel.bump)} bump"]
    if steering is not None:
        parts.append(
            f"steer {wording.brief(-steering.outside_lock, sign=True)}° (outside lock) to "
            f"{wording.brief(steering.inside_lock, sign=True)}° (inside lock)"
        )
    moves = [
        f"{as_typed(value)} {word}"
        for value, word in ((gearbox.out, "out"), (gearbox.up, "up"), (gearbox.fore, "fore"))
        if value
    ]
    if moves:
        parts.append(f"gearbox moving {', '.join(moves)} each way")
    return f"Over {', '.join(parts)}."
