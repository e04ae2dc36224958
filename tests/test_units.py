"""Lengths as they are typed and shown.

One inch is 25.4 mm exactly: ISO 80000-3 (International yard and pound agreement, 1959).
"""

from __future__ import annotations

import contextlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sketcher.words.units import (
    MM_PER_INCH,
    LengthError,
    Unit,
    format_both,
    format_fraction,
    format_length,
    format_number,
    in_unit,
    parse_length,
    typed_length,
)

LENGTHS = st.floats(-3000.0, 3000.0, allow_nan=False)
UNITS = st.sampled_from(["mm", "in"])


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("38.5", 38.5),
        ("38,5", 38.5),
        (" 38.5 ", 38.5),
        (".5", 0.5),
        ("5.", 5.0),
        ("+4", 4.0),
        ("-4", -4.0),
        ("−4", -4.0),
        ("34.9mm", 34.9),
        ("34.9 mm", 34.9),
        ("34.9 MM", 34.9),
        ("3.49 cm", 34.9),
        ("0.4 m", 400.0),
        ('1 3/8"', 34.925),
        ('1-3/8"', 34.925),
        ('1  3 / 8 "', 34.925),
        ("1 3/8 in", 34.925),
        ("1 3/8 inches", 34.925),
        ("1⅜″", 34.925),
        ("⅜ in", 9.525),
        ("1.375 in", 34.925),
        ("1.375in", 34.925),
        ("1.375''", 34.925),
        ('-2 1/4"', -57.15),
        ('11/8"', 34.925),
        ("3' 2\"", 965.2),
        ("3'2\"", 965.2),
        ("3' 2 1/2\"", 977.9),
        ("3' 2", 965.2),
        ("3 ft 2 in", 965.2),
        ("3'", 914.4),
        ("0", 0.0),
    ],
)
def test_what_is_typed_is_understood(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "mm"), [("1.375", 34.925), ("1 3/8", 34.925), ("3/8", 9.525), ("34.925 mm", 34.925)]
)
def test_a_bare_number_is_in_the_unit_shown(text: str, mm: float) -> None:
    assert parse_length(text, "in") == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        "", "  ", "-", "+", "x", "38.5.1", "1e5", "nan", "inf", "1 3/8", "3/8", "1 3/8 mm",
        "3/0 in",
        '1 9/8"', "1/", "/8", '1.5 3/8"', "4 5", "2\" 3'", "3' 2 mm", "1 1 in", "--4", "4-", "- -4",
        "1,375", "1,375,2", "12 furlongs", "400000", "1'2'3", '"', "'", "4 mm 3", "1//2 in",
        "4 ' ' 3",
    ],
)  # fmt: skip
def test_what_is_no_length_gets_one_clear_line(text: str) -> None:
    with pytest.raises(LengthError, match=r"^expected") as caught:
        parse_length(text)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 120


def test_the_line_says_what_would_be_right() -> None:
    with pytest.raises(LengthError, match='write inches as 1 3/8"'):
        parse_length("1 3/8")
    with pytest.raises(LengthError, match="got nothing"):
        parse_length(" ")
    with pytest.raises(LengthError, match='"furlongs"'):
        parse_length("12 furlongs")


def test_lengths_are_shown_for_reading() -> None:
    assert format_length(391.0) == "391.0 mm"
    assert format_length(391.0, "in") == "15.394 in"
    assert format_length(4.2, signed=True) == "+4.2 mm"
    assert format_length(-4.2, signed=True) == "−4.2 mm"
    assert format_length(-0.01, signed=True) == "0.0 mm"
    assert format_length(4.25, digits=2, named=False) == "4.25"
    assert format_both(391.0) == "391.0 mm"
    assert format_both(391.0, "in") == '15.394 in (15 25/64")'


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0.0, '0"'),
        (0.1, '0"'),
        (-0.1, '0"'),
        (25.4, '1"'),
        (25.39, '1"'),
        (12.7, '1/2"'),
        (398.4625, '15 11/16"'),
        (-57.15, '−2 1/4"'),
        (0.396875, '1/64"'),
    ],
)
def test_fractions_are_in_their_lowest_terms(mm: float, text: str) -> None:
    assert format_fraction(mm) == text


