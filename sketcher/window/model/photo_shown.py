"""The photo under the front view: its file found, read and laid flat by the worker."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from scenes.model import Scene
from scenes.photo import LEAST_FOR_PERSPECTIVE, Photo, Pin
from sketcher.answers.memo import Same
from sketcher.answers.photo_plane import PhotoPlane, displaced_mm, photo_plane
from sketcher.answers.worker import Worker
from sketcher.drawing.photo_layer import FlatPhoto, flattened
from sketcher.drawing.picture import Box
from sketcher.interchange.photo_file import PhotoFile, read_photo
from sketcher.words.units import Unit, format_length

# Where a photo lies before it has pins: about a corner of a small car.
_FROM_MM, _WIDE_MM = 150.0, 800.0


class PhotoShown:
    """The photo of the scene as far as the worker has it.

    ``pins`` are those that are set and wait for another: a plane takes two, or four.
    ``moved`` is the pin that a drag holds, and the pixel that it is at by now.
    ``source`` is where a photo was taken from that does not lie beside the scene yet.
    """

    def __init__(self) -> None:
        self.source: Path | None = None
        self.pins: tuple[Pin, ...] = ()
        self.moved: tuple[int, tuple[float, float]] | None = None
        self.problem = ""

    def pins_of(self, scene: Scene) -> tuple[Pin, ...]:
        """The photo's pins, and behind them those that wait."""
        return () if scene.photo is None else (*scene.photo.pins, *self.pins)

    def path(self, photo: Photo, scene_path: Path | None) -> Path | None:
        """The photo's file: beside the scene, or where it was taken from."""
        if scene_path is not None and (scene_path.parent / photo.file).is_file():
            return scene_path.parent / photo.file
        if self.source is not None and self.source.name == Path(photo.file).name:
            return self.source
        return None if scene_path is None else scene_path.parent / photo.file

    def file(self, worker: Worker, scene: Scene, scene_path: Path | None) -> PhotoFile | None:
        """The photo as read; None while it is, or where it cannot be: ``problem`` says why."""
        photo = scene.photo
        if photo is None:
            self.problem = ""
            return None
        path = self.path(photo, scene_path)
        if path is None:
            self.problem = f"photo.file: {photo.file} lies beside no scene yet; take it in again"
            return None
        on = (path, _changed(path))
        answer = worker.ask("photo file", on, lambda: read_photo(path), soon=True)
        self.problem = f"photo: {answer.problem}" if answer.problem else ""
        return answer.found if isinstance(answer.found, PhotoFile) else None

    def flat(self, worker: Worker, scene: Scene, scene_path: Path | None) -> FlatPhoto | None:
        """The photo laid flat, the last that was while it is laid anew; None without one."""
        file, photo = self.file(worker, scene, scene_path), scene.photo
        if file is None or photo is None:
            return None
        pins = pins_shown(photo, file)
        box = _box(pins)

        def work() -> FlatPhoto:
            return flattened(file.image, photo_plane(pins), box, photo.opacity)

        answer = worker.ask("photo", (Same(file), pins, photo.opacity), work, soon=True)
        if answer.problem:
            # Of its pins that names its key.
            self.problem = answer.problem
            return None
        found = answer.found or worker.latest("photo")
        return found if isinstance(found, FlatPhoto) else None

    def words(self, worker: Worker, scene: Scene, scene_path: Path | None, unit: Unit) -> list[str]:
        """What is to be said of the photo: how well its pins agree, and what they cannot do."""
        file, photo = self.file(worker, scene, scene_path), scene.photo
        if photo is None:
            return []
        if file is None:
            return [self.problem] if self.problem else ["The photo is being read."]
        if not photo.pins:
            return ["Not pinned yet: set two pins for scale and turn, four for perspective."]
        told = []
        if len(photo.pins) > LEAST_FOR_PERSPECTIVE:
            misfit = photo_plane(photo.pins).misfit_mm
            worst = format_length(float(misfit.max()), unit, rounding="up")
            furthest = int(misfit.argmax()) + 1
            told.append(f"The pins agree to {worst}; pin {furthest} is furthest off.")
        off = format_length(displaced_mm(*file.image.size, focal_mm=file.focal_mm), unit, digits=0)
        away = format_length(100.0, unit, digits=0)
        told.append(
            f"Only what lies in the pins' plane is where it seems: {away} in front of it or "
            f"behind, a thing at the picture's edge shows some {off} beside its place."
        )
        return told


def pins_shown(photo: Photo, file: PhotoFile) -> tuple[Pin, ...]:
    """The photo's pins, or two that lay it somewhere to begin with."""
    if photo.pins:
        return photo.pins
    width, height = file.image.size
    up = _WIDE_MM * height / width
    return ((0.0, 0.0, _FROM_MM, up), (float(width), 0.0, _FROM_MM + _WIDE_MM, up))


def pixel_at(plane: PhotoPlane, place: tuple[float, float]) -> tuple[float, float]:
    """The photo's pixel that is seen at a place of the front view."""
    x, y, depth = plane.to_pixels() @ np.array([*place, 1.0])
    return (float(x / depth), float(y / depth))


def _box(pins: tuple[Pin, ...]) -> Box:
    outs, ups = [pin[2] for pin in pins], [pin[3] for pin in pins]
    return Box(min(outs), min(ups), max(outs), max(ups))


def _changed(path: Path) -> int | None:
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return None
