"""The shop sheet: its pages, and that its numbers are the report's.

Pages are read back by pypdfium2 (texts, where things lie) and pypdf (sizes, what a file says).
"""

from __future__ import annotations

import dataclasses
import io
import math
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pypdf
import pypdfium2
import pytest

from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.lathe import Lathe
from kinematics.making.splice import Butt, Splice
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from kinematics.parts import Bracket, Corner
from kinematics.shaft.whole_motion import Examination, examine
from kinematics.sure.trial import TrialMeasurement
from scenes.library import example, example_names
from scenes.making import Making
from scenes.model import Scene, Side
from scenes.writing import scene_text
from sketcher.__main__ import main
from sketcher.commands.table import table_csv
from sketcher.drawing.formats import Paper
from sketcher.drawing.pdf import register_fonts
from sketcher.drawing.picture import Text
from sketcher.drawing.style import THIN
from sketcher.paper.shop_sheet import flow
from sketcher.paper.shop_sheet.amounts import amounts, inches
from sketcher.paper.shop_sheet.blocks import Figure, Figures
from sketcher.paper.shop_sheet.drawn import ride_pose, scales, sketch_of
from sketcher.paper.shop_sheet.sheet import pages_pdf, subjects_of
from sketcher.paper.shop_sheet.subject import Subject, swept_columns
from sketcher.words.cautions import CODES
from sketcher.words.cut_steps import NO_SECOND_TRY, step_lines
from sketcher.words.cuts import fit_line

MM = 72.0 / 25.4
both = amounts("mm").place
# ISO 216 A4 and ANSI A, mm.
SIZES: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
HUB = Donor(
    usable_to=220,
    datum=Datum("the boot groove's edge", 58),
    stretches=(
        Stretch("boot seat", 15, 100, 25, "boot"),
        Stretch("bar", 100, 240, 26),
    ),
    cut_twice=False,
)
GEARBOX = Donor(
    usable_to=240,
    datum=Datum("the joint's face", -12),
    stretches=(Stretch("boot seat", 15, 90, 24, "boot"), Stretch("bar", 90, 260, 25)),
)
SPLICE = Splice(at=195, root_gap=2, butt=Butt(spigot_length=20, bore=12))
DRIVE = Drive(
    engine_torque=20, gear=4, final_drive=3.5, wheel_load=320, tyre_radius=285, top_speed=90
)
TRIAL = tuple(TrialMeasurement(*one) for one in ((-60.0, 392.4), (0.0, 390.8), (50.0, 389.6)))


@cache
def answer(corner: Corner) -> Examination:
    return examine(corner)


def answers(scene: Scene, *sides: Side) -> dict[Side, Examination]:
    return {side: answer(scene.corner(side)) for side in sides or scene.sides}


def made(**more: Any) -> Scene:
    values: dict[str, Any] = {"hub_donor": HUB, "gearbox_donor": GEARBOX, "splice": SPLICE, **more}
    drive = values.pop("drive", DRIVE)
    making = Making(**values)
    return dataclasses.replace(example("van-front"), left_making=making, drive=drive, right=None)


@cache
def pages(pdf: bytes) -> list[str]:
    """Each page's words with single spaces, the kept ones too."""
    texts = (page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))
    return [" ".join(text.split()) for text in texts]


@cache
def sheet(scene: Scene, *sides: Side, paper: Paper = "a4") -> bytes:
    """The sheet with few draws of the tape, which most of these tests do not ask about."""
    return pages_pdf(subjects(scene, *sides), paper=paper)


@cache
def subjects(scene: Scene, *sides: Side) -> tuple[Subject, ...]:
    return subjects_of(scene, answers(scene, *sides), draws=100)


def words(scene: Scene, *sides: Side) -> str:
    return " ".join(pages(sheet(scene, *sides)))


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


@pytest.mark.parametrize("value", ["391.0 mm", "420.25 mm", "1391.25 mm", '15 43/64"'])
def test_the_length_to_cut_stands_in_one_line(value: str) -> None:
    register_fonts()
    rows = (Figure("Length", value, "16 in", large=True),)
    width = 184.0 * 72.0 / 25.4
    tall = flow.height_of(flow.stacked((Figures(rows),), width), width)
    assert tall < 40.0, "points; two lines take 60"


