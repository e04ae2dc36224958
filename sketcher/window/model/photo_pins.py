"""A photo under the front view: taken in, pinned, put beside the scene when that is saved.

A pin ties a pixel of the photo to a place of the front view.  Pins that make no plane yet,
one, or three, wait beside the scene.
"""

from __future__ import annotations

import filecmp
import shutil
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from kinematics.errors import InvalidInput, KinematicsError
from scenes.keys import refusing
from scenes.model import Scene
from scenes.photo import DEFAULT_OPACITY, LEAST_FOR_PERSPECTIVE, Photo, Pin
from sketcher.answers.photo_plane import PhotoPlane, photo_plane
from sketcher.drawing.picture import Point2
from sketcher.interchange.photo_file import PhotoFile
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import point_of
from sketcher.window.model.photo_shown import pins_shown, pixel_at
from sketcher.window.model.pointing import Pointing
from sketcher.window.model.reading_edits import place_of

PIN = "photo.pins["


def take_in(editor: Editor, path: Path) -> None:
    """Lay a photo under the front view, in place of the one that is there."""
    before = editor.scene.photo
    opacity = before.opacity if before is not None else DEFAULT_OPACITY
    try:
        photo = Photo(path.name, opacity=opacity)
    except InvalidInput as error:
        editor.refuse(str(refusing(error, "photo.file")))
        return
    if editor.do("photo", lambda scene: replace(scene, photo=photo)):
        editor.photo.source, editor.photo.pins = path, ()
        editor.open_only("Brackets", "Brackets/Photo")


def remove_photo(editor: Editor) -> None:
    """Take the photo away; its file stays where it is."""
    if editor.do("remove photo", lambda scene: replace(scene, photo=None)):
        editor.photo.pins = ()


def all_pins(editor: Editor) -> tuple[Pin, ...]:
    """The photo's pins, and behind them those that wait, a drag that is under way included."""
    pins, moved = editor.photo.pins_of(editor.scene), editor.photo.moved
    if moved is not None and moved[0] < len(pins):
        pin = pins[moved[0]]
        pins = (*pins[: moved[0]], (*moved[1], *pin[2:]), *pins[moved[0] + 1 :])
    return pins


def plane_shown(editor: Editor) -> tuple[PhotoFile, PhotoPlane] | None:
    """The photo and how it lies; None while it is read, or where it cannot be shown."""
    photo = editor.scene.photo
    file = editor.photo.file(editor.worker, editor.scene, editor.document.path)
    if photo is None or file is None:
        return None
    try:
        return file, photo_plane(pins_shown(photo, file))
    except KinematicsError:
        return None


def put_pins(editor: Editor, label: str, pins: tuple[Pin, ...]) -> bool:
    """Other pins for the photo; those too many for one plane, or too few, wait."""
    count = len(pins)
    whole = count if count in (0, 2) or count >= LEAST_FOR_PERSPECTIVE else 0 if count < 2 else 2

    def edit(scene: Scene) -> Scene:
        assert scene.photo is not None
        try:
            # Pins in one line are refused before they are the scene's.
            if whole:
                photo_plane(pins[:whole])
            return replace(scene, photo=replace(scene.photo, pins=pins[:whole]))
        except InvalidInput as error:
            raise refusing(error, "photo.pins") from error

    if not editor.do(label, edit):
        return False
    editor.photo.pins = pins[whole:]
    return True


def remove_pin(editor: Editor) -> None:
    """Remove the selected pin, or the one that was set last."""
    pins, key = all_pins(editor), editor.selection
    if not pins:
        editor.say("There is no pin to remove.")
        return
    place = place_of(key) if key.startswith(PIN) else len(pins) - 1
    if put_pins(editor, "remove pin", pins[:place] + pins[place + 1 :]):
        editor.select("")


