"""``picture``: the sketch, the view from above, the plots or all of them, as PNG or SVG."""

from __future__ import annotations

import argparse
import math
import re
from pathlib import Path

from kinematics.linkage.motion import reach_of
from kinematics.linkage.reach import Reach
from scenes.model import Scene, Side
from sketcher.commands import common
from sketcher.commands.console import BROKEN, GOOD, CommandError, complain
from sketcher.commands.output import output_form, to_file, write_out
from sketcher.drawing.formats import SCALES
from sketcher.drawing.style import THEMES, style
from sketcher.drawing.surface import page_png
from sketcher.drawing.svg import svg_text, svg_tree
from sketcher.paper.picture_page import WHATS, What, paper_page, pixel_page
from sketcher.paper.picture_subject import PictureSubject
from sketcher.words.answer import brief

SIZES: dict[What, tuple[int, int]] = {
    "sketch": (1200, 1000),
    "above": (1200, 1000),
    "plots": (640, 1000),
    "cuts": (1200, 640),
    "sheet": (1600, 1000),
}
SMALLEST, LARGEST = (320, 240), (7680, 4320)
LEAST_OF_SHEET = (960, 600)
# Larger pictures are painted at their own size: their lines are wide enough to look smooth.
_SMOOTHED_PIXELS = 3840 * 2160
_TYPED_SIZE = re.compile(r"(\d{1,5})[xX×](\d{1,5})")
_TYPED_SCALE = re.compile(r"1\s*[:/]\s*(\d{1,3})")

DESCRIPTION = """\
Draw a scene at one position, as PNG in pixels or as SVG to scale in mm. No screen is needed.
"""
EPILOG = """\
An SVG is an A4 page (A3 for the sheet) at the largest of the scales 1:1, 1:2, 1:5, 1:10...
that fits it; with --scale the page is as large as it takes. Print it without fitting it to
the paper, and check the scale bar with a rule.

examples:
  sketcher picture my-van.toml -o van.png --travel -40 --steer 20
  sketcher picture my-van.toml -o van.svg --scale 1:2 --side right
  sketcher picture my-van.toml -o sheet.png --what sheet --size 1920x1080 --theme dark
exit code: 0 it is written; 1 do not cut or not sure enough, of the cuts and the sheet, which tell
so; 2 the scene cannot be read or solved
"""


def _size(word: str) -> tuple[int, int]:
    found = _TYPED_SIZE.fullmatch(word)
    if found is None:
        raise argparse.ArgumentTypeError(f'expected a size in px such as 1600x1000, got "{word}"')
    return (int(found[1]), int(found[2]))


def _scale(word: str) -> float:
    found = _TYPED_SCALE.fullmatch(word)
    scale = 1.0 / int(found[1]) if found and int(found[1]) else None
    if scale not in SCALES:
        scales = ", ".join(f"1:{1 / one:.0f}" for one in SCALES)
        raise argparse.ArgumentTypeError(f'expected one of {scales}, got "{word}"')
    return scale


OPTIONS = (
    to_file("FILE", "write to this file, .png, or .svg to scale", required=True),
    common.Option(
        "--what",
        choices=WHATS,
        default="sketch",
        help="front view, view from above, plots, where both donors are cut, or all but the cuts "
        "in one (default: sketch)",
    ),
    common.a_side(),
    common.Option(
        "--travel",
        type=common.length_option,
        default=0.0,
        metavar="MM",
        help="wheel travel, bump +, droop − (default: ride height)",
    ),
    common.Option(
        "--steer",
        type=float,
        default=0.0,
        metavar="DEG",
        help="steer angle, + where the front of the wheel moves outboard (default: straight)",
    ),
    common.Option("--size", type=_size, metavar="WxH", help="px, of a PNG"),
    common.Option("--scale", type=_scale, metavar="1:N", help="of an SVG"),
    common.Option("--theme", choices=THEMES, default="light", help="light or dark paper"),
    common.IN_UNITS,
)


