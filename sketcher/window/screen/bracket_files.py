"""Outlines to the saw and from a drawing: templates written, outlines taken in."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import cast

import shapely

from kinematics.gaps.outlines import Outline
from kinematics.parts import Bracket
from scenes.keys import has, value_of
from sketcher.answers.trimmed import area
from sketcher.commands.output import write_out
from sketcher.drawing.formats import ENDINGS, Ending
from sketcher.drawing.picture import box_of
from sketcher.interchange.loops import Loop, OutlineError
from sketcher.interchange.outline_file import OutlineChoice, outlines_in, placed_outline
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import bracket_key
from sketcher.window.screen import dialogs
from sketcher.words.plain import Refused, printable
from sketcher.words.units import Unit, format_length

PutUp = Callable[[dialogs.Dialog], None]
# Title, endings, what to do with the path, and the name to begin with.
AskFile = Callable[[str, tuple[str, ...], Callable[[Path], None], str], None]


def ask_template(editor: Editor, ask_file: AskFile) -> None:
    """Ask for a file and write the selected bracket's template, full size."""
    base = bracket_key(editor.selection)
    if not has(editor.scene, base):
        editor.say("Select a bracket first: its template is written at full size.")
        return
    bracket: Bracket = value_of(editor.scene, base)
    stem = "-".join(bracket.name.split()) or "bracket"
    safe = "".join(c for c in stem if c.isalnum() or c in "-_") or "bracket"
    write = partial(write_template, editor, bracket)
    ask_file("Write the template at full size: .pdf, .svg or .dxf", ENDINGS, write, safe)


def write_template(editor: Editor, bracket: Bracket, path: Path) -> None:
    """Write a template; what is wrong with it is told in one line."""
    # Loads the libraries for pages and drawings, which nothing else of the window needs.
    from sketcher.paper.template.output import TooLarge, template_bytes  # noqa: PLC0415

    ending = cast(Ending, path.suffix.lower())
    try:
        write_out(template_bytes(bracket, ending, unit=editor.unit, of=editor.scene.title), path)
    except (Refused, TooLarge) as error:
        editor.refuse(str(error))
    else:
        check = "" if ending == ".dxf" else " Print at 100 % and check its ruler before cutting."
        editor.say(f"Template written to {path.name}.{check}")


def take_in(editor: Editor, put_up: PutUp, path: Path, unit: Unit | None = None) -> None:
    """Take in an outline; which one, and in what unit, is asked where the file does not say."""
    try:
        loops = outlines_in(path, OutlineChoice(unit))
    except OutlineError as error:
        if unit is None and "say whether it is in mm or in inches" in str(error):
            _ask_unit(editor, put_up, path)
        else:
            editor.refuse(str(error).replace(f"{path}:", f"{path.name}:"))
        return
    if len(loops) == 1:
        add_outline(editor, loops[0].outline, path.stem)
    else:
        _ask_which(editor, put_up, path, loops)


def add_outline(editor: Editor, outline: Outline, name: str) -> None:
    """A bracket of an outline, where it was drawn; in the middle of the view if that is nowhere."""
    box = box_of(outline)
    camera = editor.cameras["front"]
    moved = not camera.box.holds(box.centre)
    if moved:
        x, y = camera.centre
        outline = placed_outline(outline, (round(x - box.width / 2), round(y - box.height / 2)))
    if editor.add_bracket(outline, name or "outline"):
        where = " Its place was out of sight: it is put in the middle." if moved else ""
        width, height = (format_length(side, editor.unit) for side in (box.width, box.height))
        editor.say(f"Taken in: {len(outline)} corners, {width} by {height}.{where}")


def _ask_unit(editor: Editor, put_up: PutUp, path: Path) -> None:
    put_up(
        dialogs.ChoiceDialog(
            "In what unit is it drawn?",
            f"{dialogs.strong(path.name)} does not say whether it is drawn in mm or inches.",
            (
                ("mm", partial(take_in, editor, put_up, path, "mm")),
                ("Inches", partial(take_in, editor, put_up, path, "in")),
                ("Cancel", dialogs.nothing),
            ),
        )
    )


def _ask_which(editor: Editor, put_up: PutUp, path: Path, loops: tuple[Loop, ...]) -> None:
    items = []
    for i, loop in enumerate(loops[:20]):
        box = box_of(loop.outline)
        size = " by ".join(format_length(side, editor.unit) for side in (box.width, box.height))
        large = area(shapely.Polygon(loop.outline).area, editor.unit)
        items.append((f"{i + 1}: {size}, {len(loop.outline)} corners, {large}", str(i)))

    def pick(name: str) -> None:
        add_outline(editor, loops[int(name)].outline, path.stem)

    title = f"{printable(path.name)} holds {len(loops)} outlines: which one?"
    put_up(dialogs.Pick(title, items, pick))