@pytest.mark.parametrize("paper", get_args(Paper))
@pytest.mark.parametrize("name", example_names())
def test_few_pages_of_the_papers_size(name: str, paper: Paper) -> None:
    scene = example(name)
    pdf = sheet(scene, *scene.sides, paper=paper)
    read = pypdf.PdfReader(io.BytesIO(pdf)).pages
    texts = pages(pdf)
    counts = {side: sum(f"{side} shaft, page " in text for text in texts) for side in scene.sides}
    # Where the shaft may be cut, the welder's fixture has a page of its own, and the cuts too.
    welder = sum("Parts of the fixture" in text for text in texts)
    assert all(0 < count <= 3 + 2 * welder for count in counts.values())
    assert welder == (1 if name == "van-front-making" else 0)
    assert len(read) == sum(counts.values())
    for page in read:
        size = (float(page.mediabox.width) / MM, float(page.mediabox.height) / MM)
        assert size == pytest.approx(SIZES[paper], abs=0.1)
    for side, count in counts.items():
        assert any(f"{side} shaft, page 1 of {count}" in text for text in texts)


def test_numbers_to_cut_are_the_reports() -> None:
    scene = example("van-front")
    found = answers(scene, "left")
    window = found["left"].window
    assert window is not None
    first = squeezed(pages(pages_pdf(subjects_of(scene, found)))[0])
    length = found["left"].length_mm
    assert f"{length:.1f}mm" in first
    assert squeezed(inches(length)) in first
    # Inwards: nothing read off the sheet is outside the window.
    assert f"{math.ceil(window.shortest_mm * 10) / 10:.1f}mm" in first
    assert f"{math.floor(window.longest_mm * 10) / 10:.1f}mm" in first
    assert squeezed(inches(window.shortest_mm, "up")) in first
    assert squeezed(f"may come out {both(length - window.shortest_mm, 'down')} shorter") in first
    assert squeezed(f"may come out {both(window.longest_mm - length, 'down')} longer") in first
    assert squeezed("391.0 mm fits by what was measured") in first


def test_swept_table_has_every_ten_mm_and_both_ends() -> None:
    scene = example("van-front")
    columns = swept_columns(scene.corner("left"))
    assert columns["travel_mm"] == [float(t) for t in range(-80, 71, 10)]
    second = pages(sheet(scene, "left"))[1]
    for swept_mm in columns["swept_length_mm"]:
        assert f"{swept_mm:.1f}" in second
        assert f"{swept_mm / 25.4:.3f}" in second


def test_the_swept_length_table_is_part_of_the_table_of_results() -> None:
    corner = example("van-rear").corner("right")
    text, _ = table_csv(corner, 10.0)
    header, *lines = [line.split(",") for line in text.splitlines()]
    told = dict(zip(header, zip(*lines, strict=True), strict=True))
    columns = swept_columns(corner)
    assert len(columns) == 8
    for name, values in columns.items():
        for value, listed in zip(values, told[name], strict=True):
            if listed:
                assert value == pytest.approx(float(listed), abs=1e-5)


@pytest.mark.parametrize("name", ["van-front-too-long", "van-front-mount-fouls"])
def test_a_broken_limit_says_so_on_every_page_and_has_no_cut_order(name: str) -> None:
    scene = example(name)
    read = pages(sheet(scene, "left"))
    assert all("Do not cut" in text for text in read)
    assert "None: do not cut before everything on page 1 is put right." in read[1]
    assert "can be cut" not in " ".join(read)
    # Nor is there a finished length to be right.
    assert "may come out" not in " ".join(read)


def test_an_empty_window_has_no_window_to_read_off() -> None:
    scene = example("van-front")
    left = scene.left
    assert left is not None
    joint = dataclasses.replace(left.inner_joint, stroke_in=4, stroke_out=4, stroke_at_angle=())
    scene = dataclasses.replace(scene, left=dataclasses.replace(left, inner_joint=joint))
    text = words(scene, "left")
    assert "Do not cut" in text
    assert "no length keeps" in text.lower()
    assert "Shortest that is right" not in text


def test_travel_out_of_reach_promises_nothing() -> None:
    scene = example("van-front")
    scene = dataclasses.replace(scene, travel=dataclasses.replace(scene.travel, bump=700))
    text = words(scene, "left")
    assert "Do not cut" in text
    assert "is out of reach" in text
    assert "Shortest that is right" not in text
    assert "Chance that" not in text


