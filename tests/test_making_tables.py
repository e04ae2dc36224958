"""Scene tables of making, drive, tape, trial fit and measured positions: read, written, refused."""

from __future__ import annotations

import itertools
import re
import tomllib
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.making.donors import ROOTED, STRETCH_KINDS, Datum, Donor, Stretch
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import DEFAULT_SLEEVE_STEEL, DEFAULT_STEEL, STEELS, Steel, steel_named
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from kinematics.parts import Measured, Section
from kinematics.sure.tape import Tape, TapeError
from kinematics.sure.trial import TrialMeasurement
from scenes.errors import SceneError
from scenes.library import example, example_text
from scenes.making import Making
from scenes.model import Scene
from scenes.reading import parse_scene
from scenes.records import GIVEN_STEEL
from scenes.writing import scene_text

TEXT = example_text("van-front-making")
SCENE = parse_scene(TEXT)
MAKING = SCENE.left_making
PLAIN = example_text("van-front")
LEAST_DONOR = """
[shafts.left.donors.hub]
usable_to = 200
datum = { name = "groove", at = 50 }
[[shafts.left.donors.hub.stretch]]
name = "bar"
from = 20
to = 220
diameter = 25
"""


def problems(text: str) -> list[str]:
    """What is wrong with a scene's text, a line each."""
    with pytest.raises(SceneError) as caught:
        parse_scene(text)
    lines = [str(problem) for problem in caught.value.problems]
    assert all("\n" not in line for line in lines)
    return lines


def changed(old: str, new: str, text: str = TEXT) -> str:
    assert text.count(old) >= 1
    return text.replace(old, new, 1)


def test_the_tables_say_what_they_mean() -> None:
    hub, gearbox, splice = MAKING.hub_donor, MAKING.gearbox_donor, MAKING.splice
    assert hub is not None
    assert gearbox is not None
    assert splice is not None
    assert (hub.usable_to, hub.cut_twice, hub.joint_comes_off) == (250.0, False, True)
    assert hub.steel is steel_named("C45 quenched and tempered")
    assert hub.datum == Datum("boot groove, edge at the joint", 88.0)
    assert hub.stretches[0] == Stretch("spline", 18, 42, 26, "spline", 24.4, 1.5)
    assert hub.stretches[3] == Stretch("bar", 94, 290, 25)
    assert gearbox.cut_twice
    assert splice.butt == Butt(bevel_angle=30, spigot_length=28, bore=12)
    assert splice.sleeve == Sleeve(length=90, bore=25.05, outside_diameter=36, leg=5)
    assert splice.sleeve.steel is DEFAULT_SLEEVE_STEEL
    assert (splice.root_gap, splice.shrinkage, splice.trim) == (2.0, 0.6, 3.0)
    assert MAKING.finished_length == 391.4
    assert MAKING.runout == (Runout(120, 0.06, 40), Runout(262, 0.07, 65))
    assert MAKING.trial[0] == TrialMeasurement(-60, 391.7, error=0.5)
    assert MAKING.doubtful == ("shafts.left.inner_joint.mid_stroke",)
    assert SCENE.drive == Drive(60, 1.5, 3.8, 290, 270, 110)
    assert SCENE.tape == Tape(
        0.7,
        (
            TapeError("shafts.left.inner_joint.mid_stroke", (1, 1, 2)),
            TapeError("linkage.strut_top", (1.5,)),
        ),
    )


def test_a_scene_without_the_tables_has_nothing_of_them() -> None:
    plain = example("van-front")
    assert plain.left_making == plain.right_making == Making()
    assert plain.drive is None
    assert plain.tape is None
    raw = tomllib.loads(scene_text(plain))
    assert {"drive", "tape"}.isdisjoint(raw)
    assert set(raw["shafts"]["left"]) == {"length", "inner_joint", "outer_joint", "section"}


def test_each_side_has_its_own() -> None:
    both = parse_scene(PLAIN + LEAST_DONOR + LEAST_DONOR.replace(".left.", ".right."))
    assert both.making("left") == both.making("right") != Making()
    assert parse_scene(PLAIN + LEAST_DONOR).making("right") == Making()


def test_the_sleeve_is_a_piece_of_the_outline_once() -> None:
    assert SCENE.left is not None
    sleeve = Section("sleeve", 145, 235, (36, 36))
    assert SCENE.corner("left").shaft.sections == (*SCENE.left.sections, sleeve)
    own = replace(
        SCENE.left, sections=(*SCENE.left.sections, Section("sleeve", 140, 240, (40, 40)))
    )
    drawn = replace(SCENE, left=own)
    assert drawn.corner("left").shaft.sections == own.sections
    assert MAKING.sleeve_on(own) is None
    assert Making().outlined(own) == own.sections


