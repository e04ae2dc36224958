"""``placement``: where to weld the gearbox mounts that are only tacked."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator, Sequence

from kinematics.shaft.placement import Place, Placement
from scenes.model import Scene
from sketcher.answers import placed
from sketcher.answers.verdict import Answered
from sketcher.commands import common
from sketcher.commands.answering import answer_sides, exit_code, verdict_json
from sketcher.commands.brackets import NEW_SCENE, NOT_KEPT, check_new_scene, keep
from sketcher.commands.console import print_json, tell
from sketcher.commands.output import aside
from sketcher.commands.report_page import REPORT_WIDTH, caution_lines, row, verdict_lines
from sketcher.words.cautions import ON_THE_CAR
from sketcher.words.lengths import Lengths
from sketcher.words.plain import titled
from sketcher.words.units import Unit, format_length

DESCRIPTION = """\
While the gearbox mounts are still tacked: the shift that leaves the most stroke, joint angle
and gap on both sides at once, and a small map of what other places leave. How far the mounts
let the gearbox go stands in the scene, in mm each way or as [least, most]:

  [gearbox.placement]
  out = 6                       # sideways; + of [least, most] is towards the car's left
  up = [-4, 10]

A shaft with a length keeps it, unless --free; one without takes the middle of its window.
"""
EPILOG = """\
example:
  sketcher placement my-van.toml -o my-van-shifted.toml
exit code: 1 while there is room: not sure enough, or do not cut; 2 no answer
"""
MAP_KEY = (
    "0 to 9: tenths that the worst limit keeps of the most it has anywhere in the room; "
    "* best, + as drawn, - a limit is broken; across: towards the car's right to its left; "
    "upwards: down to up"
)

OPTIONS = (
    common.MARGIN,
    common.Option(
        "--free",
        action="store_true",
        help="shafts of any length; written, their lengths are left open",
    ),
    common.IN_UNITS,
    common.AS_JSON,
    NEW_SCENE,
)


def run(arguments: argparse.Namespace) -> int:
    """Print the best place and keep the shifted scene."""
    opened = common.open_scene(arguments)
    check_new_scene(opened, arguments.output)
    with common.scene_problems(opened):
        found = placed.place_in_scene(opened.scene, arguments.margin, free=arguments.free)
    answers = answer_sides(opened, opened.scene.sides, arguments.margin)
    best = found.best
    kept, to = "", aside(arguments.output)
    if arguments.output is not None:
        by = best.lateral_mm, best.up_mm
        shifted = placed.shifted_scene(opened.scene, *by, free=arguments.free)
        kept = keep(opened, shifted, arguments.output)
    if arguments.json:
        sides = {one.side: {"verdict": verdict_json(one)} for one in answers}
        print_json({"sides": sides} | placed.placement_json(found), to)
    else:
        tell(*placement_lines(opened.scene, found, answers, arguments.units), to=to)
        tell(kept or NOT_KEPT, *caution_lines(ON_THE_CAR), to=to)
    return exit_code(opened, answers)


def placement_lines(
    scene: Scene, found: Placement, answers: Sequence[Answered], unit: Unit
) -> Iterator[str]:
    """The best place, before and after, and the map, line by line."""
    yield titled(scene.title)
    yield ""
    yield from textwrap.wrap(placed.placement_words(found, unit), REPORT_WIDTH)
    for name, place in (("as drawn", found.now), ("best", found.best)):
        yield from row(name, placed.shift_words(place.lateral_mm, place.up_mm, unit))
        yield from row("", f"least: {placed.spare_words(placed.least_spare(place))}")
        others = [spare for spare in place.spares if spare is not placed.least_spare(place)]
        yield from row("", "; ".join(placed.spare_words(spare) for spare in others))
        yield from row("", _lengths(scene, place, unit))
    for number, line in enumerate(placed.map_lines(found, unit)):
        yield f" {'map' if number == 0 else '':<20} {line}"
    yield from row("", MAP_KEY)
    yield ""
    yield "For the gearbox where it is drawn:"
    for one in answers:
        yield from verdict_lines(one, Lengths(unit))
    yield ""


def _lengths(scene: Scene, place: Place, unit: Unit) -> str:
    words = []
    for side, length in place.lengths_mm.items():
        shaft = scene.shaft(side)
        given = shaft is not None and shaft.length == length
        shown = format_length(length, unit)
        words.append(f"{side} {shown}{'' if given else ', the middle of its window'}")
    return f"shafts: {'; '.join(words)}"
