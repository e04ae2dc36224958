"""Files, exports and the questions that go with them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pygame_gui.ui_manager import UIManager

from kinematics.errors import KinematicsError
from scenes.errors import SceneError
from scenes.library import example, example_names, example_text
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.start import start_scene
from sketcher.window.screen import bracket_files, export
from sketcher.window.screen.dialogs import ChoiceDialog, Dialog, Files, PageDialog, Pick
from sketcher.window.screen.layout import ScreenLayout
from sketcher.window.steps import pages
from sketcher.words.refusal import Refused

Act = Callable[[], None]

SCENE_SUFFIXES = (".toml",)
TABLE_SUFFIXES = (".csv",)
SHEET_SUFFIXES = (".pdf",)
PICTURE_SUFFIXES = (".png", ".svg")


class Filing:
    """What the window does with files; the rest of the window is in Window."""

    manager: UIManager
    layout: ScreenLayout
    dragging: bool

    def __init__(self, editor: Editor) -> None:
        self.editor = editor
        self.dialog: Dialog | None = None
        self.running = True
        self._after_save: list[Act] = []
        self._due: tuple[int, Act] | None = None

    def put(self, document: Document) -> None:
        """Lay another document on the editor."""
        self.editor.put(document)

    def new(self) -> None:
        """Start from a sensible layout."""
        self._losing(lambda: self.put(Document(start_scene())))

    def open(self) -> None:
        """Ask for a file and open it."""

        def ask() -> None:
            self.dialog = Files(
                self.manager, self.layout, "Open a scene", self._folder(), SCENE_SUFFIXES,
                self.open_file, writing=False,
            )  # fmt: skip

        self._losing(ask)

    def open_file(self, path: Path) -> None:
        """Open a scene file; one that cannot be read is explained and nothing is lost."""
        try:
            self.put(Document.open(path))
        except SceneError as error:
            more = len(error.problems) - 1
            rest = f" And {more} more." if more else ""
            self.editor.refuse(f"{path.name}: {error.problems[0]}.{rest}")

    def save(self) -> None:
        """Save, asking for a file where there is none yet."""
        if self.editor.document.path is None:
            self.save_as()
        elif self.editor.document.changed_on_disk():
            self._ask_about_changed_file()
        else:
            self._write(self.editor.document.path)

    def save_as(self) -> None:
        """Ask for a file and save to it."""
        self._ask_file("Save the scene as", SCENE_SUFFIXES, self._write)

    def examples(self) -> None:
        """Offer the examples."""

        def pick(name: str) -> None:
            self.put(Document(example(name), text=example_text(name)))

        def ask() -> None:
            items = [(example(name).title, name) for name in example_names()]
            self.dialog = Pick(self.manager, self.layout, "Examples", items, pick)

        self._losing(ask)

    def export_table(self) -> None:
        """Ask for a file and write the swept-length table."""
        self._ask_file("Write the swept-length table", TABLE_SUFFIXES, self._write_table)

    def export_picture(self) -> None:
        """Ask for a file and write the picture."""
        self._ask_file("Write the picture, .png or .svg", PICTURE_SUFFIXES, self._write_picture)

    def export_sheet(self) -> None:
        """Ask for a file and write the shop sheet."""
        self._ask_file("Write the shop sheet", SHEET_SUFFIXES, self._write_sheet)

    def export_template(self) -> None:
        """Ask for a file and write the selected bracket's template."""
        bracket_files.ask_template(self.editor, self._ask_file)

    def take_in_outline(self) -> None:
        """Ask for a drawing and take an outline in as a bracket."""
        bracket_files.ask_outline(self, self._folder())

    def show_keys(self) -> None:
        """Show all keys."""
        self.dialog = PageDialog(self.manager, self.layout, "Keys", pages.keys_page())

    def show_measure_list(self) -> None:
        """Show which points to take on the car."""
        page = pages.measure_page(self.editor.scene)
        self.dialog = PageDialog(self.manager, self.layout, "Measure list", page)

    def quit(self) -> None:
        """End, asking about unsaved changes."""

        def end() -> None:
            self.running = False

        self._losing(end)

    def notice_disk(self) -> None:
        """Ask what to do where somebody else has changed the file."""
        document = self.editor.document
        if self.dialog is not None or self.dragging or not document.changed_on_disk():
            return
        if not document.dirty and document.path is not None:
            self.open_file(document.path)
            self.editor.say(f"{document.path.name} changed on disk and was read again.")
        else:
            self._ask_about_changed_file()

    def offer(self, text: str, restore: Document, taken: Act, discard: Act) -> None:
        """Offer work that a crash left behind; ``taken`` is done once it is brought back."""

        def take() -> None:
            self.put(restore)
            self.editor.say("Brought back. It is not saved yet.")
            taken()

        self.dialog = ChoiceDialog(
            self.manager, self.layout, "Unsaved work was found", text,
            (("Bring it back", take), ("Throw it away", discard), ("Later", _nothing)),
        )  # fmt: skip

    def _folder(self) -> Path:
        path = self.editor.document.path
        return path.parent.resolve() if path is not None else Path.cwd()

    def _suggested(self, suffix: str, name: str = "") -> Path:
        if name:
            return self._folder() / f"{name}{suffix}"
        path = self.editor.document.path
        stem = path.stem if path is not None else "scene"
        side = "" if suffix == SCENE_SUFFIXES[0] else f"-{self.editor.side}"
        return self._folder() / f"{stem}{side}{suffix}"

    def _ask_file(
        self, title: str, suffixes: tuple[str, ...], pick: Callable[[Path], None], name: str = ""
    ) -> None:
        def ask_before_replacing(path: Path) -> None:
            if not path.exists() or path == self.editor.document.path:
                pick(path)
                return
            self.dialog = ChoiceDialog(
                self.manager, self.layout, "Replace the file?",
                f"<b>{path.name}</b> is there already. Replacing it loses what it holds.",
                (("Cancel", _nothing), ("Replace", lambda: pick(path))),
            )  # fmt: skip

        self.dialog = Files(
            self.manager, self.layout, title, self._suggested(suffixes[0], name),
            suffixes,
            ask_before_replacing, writing=True,
        )  # fmt: skip

    def _write(self, path: Path) -> None:
        try:
            self.editor.document.save(path)
        except OSError as error:
            self.editor.refuse(f"{path.name}: cannot be written: {error.strerror}")
            self._after_save.clear()
            return
        self.editor.say(f"Saved to {path.name}.")
        after, self._after_save = self._after_save, []
        for act in after:
            act()

    def _write_table(self, path: Path) -> None:
        self._export(path, lambda: export.write_table(self.editor, path))

    def _write_picture(self, path: Path) -> None:
        self._export(path, lambda: export.write_picture(self.editor, path))

    def _write_sheet(self, path: Path) -> None:
        # It takes a second, which a frame says before.
        self.editor.say(f"Writing {path.name}…")
        self._due = (2, lambda: self._export(path, lambda: export.write_sheet(self.editor, path)))

    def do_what_is_due(self) -> None:
        """Do what was put off until the screen has said so."""
        if self._due is None:
            return
        frames, act = self._due
        self._due = (frames - 1, act) if frames else None
        if not frames:
            act()

    def _export(self, path: Path, write: Act) -> None:
        try:
            write()
        except (Refused, KinematicsError) as error:
            self.editor.refuse(str(error))
        else:
            self.editor.say(f"Written to {path.name}.")

    def _losing(self, act: Act) -> None:
        """Do something that puts the scene aside, asking first where it is not saved."""

        def save_first() -> None:
            self._after_save = [act]
            self.save()

        if not self.editor.document.dirty:
            act()
            return
        self.dialog = ChoiceDialog(
            self.manager, self.layout, "Save the changes?",
            "The scene has changes that are not saved.",
            (("Save", save_first), ("Do not save", act), ("Cancel", _nothing)),
        )  # fmt: skip

    def _ask_about_changed_file(self) -> None:
        document = self.editor.document
        path = document.path
        assert path is not None

        def theirs() -> None:
            self.open_file(path)

        self.dialog = ChoiceDialog(
            self.manager, self.layout, "The file has changed",
            f"Somebody else wrote to <b>{path.name}</b> since it was opened here, and there are "
            "changes here that are not saved.",
            (("Keep mine", document.keep_mine), ("Read the file again", theirs)),
        )  # fmt: skip


def _nothing() -> None:
    """What a button does that only closes its dialog."""