def test_what_is_left_out_has_its_default() -> None:
    donor = parse_scene(PLAIN + LEAST_DONOR).left_making.hub_donor
    least = Donor(200, Datum("groove", 50), (Stretch("bar", 20, 220, 25),))
    assert donor == replace(least, cut_twice=False)
    assert (least.joint_comes_off, least.steel) == (True, DEFAULT_STEEL)


def test_only_the_gearbox_donor_is_taken_for_one_that_can_be_cut_twice() -> None:
    text = PLAIN + LEAST_DONOR + LEAST_DONOR.replace(".hub", ".gearbox")
    making = parse_scene(text).left_making
    assert making.hub_donor is not None
    assert making.gearbox_donor is not None
    assert (making.hub_donor.cut_twice, making.gearbox_donor.cut_twice) == (False, True)
    other = with_donors(making, hub=True, gearbox=False)
    written = scene_text(other, text)
    assert parse_scene(written) == other
    donors = tomllib.loads(written)["shafts"]["left"]["donors"]
    assert (donors["hub"]["cut_twice"], donors["gearbox"]["cut_twice"]) == (True, False)
    again = tomllib.loads(scene_text(parse_scene(text)))["shafts"]["left"]["donors"]
    assert "cut_twice" not in again["hub"] | again["gearbox"]


def with_donors(making: Making, **cut_twice: bool) -> Scene:
    assert making.hub_donor is not None
    assert making.gearbox_donor is not None
    made = replace(
        making,
        hub_donor=replace(making.hub_donor, cut_twice=cut_twice["hub"]),
        gearbox_donor=replace(making.gearbox_donor, cut_twice=cut_twice["gearbox"]),
    )
    return replace(parse_scene(PLAIN), left_making=made)


# Steels.


def test_a_steel_of_ones_own() -> None:
    own = 'steel = { name = "as its paper says", yield_strength = 512.5, largest = 30 }\n'
    text = changed('steel = "C45 quenched and tempered"\n', own)
    donor = parse_scene(text).left_making.hub_donor
    assert donor is not None
    assert donor.steel == Steel("as its paper says", 512.5, GIVEN_STEEL, 30)
    assert parse_scene(scene_text(parse_scene(text))) == parse_scene(text)


@pytest.mark.parametrize("steel", STEELS, ids=lambda steel: steel.name)
def test_every_steel_is_found_by_its_name(steel: Steel) -> None:
    text = changed("C45 quenched and tempered", steel.name.upper())
    donor = parse_scene(text).left_making.hub_donor
    assert donor is not None
    assert donor.steel is steel
    assert parse_scene(scene_text(parse_scene(text))) == parse_scene(text)


@pytest.mark.parametrize(
    ("value", "key", "words"),
    [
        ('"unobtainium"', "steel", "expected one of C45 normalised, "),
        ("400", "steel", "expected a steel's name, or { name = …, yield_strength = "),
        ('{ name = "own" }', "steel.yield_strength", "missing; expected a number, MPa"),
        ('{ name = "own", yield_strength = -4 }', "steel.yield_strength", "expected MPa above 0"),
        ('{ name = "own", yield_strength = 4, colour = 1 }', "steel.colour", "unknown key"),
    ],
)  # fmt: skip
def test_a_steel_that_is_none(value: str, key: str, words: str) -> None:
    (line,) = problems(changed('"C45 quenched and tempered"', value))
    assert line.startswith(f"shafts.left.donors.hub.{key}: {words}")


# Refusals: one line each, with its key and what is expected.

