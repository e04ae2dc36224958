"""The step Brackets: draw them, see what each would hit and where, and take it to the saw."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.gaps.clearance import ClosestApproach
from kinematics.shaft.whole_motion import WorstGap
from scenes.keys import has, value_of
from scenes.model import Scene
from sketcher.answers.shown import Shown
from sketcher.answers.states import State, room_state
from sketcher.answers.trimmed import trim_lines
from sketcher.drawing.bracket_view import bracket_keys
from sketcher.window.model.cutting_back import to_trim
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import bracket_key
from sketcher.window.model.fields import Field, field_of
from sketcher.window.steps.photo_rows import photo_part
from sketcher.window.steps.rows import (
    AXES_HELP,
    Buttons,
    FieldRow,
    Note,
    Row,
    RowHeading,
    Spot,
    WorkStep,
    one,
)
from sketcher.words.answer import place
from sketcher.words.cautions import ON_THE_CAR, hose_gap
from sketcher.words.plain import shortened
from sketcher.words.units import Unit, format_length

# A plate with a hole has fifty corners; a list of them helps nobody.
MOST_CORNERS_LISTED = 24
# Signs: what is said of a bracket stands whole behind its name.
_LONGEST_NAME = 22
_GAPS = "Smallest gap, whole motion; a click goes there"
_OTHERS = "The others"
STATE_WORDS: dict[State, str] = {"good": "clear", "close": "too close", "past": "fouls"}


def _summary(editor: Editor, shown: Shown) -> str:
    count = len(editor.scene.brackets)
    gaps = () if shown.solved is None else shown.solved.found.gaps
    short = [gap for gap in gaps if gap.worst.broken]
    if short:
        first = min(short, key=lambda gap: gap.worst.value)
        more = f" and {len(short) - 1} more" if len(short) > 1 else ""
        name = shortened(first.worst.part, _LONGEST_NAME)
        return f"{name} {STATE_WORDS[_state(first)]}{more}"
    if not count:
        return "none drawn: nothing is checked"
    return f"{count} drawn" + (", all clear" if gaps else "")


def _rows(editor: Editor, shown: Shown) -> Iterator[Row]:
    scene = editor.scene
    spots = _spots(editor, shown)
    base = bracket_key(editor.selection)
    yield RowHeading("Draw, make or take in")
    yield Buttons(("draw_bracket", "draw_plate", "draw_round"))
    yield Buttons(("draw_hole", "take_in", "add_bracket"))
    yield Buttons(("keep_square", "catch_points"))
    if not scene.brackets:
        yield Note(
            "Draw what the shaft could touch: mounts, rails, pipes. Without brackets "
            "nothing is checked for gaps."
        )
        yield Buttons(("nothing_near",))
    elif has(scene, base):
        yield from _bracket_rows(editor, base, [spot for spot in spots if spot.key == base])
        spots = [spot for spot in spots if spot.key != base]
    if spots:
        yield RowHeading(_OTHERS if has(scene, base) else _GAPS)
        yield from spots
    yield from _section_rows(scene, editor)
    if scene.brackets:
        yield Note(f"{hose_gap(editor.unit)} {ON_THE_CAR}", lines=5)
    yield from photo_part(editor)


def _spots(editor: Editor, shown: Shown) -> list[Spot]:
    """The smallest gap of each thing over the whole motion; a click goes there."""
    if shown.solved is None:
        return []
    keys = bracket_keys(editor.scene)
    return [
        Spot(
            f"{shortened(gap.worst.part, _LONGEST_NAME)}: {gap_words(gap, editor.unit)}",
            f"Wanted {format_length(gap.worst.limit, editor.unit)}. "
            f"At {place(gap.worst.position, editor.scene, editor.unit)}: {meeting(gap.approach)}.",
            _state(gap),
            gap.worst.position,
            keys[gap.approach.bracket],
        )
        for gap in shown.solved.found.gaps
        if gap.approach.bracket < len(keys)
    ]


def gap_words(gap: WorstGap, unit: Unit) -> str:
    """A bracket's smallest gap and how it stands, in words."""
    state, value = _state(gap), gap.worst.value
    if state == "past":
        return f"fouls, overlap {format_length(-value, unit, rounding='up')}"
    return f"{STATE_WORDS[state]}, gap {format_length(value, unit, rounding='down')}"


