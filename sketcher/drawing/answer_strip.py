"""The answer, always on screen: one sentence, and the window as a bar with the length in it."""

from __future__ import annotations

from dataclasses import dataclass

from kinematics.shaft.whole_motion import Examination
from scenes.model import Scene
from sketcher.answers.making import Made
from sketcher.answers.making_verdict import making_broken, verdict
from sketcher.answers.position_values import worst_state
from sketcher.answers.shown import Shown
from sketcher.drawing.area_picture import Ink
from sketcher.drawing.picture import Picture, Role
from sketcher.drawing.style import Size
from sketcher.words import answer as wording
from sketcher.words import certainty as certainty_words
from sketcher.words.lengths import Lengths
from sketcher.words.units import Unit, format_length

_BAR_LEFT, _BAR_RIGHT, _BAR_TOP, _BAR_HEIGHT = 16.0, 16.0, 30.0, 12.0


@dataclass(frozen=True, slots=True)
class Bar:
    """The bar's scale: which lengths its ends stand for."""

    shortest_mm: float
    longest_mm: float

    @classmethod
    def of(cls, found: Examination) -> Bar | None:
        """A scale that shows window, length and ride-centred length; None without a window."""
        window = found.window
        if window is None:
            return None
        shown = [
            window.shortest_mm,
            window.longest_mm,
            found.length_mm,
            found.ride_centred_length_mm,
        ]
        low, high = min(shown), max(shown)
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


def draw_answer(ink: Ink, scene: Scene, shown: Shown, unit: Unit, making: Made) -> Picture:
    """The sentence that says whether the shaft can be cut, and what stands behind it."""
    width = ink.width - 56.0
    if shown.solved is None:
        ink.mark(20, 22, "past", 7)
        ink.lines(40, 22, shown.problem, "note_past", within=width, most=2, step=20, size="large")
        return ink.picture
    found = shown.solved.found
    against = making_broken(making, Lengths(unit))
    state = "past" if shown.problem or against else worst_state(found)
    sure = shown.solved.certainty
    if state == "good" and sure is not None and not certainty_words.sure_enough(sure):
        state = "close"
    sentence = shown.problem or verdict(found, making, Lengths(unit))
    size: Size = "large" if len(sentence) < width / 9.6 else "normal"
    ink.mark(20, 22, state, 7)
    taken = ink.lines(40, 22, sentence, "label_strong", within=width, most=2, step=18, size=size)
    if taken > 1:
        if sure is not None and not shown.problem:
            chance = certainty_words.percent(sure.chance, sure.draws)
            words = f"Chance {chance} {certainty_words.ALONE}."
            ink.text(40, 22 + 18 * taken, words, "label", size="small", within=width)
        return ink.picture
    if shown.problem:
        why = "The last position that closes stays in the sketch. Undo, or move the point back."
    else:
        broken = [*wording.broken_lines(found, unit, scene.steering), *against]
        why = broken[0] if broken else _window_words(found, unit)
        why = why[0].upper() + why[1:] + "."
        if len(broken) > 1:
            why = f"{why} And {len(broken) - 1} more."
        elif not broken and shown.solved.certainty is not None:
            chance = certainty_words.short_chance(shown.solved.certainty)
            why = f"{why} {chance[0].upper()}{chance[1:]}."
    ink.lines(40, 45, why, "label", within=width, most=2, step=15, size="small")
    return ink.picture


def _window_words(found: Examination, unit: Unit) -> str:
    window = found.window
    if window is None:
        return wording.inside_window(found, unit)
    low = format_length(window.shortest_mm, unit, named=False)
    high = format_length(window.longest_mm, unit)
    return f"the window is {low} to {high}; {wording.inside_window(found, unit)}"


def length_now(shown: Shown) -> float:
    """The shaft's length at the pose shown; the answer follows it while it is dragged."""
    assert shown.solved is not None
    if shown.pose is None or shown.pose.shaft is None:
        return shown.solved.found.length_mm
    return shown.pose.shaft.length_mm


def draw_bar(ink: Ink, shown: Shown, unit: Unit) -> Picture:
    """The length window as a bar, with the length in it."""
    left, top, height = _BAR_LEFT, _BAR_TOP, _BAR_HEIGHT
    width = ink.width - left - _BAR_RIGHT
    ink.line(0, 0, 0, ink.height)
    if shown.solved is None:
        return ink.picture
    found, length_mm = shown.solved.found, length_now(shown)
    bar, window = Bar.of(found), found.window
    if bar is None or window is None:
        ink.text(left, 36, "No window: not all of the motion is in reach.", "label", within=width)
        return ink.picture

    def x(length_mm: float) -> float:
        return left + bar.part(length_mm) * width

    short, long = x(window.shortest_mm), x(window.longest_mm)
    ink.box(left, top, width, height, "band_past")
    if window.empty:
        gap = format_length(window.shortfall_mm, unit)
        ink.text(left, 62, f"no window, short by {gap}", "note_past", size="small")
    else:
        ink.box(short, top, long - short, height, "band_good")
        ends = [
            format_length(value, unit, named=False)
            for value in (window.shortest_mm, window.longest_mm)
        ]
        ink.text(short, 54, ends[0], "label", size="small", horizontal="left")
        ink.text(long, 54, ends[1], "label", size="small", horizontal="right")
        ink.text((short + long) / 2, 54, "window", "label", size="small", horizontal="centre")
    for end in (short, long):
        ink.line(end, top - 3, end, top + height + 3, "note")
    centred = x(found.ride_centred_length_mm)
    ink.line(centred, top, centred, top + height, "axis")
    here = min(max(x(length_mm), left), left + width)
    inside = not window.empty and window.shortest_mm <= length_mm <= window.longest_mm
    role: Role = "note_good" if inside else "note_past"
    ink.polygon(((here - 6, top - 8), (here + 6, top - 8), (here, top + 2)), role)
    ink.line(here, top, here, top + height, "note")
    length = format_length(length_mm, unit)
    word = length if found.length_given else f"{length}, ride-centred"
    half = 70.0
    ink.text(min(max(here, half), ink.width - half), 12, word, "label_strong", horizontal="centre")
    return ink.picture
