"""The column of plots: one travel axis, bands at the limits, values read where they are drawn."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.linkage.motion import solve
from kinematics.shaft.following import follow
from scenes.library import example
from sketcher.drawing.camera import Camera
from sketcher.drawing.fonts import CAPITAL_HEIGHT, size_px, width_px
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import Circle, Line, Polyline, Text
from sketcher.drawing.plot_data import Band, Column, column_of
from sketcher.drawing.plot_layout import layout
from sketcher.drawing.plot_position import position_picture
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.style import style
from sketcher.drawing.ticks import named_ticks, tick_step, tick_text, ticks
from sketcher.words.units import Unit
from tests.drawn import points_of

CAMERA = Camera(380, 760, left=900, top=20).in_pixels()


def column(name: str = "van-front", unit: Unit = "mm", gaps: bool = True) -> Column:
    corner = example(name).corner("left")
    travel = np.linspace(-corner.travel.droop, corner.travel.bump, 151)
    steer = [0.0]
    if example(name).steers:
        assert corner.steering is not None
        steer = [-corner.steering.outside_lock, 0.0, corner.steering.inside_lock]
    motion = solve(corner.linkage, corner.hub, travel[:, None], np.array(steer))
    shaft = follow(corner, motion)
    gap = 12.0 + 0.1 * travel[:, None] + 0.0 * np.array(steer)
    return column_of(corner.shaft, travel, steer, shaft, gap_mm=gap if gaps else None, unit=unit)


COLUMN = column()


@given(st.floats(-80.0, 70.0))
def test_a_travel_is_read_where_it_is_drawn(travel: float) -> None:
    where = layout(COLUMN, CAMERA)
    for frame in where.frames:
        pixel = CAMERA.to_screen((where.x(travel), frame.box.centre[1]))
        assert where.travel_at(pixel) == pytest.approx(travel, abs=1e-9)
        assert where.holds(pixel)
        assert where.frame_at(pixel) == frame


def test_taking_hold_beyond_the_ends_stays_at_the_ends() -> None:
    where = layout(COLUMN, CAMERA)
    assert where.travel_at((0.0, 300.0)) == -80.0
    assert where.travel_at((5000.0, 300.0)) == 70.0
    assert not where.holds((0.0, 300.0))


def test_plots_stand_over_one_another_on_one_axis() -> None:
    where = layout(COLUMN, CAMERA)
    assert [frame.key for frame in where.frames] == [
        "plot.plunge",
        "plot.inner_angle",
        "plot.outer_angle",
        "plot.swept_length",
        "plot.clearance",
    ]
    assert len({(frame.box.left, frame.box.right) for frame in where.frames}) == 1
    for upper, lower in zip(where.frames, where.frames[1:], strict=False):
        assert upper.box.bottom > lower.box.top
    for frame in where.frames:
        assert frame.value(frame.y(1.25)) == pytest.approx(1.25)


@pytest.mark.parametrize("size", [(300, 420), (380, 760), (900, 1500)])
def test_everything_lies_within_the_column(size: tuple[int, int]) -> None:
    camera = Camera(*size).in_pixels()
    where = layout(COLUMN, camera)
    whole = plots_picture(COLUMN, where)
    view = camera.box.grown(1e-6)
    for item in whole:
        assert all(view.holds(point) for point in points_of(item)), item


def test_curves_pass_through_their_values() -> None:
    where = layout(COLUMN, CAMERA)
    plot, frame = COLUMN.plots[0], where.frames[0]
    straight = next(curve for curve in plot.curves if curve.which == "straight")
    drawn = [
        item
        for item in plots_picture(COLUMN, where).with_role("curve")
        if isinstance(item, Polyline) and item.key == "plot.plunge"
    ]
    for x, y in drawn[0].points:
        travel = where.travel_at(CAMERA.to_screen((x, y)))
        value = float(np.interp(travel, COLUMN.travel_mm, straight.values))
        assert frame.value(y) == pytest.approx(value, abs=1e-6)


def test_stroke_ends_shrink_as_the_joint_bends() -> None:
    """The band of pulling apart starts lower in full droop, where the joint bends most."""
    apart = next(band for band in COLUMN.plots[0].bands if band.word == "pulls apart")
    bent = float(apart.low[0])
    joint = example("van-front").left.inner_joint  # type: ignore[union-attr]
    assert bent < float(apart.low.max()) <= joint.stroke_out


def test_limits_are_bands_with_words() -> None:
    texts = plots_picture(COLUMN, layout(COLUMN, CAMERA)).texts
    for word in ("pulls apart", "bottoms", "past its limit 23°", "past its limit 46°", "fouls"):
        assert word in texts
    assert "closer than wanted 6.0" in texts
    assert {"droop", "bump", "straight", "inside lock", "outside lock"} <= set(texts)


def test_curves_that_end_together_are_named_once() -> None:
    texts = plots_picture(COLUMN, layout(COLUMN, CAMERA)).texts
    assert "all" in texts
    unsteered = column("van-rear")
    assert "all" not in plots_picture(unsteered, layout(unsteered, CAMERA)).texts


def straight_values(travel: float) -> tuple[float, ...]:
    """Each plot's value at a travel, read off its curve."""
    curves = (plot.curves[0].values for plot in COLUMN.plots)
    return tuple(float(np.interp(travel, COLUMN.travel_mm, values)) for values in curves)


