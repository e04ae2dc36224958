"""The document: a scene, all that it has been, and the file it belongs to."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from scenes.model import Scene
from scenes.reading import parse_scene, read_text
from scenes.writing import scene_text, write_scene
from sketcher.window.model.edits import kept_selection


@dataclass(frozen=True, slots=True)
class HistoryStep:
    """One step of the history: a whole scene and what was selected in it."""

    scene: Scene
    selection: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True)
class OnDisk:
    """What the file looked like when it was last read or written; ``digest`` of its bytes."""

    modified_ns: int
    size: int
    digest: str


class Document:
    """A scene with its history; every scene in it is kept whole.

    A drag is one step: :meth:`begin`, any number of :meth:`preview`, then
    :meth:`commit` or :meth:`cancel`.  Selecting makes no step, and comes back
    with undo.
    """

    def __init__(self, scene: Scene, *, text: str | None = None, path: Path | None = None) -> None:
        self._past: list[HistoryStep] = []
        self._now = HistoryStep(scene)
        self._future: list[HistoryStep] = []
        self._preview: Scene | None = None
        self._tried: Scene | None = None
        self._gesture: str | None = None
        self._saved: Scene | None = scene
        self._text = text
        self.on_disk = _look(path)
        self.refused_file = ""
        self.path = path

    @classmethod
    def open(cls, path: Path) -> Document:
        """The document in a scene file.

        Raises SceneError where it cannot be read.
        """
        text = read_text(path)
        return cls(parse_scene(text, str(path)), text=text, path=path)

    @classmethod
    def recovered(
        cls, scene: Scene, text: str, path: Path | None, on_disk: OnDisk | None = None
    ) -> Document:
        """A document brought back after a crash: unsaved until it is saved.

        ``on_disk`` is the file as it was when the work was kept; what was written to it
        since counts as somebody else's.
        """
        document = cls(scene, text=text, path=path)
        document._saved = None
        if on_disk is not None and document.on_disk is not None:
            document.on_disk = on_disk
        return document

    @property
    def scene(self) -> Scene:
        """The scene as it is shown, with a drag that is under way, or what is tried out."""
        return self.standing if self._tried is None else self._tried

    @property
    def standing(self) -> Scene:
        """The scene as it stands, a drag that is under way included."""
        return self._now.scene if self._preview is None else self._preview

    @property
    def trying(self) -> bool:
        """Whether a scene is shown that is only tried out."""
        return self._tried is not None

    def try_out(self, scene: Scene | None) -> None:
        """Show a scene as it would be; None no longer.  It is no step, and is not saved."""
        self._tried = scene

    @property
    def selection(self) -> str:
        """The key of what is selected; empty for nothing."""
        return self._now.selection

    @property
    def text(self) -> str:
        """The scene as its file would hold it, comments kept."""
        return scene_text(self.standing, self._text)

    @property
    def dirty(self) -> bool:
        """Whether there is something that is not saved."""
        return self._saved is None or self.standing != self._saved

    @property
    def under_way(self) -> bool:
        """Whether a drag is under way."""
        return self._gesture is not None

    @property
    def undo_label(self) -> str | None:
        """What undo would take back; None where there is nothing."""
        return self._now.label if self._past else None

    def select(self, key: str) -> None:
        """Select a thing, or nothing; no step of the history."""
        self._now = replace(self._now, selection=kept_selection(self.scene, key))

    def apply(self, label: str, edit: Callable[[Scene], Scene]) -> None:
        """One edit as one step; nothing where the edit changes nothing.

        Raises what the edit raises; the scene then stays as it was.
        """
        self.cancel()
        self._push(label, edit(self._now.scene))

    def begin(self, label: str) -> None:
        """Begin a drag."""
        self.cancel()
        self._gesture = label

    def preview(self, edit: Callable[[Scene], Scene]) -> None:
        """Show an edit of the scene as it was when the drag began.

        Raises what the edit raises; the last good preview then stays.
        """
        if self._gesture is None:
            raise RuntimeError("expected begin() before preview()")
        self._preview = edit(self._now.scene)

    def commit(self) -> None:
        """End a drag: what it shows becomes one step."""
        label, shown = self._gesture, self._preview
        self._gesture = self._preview = self._tried = None
        if label is not None and shown is not None:
            self._push(label, shown)

    def cancel(self) -> None:
        """Give back what was before the drag, and before anything was tried out."""
        self._gesture = self._preview = self._tried = None

    def undo(self) -> str | None:
        """Take back the last step and say which; during a drag only the drag."""
        if self.under_way:
            label = self._gesture
            self.cancel()
            return label
        self._tried = None
        if not self._past:
            return None
        label = self._now.label
        self._future.append(self._now)
        self._now = self._past.pop()
        return label

    def redo(self) -> str | None:
        """Do again what was taken back, and say what."""
        self.cancel()
        if not self._future:
            return None
        self._past.append(self._now)
        self._now = self._future.pop()
        return self._now.label

    def save(self, path: Path | None = None) -> Path:
        """Write the scene to its file, or to another that becomes its file.

        Raises OSError where it cannot be written, ValueError where no file is known.
        """
        target = path or self.path
        if target is None:
            raise ValueError("expected a file to save to")
        self.cancel()
        self._text = write_scene(target, self.scene, self._text)
        self.path = target
        self._saved = self.scene
        self.on_disk = _look(target)
        self.refused_file = ""
        return target

    def changed_on_disk(self) -> bool:
        """Whether somebody else has written to the file since it was read or saved."""
        if self.path is None or self.on_disk is None:
            return False
        try:
            stat = self.path.stat()
        except OSError:
            return False
        seen = (self.on_disk.modified_ns, self.on_disk.size)
        look = None if (stat.st_mtime_ns, stat.st_size) == seen else _look(self.path)
        return look is not None and look.digest != self.on_disk.digest

    def note_refused_file(self, line: str) -> None:
        """Take note that the file was changed by somebody else and cannot be read.

        ``refused_file`` says so until it can, or is saved over.
        """
        self.on_disk = _look(self.path)
        self.refused_file = line

    def keep_mine(self) -> None:
        """Take note of the file on disk without reading it; the scene counts as unsaved."""
        self.on_disk = _look(self.path)
        self._saved = None

    def _push(self, label: str, scene: Scene) -> None:
        if scene == self._now.scene:
            return
        selection = kept_selection(scene, self._now.selection)
        self._past.append(self._now)
        self._now = HistoryStep(scene, selection, label)
        self._future.clear()


def _look(path: Path | None) -> OnDisk | None:
    if path is None:
        return None
    try:
        stat = path.stat()
        return OnDisk(stat.st_mtime_ns, stat.st_size, hashlib.sha256(path.read_bytes()).hexdigest())
    except OSError:
        return None
