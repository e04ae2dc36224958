"""The form: what is typed is kept, rows stay where they are, a hand goes from field to field."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import ClassVar

import pygame
import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from kinematics.making.steels import Steel
from scenes.guessed import guessed_values
from scenes.keys import has, value_of
from scenes.library import example, example_text
from scenes.model import Scene
from sketcher.window.model import edits
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, field_of, parse
from sketcher.window.model.form import Form
from sketcher.window.model.making_edits import start_making
from sketcher.window.model.sense import question
from sketcher.window.model.start import start_scene
from sketcher.window.screen.dialogs import ChoiceDialog
from sketcher.window.screen.form_layout import ROW_HEIGHT
from sketcher.window.screen.form_states import look_of
from sketcher.window.steps.rows import FieldRow
from sketcher.words.units import parse_length
from tests.paper_lists import paper_list
from tests.windowing import Hands

SMALL = (1280, 720)


@pytest.fixture
def hands() -> Iterator[Hands]:
    made = Hands(size=SMALL)
    made.editor.open_steps = {"Measure"}
    made.frames(2)
    yield made
    made.editor.close()


def letters(hands: Hands, text: str) -> None:
    """Press the keys of a text, as a keyboard gives them: down, text, up."""
    for letter in text:
        code = pygame.key.key_code(letter) if letter.isalnum() or letter in ",./-' " else 0
        hands.post(pygame.KEYDOWN, key=code, mod=0, unicode=letter, scancode=0)
        hands.post(pygame.TEXTINPUT, text=letter)
        hands.post(pygame.KEYUP, key=code, mod=0, unicode=letter, scancode=0)


def click(hands: Hands, at: tuple[float, float]) -> None:
    hands.press(at)
    hands.release(at)
    hands.frames()


def entry_text(hands: Hands, key: str) -> str:
    entry = hands.window.panel.widgets.entry(key)
    assert entry is not None
    return str(entry.get_text())


# One hand.


def test_a_number_and_a_key_each_go_down_the_list(hands: Hands) -> None:
    hands.window.new()
    hands.frames(2)
    steer = hands.editor.steer_deg
    hands.key("tab")
    for text in ("338,5", "198,5", "2"):
        letters(hands, text)
        hands.key("tab")
    assert hands.value("linkage.arm_pivot") == (338.5, 198.5, 2.0)
    assert hands.editor.steer_deg == steer
    letters(hands, "670")
    hands.key("return")
    hands.key("tab", shift=True)
    in_hand = hands.window.form.in_hand
    assert in_hand is not None
    assert in_hand.key == "linkage.ball_joint[0]"
    assert hands.value("linkage.ball_joint[0]") == 670.0


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_whole_list_is_typed_as_answers_arrive(unit: str) -> None:
    hands = Hands(size=SMALL)
    hands.window.new()
    if unit == "in":
        hands.editor.toggle_unit()
    hands.frames(2)
    paper = paper_list("mm" if unit == "mm" else "in", 4)
    hands.key("tab")
    for number, line in enumerate(paper.lines):
        letters(hands, line)
        hands.key("return" if number % 2 else "tab")
    hands.settle()
    assert hands.editor.scene == paper.scene
    assert not hands.window.form.said
    hands.editor.close()


def test_the_order_is_that_of_the_scene_file(hands: Hands) -> None:
    keys = [field.key for field in hands.window.panel.fields]
    linkage = [
        f"linkage.{name}[{axis}]"
        for name in ("arm_pivot", "ball_joint", "strut_top", "strut_lower")
        for axis in range(3)
    ]
    hub = [f"hub.{name}[{axis}]" for name in ("outer_joint", "wheel_centre") for axis in range(3)]
    rest = ["travel.bump", "travel.droop", "steering.inside_lock", "steering.outside_lock"]
    movement = [f"gearbox.movement.{axis}" for axis in ("out", "up", "fore")]
    first = [*linkage, *hub, *rest, *movement]
    assert keys[: len(first)] == first
    left = keys.index("shafts.left.inner_joint.mid_stroke[0]")
    assert left == len(first)
    assert keys.index("shafts.right.inner_joint.mid_stroke[0]") > left


def test_what_is_half_typed_lives_through_answers_steps_and_sizes(hands: Hands) -> None:
    hands.focus("hub.outer_joint[1]")
    letters(hands, "29")
    hands.settle()
    hands.window.resize(pygame.display.set_mode((1600, 900)))
    hands.frames(3)
    assert entry_text(hands, "hub.outer_joint[1]") == "29"
    letters(hands, "6")
    hands.key("return")
    assert hands.value("hub.outer_joint[1]") == 296.0
    hands.window.resize(pygame.display.set_mode(SMALL))


def test_what_cannot_be_taken_stays_with_its_reason(hands: Hands) -> None:
    before = hands.editor.scene
    hands.focus("linkage.arm_pivot[0]")
    letters(hands, "3o8")
    hands.key("tab")
    letters(hands, "206")
    hands.key("tab")
    assert entry_text(hands, "linkage.arm_pivot[0]") == "3o8"
    (said,) = hands.window.callouts.shown
    assert "3o8" in " ".join(said.lines)
    assert hands.value("linkage.arm_pivot") == (338.0, 206.0, 0.0)
    hands.focus("linkage.arm_pivot[0]")
    letters(hands, "339")
    hands.key("return")
    assert hands.value("linkage.arm_pivot[0]") == 339.0
    hands.focus("linkage.arm_pivot[1]")
    letters(hands, "x")
    hands.key("return")
    hands.key("tab", shift=True)
    hands.key("escape")
    assert not hands.window.form.said
    hands.frames(2)
    assert hands.window.callouts.shown == ()
    assert entry_text(hands, "linkage.arm_pivot[1]") == "206"
    assert before.hub == hands.editor.scene.hub


def test_clicks_and_double_clicks_select_the_whole_value(hands: Hands) -> None:
    at = hands.field("shafts.left.inner_joint.stroke_in")
    click(hands, at)
    letters(hands, "23,5")
    hands.key("return")
    assert hands.value("shafts.left.inner_joint.stroke_in") == 23.5
    # The next field may have been brought into view.
    at = hands.field("shafts.left.inner_joint.stroke_in")
    for _ in range(2):
        click(hands, at)
    letters(hands, "24")
    hands.key("return")
    assert hands.value("shafts.left.inner_joint.stroke_in") == 24.0


def test_letters_are_for_the_sketch_again_after_a_click_there(hands: Hands) -> None:
    count = len(hands.editor.scene.brackets)
    hands.focus("linkage.arm_pivot[0]")
    letters(hands, "340")
    # A button of the form is no click into the sketch.
    click(hands, hands.button("steers"))
    click(hands, hands.button("steers"))
    letters(hands, "b,.")
    hands.key("delete")
    assert len(hands.editor.scene.brackets) == count
    assert hands.editor.steer_deg == 0.0
    hands.key("escape")
    hands.key("b")
    assert len(hands.editor.scene.brackets) == count + 1
    hands.focus("linkage.arm_pivot[0]")
    click(hands, (hands.window.layout.front.right - 30.0, hands.window.layout.front.top + 30.0))
    hands.key("b")
    assert len(hands.editor.scene.brackets) == count + 2


def test_a_key_that_is_held_adds_one_bracket_and_raises_the_wheel_on(hands: Hands) -> None:
    count = len(hands.editor.scene.brackets)
    for name in ("b", "page up"):
        code = pygame.key.key_code(name)
        for _ in range(5):
            hands.post(pygame.KEYDOWN, key=code, mod=0, unicode="", scancode=0)
        hands.post(pygame.KEYUP, key=code, mod=0, unicode="", scancode=0)
    assert len(hands.editor.scene.brackets) == count + 1
    assert hands.editor.travel_mm == 5.0


def test_saving_takes_what_is_being_typed(hands: Hands, tmp_path: object) -> None:
    path = f"{tmp_path}/van.toml"
    hands.focus("travel.bump")
    letters(hands, "71,5")
    hands.key("s", ctrl=True)
    hands.type(path)
    assert hands.value("travel.bump") == 71.5
    assert not hands.editor.document.dirty


def test_arrow_keys_step_a_number(hands: Hands) -> None:
    hands.focus("travel.bump")
    hands.key("up")
    hands.key("up", shift=True)
    assert hands.value("travel.bump") == pytest.approx(71.1)
    hands.editor.toggle_unit()
    hands.frames(2)
    hands.key("down")
    assert hands.value("travel.bump") == pytest.approx(71.1 - 25.4 / 8, abs=0.01)


# Rows.


def test_a_row_in_hand_stays_to_the_pixel_when_rows_above_it_come_and_go(hands: Hands) -> None:
    hands.focus("shafts.left.inner_joint.stroke_in")
    panel = hands.window.panel
    here = panel.place_of("shafts.left.inner_joint.stroke_in")
    letters(hands, "2")
    for steers in (False, True):
        hands.editor.do("steering", partial(edits.steer, steers=steers))
        hands.frames(2)
        assert panel.place_of("shafts.left.inner_joint.stroke_in") == here
        assert entry_text(hands, "shafts.left.inner_joint.stroke_in") == "2"


def test_sixteen_rows_of_an_open_step_are_in_view_on_a_small_screen(hands: Hands) -> None:
    area = hands.window.layout.panel
    rows = [place for place in hands.window.panel.rows if place.row is not None]
    whole = [place for place in rows if place.bottom <= area.height]
    assert len(whole) >= 16
    hands.editor.open_steps = {"Making"}
    hands.window.put(Document(example("van-front-making")))
    hands.frames(2)
    heads = [place for place in hands.window.panel.rows if place.row is None]
    assert heads[-1].bottom + 16 * ROW_HEIGHT <= area.height


def test_what_is_selected_in_the_sketch_has_its_rows_in_view(hands: Hands) -> None:
    panel, area = hands.window.panel, hands.window.layout.panel
    panel.scroll_by(5000)
    hands.frames(2)
    for key in ("linkage.arm_pivot", "hub.outer_joint", "bracket[0]"):
        at = hands.at(f"{key}.outline[0]" if key == "bracket[0]" else key)
        click(hands, at)
        hands.frames(2)
        rows = [
            place for place in panel.rows
            if isinstance(place.row, FieldRow) and place.row.key.startswith(key)
        ]  # fmt: skip
        assert rows
        assert any(
            place.top >= panel.scroll and place.bottom - panel.scroll <= area.height
            for place in rows
        )
        painted = hands.window.surface.subsurface((0, area.top, area.width, area.height))
        assert len({tuple(painted.get_at((x, 40))) for x in range(0, area.width, 3)}) > 1


# Sense.


@pytest.mark.parametrize(
    ("key", "kind", "text", "said"),
    [
        ("shafts.left.inner_joint.stroke_in", "length", "2223", "22 or 23 meant"),
        ("shafts.left.inner_joint.stroke_out", "length", "101", "stroke over 100 mm"),
        ("travel.bump", "length", "251", "travel over 250 mm"),
        ("shafts.left.outer_joint.max_angle", "angle", "56", "55°"),
        ("shafts.left.length", "open_length", "99", "100 mm to 1200 mm"),
        ("shafts.left.length", "open_length", "1201", "100 mm to 1200 mm"),
        ("shafts.left.section[1].diameter", "taper", "200", "bar over"),
        ("linkage.arm_pivot[0]", "length", "-1700", "points beside it"),
    ],
)
def test_what_cannot_be_meant_is_asked_about(key: str, kind: str, text: str, said: str) -> None:
    editor, form = Editor(Document(start_scene())), Form()
    field = Field(key, key, kind)  # type: ignore[arg-type]
    form.enter(field)
    form.write(field, text)
    assert form.leave(editor)
    assert said in form.said[key].text
    assert form.said[key].text.startswith(f"{text}°" if kind == "angle" else f"{text} mm")
    # What stood there before may be had again; no length did.
    assert bool(form.said[key].instead) == (key != "shafts.left.length")
    assert "" not in form.said[key].instead
    form.settle(editor)
    assert key in form.said, "it stays until it is answered"
    first = form.said[key]
    editor.toggle_unit()
    form.settle(editor)
    if kind == "length":
        assert form.said[key].text.startswith(f"{form.text(field, editor)} in: is that meant?")
        meant = [parse_length(one, "in") for one in form.said[key].instead]
        assert meant == pytest.approx([parse_length(one) for one in first.instead], abs=0.02)
    editor.toggle_unit()
    form.settle(editor)
    assert form.said[key] == first
    form.answer(key, None, editor)
    assert not form.said
    editor.close()


def test_what_is_usual_is_not_asked_about() -> None:
    for name in ("van-front", "van-rear", "van-rear-measured", "van-front-making"):
        hands = Hands(name, SMALL)
        hands.editor.open_steps = {"Measure", "Length", "Brackets", "Making", "Making/Donors"}
        hands.frames(2)
        scene: Scene = hands.editor.scene
        for field in hands.window.panel.fields:
            assert question(field, scene, "mm") is None, field.key
        hands.editor.close()


def test_an_answer_beside_the_field_is_taken(hands: Hands) -> None:
    hands.window.new()
    hands.frames(2)
    hands.focus("shafts.left.inner_joint.stroke_in")
    letters(hands, "2223")
    hands.key("return")
    hands.frames(2)
    (asked,) = hands.window.callouts.shown
    answers = {answer.words: rect for answer, rect in hands.window.callouts.places(asked)}
    # Where the step is shut, its head still says so.
    look = look_of((), hands.window.form, hands.editor, hands.editor.shown(), {}, "")
    assert look.summaries["Measure"].startswith("is it meant? ")
    click(hands, answers["23"].center)
    hands.frames(2)
    assert hands.value("shafts.left.inner_joint.stroke_in") == 23.0
    assert hands.window.callouts.shown == ()


# Any hand.

TEXTS = ("338,5", "12", "-4", '1 3/8"', "0", "2223", "x", "", "7,", "23")


class AnyHand(RuleBasedStateMachine):
    """A hand that types, tabs, clicks, undoes, opens and shuts steps as answers arrive."""

    # One window for all: making one takes longer than a whole run.
    shared: ClassVar[Hands]
    hands: Hands

    @initialize()
    def begin(self) -> None:
        document = Document(example("van-front"), text=example_text("van-front"))
        self.hands = AnyHand.shared
        self.hands.window.put(document)
        self.hands.editor.open_steps = {"Measure"}
        self.hands.frames(2)
        # What stands in fields that a hand has touched, until it is taken or given back.
        self.typed: dict[str, str] = {}
        self.where: tuple[str, int] | None = None

    @property
    def in_hand(self) -> str:
        field = self.hands.window.form.in_hand
        return field.key if field is not None else ""

    def note_place(self) -> None:
        rect = self.hands.window.panel.place_of(self.in_hand) if self.in_hand else None
        self.where = (self.in_hand, rect.top) if rect is not None else None

    @rule(number=st.integers(0, 999))
    def click_a_field(self, number: int) -> None:
        panel, area = self.hands.window.panel, self.hands.window.layout.panel
        seen = [
            key for key in (field.key for field in panel.fields)
            if (place := panel.place_of(key)) is not None
            and area.top <= place.top and place.bottom <= area.bottom
        ]  # fmt: skip
        if seen:
            left = self.field_left()
            click(self.hands, self.hands.field(seen[number % len(seen)]))
            self.is_kept(left)
            self.where = None

    def field_left(self) -> Field | None:
        """The field in hand, where a hand has typed in it."""
        field = self.hands.window.form.in_hand
        return field if field is not None and field.key in self.typed else None

    def is_kept(self, field: Field | None) -> None:
        """What was typed is the scene's now, or it stands there with its reason."""
        form = self.hands.window.form
        if field is None or (form.in_hand is not None and form.in_hand.key == field.key):
            return
        text = self.typed[field.key]
        if field.key in form.typed:
            assert form.typed[field.key] == text
            assert form.said[field.key].kind == "refused"
        elif not has(self.hands.editor.scene, field.key):
            return
        else:
            taken = parse(field, text, self.hands.editor.unit)
            assert value_of(self.hands.editor.scene, field.key) == pytest.approx(taken)

    @precondition(lambda self: self.in_hand)
    @rule(text=st.sampled_from(TEXTS))
    def type_some(self, text: str) -> None:
        self.note_place()
        key = self.in_hand
        self.hands.key("a", ctrl=True)
        if not text:
            self.hands.key("delete")
        letters(self.hands, text)
        self.typed[key] = text
        assert entry_text(self.hands, key) == text

    @precondition(lambda self: self.in_hand)
    @rule(name=st.sampled_from(["tab", "return"]), shift=st.booleans())
    def go_on(self, name: str, shift: bool) -> None:
        left = self.field_left()
        self.hands.key(name, shift=shift)
        assert self.in_hand
        self.is_kept(left)
        self.where = None

    @precondition(lambda self: self.in_hand)
    @rule()
    def give_back(self) -> None:
        self.typed.pop(self.in_hand, None)
        self.hands.key("escape")
        self.where = None

    @rule()
    def undo(self) -> None:
        self.note_place()
        half_typed = self.in_hand in self.hands.window.form.typed
        if half_typed:
            self.typed.pop(self.in_hand, None)
        self.hands.key("z", ctrl=True)

    @rule(name=st.sampled_from(["Measure", "Length", "Brackets"]))
    def open_or_shut(self, name: str) -> None:
        head = self.hands.window.panel.widgets.button(f"step:{name}")
        left = self.field_left()
        if head is not None:
            click(self.hands, (float(head.rect.centerx), float(head.rect.centery)))
            self.is_kept(left)
        self.where = None

    @rule()
    def answers_arrive(self) -> None:
        self.note_place()
        self.hands.editor.worker.go_on(0.05, rested=True)
        self.hands.frames(4)

    @rule(steers=st.booleans())
    def rows_come_or_go(self, steers: bool) -> None:
        self.note_place()
        self.hands.editor.do("steering", lambda scene: edits.steer(scene, steers=steers))
        self.hands.frames(2)

    @rule(notches=st.integers(-6, 6))
    def scroll(self, notches: int) -> None:
        self.hands.window.panel.scroll_by(48 * notches)
        self.hands.frames()
        self.where = None

    @invariant()
    def no_typed_text_is_lost(self) -> None:
        if not hasattr(self, "hands"):
            return
        form, editor = self.hands.window.form, self.hands.editor
        for key, text in list(self.typed.items()):
            if key in form.typed:
                assert form.typed[key] == text
            else:
                # It was taken: the history has it, or the scene stands at it.
                del self.typed[key]
                assert key not in form.said or form.said[key].kind == "asked"
        for said in form.refused:
            assert form.typed[said.field.key] == said.about
        assert editor.document.scene is editor.scene

    @invariant()
    def the_row_in_hand_does_not_move(self) -> None:
        if getattr(self, "where", None) is None or self.where is None:
            return
        key, top = self.where
        rect = self.hands.window.panel.place_of(key)
        if rect is not None and key == self.in_hand:
            assert rect.top == top


