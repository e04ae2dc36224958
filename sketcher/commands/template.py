"""``template``: a bracket's outline at full size, for paper or a cutting table."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import cast

from sketcher.commands.brackets import BRACKET, bracket_index
from sketcher.commands.common import Option, open_scene
from sketcher.commands.console import GOOD, CommandError, tell
from sketcher.commands.output import STANDARD_OUTPUT, aside, output_form, to_file, write_out
from sketcher.drawing.formats import ENDINGS, PAPERS, Ending
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

OPTIONS = (
    BRACKET,
    to_file("FILE", "write to this file, ending in .pdf, .svg or .dxf", required=True),
    Option("--paper", choices=PAPERS, default="a4", help="paper of the PDF (default a4)"),
    Option("--units", choices=UNITS, default="mm", help="lengths written on it in mm or inches"),
)


def run(arguments: argparse.Namespace) -> int:
    """Write the template."""
    # The drawing loads the window's fonts; other commands must not wait for them.
    from sketcher.paper.template.output import TooLarge, template_bytes  # noqa: PLC0415

    path: Path = arguments.output
    opened = open_scene(arguments)
    scene = opened.scene
    ending = cast(Ending, output_form(path, opened, ENDINGS))
    bracket = scene.brackets[bracket_index(scene, arguments.bracket)]
    try:
        content = template_bytes(bracket, ending, arguments.paper, arguments.units, scene.title)
    except TooLarge as error:
        raise CommandError(f'"{bracket.name}": {error}') from error
    write_out(content, path)
    written = "standard output" if path == STANDARD_OUTPUT else path
    tell(f'"{bracket.name}" written at full size to {written}.', to=aside(path))
    return GOOD
