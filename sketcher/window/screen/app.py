"""Opening the window and keeping it going."""

from __future__ import annotations

import gc
import signal
import sys
import threading
import time
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from html import escape
from pathlib import Path

import pygame

from scenes.library import example, example_names, example_text
from sketcher.window.model.autosave import EVERY_SECONDS, Autosave, leftovers, sentences
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.screen.dialogs import strong
from sketcher.window.screen.layout import SMALLEST, SMALLEST_SCALE
from sketcher.window.screen.window import Window

TITLE = "Drive-shaft sketcher"
FRAMES_PER_SECOND = 60
# A hand waits no longer than this until an idle window takes notice.
IDLE_SECONDS = 0.02
LOOKS_WHILE_IDLE = 12
# Tooltips come a moment after the hand is still; after that nothing changes by itself.
SETTLED_SECONDS = 1.0
LOOK_AT_DISK_SECONDS = 2.0
WHOLE_SCREEN_PART = 0.9
# What a title bar and a task bar take of a screen that is filled, px.
FRAME_AROUND = (16, 96)


def run(path: Path | None = None, example_name: str | None = None) -> int:
    """Open the window on a scene file, an example, or the first example; 0 when it ends.

    Whatever else ends it, unsaved work is kept first; a signal then ends it with 128 and
    its number.  Raises SceneError for a scene that cannot be read.
    """
    document = _document(path, example_name)
    surface = _open_screen()
    window = Window(Editor(document), surface)
    autosave = _autosave()
    ended, code = False, 0
    try:
        with _ended_by_signals() as told:
            if autosave is not None:
                _offer_leftover(window, autosave)
            window.frame(0.0)
            pygame.display.flip()
            collect_seldom()
            _loop(window, surface, autosave, told)
            ended = True
    except KeyboardInterrupt:
        code = 128 + signal.SIGINT
    except SystemExit as by_signal:
        code = int(by_signal.code or 0)
    finally:
        if autosave is not None:
            _end(window, autosave, asked=ended)
        window.editor.close()
        # The fonts stay: they are kept for whoever draws next.
        pygame.display.quit()
    return code


def _open_screen() -> pygame.Surface:
    pygame.display.init()
    pygame.font.init()
    pygame.key.set_repeat(350, 30)
    surface = pygame.display.set_mode(_size(), pygame.RESIZABLE)
    pygame.display.set_caption(TITLE)
    with warnings.catch_warnings():
        # There is no other way yet to the window that set_mode opens.
        warnings.simplefilter("ignore", DeprecationWarning)
        screen = pygame.Window.from_display_module()  # type: ignore[deprecated]
        screen.minimum_size = tuple(round(SMALLEST_SCALE * size) for size in SMALLEST)
    return surface


@contextmanager
def _ended_by_signals() -> Iterator[list[int]]:
    """While this lasts, being told to end is an exception, so that work can be kept.

    What has been told is listed as well: where a signal meets a finalizer, Python only
    prints the exception and goes on.
    """
    told: list[int] = []

    def end(number: int, frame: object) -> None:  # noqa: ARG001
        told.append(number)
        raise SystemExit(128 + number)

    here = threading.current_thread() is threading.main_thread()
    names = ("SIGTERM", "SIGHUP", "SIGBREAK") if here else ()
    numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before = {number: signal.signal(number, end) for number in numbers}
    try:
        yield told
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _end(window: Window, autosave: Autosave, *, asked: bool) -> None:
    """Leave nothing behind where that was ``asked``; keep unsaved work otherwise."""
    document = window.editor.document
    if not asked:
        document.cancel()
        keep(window, autosave)
    if asked or not document.dirty:
        autosave.close()
    else:
        print("Unsaved work is kept: the window offers it when it is opened again.",
              file=sys.stderr)  # fmt: skip


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
    sides, above = FRAME_AROUND
    wide = min(int(width * WHOLE_SCREEN_PART), width - sides) if width > 1366 else width - sides
    high = min(int(height * WHOLE_SCREEN_PART), height - above)
    least = [round(SMALLEST_SCALE * size) for size in SMALLEST]
    return (max(least[0], wide), max(least[1], high))


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
        window.editor.photo.source = newest.photo
        # Kept under this window's own name before the other goes: a second crash loses nothing.
        keep(window, autosave)
        newest.discard()

    said = "<br>".join(escape(line) for line in sentences(newest))
    window.offer(
        f"The window did not end as it should. There is unsaved work on {strong(name)}.<br>{said}",
        Document.recovered(newest.scene, newest.text, newest.path, newest.on_disk),
        taken,
        newest.discard,
    )


def _loop(
    window: Window, surface: pygame.Surface, autosave: Autosave | None, told: Sequence[int]
) -> None:
    clock = pygame.time.Clock()
    kept_at = looked_at = time.monotonic()
    quiet = 0.0
    while window.running:
        events, waited = _wait(window, clock, told)
        before, quiet = quiet, 0.0 if events or window.busy else quiet + waited
        if before <= SETTLED_SECONDS < quiet:
            # What widgets and pictures left behind goes while nobody waits.
            gc.collect()
        kinds = {event.type for event in events}
        if pygame.VIDEORESIZE in kinds:
            window.resize(pygame.display.get_surface() or surface)
        if pygame.QUIT in kinds and autosave is not None:
            # The whole session may be ending, and wait for no answer.
            keep(window, autosave)
        for event in events:
            window.handle(event)
        if quiet <= SETTLED_SECONDS:
            window.frame(waited)
            pygame.display.flip()
        now = time.monotonic()
        if autosave is not None and now - kept_at > EVERY_SECONDS:
            kept_at = now
            keep(window, autosave)
        if now - looked_at > LOOK_AT_DISK_SECONDS:
            looked_at = now
            if window.notice_disk():
                quiet = 0.0


def _wait(
    window: Window, clock: pygame.time.Clock, told: Sequence[int]
) -> tuple[list[pygame.Event], float]:
    """What has happened by the next frame, or by the time to look again, and how long it was."""
    if told:
        raise SystemExit(128 + told[0])
    events = pygame.event.get()
    if events or window.busy:
        return events, clock.tick(FRAMES_PER_SECOND) / 1000.0
    # Looking now and then takes less of the processor than the library's own waiting.
    for _ in range(LOOKS_WHILE_IDLE):
        time.sleep(IDLE_SECONDS)
        events = pygame.event.get()
        if events:
            break
    return events, clock.tick() / 1000.0


def keep(window: Window, autosave: Autosave) -> None:
    """Keep unsaved work; a full disk costs the safety net and not the day's work."""
    document = window.editor.document
    if document.under_way:
        return
    try:
        if not document.dirty:
            autosave.forget()
        elif autosave.kept is not document.standing:
            photo = window.editor.photo.source
            autosave.keep(document.text, document.path, document.on_disk, photo)
            autosave.kept = document.standing
    except OSError:
        return