REFUSED = [
    ("usable_to = 250 ", "usable_to = 900 ", "donors.hub.usable_to", "the stretches, got 900"),
    ("usable_to = 250 ", 'usable_to = "far" ', "donors.hub.usable_to", "expected a number, mm"),
    ("cut_twice = false", "cut_twice = 0", "donors.hub.cut_twice", "expected true or false, got 0"),
    ('"boot groove, edge at the joint", at = 88', '"groove", at = 260', "donors.hub.datum",
     "nearer to the joint than usable_to"),
    ('datum = { name = "end of the spline", at = 38 }\n', "", "donors.gearbox.datum",
     "missing; expected a table [shafts.left.donors.gearbox.datum]"),
    ('kind = "groove"', 'kind = "slot"', "donors.hub.stretch[2].kind",
     'expected one of "bar", "groove", "spline", "boot", got "slot"'),
    ("root = 24.4", "root = 27", "donors.hub.stretch[0].root", "not above diameter, got 27"),
    ("radius = 3\n", "radius = 0\n", "donors.hub.stretch[1].radius", "a sharp corner has"),
    ("from = 42\n", "from = 43\n", "donors.hub.stretch", "neck to begin where spline ends"),
    ('name = "neck"\n', "", "donors.hub.stretch[1].name", "missing; expected text in quotes"),
    ("at = 190 ", "at = -1 ", "splice.at", "above 0, got -1"),
    ("at = 190 ", "att = 190 ", "splice.at", "missing; expected a number"),
    ("root_gap = 2\n", "root_gap = 28\n", "splice.root_gap", "less than the spigot is long"),
    ("bore = 12 }", "bore = 0 }", "splice.butt.bore", "above 0 with a spigot"),
    ("bevel_angle = 30", "bevel_angle = 90", "splice.butt.bevel_angle", "degrees from square"),
    ("outside_diameter = 36", "outside_diameter = 25", "splice.sleeve.outside_diameter",
     "expected mm, more than bore, got 25"),
    ("tir = 0.06", "tir = -0.06", "runout[0].tir", "largest minus smallest reading"),
    ("high_at = 65", 'high_at = "top"', "runout[1].high_at", "expected a number, degrees round"),
    ("value = 391.7", "value = 0", "trial[0].value", "between joint centres, above 0"),
    ('doubtful = ["shafts', 'doubtful = [3, "shafts', "doubtful", "expected paths of points"),
    ("finished_length = 391.4 ", "finished_length = true ", "finished_length", "expected a number"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "key", "words"), REFUSED, ids=[row[2] for row in REFUSED])
def test_refused_with_its_key(old: str, new: str, key: str, words: str) -> None:
    lines = problems(changed(old, new))
    line = next(line for line in lines if words in line)
    assert line.startswith(f"shafts.left.{key}: ")
    # A key that is misspelt is missing under its right name, too.
    assert len(lines) == 1 or "unknown key" in lines[-1] or "unknown key" in lines[0]


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("engine_torque = 60 ", "engine_torque = 0 ", "drive.engine_torque", "N·m above 0"),
        ("top_speed = 110 ", "top_speed = 110\nsplit = 1 ", "drive.split", "unknown key"),
        ("gear = 1.5 ", "", "drive.gear", "missing; expected a number, ratio of the lowest gear"),
        ("limit = 0.7 ", "limit = -1 ", "tape.limit", "0 or more, got -1"),
        ("size = [1, 1, 2]", "size = [1, 2]", "tape.error[0].size", "or [out, up, fore]"),
        ("size = 1.5", "size = -1.5", "tape.error[1].size", "expected mm each way, 0 or more"),
        ("size = 1.5", 'size = 1.5\nspread = "wide"', "tape.error[1].spread", '"sigma"'),
        ('"linkage.strut_top"', '"shafts.left.inner_joint.mid_stroke"', "tape.error", "once"),
    ],
)  # fmt: skip
def test_drive_and_tape_refused(old: str, new: str, key: str, words: str) -> None:
    text = re.sub(r"\s+#.*", " ", TEXT)
    (line,) = problems(changed(old, new, text))
    assert line.startswith(f"{key}: ")
    assert words in line


@pytest.mark.parametrize(
    ("table", "key"),
    [
        ("[shafts.left.donors.wheel]\nusable_to = 3\n", "shafts.left.donors.wheel"),
        ("[shafts.left.splice]\nat = 190\n", "shafts.left.splice: "),
    ],
)
def test_a_table_that_says_too_much_or_too_little(table: str, key: str) -> None:
    (line,) = problems(PLAIN + table)
    assert line.startswith(f"{key}")
    assert "unknown key" in line or "a butt weld, a sleeve, or both" in line


def test_all_that_is_wrong_is_told_at_once() -> None:
    text = TEXT
    for old, new, *_ in REFUSED[:2] + REFUSED[10:11] + REFUSED[16:17]:
        text = changed(old, new, text) if old in text else text
    assert len(problems(text)) >= 3


# Writing.


def test_untouched_it_stays_letter_by_letter() -> None:
    assert scene_text(SCENE, TEXT) == TEXT


def test_written_afresh_it_reads_the_same() -> None:
    assert parse_scene(scene_text(SCENE)) == SCENE


def with_making(**changes: object) -> Scene:
    return replace(SCENE, left_making=replace(MAKING, **changes))  # type: ignore[arg-type]


def with_splice(**changes: object) -> Scene:
    assert MAKING.splice is not None
    return with_making(splice=replace(MAKING.splice, **changes))  # type: ignore[arg-type]


