"""Making in the window, without a screen: edits, fields, rows with their results, the answer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.making.donors import Donor
from kinematics.making.planning import plan_cuts
from kinematics.making.steels import STEELS, Steel, steel_named
from scenes.guessed import guessed_values, without_guesses
from scenes.keys import EditRefused, value_of, with_value
from scenes.library import example, example_names
from scenes.making import Making, Others
from scenes.model import Scene
from scenes.reading import parse_scene
from scenes.records import GIVEN_STEEL
from scenes.writing import scene_text
from sketcher.answers.making import measured_making
from sketcher.answers.making_work import loaded, made, planned
from sketcher.window.model import edits, making_edits
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.field_texts import FieldError
from sketcher.window.model.fields import Field, field_of, parse, show
from sketcher.window.steps.commands import COMMANDS
from sketcher.window.steps.judged import making_of, verdict_of
from sketcher.window.steps.making_commands import MAKING_COMMANDS
from sketcher.window.steps.making_step import MAKING_STEP
from sketcher.window.steps.rows import Buttons, FieldRow, Note, Row
from sketcher.window.steps.work_order import WORK_ORDER, step_of
from sketcher.words.cut_steps import NO_SECOND_TRY, WELDING
from sketcher.words.cuts import cut_brief
from sketcher.words.strength import (
    called,
    part_rows,
    strength_summary,
    weak_lines,
    weakest_line,
)
from tests.waiting import wait_until
from tests.windowing import Hands

MADE = example("van-front-making")
HUB = "shafts.left.donors.hub"
PARTS = {
    f"Making/{name}"
    for name in ("Donors", "Splice and sleeve", "Drive", "Cuts and strength", "After welding")
}


pytestmark = pytest.mark.usefixtures("few_draws")


@pytest.fixture
def editor() -> Iterator[Editor]:
    made = Editor(Document(MADE))
    made.open_steps |= PARTS
    yield made
    made.close()


def settled(editor: Editor) -> list[Row]:
    """The rows once everything beside the frames is worked out."""
    rows: list[Row] = []

    def done() -> bool:
        shown = editor.shown(exact=True)
        rows[:] = MAKING_STEP.rows(editor, shown)
        return not editor.worker.pending and verdict_of(editor, shown) is not None

    wait_until(done, lambda: editor.answers.work_on(0.01), pause_seconds=0.05)
    return rows


def notes(editor: Editor) -> list[str]:
    return [row.text for row in settled(editor) if isinstance(row, Note)]


def buttons(editor: Editor) -> list[str]:
    rows = settled(editor)
    return [name for row in rows if isinstance(row, Buttons) for name in row.commands]


def fields(editor: Editor) -> dict[str, Field]:
    rows = settled(editor)
    return {f.key: f for row in rows if isinstance(row, FieldRow) for f in row.fields}


def run(editor: Editor, name: str) -> None:
    COMMANDS[name].run(editor)


def press(editor: Editor, name: str) -> None:
    """What a button of the step does; it must be on show."""
    assert name in buttons(editor)
    run(editor, name)


# The step.


def test_steps_stand_as_the_work_goes() -> None:
    names = [step.name for step in WORK_ORDER]
    assert names == ["Measure", "Length", "Brackets", "Trial fit", "Making"]
    for key in (
        f"{HUB}.usable_to",
        "shafts.left.splice.sleeve",
        "shafts.left.splice.sleeve.length",
        "shafts.right.runout[0].tir",
        "shafts.left.finished_length",
        "drive.gear",
        "lathe.swing",
    ):
        assert step_of(key) == "Making"


def test_notes_say_what_the_mechanics_say(editor: Editor) -> None:
    said = notes(editor)
    solved = editor.shown(exact=True).solved
    assert solved is not None
    plan = planned(MADE, "left", solved.found).plan
    borne = loaded(MADE.left_making, MADE.drive, solved.found.length_mm)
    assert plan is not None
    assert borne.torque is not None
    assert borne.strength is not None
    for end in ("hub", "gearbox"):
        assert any(cut_brief(plan, end) in f"{line[0].lower()}{line[1:]}" for line in said)
    assert any(strength_summary(borne.torque, borne.strength) in line for line in said)
    assert any("0.110 mm total indicator reading" in line for line in said)
    assert any("391.4 mm: inside its window" in line for line in said)
    assert NO_SECOND_TRY in said
    assert WELDING in said
    assert MAKING_STEP.summary(editor, editor.shown()) == "hub donor first"
    assert editor.type(field_of("shafts.left.outer_joint.max_angle"), "8")
    assert MAKING_STEP.summary(editor, editor.shown(exact=True)) == "do not cut"


def test_every_field_shows_a_value_that_it_reads_back(editor: Editor) -> None:
    shown = fields(editor)
    assert len(shown) > 60
    for key, field in shown.items():
        value = value_of(MADE, key)
        text = show(field, MADE, "mm")
        assert (
            parse(field, text, "mm") == pytest.approx(value)
            if isinstance(value, float)
            else parse(field, text, "mm") == value
        )
        assert field.help
        # Set to what it is, the scene is what it was.
        assert edits.set_value(MADE, key, value) == MADE


def test_typed_values_arrive_in_the_scene(editor: Editor) -> None:
    shown = fields(editor)
    typed = {
        f"{HUB}.usable_to": ('9 7/8"', 9.875 * 25.4),
        f"{HUB}.cut_twice": ("Yes", True),
        f"{HUB}.steel": ("sae 1040 cold drawn", steel_named("SAE 1040 cold drawn")),
        f"{HUB}.datum.name": ("shoulder", "shoulder"),
        f"{HUB}.stretch[3].root": ("24", 24.0),
        f"{HUB}.stretch[3].kind": ("Groove", "groove"),
        f"{HUB}.stretch[1].root": ("24.5", 24.5),
        "shafts.left.splice.butt.spigot_on": ("hub", "hub"),
        "shafts.left.splice.butt.bevel_depth": ("5", 5.0),
        "shafts.left.splice.diameter": ("24", 24.0),
        "shafts.left.splice.sleeve.split": ("yes", True),
        "shafts.left.splice.sleeve.at": ("191", 191.0),
        "shafts.left.runout[0].high_at": ("", None),
        "shafts.left.finished_length": ("", None),
        "drive.final_drive": ("4,1", 4.1),
        "drive.tyre_radius": ("275", 275.0),
    }  # fmt: skip
    for key, (text, value) in typed.items():
        assert editor.type(shown[key], text), editor.message
        assert value_of(editor.scene, key) == value
    assert parse_scene(scene_text(editor.scene)) == editor.scene
    for _ in typed:
        editor.undo()
    assert editor.scene == MADE


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        (f"{HUB}.cut_twice", "perhaps", 'expected yes or no, got "perhaps"'),
        (f"{HUB}.steel", "unobtainium", 'or name and yield such as "own bar, 400 MPa"'),
        (f"{HUB}.steel", "own, 0 MPa", "expected MPa above 0"),
        (f"{HUB}.stretch[0].kind", "slot", "expected one of bar, groove, spline, boot"),
        (f"{HUB}.usable_to", "900", "usable to: expected mm from the joint's centre"),
        (f"{HUB}.stretch[1].to", "10", "expected mm from the joint's centre, more than from"),
        ("shafts.left.splice.butt.spigot_on", "both", "expected one of hub, gearbox"),
        ("shafts.left.splice.sleeve.bore", "40", "outside diameter: expected mm, more than bore"),
        ("shafts.left.runout[0].tir", "-1", "largest minus smallest reading"),
        ("drive.gear", "first", 'expected a number such as 3.9, got "first"'),
        ("drive.gear", "0", "gear: expected a ratio above 0"),
    ],
)
def test_what_cannot_be_is_refused_in_a_line(
    editor: Editor, key: str, text: str, words: str
) -> None:
    assert not editor.type(fields(editor)[key], text)
    assert editor.scene is MADE
    assert editor.message is not None
    assert words in editor.message.text


def test_an_own_steel_is_typed_and_shown() -> None:
    field = Field("steel", "steel", "steel")
    own = parse(field, "bar 7, 512.5 MPa", "mm")
    assert own == parse(field, "bar 7, 512,5 MPa", "mm")
    assert own == Steel("bar 7", 512.5, GIVEN_STEEL)
    scene = edits.set_value(MADE, f"{HUB}.steel", own)
    assert show(Field(f"{HUB}.steel", "steel", "steel"), scene, "mm") == "bar 7, 512.5 MPa"
    with pytest.raises(FieldError, match="C45 normalised"):
        parse(field, "", "mm")
    for steel in STEELS:
        assert parse(field, steel.name, "mm") is steel


# Edits.


def test_starting_from_nothing(editor: Editor) -> None:
    editor.put(Document(example("van-front")))
    assert MAKING_STEP.summary(editor, editor.shown()) == "no donors yet"
    assert "start_making" in buttons(editor)
    press(editor, "start_making")
    assert "start_making" not in buttons(editor)
    making = editor.scene.left_making
    assert making.splice is not None
    assert making.hub_donor is not None
    assert not making.hub_donor.cut_twice
    assert making.splice.at == 196.0
    # Nothing is told from placeholders.
    assert making_of(editor, editor.shown(exact=True)).plan is None
    assert any(line.startswith("No saw mark yet") for line in notes(editor))
    measure_everything(editor)
    assert making_of(editor, editor.shown(exact=True)).plan is not None
    assert not any(line.startswith(("Refused", "No saw mark")) for line in notes(editor))
    assert any(
        "No strength: the scene does not tell of the drive" in line for line in notes(editor)
    )
    press(editor, "turn_drive")
    assert any(line.startswith("No factor yet") for line in notes(editor))
    assert making_of(editor, editor.shown(exact=True)).strength is None
    measure_everything(editor)
    assert any(line.startswith("Torque 640 N·m") for line in notes(editor))
    while editor.document.undo_label:
        editor.undo()
    assert editor.scene == example("van-front")


def measure_everything(editor: Editor) -> None:
    """As if a hand had typed every value that was only started."""
    editor.do("measure", lambda scene: without_guesses(scene, guessed_values(scene)))


def test_a_reading_that_is_only_started_judges_nothing(editor: Editor) -> None:
    before = making_of(editor, editor.shown(exact=True))
    press(editor, "add_reading")
    assert any(line.startswith("Judged without") for line in notes(editor))
    scene = editor.scene
    found = editor.shown(exact=True).solved
    assert found is not None
    judged = made(scene, "left", found.found).trueness
    assert judged is not None
    assert before.plan is not None
    assert measured_making(scene, "left").runout == MADE.left_making.runout


@pytest.mark.parametrize("name", example_names())
def test_any_example_can_be_started_and_makes_a_plan(name: str) -> None:
    scene = example(name)
    for side in scene.sides:
        started = making_edits.start_making(scene, side)
        making = started.making(side)
        assert making.hub_donor is not None
        assert making.gearbox_donor is not None
        assert making.splice is not None
        length = making_edits.length_of(scene, side)
        plan = plan_cuts(making.hub_donor, making.gearbox_donor, making.splice, length)
        assert plan.possible
        assert making_edits.start_making(started, side) == started
        assert parse_scene(scene_text(started)) == started


def test_a_side_that_is_half_told(editor: Editor) -> None:
    editor.do("no splice", lambda scene: edits.set_value(scene, "shafts.left.splice", None))
    assert MAKING_STEP.summary(editor, editor.shown()) == "not all there yet"
    press(editor, "start_making")
    assert editor.scene.left_making.hub_donor == MADE.left_making.hub_donor


def test_sleeve_spigot_and_butt_come_and_go(editor: Editor) -> None:
    press(editor, "turn_sleeve")
    assert editor.scene.corner("left").shaft.sections == MADE.left.sections  # type: ignore[union-attr]
    press(editor, "turn_sleeve")
    sleeve = editor.scene.left_making.splice.sleeve  # type: ignore[union-attr]
    assert sleeve is not None
    assert sleeve.bore == pytest.approx(25.05)
    assert any(section.name == "sleeve" for section in editor.scene.corner("left").shaft.sections)
    press(editor, "turn_spigot")
    assert "shafts.left.splice.butt.bore" not in fields(editor)
    press(editor, "turn_spigot")
    assert editor.scene.left_making.splice.bore_mm == 12.0  # type: ignore[union-attr]
    press(editor, "turn_butt")
    assert "turn_spigot" not in buttons(editor)
    # A splice is one or the other at least.
    press(editor, "turn_sleeve")
    assert editor.message is not None
    assert "expected a butt weld, a sleeve, or both" in editor.message.text
    press(editor, "turn_butt")
    assert editor.scene.left_making.splice.butt is not None  # type: ignore[union-attr]


def test_readings_come_and_go(editor: Editor) -> None:
    press(editor, "add_reading")
    assert read_at(editor) == [120.0, 262.0, 140.0]
    for _ in range(3):
        press(editor, "remove_reading")
    assert read_at(editor) == []
    press(editor, "remove_reading")
    press(editor, "add_reading")
    press(editor, "add_reading")
    assert read_at(editor) == [140.0, 240.0]


def read_at(editor: Editor) -> list[float]:
    return [reading.at for reading in editor.scene.left_making.runout]


def test_stretches_come_and_go(editor: Editor) -> None:
    press(editor, "add_hub_stretch")
    hub = editor.scene.left_making.hub_donor
    assert hub is not None
    assert [(one.name, one.from_, one.to) for one in hub.stretches[-2:]] == [
        ("bar", 94.0, 192.0),
        ("bar", 192.0, 290.0),
    ]
    press(editor, "remove_hub_stretch")
    assert editor.scene == MADE
    for _ in range(2):
        press(editor, "remove_gearbox_stretch")
    gearbox = editor.scene.left_making.gearbox_donor
    assert gearbox is not None
    assert [(one.name, one.to) for one in gearbox.stretches] == [("spline", 280.0)]
    press(editor, "remove_gearbox_stretch")
    assert editor.message is not None
    assert "a donor has one stretch or more" in editor.message.text


@given(st.integers(0, 3), st.floats(0.0, 400.0))
def test_stretches_always_meet(index: int, to_mm: float) -> None:
    try:
        scene = edits.set_value(MADE, f"{HUB}.stretch[{index}].to", to_mm)
    except EditRefused:
        return
    donor: Donor = value_of(scene, HUB)
    assert donor.stretches[index].to == to_mm
    for one, following in zip(donor.stretches, donor.stretches[1:], strict=False):
        assert one.to == following.from_
    assert donor.usable_to <= donor.stretches[-1].to


def test_edits_of_what_is_not_there_are_refused() -> None:
    plain = example("van-front")
    for edit in (
        making_edits.turn_sleeve,
        making_edits.turn_butt,
        making_edits.turn_spigot,
        lambda scene, side: making_edits.add_stretch(scene, side, "hub"),
        lambda scene, side: making_edits.remove_stretch(scene, side, "gearbox"),
    ):
        with pytest.raises(EditRefused, match="none yet"):
            edit(plain, "left")
    with pytest.raises(EditRefused, match="no right shaft"):
        making_edits.start_making(MADE, "right")
    bare = edits.set_value(MADE, "shafts.left.splice.butt", None)
    with pytest.raises(EditRefused, match="a spigot needs a butt weld"):
        making_edits.turn_spigot(bare, "left")
    assert making_edits.add_reading(plain, "right").right_making.runout[0].at > 0.0


def test_every_button_is_a_command_with_words(editor: Editor) -> None:
    for command in MAKING_COMMANDS:
        assert COMMANDS[command.name] is command
        # A donor that is not listed has no box.
        assert command.label(editor) or command.name.startswith("use_")
        assert command.help.endswith(".")
    states = {name: COMMANDS[name].on for name in ("turn_sleeve", "turn_drive")}
    assert all(on is not None and on(editor) for on in states.values())
    editor.put(Document(example("van-front")))
    assert not any(on is not None and on(editor) for on in states.values())


# What is broken is told in the step and in the answer.

BROKEN = [
    (f"{HUB}.usable_to", "180", "cut plan refused", "Refused: the hub donor is too short"),
    (f"{HUB}.steel", "C45 normalised", "too weak", '"hub boot groove" is too weak'),
    ("shafts.left.runout[0].tir", "0.4", "welded, not good enough", "not good enough"),
    ("shafts.left.finished_length", "405", "welded, not good enough", "too long"),
    ("shafts.left.splice.at", "500", "cut plan refused", "expected a splice between the joint"),
    ("drive.top_speed", "1300", "too weak", "It would whirl"),
]


@pytest.mark.parametrize(("key", "text", "summary", "words"), BROKEN)
def test_broken_is_told_in_step_and_answer(
    editor: Editor, key: str, text: str, summary: str, words: str
) -> None:
    assert editor.type(fields(editor)[key], text)
    assert any(words in line for line in notes(editor))
    shown = editor.shown(exact=True)
    assert MAKING_STEP.summary(editor, shown) == summary
    states = [row.state for row in settled(editor) if isinstance(row, Note) and words in row.text]
    assert states == ["past"]


def test_warnings_are_close(editor: Editor) -> None:
    assert editor.type(fields(editor)[f"{HUB}.stretch[0].radius"], "0.1")
    mind = [row for row in settled(editor) if isinstance(row, Note) and row.text.startswith("Mind")]
    assert [row.state for row in mind] == ["close"]


def test_readings_that_cannot_be_judged_are_told(editor: Editor) -> None:
    shown = fields(editor)
    assert editor.type(shown["shafts.left.runout[0].at"], "0")
    assert editor.type(shown["shafts.left.runout[1].at"], "391")
    assert any(
        "Not to be judged: runout: expected a reading away" in line for line in notes(editor)
    )


def test_an_answer_that_an_edit_has_overtaken_is_not_shown(editor: Editor) -> None:
    before = settled(editor)
    assert editor.type(fields(editor)["drive.engine_torque"], "10")
    rows = list(MAKING_STEP.rows(editor, editor.shown(exact=True)))
    said = [row.text for row in rows if isinstance(row, Note)]
    assert not any("342 N·m" in line for line in said)
    # It keeps its room, so that nothing jumps.
    assert [type(row) for row in rows] == [type(row) for row in before]
    assert any("57 N·m" in line for line in notes(editor))


def test_the_answer_on_the_screen_says_no() -> None:
    hands = Hands("van-front-making")
    try:
        hands.editor.open_steps = {"Making", *PARTS}
        hands.settle()
        clear = hands.window.surface.copy()
        field = Field(f"{HUB}.usable_to", "usable to")
        assert hands.editor.type(field, "180")
        hands.settle()
        assert hands.window.surface.get_buffer().raw != clear.get_buffer().raw
        made = making_of(hands.editor, hands.editor.shown())
        assert made.plan is not None
        assert not made.plan.possible
    finally:
        hands.editor.close()


def test_a_field_of_the_step_is_typed_into_on_the_screen() -> None:
    hands = Hands("van-front-making", (1280, 1000))
    try:
        hands.editor.open_steps = {"Making", *PARTS}
        hands.settle()
        hands.focus("shafts.left.splice.sleeve.outside_diameter")
        hands.frames(2)
        hands.type("40")
        assert hands.value("shafts.left.splice.sleeve.outside_diameter") == 40.0
    finally:
        hands.editor.close()


def test_the_sleeve_in_the_sketch_is_taken_hold_of_by_its_key() -> None:
    hands = Hands("van-front-making")
    try:
        hands.settle()
        picture = hands.window.canvas.seen["front"].picture
        keys = {getattr(one, "key", "") for one in picture.primitives}
        assert "shafts.left.splice.sleeve" in keys
        hands.editor.select("shafts.left.splice.sleeve")
        assert hands.editor.selection == "shafts.left.splice.sleeve"
    finally:
        hands.editor.close()


def test_a_scene_of_nothing_shows_no_strength() -> None:
    editor = Editor(Document(example("van-rear")))
    try:
        assert editor.scene.making(editor.side) == Making()
        said = notes(editor)
        assert not any(re.search(r"N·m", line) for line in said)
        made: Scene = editor.scene
        assert made == example("van-rear")
    finally:
        editor.close()


def test_a_datum_at_an_edge_follows_its_edge(editor: Editor) -> None:
    def datum() -> float:
        donor = editor.scene.left_making.hub_donor
        assert donor is not None
        return donor.datum.at

    shown = fields(editor)
    assert datum() == 88.0
    assert editor.type(shown[f"{HUB}.stretch[1].to"], "86.5")
    assert datum() == 86.5
    assert editor.type(shown[f"{HUB}.stretch[0].from"], "17")
    assert datum() == 86.5
    assert editor.type(shown[f"{HUB}.datum.at"], "17")
    assert editor.type(shown[f"{HUB}.stretch[0].from"], "16")
    assert datum() == 16.0
    assert editor.type(shown[f"{HUB}.datum.at"], "50")
    assert editor.type(shown[f"{HUB}.stretch[0].to"], "41")
    assert datum() == 50.0


def test_the_lathe_is_told_and_what_it_does_not_take_stands_before_the_cuts(editor: Editor) -> None:
    editor.open_steps |= {"Making/Lathe"}
    if editor.scene.lathe is not None:
        press(editor, "turn_lathe")
    assert "lathe.swing" not in fields(editor)
    press(editor, "turn_lathe")
    assert {"lathe.between_centres", "lathe.swing", "lathe.spindle_bore"} <= set(fields(editor))
    # Nothing is known of it yet.
    assert not any("lathe takes it" in text for text in notes(editor))
    editor.do("lathe", lambda scene: edits.set_value(scene, "lathe.between_centres", 100.0))
    words = [row.text for row in settled(editor) if isinstance(row, Note)]
    beyond = next(i for i, text in enumerate(words) if "the lathe does not take it" in text)
    saw = next(i for i, text in enumerate(words) if "saw the hub donor" in text)
    strength = next(i for i, text in enumerate(words) if text.startswith("Strength:"))
    assert beyond < saw
    assert strength < saw


def test_pairs_of_donors_are_ranked_where_more_than_one_is_listed(editor: Editor) -> None:
    assert not any("Pairs of donors" in getattr(row, "text", "") for row in settled(editor))
    hub = MADE.making("left").hub_donor
    assert hub is not None
    thick = tuple(replace(one, diameter=one.diameter + 3) for one in hub.stretches)
    other = replace(hub, name="thick", stretches=thick)
    making = replace(
        MADE.making("left"), hub_donor=replace(hub, name="thin"), hub_others=Others((other,), 0)
    )
    editor.do("donors", lambda scene: replace(scene, left_making=making))
    rows = settled(editor)
    start = next(i for i, row in enumerate(rows) if "Pairs of donors" in getattr(row, "text", ""))
    words = [row.text for row in rows[start:] if isinstance(row, Note)]
    assert words[0].startswith('1, in use: "thin" with the gearbox donor: can be made')
    assert any(text.startswith('2: "thick" with the gearbox donor') for text in words)
    assert any("The gearbox donor is thicker than it needs to be" in text for text in words)
    assert any("too little bar to slide the whole sleeve" in text for text in words)


def test_the_donor_that_is_cut_is_chosen_where_several_are_listed(editor: Editor) -> None:
    names = {name for row in settled(editor) if isinstance(row, Buttons) for name in row.commands}
    assert not any(name.startswith("use_") for name in names)
    hub = MADE.making("left").hub_donor
    assert hub is not None
    listed = [replace(hub, name=name, usable_to=hub.usable_to - i) for i, name in enumerate("abc")]
    others = Others(tuple(listed[1:]), 0)
    making = replace(MADE.making("left"), hub_donor=listed[0], hub_others=others)
    editor.do("donors", lambda scene: replace(scene, left_making=making))
    boxes = [
        name for row in settled(editor) if isinstance(row, Buttons) for name in row.commands
        if name.startswith("use_")
    ]  # fmt: skip
    assert [COMMANDS[name].label(editor) for name in boxes] == ["a", "b", "c"]
    for place in (2, 1, 0):
        run(editor, boxes[place])
        now = editor.scene.making("left")
        assert now.hub_donor == listed[place]
        assert now.donors("hub") == tuple(listed)
        on = [COMMANDS[name].on for name in boxes]
        assert [one is not None and one(editor) for one in on] == [i == place for i in range(3)]
    assert parse_scene(scene_text(editor.scene)) == editor.scene
    # Each of a list has a name of its own, or the file could not be read again.
    for name in ("", "b"):
        with pytest.raises(EditRefused, match="a name of its own for each donor"):
            with_value(editor.scene, "shafts.left.donors.hub.name", name)


def test_a_donor_that_stands_alone_is_used_as_it_is() -> None:
    assert making_edits.use_donor(MADE, "left", "hub", 0) is MADE
    with pytest.raises(EditRefused, match="there is none at this place"):
        making_edits.use_donor(MADE, "left", "hub", 1)


def test_a_shaft_that_is_heat_treated_after_welding_is_said_to_be_in_the_form(
    editor: Editor,
) -> None:
    key = "shafts.left.splice.heat_treated_after"
    row = next(
        row for row in settled(editor)
        if isinstance(row, FieldRow) and row.fields[0].key == key
    )  # fmt: skip
    assert editor.type(row.fields[0], "yes")
    assert value_of(editor.scene, key) is True


def test_a_factor_that_welding_lowers_nobody_knows_how_far_is_at_most() -> None:
    steel = steel_named("42CrMo4 quenched and tempered")
    hub = MADE.making("left").hub_donor
    assert hub is not None
    making = replace(MADE.making("left"), hub_donor=replace(hub, steel=steel))
    found = loaded(making, MADE.drive, 391.0).strength
    assert found is not None
    for row, one in zip(part_rows(found), (*found.pieces, *found.welds), strict=True):
        assert row[4].endswith("at most") == (not one.yield_known)
    unknown = replace(found.weakest, yield_known=False)
    assert weakest_line(replace(found, pieces=(unknown,), welds=())).count("at most") == 1


def test_what_is_too_weak_is_told_in_two_sentences_the_weakest_first() -> None:
    drive = MADE.drive
    assert drive is not None
    found = loaded(MADE.making("left"), replace(drive, shock_factor=9.0), 391.0).strength
    assert found is not None
    assert len(found.too_weak) > 3
    first, others = weak_lines(found)
    assert first.startswith(f'"{called(found.weakest)}" is too weak')
    assert all(f'"{called(one)}"' in first + others for one in found.too_weak)
