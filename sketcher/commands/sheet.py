"""``sheet``: the shop sheet, pages for the bench as a PDF."""

from __future__ import annotations

import argparse

from sketcher.commands import common
from sketcher.commands.answering import EXIT_CODES, examine_sides, exit_code
from sketcher.commands.console import UNUSABLE, tell
from sketcher.commands.output import aside, output_form, to_file, write_out
from sketcher.commands.report_page import verdict_lines
from sketcher.drawing.formats import PAPERS
from sketcher.words.lengths import Lengths

DESCRIPTION = """\
Write the shop sheet: the drawing with the numbers to cut, the window and the tolerance,
the order of work with boxes to tick, the swept-length table, plots, gaps, and what to
check before cutting and after welding. Lengths are in mm with inches beside them, or in
inches. Print it at 100 %.
"""
EPILOG = f"""\
examples:
  sketcher sheet my-van.toml -o van.pdf
  sketcher sheet my-van.toml --side left --paper letter -o left.pdf
{EXIT_CODES}
"""

OPTIONS = (
    common.a_side("both"),
    common.MARGIN,
    common.IN_UNITS,
    common.Option("--paper", choices=PAPERS, default="a4", help="default: a4"),
    common.Option(
        "--date", default="", metavar="TEXT", help="printed as it is (default: a line for the pen)"
    ),
    to_file("FILE.pdf", "write to this file", required=True),
)


def run(arguments: argparse.Namespace) -> int:
    """Write the sheet."""
    opened = common.open_scene(arguments)
    output_form(arguments.output, opened, (".pdf",))
    to = aside(arguments.output)
    found = examine_sides(opened, common.sides_asked(arguments, opened.scene), arguments.margin)
    # Loads the libraries for drawing and for pages, which a refusal does not need.
    from sketcher.paper.shop_sheet.sheet import pages_pdf, subjects_of  # noqa: PLC0415

    subjects = subjects_of(opened.scene, found, unit=arguments.units)
    content = pages_pdf(subjects, paper=arguments.paper, date=arguments.date)
    write_out(content, arguments.output)
    code = exit_code(opened, subjects)
    if code != UNUSABLE:
        for one in subjects:
            tell(*verdict_lines(one, Lengths(arguments.units)), to=to)
    return code