def click_pin(editor: Editor, key: str, to: Point2) -> None:
    """One click of pinning: the point, then where the photo shows it."""
    pointing = editor.pointing
    if pointing is None:
        return
    if not pointing.points:
        if point_of(editor.scene, key):
            editor.pointing = replace(pointing, points=(key,))
        else:
            editor.say("Click a point of the linkage, a mark, or a bracket's corner first.")
        return
    point, shown = point_of(editor.scene, pointing.points[0]), plane_shown(editor)
    if point is None or shown is None:
        editor.refuse(editor.photo.problem or "photo: it is being read")
        return
    pixel = _pixel(shown, to)
    if pixel is None:
        editor.refuse("photo: expected a place that the photo shows")
        return
    known = [pin for pin in all_pins(editor) if pin[2:] != point[:2]]
    if put_pins(editor, "pin", (*known, (*pixel, point[0], point[1]))):
        editor.pointing = Pointing("pin")
        editor.say(_waits(len(all_pins(editor))))


def _waits(count: int) -> str:
    if count == 1:
        return "One pin: a second one gives scale and turn."
    if count < LEAST_FOR_PERSPECTIVE:
        missing = LEAST_FOR_PERSPECTIVE - count
        return (
            f"{count} pins: scale and turn. {missing} more, not in one line, take the "
            "perspective out."
        )
    return f"{count} pins: the perspective is taken out."


def _pixel(shown: tuple[PhotoFile, PhotoPlane], to: Point2) -> Point2 | None:
    """The pixel at a place of the front view; None beyond the photo."""
    file, plane = shown
    x, y = pixel_at(plane, to)
    width, height = file.image.size
    # A place behind the camera has a pixel, too, by the numbers.
    before = not np.isnan(plane.on_car(np.array([x, y]))).any()
    inside = 0.0 <= x <= width and 0.0 <= y <= height and before
    return (round(x, 1), round(y, 1)) if inside else None


@dataclass(slots=True)
class DragPin:
    """Moves a pin over the photo: what it pins stays, and where that is seen changes."""

    editor: Editor
    key: str
    at: Point2
    _place: int = field(init=False)
    _shown: tuple[PhotoFile, PhotoPlane] | None = field(init=False)

    def __post_init__(self) -> None:
        self._place = place_of(self.key)
        self._shown = plane_shown(self.editor)
        self.editor.select(self.key)

    def move(self, to: Point2) -> None:
        """Put the pin where the pointer takes it; the photo is laid anew once it is let go."""
        if self._shown is None:
            return
        camera = self.editor.cameras["front"]
        pin = self.editor.photo.pins_of(self.editor.scene)[self._place]
        a, b = camera.to_world(self.at), camera.to_world(to)
        x, y = self._shown[1].on_car(np.array(pin[:2])).tolist()
        pixel = _pixel(self._shown, (x + b[0] - a[0], y + b[1] - a[1]))
        if pixel is not None:
            self.editor.photo.moved = (self._place, pixel)

    def drop(self) -> None:
        """Lay the photo by the pin where it is now."""
        pins, moved = all_pins(self.editor), self.editor.photo.moved
        self.editor.photo.moved = None
        if moved is not None:
            put_pins(self.editor, "move pin", pins)

    def cancel(self) -> None:
        """The pin goes back."""
        self.editor.photo.moved = None


def put_with_scene(editor: Editor, scene_path: Path) -> str:
    """Copy the photo beside where the scene will be saved; what went wrong, in one line.

    Where another file of its name is there already, the photo gets another name.
    """
    photo = editor.scene.photo
    source = None if photo is None else editor.photo.path(photo, editor.document.path)
    if photo is None or source is None:
        return ""
    name, number = Path(photo.file), 2
    try:
        if not source.is_file():
            return ""
        target = scene_path.parent / name
        while target.exists() and not filecmp.cmp(source, target, shallow=False):
            target = scene_path.parent / name.with_name(f"{name.stem}-{number}{name.suffix}")
            number += 1
        if not target.exists():
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
    except OSError as error:
        return f" The photo could not be copied beside it: {error.strerror}."
    editor.photo.source = target
    file = target.relative_to(scene_path.parent).as_posix()
    if file != photo.file:
        editor.do("photo's name", lambda scene: replace(scene, photo=replace(photo, file=file)))
    return ""
