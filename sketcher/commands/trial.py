"""``trial``: what was measured on the car at a trial fit, against what the points predict."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from kinematics.sure.certainty import Certainty
from kinematics.sure.trial_fit import TrialFit
from scenes.model import Scene, Side
from sketcher.answers.fitted import fitted_scene, trial_in_scene
from sketcher.answers.sure import certainty_in_scene
from sketcher.answers.verdict import Answered
from sketcher.commands.answering import EXIT_CODES, answer_sides, exit_code, verdict_json
from sketcher.commands.brackets import NEW_SCENE, check_new_scene, keep
from sketcher.commands.common import AS_JSON, IN_UNITS, MARGIN, a_side, open_scene, scene_problems
from sketcher.commands.console import complain, print_json, tell
from sketcher.commands.output import aside
from sketcher.commands.report_page import caution_lines, row, rows, verdict_lines
from sketcher.words import certainty as words
from sketcher.words.cautions import HOSES, SPRING
from sketcher.words.lengths import Lengths
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
EPILOG = f"""\
example:
  sketcher trial my-van.toml --side left -o my-van-fitted.toml
The scene itself stays as it is: keep both.
{EXIT_CODES}
"""

OPTIONS = (a_side("the first with a trial fit"), MARGIN, IN_UNITS, AS_JSON, NEW_SCENE)


def run(arguments: argparse.Namespace) -> int:
    """Print the trial fit and keep the fitted scene."""
    opened = open_scene(arguments)
    scene = opened.scene
    path = arguments.output
    check_new_scene(opened, path)
    to = aside(path)
    side: Side = arguments.side or _side_with_trial(scene)
    with scene_problems(opened, side):
        fit = trial_in_scene(scene, side)
        after = certainty_in_scene(scene, side, arguments.margin, fit=fit)
    (one,) = answers = answer_sides(opened, (side,), arguments.margin)
    before = one.workings.certainty
    assert before is not None  # a fit has the whole motion in reach
    if arguments.json:
        print_json({"sides": {side: _json(one, fit, before, after)}}, to)
    else:
        tell(*trial_lines(one, fit, before, after, arguments.units), to=to)
    kept: tuple[str, ...] = ()
    # Points bent to what they contradict would agree with it, and promise what nobody knows.
    if path is not None and not fit.agrees:
        complain(f"{path}: not written, for the car contradicts the points: measure again")
    elif path is not None:
        kept = ("", keep(opened, fitted_scene(scene, side, fit), path))
    elif fit.agrees:
        kept = ("", "Nothing was written; add -o FITTED.toml to keep it.")
    if not arguments.json:
        tell(*kept, *caution_lines(SPRING, HOSES), to=to)
    return exit_code(opened, answers)


def _side_with_trial(scene: Scene) -> Side:
    sides = [side for side in scene.sides if scene.making(side).trial]
    return sides[0] if sides else scene.sides[0]


def _json(one: Answered, fit: TrialFit, before: Certainty, after: Certainty) -> dict[str, Any]:
    return {
        "verdict": verdict_json(one),
        **words.fit_json(fit, one.side),
        "certainty_before": words.certainty_json(before, one.side),
        "certainty_after": words.certainty_json(after, one.side) if fit.agrees else None,
    }


def trial_lines(
    one: Answered, fit: TrialFit, before: Certainty, after: Certainty, unit: Unit
) -> Iterator[str]:
    """The trial fit, line by line."""
    yield titled(one.scene.title)
    yield ""
    yield from verdict_lines(one, Lengths(unit))
    yield from row("trial fit", words.agreement(fit, unit))
    for number, each in enumerate(fit.residuals):
        yield from row("measured" if number == 0 else "", words.measurement_words(each, unit))
        yield from row("", f"  predicted {words.prediction_words(each, unit)}")
    changes = (f"{one}: {words.change_words(moved, unit)}" for one, moved in words.changes(fit))
    yield from rows("fitted", [*changes] or ("every point stays where it was taken",))
    yield from row("ride-centred", f"before {words.interval_words(before.ride_centred, unit)}")
    if fit.agrees:
        yield from row("", f"fitted {words.interval_words(after.ride_centred, unit)}")
    yield from row("chance", f"before: {words.chance_words(before, unit)}")
    if fit.agrees:
        chance = words.chance_words(after, unit)
        yield from row("", f"if the fitted points are the true ones: {chance}")
    else:
        yield from row("", "fitted: not told, for the car and the points do not agree")
    if len(one.scene.sides) > 1:
        yield from row("note", "linkage and hub are shared: fitted points move the other side, too")
