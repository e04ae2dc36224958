"""The answer, always on screen: one sentence, and the window as a bar with the length in it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from kinematics.shaft.whole_motion import Examination
from kinematics.sure.certainty import Certainty
from sketcher.answers.shown import Shown
from sketcher.answers.states import State
from sketcher.answers.verdict import Verdict
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture, Role, Size
from sketcher.drawing.style import NOTES
from sketcher.words import answer as wording
from sketcher.words.certainty import short_chance
from sketcher.words.plain import sentence
from sketcher.words.units import Unit, format_length, in_unit

_BAR_LEFT, _BAR_RIGHT, _BAR_TOP, _BAR_HEIGHT = 16.0, 16.0, 30.0, 12.0
# Fits by what was measured is the one state in which nothing was left out.
_MARKS: dict[str, State] = {"do not cut": "past", "fits by what was measured": "good"}
_STAYS = "The last position that closes stays in the sketch. Undo, or move the point back."
_MORE = re.compile(r" And \d+ more\.$")
_SENTENCE_ENDS = re.compile(r"(?<=[.!?]) (?=[A-Z\"])")
# Up to where it is, and not within a name.
_BEFORE_PLACE = re.compile(r'((?:"[^"]*"|[^"])*?) at ')
WEIGHING = "no limit is broken so far; whether it is sure enough is being worked out."


@dataclass(frozen=True, slots=True)
class LengthScale:
    """The bar's scale: which lengths its ends stand for."""

    shortest_mm: float
    longest_mm: float

    @classmethod
    def of(cls, found: Examination) -> LengthScale | None:
        """A scale that shows window, length and ride-centred length; None without a window."""
        window = found.window
        if window is None:
            return None
        lengths = (found.length_mm, found.ride_centred_length_mm)
        low, high = min(window.shortest_mm, *lengths), max(window.longest_mm, *lengths)
        room = max((high - low) * 0.18, 2.0)
        return cls(low - room, high + room)

    def part(self, length_mm: float) -> float:
        """Where along the bar a length stands, 0 to 1."""
        return (length_mm - self.shortest_mm) / (self.longest_mm - self.shortest_mm)

    def length_mm(self, part: float) -> float:
        """The length at a part of the bar."""
        return self.shortest_mm + part * (self.longest_mm - self.shortest_mm)


def bar_part(x_px: float, left_px: float, width_px: float, scale: float) -> float:
    """Which part of the bar is under a pointer."""
    return (x_px - left_px - _BAR_LEFT * scale) / max(
        width_px - (_BAR_LEFT + _BAR_RIGHT) * scale, 1.0
    )


def draw_answer(pane: Pane, shown: Shown, unit: Unit, told: Verdict | None) -> Picture:
    """The verdict in one sentence, and what stands behind it; None while it is worked out."""
    width = pane.width - 56.0
    solved = shown.solved
    if solved is None or shown.problem:
        pane.mark(20, 22, "past", 7)
        problem = in_unit(shown.problem, unit)
        size: Size = "large" if len(problem) < width / 9.6 else "normal"
        rows = pane.lines(40, 22, problem, "note_past", within=width, most=2, step=18, size=size)
        if solved is not None:
            under, most = 30.0 + 15.0 * rows, 3 - rows
            pane.lines(40, under, _STAYS, "label", within=width, most=most, step=15, size="small")
        return pane.picture
    if shown.outdated:
        pane.mark(20, 22, "past", 7)
        pane.lines(40, 22, shown.outdated, "note_past", within=width, most=2, step=20)
        return pane.picture
    if told is not None:
        pane.mark(20, 22, _MARKS.get(told.state, "close"), 7)
    sentence = told.line if told is not None else f"{_length(solved.found, unit)}: {WEIGHING}"
    behind = _behind(solved.found, unit, told, solved.certainty)
    size = "large" if len(sentence) < width / 9.6 else "normal"
    if _sentence(pane, sentence, size, behind, width):
        return pane.picture
    # Every word counts for more than the size of the first ones.
    _sentence(pane, sentence, "normal", behind, width, crowded=True)
    return pane.picture


def whole_answer(shown: Shown, unit: Unit, told: Verdict | None) -> tuple[str, ...]:
    """All that the strip says, and what it had no room for; a sentence each."""
    if shown.solved is None or shown.problem:
        return (in_unit(shown.problem, unit),)
    if shown.outdated:
        return (shown.outdated,)
    return () if told is None else (told.line, *told.because, *told.not_looked_at)


def _sentence(
    pane: Pane,
    sentence: str,
    size: Size,
    behind: list[str],
    width: float,
    *,
    crowded: bool = False,
) -> bool:
    """Write the sentence and, small, what stands behind it; whether all of that has room.

    Nothing is written where it has not, unless it is crowded.
    """
    long = 3 if crowded else 2
    rows = pane.rows(sentence, "label_strong", within=width, most=long, size=size)
    if rows[-1].endswith("…") and not crowded:
        return False
    first, step = (14.0, 16.0) if crowded else (22.0, 18.0)
    small, most = (14.0, 4 - len(rows)) if crowded else (15.0, 3 - len(rows))
    top = first + step * len(rows) + (0.0 if crowded or len(rows) > 1 else 5.0)
    for why in (*behind, *_in_fewer_words(behind[-1])) if crowded else behind:
        under = pane.rows(why, "label", within=width, most=most, size="small")
        # What does not fit gives way to fewer words, whole.
        if not under[-1].endswith("…"):
            break
    else:
        if not crowded:
            return False
    pane.lines(40, first, sentence, "label_strong", within=width, most=long, step=step, size=size)
    pane.lines(40, top, why, "label", within=width, most=most, step=small, size="small")
    return True


