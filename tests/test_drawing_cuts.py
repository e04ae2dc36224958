"""The drawing of the cuts: its numbers are the plan's, it is to scale, and its words are clear."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.planning import plan_cuts
from kinematics.making.splice import Butt, Sleeve, Splice
from sketcher.drawing.camera import PIXELS_PER_PAPER_MM, Camera
from sketcher.drawing.cut_view import cut_camera, cut_camera_at, cut_size_mm, cut_view
from sketcher.drawing.labels import Room
from sketcher.drawing.picture import Box, Circle, Line, Picture, Text
from sketcher.drawing.style import style
from sketcher.words.units import format_fraction

LENGTH = 391.0
HUB = Donor(
    usable_to=250,
    datum=Datum("edge of the groove", 88),
    stretches=(
        Stretch("spline", 18, 42, 26, "spline", 24.4),
        Stretch("neck", 42, 88, 25),
        Stretch("groove", 88, 94, 25, "groove", 24),
        Stretch("bar", 94, 290, 25),
    ),
    cut_twice=False,
)
GEARBOX = Donor(
    usable_to=262,
    datum=Datum("end of the spline", 38),
    stretches=(Stretch("spline", 12, 38, 27, "spline", 25), Stretch("bar", 38, 280, 26)),
)
SPLICE = Splice(
    at=190,
    root_gap=2,
    shrinkage=0.6,
    butt=Butt(spigot_length=28, bore=12),
    sleeve=Sleeve(length=90, bore=25.05, outside_diameter=36, leg=5),
)


def plan(hub: Donor = HUB, gearbox: Donor = GEARBOX, **changes: Any) -> CutPlan:
    made = plan_cuts(hub, gearbox, replace(SPLICE, **changes), LENGTH)
    assert made.possible, made.refusals
    return made


def plans() -> Iterator[Any]:
    yield pytest.param(plan(), id="spigot, sleeve, trim")
    yield pytest.param(plan(sleeve=None), id="no sleeve")
    yield pytest.param(plan(butt=None, root_gap=0.0, shrinkage=0.0), id="sleeve alone")
    on_hub = Butt(spigot_length=28, bore=12, spigot_on="hub")
    yield pytest.param(plan(butt=on_hub), id="spigot on the hub piece")
    yield pytest.param(plan(butt=Butt()), id="bevels alone")
    face = replace(GEARBOX, datum=Datum("the joint's face", -12))
    yield pytest.param(plan(gearbox=face), id="datum beyond the joint's centre")
    wordy = replace(HUB, datum=Datum("the edge of the groove that the boot sits in " * 3, 88))
    yield pytest.param(plan(hub=wordy), id="datum of many words")
    near = replace(HUB, datum=Datum("a punch mark near the cut", 180))
    yield pytest.param(plan(hub=near, butt=Butt()), id="datum near the cut")
    thick = replace(HUB, stretches=(*HUB.stretches[:3], Stretch("bar", 94, 290, 28)))
    split = replace(SPLICE.sleeve, split=True) if SPLICE.sleeve else None
    yield pytest.param(plan(hub=thick, sleeve=split), id="turned over a short way")
    long = replace(near, stretches=(*HUB.stretches[:3], Stretch("bar", 94, 290, 27.4)))
    yield pytest.param(plan(hub=long, butt=None, root_gap=0.0), id="turned before the datum")


def test_titles_are_whole_and_values_apart_where_a_sheet_has_room() -> None:
    far = replace(HUB, datum=Datum("a punch mark", 60), stretches=(Stretch("bar", 30, 300, 28),))
    near = replace(
        GEARBOX, datum=Datum("boot groove", 80), stretches=(Stretch("bar", 12, 290, 28),)
    )
    cuts = plan(hub=far, gearbox=near, butt=Butt(), sleeve=None)
    picture, camera = drawn(cuts, 0.2)
    assert not [text for text in picture.texts if "…" in text]
    for (one, a), (other, b) in combinations(boxes(picture, camera), 2):
        assert not a.overlaps(b), (one.text, other.text)


def test_no_size_of_the_splice_is_cut_off_at_the_edge() -> None:
    cuts = plan(butt=Butt(spigot_length=28.05, bore=12.05))
    camera = cut_camera(cuts, Camera(760, 420))
    edge = camera.box.right - camera.paper(1.0)
    assert all(box.right < edge for _, box in boxes(cut_view(cuts, camera), camera))


def drawn(cuts: CutPlan, scale: float = 0.25, width_mm: float = 184.0) -> tuple[Picture, Camera]:
    camera = cut_camera_at(cuts, scale, width_mm)
    return cut_view(cuts, camera), camera


def boxes(picture: Picture, camera: Camera) -> list[tuple[Text, Box]]:
    room = Room(camera, style("light"))
    return [(item, room.box(item)) for item in picture if isinstance(item, Text)]


@pytest.mark.parametrize("cuts", list(plans()))
def test_every_number_to_cut_stands_in_it_with_its_inch_fraction(cuts: CutPlan) -> None:
    picture, _ = drawn(cuts)
    told = " | ".join(picture.texts)
    lengths = [cuts.length_mm]
    for cut in (cuts.hub, cuts.gearbox):
        lengths += [cut.first_cut_from_datum_mm, cut.first_cut_mm]
        lengths += [cut.cut_from_datum_mm, cut.cut_mm, *([cut.trim_mm] if cut.trim_mm else [])]
        if cut.turned_from_mm is not None:
            lengths.append(abs(cut.turned_from_mm - cut.donor.datum.at))
    span = cuts.splice.sleeve_span_mm
    lengths += [cuts.splice.at] if span is None else [span[0], span[1] - span[0]]
    if cuts.splice.root_gap:
        lengths.append(cuts.splice.root_gap)
    if cuts.splice.spigot_mm:
        lengths += [cuts.splice.spigot_mm, cuts.bore_depth_mm]
    for mm in lengths:
        assert (f"{mm:.1f}" if abs(mm * 10 - round(mm * 10)) < 1e-6 else f"{mm:.2f}") in told
        assert format_fraction(mm) in told
    assert f"Ø{cuts.diameter_mm:g}" in told
    sleeve = cuts.splice.sleeve
    if sleeve is not None:
        for size in (
            f"Ø{sleeve.outside_diameter:g}",
            f"Ø{sleeve.bore:g}",
            f"{sleeve.leg_mm:.1f} mm",
        ):
            assert size in told


@pytest.mark.parametrize("cuts", list(plans()))
def test_cuts_lie_as_far_from_their_joints_centres_as_they_say(cuts: CutPlan) -> None:
    picture, _ = drawn(cuts)
    centres = [item.centre for item in picture if isinstance(item, Circle)]
    saws = [item for item in picture.with_role("cut") if isinstance(item, Line)]
    assert len(centres) == 4
    gearbox, hub = centres[0][0], centres[1][0]
    assert saws[0].start[0] - gearbox == pytest.approx(cuts.gearbox.first_cut_mm)
    assert hub - saws[1].start[0] == pytest.approx(cuts.hub.first_cut_mm)
    finished = sorted(x for x, _ in centres[2:])
    assert finished[1] - finished[0] == pytest.approx(cuts.length_mm)


@pytest.mark.parametrize("cuts", list(plans()))
def test_words_stay_inside_and_off_one_another(cuts: CutPlan) -> None:
    picture, camera = drawn(cuts)
    placed, view = boxes(picture, camera), camera.box
    for text, box in placed:
        assert view.left <= box.left, text.text
        assert box.right <= view.right, text.text
        assert view.bottom <= box.bottom, text.text
        assert box.top <= view.top, text.text
    for (one, a), (other, b) in combinations(placed, 2):
        assert not a.overlaps(b), (one.text, other.text)
    # No extension line strikes through a value.
    upright = [item for item in picture if isinstance(item, Line) and item.role == "dimension"
               and item.start[0] == item.end[0]]  # fmt: skip
    for text, box in placed:
        for line in upright:
            low, high = sorted((line.start[1], line.end[1]))
            across = box.left < line.start[0] < box.right and low < box.top and box.bottom < high
            assert not across or text.role not in ("dimension", "note"), (text.text, line)


@pytest.mark.parametrize("cuts", list(plans()))
def test_half_an_a4_page_is_enough(cuts: CutPlan) -> None:
    wide, high = cut_size_mm(cuts, 0.25)
    assert wide <= 184.0
    assert high <= 148.5


@pytest.mark.parametrize(("width", "height"), [(900, 560), (1200, 640), (1600, 1000), (640, 900)])
def test_the_camera_takes_what_fits_its_rectangle(width: int, height: int) -> None:
    cuts = plan()
    camera = cut_camera(cuts, Camera(width, height).in_pixels())
    wide, high = cut_size_mm(cuts, camera.scale)
    assert wide <= width / PIXELS_PER_PAPER_MM + 1e-6
    assert high <= height / PIXELS_PER_PAPER_MM + 1e-6


def test_inches_over_the_lines_where_they_are_asked_for() -> None:
    cuts = plan()
    picture = cut_view(cuts, cut_camera_at(cuts, 0.25, 184.0), "in")
    assert f"saw {format_fraction(cuts.hub.cut_from_datum_mm)}" in picture.texts
    assert f"{cuts.hub.cut_from_datum_mm / 25.4:.3f} in" in picture.texts
    assert not [text for text in picture.texts if " mm" in text]


def test_an_end_that_cannot_be_cut_twice_says_so_and_has_no_trim() -> None:
    told = " | ".join(drawn(plan())[0].texts)
    assert "Hub donor; cannot be cut twice |" in told
    assert '3.4 mm (9/64") trim stays on' in told
