"""``points``: where the readings put the points, which of them is doubtful, what to read next."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Literal

from kinematics.parts import DEFAULT_MARGIN
from kinematics.sure.read_next import read_next
from kinematics.sure.readings import Reading
from scenes.model import Scene, Side
from sketcher.answers.goals import GOALS, Goal, GoalName, goal
from sketcher.answers.memo import answered
from sketcher.answers.next_reading import PointsAnswer, next_for_chance, points_in_scene
from sketcher.answers.points import settled_scene
from sketcher.answers.sure import certainty_in_scene
from sketcher.answers.workings import Workings, trial_of
from sketcher.commands import common
from sketcher.commands.brackets import check_new_scene, keep
from sketcher.commands.console import BROKEN, GOOD, CommandError, print_json, tell
from sketcher.commands.output import STANDARD_OUTPUT, aside, output_form, to_file, write_out
from sketcher.commands.points_json import CHANCE, SideAnswer, answer_json
from sketcher.commands.report_page import REPORT_WIDTH, caution_lines, row, rows
from sketcher.drawing.formats import PAPERS
from sketcher.words import certainty as chances
from sketcher.words import points as words
from sketcher.words.answer import place
from sketcher.words.cautions import SPRING
from sketcher.words.plain import titled
from sketcher.words.points import SETTLED_MM
from sketcher.words.units import Unit, format_angle, format_length

DESCRIPTION = """\
Nobody can hold a tape to a coordinate. Enter what can be read off the car instead, and the
points follow from all readings by least squares:

  [[mark]]                       # a hole, a bolt head, a chalk cross on the body
  name = "rail hole"
  at = [455, 420, 120]           # roughly where it is

  [[reading]]
  between = ["linkage.ball_joint", "mark.rail hole"]
  distance = 342                 # or rise (level), or slope in degrees (angle gauge)
  error = 1                      # mm each way; a class II tape to a surface where left out
  [[reading]]
  of = "linkage.ball_joint"
  up = 188                       # or out, fore, or across to the other side of the car
  travel = -60                   # where the wheel was held elsewhere; steer too

Told are each point with what it rests on and how well it is known, each reading with how far
it is off, the reading that seems misread, and what to read next: for the chance of the length
where that is low, otherwise for the ride-centred length.
"""
EPILOG = """\
examples:
  sketcher points my-van.toml -o my-van-settled.toml
  sketcher points my-van.toml --for chance
  sketcher points my-van.toml --for inner-angle
  sketcher points my-van.toml --sheet measure.pdf
