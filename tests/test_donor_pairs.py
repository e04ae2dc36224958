"""Several donors of one end: read, chosen, saved, and ranked in pairs."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.ranking import ranked_pairs
from kinematics.making.splice import Butt, Splice
from kinematics.making.steels import steel_named
from scenes.errors import SceneError
from scenes.library import example_text
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.__main__ import main
from sketcher.words.donor_pairs import cost_lines
from sketcher.words.lengths import Lengths

WHOLE = example_text("van-front-making")
TEXT = WHOLE[: WHOLE.index("[tape]")]
SECOND = """
[[shafts.left.donors.hub]]
name = "the thick one"
usable_to = 260
cut_twice = true
joint_comes_off = false
steel = "42CrMo4 quenched and tempered"
datum = { name = "shoulder", at = 40 }
[[shafts.left.donors.hub.stretch]]
name = "bar"
from = 40
to = 270
diameter = 30
"""


def listed(use: str = "") -> str:
    """The example with two hub donors."""
    start = TEXT.index("[shafts.left.donors.hub]")
    end = TEXT.index("[shafts.left.donors.gearbox]")
    first = TEXT[start:end].replace(
        "[shafts.left.donors.hub]", '[[shafts.left.donors.hub]]\nname = "the rusty one"'
    )
    table = f"[shafts.left.donors]\nuse = {use}\n" if use else ""
    return TEXT[:start] + table + first + SECOND + TEXT[end:]


def test_the_first_is_used_where_nothing_is_said() -> None:
    making = parse_scene(listed()).left_making
    assert [donor.name for donor in making.donors("hub")] == ["the rusty one", "the thick one"]
    assert making.hub_donor is making.donors("hub")[0]
    plain = parse_scene(TEXT).left_making
    assert making.hub_donor is not None
    assert replace(making.hub_donor, name="") == plain.hub_donor
    assert len(plain.donors("hub")) == len(plain.donors("gearbox")) == 1


def test_the_one_that_is_named_is_used() -> None:
    making = parse_scene(listed('["the thick one", ""]')).left_making
    assert making.hub_donor is not None
    assert making.hub_donor.name == "the thick one"
    assert making.hub_donor.usable_to == 260


@pytest.mark.parametrize("use", ["", '["the thick one", ""]', '["the rusty one", ""]'])
def test_a_list_is_saved_as_a_list(use: str) -> None:
    text = listed(use)
    scene = parse_scene(text)
    assert scene_text(scene, text) == text
    assert parse_scene(scene_text(scene)) == scene
    donor = scene.left_making.hub_donor
    assert donor is not None
    edited = replace(
        scene, left_making=replace(scene.left_making, hub_donor=replace(donor, usable_to=251.0))
    )
    saved = scene_text(edited, text)
    assert parse_scene(saved) == edited
    assert "# from the outer joint's centre" in saved
    assert saved.count("[[shafts.left.donors.hub]]") == 2


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ('name = "the thick one"\n', "", "shafts.left.donors.hub[1].name: missing; expected"),
        (
            '"the thick one"',
            '"the rusty one"',
            "shafts.left.donors.hub[1].name: expected a name of its own",
        ),
        ("to = 270", "to = 30", "shafts.left.donors.hub[1].stretch[0].to: expected mm"),
    ],
)
def test_a_list_that_is_wrong_names_the_donor(old: str, new: str, line: str) -> None:
    text = listed()
    assert text.count(old) == 1
    with pytest.raises(SceneError) as caught:
        parse_scene(text.replace(old, new))
    # One mistake, one line.
    assert [str(problem).startswith(line) for problem in caught.value.problems] == [True]


@pytest.mark.parametrize(
    ("use", "words"),
    [
        ('["a better one", ""]', "use: expected a hub donor that is listed"),
        ('["the rusty one"]', 'use: expected ["hub donor\'s name", '),
        ('"the rusty one"', 'use: expected ["hub donor\'s name", '),
    ],
)
def test_a_choice_of_none_is_refused(use: str, words: str) -> None:
    with pytest.raises(SceneError, match=r"shafts\.left\.donors\.use") as caught:
        parse_scene(listed(use))
    assert words in str(caught.value)
    assert len(caught.value.problems) == 1


def bar(name: str, diameter: float = 25.0, to: float = 280.0, *, comes_off: bool = True) -> Donor:
    """A plain bar."""
    stretches = (Stretch("bar", 20, to, diameter),)
    return Donor(to, Datum("mark", 10), stretches, joint_comes_off=comes_off, name=name)


def names(hubs: list[Donor], torque_nm: float | None = 200.0) -> list[str]:
    """The hub donors in the order of their pairs with one gearbox donor."""
    splice = Splice(at=190, butt=Butt(), root_gap=2)
    pairs = ranked_pairs(hubs, [bar("only")], splice, 380.0, torque_nm=torque_nm)
    return [pair.hub.name for pair in pairs]


def test_pairs_stand_by_what_they_can_do_and_cost() -> None:
    short, thin = bar("short", to=150), bar("thin", 15.0)
    plain, long, thick = bar("plain"), bar("long", to=300), bar("thick", 30.0)
    on = bar("joint stays", comes_off=False)
    assert names([short, thin, on, thick, plain]) == [
        "plain", "thick", "joint stays", "thin", "short",
    ]  # fmt: skip
    strong = replace(bar("strong"), steel=steel_named("S355J2"))
    # The gearbox bar is the weakest place of all three, so that what is left over decides.
    assert names([strong, plain, long], None)[0] in ("strong", "plain")
    assert names([plain, replace(plain, name="twin")]) == ["plain", "twin"]
    # Of what is alike in all else the stronger comes first.
    groove = (Stretch("groove", 20, 24, 25.0, "groove", root=22), Stretch("bar", 24, 280, 25.0))
    assert names([replace(plain, name="grooved", stretches=groove), plain]) == ["plain", "grooved"]


def test_what_a_pair_costs() -> None:
    splice = Splice(at=190, butt=Butt(), root_gap=2)
    (pair,) = ranked_pairs([bar("thick", 30.0)], [bar("b")], splice, 380.0, torque_nm=200.0)
    assert pair.possible
    assert pair.holds
    assert pair.plan is not None
    assert pair.plan.diameter_mm == 25.0
    turned = pair.plan.hub.turned_from_mm
    assert turned is not None
    length = pair.plan.hub.first_cut_mm - turned
    assert pair.turned_off_cm3 == pytest.approx(3.14159 / 4 * (30**2 - 25**2) * length * 1e-3, 1e-4)
    assert pair.turned_off_of_cm3("hub") == pair.turned_off_cm3
    assert pair.turned_off_of_cm3("gearbox") == 0.0
    told = next(line for line in cost_lines(pair, Lengths("in")) if "turn " in line)
    assert f"{math.ceil(100 * pair.turned_off_cm3 / 2.54**3) / 100:.2f} in³" in told
    # Gere, Mechanics of Materials, torsion of a solid round bar: T = π d³ τ/16 (from memory).
    assert pair.given_away("hub") == pytest.approx(
        1 - (math.pi * 25**3 / 16) / (math.pi * 30**3 / 16)
    )
    assert pair.given_away("gearbox") == 0.0
    assert pair.left_over_mm == pytest.approx(280 - 189 - 3.0, abs=0.51)
    hard = replace(bar("hard"), steel=steel_named("42CrMo4 quenched and tempered"))
    (unknown,) = ranked_pairs([hard], [bar("b")], splice, 380.0, torque_nm=200.0)
    assert unknown.possible
    assert not unknown.holds
    (beyond,) = ranked_pairs([hard], [bar("b")], replace(splice, at=500), 380.0)
    assert not beyond.possible
    assert "between the joint centres" in beyond.problem


def test_the_command_ranks_and_explains(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.toml"
    split = listed('["the thick one", ""]').replace("leg = 5 }", "leg = 5, split = true }")
    path.write_text(split, encoding="utf-8")
    # The pair in use is not sure enough, however good another one is.
    assert main(["donors", str(path)]) == 1
    page = " ".join(capsys.readouterr().out.split())
    assert page.index('"the rusty one" with the gearbox donor: can be made') < page.index(
        '"the thick one" with the gearbox donor: not sure enough'
    )
    assert "thicker than it needs to be: turn 30 mm down to 25 mm" in page
    assert "gives away 43 % of the torque that the bar carries" in page
    assert 'the joint stays on "the thick one"' in page
    assert main(["donors", str(path), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)["sides"]["left"]
    assert main(["cuts", str(path), "--json"]) == 1
    # One verdict, that of the pair in use.
    assert told["verdict"] == json.loads(capsys.readouterr().out)["sides"]["left"]["verdict"]
    assert told["verdict"]["state"] == "not sure enough"
    pairs = told["pairs"]
    assert [(one["hub"], one["possible"], one["holds"]) for one in pairs] == [
        ("the rusty one", True, True), ("the thick one", True, False),
    ]  # fmt: skip
    short = listed().replace("usable_to = 250 ", "usable_to = 180 ")
    path.write_text(short, encoding="utf-8")
    assert main(["donors", str(path), "--units", "in"]) == 1
    page = " ".join(capsys.readouterr().out.split())
    assert "cannot be made so the hub donor is too short by" in page
