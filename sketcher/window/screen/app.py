"""Opening the window and keeping it going."""

from __future__ import annotations

import gc
import time
from pathlib import Path

import pygame

from scenes.library import example, example_names, example_text
from sketcher.window.model.autosave import EVERY_SECONDS, Autosave, leftovers
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.screen.layout import SMALLEST
from sketcher.window.screen.window import Window

TITLE = "Drive-shaft sketcher"
FRAMES_PER_SECOND = 60
IDLE_MS = 100
LOOK_AT_DISK_SECONDS = 2.0
WHOLE_SCREEN_PART = 0.9


def run(path: Path | None = None, example_name: str | None = None) -> int:
    """Open the window on a scene file, an example, or the first example; 0 when it ends.

    Raises SceneError for a scene that cannot be read.
    """
    document = _document(path, example_name)
    pygame.display.init()
    pygame.font.init()
    pygame.key.set_repeat(350, 30)
    surface = pygame.display.set_mode(_size(), pygame.RESIZABLE)
    pygame.display.set_caption(TITLE)
    window = Window(Editor(document), surface)
    autosave = _autosave()
    try:
        if autosave is not None:
            _offer_leftover(window, autosave)
        window.frame(0.0)
        pygame.display.flip()
        collect_seldom()
        _loop(window, surface, autosave)
    finally:
        window.editor.close()
        # The fonts stay: they are kept for whoever draws next.
        pygame.display.quit()
    if autosave is not None:
        autosave.close()
    return 0


def collect_seldom() -> None:
    """Let the garbage collector leave alone what stays, and look at the rest less often.

    Frames make little garbage in circles; looking for it in all that was imported takes
    longer than a frame.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


def _document(path: Path | None, example_name: str | None) -> Document:
    if path is not None:
        return Document.open(path)
    name = example_name or example_names()[0]
    return Document(example(name), text=example_text(name))


def _size() -> tuple[int, int]:
    """Most of the screen, and no less than the window can do with."""
    (width, height), *_ = pygame.display.get_desktop_sizes() or [(1280, 800)]
    part = WHOLE_SCREEN_PART if width > 1366 else 1.0
    return (max(SMALLEST[0], int(width * part)), max(SMALLEST[1], int(height * part)))


def _autosave() -> Autosave | None:
    try:
        return Autosave()
    except OSError:
        # Without a folder to write to the window still works; there is only no safety net.
        return None


def _offer_leftover(window: Window, autosave: Autosave) -> None:
    found = leftovers()
    if not found:
        return
    newest = found[0]
    name = newest.path.name if newest.path else newest.scene.title or "a scene without a file"

    def taken() -> None:
        # Kept under this window's own name before the other goes: a second crash loses nothing.
        keep(window, autosave)
        newest.discard()

    when = newest.saved_at.astimezone().strftime("%H:%M on %d %B")
    window.offer(
        f"The window did not end as it should. Unsaved work on <b>{name}</b> was kept at {when}.",
        Document.recovered(newest.scene, newest.text, newest.path),
        taken,
        newest.discard,
    )


def _loop(window: Window, surface: pygame.Surface, autosave: Autosave | None) -> None:
    clock = pygame.time.Clock()
    kept_at = looked_at = time.monotonic()
    waited = 0.0
    while window.running:
        events = pygame.event.get()
        if not events and not window.busy:
            event = pygame.event.wait(IDLE_MS)
            events = [event] if event.type != pygame.NOEVENT else []
            events += pygame.event.get()
            waited = clock.tick() / 1000.0
        else:
            waited = clock.tick(FRAMES_PER_SECOND) / 1000.0
        for event in events:
            if event.type == pygame.VIDEORESIZE:
                window.resize(pygame.display.get_surface() or surface)
            window.handle(event)
        window.frame(waited)
        pygame.display.flip()
        now = time.monotonic()
        if autosave is not None and now - kept_at > EVERY_SECONDS:
            kept_at = now
            keep(window, autosave)
        if now - looked_at > LOOK_AT_DISK_SECONDS:
            looked_at = now
            window.notice_disk()


def keep(window: Window, autosave: Autosave) -> None:
    """Keep unsaved work; a full disk costs the safety net and not the day's work."""
    document = window.editor.document
    try:
        if document.dirty and not document.under_way:
            autosave.keep(document.text, document.path)
        elif not document.dirty:
            autosave.forget()
    except OSError:
        return
