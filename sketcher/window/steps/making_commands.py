"""Commands of the step Making, each an edit of the side that is shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from kinematics.making.donors import ENDS, End
from scenes.model import Scene
from sketcher.window.model import making_edits
from sketcher.window.model.editor import Editor
from sketcher.window.steps.command import Command, on_side

# As many of one end as the form lists to choose from.
_MOST_DONORS = 8


def _making(
    name: str,
    words: str,
    about: str,
    edit: Callable[..., Scene],
    on: Callable[[Editor], bool] | None = None,
    label: Callable[[Editor], str] | None = None,
) -> Command:
    return Command(name, words, about, on_side(words.lower(), edit), (), label, on)


def _splice_has(part: str) -> Callable[[Editor], bool]:
    return lambda editor: bool(getattr(editor.scene.making(editor.side).splice, part, None))


def donor_choices(end: End, listed: int) -> tuple[str, ...]:
    """The boxes that say which of an end's donors is used; nothing where there is but one."""
    return tuple(f"use_{end}_{i}" for i in range(min(listed, _MOST_DONORS))) if listed > 1 else ()


def _used(end: End, place: int) -> Command:
    def name(editor: Editor) -> str:
        listed = editor.scene.making(editor.side).donors(end)
        return listed[place].name if place < len(listed) else ""

    def on(editor: Editor) -> bool:
        making = editor.scene.making(editor.side)
        others = making.hub_others if end == "hub" else making.gearbox_others
        return others.place == place

    return _making(f"use_{end}_{place}", f"Use this {end} donor",
                   f"Whether this of the {end} donors is cut: its fields stand below.",
                   partial(making_edits.use_donor, end=end, place=place), on, name)  # fmt: skip


def _of_end(end: End) -> Iterator[Command]:
    yield _making(f"add_{end}_stretch", "Add a stretch",
                  f"Put one stretch more at the end of the {end} donor.",
                  partial(making_edits.add_stretch, end=end))  # fmt: skip
    yield _making(f"remove_{end}_stretch", "Remove last",
                  f"Remove the last stretch of the {end} donor.",
                  partial(making_edits.remove_stretch, end=end))  # fmt: skip
    for place in range(_MOST_DONORS):
        yield _used(end, place)


MAKING_COMMANDS: tuple[Command, ...] = (
    _making("start_making", "Start with two donors",
            "Two plain donors and a butt weld in the middle, to be set right.",
            making_edits.start_making),
    *(one for end in ENDS for one in _of_end(end)),
    _making("turn_butt", "Butt weld",
            "Whether the bars are welded to each other where they meet.",
            making_edits.turn_butt, _splice_has("butt")),
    _making("turn_spigot", "Spigot", "Whether one bar has a spigot in a bore of the other, which "
            "keeps them in line.", making_edits.turn_spigot, _splice_has("spigot_mm")),
    _making("turn_sleeve", "Sleeve", "Whether a sleeve goes over the splice.",
            making_edits.turn_sleeve, _splice_has("sleeve")),
    _making("turn_drive", "The drive is known",
            "What drives the wheel, for the strength of the shaft.",
            lambda scene, side: making_edits.turn_drive(scene),  # noqa: ARG005
            lambda editor: editor.scene.drive is not None),
    _making("turn_lathe", "The lathe is known",
            "What the lathe takes, for whether the donors go into it.",
            lambda scene, side: making_edits.turn_lathe(scene),  # noqa: ARG005
            lambda editor: editor.scene.lathe is not None),
    _making("add_reading", "Add a reading", "One runout reading more, taken after welding.",
            making_edits.add_reading),
    _making("remove_reading", "Remove last", "Remove the last runout reading.",
            making_edits.remove_reading),
)  # fmt: skip
