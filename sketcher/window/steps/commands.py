"""What buttons and keys do: one table for both, and for the page that shows the keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from sketcher.window.model.editor import GRIDS, STEER_STEP_DEG, Editor
from sketcher.window.model.fields import STEPS_MM
from sketcher.window.steps.command import Bench, Command, on_editor
from sketcher.window.steps.making_commands import MAKING_COMMANDS
from sketcher.window.steps.scene_commands import SCENE_COMMANDS

_COARSE, _FINE = '1 mm, or 1/8"', '0.1 mm, or 1/64"'


def _travel(steps: float) -> Callable[[Bench], None]:
    def go(bench: Bench) -> None:
        editor = bench.editor
        editor.set_travel(editor.travel_mm + steps * STEPS_MM[editor.unit][0])

    return go


def _steer(by: float) -> Callable[[Bench], None]:
    return lambda bench: bench.editor.set_steer(bench.editor.steer_deg + by)


def _nudge(dx: int, dy: int, *, fine: bool) -> Callable[[Bench], None]:
    return lambda bench: bench.editor.nudge(dx, dy, fine=fine)


def _ride_height(bench: Bench) -> None:
    bench.editor.set_travel(0.0)
    bench.editor.set_steer(0.0)


def _other_side(bench: Bench) -> None:
    bench.editor.turn_to("right" if bench.editor.side == "left" else "left")


_FILES = (
    Command("new", "New", "A sensible strut layout to drag into shape.",
            lambda b: b.new(), ("ctrl+n",)),
    Command("open", "Open", "Open a scene file.", lambda b: b.open(), ("ctrl+o",)),
    Command("save", "Save", "Save the scene to its file.", lambda b: b.save(), ("ctrl+s",)),
    Command("save_as", "Save as", "Save the scene to another file.",
            lambda b: b.save_as(), ("ctrl+shift+s",)),
    Command("examples", "Examples", "Open one of the examples.",
            lambda b: b.examples(), ("ctrl+e",)),
    Command("table", "Table", "Write the swept-length table as CSV.",
            lambda b: b.export("table"), ("ctrl+t",)),
    Command("picture", "Picture", "Write the sketch as PNG, or as SVG to scale in mm.",
            lambda b: b.export("picture"), ("ctrl+p",)),
    Command("sheet", "Shop sheet", "Write the sheet to cut and weld by, as PDF.",
            lambda b: b.export("sheet"), ("ctrl+shift+p",)),
    Command("quit", "Quit", "End; unsaved changes are asked about.",
            lambda b: b.quit(), ("ctrl+q",)),
)  # fmt: skip


_POSITION = (
    Command("bump", "Bump", f"Raise the wheel by {_COARSE}.", _travel(1.0), ("page up",)),
    Command("droop", "Droop", f"Lower the wheel by {_COARSE}.", _travel(-1.0), ("page down",)),
    Command("full_bump", "Full bump", "Raise the wheel to full bump.", _travel(1e5),
            ("shift+page up",)),
    Command("full_droop", "Full droop", "Lower the wheel to full droop.", _travel(-1e5),
            ("shift+page down",)),
    Command("steer_in", "Steer inside", "Steer by 1° towards the inside of the turn.",
            _steer(STEER_STEP_DEG), (".",)),
    Command("steer_out", "Steer outside", "Steer by 1° towards the outside of the turn.",
            _steer(-STEER_STEP_DEG), (",",)),
    Command("inside_lock", "Inside lock", "Steer to the lock as the inside wheel.", _steer(90.0),
            ("shift+.",)),
    Command("outside_lock", "Outside lock", "Steer to the lock as the outside wheel.",
            _steer(-90.0), ("shift+,",)),
    Command("ride_height", "Ride height", "Back to ride height, steering straight.",
            _ride_height, ("home",)),
    Command("play", "Play", "Sweep the travel up and down.", on_editor(Editor.play), ("p",),
            lambda editor: "Stop" if editor.playing else "Play"),
    Command("other_side", "Other side", "Turn to the other side's shaft.", _other_side, ("s",)),
)  # fmt: skip


_VIEW = (
    Command("fit", "Show all", "Show everything in both views.", lambda b: b.fit(), ("f",)),
    Command("grid", "Snap", 'Points that are dragged snap to 5 mm, or to 1/8".',
            on_editor(Editor.toggle_grid), ("g",),
            lambda editor: "Snap off" if editor.grid_mm else f"Snap {GRIDS[editor.unit][1]}"),
    Command("units", "Units", "Show lengths in mm or in inches; either may be typed.",
            on_editor(Editor.toggle_unit), ("u",), lambda d: "Inches" if d.unit == "mm" else "mm"),
    Command("theme", "Dark or light", "Light or dark.", on_editor(Editor.toggle_theme), ("t",),
            lambda editor: "Dark" if editor.theme == "light" else "Light"),
    Command("larger", "Larger", "Everything on screen larger.", lambda b: b.larger(1),
            ("ctrl+=", "ctrl++")),
    Command("smaller", "Smaller", "Everything on screen smaller.", lambda b: b.larger(-1),
            ("ctrl+-",)),
    Command("measure_list", "Measure list", "Which points to take on the car, how, and with what.",
            lambda b: b.show_measure_list(), ("m",)),
    Command("keys", "Keys", "All keys.", lambda b: b.show_keys(), ("f1", "shift+/")),
    Command("give_up", "Cancel", "Give back what was before the drag, or close what is open.",
            lambda b: b.give_up(), ("escape",)),
)  # fmt: skip


_ARROWS = tuple(
    Command(
        f"nudge_{arrow}{'_fine' if fine else ''}",
        f"Push {arrow}",
        f"Push the selected point {arrow} by {_FINE if fine else _COARSE}.",
        _nudge(dx, dy, fine=fine),
        ((f"shift+{arrow}",) if fine else (arrow,)),
    )
    for fine in (False, True)
    for arrow, dx, dy in (("left", -1, 0), ("right", 1, 0), ("up", 0, 1), ("down", 0, -1))
)


GROUPS: tuple[tuple[str, tuple[Command, ...]], ...] = (
    ("Position", _POSITION),
    ("Scene", SCENE_COMMANDS),
    ("View", _VIEW),
    ("Files", _FILES),
    ("Selected point", _ARROWS),
)


COMMANDS: Mapping[str, Command] = {
    command.name: command
    for commands in (*(commands for _, commands in GROUPS), MAKING_COMMANDS)
    for command in commands
}


BY_KEYS: Mapping[str, Command] = {
    chord: command for command in COMMANDS.values() for chord in command.keys
}


# Held down, these go on.
REPEATING = frozenset(
    {"bump", "droop", "steer_in", "steer_out", "undo", "redo"}
    | {command.name for command in _ARROWS}
)


ON_FOOT: tuple[tuple[str, ...], ...] = (
    ("undo", "redo"),
    ("fit", "grid", "units", "theme"),
    ("new", "open", "save", "save_as", "examples"),
    ("table", "picture", "sheet"),
    ("keys",),
)
