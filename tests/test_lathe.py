"""What a donor asks of a lathe: lengths, swings, joints that stay on, and what else would do."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from kinematics.errors import InvalidInput
from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.lathe import Lathe
from kinematics.making.lathe_work import LatheWork, lathe_works
from kinematics.making.planning import plan_cuts
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.parts import Section
from scenes.errors import SceneError
from scenes.library import example_text
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.__main__ import main

HUB = Donor(
    280,
    Datum("mark", 40),
    (Stretch("spline", 20, 40, 28, "spline", 26), Stretch("bar", 40, 280, 25)),
)
GEARBOX = Donor(
    280, Datum("mark", 40), (Stretch("collar", 15, 40, 34), Stretch("bar", 40, 280, 26))
)
SPIGOT = Splice(at=190, butt=Butt(spigot_length=20, bore=12))
# Both from the joint's centre: a bell of 90 that goes 60 beyond it, a pot of 100, 70 beyond.
BELL = (Section("bell", -20, 60, (90, 80)),)
POT = (Section("pot", -70, 25, (95, 100)),)


def plan(*, hub_off: bool = True, gearbox_off: bool = True, splice: Splice = SPIGOT) -> CutPlan:
    return plan_cuts(
        replace(HUB, joint_comes_off=hub_off, cut_twice=False),
        replace(GEARBOX, joint_comes_off=gearbox_off),
        splice,
        380.0,
    )


def works(cuts: CutPlan, lathe: Lathe | None = None) -> dict[str, LatheWork]:
    return {one.end: one for one in lathe_works(cuts, lathe, BELL, POT)}


def test_a_joint_that_is_off_leaves_its_bar() -> None:
    cuts = plan()
    found = works(cuts)
    assert list(found) == ["hub", "gearbox"]
    assert found["hub"].works == ("bore", "bevel")
    assert found["gearbox"].works == ("turn down", "trim", "turn the spigot", "bevel")
    assert found["hub"].between_centres_mm == pytest.approx(cuts.hub.first_cut_mm - 20)
    assert found["gearbox"].between_centres_mm == pytest.approx(cuts.gearbox.first_cut_mm - 15)
    assert (found["hub"].over_bed_mm, found["hub"].over_carriage_mm) == (28, 25)
    assert (found["gearbox"].over_bed_mm, found["gearbox"].over_carriage_mm) == (34, 26)
    assert not any(one.joint_on for one in found.values())
    assert all(one.fits and one.joint_known for one in found.values())


def test_a_joint_that_stays_on_turns_too() -> None:
    cuts = plan(hub_off=False, gearbox_off=False)
    found = works(cuts)
    assert found["hub"].between_centres_mm == pytest.approx(cuts.hub.first_cut_mm + 60)
    assert found["gearbox"].between_centres_mm == pytest.approx(cuts.gearbox.first_cut_mm + 70)
    assert (found["hub"].over_bed_mm, found["gearbox"].over_bed_mm) == (90, 100)
    assert (found["hub"].over_carriage_mm, found["gearbox"].over_carriage_mm) == (25, 26)
    assert all(one.joint_on and one.joint_known for one in found.values())
    untold = lathe_works(cuts)
    assert not any(one.joint_known for one in untold)


@pytest.mark.parametrize(
    ("name", "needed"), [("between_centres", 169.0), ("swing", 28.0), ("swing_over_carriage", 25.0)]
)
def test_a_lathe_takes_what_it_has_room_for(name: str, needed: float) -> None:
    # The hub piece is sawn at 189.5 or less; its face is the plan's.
    cuts = plan()
    needed = works(cuts)["hub"].between_centres_mm if name == "between_centres" else needed
    assert works(cuts, Lathe(**{name: needed}))["hub"].fits
    tight = works(cuts, Lathe(**{name: needed - 0.01}))["hub"]
    assert not tight.fits
    (one,) = tight.too_large
    assert (one.needed_mm, one.there_mm) == (needed, needed - 0.01)
    assert one.dimension.startswith(name.split("_", maxsplit=1)[0])


def test_what_else_would_do() -> None:
    short = Lathe(between_centres=100, spindle_bore=28)
    assert works(plan(), short)["hub"].remedies == ("through the spindle", "saw and file")
    assert works(plan(), short)["gearbox"].remedies == ("turn the other donor", "saw and file")
    narrow = Lathe(between_centres=100, spindle_bore=27.9)
    assert works(plan(), narrow)["hub"].remedies == ("saw and file",)
    small = Lathe(swing=80, spindle_bore=200)
    on = works(plan(hub_off=False, gearbox_off=False), small)["hub"]
    assert on.remedies == ("take the joint off", "saw and file")
    # A joint of unknown size goes through no spindle.
    unknown = lathe_works(plan(hub_off=False), Lathe(between_centres=100, spindle_bore=40))[0]
    assert (unknown.end, unknown.remedies) == ("hub", on.remedies)
    assert works(plan(), Lathe(between_centres=900, swing=100))["hub"].remedies == ()


def test_a_donor_with_nothing_to_turn_needs_no_lathe() -> None:
    sleeve = Splice(at=190, sleeve=Sleeve(90, 25.05, 36, split=True), diameter=25)
    assert list(works(plan(splice=sleeve))) == ["gearbox"]


@pytest.mark.parametrize(
    "name", ["between_centres", "swing", "swing_over_carriage", "spindle_bore"]
)
def test_a_lathe_of_nothing_is_refused(name: str) -> None:
    with pytest.raises(InvalidInput, match=f"^{name}: expected mm above 0"):
        Lathe(**{name: 0.0})


WHOLE = example_text("van-front-making")
TEXT = WHOLE[: WHOLE.index("[tape]")]


def test_the_scene_tells_of_a_lathe() -> None:
    scene = parse_scene(TEXT)
    assert scene.lathe == Lathe(300, 180, 100, 20)
    assert parse_scene(scene_text(scene)) == scene
    changed = replace(scene, lathe=replace(scene.lathe, swing=150.0))
    assert parse_scene(scene_text(changed, TEXT)) == changed
    with pytest.raises(SceneError, match=r"lathe\.swing: expected mm above 0, got -1"):
        parse_scene(TEXT.replace("swing = 180", "swing = -1"))
    with pytest.raises(SceneError, match=r"lathe\.bed: unknown key"):
        parse_scene(TEXT.replace("swing = 180", "bed = 1"))


def test_cuts_tells_how_each_donor_is_held(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def page(text: str, *words: str) -> str:
        path = tmp_path / "own.toml"
        path.write_text(text, encoding="utf-8")
        main(["cuts", str(path), *words])
        return " ".join(capsys.readouterr().out.split())

    usual = page(TEXT)
    # A drill goes in where the tailstock's centre would stand.
    assert "lathe, hub bore, bevel: its joint's end in the chuck, the cut end in a steady" in usual
    assert "turn the spigot, bevel: its joint's end in the chuck, the cut end on the tail" in usual
    assert "the lathe takes it, as far as the scene tells of it" in usual
    stays = page(TEXT.replace("joint_comes_off = true", "joint_comes_off = false"))
    assert "lock the joint straight so that it cannot swing, and wrap it against swarf" in stays
    short = page(TEXT.replace("between_centres = 300", "between_centres = 150"))
    assert "the lathe does not take it: between centres 171.5 mm is needed, it has 150.0" in short
    assert "file the bevel by hand, with a sleeve in place of a spigot lathe, gearbox" in short
    assert "leave the bar as thick as it is, and have the sleeve bored to it FIXTURE" in short
    assert "what else would do: let the hub piece carry the spigot, and this one its bore" in short
    told = json.loads(_raw(tmp_path, capsys))["sides"]["left"]["lathe"]
    assert [(one["end"], one["fits"]) for one in told] == [("hub", True), ("gearbox", True)]


def _raw(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = tmp_path / "own.toml"
    path.write_text(TEXT, encoding="utf-8")
    main(["cuts", str(path), "--json"])
    return capsys.readouterr().out
