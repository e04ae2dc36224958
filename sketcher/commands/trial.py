"""``trial``: what was measured on the car at a trial fit, against what the points predict."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from typing import Any

from kinematics.errors import InvalidInput
from kinematics.sure.certainty import Certainty, certainty_after
from kinematics.sure.trial_fit import TrialFit
from scenes.model import Scene, Side
from sketcher.answers.fitted import fitted_scene, trial_in_scene
from sketcher.commands.brackets import add_new_scene, check_new_scene, keep
from sketcher.commands.certainty import certainty_of
from sketcher.commands.common import (
    Opened,
    add_command,
    add_json,
    add_margin,
    add_side,
    add_units,
    in_scene,
    open_scene,
    require_margin,
)
from sketcher.commands.console import BROKEN, GOOD, print_json, tell
from sketcher.commands.output import aside
from sketcher.commands.report_page import CAUTIONS, REPORT_WIDTH, row
from sketcher.words import certainty as words
from sketcher.words.plain import titled
from sketcher.words.units import Unit

DESCRIPTION = """\
Trust the car over the model. With the spring out and the car on stands, hold the wheel at
three heights or more and measure either the distance from the outer joint's centre to the
inner joint's mid-stroke point with a rod that slides, or the plunge from its witness marks.
Enter them in the scene:

  [[shafts.left.trial]]
  travel = -60                  # mm above ride height
  value = 398.5                 # mm
  quantity = "centre_distance"  # or "plunge", + pulled out; centre_distance where left out
  error = 1                     # mm each way; a class II tape where left out

Told are measured against predicted, whether car and points agree, and the points moved
within their tape errors until both agree best. With doubtful = ["hub.outer_joint"] in
[shafts.left] only the points named there are moved.
"""
EPILOG = """\
example:
  sketcher trial my-van.toml --side left -o my-van-fitted.toml
The scene itself stays as it is: keep both.
exit code: 0 car and points agree, 1 they do not, 2 the scene cannot be read or solved
"""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    says = "a trial fit in the car against what the points predict"
    parser = add_command(commands, "trial", run, says, DESCRIPTION, EPILOG)
    add_side(parser, "the first with a trial fit")
    add_margin(parser)
    add_units(parser)
    add_json(parser)
    add_new_scene(parser)


def run(arguments: argparse.Namespace) -> int:
    """Print the trial fit and keep the fitted scene."""
    opened = open_scene(arguments)
    require_margin(arguments.margin)
    scene = opened.scene
    path = arguments.output
    check_new_scene(opened, path)
    to = aside(path)
    side: Side = arguments.side or _side_with_trial(scene)
    try:
        fit = trial_in_scene(scene, side)
        after = certainty_after(fit, scene.tape, shaft=f"shafts.{side}", margin_mm=arguments.margin)
    except InvalidInput as error:
        raise in_scene(error, side, opened.name) from error
    before = certainty_of(opened, side, arguments.margin)
    if arguments.json:
        print_json({"sides": {side: _json(fit, before, after)}}, to)
    else:
        tell(*trial_lines(opened, side, fit, before, after, arguments.units), to=to)
    kept = keep(opened, fitted_scene(scene, side, fit), path) if path else ""
    if not arguments.json:
        tell(kept or "Nothing was written; add -o FITTED.toml to keep it.", "", *CAUTIONS, to=to)
    return GOOD if fit.agrees else BROKEN


def _side_with_trial(scene: Scene) -> Side:
    sides = [side for side in scene.sides if scene.making(side).trial]
    return sides[0] if sides else scene.sides[0]


def _json(fit: TrialFit, before: Certainty, after: Certainty) -> dict[str, Any]:
    return words.fit_json(fit) | {
        "certainty_before": words.certainty_json(before),
        "certainty_after": words.certainty_json(after),
    }


def trial_lines(
    opened: Opened, side: Side, fit: TrialFit, before: Certainty, after: Certainty, unit: Unit
) -> Iterator[str]:
    """The trial fit, line by line."""
    yield titled(opened.scene.title)
    yield ""
    lead = f"{side.upper()} SHAFT  {words.agreement(fit)}"
    yield from textwrap.wrap(lead, REPORT_WIDTH, subsequent_indent="  ")
    for number, one in enumerate(fit.residuals):
        yield from row("measured" if number == 0 else "", words.measurement_words(one, unit))
        yield from row("", f"  predicted {words.prediction_words(one, unit)}")
    changes = list(words.changes(fit))
    for number, (thing, moved) in enumerate(changes):
        yield from row(
            "fitted" if number == 0 else "",
            f"{words.thing_words(thing)}: {words.change_words(moved, unit)}",
        )
    if not changes:
        yield from row("fitted", "every point stays where it was taken")
    yield from row("ride-centred", f"before {words.interval_words(before.ride_centred, unit)}")
    yield from row("", f"fitted {words.interval_words(after.ride_centred, unit)}")
    yield from row("chance", f"before: {words.chance_words(before, unit)}")
    if fit.agrees:
        yield from row("", f"fitted: {words.chance_words(after, unit)}")
    else:
        yield from row("", "fitted: not told, for the car and the points do not agree")
    if len(opened.scene.sides) > 1:
        yield from row("note", "linkage and hub are shared: fitted points move the other side, too")
    yield ""