def run(arguments: argparse.Namespace) -> int:
    """Draw the picture and write it."""
    path: Path = arguments.output
    opened = common.open_scene(arguments)
    # Where the name does not say, the options do.
    endings = (".svg", ".png") if arguments.scale is not None else (".png", ".svg")
    svg = output_form(path, opened, endings) == ".svg"
    _check_form(arguments, svg=svg)
    scene, side = opened.scene, common.sides_asked(arguments, opened.scene)[0]
    _require_position(scene, side, arguments.travel, arguments.steer)
    subject = PictureSubject.of(
        scene, side, arguments.travel, arguments.steer, unit=arguments.units, theme=arguments.theme
    )
    judged = arguments.what in ("cuts", "sheet")
    if arguments.what == "cuts" and not subject.lacking and subject.told.forbids:
        complain(f"--what cuts: {subject.told.line} {' '.join(subject.told.because)}")
        return BROKEN
    if svg:
        content = svg_bytes(subject, arguments.what, arguments.scale)
    else:
        content = png_bytes(subject, arguments.what, arguments.size)
    write_out(content, path)
    return BROKEN if judged and not subject.told.fits else GOOD


def png_bytes(subject: PictureSubject, what: What, size: tuple[int, int] | None = None) -> bytes:
    """The picture as a PNG file's bytes; the same subject always gives the same bytes."""
    width, height = size or SIZES[what]
    fineness = 2 if width * height <= _SMOOTHED_PIXELS else 1
    page = pixel_page(subject, what, width, height)
    return page_png(page, subject.theme, fineness=fineness)


def svg_bytes(subject: PictureSubject, what: What, scale: float | None = None) -> bytes:
    """The picture as an SVG file's bytes, to scale; the same subject gives the same bytes.

    Raises CommandError for a scale at which no sheet is large enough.
    """
    page, words = paper_page(subject, what, scale)
    title = subject.scene.title
    tree = svg_tree(page, style(subject.theme), title=title, description=words)
    return svg_text(tree).encode("utf-8")


def _check_form(arguments: argparse.Namespace, *, svg: bool) -> None:
    """Refuse options that belong to the other."""
    if svg and arguments.size is not None:
        raise CommandError("--size: expected with a .png; an .svg is drawn to scale, see --scale")
    if arguments.scale is not None and (not svg or arguments.what == "plots"):
        raise CommandError("--scale: expected with an .svg of the sketch, not with plots or a .png")
    if arguments.size is not None:
        least = LEAST_OF_SHEET if arguments.what == "sheet" else SMALLEST
        width, height = arguments.size
        if not (least[0] <= width <= LARGEST[0] and least[1] <= height <= LARGEST[1]):
            raise CommandError(
                f"--size: expected from {least[0]}x{least[1]} to {LARGEST[0]}x{LARGEST[1]}, "
                f"got {width}x{height}"
            )


def _require_position(scene: Scene, side: Side, travel_mm: float, steer_deg: float) -> None:
    """Raise CommandError for a position outside the scene's travel, its locks, or its reach."""
    corner = scene.corner(side)
    low, high = _within_reach(scene, reach_of(corner.linkage, corner.hub))
    if not low <= travel_mm <= high:
        reachable = f"from {brief(low, sign=True)} to {brief(high, sign=True)} mm"
        raise CommandError(
            f"--travel: expected within the scene's travel and the linkage's reach, {reachable}, "
            f"got {travel_mm:g}"
        )
    common.require_within_locks(steer_deg, *scene.steer_range)


def _within_reach(scene: Scene, reach: Reach) -> tuple[float, float]:
    """The travel that the scene asks for, as far as the linkage reaches; rounded inwards."""
    low, high = scene.travel_range
    if reach.lowest_mm > low:
        low = math.ceil(reach.lowest_mm * 10.0) / 10.0
    if reach.highest_mm < high:
        high = math.floor(reach.highest_mm * 10.0) / 10.0
    return low, high
