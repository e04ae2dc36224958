"""What buttons and keys do: one table for both, and for the page that shows the keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Protocol

from scenes.model import Scene
from sketcher.window.model import edits, reading_edits
from sketcher.window.model.bracket_drawing import add_corner, copy_selected, take_up
from sketcher.window.model.certainty_edits import (
    add_own_error,
    has_own_error,
    measured_quantity,
    remove_last_measurement,
    remove_own_error,
    turn_quantity,
)
from sketcher.window.model.cutting_back import trim_selected
from sketcher.window.model.editor import GRIDS, STEER_STEP_DEG, TRAVEL_STEP_MM, Editor, name_of
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.model.making_actions import ACTIONS
from sketcher.window.model.open_outline import Shape
from sketcher.window.model.photo_pins import remove_photo, remove_pin
from sketcher.window.model.pointing import PointingFor
from sketcher.window.steps.certainty_rows import doubted
from sketcher.window.steps.placement_rows import use_best_place
from sketcher.window.steps.trial_step import use_fitted

_KIND_WORDS = {"strut": "Strut", "wishbones": "Wishbones", "measured": "Measured"}


class Bench(Protocol):
    """What a command may ask of the window."""

    editor: Editor

    def fit(self) -> None:
        """Show everything in both views."""

    def new(self) -> None:
        """Start from a sensible layout."""

    def open(self) -> None:
        """Ask for a file and open it."""

    def save(self) -> None:
        """Save, asking for a file where there is none yet."""

    def save_as(self) -> None:
        """Ask for a file and save to it."""

    def examples(self) -> None:
        """Offer the examples."""

    def export_table(self) -> None:
        """Ask for a file and write the swept-length table."""

    def export_picture(self) -> None:
        """Ask for a file and write the picture."""

    def export_sheet(self) -> None:
        """Ask for a file and write the shop sheet."""

    def export_reading_sheet(self) -> None:
        """Ask for a file and write the measure list as a sheet to take under the car."""

    def export_template(self) -> None:
        """Ask for a file and write the selected bracket's template."""

    def take_in_outline(self) -> None:
        """Ask for a drawing and take an outline in as a bracket."""

    def show_keys(self) -> None:
        """Show all keys."""

    def show_measure_list(self) -> None:
        """Show which points to take on the car."""

    def take_in_photo(self) -> None:
        """Ask for a photo and lay it under the front view."""

    def point_out(self, what: PointingFor) -> None:
        """Begin to point out a reading, a mark or a pin in the sketch, or put that away."""

    def give_up(self) -> None:
        """Give back what was: of a drag, a field, a dialog, a message."""

    def larger(self, quarters: int) -> None:
        """Change the UI scale by quarters."""

    def quit(self) -> None:
        """End, asking about unsaved changes."""


@dataclass(frozen=True, slots=True)
class Command:
    """Something to do; ``keys`` are chords such as ``ctrl+s``.

    One that switches a state tells with ``on`` whether it is on: a box to check.
    """

    name: str
    words: str
    help: str
    run: Callable[[Bench], None]
    keys: tuple[str, ...] = ()
    label_of: Callable[[Editor], str] | None = None
    on: Callable[[Editor], bool] | None = None

    def label(self, editor: Editor) -> str:
        """What its button says now."""
        return self.words if self.label_of is None else self.label_of(editor)


def _on_editor(act: Callable[[Editor], None]) -> Callable[[Bench], None]:
    return lambda bench: act(bench.editor)


def _bracket(label: str, edit: Callable[..., Scene]) -> Callable[[Bench], None]:
    def run(bench: Bench) -> None:
        editor = bench.editor
        base = edits.bracket_key(editor.selection)
        if base:
            editor.do(label, partial(edit, key=base))
        else:
            editor.say("Select a bracket first.")

    return run


def _draw(shape: Shape) -> Callable[[Bench], None]:
    return lambda bench: take_up(bench.editor, shape)


def _draw_words(shape: Shape, words: str) -> Callable[[Editor], str]:
    def label(editor: Editor) -> str:
        drawing = editor.open_outline is not None and editor.open_outline.shape == shape
        return "Put away" if drawing else words

    return label


def _keep_square(bench: Bench) -> None:
    snapping = bench.editor.snapping
    snapping.square_on = not snapping.square_on


def _catch_points(bench: Bench) -> None:
    snapping = bench.editor.snapping
    snapping.catch_on = not snapping.catch_on


