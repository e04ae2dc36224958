"""What a picture costs: `python tests/benchmarks/bench_drawing.py`, medians in milliseconds.

The sketch with six brackets, ghost, envelope and plots, made and painted at 1280 x 800 and
at 3840 x 2160 with twice the UI scale; the plots are made anew each time, as while dragging.
"""

from __future__ import annotations

import os
import statistics
import time
from dataclasses import replace

os.environ.setdefault("SDL_VIDEODRIVER", "dummy")

import numpy as np
import pygame

from kinematics.linkage.motion import solve
from kinematics.shaft.following import follow
from scenes.library import example
from sketcher.answers.corner_answers import PoseGap
from sketcher.answers.pose import pose_at
from sketcher.drawing.camera import Camera
from sketcher.drawing.plot_data import column_of
from sketcher.drawing.plot_layout import layout
from sketcher.drawing.plot_position import position_picture
from sketcher.drawing.plots import plots_picture
from sketcher.drawing.sketch import SketchExtras, front_view, world_box
from sketcher.drawing.style import style
from sketcher.drawing.surface import paint_surface

FRAMES = 120


def main() -> None:
    """Print the medians and the 99th of a hundred frames."""
    for size, ui_scale in (((1280, 800), 1.0), ((3840, 2160), 2.0)):
        times = run(size, ui_scale)
        print(f"{size[0]} x {size[1]}")
        for name, values in times.items():
            last = sorted(values)[int(0.99 * len(values))]
            print(f"  {name:<14} {statistics.median(values):6.2f}   99 %: {last:6.2f}")


def run(size: tuple[int, int], ui_scale: float) -> dict[str, list[float]]:
    """Milliseconds of each part of each frame."""
    scene = example("van-front-mount-fouls")
    foot, stay = scene.brackets
    others = tuple(
        replace(foot, name=f"mount {i}", outline=tuple((x, y + 40 * i) for x, y in foot.outline))
        for i in range(1, 5)
    )
    scene = replace(scene, brackets=(foot, stay, *others))
    corner = scene.corner("left")
    travel, steer = np.linspace(-80.0, 70.0, 151), np.array((-29.0, 0.0, 35.0))
    sweep = solve(corner.linkage, corner.hub, travel[:, None], steer)
    swept = follow(corner, sweep)
    gap = 8.0 + 0.1 * travel[:, None] + 0.1 * steer
    column = column_of(corner.shaft, travel, steer.tolist(), swept, gap_mm=gap)
    poses = [pose_at(corner, sweep, swept, (i, 2 if i % 3 else 0)) for i in range(0, 151, 3)]
    ride = pose_at(corner, sweep, swept, (80, 1))
    assert ride is not None
    width, height = size
    camera = Camera(width - 400 * ui_scale, height, ui_scale=ui_scale).fitted(
        world_box(scene, ride, "left")
    )
    strip = Camera(
        390 * ui_scale, height, ui_scale=ui_scale, left=width - 395 * ui_scale
    ).in_pixels()
    outline = ((300.0, 250.0), (600.0, 200.0), (600.0, 400.0), (300.0, 340.0))
    gaps = (PoseGap(0, -4.3, 6.0, (452.0, 270.0, 0.0)), PoseGap(1, 3.2, 6.0, (600.0, 356.0, 20.0)))
    shown = SketchExtras(envelope=(outline,), gaps=gaps)
    surface, chosen = pygame.Surface(size), style("light")
    names = ("sketch made", "sketch painted", "plots made", "plots painted", "whole")
    times: dict[str, list[float]] = {name: [] for name in names}
    for frame in range(FRAMES + 10):
        pose = poses[frame % len(poses)]
        assert pose is not None
        marks = [time.perf_counter()]
        surface.fill(chosen.palette.paper)
        sketch = front_view(scene, "left", pose, ride, camera, shown)
        marks.append(time.perf_counter())
        paint_surface(surface, sketch, camera, chosen)
        marks.append(time.perf_counter())
        where = layout(column, strip)
        now = tuple(float(plot.curves[0].values[0]) for plot in column.plots)
        plots = plots_picture(column, where) + position_picture(column, where, pose.travel_mm, now)
        marks.append(time.perf_counter())
        paint_surface(surface, plots, strip, chosen)
        marks.append(time.perf_counter())
        if frame >= 10:
            for name, start, end in zip(names, marks, marks[1:], strict=False):
                times[name].append((end - start) * 1e3)
            times["whole"].append((marks[-1] - marks[0]) * 1e3)
    return times


if __name__ == "__main__":
    main()
