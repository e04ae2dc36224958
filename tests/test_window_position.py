"""Typing the position, changing the linkage, and dragging what rides away from ride height."""

from __future__ import annotations

from collections.abc import Iterator

import pygame
import pytest

from kinematics.linkage.motion import solve
from kinematics.parts import Measured
from scenes.keys import EditRefused, with_value
from scenes.library import example, example_names
from scenes.reading import parse_scene
from scenes.writing import scene_text
from sketcher.answers.corner_answers import gaps_at
from sketcher.answers.kept import Answers
from sketcher.drawing.picture import Picture
from sketcher.drawing.readout import HEAD, head_boxes
from sketcher.window.model import edits
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.screen.layers import Layers
from sketcher.window.screen.window import BEATS
from sketcher.window.steps.pages import measure_page
from sketcher.window.steps.rows import FieldRow
from sketcher.window.steps.work_order import WORK_ORDER
from tests.windowing import Hands


@pytest.fixture
def hands() -> Iterator[Hands]:
    made = Hands()
    yield made
    made.editor.close()


def box(hands: Hands, number: int) -> tuple[float, float]:
    """The middle of a box in the readout's head."""
    area, scale = hands.window.layout.readout, hands.window.layout.scale
    left, width = head_boxes(area.width / scale, 2)[number]
    return (area.left + (left + width / 2) * scale, area.top + HEAD / 2 * scale)


def type_into(hands: Hands, number: int, text: str) -> None:
    at = box(hands, number)
    hands.press(at)
    hands.release(at)
    hands.frames(2)
    assert hands.window.entry.typing
    hands.type(text)


def test_travel_and_steer_are_typed(hands: Hands) -> None:
    type_into(hands, 0, "45.5")
    type_into(hands, 1, "-12")
    assert (hands.editor.travel_mm, hands.editor.steer_deg) == (45.5, -12.0)
    hands.editor.toggle_unit()
    type_into(hands, 0, "-1 1/2")
    assert hands.editor.travel_mm == pytest.approx(-38.1)


@pytest.mark.parametrize(
    ("number", "text", "said"),
    [(0, "71", "−80 to 70 mm"), (1, "40", "lock to lock"), (0, "x", "x")],
)
def test_a_position_that_is_not_there_is_explained(
    hands: Hands, number: int, text: str, said: str
) -> None:
    type_into(hands, number, text)
    assert hands.editor.message is not None
    assert said in hands.editor.message.text
    assert (hands.editor.travel_mm, hands.editor.steer_deg) == (0.0, 0.0)


def test_escape_leaves_the_position_and_tab_goes_on(hands: Hands) -> None:
    at = box(hands, 0)
    hands.press(at)
    hands.release(at)
    hands.key("a", ctrl=True)
    hands.post(pygame.TEXTINPUT, text="9")
    hands.key("escape")
    assert hands.editor.travel_mm == 0.0
    hands.press(at)
    hands.release(at)
    hands.key("a", ctrl=True)
    hands.post(pygame.TEXTINPUT, text="9")
    hands.key("tab")
    assert hands.editor.travel_mm == 9.0
    assert hands.window.entry.typing


@pytest.mark.parametrize("name", example_names())
@pytest.mark.parametrize("kind", ["strut", "wishbones", "measured"])
def test_every_linkage_can_become_every_other(name: str, kind: str) -> None:
    scene = example(name)
    if kind == "measured" and any(one.mounted_on == "arm" for one in scene.brackets):
        with pytest.raises(EditRefused, match="no arm"):
            change_linkage(scene, kind)
        return
    changed = change_linkage(scene, kind)
    assert changed.linkage.kind == kind
    assert parse_scene(scene_text(changed)) == changed
    shown = Answers().show(changed, "left", 0.0, 0.0, exact=True)
    assert shown.closes
    assert shown.solved is not None
    assert not shown.solved.found.unreachable


def test_measured_positions_are_those_of_the_linkage_left_behind() -> None:
    scene = example("van-front")
    changed = change_linkage(scene, "measured")
    assert isinstance(changed.linkage, Measured)
    for position in changed.linkage.positions:
        there = solve(scene.linkage, scene.hub, position.travel).outer_joint
        assert position.outer_joint == pytest.approx(tuple(there), abs=0.051)
    assert changed.steering is None


def test_a_change_of_linkage_is_one_step(hands: Hands) -> None:
    before = hands.editor.scene
    hands.window.run("wishbones")
    assert hands.editor.scene.linkage.kind == "wishbones"
    hands.window.run("wishbones")
    hands.key("z", ctrl=True)
    assert hands.editor.scene is before


def test_what_to_measure_fits_the_linkage() -> None:
    van, kinds = example("van-front"), ("strut", "wishbones", "measured")
    pages = {kind: measure_page(change_linkage(van, kind)) for kind in kinds}
    assert "strut top" in pages["strut"]
    assert "upper ball joint" in pages["wishbones"]
    assert "several travels" in pages["measured"]
    assert all("axle stands" in page for page in pages.values())


