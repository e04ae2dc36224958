"""What the commands on one bracket share: naming it, and keeping the scene that comes out."""

from __future__ import annotations

from pathlib import Path

from scenes.errors import meant
from scenes.model import Scene
from scenes.writing import scene_text
from sketcher.commands.common import Opened, Option
from sketcher.commands.console import CommandError
from sketcher.commands.output import STANDARD_OUTPUT, output_form, to_file, write_out

NOT_KEPT = "Nothing was written; add -o NEW.toml to keep it."


BRACKET = Option(
    "--bracket",
    metavar="NAME",
    help="the bracket, by its name; may be left out where the scene has one only",
)
NEW_SCENE = to_file("NEW.toml", "write the changed scene to this file")


def check_new_scene(opened: Opened, path: Path | None) -> None:
    """Raise CommandError where the changed scene cannot go to this path."""
    if path is not None:
        output_form(path, opened, (".toml",))


def bracket_index(scene: Scene, name: str | None) -> int:
    """Which of the scene's brackets is meant.

    Raises CommandError where there is none of that name, or several.
    """
    names = [bracket.name for bracket in scene.brackets]
    if not names:
        raise CommandError("--bracket: the scene has no [[bracket]]")
    had = ", ".join(f'"{one}"' for one in names)
    if name is None:
        if len(names) == 1:
            return 0
        raise CommandError(f"--bracket: expected one of {had}")
    if name in names:
        return names.index(name)
    said = f'no bracket is named "{name}", there are {had}{meant(name, names)}'
    raise CommandError(f"--bracket: {said}")


def keep(opened: Opened, scene: Scene, path: Path | None) -> str:
    """Write the changed scene, its comments kept, and say so in a line."""
    if path is None:
        return NOT_KEPT
    write_out(scene_text(scene, opened.text).encode("utf-8"), path)
    return f"Written to {'standard output' if path == STANDARD_OUTPUT else path}."
