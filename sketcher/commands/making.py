"""What the commands about making the shaft share: sides, what the scene lacks, the page's frame."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from kinematics.parts import DEFAULT_MARGIN
from scenes.model import Scene, Side
from sketcher.answers.making import at_length
from sketcher.answers.verdict import Answered
from sketcher.commands.answering import answer_sides, exit_code
from sketcher.commands.common import AS_JSON, IN_UNITS, a_length, a_side, open_scene
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


def told(
    arguments: argparse.Namespace,
    lacking: Lacking,
    page: Callable[[Answered, Lengths], Iterator[str]],
    as_json: Callable[[Answered], dict[str, Any]],
) -> int:
    """Tell of each side that the scene tells enough of: its page, or the same as JSON.

    Gives back the exit code of the verdicts.  Raises CommandError where something is missing
    from the scene, SceneError for a shaft or linkage that turns out impossible.
    """
    opened = open_scene(arguments)
    scene = opened.scene
    sides = _sides(scene, arguments.side, lacking)
    if arguments.length is not None:
        if len(sides) > 1:
            raise CommandError("--length: expected --side with it, the sides are not alike")
        scene = at_length(scene, sides[0], arguments.length)
    answers = answer_sides(replace(opened, scene=scene), sides, DEFAULT_MARGIN)
    if arguments.json:
        print_json({"sides": {one.side: as_json(one) for one in answers}})
    else:
        tell(titled(scene.title))
        for one in answers:
            tell("", *page(one, Lengths(arguments.units)))
    return exit_code(opened, answers)


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
