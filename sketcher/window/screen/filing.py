"""Files, exports and the questions that go with them."""

from __future__ import annotations

import gc
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pygame
from pygame_gui.ui_manager import UIManager

from kinematics.errors import KinematicsError
from scenes.errors import SceneError
from scenes.library import example, example_names, example_text
from sketcher.commands.output import write_out
from sketcher.interchange.outline_file import ENDINGS as DRAWING_SUFFIXES
from sketcher.window.model import photo_pins
from sketcher.window.model.autosave import refusal_of, when_written
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.form import Form
from sketcher.window.model.start import start_scene
from sketcher.window.screen import bracket_files, dialogs, export
from sketcher.window.screen.layout import ScreenLayout
from sketcher.window.steps import pages
from sketcher.words.plain import Refused, printable

Then = Callable[[], None]
PickPath = Callable[[Path], None]

SCENE_SUFFIXES = (".toml",)
PHOTO_SUFFIXES = (".jpg", ".jpeg", ".png")


class Filing:
    """What the window does with files; the rest of the window is in Window."""

    manager: UIManager
    layout: ScreenLayout
    surface: pygame.Surface
    dragging: bool

    def __init__(self, editor: Editor) -> None:
        self.editor = editor
        self.form = Form()
        self.dialog: dialogs.Dialog | None = None
        self.running = True
        self._leaving: dialogs.Dialog | None = None
        self._due: tuple[int, Then] | None = None

    def acts(self) -> dict[str, Then]:
        """What is done with files and pages, by the commands' names."""
        return {
            "new": self.new,
            "open": self.open,
            "save": self.save,
            "save_as": self.save_as,
            "examples": self.examples,
            "quit": self.quit,
            "measure_list": self.show_measure_list,
            "keys": self.show_keys,
            "take_in": partial(
                self._ask_which,
                "A bracket from a drawing, .dxf or .svg",
                DRAWING_SUFFIXES,
                partial(bracket_files.take_in, self.editor, self.put_up),
            ),
            "template": partial(bracket_files.ask_template, self.editor, self._ask_file),
            "take_in_photo": partial(
                self._ask_which,
                "Take in a photo, .jpg or .png",
                PHOTO_SUFFIXES,
                partial(photo_pins.take_in, self.editor),
            ),
            **{name: partial(self.export, name) for name in export.EXPORTS},
        }

    def put(self, document: Document) -> None:
        """Lay another document on the editor."""
        self.editor.put(document)

    def put_up(self, dialog: dialogs.Dialog) -> None:
        """Put a dialog up, in place of one that is there."""
        self.take_down()
        # What is typed now is no more for the field behind.
        self.manager.set_focus_set(None)
        self.dialog = dialog
        dialog.put_up(self.manager, self.layout, self.surface.get_size())

    def take_down(self) -> None:
        """Take away what dialog there is, as if nothing was answered."""
        if self.dialog is not None:
            self.dialog.close()
        self.dialog = None
        # Widgets hold one another and their pictures: a few of them are megabytes.
        gc.collect()

    def new(self) -> None:
        """Start from a sensible layout."""

        def start() -> None:
            self.put(Document(start_scene()))
            # Its numbers are what comes next.
            self.editor.open_steps = {"Measure"}

        self._losing(start)

    def open(self) -> None:
        """Ask for a file and open it."""
        self._losing(partial(self._ask_which, "Open a scene", SCENE_SUFFIXES, self.open_file))

    def open_file(self, path: Path) -> None:
        """Open a scene file; one that cannot be read is explained and nothing is lost."""
        try:
            self.put(Document.open(path))
        except SceneError as error:
            self.editor.refuse(refusal_of(path, error))

    def save(self, then: Then = dialogs.nothing) -> None:
        """Save, asking for a file where there is none yet; ``then`` is done once it is saved."""
        path = self.editor.document.path
        if path is None:
            self.save_as(then)
        else:
            self._save_to(path, then)

    def save_as(self, then: Then = dialogs.nothing) -> None:
        """Ask for a file and save to it."""
        pick = partial(self._save_to, then=then)
        self._ask_file("Save the scene as", SCENE_SUFFIXES, pick)

    def examples(self) -> None:
        """Offer the examples."""

        def pick(name: str) -> None:
            self.put(Document(example(name), text=example_text(name)))

        def ask() -> None:
            items = [(example(name).title, name) for name in example_names()]
            self.put_up(dialogs.Pick("Examples", items, pick))

        self._losing(ask)

    def export(self, what: str) -> None:
        """Ask for a file and write the table, the picture or a sheet, by the command's name."""
        title, suffixes, content, waits = export.EXPORTS[what]

        def pick(path: Path) -> None:
            if waits:
                # It takes a second, which a frame says before.
                self.editor.say(f"Writing {path.name}…")
                self._due = (2, partial(self._export, path, content))
            else:
                self._export(path, content)

        self._ask_file(title, suffixes, pick)

    def show_keys(self) -> None:
        """Show all keys."""
        self.put_up(dialogs.PageDialog("Keys", pages.keys_page()))

    def show_measure_list(self) -> None:
        """Show which points to take on the car."""
        self.put_up(dialogs.PageDialog("Measure list", pages.measure_page(self.editor.scene)))

    def quit(self) -> None:
        """End, asking about unsaved changes once."""

        def end() -> None:
            self.running = False

        if self.dialog is None or self.dialog is not self._leaving:
            self.take_down()
            self._losing(end)
            self._leaving = self.dialog

    def notice_disk(self) -> bool:
        """Whether somebody else has changed the file.

        It is read again then; where that loses changes, it is asked about.
        """
        document, path = self.editor.document, self.editor.document.path
        if self.dialog is not None or self.dragging or not document.changed_on_disk():
            return False
        assert path is not None  # no other document has a file that changes
        if not (document.dirty or self.form.typed):
            self._read_again(path)
            return True
        self._choose(
            "The file has changed",
            f"{dialogs.strong(path.name)} was written by somebody else{when_written(path)}, after "
            "it was read here, and there are changes here that are not saved.",
            (
                ("Keep mine", document.keep_mine),
                ("Read the file again", partial(self._read_again, path)),
            ),
        )
        return True

    def _read_again(self, path: Path) -> None:
        try:
            self.put(Document.open(path))
        except SceneError as error:
            line = f"{refusal_of(path, error)} What is shown is older than the file."
            self.editor.document.note_refused_file(line)
            self.editor.refuse(line)
        else:
            self.editor.say(f"{printable(path.name)} changed on disk and was read again.")

    def offer(self, text: str, restore: Document, taken: Then, discard: Then) -> None:
        """Offer work that a crash left behind; ``taken`` is done once it is brought back."""

        def take() -> None:
            self.put(restore)
            self.editor.say("Brought back. It is not saved yet.")
            taken()

        answers = (("Bring it back", take), ("Throw it away", discard), ("Later", dialogs.nothing))
        self._choose("Unsaved work was found", text, answers, high=280)

    def _folder(self) -> Path:
        path = self.editor.document.path
        try:
            return Path.cwd() if path is None else path.parent.resolve()
        except (OSError, RuntimeError):
            return Path.home()

    def _suggested(self, suffix: str, name: str = "") -> Path:
        if name:
            return self._folder() / f"{name}{suffix}"
        path = self.editor.document.path
        stem = path.stem if path is not None else "scene"
        side = "" if suffix == SCENE_SUFFIXES[0] else f"-{self.editor.side}"
        return self._folder() / f"{stem}{side}{suffix}"

    def _choose(self, title: str, text: str, answers: dialogs.Answers, high: float = 216) -> None:
        self.put_up(dialogs.ChoiceDialog(title, text, answers, high))

    def _ask_which(self, title: str, suffixes: tuple[str, ...], pick: PickPath) -> None:
        """Ask for a file to read."""
        refuse = self.editor.refuse
        self.put_up(dialogs.Files(title, self._folder(), suffixes, pick, refuse, writing=False))

    def _ask_file(
        self, title: str, suffixes: tuple[str, ...], pick: PickPath, name: str = ""
    ) -> None:
        def ask_before_replacing(path: Path) -> None:
            if not path.exists() or path == self.editor.document.path:
                pick(path)
                return
            self._choose(
                "Replace the file?",
                f"{dialogs.strong(path.name)} is there already. Replacing it loses what it holds.",
                (("Cancel", dialogs.nothing), ("Replace", partial(pick, path))),
            )

        start = self._suggested(suffixes[0], name)
        self.put_up(
            dialogs.Files(
                title, start, suffixes, ask_before_replacing, self.editor.refuse, writing=True
            )
        )

    def _save_to(self, path: Path, then: Then) -> None:
        """Save, asking first where that loses what somebody else wrote."""
        document = self.editor.document
        newer = document.changed_on_disk() or document.refused_file
        if path != document.path or not newer:
            self._write(path, then)
            return
        self._choose(
            "The file has changed",
            f"{dialogs.strong(path.name)} was written by somebody else{when_written(path)}, after "
            "it was read here. Saving over it loses what they wrote.",
            (
                ("Cancel", dialogs.nothing),
                ("Save over it", partial(self._write, path, then)),
                ("Another file", partial(self.save_as, then)),
            ),
        )

    def _write(self, path: Path, then: Then) -> None:
        not_copied = photo_pins.put_with_scene(self.editor, path)
        try:
            self.editor.document.save(path)
        except (OSError, ValueError) as error:
            self.editor.refuse(
                f"{printable(path.name)}: cannot be written: {dialogs.why_not(error)}"
            )
            return
        self.editor.say(f"Saved to {printable(path.name)}.{self._not_taken()}{not_copied}")
        then()

    def do_what_is_due(self) -> None:
        """Do what was put off until the screen has said so."""
        if self._due is None:
            return
        frames, act = self._due
        self._due = (frames - 1, act) if frames else None
        if not frames:
            act()

    def _export(self, path: Path, content: Callable[[Editor, str], bytes]) -> None:
        try:
            made = content(self.editor, path.suffix.lower())
            write_out(made, path, self.editor.document.path)
        except (Refused, KinematicsError) as error:
            self.editor.refuse(str(error))
        else:
            self.editor.say(f"Written to {path.name}.")

    def _losing(self, act: Then) -> None:
        """Do something that puts the scene aside, asking first where it is not saved."""
        self.form.take_all(self.editor)
        if not self.editor.document.dirty and not self.form.refused:
            act()
            return
        self._choose(
            "Save the changes?",
            f"The scene has changes that are not saved.{self._not_taken()}",
            (("Save", partial(self.save, act)), ("Do not save", act), ("Cancel", dialogs.nothing)),
        )

    def _not_taken(self) -> str:
        """What stands in fields and could not be taken: it is in no file."""
        names = [said.field.label for said in self.form.refused]
        if not names:
            return ""
        more = f" and {len(names) - 1} more" if len(names) > 1 else ""
        return f" Not taken, see its field: {names[0]}{more}."
