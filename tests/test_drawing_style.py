"""Styles: every role is drawn in both themes and can be read; states turn at their limits."""

from __future__ import annotations

import itertools
from typing import get_args

import pytest

from sketcher.answers.states import angle_state, room_state
from sketcher.drawing.fonts import CAPITAL_HEIGHT, font, font_path
from sketcher.drawing.picture import Role
from sketcher.drawing.style import DASHES, PALETTES, THICK, THIN, Colour, Theme, style

THEMES: tuple[Theme, ...] = ("light", "dark")


def luminance(colour: Colour) -> float:
    """Relative luminance, WCAG 2.1."""
    linear = [
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
        for c in (value / 255.0 for value in colour)
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: Colour, b: Colour) -> float:
    """Contrast ratio, WCAG 2.1."""
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", THEMES)
def test_every_role_has_a_mark(theme: Theme) -> None:
    assert set(style(theme).marks) == set(get_args(Role))


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(
    ("role", "least"),
    [
        ("note", 7.0),
        ("label", 4.5),
        ("label_strong", 7.0),
        ("note_good", 4.5),
        ("note_close", 3.6),
        ("note_past", 4.5),
        ("here_word", 4.5),
        ("dimension", 7.0),
    ],
)
def test_lettering_can_be_read(theme: Theme, role: Role, least: float) -> None:
    """WCAG 2.1 asks 4.5 of text, 3 of large or bold text."""
    chosen = style(theme)
    assert contrast(chosen.mark(role).colour, chosen.palette.paper) >= least


@pytest.mark.parametrize("theme", THEMES)
def test_words_in_bands_can_be_read(theme: Theme) -> None:
    palette = PALETTES[theme]
    assert contrast(palette.past, palette.past_band) >= 3.0
    assert contrast(palette.close, palette.close_band) >= 3.0


def test_thick_lines_are_twice_as_wide_as_thin() -> None:
    """ISO 128-2: the widths of a line group stand 2 : 1 (from memory)."""
    assert pytest.approx(2 * THIN) == THICK


def test_line_kinds_differ_in_their_dashes() -> None:
    drawn = [dashes for kind, dashes in DASHES.items() if kind not in ("none", "continuous")]
    assert all(a != b for a, b in itertools.combinations(drawn, 2))
    assert all(len(dashes) % 2 == 0 for dashes in drawn)


def test_curves_are_told_apart_without_colour() -> None:
    lines = {style("light").mark(role).line for role in ("curve", "curve_inside", "curve_outside")}
    assert len(lines) == 3


@pytest.mark.parametrize("bold", [False, True])
def test_figures_are_level_and_align(bold: bool) -> None:
    assert font_path(bold=bold).is_file()
    widths = {font(40, bold).size(figure)[0] for figure in "0123456789"}
    assert len(widths) == 1
    height = font(200, bold).metrics("H")[0]
    assert height is not None
    assert height[3] / 200 == pytest.approx(CAPITAL_HEIGHT, abs=0.02)


def test_states_turn_at_their_limits() -> None:
    assert [room_state(left, 3.0) for left in (-0.1, 0.0, 2.9, 3.0)] == [
        "past", "close", "close", "good",
    ]  # fmt: skip
    assert [angle_state(angle, 20.0) for angle in (18.0, 18.1, 20.0, 20.1)] == [
        "good", "close", "close", "past",
    ]  # fmt: skip
    assert [room_state(gap, 6.0) for gap in (-1.0, 0.0, 5.9, 6.0)] == [
        "past", "close", "close", "good",
    ]  # fmt: skip