def meeting(approach: ClosestApproach) -> str:
    """What of the shaft comes closest to what of the bracket."""
    section = approach.section_name or "shaft"
    if approach.corner is None:
        return f"{section} against its {approach.feature}"
    if approach.feature == "corner":
        return f"{section} against corner {approach.corner + 1}"
    return f"{section} against the edge from corner {approach.corner + 1}"


def _state(gap: WorstGap) -> State:
    return room_state(gap.worst.value, gap.worst.limit)


def _bracket_rows(editor: Editor, key: str, spots: list[Spot]) -> Iterator[Row]:
    yield RowHeading("Selected")
    yield one("name", field_of(f"{key}.name"))
    yield one("mounted on", field_of(f"{key}.mounted_on"))
    yield one("depth", field_of(f"{key}.fore"))
    yield one("wanted gap", field_of(f"{key}.wanted_gap"))
    if spots:
        yield RowHeading(_GAPS)
        yield from spots
    yield from _trim_rows(editor, key, late=any(spot.state != "good" for spot in spots))
    yield Buttons(("copy_bracket", "mirror_bracket", "remove"))
    yield Buttons(("turn_left", "turn_right", "add_corner"))
    corners = len(value_of(editor.scene, key).outline)
    yield RowHeading("Corners\tout\tup\tto next")
    for i in range(min(corners, MOST_CORNERS_LISTED)):
        yield _corner_row(key, i)
    if corners > MOST_CORNERS_LISTED:
        yield Note(f"And {corners - MOST_CORNERS_LISTED} more; drag those in the sketch.", lines=1)


def _trim_rows(editor: Editor, key: str, *, late: bool) -> Iterator[Row]:
    """What to take away; ``late``, room is kept for it while it is worked out."""
    yield Buttons(("trim", "template"))
    cut = next((one for one in to_trim(editor) if key == f"bracket[{one.bracket}]"), None)
    words = "" if cut is None else " ".join(trim_lines(cut.trimmed.trim, editor.unit))
    if words or late:
        yield Note(words, lines=5)


def _corner_row(key: str, i: int) -> FieldRow:
    axes = tuple(
        Field(f"{key}.outline[{i}][{j}]", f"corner {i + 1}, {axis}", help=AXES_HELP[j])
        for j, axis in enumerate(("out", "up"))
    )
    about = "Length of the edge to the next corner, which moves along it."
    edge = Field(f"{key}.edge[{i}]", f"edge from corner {i + 1}", help=about)
    return FieldRow(f"corner {i + 1}", (*axes, edge), f"{key}.outline[{i}]")


def _section_rows(scene: Scene, editor: Editor) -> Iterator[Row]:
    yield RowHeading("Shaft outline\tfrom\tto\tdiameter")
    shaft = scene.shaft(editor.side)
    sections = shaft.sections if shaft else ()
    if not sections:
        yield Note("No sections: without bars and boots there is nothing to touch a bracket.")
        yield Buttons(("start_outline",))
    for i, section in enumerate(sections):
        key = f"shafts.{editor.side}.section[{i}]"
        about = "Along the shaft, from the outer joint's centre."
        ends = tuple(field_of(f"{key}.{e}", section.name, help_=about) for e in ("from", "to"))
        across = field_of(f"{key}.diameter", section.name)
        # Two diameters in inches are too long for a column.
        apart = editor.unit == "in" and section.diameter[0] != section.diameter[1]
        label = section.name or f"section {i + 1}"
        yield FieldRow(label, ends if apart else (*ends, across), key)
        if apart:
            yield FieldRow("  diameter", (across,), key)


BRACKETS_STEP = WorkStep("Brackets", _summary, _rows)
