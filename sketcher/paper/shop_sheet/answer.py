"""Page 1: whether to cut, and the numbers to cut."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.shaft.length_window import LengthWindow
from sketcher.answers.placed import placement_words
from sketcher.answers.verdict import VerdictState
from sketcher.paper.shop_sheet.amounts import Amounts
from sketcher.paper.shop_sheet.blocks import Blocks, Figure, Figures, Words
from sketcher.paper.shop_sheet.subject import Subject
from sketcher.words import answer as wording
from sketcher.words import certainty

# More than these would push the drawing off the page; the pages behind it have them all.
_MOST_REASONS = 4
_STOPS: dict[VerdictState, str] = {
    "do not cut": "Do not cut",
    "not sure enough": "Not sure enough to cut",
}
# A length whose chance is better by less is not worth another cut.
_BETTER = 0.005


def verdict_blocks(subject: Subject) -> Blocks:
    """Whether to cut, in letters that are read from across the bench, why, and what is unseen."""
    told = subject.told
    shown = [*told.because[:_MOST_REASONS]]
    if len(told.because) > _MOST_REASONS:
        shown.append(f"And {len(told.because) - _MOST_REASONS} more: see the pages behind.")
    why = tuple(Words(f"– {line}", "plain") for line in shown)
    unseen = tuple(Words(f"Not looked at: {line}", "missing") for line in told.not_looked_at)
    if told.fits:
        return (Words(told.line, "good"), *unseen)
    return (Words(_STOPS[told.state], "stop"), Words(told.line, "plain"), *why, *unseen)


def length_blocks(subject: Subject) -> Blocks:
    """The length to cut, its window and its tolerance."""
    return (
        Figures(tuple(_figures(subject))),
        Words(wording.motion_words(subject.scene, subject.say.typed), "small"),
    )


def length_figure(subject: Subject) -> Figure:
    """The length to cut, rounded so that it stays inside its window."""
    found = subject.found
    decimal, _, fraction = wording.length_words(found, "in").partition(" (")
    fraction = fraction.removesuffix(")")
    own, converted = wording.length_words(found), f"{fraction} ({decimal})"
    if subject.unit == "in":
        own, converted = fraction, decimal
    # A number that stands out is one to cut by.
    forbidden = subject.told.forbids
    return Figure(
        "Length as drawn" if forbidden else "Length between joint centres",
        own,
        converted,
        "" if found.length_given else "none given yet: this is the ride-centred length",
        large=not forbidden,
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
            *subject.say.figure(centred),
            "with it the inner joint is at mid-stroke at ride height",
        )


def _window_figures(subject: Subject, window: LengthWindow) -> Iterator[Figure]:
    length, say = subject.found.length_mm, subject.say
    margin = say.typed(window.margin_mm)
    short, long = window.shortest_mm, window.longest_mm
    doubted = subject.workings.contradicted
    # Where nothing may be cut there is no finished length to be right.
    holds = window.holds(length) and not subject.told.forbids
    right = "by these points" if doubted else "that is right"
    apart, bottoms = subject.place(window.pulls_apart_at), subject.place(window.bottoms_at)
    yield Figure(
        f"Shortest {right}",
        *say.figure(short, "up"),
        f"{_room(say, length - short, 'shorter') if holds else ''}below this it comes within "
        f"{margin} of pulling apart: {apart}",
    )
    yield Figure(
        f"Longest {right}",
        *say.figure(long, "down"),
        f"{_room(say, long - length, 'longer') if holds else ''}above this it comes within "
        f"{margin} of bottoming: {bottoms}",
    )


def _room(say: Amounts, room_mm: float, word: str) -> str:
    """The tolerance: how far all errors together may take the finished length."""
    return f"may come out {say.place(room_mm, 'down')} {word}; "


def certainty_blocks(subject: Subject) -> Blocks:
    """How sure the length is, and what to measure again; nothing where it cannot be said."""
    sure = subject.workings.certainty
    # Points that the car contradicts promise no chance.
    if sure is None or subject.workings.contradicted:
        return ()
    lines = [] if sure.misread is None else [certainty.misread_words(sure.misread, subject.unit)]
    rests_on = certainty.rests_on_words(subject.scene.tape, subject.unit)
    lines.append(f"{certainty.chance_words(sure, subject.unit)}; {rests_on}")
    if sure.best_chance > sure.chance + _BETTER:
        lines.append(f"best {certainty.best_words(sure, subject.unit)}")
    lines += [certainty.share_words(share, sure) for share in certainty.worth_measuring(sure)[:1]]
    centred = certainty.interval_words(sure.ride_centred, subject.unit)
    words = f"How sure: {'; '.join(lines)}. Ride-centred {centred}."
    return (Words(words, "small"),)


def placement_blocks(subject: Subject) -> Blocks:
    """Where tacked gearbox mounts are best welded; nothing where they have no room."""
    found = subject.workings.placement
    if found is None:
        return ()
    words = f"Gearbox mounts not welded yet: {placement_words(found, subject.unit)}"
    return (Words(f"{words} This sheet is for the gearbox where it is drawn.", "small"),)
