"""What the commands share: naming a scene, a side, a length, and opening the scene."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kinematics.errors import InvalidInput
from kinematics.parts import DEFAULT_MARGIN
from scenes.errors import SceneError
from scenes.library import example_names, example_text
from scenes.model import SIDES, Scene, Side
from scenes.part_keys import in_scene
from scenes.reading import parse_scene, read_text
from sketcher.commands.console import CommandError
from sketcher.words.units import UNITS, LengthError, parse_length


@dataclass(frozen=True, slots=True)
class Opened:
    """A scene, the text it was read from, and the name to show for it."""

    scene: Scene
    text: str
    name: str
    path: Path | None


def add_scene(parser: argparse.ArgumentParser) -> None:
    """Arguments that name the scene: a file, or an example."""
    parser.add_argument("scene", metavar="SCENE", nargs="?", type=Path, help="a scene file (TOML)")
    parser.add_argument("--example", metavar="NAME", help="an installed example instead, see below")
    # Not in the option's help, where a name would be broken at its hyphen.
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    names = textwrap.fill(
        ", ".join(example_names()),
        width=90,
        initial_indent="  ",
        subsequent_indent="  ",
        break_on_hyphens=False,
    )
    parser.epilog = f"{parser.epilog or ''}\nNAME is one of\n{names}\n"


class Option:
    """Something that a command may be asked for besides the scene, as argparse takes it."""

    def __init__(self, *flags: str, **settings: Any) -> None:
        self.flags, self.settings = flags, settings

    def add_to(self, parser: argparse.ArgumentParser) -> None:
        """Let the command be asked for it."""
        parser.add_argument(*self.flags, **self.settings)


def length_option(word: str) -> float:
    """A length typed as an option, mm or with its unit.

    Raises ArgumentTypeError for a word that is none.
    """
    try:
        return float(word)
    except ValueError:
        try:
            return parse_length(word)
        except LengthError as error:
            raise argparse.ArgumentTypeError(str(error)) from error


IN_UNITS = Option("--units", choices=UNITS, default="mm", help="lengths in mm or inches")
AS_JSON = Option("--json", action="store_true", help="the same as JSON, in mm and degrees")
MARGIN = Option(
    "--margin",
    type=length_option,
    default=DEFAULT_MARGIN,
    metavar="MM",
    help="stroke to keep in hand at each end (default 3)",
)


def a_length(says: str) -> Option:
    """A length between joint centres."""
    return Option("--length", type=length_option, metavar="MM", help=says)


def a_side(otherwise: str = "the first there is") -> Option:
    """The side of the car; ``otherwise`` says which where none is given."""
    return Option("--side", choices=SIDES, help=f"left or right shaft (default: {otherwise})")


def open_scene(arguments: argparse.Namespace) -> Opened:
    """The scene that the arguments name.

    Raises SceneError where it cannot be read, CommandError where none or two are named, and for
    a margin that is none.
    """
    margin_mm = getattr(arguments, "margin", DEFAULT_MARGIN)
    if not 0.0 <= margin_mm < float("inf"):
        raise CommandError(f"--margin: expected mm, 0 or more, got {margin_mm:g}")
    path: Path | None = arguments.scene
    name: str | None = arguments.example
    if (path is None) == (name is None):
        raise CommandError("expected a scene file, or --example NAME")
    if path is not None:
        text = read_text(path)
        return Opened(parse_scene(text, str(path)), text, str(path), path)
    assert name is not None
    text = example_text(name)
    return Opened(parse_scene(text, name), text, name, None)


def sides_asked(arguments: argparse.Namespace, scene: Scene) -> tuple[Side, ...]:
    """The side asked for, or all that the scene has, left first."""
    return (arguments.side,) if arguments.side else scene.sides


def require_within_locks(steer_deg: float, low_deg: float, high_deg: float) -> None:
    """Raise CommandError for a steer angle beyond the locks, or any where nothing steers."""
    if not low_deg <= steer_deg <= high_deg:
        steers = high_deg > low_deg
        held = f"from {low_deg:g} to {high_deg:+g} deg" if steers else "only 0 (no steering)"
        wanted = f"an angle within the locks, {held}"
        raise CommandError(f"--steer: expected {wanted}, got {steer_deg:g}")


@contextmanager
def scene_problems(opened: Opened, side: Side | None = None) -> Iterator[None]:
    """Raise what turns out impossible as SceneError, named by the scene's keys."""
    try:
        yield
    except InvalidInput as error:
        raise SceneError(in_scene(error.problems, side), opened.name) from error