@given(st.floats(-80.0, 70.0))
def test_the_position_is_marked_on_every_plot(travel: float) -> None:
    where = layout(COLUMN, CAMERA)
    now = straight_values(travel)
    picture = position_picture(COLUMN, where, travel, now)
    dots = [item for item in picture.with_role("here_dot") if isinstance(item, Circle)]
    assert len(dots) == len(COLUMN.plots)
    for dot, frame, value in zip(dots, where.frames, now, strict=True):
        assert value is not None
        assert dot.centre[0] == pytest.approx(where.x(travel))
        assert frame.value(dot.centre[1]) == pytest.approx(
            min(max(value, frame.low), frame.high), abs=1e-6
        )


def test_hovering_reads_every_curve() -> None:
    where = layout(COLUMN, CAMERA)
    frame = where.frames[2]
    pixel = CAMERA.to_screen((where.x(20.0), frame.box.centre[1]))
    words = position_picture(COLUMN, where, 0.0, (None,) * 5, hover=pixel).texts
    assert "+20 mm" in words
    assert sum(word.startswith(("straight ", "inside ", "outside ")) for word in words) == 3
    unsteered = column("van-rear")
    there = layout(unsteered, CAMERA)
    told = position_picture(unsteered, there, 0.0, (None,) * 5, hover=pixel).texts
    assert not any("straight" in word or "lock" in word for word in told)
    outside = position_picture(COLUMN, where, 0.0, (None,) * 5, hover=(0.0, 0.0))
    assert not outside.with_role("tip")


def test_what_is_out_of_reach_leaves_a_gap_in_the_curve() -> None:
    plot = COLUMN.plots[3]
    values = plot.curves[0].values.copy()
    values[40:60] = math.nan
    broken = replace(
        COLUMN, plots=(replace(plot, curves=(replace(plot.curves[0], values=values),)),)
    )
    where = layout(broken, CAMERA)
    runs = [
        item
        for item in plots_picture(broken, where)
        if isinstance(item, Polyline) and item.role.startswith("curve")
    ]
    assert len(runs) == 2


def test_nothing_in_reach_still_draws() -> None:
    nowhere = tuple(
        replace(
            plot,
            curves=tuple(
                replace(curve, values=np.full_like(curve.values, np.nan)) for curve in plot.curves
            ),
        )
        for plot in COLUMN.plots
    )
    empty = replace(COLUMN, plots=nowhere)
    where = layout(empty, CAMERA)
    plots_picture(empty, where)
    position_picture(empty, where, 0.0, (None,) * len(empty.plots))


def test_inches_are_shown_on_request() -> None:
    inches = column(unit="in")
    assert inches.plots[3].unit == "in"
    mm = COLUMN.plots[3].curves[0].values
    assert inches.plots[3].curves[0].values * 25.4 == pytest.approx(mm)
    assert len(column(gaps=False).plots) == 4


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 1e4), st.integers(2, 12))
def test_ticks_are_round_and_few(low: float, span: float, most: int) -> None:
    marks = ticks(low, low + span, most)
    step = tick_step(span, most)
    assert len(marks) <= most + 1
    mantissa = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
    assert any(math.isclose(mantissa, one, rel_tol=1e-6) for one in (1.0, 2.0, 5.0))
    for mark in marks:
        assert low - step * 1e-6 <= mark <= low + span + step * 1e-6


def test_tick_texts_have_the_digits_of_their_step() -> None:
    assert tick_text(-50.0, 50.0, signed=True) == "−50"
    assert tick_text(0.0, 50.0, signed=True) == "0"
    assert tick_text(50.0, 50.0, signed=True) == "+50"
    assert tick_text(0.25, 0.05) == "0.25"
    assert tick_text(-0.0, 0.5) == "0.0"
    assert tick_step(0.0, 5) == 1.0


