"""The sentences: rounded to the safe side, short, and true of what they speak of."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.planning import plan_cuts
from kinematics.making.splice import Butt, Splice
from kinematics.parts import Steering, Travel
from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import Examination, Unreachable, Worst, examine
from kinematics.sure.readings import Reading
from scenes.library import example
from sketcher.words import answer as wording
from sketcher.words.cut_steps import step_lines
from sketcher.words.cuts import closure_line
from sketcher.words.lengths import MM, Lengths
from sketcher.words.points import reading_words
from sketcher.words.strength import grip_line
from sketcher.words.units import UNITS, Unit, parse_length

VAN = example("van-front")
STEERING = Steering(35.5, 29.0)
RIDE = Position(0.0, 0.0)
# The gaps take the time and change no sentence about the length.
EXAMINED = examine(replace(VAN.corner("left"), brackets=()))

lengths = st.floats(300.0, 500.0)
units = st.sampled_from(UNITS)


def with_window(length: float, shortest: float, longest: float, given_: bool) -> Examination:
    assert EXAMINED.window is not None
    window = replace(EXAMINED.window, shortest_mm=shortest, longest_mm=longest)
    return replace(EXAMINED, length_mm=length, length_given=given_, window=window)


def shown_mm(text: str) -> list[float]:
    """Every length that a text shows, in mm: decimals and fractions."""
    decimals = re.findall(r"[\d.]+ (?:mm|in)\b", text)
    fractions = re.findall(r"\((\d+(?: \d+)?(?:/\d+)?\")\)", text)
    return [parse_length(word) for word in decimals + fractions]


@given(lengths, st.floats(0.5, 20.0), st.floats(0.5, 20.0), units, st.booleans())
def test_a_length_inside_its_window_is_shown_inside_it(
    length: float, below: float, above: float, unit: Unit, given_: bool
) -> None:
    found = with_window(length, length - below, length + above, given_)
    shown = shown_mm(wording.length_words(found, unit))
    assert len(shown) == (2 if unit == "in" else 1)
    for value in shown:
        assert length - below <= value <= length + above
        assert value == pytest.approx(length, abs=0.4)


@pytest.mark.parametrize(
    ("shortest", "longest", "shown"),
    [(380.0, 400.0, "390.5 mm"), (390.53, 400.0, "390.6 mm"), (380.0, 390.56, "390.5 mm")],
)
def test_a_length_near_an_end_is_rounded_away_from_it(
    shortest: float, longest: float, shown: str
) -> None:
    length = 390.537 if longest == 400.0 else 390.555
    assert wording.length_words(with_window(length, shortest, longest, False)) == shown


def test_a_length_typed_to_the_hundredth_is_shown_as_typed() -> None:
    assert wording.length_words(with_window(390.55, 380.0, 400.0, True)) == "390.55 mm"
    assert wording.length_words(with_window(391.0, 380.0, 400.0, True)) == "391.0 mm"


@given(lengths, st.floats(-20.0, 20.0), st.floats(1.0, 30.0), units)
def test_what_is_said_of_the_window_is_so(
    length: float, into: float, wide: float, unit: Unit
) -> None:
    found = with_window(length, length - into, length - into + wide, True)
    assert found.window is not None
    said = wording.inside_window(found, unit)
    grain = 0.1001 if unit == "mm" else 0.0255
    amounts = shown_mm(said)
    if "inside" in said:
        assert found.window.shortest_mm - 1e-9 <= length <= found.window.longest_mm + 1e-9
        for amount, room in zip(amounts, (into, wide - into), strict=True):
            assert room - grain <= amount <= room + 1e-6
    else:
        past = -into if "too short" in said else into - wide
        assert past > 0.0
        (amount,) = amounts
        assert past - 1e-6 <= amount <= past + grain


def test_a_length_at_the_very_end_of_the_window_is_inside() -> None:
    found = with_window(400.0 + 1e-12, 380.0, 400.0, True)
    assert wording.inside_window(found) == (
        "the length is inside it: 20.0 mm to its short end, 0.0 mm to its long end"
    )


@given(st.floats(-30.0, 30.0), units)
def test_strokes_and_gaps_look_no_better_than_they_are(value: float, unit: Unit) -> None:
    worst = Worst("stroke_left_in", value, 3.0, RIDE)
    shown = parse_length(wording.amount(worst, value, unit))
    assert value - 0.1001 <= shown <= value + 1e-6


@given(st.floats(0.0, 89.0))
def test_angles_look_no_better_than_they_are(value: float) -> None:
    shown = float(wording.amount(Worst("outer_angle", value, 46.0, RIDE), value, "mm")[:-1])
    assert value - 1e-6 <= shown <= value + 0.1001


@pytest.mark.parametrize(
    ("worst", "words"),
    [
        (
            Worst("stroke_left_in", 2.99, 3.0, RIDE),
            (
                "too little stroke before the inner joint bottoms: 2.9 mm left at ride height, "
                "the margin is 3 mm (0.1 mm too little)"
            ),
        ),
        (
            Worst("stroke_left_out", 1.0, 3.0, RIDE),
            (
                "too little stroke before the inner joint pulls apart: 1.0 mm left at ride height, "
                "the margin is 3 mm (2.0 mm too little)"
            ),
        ),
        (
            Worst("stroke_left_out", -0.01, 3.0, RIDE),
            "the inner joint pulls apart: 0.1 mm past the end of its stroke at ride height",
        ),
        (
            Worst("inner_angle", 23.01, 23.0, RIDE),
            "the inner joint bends 23.1° at ride height, its limit is 23°",
        ),
        (
            Worst("outer_angle", 47.0, 46.5, RIDE),
            "the outer joint bends 47.0° at ride height, its limit is 46.5°",
        ),
        (
            Worst("clearance", 5.96, 6.0, RIDE, "foot"),
            (
                'the gap from the shaft to "foot" is 5.9 mm at ride height, wanted is 6 mm '
                "(0.1 mm too little)"
            ),
        ),
        (
            Worst("clearance", -2.0, 6.0, RIDE, "foot"),
            'the shaft fouls "foot" by 2.0 mm at ride height',
        ),
    ],
)
def test_broken_limits_in_words(worst: Worst, words: str) -> None:
    assert worst.broken
    assert wording.broken_line(worst, "mm", wording.where(worst.position)) == words


def test_what_touches_is_named() -> None:
    worst = Worst("clearance", -2.0, 6.0, RIDE, "foot", "inner boot")
    assert wording.broken_line(worst, "mm", "ride height") == (
        '"inner boot" fouls "foot" by 2.0 mm at ride height'
    )


@pytest.mark.parametrize(
    ("position", "long", "short"),
    [
        (RIDE, "ride height, straight ahead", "ride height, straight ahead"),
        (
            Position(70.0, 35.5),
            "bump 70.0 mm, steer +35.5° (inside lock)",
            "full bump, inside lock",
        ),
        (
            Position(-80.0, -29.0, (3.0, -5.0, 7.0)),
            (
                "droop 80.0 mm, steer −29° (outside lock), gearbox moved 3.0 mm outboard, "
                "5.0 mm down, 7.0 mm forward"
            ),
            "full droop, outside lock, gearbox outboard, down, forward",
        ),
        (
            Position(12.5, -4.0, (-3.0, 0.0, -7.0)),
            (
                "bump 12.5 mm, steer −4° (outside wheel), gearbox moved 3.0 mm inboard, "
                "7.0 mm rearward"
            ),
            "bump 12.5 mm, steer −4°, gearbox inboard, rearward",
        ),
    ],
)
def test_places_in_many_words_and_in_few(position: Position, long: str, short: str) -> None:
    scene = replace(VAN, steering=STEERING)
    assert wording.where(position, STEERING) == long
    assert wording.place(position, scene) == short


def test_places_without_steering_or_travel_say_nothing_of_them() -> None:
    scene = replace(VAN, steering=None, travel=Travel(0.0, 0.0))
    assert wording.where(RIDE) == wording.place(RIDE, scene) == "ride height"


@given(st.floats(-400.0, 0.0), st.floats(0.0, 400.0))
def test_what_is_said_to_be_in_reach_is(low: float, high: float) -> None:
    found = Unreachable("travel", (-500.0, 500.25), (low, high), "the linkage cannot close")
    line = wording.unreachable_line(found)
    assert line.startswith("travel −500 to +500.25 mm is out of reach: the linkage cannot close;")
    able = re.search(r"in reach is (\S+) to (\S+) mm;", line)
    assert able is not None
    shown_low, shown_high = (float(word.replace("−", "-")) for word in able.groups())
    assert low - 1e-9 <= shown_low <= low + 0.1001
    assert high - 0.1001 <= shown_high <= high + 1e-9


@pytest.mark.parametrize(
    ("value", "words"), [(36.0, "36"), (35.5, "35.5"), (-0.001, "0"), (-29.25, "−29.25")]
)
def test_numbers_as_typed(value: float, words: str) -> None:
    assert wording.brief(value) == words


def test_where_a_reading_was_taken_is_told_in_the_readers_unit() -> None:
    reading = Reading("up", ("hub.outer_joint",), 234.0, travel=-60.0)
    assert reading_words(reading).endswith("at droop 60.0 mm: 234 mm")
    assert "mm" not in reading_words(reading, "in")
    drive = example("van-front-making").drive
    assert drive is not None
    assert "270 mm" in grip_line(drive, MM)
    assert "mm" not in grip_line(drive, Lengths("in"))


@given(st.integers(6000, 9200), st.integers(38000, 40000), st.integers(0, 300), units)
def test_how_the_pieces_come_to_the_length_adds_up(
    datum: int, length: int, gap: int, unit: Unit
) -> None:
    bar = (Stretch("bar", 10, 300, 25),)
    hub = Donor(280, Datum("a mark", datum / 100), bar, cut_twice=False)
    gearbox = Donor(280, Datum("an edge", 38.01), bar)
    splice = Splice(at=190.02, root_gap=gap / 100, shrinkage=0.47, butt=Butt(spigot_length=28.13,
                    bore=12))  # fmt: skip
    plan, say = plan_cuts(hub, gearbox, splice, length / 100), Lengths(unit)
    words = closure_line(plan, say)
    pieces, _, total = words.partition(" = ")
    terms = re.findall(r"([−+]?) ?([\d.]+) (?:mm|in) ", pieces)
    added = sum(-float(size) if sign == "−" else float(size) for sign, size in terms)
    assert added == pytest.approx(float(total.split()[0]), abs=1e-6 if unit == "mm" else 0.00076)
    # What the hub piece is to measure, taken off, leaves what the gearbox piece is trimmed to.
    steps = " ".join(line.text for line in step_lines(plan, say))
    both, hub_piece, trimmed = (
        float(found[1])
        for word in ("piece = ", "write it down: ", "finished length: ")
        if (found := re.search(rf"{word}([\d.]+)", steps))
    )
    assert both - hub_piece == pytest.approx(trimmed, abs=1e-9)