@pytest.mark.parametrize(("width", "height"), [(180.0, 150.0), (120.0, 60.0), (180.0, 45.0)])
def test_the_drawing_is_to_scale_and_fits_its_room(width: float, height: float) -> None:
    scene = example("van-front")
    (subject,) = subjects(scene, "left")
    ride = ride_pose(subject.corner)
    assert ride is not None
    drawn = sketch_of(subject, ride, width, height)
    assert drawn.size_mm[0] == pytest.approx(width)
    assert drawn.size_mm[1] <= height + 1e-9
    assert drawn.camera.scale in [pytest.approx(scale) for scale in scales()]


def test_the_length_on_paper_is_the_length_at_the_scale_named() -> None:
    scene = example("van-front")
    pdf = sheet(scene, "left")
    named = re.search(r"Scale 1:([\d.]+) ", pages(pdf)[0])
    assert named is not None
    wanted = 391.0 / float(named[1]) * MM
    page = pypdfium2.PdfDocument(pdf)[0]
    spans = []
    # The dimension line; bounds have a line's own width on each side of them.
    grown = 2 * THIN * MM
    for item in page.get_objects():
        left, bottom, right, top = item.get_bounds()
        spans.append(math.hypot(right - left - grown, top - bottom - grown))
    assert min(abs(span - wanted) for span in spans) < 0.3


