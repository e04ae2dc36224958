"""``strength``: whether the finished shaft carries its torque, and whirls far enough away."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from kinematics.making.strength import Strength
from sketcher.answers.making import lacking_for_strength
from sketcher.answers.verdict import Answered, cut_refusals
from sketcher.commands.answering import verdict_json
from sketcher.commands.making import MAKING_OPTIONS, told
from sketcher.commands.making_json import strength_json
from sketcher.commands.report_page import row, verdict_lines
from sketcher.words import strength as words
from sketcher.words.lengths import Lengths
from sketcher.words.units import format_angle

DESCRIPTION = """\
Say whether the finished shaft carries its torque: what the engine sends or what the tyre holds,
the smaller; stress, factor of safety and twist of every piece and weld against the yield of its
steel; the first whirling speed against top speed; and what none of this covers. The scene
tells of donors, splice and [drive].
"""
EPILOG = """\
examples:
  sketcher strength --example van-front-making
exit code: 0 it fits, 1 do not cut or not sure enough, 2 the scene cannot be read or solved,
or lacks what is needed
"""

OPTIONS = MAKING_OPTIONS


def run(arguments: argparse.Namespace) -> int:
    """Print the strength of the finished shaft."""
    return told(arguments, lacking_for_strength, _page, _as_json)


def _as_json(one: Answered) -> dict[str, Any]:
    return {"verdict": verdict_json(one)} | strength_json(one.made)


def _page(one: Answered, say: Lengths) -> Iterator[str]:
    made, scene = one.made, one.scene
    yield from verdict_lines(one, say)
    if made.strength is None or made.torque is None or made.whirl is None or scene.drive is None:
        yield from row("strength", "cannot be told: the cut plan does not work out")
        for line in cut_refusals(made, say):
            yield from row("", line)
        return
    yield from row("torque", words.torque_line(made.torque))
    yield from row("", words.drive_line(scene.drive))
    yield from row("", words.grip_line(scene.drive, say))
    yield from row("weakest", words.weakest_line(made.strength))
    twist = format_angle(made.strength.twist_deg)
    yield from row("twist", f"{twist} from end to end under this torque")
    yield from row("whirl", words.whirl_line(made.whirl))
    for line in words.warning_lines(made.strength):
        yield from row("mind", line)
    yield ""
    yield from _table(made.strength, say)
    yield from row("reserve", words.reserve_line(made.strength))
    yield ""
    yield "NOT COVERED, and nobody has looked at it yet:"
    for text in made.strength.not_covered:
        yield from row("", text)


def _table(found: Strength, say: Lengths) -> Iterator[str]:
    in_unit = {"from to", "size"}
    header = tuple(f"{one}, {say.unit}" if one in in_unit else one for one in words.PART_COLUMNS)
    rows = [header, *words.part_rows(found, say)]
    widths = [max(len(cells[i]) for cells in rows) for i in range(len(header))]
    for cells in rows:
        first = cells[0].ljust(widths[0])
        rest = (cell.rjust(width) for cell, width in zip(cells[1:], widths[1:], strict=True))
        yield "  ".join((first, *rest)).rstrip()