def test_no_hand_loses_what_it_types() -> None:
    AnyHand.shared = Hands(size=SMALL)
    run_state_machine_as_test(
        AnyHand,
        settings=settings(
            max_examples=6,
            stateful_step_count=12,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
    AnyHand.shared.editor.close()


def test_guesses_are_counted_down_as_they_are_typed(hands: Hands) -> None:
    hands.window.new()
    hands.frames(2)
    before = len(guessed_values(hands.editor.scene))
    hands.key("tab")
    letters(hands, "350")
    hands.key("tab")
    assert len(guessed_values(hands.editor.scene)) == before - 1


def test_corners_typed_one_by_one_are_all_taken_once_they_fit_together(hands: Hands) -> None:
    outline = ((445.0, 245.0), (525.0, 245.0), (525.0, 285.0), (445.0, 285.0))
    hands.editor.do("bracket", lambda scene: edits.add_bracket(scene, outline))
    place = len(hands.editor.scene.brackets) - 1
    key = f"bracket[{place}].outline"
    wanted = ((600.0, 372.0), (622.0, 372.0), (622.0, 384.0), (600.0, 384.0))
    form = hands.window.form
    refused = 0
    for corner, at in enumerate(wanted):
        for axis, value in enumerate(at):
            field = Field(f"{key}[{corner}][{axis}]", f"corner {corner + 1}")
            form.write(field, f"{value:g}")
            refused += not form.take(field, hands.editor)
    assert refused, "on the way the outline crosses itself"
    assert hands.editor.scene.brackets[place].outline == wanted
    assert not form.said
    assert not form.typed


def test_what_waited_for_another_number_is_taken_with_it() -> None:
    editor, form = Editor(Document(start_making(start_scene(), "left"))), Form()
    donor = "shafts.left.donors.hub"
    usable, end = field_of(f"{donor}.usable_to", "hub donor"), field_of(f"{donor}.stretch[1].to")
    form.write(usable, "300")
    assert not form.take(usable, editor)
    assert form.said[usable.key].text.startswith("usable to: expected")
    form.write(end, "300")
    assert form.take(end, editor)
    assert value_of(editor.scene, usable.key) == 300.0
    assert not form.said
    editor.close()


def test_what_stands_beside_neighbouring_fields_never_overlaps(hands: Hands) -> None:
    hands.editor.open_steps = {"Brackets"}
    hands.frames(2)
    hands.window.panel.scroll_by(5000)
    hands.frames(2)
    for section in range(len(hands.editor.scene.corner("left").shaft.sections)):
        field = field_of(f"shafts.left.section[{section}].diameter")
        hands.window.form.write(field, "82-36x")
        assert not hands.window.form.take(field, hands.editor)
    hands.frames(2)
    rects = [pygame.Rect(one.rect) for one in hands.window.callouts.shown]
    assert len(rects) > 1
    for above, below in itertools.pairwise(rects):
        assert above.bottom <= below.top
    assert rects[-1].bottom <= hands.window.layout.foot.top
    assert "taper" in hands.window.callouts.shown[0].text


def test_a_choice_is_taken_by_what_only_it_holds_and_offered_again_where_refused(
    hands: Hands,
) -> None:
    hands.window.put(Document(example("van-front-making")))
    hands.editor.open_steps = {"Making", "Making/Donors"}
    hands.frames(2)
    key = "shafts.left.donors.hub.steel"
    hands.focus(key)
    letters(hands, "C45")
    hands.key("return")
    hands.focus(key)
    hands.frames(2)
    (said,) = hands.window.callouts.shown
    words = [answer.words for answer in said.answers]
    assert words[1:] == ["C45 normalised", "C45 quenched and tempered"]
    letters(hands, "42")
    hands.key("return")
    steel = hands.value(key)
    assert isinstance(steel, Steel)
    assert steel.name == "42CrMo4 quenched and tempered"


def test_what_is_typed_over_a_question_reaches_no_field_behind_it(hands: Hands) -> None:
    hands.focus("travel.bump")
    letters(hands, "71")
    hands.key("return")
    hands.frames(2)
    assert hands.window.form.in_hand is not None
    hands.key("o", ctrl=True)
    hands.frames(2)
    dialog = hands.window.dialog
    assert isinstance(dialog, ChoiceDialog)
    before = hands.editor.scene
    letters(hands, "77")
    hands.key("escape")
    hands.frames(2)
    assert dialog.closed
    assert not hands.window.form.typed
    assert hands.editor.scene == before


def test_a_click_on_the_answer_goes_to_what_nobody_measured(hands: Hands) -> None:
    hands.window.new()
    left = ("shafts.left.section[1].diameter", "shafts.right.section[0].from")
    hands.editor.do("measured", lambda scene: replace(scene, guessed=left))
    hands.frames(2)
    area = hands.window.layout.answer
    at = (area.left + 200.0, area.top + 50.0)
    hands.move(at)
    hands.frames()
    assert "nobody measured" in hands.window.pointer.hint()
    click(hands, at)
    hands.frames(2)
    in_hand = hands.window.form.in_hand
    assert in_hand is not None
    assert in_hand.key == left[0]
    place = hands.window.panel.place_of(left[0])
    assert place is not None
    assert hands.window.layout.panel.top <= place.top < hands.window.layout.panel.bottom


def test_a_new_scene_begins_with_what_is_to_be_measured(hands: Hands) -> None:
    hands.editor.open_steps = {"Length"}
    hands.window.new()
    hands.frames(2)
    assert hands.editor.open_steps == {"Measure"}


def test_what_was_refused_is_not_taken_in_another_unit_or_for_another_thing() -> None:
    editor, form = Editor(Document(start_making(start_scene(), "left"))), Form()
    donor = "shafts.left.donors.hub"
    usable, end = field_of(f"{donor}.usable_to", "hub donor"), field_of(f"{donor}.stretch[1].to")
    form.write(usable, "12")
    assert not form.take(usable, editor)
    editor.toggle_unit()
    form.write(end, "13")
    assert form.take(end, editor)
    assert form.typed[usable.key] == "12", "12 mm were meant, and no 12 inches"
    outline = ((445.0, 245.0), (525.0, 245.0), (525.0, 285.0), (445.0, 285.0))
    other = tuple((out, up + 200.0) for out, up in outline)
    for one in (outline, other):
        editor.do("bracket", partial(edits.add_bracket, outline=one))
    editor.toggle_unit()
    corner = Field("bracket[0].outline[0][1]", "corner 1, up")
    form.write(corner, "300")
    assert not form.take(corner, editor)
    editor.do("remove", lambda scene: edits.remove_bracket(scene, "bracket[0]"))
    standing = editor.scene.brackets
    bump = field_of("travel.bump")
    form.write(bump, "71")
    assert form.take(bump, editor)
    assert editor.scene.brackets == standing
    editor.close()


def test_every_refused_line_of_a_list_has_a_row_of_its_own() -> None:
    editor, form = Editor(Document(example("van-front-readings"))), Form()
    field = Field("reading.new", "reading", "reading")
    for text in ("A B 1001 at nowhere", "A B 1002 at nowhere", "A B 1003 at nowhere", "B Q 7"):
        form.write(field, text)
        assert not form.take(field, editor)
    keys = [f"reading.new, not taken {number}" for number in (1, 2, 3)]
    assert list(editor.put_aside) == keys
    texts = [f"A B 100{number} at nowhere" for number in (1, 2, 3)]
    assert [form.typed[key] for key in keys] == texts
    assert [form.said[key].about for key in keys] == texts
    assert [form.said[key].field.key for key in keys] == keys
    assert form.typed[field.key] == "B Q 7"
    # What was put aside and is cleared gives its number back.
    form.give_back(editor.put_aside[keys[1]])
    form.settle(editor)
    form.write(field, "C Q 8")
    assert not form.take(field, editor)
    assert form.typed[keys[1]] == "B Q 7"
    # Nothing typed, or what was refused mended, puts nothing aside.
    for text in (" ", "C 8"):
        form.write(field, "C Q 8")
        form.take(field, editor)
        form.write(field, text)
        form.take(field, editor)
        assert len(editor.put_aside) == 3
    editor.close()