def test_three_marks_are_named_where_a_plot_is_low() -> None:
    assert named_ticks((-10.0, 0.0, 10.0, 20.0, 30.0), 3.0, 2.9) == (-10.0, 0.0, 10.0, 20.0, 30.0)
    assert named_ticks((-20.0, -10.0, 0.0, 10.0, 20.0), 2.1, 2.9) == (-20.0, 0.0, 20.0)
    assert named_ticks((-10.0, 0.0, 10.0, 20.0, 30.0), 2.1, 2.9) == (-10.0, 10.0, 30.0)
    assert named_ticks((0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0), 1.0, 2.9) == (0.0, 30.0, 60.0)


@pytest.mark.parametrize("size", [(248, 400), (300, 420), (380, 760)])
@pytest.mark.parametrize("name", ["van-front", "van-rear"])
def test_ticks_samples_and_words_can_be_read(size: tuple[int, int], name: str) -> None:
    camera = Camera(*size).in_pixels()
    shown = column(name)
    where = layout(shown, camera)
    picture = plots_picture(shown, where)
    room = Room(camera, style("light"))
    for frame in where.frames:
        at_left = [
            room.box(item)
            for item in picture
            if isinstance(item, Text) and item.key == frame.key and item.horizontal == "right"
        ]
        assert len(at_left) >= 3
        assert not any(a.overlaps(b) for a, b in combinations(at_left, 2))
    samples = [item for item in picture if isinstance(item, Line) and item.role.startswith("curve")]
    assert len(samples) == (3 if name == "van-front" else 0)
    for sample in samples:
        assert sample.end[0] - sample.start[0] == pytest.approx(camera.paper(7.2))
    # No limit crosses its own words.
    limits = [item.points for item in picture.with_role("limit") if isinstance(item, Polyline)]
    for item in picture:
        if isinstance(item, Text) and item.role == "band_word_past":
            box = room.box(item)
            assert not any(box.holds(point) for points in limits for point in points), item.text
            for axis in picture.with_role("axis"):
                assert isinstance(axis, Line)
                (x, low), (_, high) = axis.start, axis.end
                assert not (box.left < x < box.right and low < box.top and high > box.bottom)


@pytest.mark.parametrize("travel_mm", [-20.0, 0.0, 400.0])
def test_the_travel_stands_between_droop_and_bump(travel_mm: float) -> None:
    uneven = replace(COLUMN, travel_mm=np.linspace(-20.0, 400.0, len(COLUMN.travel_mm)))
    for wide in (240.0, 380.0):
        where = layout(uneven, Camera(wide, 600.0).in_pixels())
        size = size_px("small", where.camera.pixels_per_paper_mm)
        now = [None] * len(COLUMN.plots)
        (word,) = (
            item for item in position_picture(uneven, where, travel_mm, now)
            if isinstance(item, Text) and item.role == "here_word"
        )  # fmt: skip
        half = width_px(word.text, size, True) / 2
        assert word.at[0] - half > where.box.left + width_px("droop", size)
        assert word.at[0] + half < where.box.right - width_px("bump", size)


def test_no_edge_of_a_band_crosses_its_word() -> None:
    """With what hangs below the line of writing, in plots of any height."""
    crossed = 0
    for height in range(200, 420, 20):
        camera = Camera(300.0, float(height)).in_pixels()
        picture = plots_picture(COLUMN, layout(COLUMN, camera))
        letters = size_px("small", camera.pixels_per_paper_mm)
        size = letters * CAPITAL_HEIGHT
        edges = [item for item in picture if isinstance(item, Polyline) and item.role == "limit"]
        for word in picture:
            if not (isinstance(word, Text) and word.role.startswith("band_word")):
                continue
            low = word.at[1] - (size if word.vertical == "top" else 0.0)
            wide = width_px(word.text, letters)
            left = word.at[0] - (wide if word.horizontal == "right" else 0.0)
            for edge in edges:
                along = [y for x, y in edge.points if left <= x <= left + wide]
                if any(low - 0.3 * size < y < low + size for y in along):
                    crossed += 1
                    assert word.backed, word.text
    assert crossed


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1.0), ("in", 25.4)])
def test_the_plunge_plot_holds_the_whole_stroke(unit: Unit, mm: float) -> None:
    plot = column("van-front", unit).plots[0]
    joint = example("van-front").left.inner_joint  # type: ignore[union-attr]
    # A band beyond each end of the stroke, to write into.
    assert -1.4 * joint.stroke_in < mm * plot.low < -1.1 * joint.stroke_in - 2.0
    assert joint.stroke_out + 2.0 < mm * plot.high < 1.5 * joint.stroke_out


