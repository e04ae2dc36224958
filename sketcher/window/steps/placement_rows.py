"""Where to weld tacked gearbox mounts: rows of the Length step, and the map as a picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from operator import attrgetter

from kinematics.shaft.mount_room import MountRoom
from kinematics.shaft.placement import Placement
from kinematics.vectors import Array
from sketcher.answers import placed
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Picture, Role
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import field_of
from sketcher.window.steps.rows import Buttons, Drawing, Note, Row, RowHeading, one
from sketcher.words.units import Unit, format_length, in_unit

PLACEMENT = "gearbox placement"
MAP_HEIGHT = 176
_LEFT, _BOTTOM, _TOP, _RIGHT = 52.0, 20.0, 6.0, 12.0
_LEAST_CELL = 13.0
# A place that keeps less than this of what the best one keeps is worth moving from.
_NEARLY_BEST = 0.8


# What of a scene the map hangs on.
hangs_on = attrgetter(
    "linkage", "hub", "travel", "steering", "gearbox_movement", "gearbox_placement",
    "left", "right", "brackets", "strut_tube", "arm",
)  # fmt: skip


def placement_rows(editor: Editor) -> Iterator[Row]:
    """The room that the mounts leave, the best place in it, and the map."""
    scene = editor.scene
    yield RowHeading("Tacked mounts, room ±")
    yield one("sideways", field_of("gearbox.placement.out"))
    yield one("up", field_of("gearbox.placement.up"))
    if scene.gearbox_placement in (None, MountRoom()):
        return
    work = partial(placed.place_in_scene, scene, editor.answers.margin_mm)
    answer = editor.worker.ask(PLACEMENT, hangs_on(scene), work)
    found = answer.found
    if not isinstance(found, Placement):
        problem = in_unit(answer.problem, editor.unit)
        yield Note(problem or answer.words, "past" if problem else None)
        return
    yield Note(placed.placement_words(found, editor.unit))
    yield Note(f"Best, {placed.spare_words(placed.least_spare(found.best))}.", lines=1)
    yield Note(f"As drawn, {placed.spare_words(placed.least_spare(found.now))}.", lines=1)
    unit = editor.unit
    yield Drawing(MAP_HEIGHT, lambda pane: draw_map(pane, found, unit), (found, unit))
    yield Note(
        "Disc: best. Cross: as drawn. Numbers: tenths that the worst limit keeps of the most it "
        "has anywhere in the room.",
        lines=3,
    )
    yield Buttons(("use_best_place",))


def use_best_place(editor: Editor) -> None:
    """Shift the gearbox to its best place, as one step."""
    found = editor.worker.last(PLACEMENT, hangs_on(editor.scene))
    if not isinstance(found, Placement):
        editor.say("Open Length first: the best place is not known yet.")
        return
    best = found.best
    shift = placed.shift_words(best.lateral_mm, best.up_mm, editor.unit)
    if editor.do(
        "gearbox shift", lambda scene: placed.shifted_scene(scene, best.lateral_mm, best.up_mm)
    ):
        editor.say(f"Gearbox shifted {shift}.")


def draw_map(pane: Pane, found: Placement, unit: Unit) -> Picture:
    """What the worst limit keeps of its own most at each place, up upwards, left to the right."""
    grid = _MapGrid(pane, found)
    marked = [
        place
        for place in (grid.place(found.best.lateral_mm, found.best.up_mm), grid.place(0.0, 0.0))
        if 0.0 <= place[0] <= grid.columns and 0.0 <= place[1] <= grid.rows
    ]
    for column in range(grid.columns):
        for row in range(grid.rows):
            grid.cell(column, row, marked)
    for place in marked[1:]:
        x, y = grid.at(*place)
        pane.line(x - 7, y, x + 7, y, "note")
        pane.line(x, y - 7, x, y + 7, "note")
    pane.mark(*grid.at(*marked[0]), "past" if placed.broken(found.best) else "good", 4)
    grid.name_axes(unit)
    return pane.picture


class _MapGrid:
    """The map's cells, each about its place, and where they stand in the picture."""

    def __init__(self, pane: Pane, found: Placement) -> None:
        self.pane, self.found = pane, found
        self.columns, self.rows = found.kept.shape
        self.wide = (pane.width - _LEFT - _RIGHT) / self.columns
        self.high = (pane.height - _TOP - _BOTTOM) / self.rows

    def at(self, column: float, row: float) -> tuple[float, float]:
        """Px of a place given in cells."""
        return (_LEFT + column * self.wide, _TOP + (self.rows - row) * self.high)

    def place(self, lateral_mm: float, up_mm: float) -> tuple[float, float]:
        """A shift in cells."""
        return (_along(self.found.lateral_mm, lateral_mm), _along(self.found.up_mm, up_mm))

    def cell(self, column: int, row: int, marked: Sequence[tuple[float, float]]) -> None:
        """One place, with its tenths unless a mark lies on it."""
        x, y = self.at(column, row + 1)
        self.pane.box(x, y, self.wide, self.high, _role(self.found, column, row))
        covered = any(abs(c - column - 0.5) < 1 and abs(r - row - 0.5) < 1 for c, r in marked)
        if covered or min(self.wide, self.high) < _LEAST_CELL:
            return
        if self.found.share[column, row] >= 0.0:
            tenths = f"{min(9, int(10 * self.found.kept[column, row]))}"
            x, y = self.at(column + 0.5, row + 0.5)
            self.pane.text(x, y, tenths, "label", size="small", horizontal="centre")

    def name_axes(self, unit: Unit) -> None:
        """The ends of both axes, and which way they go."""
        pane, right, bottom = self.pane, self.pane.width - _RIGHT, self.pane.height - _BOTTOM / 2

        def end(axis: Array, which: int) -> str:
            return format_length(float(axis[which]), unit, signed=True, named=False)

        for row, which in ((0.5, 0), (self.rows - 0.5, -1)):
            _, y = self.at(0.0, row)
            text = end(self.found.up_mm, which)
            pane.text(_LEFT - 6, y, text, "label", size="small", horizontal="right")
        middle = (_TOP + pane.height - _BOTTOM) / 2
        pane.text(_LEFT - 6, middle, "up", "label", size="small", horizontal="right")
        lateral = self.found.lateral_mm
        pane.text(_LEFT, bottom, end(lateral, 0), "label", size="small")
        pane.text(right, bottom, end(lateral, -1), "label", size="small", horizontal="right")
        words = "to the car's left"
        pane.text((_LEFT + right) / 2, bottom, words, "label", size="small", horizontal="centre")


def _role(found: Placement, column: int, row: int) -> Role:
    if found.share[column, row] < 0.0:
        return "band_past"
    best = found.best.worst.kept
    return "band_good" if found.kept[column, row] >= _NEARLY_BEST * best else "band_close"


def _along(axis: Array, value: float) -> float:
    """Where along an axis of cells a shift stands; cells are centred on their places."""
    if len(axis) == 1:
        return 0.5
    part = (value - float(axis[0])) / float(axis[-1] - axis[0])
    return 0.5 + part * (len(axis) - 1)
