"""Pointing out in the sketch: begun, and what a click comes to."""

from __future__ import annotations

from dataclasses import replace

from sketcher.drawing.picture import Point2, View
from sketcher.window.model import reading_edits
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import from_view, point_of, snapped
from sketcher.window.model.pointing import Pointing, PointingFor
from sketcher.window.model.reading_text import line_of
from sketcher.words.units import Unit

READINGS = "Measure/Readings"


def take_up(editor: Editor, what: PointingFor) -> None:
    """Begin to point, or put that away where it is being done already."""
    before = editor.pointing
    editor.pointing = editor.open_outline = editor.message = None
    if before is not None and before.what == what:
        return
    if what == "pin":
        point = point_of(editor.scene, editor.selection)
        editor.pointing = Pointing(what, () if point is None else (editor.selection,))
        return
    editor.pointing = _for_other_points(editor) if what == "other points" else Pointing(what)
    if editor.pointing is not None:
        editor.open_only("Measure", READINGS)


def _for_other_points(editor: Editor) -> Pointing | None:
    """Pointing out other points of the selected reading; None where none is selected."""
    key = editor.selection
    if not key.startswith("reading["):
        editor.say("Select a reading first: it is then given other points.")
        return None
    count = len(editor.scene.readings[reading_edits.place_of(key)].points)
    return Pointing("other points", of=key, wanted=count)


def with_other_points(editor: Editor, unit: Unit) -> str:
    """The line of the reading that is being given other points; empty before all are clicked."""
    pointing = editor.pointing
    if pointing is None or len(pointing.points) != pointing.wanted:
        return ""
    reading = editor.scene.readings[reading_edits.place_of(pointing.of)]
    return line_of(editor.scene, replace(reading, points=pointing.points), unit)


def click_point(editor: Editor, key: str) -> bool:
    """Take a point of the sketch as the reading's next one; whether it is one."""
    pointing, path = editor.pointing, reading_edits.point_at(editor.scene, key)
    if pointing is None or not path:
        return False
    whole = len(pointing.points) == pointing.wanted or path in pointing.points
    points = (path,) if whole else (*pointing.points, path)
    editor.pointing = replace(pointing, points=points)
    return True


def place_mark(editor: Editor, to: Point2, view: View) -> None:
    """Put a mark where the front view, or the view from above, was clicked."""
    out, up, fore = from_view((0.0, 0.0, 0.0), snapped(to, editor.grid_mm), view)
    number = len(editor.scene.marks)
    editor.pointing = None
    if editor.do("mark", lambda scene: reading_edits.add_mark(scene, "", (out, up, fore))):
        editor.select(f"mark[{number}].at")