def hub(**changes: object) -> Scene:
    assert MAKING.hub_donor is not None
    return with_making(hub_donor=replace(MAKING.hub_donor, **changes))  # type: ignore[arg-type]


EDITS: dict[str, Callable[[], Scene]] = {
    "usable to": lambda: hub(usable_to=240.5),
    "second try": lambda: hub(cut_twice=True),
    "plain steel": lambda: hub(steel=DEFAULT_STEEL),
    "own steel": lambda: hub(steel=Steel("own", 400.0, GIVEN_STEEL)),
    "datum": lambda: hub(datum=Datum("joint's face", -12.0)),
    "a stretch less": lambda: hub(stretches=MAKING.hub_donor.stretches[:-1], usable_to=90.0),  # type: ignore[union-attr]
    "no hub donor": lambda: with_making(hub_donor=None),
    "no donors": lambda: with_making(hub_donor=None, gearbox_donor=None),
    "no splice": lambda: with_making(splice=None),
    "no butt": lambda: with_splice(butt=None),
    "no sleeve": lambda: with_splice(sleeve=None),
    "a butt as it comes": lambda: with_splice(butt=Butt(), sleeve=None),
    "a tape as it comes": lambda: replace(SCENE, tape=Tape()),
    "splice moved": lambda: with_splice(at=188.25, diameter=24.0),
    "a reading more": lambda: with_making(runout=(*MAKING.runout, Runout(300.0, 0.02))),
    "no readings": lambda: with_making(runout=()),
    "no finished length": lambda: with_making(finished_length=None),
    "another finished length": lambda: with_making(finished_length=390.9),
    "nothing doubtful": lambda: with_making(doubtful=()),
    "a plunge": lambda: with_making(
        trial=(*MAKING.trial, TrialMeasurement(10.0, -2.0, "plunge", 0.3, 0.5, "sigma", 5.0))
    ),
    "no trial": lambda: with_making(trial=()),
    "nothing made": lambda: replace(SCENE, left_making=Making()),
    "no drive": lambda: replace(SCENE, drive=None),
    "more grip": lambda: replace(SCENE, drive=replace(SCENE.drive, grip=1.2)),  # type: ignore[type-var]
    "no tape": lambda: replace(SCENE, tape=None),
    "a plain tape": lambda: replace(SCENE, tape=Tape(1.0)),
}


@pytest.mark.parametrize("name", EDITS)
def test_every_edit_is_saved_into_the_users_file(name: str) -> None:
    scene = EDITS[name]()
    text = scene_text(scene, TEXT)
    assert parse_scene(text) == scene
    assert parse_scene(scene_text(scene)) == scene
    # And back again.
    assert parse_scene(scene_text(SCENE, text)) == SCENE


@pytest.mark.parametrize("name", ["usable to", "splice moved", "another finished length"])
def test_comments_stay_beside_what_is_saved(name: str) -> None:
    text = scene_text(EDITS[name](), TEXT)
    comments = re.findall(r"#.*", TEXT)
    assert [comment for comment in comments if comment not in text] == []


def test_added_to_a_scene_that_had_none_the_rest_stays() -> None:
    plain = parse_scene(PLAIN)
    text = scene_text(replace(plain, left_making=MAKING, drive=SCENE.drive, tape=SCENE.tape), PLAIN)
    read = parse_scene(text)
    assert read.left_making == MAKING
    assert (read.drive, read.tape) == (SCENE.drive, SCENE.tape)
    assert replace(read, left_making=Making(), drive=None, tape=None) == plain
    for comment in re.findall(r"#.*", PLAIN):
        assert comment in text


def test_numbers_are_written_as_a_person_would() -> None:
    raw = tomllib.loads(scene_text(SCENE))
    left = raw["shafts"]["left"]
    assert left["donors"]["hub"]["usable_to"] == 250
    assert isinstance(left["donors"]["hub"]["usable_to"], int)
    assert left["splice"]["sleeve"] == {
        "length": 90, "bore": 25.05, "outside_diameter": 36, "leg": 5,
    }  # fmt: skip
    assert "cut_twice" not in left["donors"]["gearbox"]
    assert raw["tape"]["error"][1]["size"] == 1.5


# Measured positions.

MEASURED = """
[linkage]
kind = "measured"
[[linkage.position]]
travel = -60
outer_joint = [648.5, 234.25, 1]
wheel_centre = [712, 232]
[[linkage.position]]
travel = 20
outer_joint = [651.5, 313]
wheel_centre = [715.5, 312]
[[linkage.position]]
travel = 60
outer_joint = [649.5, 351.5]
wheel_centre = [713.5, 352]
"""


