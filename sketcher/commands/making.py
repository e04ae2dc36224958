"""What the commands about making the shaft share: sides, what the scene lacks, the page's frame."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Iterator
from typing import Any

from kinematics.parts import DEFAULT_MARGIN
from scenes.model import Scene, Side
from sketcher.answers.answered import Answered
from sketcher.answers.making import at_length
from sketcher.commands.answering import answer_sides, exit_code
from sketcher.commands.common import AS_JSON, IN_UNITS, Opened, a_length, a_side, open_scene
from sketcher.commands.console import CommandError, print_json, tell
from sketcher.words.lengths import Lengths
from sketcher.words.plain import titled

Lacking = Callable[[Scene, Side], tuple[str, ...]]


# What these commands may be asked for.
MAKING_OPTIONS = (
    a_side("every side that the scene tells enough of"),
    a_length("between joint centres (default: the scene's, or the ride-centred length)"),
    IN_UNITS,
    AS_JSON,
)


def opened_with_answers(
    arguments: argparse.Namespace, lacking: Lacking
) -> tuple[Opened, tuple[Answered, ...]]:
    """The scene, and the answer of each side that it tells enough of.

    Raises CommandError where something is missing from the scene, SceneError for a
    shaft or linkage that turns out impossible.
    """
    opened = open_scene(arguments)
    scene: Scene = opened.scene
    sides = _sides(scene, arguments.side, lacking)
    if arguments.length is not None:
        if len(sides) > 1:
            raise CommandError("--length: expected --side with it, the sides are not alike")
        scene = at_length(scene, sides[0], arguments.length)
    judged = Opened(scene, opened.text, opened.name, opened.path)
    return opened, answer_sides(judged, sides, DEFAULT_MARGIN)


def _sides(scene: Scene, asked: Side | None, lacking: Lacking) -> tuple[Side, ...]:
    if asked is not None:
        scene.corner(asked)
    sides: tuple[Side, ...] = (asked,) if asked is not None else scene.sides
    told = tuple(side for side in sides if not lacking(scene, side))
    if not told:
        # The side that lacks least is the one that is being worked at.
        side = min(sides, key=lambda one: len(lacking(scene, one)))
        raise CommandError(f"missing from the scene: {', '.join(lacking(scene, side))}")
    return told


def headed(scene: Scene, pages: Iterable[Iterator[str]]) -> Iterator[str]:
    """The title, then each side's page."""
    yield titled(scene.title)
    for page in pages:
        yield ""
        yield from page


def told(
    arguments: argparse.Namespace,
    lacking: Lacking,
    page: Callable[[Answered, Lengths], Iterator[str]],
    as_json: Callable[[Answered], dict[str, Any]],
) -> int:
    """Tell each side's page, or the same as JSON; the exit code of the verdicts."""
    opened, answers = opened_with_answers(arguments, lacking)
    if arguments.json:
        print_json({"sides": {one.side: as_json(one) for one in answers}})
    else:
        say = Lengths(arguments.units)
        tell(*headed(opened.scene, (page(one, say) for one in answers)))
    return exit_code(opened, answers)