def _in_fewer_words(why: str) -> Iterator[str]:
    """A reason for a narrow window: what is to be done, or what it is without where.

    How many there are besides is told with it as long as there is room for that.
    """
    more = _MORE.search(why)
    first = why if more is None else why[: more.start()]
    sentences = _SENTENCE_ENDS.split(first)
    short = sentences[-1:] if len(sentences) > 1 else []
    without_place = _BEFORE_PLACE.match(first)
    if without_place is not None:
        short.append(f"{without_place[1]}.")
    short.append(first)
    if more is not None:
        yield from (f"{one}{more[0]}" for one in short)
    yield from short


def _length(found: Examination, unit: Unit) -> str:
    length = wording.length_words(found, unit)
    return length if found.length_given else f"No length yet: the ride-centred {length}"


def _behind(
    found: Examination, unit: Unit, told: Verdict | None, sure: Certainty | None
) -> list[str]:
    """The reasons where it does not fit, the chance and the window where it does.

    The same with fewer words follows.
    """
    if told is None or told.fits:
        parts = [short_chance(sure)] if sure is not None else []
        parts += _window_words(found, unit)
        told_by = ("; ".join(parts[:count]) for count in range(len(parts), 0, -1))
        return [*map(sentence, told_by)]
    # What the sentence says already is not said twice.
    brief, colon, rest = told.because[0].partition(": ")
    said = bool(colon) and brief.lower() in told.line.lower()
    why = f"{rest[0].upper()}{rest[1:]}" if said else told.because[0]
    reasons = [why, *told.because[1:]]
    count = len(reasons)
    fewer = [f"{' '.join(reasons[:n])} And {count - n} more." for n in range(count - 1, 0, -1)]
    return [" ".join(reasons), *fewer]


def _window_words(found: Examination, unit: Unit) -> list[str]:
    window = found.window
    if window is None:
        return [wording.inside_window(found, unit)]
    low = format_length(window.shortest_mm, unit, named=False, rounding="up")
    high = format_length(window.longest_mm, unit, rounding="down")
    return [f"the window is {low} to {high}", wording.inside_window(found, unit)]


def length_now(shown: Shown) -> float:
    """The shaft's length at the pose shown; the answer follows it while it is dragged."""
    assert shown.solved is not None
    if shown.pose is None or shown.pose.shaft is None:
        return shown.solved.found.length_mm
    return shown.pose.shaft.length_mm


def _window_ends(pane: Pane, short: float, long: float, ends: list[str]) -> None:
    """The window's ends under the bar: inside it, or outside where it is too narrow for them."""
    low, high = (pane.width_of(end, "label", "small") for end in ends)
    word = pane.width_of("window", "label", "small") + 8.0
    if long - short > low + high + 8.0:
        pane.text(short, 54, ends[0], "label", size="small")
        pane.text(long, 54, ends[1], "label", size="small", horizontal="right")
    else:
        pane.text(max(short, low + 4.0), 54, ends[0], "label", size="small", horizontal="right")
        pane.text(min(long, pane.width - high - 4.0), 54, ends[1], "label", size="small")
    middle = (short + long) / 2
    if min(middle - short - low, long - high - middle) > word / 2:
        pane.text(middle, 54, "window", "label", size="small", horizontal="centre")


def draw_bar(pane: Pane, shown: Shown, unit: Unit, told: Verdict | None) -> Picture:
    """The length window as a bar, with the length in it.

    The length looks no better than the verdict on it; None while that is worked out.
    """
    left, top, height = _BAR_LEFT, _BAR_TOP, _BAR_HEIGHT
    width = pane.width - left - _BAR_RIGHT
    pane.line(0, 0, 0, pane.height)
    if shown.solved is None:
        return pane.picture
    found, length_mm = shown.solved.found, length_now(shown)
    bar, window = LengthScale.of(found), found.window
    if bar is None or window is None:
        pane.text(left, 36, "No window: not all of the motion is in reach.", "label", within=width)
        return pane.picture

    def x(length_mm: float) -> float:
        return left + bar.part(length_mm) * width

    short, long = x(window.shortest_mm), x(window.longest_mm)
    pane.box(left, top, width, height, "band_past")
    if window.empty:
        gap = format_length(window.shortfall_mm, unit, rounding="up")
        pane.text(left, 62, f"no window, short by {gap}", "note_past", size="small")
    else:
        pane.box(short, top, long - short, height, "band_good")
        ends = [
            format_length(window.shortest_mm, unit, named=False, rounding="up"),
            format_length(window.longest_mm, unit, named=False, rounding="down"),
        ]
        _window_ends(pane, short, long, ends)
    for end in (short, long):
        pane.line(end, top - 3, end, top + height + 3, "note")
    centred = x(found.ride_centred_length_mm)
    pane.line(centred, top, centred, top + height, "axis")
    here = min(max(x(length_mm), left), left + width)
    inside = not window.empty and window.shortest_mm <= length_mm <= window.longest_mm
    role: Role = "note" if told is None else NOTES[_MARKS.get(told.state, "close")]
    role = role if inside else "note_past"
    pane.polygon(((here - 6, top - 8), (here + 6, top - 8), (here, top + 2)), role)
    pane.line(here, top, here, top + height, "note")
    length = format_length(length_mm, unit)
    if length_mm == found.length_mm:
        length = wording.length_words(found, unit).partition(" (")[0]
    word = length if found.length_given else f"{length}, ride-centred"
    half = pane.width_of(word, "label_strong") / 2 + 4.0
    pane.text(
        min(max(here, half), pane.width - half), 12, word, "label_strong", horizontal="centre"
    )
    return pane.picture