def measured_text() -> str:
    text = re.sub(r"\[linkage\].*?(?=\n\[hub\])", MEASURED, PLAIN, flags=re.DOTALL)
    return text.replace("bump = 70", "bump = 60").replace("droop = 80", "droop = 60")


def test_measured_positions_are_a_linkage() -> None:
    scene = parse_scene(measured_text())
    assert isinstance(scene.linkage, Measured)
    assert [one.travel for one in scene.linkage.positions] == [-60, 20, 60]
    assert scene.linkage.positions[0].outer_joint == (648.5, 234.25, 1.0)
    assert parse_scene(scene_text(scene)) == scene
    assert scene_text(scene, measured_text()) == measured_text()
    bare = re.sub(r"wheel_centre = \[71.*\n", "", MEASURED)
    text = measured_text().replace(MEASURED, bare)
    without = parse_scene(text)
    assert isinstance(without.linkage, Measured)
    assert without.linkage.positions[0].wheel_centre is None
    assert parse_scene(scene_text(without)) == without


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("travel = 60", 'travel = "up"', "linkage.position[2].travel"),
        ("outer_joint = [649.5, 351.5]", "outer_joint = 3", "linkage.position[2].outer_joint"),
        ("wheel_centre = [713.5, 352]", "wheel_centre = []", "linkage.position[2].wheel_centre"),
        ("wheel_centre = [713.5, 352]", "height = 3", "linkage.position[2].height"),
        ("travel = 60", "travel = 0", "linkage.position"),
    ],
)
def test_measured_positions_refused(old: str, new: str, key: str) -> None:
    lines = problems(changed(old, new, measured_text()))
    assert any(line.startswith(f"{key}: ") for line in lines)


def test_a_strut_tube_needs_a_strut() -> None:
    text = measured_text() + "\n[strut_tube]\ndiameter = 54\nfrom = 30\nto = 330\n"
    (line,) = problems(text)
    assert line.startswith("strut_tube: expected only where the linkage is a strut")


# Any making at all.

LENGTHS = st.floats(0.5, 400.0).map(lambda value: round(value, 3))
WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=12)


@st.composite
def donors(draw: st.DrawFn) -> Donor:
    places = sorted(draw(st.lists(LENGTHS, min_size=2, max_size=5, unique=True)))
    stretches = tuple(
        Stretch(
            draw(WORDS),
            a,
            b,
            draw(st.floats(10, 50)),
            kind,
            draw(st.floats(5, 10) if kind in ROOTED else st.none() | st.floats(5, 10)),
            draw(st.floats(0.1, 5)),
        )
        for kind in [draw(st.sampled_from(STRETCH_KINDS))]
        for a, b in itertools.pairwise(places)
    )
    steel = draw(st.sampled_from([*STEELS, Steel("own", 333.25, GIVEN_STEEL, 20.0)]))
    return Donor(
        places[-1],
        Datum(draw(WORDS), draw(st.floats(-50, places[0] - 0.1))),
        stretches,
        draw(st.booleans()),
        draw(st.booleans()),
        steel,
    )


@st.composite
def splices(draw: st.DrawFn) -> Splice:
    spigot = draw(st.sampled_from([(0.0, 0.0), (20.0, 12.5)]))
    butt = Butt(draw(st.floats(0, 79)), draw(st.none() | st.floats(0.5, 9)), *spigot)
    sleeve = Sleeve(
        draw(LENGTHS),
        25.05,
        draw(st.floats(26, 60)),
        draw(st.none() | LENGTHS),
        split=draw(st.booleans()),
        steel=draw(st.sampled_from(STEELS)),
    )
    one, other = draw(st.sampled_from([(butt, None), (None, sleeve), (butt, sleeve)]))
    return Splice(draw(LENGTHS), one, other, root_gap=draw(st.floats(0, 5)))


@given(
    st.none() | donors(),
    st.none() | donors(),
    st.none() | splices(),
    st.lists(st.builds(Runout, LENGTHS, st.floats(0, 2), st.none() | st.floats(-360, 360))),
    st.none() | LENGTHS,
)
def test_any_making_is_read_as_it_was_written(
    hub_donor: Donor | None,
    gearbox_donor: Donor | None,
    splice: Splice | None,
    runout: list[Runout],
    finished: float | None,
) -> None:
    making = Making(hub_donor, gearbox_donor, splice, tuple(runout), finished)
    scene = replace(SCENE, left_making=making)
    assert parse_scene(scene_text(scene)) == scene
    assert parse_scene(scene_text(scene, TEXT)) == scene