def test_same_bytes_in_another_process(tmp_path: Path, root: Path) -> None:
    scene = example("van-front")
    found = answers(scene, "left")
    once = pages_pdf(subjects_of(scene, found), date="a Sunday")
    code = (
        "import hashlib; from scenes.library import example;"
        "from kinematics.shaft.whole_motion import examine;"
        "from sketcher.paper.shop_sheet.sheet import pages_pdf, subjects_of;"
        "s = example('van-front'); f = {'left': examine(s.corner('left'))};"
        "made = pages_pdf(subjects_of(s, f), date='a Sunday');"
        "print(made == open(__import__('sys').argv[1], 'rb').read())"
    )
    path = tmp_path / "once.pdf"
    path.write_bytes(once)
    ran = subprocess.run(
        [sys.executable, "-c", code, str(path)], cwd=root, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    assert ran.stdout.split()[-1] == "True"


def test_date_is_the_pens_unless_given() -> None:
    scene = example("van-rear")
    dated, plain = pages_pdf(subjects(scene, "left"), date="3 May"), sheet(scene, "left")
    assert "3 May" in pages(dated)[0]
    assert "3 May" not in pages(plain)[0]
    info = pypdf.PdfReader(io.BytesIO(plain)).metadata
    assert info is not None
    assert info.creation_date is not None
    assert info.creation_date.year == 2000


def test_cut_order_has_the_plans_numbers_in_order() -> None:
    scene = made()
    (subject,) = subjects(scene)
    plan = subject.made.plan
    assert plan is not None
    assert plan.possible
    text = squeezed(" ".join(pages(pages_pdf((subject,)))))
    for cut in (plan.hub, plan.gearbox):
        saw = both(cut.first_cut_from_datum_mm)
        assert squeezed(f'{saw} from "{cut.donor.datum.name}"') in text
    at = 0
    for line in step_lines(plan, amounts("mm")):
        at = text.index(squeezed(line.text), at) + 1
    assert squeezed(NO_SECOND_TRY) in text
    assert text.count(squeezed(CODES)) == 1
    assert squeezed(fit_line(plan, amounts("mm"))) in text


def test_strength_and_what_it_does_not_cover() -> None:
    text = words(made())
    assert "is the weakest" in text or "weakest is" in text
    assert "Not covered: fatigue; steel that heat makes brittle beside a weld; " in text
    assert "Strength was not looked at: the scene has no [drive]." in words(made(drive=None))


def test_too_weak_is_not_to_be_cut() -> None:
    scene = made(drive=dataclasses.replace(DRIVE, engine_torque=200, wheel_load=900))
    text = words(scene)
    assert "is too weak" in text
    assert "Do not cut" in text


def test_a_refused_cut_plan_is_not_to_be_cut() -> None:
    text = words(made(hub_donor=dataclasses.replace(HUB, usable_to=150)))
    assert "Do not cut" in text
    assert "donor is too short by" in text


def test_a_splice_beyond_the_shaft_is_not_to_be_cut() -> None:
    text = words(made(splice=dataclasses.replace(SPLICE, at=900)))
    assert "Do not cut" in text
    assert "expected a splice between the joint centres" in text


def test_a_crooked_shaft_is_not_to_be_fitted() -> None:
    read = pages(sheet(made(runout=(Runout(150, 1.2),))))
    assert all("Do not cut" in text for text in read)
    assert "not good enough, do not fit it" in read[0]


def test_what_was_measured_on_the_car_stands_beside_the_points() -> None:
    text = squeezed(words(made(trial=TRIAL)))
    assert squeezed(both(392.4)) in text
    assert squeezed("The car and the points agree") in text


def test_finished_length_is_judged() -> None:
    text = words(made(finished_length=391.2))
    assert "Measured already: length 391.2 mm" in text
    assert "inside its window" in text


def test_cautions_stand_where_the_danger_is() -> None:
    read = pages(sheet(made()))
    working = " ".join(read[read.index(next(text for text in read if "Order of work" in text)) :])
    warned, welding = working.index("qualified welder"), working.index("Weld the butt")
    assert warned < welding
    before = next(text for text in read if "Before cutting" in text)
    assert "spring compressor" in before
    assert "axle stands" in before
    assert any("After welding" in text and "codes where you live" in text for text in read)


def hard_scenes() -> Iterator[Any]:
    scene = example("van-front")
    many = tuple(
        Bracket(f"stay {i} with a long name & <b>marks</b>", ((300, y), (330, y), (330, y + 9)))
        for i, y in enumerate(range(500, 740, 16))
    )
    yield pytest.param(dataclasses.replace(scene, brackets=many), id="many brackets")
    yield pytest.param(dataclasses.replace(scene, title="x" * 400), id="one long word")
    yield pytest.param(dataclasses.replace(scene, title="A van & <b>two</b> " * 40), id="title")
    yield pytest.param(made(trial=TRIAL), id="made")
    yield pytest.param(example("van-front-mount-fouls"), id="fouls")


@pytest.mark.parametrize("paper", get_args(Paper))
@pytest.mark.parametrize("scene", list(hard_scenes()))
def test_no_text_leaves_the_page_or_lies_on_another(scene: Scene, paper: Paper) -> None:
    pdf = sheet(scene, "left", paper=paper)
    width, height = (side * MM for side in SIZES[paper])
    for number, page in enumerate(pypdfium2.PdfDocument(pdf)):
        text = page.get_textpage()
        boxes = [text.get_rect(i) for i in range(text.count_rects())]
        for left, bottom, right, top in boxes:
            assert 10 * MM < left < right < width - 10 * MM
            assert 10 * MM < bottom < top < height - 8 * MM
        # The drawing and the plots keep their own labels apart and are tested for that.
        if number == 0 or ("plunge" in text.get_text_bounded() and number < 3):
            continue
        assert not list(overlapping(boxes))


Rect = tuple[float, float, float, float]


def overlapping(boxes: list[Rect]) -> Iterator[tuple[Rect, Rect]]:
    for i, a in enumerate(boxes):
        for b in boxes[i + 1 :]:
            across = min(a[2], b[2]) - max(a[0], b[0])
            upwards = min(a[3], b[3]) - max(a[1], b[1])
            if across > 0.5 and upwards > 0.5:
                yield a, b


def test_many_brackets_are_numbered_in_the_drawing_and_named_in_the_list() -> None:
    scene = next(hard_scenes()).values[0]
    (subject,) = subjects(scene, "left")
    ride = ride_pose(subject.corner)
    assert ride is not None
    drawn = sketch_of(subject, ride, 180.0, 100.0)
    said = {item.text for item in drawn.picture if isinstance(item, Text)}
    assert {"1", "15"} <= said
    assert "to 15: stay 14" in " ".join(pages(pages_pdf((subject,))))


@pytest.mark.parametrize(
    ("name", "code"),
    [("van-front", 0), ("van-rear", 0), ("van-front-too-long", 1), ("van-front-mount-fouls", 1)],
)
def test_command_writes_the_sheet_with_the_reports_exit_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, code: int
) -> None:
    path = tmp_path / "sheet.pdf"
    assert main(["sheet", "--example", name, "--side", "left", "-o", str(path)]) == code
    assert path.read_bytes().startswith(b"%PDF")
    out = capsys.readouterr().out
    assert ("LEFT SHAFT  Do not cut" in out) == (code == 1)