exit code: 0 every point is drawn where its readings put it and none seems misread, 1 not so,
2 the scene cannot be read, or its readings cannot be met
"""

OPTIONS = (
    common.a_side("both"),
    common.Option(
        "--for",
        dest="goal",
        choices=(*GOALS, CHANCE),
        help="what to read next for this number at its worst, or for the chance of the length",
    ),
    common.IN_UNITS,
    common.AS_JSON,
    common.Option(
        "--sheet",
        type=Path,
        metavar="FILE.pdf",
        help="the measure list to take under the car, of the first side there is or of --side",
    ),
    common.Option(
        "--blank",
        action="store_true",
        help="the sheet with empty boxes, for numbers that are typed already, too",
    ),
    common.Option("--paper", choices=PAPERS, default="a4", help="of the sheet (default: a4)"),
    to_file("SETTLED.toml", "write the scene with its points put there"),
)


def run(arguments: argparse.Namespace) -> int:
    """Print the points, and keep the settled scene."""
    opened = common.open_scene(arguments)
    check_new_scene(opened, arguments.output)
    if arguments.sheet is not None:
        output_form(arguments.sheet, opened, (".pdf",), "--sheet")
    elif arguments.blank:
        raise CommandError("--blank: expected --sheet FILE.pdf, the sheet that is to be blank")
    to = aside(arguments.output)
    if arguments.sheet == STANDARD_OUTPUT:
        if arguments.output == STANDARD_OUTPUT:
            raise CommandError("--sheet: standard output is what -o is written to")
        to = aside(arguments.sheet)
    scene = opened.scene
    sides = common.sides_asked(arguments, scene)
    for side in sides:
        scene.corner(side)
    with common.scene_problems(opened):
        answer = points_in_scene(scene)
        of_sides = [_of_side(scene, side, answer, arguments.goal) for side in sides]
    if arguments.json:
        print_json(answer_json(scene, answer, of_sides), to)
    else:
        tell(*points_lines(opened, answer, of_sides, arguments.units), to=to)
    if arguments.sheet is not None:
        # Loads the libraries for drawing and for pages, which the answer does not need.
        from sketcher.paper.reading_sheet import reading_sheet_pdf  # noqa: PLC0415

        content = reading_sheet_pdf(
            scene,
            answer,
            sides[0],
            paper=arguments.paper,
            blank=arguments.blank,
            unit=arguments.units,
        )
        write_out(content, arguments.sheet)
    kept = _kept_lines(opened, answer, arguments.output)
    if not arguments.json:
        tell(*kept, *caution_lines(SPRING), to=to)
    return GOOD if answer.good else BROKEN


def _kept_lines(opened: common.Opened, answer: PointsAnswer, output: Path | None) -> list[str]:
    """Keep the settled scene where asked to; what is said of it."""
    if output:
        return ["", keep(opened, settled_scene(opened.scene), output)]
    if answer.settled.drawn_off_mm > SETTLED_MM:
        return ["", "Nothing was written; add -o SETTLED.toml to keep them."]
    return []


def _of_side(
    scene: Scene, side: Side, answer: PointsAnswer, asked: GoalName | Literal["chance"] | None
) -> SideAnswer:
    """What is known of one side, and of the number asked for besides its length."""
    sure, why_not = None, ""
    if scene.readings:
        weighed = answered(partial(certainty_in_scene, scene, side, DEFAULT_MARGIN))
        sure, why_not = weighed.found, weighed.problem
    if asked == CHANCE and sure is None:
        why = why_not or "no point rests on readings yet"
        raise CommandError(f"--for {CHANCE}: the {side} shaft's is not known: {why}")
    return SideAnswer(
        side,
        goal(scene, side, answer.settled, asked) if asked in GOALS else None,
        sure,
        () if sure is None else next_for_chance(scene, side, sure, answer.unread),
        asked == CHANCE,
        Workings(trial=trial_of(scene, side)[0], settled=answer.settled).contradicted,
    )


def points_lines(
    opened: common.Opened, answer: PointsAnswer, of_sides: Sequence[SideAnswer], unit: Unit
) -> Iterator[str]:
    """The answer, line by line."""
    scene, settled = opened.scene, answer.settled
    paths = list(scene.points)
    yield titled(scene.title)
    yield ""
    lead = f"POINTS  {words.state_words(settled, paths, unit)}"
    yield from textwrap.wrap(lead, REPORT_WIDTH, subsequent_indent="  ")
    for one in settled.points:
        if one.rests:
            name = words.point_words(one.name, paths).replace("inner joint's ", "")
            yield from row(name, words.place_words(one, unit))
            yield from row("", words.rests_words(one, unit))
    for number, found in enumerate(settled.readings):
        mark = "  MISREAD?" if number == settled.suspicious else ""
        text = words.reading_words(found.reading, unit, paths)
        yield from row(f"reading {number + 1}", f"{text}{mark}")
        yield from row("", words.residual_words(found, unit))
    yield from rows("note", words.remarks(settled, paths, unit))
    if settled.fit_probability is not None:
        often = int(100.0 * settled.fit_probability)
        yield from row("fit", f"errors alone leave as large a misfit in {often} of 100 cars")
    for of_side in of_sides:
        yield from _side_lines(answer, of_side, unit, paths)
        if of_side.goal is not None:
            yield from _goal_lines(opened, answer, of_side.goal, unit)


def _side_lines(
    answer: PointsAnswer, one: SideAnswer, unit: Unit, paths: Sequence[str]
) -> Iterator[str]:
    """How well one side's length is known, and what to read next: what is low first."""
    now, reads = answer.half_width_mm[one.side], answer.next[one.side]
    yield ""
    doubt = words.doubt_words(now, unit)
    yield f"{one.side.upper()} SHAFT  the ride-centred length is known to {doubt} (95 %)"
    length = [(words.next_words(each, now, unit, paths), each.reading) for each in reads]
    chance: list[tuple[str, Reading]] = []
    if one.contradicted:
        yield from row("mind", f"{chances.CONTRADICTED}.")
    if one.sure is not None:
        yield from row("chance", chances.chance_words(one.sure, unit))
        chance = [
            (words.next_for_chance_words(each, one.sure, unit, paths), each.reading)
            for each in one.told_for_chance
        ]
    told = (*chance, *length) if one.low or one.chance_asked else (*length, *chance)
    for number, (text, reading) in enumerate(told):
        yield from row("" if number else "read next", text)
        yield from row("", f"with {words.TAKEN_WITH[reading.kind]}")


def _goal_lines(
    opened: common.Opened, answer: PointsAnswer, found: Goal, unit: Unit
) -> Iterator[str]:
    settled = answer.settled
    paths, what = list(opened.scene.points), _WHAT[found.name]

    def said(half_width: float) -> str:
        if found.name == "gap":
            return words.doubt_words(half_width, unit)
        return f"±{-int(-half_width * 100.0 // 1) / 100.0:.2f}°"

    value = format_length(found.value, unit, rounding="down") if found.name == "gap" else None
    value = value or format_angle(found.value)
    now = said(settled.half_width(found.slopes))
    where = place(found.position, opened.scene, unit)
    yield from row(what, f"{value} {now} (95 %) at {where}")
    after = [(one, said(one.half_width)) for one in read_next(settled, found.slopes, answer.unread)]
    # What would leave the doubt as it is told is not worth another visit under the car.
    helping = [(one, then) for one, then in after if then != now]
    for number, (one, then) in enumerate(helping):
        text = words.next_for_words(one, what, now, then, paths)
        yield from row("" if number else "read next", text)
    if after and not helping:
        yield from row("read next", f"nothing: no one reading would tell the {what} any better")


_WHAT: dict[GoalName, str] = {
    "inner-angle": "inner joint angle",
    "outer-angle": "outer joint angle",
    "gap": "smallest gap",
}