def test_a_curve_gives_way_to_the_word_of_a_band() -> None:
    angle = next(plot for plot in COLUMN.plots if plot.key == "plot.inner_angle")
    past = next(band for band in angle.bands if band.word.startswith("past"))
    struck = 0
    for above in np.linspace(0.5, 12.0, 12):
        # Every curve runs level through the band of what is past, from end to end.
        level = float(np.max(past.low)) + above
        curves = tuple(replace(one, values=np.full_like(one.values, level)) for one in angle.curves)
        shown = replace(COLUMN, plots=(replace(angle, curves=curves),))
        where = layout(shown, Camera(300.0, 160.0).in_pixels())
        (frame,) = where.frames
        words = (one for one in plots_picture(shown, where) if isinstance(one, Text))
        word = next(one for one in words if one.text == past.word)
        size = size_px("small", where.camera.pixels_per_paper_mm) * CAPITAL_HEIGHT
        low = word.at[1] - (size if word.vertical == "top" else 0.0)
        if low < frame.y(level) < low + size:
            struck += 1
            assert word.backed
    assert struck


@pytest.mark.parametrize("crossed", ["left", "right", "both", "neither"])
@pytest.mark.parametrize("at_top", [True, False])
def test_a_bands_word_stands_where_no_curve_passes(crossed: str, at_top: bool) -> None:
    travel = np.linspace(-80.0, 70.0, 151)
    # A band of 8 over a frame of 40: thick enough to write into, and one that narrows to the right.
    away = np.where(travel < 0.0, 28.0, 30.0)
    in_band = (travel < 0.0 if crossed == "left" else travel > 0.0) & (crossed != "neither")
    values = np.where(in_band | (crossed == "both"), 34.0, 10.0)
    low, high = away, np.full_like(travel, 40.0)
    if not at_top:
        low, high, values = 40.0 - high, 40.0 - low, 40.0 - values
    band = Band("past", low, high, "past its limit 30°", at_top)
    plot = replace(
        COLUMN.plots[1],
        low=0.0,
        high=40.0,
        bands=(band,),
        curves=(replace(COLUMN.plots[1].curves[0], values=values),),
    )
    shown = replace(COLUMN, travel_mm=travel, plots=(plot,))
    where = layout(shown, Camera(380.0, 300.0).in_pixels())
    (frame,) = where.frames
    (word,) = (
        one
        for one in plots_picture(shown, where)
        if isinstance(one, Text) and one.text == band.word
    )
    at_left = crossed in ("right", "neither", "both")
    assert word.horizontal == ("left" if at_left else "right")
    assert (word.at[0] < frame.box.centre[0]) == at_left
    assert word.vertical == ("top" if at_top else "bottom")
    # In the middle of the band there, as thick as it is at that end.
    letters = size_px("small", where.camera.pixels_per_paper_mm) * CAPITAL_HEIGHT
    middle = word.at[1] - letters / 2 if at_top else word.at[1] + letters / 2
    edge = 28.0 if at_left else 30.0
    ends = (edge, frame.high) if at_top else (frame.low, 40.0 - edge)
    assert frame.value(middle) == pytest.approx(sum(ends) / 2.0, abs=0.05)
    assert word.backed == (crossed == "both")


@pytest.mark.parametrize("first", ["left", "right"])
def test_the_words_of_two_bands_that_meet_stand_at_either_end(first: str) -> None:
    travel = np.linspace(-80.0, 70.0, 151)
    # A curve where the first word would stand; both bands are too thin for two words in a row.
    at_left = first == "right"
    values = np.where((travel < 0.0) == at_left, 20.0, 5.0)
    bands = tuple(
        Band("close", np.full_like(travel, low), np.full_like(travel, low + 3.0), word)
        for low, word in ((19.0, "closer than wanted"), (19.5, "close to its limit"))
    )
    plot = replace(
        COLUMN.plots[1], key="plot.plunge", low=0.0, high=24.0, bands=bands,
        curves=(replace(COLUMN.plots[1].curves[0], values=values),),
    )  # fmt: skip
    shown = replace(COLUMN, travel_mm=travel, plots=(plot,))
    where = layout(shown, Camera(380.0, 200.0).in_pixels())
    texts = [one for one in plots_picture(shown, where) if isinstance(one, Text)]
    one, other = (text for text in texts if text.role.startswith("band_word"))
    assert {one.horizontal, other.horizontal} == {"left", "right"}
    assert one.horizontal == first
    (frame,) = where.frames
    for text in (one, other):
        edge = frame.box.left if text.horizontal == "left" else frame.box.right
        assert abs(text.at[0] - edge) == pytest.approx(where.camera.paper(1.2))