def test_command_refuses_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "sheet.pdf"
    assert main(["sheet", "--example", "van-rear", "--margin", "-1", "-o", str(path)]) == 2
    assert "--margin: expected mm, 0 or more" in capsys.readouterr().err
    assert not path.exists()


def test_command_out_of_reach_writes_a_sheet_that_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scene = example("van-rear")
    scene = dataclasses.replace(scene, travel=dataclasses.replace(scene.travel, bump=900))
    source, path = tmp_path / "scene.toml", tmp_path / "sheet.pdf"
    source.write_text(scene_text(scene), encoding="utf-8")
    assert main(["sheet", str(source), "--side", "left", "-o", str(path)]) == 2
    assert "is out of reach" in capsys.readouterr().err
    assert "Do not cut" in pages(path.read_bytes())[0]


def test_a_lathe_that_is_too_small_is_told_before_the_cut_order() -> None:
    def page(lathe: Lathe) -> str:
        return squeezed(words(dataclasses.replace(made(), lathe=lathe)))

    refused = squeezed("the lathe does not take it: between centres")
    small, usual = page(Lathe(between_centres=100)), page(Lathe(between_centres=900))
    order, saw = (small.index(squeezed(text)) for text in ("Order of work", "Mark the hub donor"))
    assert small.index(refused) < order < small.rindex(refused) < saw
    assert refused not in usual
    assert squeezed("On the lathe") in usual


def test_nothing_that_forbids_a_cut_comes_after_the_cut_order() -> None:
    lathe = Lathe(between_centres=100)
    read = squeezed(words(dataclasses.replace(made(trial=TRIAL), lathe=lathe)))
    order = read.index(squeezed("Order of work"))
    saw = read.index(squeezed("Mark the hub donor"))
    for told in (
        "Before cutting",
        "Strength",
        "Trial fit in the car",
        "On the lathe",
        "Worst over",
    ):
        assert read.index(squeezed(told)) < order, told
    # What stands in the way of the cuts is told again where they begin.
    assert order < read.rindex(squeezed("the lathe does not take it")) < saw


def test_the_sheet_in_inches_has_no_mm_on_it() -> None:
    scene = dataclasses.replace(made(trial=TRIAL, finished_length=391.2), lathe=Lathe(300, 200))
    (subject,) = subjects_of(scene, answers(scene, "left"), draws=100, unit="in")
    read = pages(pages_pdf((subject,)))
    text = " ".join(read)
    assert not re.search(r"\bmm\b(?!/s)", text)
    assert "in TIR" in text
    assert '15 25/64" 15.394 in' in read[0]
    # The swept length in decimals and as a fraction, every half inch.
    assert "Swept length every 0.5 in" in text
    columns = swept_columns(scene.corner("left"), 12.7)
    swept_mm = columns["swept_length_mm"][columns["travel_mm"].index(0.0)]
    assert f'{swept_mm / 25.4:.3f} 15 3/8"' in text


def test_an_axle_that_does_not_steer_is_told_of_no_steering_and_the_right_is_to_the_left() -> None:
    read = pages(sheet(example("van-rear"), "right"))
    text = " ".join(read)
    for word in ("straight", "inside lock", "outside lock", "lock to lock", "steer"):
        assert word not in text.lower(), word
    assert "out to the left" in read[0]
    assert "out to the right" in pages(sheet(example("van-front"), "left"))[0]


def test_no_heading_or_word_of_a_table_is_broken_in_two() -> None:
    """Where plots stand beside it, a table is narrow."""
    fouling = made(hub_donor=dataclasses.replace(HUB, usable_to=150), trial=TRIAL)
    brackets = (*fouling.brackets, Bracket("stay", ((440, 290), (470, 290), (470, 320))))
    text = words(dataclasses.replace(fouling, brackets=brackets), "left")
    assert " bottom " in text
    assert " broken " in text


def test_points_that_the_car_contradicts_promise_nothing_on_paper() -> None:
    scene = made(trial=(*TRIAL[:2], dataclasses.replace(TRIAL[2], value=381.0)))
    text = words(scene, "left")
    assert "contradicts the points" in text
    assert "that is right" not in text
    assert "How sure" not in text
    assert "over 999" not in text
    assert "that is right" in words(made(trial=TRIAL), "left")
