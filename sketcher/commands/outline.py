"""``outline``: a bracket's outline taken in from a DXF or SVG drawing."""

from __future__ import annotations

import argparse
import math
from pathlib import Path

from kinematics.errors import InvalidInput
from kinematics.parts import CARRIERS
from sketcher.commands.brackets import NEW_SCENE, check_new_scene, keep
from sketcher.commands.common import Option, length_option, open_scene
from sketcher.commands.console import GOOD, CommandError, tell
from sketcher.commands.output import aside
from sketcher.interchange import outline_file
from sketcher.interchange.loops import OutlineError
from sketcher.words.units import UNITS

DESCRIPTION = """\
Take a bracket's outline from a drawing. DXF: closed polylines, circles, and lines and arcs
that meet end to end. SVG: paths and shapes. Arcs and curves become edges within 0.1 mm.
Without --at a DXF keeps its coordinates (out to the right, up upwards) and an SVG counts
from the lower left of its page. A bracket of that name that is there already is reshaped.
"""
EPILOG = """\
examples:
  sketcher outline my-van.toml foot.dxf --name "mount foot" -o new.toml
  sketcher outline my-van.toml plate.svg --name plate --at 420 210 --fore -30 40 -o new.toml
"""

OPTIONS = (
    Option("drawing", metavar="FILE.dxf|.svg", type=Path, help="the drawing"),
    Option("--name", required=True, metavar="NAME", help="the bracket's name"),
    Option("--mounted-on", choices=CARRIERS, help="what it moves with (default: the body)"),
    Option(
        "--fore",
        nargs=2,
        type=length_option,
        metavar=("REAR", "FRONT"),
        help="its depth, mm (default: every depth)",
    ),
    Option(
        "--at",
        nargs=2,
        type=length_option,
        metavar=("OUT", "UP"),
        help="where the lower left of the box round it comes to, mm",
    ),
    Option(
        "--units",
        choices=UNITS,
        help="what one unit of the drawing is (default: what the drawing says)",
    ),
    Option("--layer", metavar="NAME", help="only this layer of a DXF, or this id of an SVG"),
    Option("--number", type=int, metavar="N", help="which of several outlines, the largest is 1"),
    NEW_SCENE,
)


def run(arguments: argparse.Namespace) -> int:
    """Take the outline in and write the scene that has it."""
    opened = open_scene(arguments)
    check_new_scene(opened, arguments.output)
    choice = outline_file.OutlineChoice(arguments.units, arguments.layer, arguments.number)
    try:
        loop = outline_file.read_outline(arguments.drawing, choice)
    except OutlineError as error:
        raise CommandError(str(error)) from error
    outline = loop.outline
    at, fore = _two("--at", arguments.at), _two("--fore", arguments.fore)
    if at is not None:
        outline = outline_file.placed_outline(outline, at)
    before = len(opened.scene.brackets)
    try:
        scene = outline_file.with_outline(
            opened.scene, arguments.name, outline, mounted_on=arguments.mounted_on, fore=fore
        )
    except InvalidInput as error:
        raise CommandError(f'"{arguments.name}": {error}') from error
    wide, high = loop.size_mm
    done = "taken in" if len(scene.brackets) > before else "reshaped"
    tell(
        f'"{arguments.name}" {done} from {loop.where}: {wide:.2f} x {high:.2f} mm, '
        f"{len(outline)} corners. Check the size against the part.",
        keep(opened, scene, arguments.output),
        to=aside(arguments.output),
    )
    return GOOD


def _two(option: str, numbers: list[float] | None) -> tuple[float, float] | None:
    if numbers is None:
        return None
    if not all(map(math.isfinite, numbers)):
        raise CommandError(f"{option}: expected two numbers in mm")
    return numbers[0], numbers[1]