@given(LENGTHS)
def test_a_fraction_reads_back_within_half_of_1_64_inch(mm: float) -> None:
    back = parse_length(format_fraction(mm))
    assert abs(back - mm) <= MM_PER_INCH / 128 + 1e-9


@given(LENGTHS, UNITS)
def test_a_field_reads_back_what_it_shows(mm: float, unit: Unit) -> None:
    assert abs(parse_length(typed_length(mm, unit), unit) - mm) <= 0.0006


@given(LENGTHS, UNITS, st.booleans())
def test_what_is_shown_can_be_typed(mm: float, unit: Unit, signed: bool) -> None:
    places = 0.05 if unit == "mm" else 0.0005 * MM_PER_INCH
    assert abs(parse_length(format_length(mm, unit, signed=signed)) - mm) <= places + 1e-9


@given(st.integers(0, 200), st.integers(0, 63), UNITS)
def test_inches_and_64ths_are_exact(whole: int, over: int, unit: Unit) -> None:
    expected = (whole + over / 64) * MM_PER_INCH
    assert parse_length(f'{whole} {over}/64"', unit) == pytest.approx(expected, abs=1e-9)
    assert parse_length(format_fraction(expected), unit) == pytest.approx(expected, abs=1e-9)


@given(st.text("0123456789 .,-+/'\"mincft½", max_size=12), UNITS)
def test_any_text_is_a_length_or_a_clear_line(text: str, unit: Unit) -> None:
    with contextlib.suppress(LengthError):
        assert abs(parse_length(text, unit)) <= 1e5


def test_ten_thousand_figures_are_rounded_to_the_safe_side() -> None:
    generator = np.random.default_rng(7)
    figures = generator.uniform(-500.0, 500.0, 10_000)
    for digits in (0, 1, 3):
        up, down = (
            np.array([float(format_number(one, digits, way)) for one in figures])
            for way in ("up", "down")
        )
        # What is written exactly already stays, whatever its last binary digits.
        step = 10.0**-digits
        assert np.all((up >= figures - 1e-3 * step) & (up < figures + step))
        assert np.all((down <= figures + 1e-3 * step) & (down > figures - step))
    units: tuple[tuple[Unit, float], ...] = (("mm", 1.0), ("in", 25.4))
    for unit, per in units:
        shown = np.array(
            [float(format_length(one, unit, named=False, rounding="down").replace("−", "-"))
             for one in figures]
        )  # fmt: skip
        assert np.all(shown * per <= figures + 1e-6)
    # A window is never wider than it is, by either unit's fraction.
    ends = [parse_length(format_fraction(one, rounding="up")) for one in np.abs(figures)]
    assert np.all(np.array(ends) >= np.abs(figures) - 1e-6)


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ("travel +90 mm is out of reach", "travel +3.543 in is out of reach"),
        (
            "travel −80 to +75.5 mm is out of reach; in reach is −341.6 to +70 mm",
            "travel −3.150 to +2.972 in is out of reach; in reach is −13.449 to +2.756 in",
        ),
        ("from −80.0 mm to +75.0 mm, got 2.54 mm", "from −3.150 in to +2.953 in, got 0.100 in"),
        (
            'expected mm, 0 or more, got 3, "5 mm plate"',
            'expected mm, 0 or more, got 3, "5 mm plate"',
        ),
        (
            "leg: expected mm, up to the sleeve's wall of 5.475 mm",
            "leg: expected inches, up to the sleeve's wall of 0.216 in",
        ),
        ("16 mm² and 3 mm/s", "16 mm² and 3 mm/s"),
    ],
)
def test_what_the_mechanics_say_in_mm_is_said_in_inches(told: str, said: str) -> None:
    assert in_unit(told, "in") == said
    assert in_unit(told, "mm") == told
