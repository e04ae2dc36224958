"""What the buttons of the step Making do, each an edit of the side that is shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from kinematics.making.donors import ENDS
from scenes.model import Scene, Side
from sketcher.window.model import making_edits
from sketcher.window.model.desk import Desk


@dataclass(frozen=True, slots=True)
class Action:
    """A button: its name, words and help, and the edit that it makes of scene and side."""

    name: str
    words: str
    help: str
    edit: Callable[[Scene, Side], Scene]
    words_of: Callable[[Desk], str] | None = None

    def run(self, desk: Desk) -> None:
        """Make the edit, as one step."""
        side = desk.side
        desk.do(self.words.lower(), lambda scene: self.edit(scene, side))


def _splice_has(part: str, without: str, with_it: str) -> Callable[[Desk], str]:
    def words(desk: Desk) -> str:
        splice: Any = desk.scene.making(desk.side).splice
        return with_it if splice is not None and getattr(splice, part) else without

    return words


def _stretches() -> Iterator[Action]:
    for end in ENDS:
        yield Action(
            f"add_{end}_stretch",
            "Add a stretch",
            f"Put one stretch more at the end of the {end} donor.",
            partial(making_edits.add_stretch, end=end),
        )
        yield Action(
            f"remove_{end}_stretch",
            "Remove last",
            f"Remove the last stretch of the {end} donor.",
            partial(making_edits.remove_stretch, end=end),
        )


ACTIONS: tuple[Action, ...] = (
    Action(
        "start_making",
        "Start with two donors",
        "Two plain donors and a butt weld in the middle, to be set right.",
        making_edits.start_making,
    ),
    *_stretches(),
    Action(
        "turn_butt",
        "Butt weld",
        "Whether the bars are welded to each other where they meet.",
        making_edits.turn_butt,
        _splice_has("butt", "Add a butt weld", "No butt weld"),
    ),
    Action(
        "turn_spigot",
        "Spigot",
        "Whether one bar has a spigot in a bore of the other, which keeps them in line.",
        making_edits.turn_spigot,
        _splice_has("spigot_mm", "Add a spigot", "No spigot"),
    ),
    Action(
        "turn_sleeve",
        "Sleeve",
        "Whether a sleeve goes over the splice.",
        making_edits.turn_sleeve,
        _splice_has("sleeve", "Add a sleeve", "No sleeve"),
    ),
    Action(
        "turn_drive",
        "Drive",
        "What drives the wheel, for the strength of the shaft.",
        lambda scene, _: making_edits.turn_drive(scene),
        lambda desk: "Add the drive" if desk.scene.drive is None else "Remove the drive",
    ),
    Action(
        "add_reading",
        "Add a reading",
        "One runout reading more, taken after welding.",
        making_edits.add_reading,
    ),
    Action(
        "remove_reading",
        "Remove last",
        "Remove the last runout reading.",
        making_edits.remove_reading,
    ),
)
