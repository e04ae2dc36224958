"""How much of each bracket has to go: worked out beside the frames, shown before it is done."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from kinematics.gaps.trimming import Trim
from kinematics.parts import FrontPoint
from kinematics.shaft.clearing import NothingToTrimAgainst, deepest_cut_mm
from scenes.model import Scene
from sketcher.answers.shown import Shown
from sketcher.answers.trimmed import TrimmedScene, trim_in_scene
from sketcher.window.model.editor import Editor
from sketcher.window.model.edits import bracket_key

NAME = "to trim"


@dataclass(frozen=True, slots=True)
class ToTrim:
    """What has to go of one bracket, by its number: areas at ride height, mm, and how deep."""

    bracket: int
    areas: tuple[tuple[FrontPoint, ...], ...]
    deepest_mm: float
    trimmed: TrimmedScene


def ask_to_trim(editor: Editor, shown: Shown) -> None:
    """Ask how much of each bracket that falls short has to go, once the answer is known."""
    solved = shown.solved
    if solved is None or not solved.exact:
        return
    count = len(editor.scene.brackets)
    short = tuple(
        gap.approach.bracket
        for gap in solved.found.gaps
        if gap.worst.broken and gap.approach.bracket < count
    )
    if short:
        scene = editor.scene
        editor.worker.ask(NAME, scene, lambda: _all_of(scene, short))


def to_trim(editor: Editor) -> tuple[ToTrim, ...]:
    """What has to go, as far as it is worked out for the scene as it stands."""
    found: tuple[ToTrim, ...] | None = editor.worker.last(NAME, editor.scene)
    return found or ()


def trim_selected(editor: Editor) -> None:
    """Trim the selected bracket to clear: at once where it is worked out already."""
    base = bracket_key(editor.selection)
    cut = next((one for one in to_trim(editor) if base == f"bracket[{one.bracket}]"), None)
    if cut is None:
        editor.trim_selected()
    else:
        editor.take_trimmed(cut.trimmed)


def _all_of(scene: Scene, short: tuple[int, ...]) -> tuple[ToTrim, ...]:
    cuts = []
    for index in short:
        try:
            trimmed = trim_in_scene(scene, index)
        except NothingToTrimAgainst:
            continue
        if trimmed.trim.needed:
            cuts.append(ToTrim(index, _areas(trimmed.trim), deepest_cut_mm(trimmed.trim), trimmed))
    return tuple(cuts)


def _areas(found: Trim) -> tuple[tuple[FrontPoint, ...], ...]:
    parts = [part for part in shapely.get_parts(found.cut) if part.geom_type == "Polygon"]
    return tuple(tuple((x, y) for x, y, *_ in part.exterior.coords[:-1]) for part in parts)
