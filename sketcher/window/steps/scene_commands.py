"""Commands that change the scene: length, brackets, readings, photo, trial fit, linkage."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial

from scenes.model import SIDES, Scene, Side
from sketcher.window.model import certainty_edits, edits, reading_edits
from sketcher.window.model.bracket_drawing import add_corner, copy_selected, take_up
from sketcher.window.model.cutting_back import trim_selected
from sketcher.window.model.editor import Editor, name_of
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.model.open_outline import Shape
from sketcher.window.model.photo_pins import remove_photo, remove_pin
from sketcher.window.model.pointing import PointingFor
from sketcher.window.model.start import start_outline
from sketcher.window.steps.certainty_rows import doubted
from sketcher.window.steps.command import Act, Command, by_window, on_side
from sketcher.window.steps.placement_rows import use_best_place
from sketcher.window.steps.trial_step import use_fitted

# Commands that have something pointed out in the sketch, and what.
POINTED: Mapping[str, PointingFor] = {
    "take_reading": "reading",
    "place_mark": "mark",
    "other_points": "other points",
    "set_pin": "pin",
}


def _bracket(label: str, edit: Callable[..., Scene]) -> Act:
    def run(editor: Editor) -> None:
        base = edits.bracket_key(editor.selection)
        if base:
            editor.do(label, partial(edit, key=base))
        else:
            editor.say("Select a bracket first.")

    return run


def _or_put_away(what: Shape | PointingFor, words: str) -> Callable[[Editor], str]:
    def label(editor: Editor) -> str:
        drawn, pointing = editor.open_outline, editor.pointing
        now = drawn.shape if drawn is not None else pointing.what if pointing is not None else ""
        return "Put away" if now == what else words

    return label


def _keep_square(editor: Editor) -> None:
    editor.snapping.square_on = not editor.snapping.square_on


def _catch_points(editor: Editor) -> None:
    editor.snapping.catch_on = not editor.snapping.catch_on


def _stays_so(side: Side) -> Callable[[Editor], bool]:
    def on(editor: Editor) -> bool:
        shaft = editor.scene.shaft(side)
        return shaft is not None and edits.stroke_stays(shaft.inner_joint)

    return on


def _on_scene(step: str, edit: Callable[[Scene], Scene]) -> Act:
    return lambda editor: editor.do(step, edit)


def _steers(editor: Editor) -> None:
    editor.do("steering", partial(edits.steer, steers=not editor.scene.steers))


def _change_linkage(editor: Editor, kind: str) -> None:
    before = editor.scene
    if before.linkage.kind == kind:
        editor.say(f"The linkage is {kind} already.")
    elif editor.do("kind of linkage", partial(change_linkage, kind=kind)):
        gone = " The axle no longer steers: measured positions are taken straight ahead."
        steered = before.steering is not None and editor.scene.steering is None
        start = "Its points are a start: measure every one. Undo gives the other linkage back."
        editor.say(start + (gone if steered else ""))


def _has_linkage(editor: Editor, kind: str) -> bool:
    return editor.scene.linkage.kind == kind


def _own_error(editor: Editor) -> None:
    thing = doubted(editor)
    if thing:
        editor.do("tape error", partial(certainty_edits.turn_own_error, thing=thing))
    else:
        editor.say("Select a point first: it then gets a tape error of its own.")


def _own_error_words(editor: Editor) -> str:
    thing = doubted(editor)
    return f"{name_of(thing)}: own error" if thing else "Own error for a point"


def _has_own_error(editor: Editor) -> bool:
    thing = doubted(editor)
    return bool(thing) and certainty_edits.has_own_error(editor.scene, thing)


def _put_back(editor: Editor) -> None:
    if editor.do("points put where readings say", reading_edits.put_back):
        editor.say("Every point is where its readings put it.")


SCENE_COMMANDS = (
    Command("undo", "Undo", "Take back the last step; without end.", Editor.undo, ("ctrl+z",)),
    Command("redo", "Redo", "Do again what was taken back.", Editor.redo,
            ("ctrl+y", "ctrl+shift+z")),
    Command("ride_centred", "Ride-centred", "Make the shaft as long as puts the inner joint at "
            "mid-stroke at ride height.", on_side("ride-centred length", edits.to_ride_centred),
            ("ctrl+r",)),
    Command("middle", "Middle of window", "Make the shaft as long as the middle of its window.",
            Editor.use_middle_of_window, ("ctrl+m",)),
    Command("undecided", "No length yet", "Leave the length open: the ride-centred length is "
            "used, whatever becomes of the points.",
            on_side("length left open", partial(edits.set_length, length_mm=None))),
    Command("add_bracket", "Rectangle", "Add a rectangle in the middle of the view, to be "
            "dragged into shape.", Editor.add_bracket_in_view, ("b",)),
    Command("draw_bracket", "Draw a bracket", "Draw an outline: drag a rectangle, or click "
            "corner after corner.", partial(take_up, shape="outline"), ("d",),
            _or_put_away("outline", "Bracket")),
    Command("draw_plate", "Draw a plate", "Draw a plate of one thickness along a line, bend after "
            "bend.", partial(take_up, shape="plate"), ("l",), _or_put_away("plate", "Plate")),
    Command("draw_round", "Draw a disc", "Draw a round bracket from its centre: a tube, a bolt's "
            "head.", partial(take_up, shape="round"), ("o",), _or_put_away("round", "Disc")),
    Command("draw_hole", "Make a hole", "Make a hole in the selected bracket, from its centre.",
            partial(take_up, shape="hole"), ("h",), _or_put_away("hole", "Hole")),
    Command("keep_square", "Right angles", "Drawing and dragging keep right angles, as while "
            "Shift is held.", _keep_square, ("r",), on=lambda editor: editor.snapping.square_on),
    Command("catch_points", "Catch points", "Drawing and dragging catch corners and points nearby, "
            "as while Ctrl is held.", _catch_points, ("c",),
            on=lambda editor: editor.snapping.catch_on),
    Command("take_in", "From drawing", "Make a bracket of a closed outline in a DXF or SVG "
            "drawing.", by_window),
    Command("template", "Template", "Write the selected bracket at full size, to cut by: PDF, SVG "
            "or DXF.", by_window),
    Command("copy_bracket", "Copy", "Put a copy beside the selected bracket.",
            copy_selected, ("ctrl+d",)),
    Command("mirror_bracket", "Mirror", "Mirror the selected bracket left to right.",
            _bracket("mirror bracket", edits.mirror_bracket)),
    Command("turn_left", "Turn +5°", "Turn the selected bracket counter-clockwise.",
            _bracket("turn bracket", partial(edits.turn_bracket, angle_deg=5.0))),
    Command("turn_right", "Turn −5°", "Turn the selected bracket clockwise.",
            _bracket("turn bracket", partial(edits.turn_bracket, angle_deg=-5.0))),
    Command("add_corner", "Add corner", "Put a corner after the selected one, or in the middle of "
            "the longest edge. A double click on any edge does so there.", add_corner),
    Command("trim", "Trim to clear", "Cut off the selected bracket what comes closer than its "
            "wanted gap, over the whole motion.", trim_selected),
    Command("remove", "Remove", "Remove what is selected: a bracket, a corner, a reading, a mark.",
            Editor.remove_selected, ("delete", "backspace")),
    Command("take_reading", "Pick points", "Take a reading: click its one or two points in the "
            "sketch, and type the number.", by_window, ("n",),
            _or_put_away("reading", "Pick points")),
    Command("place_mark", "Place a mark", "Put a mark where the sketch is clicked: a hole, a bolt "
            "head, a chalk cross that the tape is held to.", by_window, (),
            _or_put_away("mark", "Place a mark")),
    Command("reading_sheet", "Sheet to take along", "Write the measure list as PDF: the drawing "
            "with its letters, a box for each reading in the order in which one crawls.",
            by_window),
    Command("blank_sheet", "The same, blank", "Write the measure list with empty boxes, for what "
            "is typed already, too.", by_window),
    Command("put_back", "Put points back", "Put every point where its readings say it is.",
            _put_back, ("k",)),
    Command("other_points", "Pick other points", "Give the selected reading other points: click "
            "them in the sketch.", by_window, (),
            _or_put_away("other points", "Pick other points")),
    Command("drop_reading", "Remove reading", "Remove the selected reading.",
            Editor.remove_selected),
    Command("drop_mark", "Remove mark", "Remove the selected mark, and the readings that are of "
            "it.", Editor.remove_selected),
    Command("take_in_photo", "Take in a photo", "Lay a photo, JPEG or PNG, under the front view to "
            "trace over. It decides no number.", by_window, (),
            lambda editor: "Another photo" if editor.scene.photo else "Take in a photo"),
    Command("set_pin", "Set a pin", "Pin the photo: click a point of the sketch, then where the "
            "photo shows it. Two pins give scale and turn, four and more take the perspective out.",
            by_window, (), _or_put_away("pin", "Set a pin")),
    Command("remove_pin", "Remove pin", "Remove the selected pin, or the last.", remove_pin),
    Command("remove_photo", "Remove photo", "Take the photo away; its file stays where it is.",
            remove_photo),
    Command("own_error", "Own error", "Give the selected point a tape error of its own, or take it "
            "away again.", _own_error, (), _own_error_words, _has_own_error),
    Command("trial_quantity", "These are plunges", "What was measured at the trial fit: swept "
            "lengths, or plunges from mid-stroke.",
            on_side("trial fit", certainty_edits.turn_quantity),
            on=lambda e: certainty_edits.measured_quantity(e.scene, e.side) == "plunge"),
    Command("remove_measurement", "Remove last", "Remove the last measurement of the trial fit.",
            on_side("remove measurement", certainty_edits.remove_last_measurement)),
    Command("use_fitted", "Use fitted points", "Move the points to where the trial fit puts them; "
            "undo gives them back.", use_fitted),
    Command("use_best_place", "Shift gearbox to best", "Move the inner joints, and the brackets on "
            "the gearbox, to the best place.", use_best_place),
    *(Command(kind, kind.capitalize(), f"{words}.", partial(_change_linkage, kind=kind),
              on=partial(_has_linkage, kind=kind)) for kind, words in (
        ("strut", "The linkage is a strut over one arm"),
        ("wishbones", "The linkage is two arms"),
        ("measured", "No linkage: places of the outer joint taken on the car at several travels"),
    )),
    Command("steers", "This axle steers", "Whether this axle steers.", _steers,
            on=lambda editor: editor.scene.steers),
    Command("solid_mounts", "Solid mounts", "Say that the gearbox does not move on its mounts.",
            _on_scene("solid mounts", edits.turn_solid_mounts),
            on=lambda editor: "gearbox.movement" in editor.scene.none_of),
    *(Command(f"stroke_stays_{side}", "Stroke stays as it bends", "Say that the joint has the same "
              "stroke at every angle.", _on_scene("stroke at angle",
              partial(edits.turn_stroke_stays, side=side)), on=_stays_so(side)) for side in SIDES),
    Command("start_outline", "Start with a bar and two boots", "A plain outline for the shaft, to "
            "be set right.", on_side("shaft outline", start_outline)),
    Command("nothing_near", "Nothing stands near", "Say that there is nothing that the shaft could "
            "touch.", _on_scene("nothing near", edits.turn_nothing_near),
            on=lambda editor: "bracket" in editor.scene.none_of),
)  # fmt: skip
