"""What the commands share: naming a scene, a side, a length, and opening the scene."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

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


def add_units(parser: argparse.ArgumentParser) -> None:
    """The unit that lengths are said in."""
    parser.add_argument("--units", choices=UNITS, default="mm", help="lengths in mm or inches")


def add_json(parser: argparse.ArgumentParser) -> None:
    """The same answer for other programs."""
    parser.add_argument("--json", action="store_true", help="the same as JSON, in mm and degrees")


def add_length(parser: argparse.ArgumentParser, says: str) -> None:
    """A length between joint centres."""
    parser.add_argument("--length", type=length_option, metavar="MM", help=says)


def add_side(parser: argparse.ArgumentParser, otherwise: str = "the first there is") -> None:
    """The side of the car; ``otherwise`` says which where none is given."""
    parser.add_argument("--side", choices=SIDES, help=f"left or right shaft (default: {otherwise})")


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


def add_margin(parser: argparse.ArgumentParser) -> None:
    """The margin at the ends of the stroke."""
    parser.add_argument(
        "--margin",
        type=length_option,
        default=DEFAULT_MARGIN,
        metavar="MM",
        help="stroke to keep in hand at each end (default 3)",
    )


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


def one_side(scene: Scene, asked: Side | None) -> Side:
    """The side asked for, or the scene's first."""
    return asked or scene.sides[0]


@contextmanager
def scene_problems(opened: Opened, side: Side | None = None) -> Iterator[None]:
    """Raise what turns out impossible as SceneError, named by the scene's keys."""
    try:
        yield
    except InvalidInput as error:
        raise SceneError(in_scene(error.problems, side), opened.name) from error
