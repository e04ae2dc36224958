"""What a frame costs while something is dragged, at 1280×800 with six brackets.

Each frame takes the pointer's move, solves, sweeps, finds gaps, paints what has
changed and flips.  Times are the processor time of the program's own thread, and of
several runs the quietest stands: what other programs take of a busy machine is left out
as far as can be.  Time on the clock is printed beside it.  Run with
``python -m tests.benchmarks.bench_frame [WIDTHxHEIGHT]``.
"""

from __future__ import annotations

import math
import os
import sys
import time

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from scenes.keys import value_of
from scenes.library import example, example_text
from scenes.model import Scene
from sketcher.drawing.picture import Point2
from sketcher.window.model import edits
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.screen.app import collect_seldom
from sketcher.window.screen.window import Window

NAME = "van-front-mount-fouls"
SIZE = (1280, 800)
FRAMES = 300
BRACKETS = 6
RUNS = 5


def six_brackets() -> Scene:
    """The example with brackets added until there are six."""
    scene = example(NAME)
    while len(scene.brackets) < BRACKETS:
        step = 15.0 * len(scene.brackets)
        scene = edits.copy_bracket(scene, "bracket[0]", (-step, -step))
    return scene


Times = list[tuple[float, float]]


def drag(window: Window, start: Point2, reach: float, frames: int = FRAMES) -> Times:
    """Frame times, ms, of a drag round and round a place: the program's own, on the clock."""
    times: Times = []
    window.handle(mouse(pygame.MOUSEMOTION, start))
    window.handle(mouse(pygame.MOUSEBUTTONDOWN, start))
    for i in range(frames):
        turn = i / 30.0 * math.tau
        to = (start[0] + reach * math.sin(turn), start[1] + reach * (1 - math.cos(turn)))
        began, own = time.perf_counter(), time.thread_time()
        window.handle(mouse(pygame.MOUSEMOTION, to))
        window.frame(1 / 60)
        pygame.display.flip()
        times.append(((time.thread_time() - own) * 1e3, (time.perf_counter() - began) * 1e3))
    window.handle(mouse(pygame.MOUSEBUTTONUP, start))
    while window.editor.answers.pending:
        window.frame(1 / 60)
        time.sleep(0.005)
    return times


def mouse(kind: int, at: Point2) -> pygame.Event:
    """A pointer event."""
    pos = (round(at[0]), round(at[1]))
    if kind == pygame.MOUSEMOTION:
        return pygame.Event(kind, pos=pos, rel=(0, 0), buttons=(0, 0, 0))
    return pygame.Event(kind, pos=pos, button=1)


def quietest(window: Window, start: Point2, reach: float) -> Times:
    """Of several runs the one with the lowest median."""
    runs = [drag(window, start, reach) for _ in range(RUNS)]
    return min(runs, key=lambda times: sorted(times)[len(times) // 2])


def show(name: str, times: Times) -> None:
    """One line of the result."""
    own, clock = (sorted(column) for column in zip(*times, strict=True))
    late = int(len(own) * 0.99)
    print(
        f"{name:<20} median {own[len(own) // 2]:5.1f} ms   99 % {own[late]:5.1f} ms   "
        f"worst {own[-1]:5.1f} ms   (on the clock {clock[len(clock) // 2]:5.1f}, "
        f"{clock[late]:5.1f} ms)"
    )


def main() -> None:
    """Drag each kind of thing and print what its frames cost."""
    size = SIZE
    if len(sys.argv) > 1:
        width, _, height = sys.argv[1].partition("x")
        size = (int(width), int(height))
    pygame.display.init()
    surface = pygame.display.set_mode(size)
    window = Window(Editor(Document(six_brackets(), text=example_text(NAME))), surface)
    for _ in range(60):
        window.frame(1 / 60)
    collect_seldom()
    camera = window.editor.cameras["front"]
    scene = window.editor.scene
    assert scene.left is not None
    things = {
        "arm pivot": camera.to_screen(value_of(scene, "linkage.arm_pivot")[:2]),
        "ball joint": camera.to_screen(value_of(scene, "linkage.ball_joint")[:2]),
        "inner joint": camera.to_screen(scene.left.inner_joint.mid_stroke[:2]),
        "bracket corner": camera.to_screen(scene.brackets[0].outline[0]),
    }
    for name, at in things.items():
        show(name, quietest(window, at, 12.0))
    area = window.layout.plots
    middle = area.left + area.width / 2
    show("travel, in the plots", quietest(window, (middle, area.top + area.height / 4), 80.0))
    steer = window.layout.steer
    show("steering", quietest(window, (middle, steer.top + steer.height / 2), 80.0))


if __name__ == "__main__":
    main()