def _catches_points(editor: Editor) -> bool:
    return editor.snapping.catch_on


def _travel(by: float) -> Callable[[Bench], None]:
    return lambda bench: bench.editor.set_travel(bench.editor.travel_mm + by)


def _steer(by: float) -> Callable[[Bench], None]:
    return lambda bench: bench.editor.set_steer(bench.editor.steer_deg + by)


def _nudge(dx: int, dy: int, *, fine: bool) -> Callable[[Bench], None]:
    return lambda bench: bench.editor.nudge(dx, dy, fine=fine)


def _ride_height(bench: Bench) -> None:
    bench.editor.set_travel(0.0)
    bench.editor.set_steer(0.0)


def _on_scene(step: str, edit: Callable[[Scene], Scene]) -> Callable[[Bench], None]:
    def run(bench: Bench) -> None:
        bench.editor.do(step, edit)

    return run


def _steers(bench: Bench) -> None:
    steers = not bench.editor.scene.steers
    bench.editor.do("steering", partial(edits.steer, steers=steers))


def _linkage(kind: str) -> Callable[[Bench], None]:
    return lambda bench: _change_linkage(bench.editor, kind)


def _change_linkage(editor: Editor, kind: str) -> None:
    before = editor.scene
    if before.linkage.kind == kind:
        editor.say(f"The linkage is {_KIND_WORDS[kind].lower()} already.")
    elif editor.do("kind of linkage", partial(change_linkage, kind=kind)):
        gone = " The axle no longer steers: measured positions are taken straight ahead."
        steered = before.steering is not None and editor.scene.steering is None
        start = "Its points are a start: measure every one. Undo gives the other linkage back."
        editor.say(start + (gone if steered else ""))


def _has_linkage(kind: str) -> Callable[[Editor], bool]:
    return lambda editor: editor.scene.linkage.kind == kind


def _own_error(bench: Bench) -> None:
    editor = bench.editor
    thing = doubted(editor)
    if not thing:
        editor.say("Select a point first: it then gets a tape error of its own.")
    elif has_own_error(editor.scene, thing):
        editor.do("tape error", partial(remove_own_error, thing=thing))
    else:
        editor.do("tape error", partial(add_own_error, thing=thing))


def _own_error_words(editor: Editor) -> str:
    thing = doubted(editor)
    if not thing:
        return "Own error for a point"
    return f"{name_of(thing)}: own error"


def _has_own_error(editor: Editor) -> bool:
    thing = doubted(editor)
    return bool(thing) and has_own_error(editor.scene, thing)


def _on_trial(label: str, edit: Callable[..., Scene]) -> Callable[[Bench], None]:
    def run(bench: Bench) -> None:
        bench.editor.do(label, partial(edit, side=bench.editor.side))

    return run


def _are_plunges(editor: Editor) -> bool:
    return measured_quantity(editor.scene, editor.side) == "plunge"


def _point_out(what: PointingFor) -> Callable[[Bench], None]:
    return lambda bench: bench.point_out(what)


def _point_words(what: PointingFor, words: str) -> Callable[[Editor], str]:
    def label(editor: Editor) -> str:
        return "Put away" if editor.pointing and editor.pointing.what == what else words

    return label


