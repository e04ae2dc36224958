"""``trim``: how much of a bracket has to go, and the scene with what is left."""

from __future__ import annotations

import argparse

from sketcher.answers.trimmed import trim_in_scene, trim_lines
from sketcher.commands import brackets
from sketcher.commands.common import IN_UNITS, a_side, open_scene, scene_problems, sides_asked
from sketcher.commands.console import BROKEN, GOOD, complain, tell
from sketcher.commands.output import aside
from sketcher.commands.report_page import caution_lines
from sketcher.words.cautions import ON_THE_CAR

DESCRIPTION = """\
Say how much of a bracket has to go so that its wanted gap is left over the whole motion:
travel, steering lock, gearbox movement, and the shafts of both sides, which share the bracket.
"""
EPILOG = """\
examples:
  sketcher trim my-van.toml --bracket "mount foot"
  sketcher trim my-van.toml --bracket "mount foot" -o trimmed.toml
exit code: 0 the wanted gap can be had, 1 nothing of the bracket would be left, 2 no answer
"""

OPTIONS = (brackets.BRACKET, a_side("every shaft of the scene"), IN_UNITS, brackets.NEW_SCENE)


def run(arguments: argparse.Namespace) -> int:
    """Trim the bracket and say what that takes."""
    opened = open_scene(arguments)
    brackets.check_new_scene(opened, arguments.output)
    scene = opened.scene
    index = brackets.bracket_index(scene, arguments.bracket)
    sides = sides_asked(arguments, scene)
    with scene_problems(opened):
        found = trim_in_scene(scene, index, sides)
    lines = list(trim_lines(found.trim, arguments.units))
    if found.nothing_left:
        complain(*lines)
        return BROKEN
    beside = " and ".join(sides)
    tell(
        f"Looked at over the whole motion of the {beside} shaft{'s' * (len(sides) > 1)}.",
        *lines,
        *caution_lines(ON_THE_CAR),
        to=aside(arguments.output),
    )
    if found.trim.needed or arguments.output is not None:
        tell(brackets.keep(opened, found.scene, arguments.output), to=aside(arguments.output))
    return GOOD
