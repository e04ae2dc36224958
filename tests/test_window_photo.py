"""The photo in the window: taken in, pinned by clicks, dragged, saved beside the scene."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from scenes.photo import Photo, Pin
from scenes.reading import read_scene
from sketcher.answers.memo import Same
from sketcher.drawing.picture import Point2
from sketcher.window.model import photo_pins
from sketcher.window.model.autosave import Autosave
from sketcher.window.model.document import Document
from sketcher.window.model.photo_pins import all_pins, plane_shown
from sketcher.window.model.photo_shown import pins_shown
from sketcher.window.model.start import start_scene
from sketcher.window.screen import app
from sketcher.window.screen.app import keep
from sketcher.window.screen.dialogs import ChoiceDialog
from sketcher.window.steps.photo_rows import photo_part
from sketcher.window.steps.rows import FieldRow
from tests.windowing import Hands

PIVOT, BALL, TOP, WHEEL = (
    "linkage.arm_pivot", "linkage.ball_joint", "linkage.strut_top", "hub.wheel_centre",
)  # fmt: skip


def settle(hands: Hands) -> None:
    """Frames until the photo is read and laid, or cannot be."""
    editor = hands.editor

    def done() -> bool:
        worker, scene = editor.worker, editor.scene
        file = editor.photo.file(worker, scene, editor.document.path)
        if editor.photo.problem or file is None or scene.photo is None:
            return bool(editor.photo.problem)
        on = (Same(file), pins_shown(scene.photo, file), scene.photo.opacity)
        return worker.answer("photo", on) is not None

    hands.frames(2)
    hands.until(done)


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "phone" / "front.png"
    path.parent.mkdir()
    Image.new("RGB", (800, 600), (200, 60, 60)).save(path)
    return path


@pytest.fixture
def hands(photo: Path) -> Iterator[Hands]:
    made = Hands(size=(1280, 720))
    photo_pins.take_in(made.editor, photo)
    settle(made)
    yield made
    made.editor.close()


def seen_at(hands: Hands, pixel: Point2) -> Point2:
    """Where a pixel of the photo is on screen."""
    shown = plane_shown(hands.editor)
    assert shown is not None
    place = shown[1].on_car(np.array(pixel)).tolist()
    return hands.editor.cameras["front"].to_screen((place[0], place[1]))


def click(hands: Hands, at: Point2) -> None:
    hands.press(at)
    hands.release(at)
    hands.frames(2)


def pin(hands: Hands, point: str, pixel: Point2) -> None:
    """Pin by two clicks: the point, then where it is seen."""
    click(hands, hands.at(point))
    click(hands, seen_at(hands, pixel))
    settle(hands)


def told(hands: Hands) -> str:
    message = hands.editor.message
    return "" if message is None else message.text


def test_two_pins_lay_it_a_third_waits_and_four_take_the_perspective_out(hands: Hands) -> None:
    hands.editor.select("")
    hands.window.run("set_pin")
    places = {point: hands.editor.scene.points[point][:2] for point in (PIVOT, TOP, WHEEL, BALL)}
    # As a camera sees them that stands square on: 1 mm is 1 pixel across, 0.7 pixels down.
    pixels = {key: (out - 100.0, 590.0 - 0.7 * up) for key, (out, up) in places.items()}
    counts = []
    for point, pixel in pixels.items():
        pin(hands, point, pixel)
        scene_photo = hands.editor.scene.photo
        assert scene_photo is not None
        assert not told(hands).startswith("photo"), (point, told(hands))
        counts.append((len(scene_photo.pins), len(hands.editor.photo.pins)))
    assert counts == [(0, 1), (2, 0), (2, 1), (4, 0)]
    zoom = hands.editor.cameras["front"].zoom
    for found, (point, pixel) in zip(all_pins(hands.editor), pixels.items(), strict=True):
        assert found[2:] == places[point]
        assert found[:2] == pytest.approx(pixel, abs=2.0 + 2.0 / zoom)
    hands.window.give_up()
    assert hands.editor.pointing is None
    hands.editor.undo()
    assert hands.editor.scene.photo is not None
    assert len(hands.editor.scene.photo.pins) == 2


def with_two(hands: Hands) -> tuple[Pin, ...]:
    pins = ((300.0, 420.0, 338.0, 205.0), (420.0, 60.0, 575.0, 790.0))
    assert photo_pins.put_pins(hands.editor, "pins", pins)
    hands.editor.open_steps = {"Brackets", "Brackets/Photo"}
    settle(hands)
    return pins


def test_a_pin_is_dragged_as_one_step_and_the_photo_follows(hands: Hands) -> None:
    before = with_two(hands)
    hands.drag(hands.at("photo.pins[0]"), (12.0, 0.0))
    settle(hands)
    photo = hands.editor.scene.photo
    assert photo is not None
    assert photo.pins[0][2:] == before[0][2:]
    assert photo.pins[0][0] != pytest.approx(before[0][0], abs=1.0)
    assert photo.pins[1] == before[1]
    hands.editor.undo()
    assert hands.editor.scene.photo is not None
    assert hands.editor.scene.photo.pins == before


def test_the_selected_pin_is_removed_and_the_other_waits(hands: Hands) -> None:
    before = with_two(hands)
    click(hands, hands.at("photo.pins[0]"))
    assert hands.editor.selection == "photo.pins[0]"
    hands.window.run("remove_pin")
    assert hands.editor.scene.photo is not None
    assert hands.editor.scene.photo.pins == ()
    assert hands.editor.photo.pins == before[1:]


def test_pins_in_one_line_are_refused(hands: Hands) -> None:
    before = with_two(hands)
    line = tuple((10.0 * n, 10.0 * n, 100.0 * n, 100.0 * n) for n in range(1, 5))
    assert not photo_pins.put_pins(hands.editor, "pins", line)
    assert "not in one line" in told(hands)
    assert all_pins(hands.editor) == before


def test_bodies_let_the_photo_through(hands: Hands) -> None:
    hands.editor.select("")
    # The photo lies under the linkage before it is pinned.
    camera, surface = hands.editor.cameras["front"], hands.window.surface
    along = [camera.to_screen((out, 190.0)) for out in range(520, 640, 2)]
    colours = [surface.get_at((round(x), round(y))) for x, y in along]
    red = [one for one in colours if one[0] > one[1] + 40]
    assert len(red) > 0.7 * len(colours), "inside the arm"


def test_it_is_copied_beside_the_scene_and_found_there(
    hands: Hands, photo: Path, tmp_path: Path
) -> None:
    with_two(hands)
    path = tmp_path / "car" / "van.toml"
    path.parent.mkdir()
    (path.parent / "front.png").write_bytes(b"somebody else's picture")
    hands.window._save_to(path, lambda: None)
    copy = path.parent / "front-2.png"
    assert copy.read_bytes() == photo.read_bytes()
    assert photo.is_file()
    assert (path.parent / "front.png").read_bytes() == b"somebody else's picture"
    saved = read_scene(path).photo
    assert saved is not None
    assert (saved.file, len(saved.pins)) == ("front-2.png", 2)
    other = tmp_path / "other" / "van.toml"
    other.parent.mkdir()
    hands.window._save_to(other, lambda: None)
    assert (other.parent / "front-2.png").is_file()
    hands.window.put(Document.open(other))
    settle(hands)
    assert plane_shown(hands.editor) is not None
    assert not told(hands)


def test_a_photo_that_is_not_there_is_one_line_and_the_scene_opens(
    hands: Hands, tmp_path: Path
) -> None:
    scene = replace(hands.editor.scene, photo=Photo("gone.jpg"))
    path = tmp_path / "van.toml"
    document = Document(scene)
    document.save(path)
    hands.window.put(Document.open(path))
    settle(hands)
    assert told(hands).startswith("photo: gone.jpg: cannot be read")
    assert "\n" not in told(hands)
    assert hands.editor.shown().pose is not None
    hands.editor.message = None
    hands.frames(3)
    assert not told(hands), "it is said once"


def test_pins_of_a_file_that_make_no_plane_are_told_by_their_key(hands: Hands, photo: Path) -> None:
    pins = tuple((10.0 * n, 10.0 * n, 100.0 * n, 100.0 * n) for n in range(1, 5))
    scene = replace(hands.editor.scene, photo=Photo(photo.name, pins=pins))
    path = photo.parent / "van.toml"
    Document(scene).save(path)
    hands.window.put(Document.open(path))
    settle(hands)
    assert told(hands).startswith("photo.pins: expected pins that are not in one line")


def test_a_photo_of_a_scene_that_was_never_saved_is_found_again_after_a_crash(
    hands: Hands, photo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_two(hands)
    monkeypatch.setattr("sketcher.window.model.autosave.state_folder", lambda: tmp_path / "state")
    crashed = Autosave()
    keep(hands.window, crashed)
    assert crashed._lock is not None
    crashed._lock.close()
    hands.window.put(Document(start_scene()))
    after = Autosave()
    app._offer_leftover(hands.window, after)
    assert isinstance(hands.window.dialog, ChoiceDialog)
    hands.window.dialog.enter()
    settle(hands)
    after.close()
    assert hands.editor.photo.source == photo
    assert not hands.editor.photo.problem
    assert plane_shown(hands.editor) is not None


def test_pins_are_counted_from_one(hands: Hands) -> None:
    with_two(hands)
    pins = [
        row
        for row in photo_part(hands.editor)
        if getattr(row, "key", "") in ("photo.pins[0]", "photo.pins[1]")
    ]
    assert [(row.label, row.fields[0].label) for row in pins if isinstance(row, FieldRow)] == [
        ("pin 1", "pin 1, out"),
        ("pin 2", "pin 2, out"),
    ]