def _put_back(bench: Bench) -> None:
    if bench.editor.do("points put where readings say", reading_edits.put_back):
        bench.editor.say("Every point is where its readings put it.")


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
            lambda b: b.export_table(), ("ctrl+t",)),
    Command("picture", "Picture", "Write the sketch as PNG, or as SVG to scale in mm.",
            lambda b: b.export_picture(), ("ctrl+p",)),
    Command("sheet", "Shop sheet", "Write the sheet to cut and weld by, as PDF.",
            lambda b: b.export_sheet(), ("ctrl+shift+p",)),
    Command("quit", "Quit", "End; unsaved changes are asked about.",
            lambda b: b.quit(), ("ctrl+q",)),
)  # fmt: skip
_CHANGES = (
    Command("undo", "Undo", "Take back the last step; without end.",
            _on_editor(Editor.undo), ("ctrl+z",)),
    Command("redo", "Redo", "Do again what was taken back.",
            _on_editor(Editor.redo), ("ctrl+y", "ctrl+shift+z")),
    Command("ride_centred", "Ride-centred", "Make the shaft as long as puts the inner joint at "
            "mid-stroke at ride height.", _on_editor(Editor.use_ride_centred), ("ctrl+r",)),
    Command("middle", "Middle of window", "Make the shaft as long as the middle of its window.",
            _on_editor(Editor.use_middle_of_window), ("ctrl+m",)),
    Command("undecided", "No length yet", "Leave the length open: the ride-centred length is "
            "used, whatever becomes of the points.", _on_editor(Editor.leave_undecided)),
    Command("add_bracket", "Rectangle", "Add a rectangle in the middle of the view, to be "
            "dragged into shape.", _on_editor(Editor.add_bracket_in_view), ("b",)),
    Command("draw_bracket", "Draw a bracket", "Draw an outline: drag a rectangle, or click "
            "corner after corner.", _draw("outline"), ("d",),
            _draw_words("outline", "Bracket")),
    Command("draw_plate", "Draw a plate", "Draw a plate of one thickness along a line, bend after "
            "bend.", _draw("plate"), ("l",), _draw_words("plate", "Plate")),
    Command("draw_round", "Draw a disc", "Draw a round bracket from its centre: a tube, a bolt's "
            "head.", _draw("round"), ("o",), _draw_words("round", "Disc")),
    Command("draw_hole", "Make a hole", "Make a hole in the selected bracket, from its centre.",
            _draw("hole"), ("h",), _draw_words("hole", "Hole")),
    Command("keep_square", "Right angles", "Drawing and dragging keep right angles, as while "
            "Shift is held.", _keep_square, ("r",), on=lambda editor: editor.snapping.square_on),
    Command("catch_points", "Catch points", "Drawing and dragging catch corners and points nearby, "
            "as while Ctrl is held.", _catch_points, ("c",), on=_catches_points),
    Command("take_in", "From drawing", "Make a bracket of a closed outline in a DXF or SVG "
            "drawing.", lambda b: b.take_in_outline()),
    Command("template", "Template", "Write the selected bracket at full size, to cut by: PDF, SVG "
            "or DXF.", lambda b: b.export_template()),
    Command("copy_bracket", "Copy", "Put a copy beside the selected bracket.",
            _on_editor(copy_selected), ("ctrl+d",)),
    Command("mirror_bracket", "Mirror", "Mirror the selected bracket left to right.",
            _bracket("mirror bracket", edits.mirror_bracket)),
    Command("turn_left", "Turn +5°", "Turn the selected bracket counter-clockwise.",
            _bracket("turn bracket", partial(edits.turn_bracket, angle_deg=5.0))),
    Command("turn_right", "Turn −5°", "Turn the selected bracket clockwise.",
            _bracket("turn bracket", partial(edits.turn_bracket, angle_deg=-5.0))),
    Command("add_corner", "Add corner", "Put a corner after the selected one, or in the middle of "
            "the longest edge. A double click on any edge does so there.",
            _on_editor(add_corner)),
    Command("trim", "Trim to clear", "Cut off the selected bracket what comes closer than its "
            "wanted gap, over the whole motion.", _on_editor(trim_selected)),
    Command("remove", "Remove", "Remove what is selected: a bracket, a corner, a reading, a mark.",
            _on_editor(Editor.remove_selected), ("delete", "backspace")),
    Command("take_reading", "Pick points", "Take a reading: click its one or two points in the "
            "sketch, and type the number.", _point_out("reading"), ("n",),
            _point_words("reading", "Pick points")),
    Command("place_mark", "Place a mark", "Put a mark where the sketch is clicked: a hole, a bolt "
            "head, a chalk cross that the tape is held to.", _point_out("mark"), (),
            _point_words("mark", "Place a mark")),
    Command("reading_sheet", "Sheet to take along", "Write the measure list as PDF: the drawing "
            "with its letters, a box for each reading in the order in which one crawls.",
            lambda b: b.export_reading_sheet()),
    Command("put_back", "Put points back", "Put every point where its readings say it is.",
            _put_back, ("k",)),
    Command("drop_reading", "Remove reading", "Remove the selected reading.",
            _on_editor(Editor.remove_selected)),
    Command("drop_mark", "Remove mark", "Remove the selected mark, and the readings that are of "
            "it.", _on_editor(Editor.remove_selected)),
    Command("take_in_photo", "Take in a photo", "Lay a photo, JPEG or PNG, under the front view to "
            "trace over. It decides no number.", lambda b: b.take_in_photo(), (),
            lambda editor: "Another photo" if editor.scene.photo else "Take in a photo"),
    Command("set_pin", "Set a pin", "Pin the photo: click a point of the sketch, then where the "
            "photo shows it. Two pins give scale and turn, four and more take the perspective out.",
            _point_out("pin"), (), _point_words("pin", "Set a pin")),
    Command("remove_pin", "Remove pin", "Remove the selected pin, or the last.",
            _on_editor(remove_pin)),
    Command("remove_photo", "Remove photo", "Take the photo away; its file stays where it is.",
            _on_editor(remove_photo)),
    Command("own_error", "Own error", "Give the selected point a tape error of its own, or take it "
            "away again.", _own_error, (), _own_error_words, _has_own_error),
    Command("trial_quantity", "These are plunges", "What was measured at the trial fit: swept "
            "lengths, or plunges from mid-stroke.",
            _on_trial("trial fit", turn_quantity), on=_are_plunges),
    Command("remove_measurement", "Remove last", "Remove the last measurement of the trial fit.",
            _on_trial("remove measurement", remove_last_measurement)),
    Command("use_fitted", "Use fitted points", "Move the points to where the trial fit puts them; "
            "undo gives them back.", _on_editor(use_fitted)),
    Command("use_best_place", "Shift gearbox to best", "Move the inner joints, and the brackets on "
            "the gearbox, to the best place.", _on_editor(use_best_place)),
    Command("strut", "Strut", "The linkage is a strut over one arm.", _linkage("strut"),
            on=_has_linkage("strut")),
    Command("wishbones", "Wishbones", "The linkage is two arms.", _linkage("wishbones"),
            on=_has_linkage("wishbones")),
    Command("measured", "Measured",
            "No linkage: places of the outer joint taken on the car at several travels.",
            _linkage("measured"), on=_has_linkage("measured")),
    Command("steers", "This axle steers", "Whether this axle steers.", _steers,
            on=lambda editor: editor.scene.steers),
    Command("solid_mounts", "Solid mounts", "Say that the gearbox does not move on its mounts.",
            _on_scene("solid mounts", edits.turn_solid_mounts),
            on=lambda editor: "gearbox.movement" in editor.scene.none_of),
    Command("nothing_near", "Nothing stands near", "Say that there is nothing that the shaft could "
            "touch.", _on_scene("nothing near", edits.turn_nothing_near),
            on=lambda editor: "bracket" in editor.scene.none_of),
)  # fmt: skip
_POSITION = (
    Command("bump", "Bump", "Raise the wheel by 1 mm.", _travel(TRAVEL_STEP_MM), ("page up",)),
    Command("droop", "Droop", "Lower the wheel by 1 mm.", _travel(-TRAVEL_STEP_MM), ("page down",)),
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
    Command("play", "Play", "Sweep the travel up and down.", _on_editor(Editor.play), ("p",),
            lambda editor: "Stop" if editor.playing else "Play"),
    Command("other_side", "Other side", "Turn to the other side's shaft.", _other_side, ("s",)),
)  # fmt: skip
_VIEW = (
    Command("fit", "Show all", "Show everything in both views.", lambda b: b.fit(), ("f",)),
    Command("grid", "Snap", 'Points that are dragged snap to 5 mm, or to 1/8".',
            _on_editor(Editor.toggle_grid), ("g",),
            lambda editor: "Snap off" if editor.grid_mm else f"Snap {GRIDS[editor.unit][1]}"),
    Command("units", "Units", "Show lengths in mm or in inches; either may be typed.",
            _on_editor(Editor.toggle_unit), ("u",), lambda d: "Inches" if d.unit == "mm" else "mm"),
    Command("theme", "Dark or light", "Light or dark.", _on_editor(Editor.toggle_theme), ("t",),
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
_COARSE, _FINE = '1 mm, or 1/8"', '0.1 mm, or 1/64"'
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

_MAKING = tuple(
    Command(one.name, one.words, one.help, _on_editor(one.run), on=one.on) for one in ACTIONS
)

GROUPS: tuple[tuple[str, tuple[Command, ...]], ...] = (
    ("Position", _POSITION),
    ("Scene", _CHANGES),
    ("View", _VIEW),
    ("Files", _FILES),
    ("Selected point", _ARROWS),
)
COMMANDS: Mapping[str, Command] = {
    command.name: command
    for commands in (*(commands for _, commands in GROUPS), _MAKING)
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