CARRIED = [
    ("van-front", "linkage.ball_joint"),
    ("van-front", "linkage.strut_lower"),
    ("van-front", "hub.outer_joint"),
    ("van-front", "hub.wheel_centre"),
    ("van-rear", "linkage.lower_ball_joint"),
    ("van-rear", "linkage.upper_ball_joint"),
    ("van-rear", "hub.wheel_centre"),
]


@pytest.mark.parametrize(("name", "key"), CARRIED)
@pytest.mark.parametrize("view", ["front", "above"])
def test_what_rides_stays_under_the_pointer(name: str, key: str, view: str) -> None:
    hands = Hands(name)
    hands.editor.set_travel(45.0)
    hands.editor.set_steer(20.0)
    hands.settle()
    at = hands.at(key, view)
    way = {"hub.outer_joint": -1, "hub.wheel_centre": 1}.get(key, -1)
    hands.press(at)
    if hands.editor.selection != key:
        pytest.skip("another point lies on it in this view")
    held = (round(at[0]) - at[0], round(at[1]) - at[1])
    for step in range(2, 8):
        hands.move((at[0] + 3.0 * step * way, at[1] - 2.0 * step))
        hands.frames(1 if view == "front" else 3 * BEATS + 2)
        now = hands.at(key, view)
        pointer = hands.window.pointer.at
        for seen, there, off in zip(now, pointer, held, strict=True):
            # Points are kept to a tenth of a mm.
            assert seen == pytest.approx(there - off, abs=0.25)
    hands.release(hands.window.pointer.at)
    hands.editor.close()


def test_a_bracket_on_the_knuckle_follows_the_pointer_too() -> None:
    hands = Hands("van-front")
    scene = with_value(hands.editor.scene, "bracket[0].mounted_on", "knuckle")
    hands.window.put(Document(scene))
    hands.editor.set_travel(50.0)
    hands.editor.set_steer(25.0)
    hands.settle()
    key = "bracket[0].outline[0]"
    at = hands.at(key)
    hands.press(at)
    assert hands.editor.selection == key
    # Far enough that a push seen foreshortened is told from one that is not.
    to = (at[0] + 45.0, at[1] - 30.0)
    hands.move(to)
    hands.frames(2)
    now = hands.at(key)
    assert now == pytest.approx(to, abs=1.0)
    hands.editor.close()


def test_gaps_are_exact_in_every_frame_and_late_by_no_more_than_twelve() -> None:
    hands = Hands("van-front-mount-fouls")
    scene = hands.editor.scene
    while len(scene.brackets) < 6:
        scene = edits.copy_bracket(scene, "bracket[0]", (-15.0 * len(scene.brackets), -20.0))
    hands.window.put(Document(scene))
    hands.settle()
    at = hands.at("linkage.ball_joint")
    hands.press(at)
    sweeps = [0]
    for step in range(1, 40):
        hands.move((at[0] + 5.0 + step / 2.0, at[1]))
        hands.frames()
        editor = hands.editor
        shown = editor.shown(pose_only=True)
        assert shown.solved is not None
        assert shown.pose is not None
        wanted = gaps_at(editor.scene.corner("left"), shown.solved.within, shown.pose)
        assert [gap.gap_mm for gap in shown.gaps] == pytest.approx([g.gap_mm for g in wanted])
        if sweeps[-1] != id(shown.solved.sweep):
            sweeps.append(id(shown.solved.sweep))
    assert len(sweeps) >= 39 // 12
    hands.release(at)
    hands.editor.close()


def test_a_layer_that_is_kept_changes_no_pixel() -> None:
    plain, layered = Hands("van-front"), Hands("van-front")
    for hands in (plain, layered):
        hands.settle()
    for travel in (0, 10, 20, 25, 25, 30):
        for hands in (plain, layered):
            hands.editor.set_travel(float(travel))
        plain.window.canvas._layers["front"] = Layers()
        for hands in (plain, layered):
            hands.frames(1)
        same = [pygame.image.tobytes(hands.window.surface, "RGB") for hands in (plain, layered)]
        assert same[0] == same[1]
    assert layered.window.canvas._layers["front"]._kept_count > 0
    assert isinstance(layered.window.canvas.seen["front"].picture, Picture)
    for hands in (plain, layered):
        hands.editor.close()


@pytest.mark.parametrize("name", example_names())
def test_every_field_says_what_it_is(name: str) -> None:
    editor = Editor(Document(example(name)))
    shown = editor.shown(exact=True)
    fields = []
    for bracket in range(len(editor.scene.brackets)):
        editor.select(f"bracket[{bracket}]")
        for step in WORK_ORDER:
            fields += [
                field
                for row in step.rows(editor, shown)
                if isinstance(row, FieldRow)
                for field in row.fields
            ]
    assert fields
    assert [field.key for field in fields if not field.help] == []
    editor.close()
