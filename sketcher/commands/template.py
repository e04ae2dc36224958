"""``template``: a bracket's outline at full size, for paper or a cutting table."""

from __future__ import annotations

import argparse
from pathlib import Path

from sketcher.commands.brackets import add_bracket, bracket_index
from sketcher.commands.common import GOOD, CommandError, add_scene, open_scene, write_out
from sketcher.words.units import UNITS

DESCRIPTION = """\
Write a bracket's outline at full size: PDF and SVG with bars that check the printer, DXF in mm
for a plasma or laser table. An outline larger than the paper goes over several PDF pages with
crosses to join them by; an SVG is one sheet as large as it has to be.
"""
EPILOG = """\
examples:
  sketcher template my-van.toml --bracket "mount foot" -o foot.pdf --paper letter
  sketcher template my-van.toml --bracket "mount foot" -o foot.dxf
Print at 100 %, not fitted to the page, and measure the bars before cutting.
"""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "template",
        help="a bracket's outline at full size: PDF, SVG or DXF",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add_scene(parser)
    add_bracket(parser)
    parser.add_argument(
        "-o",
        "--output",
        type=Path,
        required=True,
        metavar="FILE",
        help="write to this file, ending in .pdf, .svg or .dxf",
    )
    parser.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="paper of the PDF (default a4)"
    )
    parser.add_argument(
        "--units", choices=UNITS, default="mm", help="lengths written on it in mm or inches"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write the template."""
    # The drawing loads the window's fonts; other commands must not wait for them.
    from sketcher.paper.template.output import ENDINGS, template_bytes  # noqa: PLC0415
    from sketcher.paper.template.sheets import TooLarge  # noqa: PLC0415

    path: Path = arguments.output
    endings = {ending: ending for ending in ENDINGS}
    ending = endings.get(path.suffix.lower())  # type: ignore[call-overload]
    if ending is None:
        raise CommandError(f"-o: expected a file ending in .pdf, .svg or .dxf, got {path.name}")
    scene = open_scene(arguments).scene
    bracket = scene.brackets[bracket_index(scene, arguments.bracket)]
    try:
        content = template_bytes(bracket, ending, arguments.paper, arguments.units, scene.title)
    except TooLarge as error:
        raise CommandError(f'"{bracket.name}": {error}') from error
    write_out(content, path)
    print(f'"{bracket.name}" written at full size to {path}.')
    return GOOD
