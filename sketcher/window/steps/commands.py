"""What buttons and keys do: one table for both, and for the page that shows the keys."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import partial

from sketcher.window.model.editor import GRIDS, STEER_STEP_DEG, Editor
from sketcher.window.model.fields import STEPS_MM
from sketcher.window.steps.command import Act, Command, by_window
from sketcher.window.steps.making_commands import MAKING_COMMANDS
from sketcher.window.steps.scene_commands import SCENE_COMMANDS

_COARSE, _FINE = '1 mm, or 1/8"', '0.1 mm, or 1/64"'


def _travel(steps: float) -> Act:
    return lambda editor: editor.set_travel(editor.travel_mm + steps * STEPS_MM[editor.unit][0])


def _steer(by: float) -> Act:
    return lambda editor: editor.set_steer(editor.steer_deg + by)


def _ride_height(editor: Editor) -> None:
    editor.set_travel(0.0)
    editor.set_steer(0.0)


def _other_side(editor: Editor) -> None:
    editor.turn_to("right" if editor.side == "left" else "left")


_FILES = (
    Command("new", "New", "A sensible strut layout to drag into shape.", by_window, ("ctrl+n",)),
    Command("open", "Open", "Open a scene file.", by_window, ("ctrl+o",)),
    Command("save", "Save", "Save the scene to its file.", by_window, ("ctrl+s",)),
    Command("save_as", "Save as", "Save the scene to another file.", by_window,
            ("ctrl+shift+s",)),
    Command("examples", "Examples", "Open one of the examples.", by_window, ("ctrl+e",)),
    Command("table", "Table", "Write the swept-length table as CSV.", by_window, ("ctrl+t",)),
    Command("picture", "Picture", "Write the sketch as PNG, or as SVG to scale in mm.",
            by_window, ("ctrl+p",)),
    Command("sheet", "Shop sheet", "Write the sheet to cut and weld by, as PDF.",
            by_window, ("ctrl+shift+p",)),
    Command("quit", "Quit", "End; unsaved changes are asked about.", by_window, ("ctrl+q",)),
)  # fmt: skip


_POSITION = (
    Command("bump", "Bump", f"Raise the wheel by {_COARSE}.", _travel(1.0), ("page up",)),
    Command("droop", "Droop", f"Lower the wheel by {_COARSE}.", _travel(-1.0), ("page down",)),
    Command("full_bump", "Full bump", "Raise the wheel to full bump.", _travel(math.inf),
            ("shift+page up",)),
    Command("full_droop", "Full droop", "Lower the wheel to full droop.", _travel(-math.inf),
            ("shift+page down",)),
    Command("steer_in", "Steer inside", "Steer by 1° towards the inside of the turn.",
            _steer(STEER_STEP_DEG), (".",)),
    Command("steer_out", "Steer outside", "Steer by 1° towards the outside of the turn.",
            _steer(-STEER_STEP_DEG), (",",)),
    Command("inside_lock", "Inside lock", "Steer to the lock as the inside wheel.",
            _steer(math.inf), ("shift+.",)),
    Command("outside_lock", "Outside lock", "Steer to the lock as the outside wheel.",
            _steer(-math.inf), ("shift+,",)),
    Command("ride_height", "Ride height", "Back to ride height, steering straight.",
            _ride_height, ("home",)),
    Command("play", "Play", "Sweep the travel up and down.", Editor.play, ("p",),
            lambda editor: "Stop" if editor.playing else "Play"),
    Command("other_side", "Other side", "Turn to the other side's shaft.", _other_side, ("s",)),
)  # fmt: skip


_VIEW = (
    Command("fit", "Show all", "Show everything in both views.", by_window, ("f",)),
    Command("grid", "Snap", 'Points that are dragged snap to 5 mm, or to 1/8".',
            Editor.toggle_grid, ("g",),
            lambda editor: "Snap off" if editor.grid_mm else f"Snap {GRIDS[editor.unit][1]}"),
    Command("units", "Units", "Show lengths in mm or in inches; either may be typed.",
            Editor.toggle_unit, ("u",), lambda d: "Inches" if d.unit == "mm" else "mm"),
    Command("theme", "Dark or light", "Light or dark.", Editor.toggle_theme, ("t",),
            lambda editor: "Dark" if editor.theme == "light" else "Light"),
    Command("larger", "Larger", "Everything on screen larger.", by_window,
            ("ctrl+=", "ctrl++")),
    Command("smaller", "Smaller", "Everything on screen smaller.", by_window,
            ("ctrl+-",)),
    Command("measure_list", "Measure list", "Which points to take on the car, how, and with what.",
            by_window, ("m",)),
    Command("keys", "Keys", "All keys.", by_window, ("f1", "shift+/")),
    Command("give_up", "Cancel", "Give back what was before the drag, or close what is open.",
            by_window, ("escape",)),
)  # fmt: skip


_ARROWS = tuple(
    Command(
        f"nudge_{arrow}{'_fine' if fine else ''}",
        f"Push {arrow}",
        f"Push the selected point {arrow} by {_FINE if fine else _COARSE}.",
        partial(Editor.nudge, dx=dx, dy=dy, fine=fine),
        (f"shift+{arrow}" if fine else arrow,),
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
