"""``certainty``: how far the length can be trusted, given the tape's errors."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import replace

from kinematics.errors import InvalidInput, Problem
from kinematics.sure.certainty import DRAWS, SEED
from scenes.errors import SceneError
from sketcher.answers.making import at_length
from sketcher.answers.verdict import Answered
from sketcher.commands import common
from sketcher.commands.answering import EXIT_CODES, answer_sides, exit_code, verdict_json
from sketcher.commands.console import CommandError, print_json, tell
from sketcher.commands.report_page import caution_lines, row, rows, verdict_lines
from sketcher.words import certainty as words
from sketcher.words.cautions import TRY_IT
from sketcher.words.lengths import Lengths
from sketcher.words.plain import titled
from sketcher.words.units import Unit, format_length

LEAST_DRAWS, MOST_DRAWS = 1000, 1_000_000
DESCRIPTION = """\
Say how sure the length is: every measured point is moved within its tape error, many times
over, and the shaft followed through its whole motion each time. Told are the ride-centred
length with its 95 % interval, the chance that the length keeps stroke and margins everywhere,
the length with the best chance, and what to measure again.

The errors stand in the scene, in [tape] and [[tape.error]]; without them every point counts
as measured with a class II tape laid to a surface.
"""
EPILOG = f"""\
example:
  sketcher certainty my-van.toml --side left --length 391.5
{EXIT_CODES}
"""

OPTIONS = (
    common.a_side("both"),
    common.a_length("judge this length between joint centres instead of the scene's"),
    common.MARGIN,
    common.Option(
        "--draws", type=int, default=DRAWS, metavar="N", help=f"how often (default {DRAWS})"
    ),
    common.Option(
        "--seed",
        type=int,
        default=SEED,
        metavar="N",
        help=f"the same draws for the same seed (default {SEED})",
    ),
    common.IN_UNITS,
    common.AS_JSON,
)


def run(arguments: argparse.Namespace) -> int:
    """Print how sure the length is."""
    opened = common.open_scene(arguments)
    if not LEAST_DRAWS <= arguments.draws <= MOST_DRAWS:
        wanted = f"{LEAST_DRAWS} to {MOST_DRAWS}"
        raise CommandError(f"--draws: expected {wanted}, got {arguments.draws}")
    if arguments.seed < 0:
        raise CommandError(f"--seed: expected 0 or more, got {arguments.seed}")
    sides = common.sides_asked(arguments, opened.scene)
    if arguments.length is not None:
        if len(sides) > 1:
            raise CommandError("--length: say with --side which shaft it is for")
        try:
            scene = at_length(opened.scene, sides[0], arguments.length)
        except InvalidInput as error:
            problems = [Problem("--length", problem.message) for problem in error.problems]
            raise SceneError(problems) from error
        opened = replace(opened, scene=scene)
    draws, seed = arguments.draws, arguments.seed
    answers = answer_sides(opened, sides, arguments.margin, draws=draws, seed=seed)
    if arguments.json:
        sides_json = {
            one.side: {"verdict": verdict_json(one)} | words.certainty_json(sure, one.side)
            for one in answers
            if (sure := one.workings.certainty) is not None
        }
        print_json({"sides": sides_json})
    else:
        tell(titled(opened.scene.title))
        for one in answers:
            print()
            tell(*certainty_lines(one, arguments.units))
        tell(*caution_lines(TRY_IT))
    return exit_code(opened, answers)


def certainty_lines(one: Answered, unit: Unit) -> Iterator[str]:
    """The answer for one side, line by line."""
    yield from verdict_lines(one, Lengths(unit))
    found = one.workings.certainty
    if found is None:
        # Where the whole motion is not in reach there is nothing to be sure of.
        return
    if one.workings.contradicted:
        yield from row("mind", f"{words.CONTRADICTED}.")
    yield from row("length", words.chance_words(found, unit))
    if found.misread is not None:
        yield from row("misread?", f"{words.misread_words(found.misread, unit)}.")
    angles = words.percent(found.angles_chance, found.draws)
    yield from row("joint angles", f"chance {angles} {words.ALONE} that both stay within limits")
    yield from row("ride-centred", words.interval_words(found.ride_centred, unit))
    low = format_length(found.shortest.high_mm, unit, named=False, rounding="up")
    high = format_length(found.longest.low_mm, unit, rounding="down")
    if found.shortest.high_mm < found.longest.low_mm:
        yield from row("safe window", f"{low} to {high}: each end holds in 39 of 40 cases")
    else:
        yield from row("safe window", "none: the tape errors are as large as the window")
    yield from row("best length", words.best_words(found, unit))
    yield from row("measured", words.tape_words(one.scene.tape, unit, len(one.scene.readings)))
    again = [words.share_words(share, found) for share in words.worth_measuring(found)]
    numbered = [f"{number}. {share}" for number, share in enumerate(again, 1)]
    nothing = "nothing: no error of a point moves the window"
    yield from rows("measure again", numbered or (nothing,))
    yield from rows("note", (f"{remark}." for remark in words.remarks(found)))
