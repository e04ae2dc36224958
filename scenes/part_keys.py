"""The keys under which a scene has the parts of a corner that the mechanics name.

The mechanics know one corner and no side: a path of the scene is a part, its field and,
where there are several, its number there.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Literal

from kinematics.errors import InvalidInput, Problem
from kinematics.parts import Corner, Side
from kinematics.sure.measurands import Measurand, measured_of
from kinematics.sure.tape import Tape, TapeError

ANY_SIDE: Literal["*"] = "*"
_KEYS: Mapping[str, str] = {
    "linkage": "linkage.",
    "position": "linkage.position[{number}].",
    "hub": "hub.",
    "travel": "travel.",
    "inner_joint": "shafts.{side}.inner_joint.",
    "shaft": "shafts.{side}.",
    "tape": "tape.",
    "mark": "mark.",
    "reading": "reading[{number}].",
}
# Fields of parts that hold lists, and the file's words for them.
FILE_WORDS: Mapping[str, str] = {
    "sections": "section",
    "from_": "from",
    "positions": "position",
    "errors": "error",
    "stretches": "stretch",
}


def path_of(thing: Measurand | Problem, side: Side | Literal["*"] = ANY_SIDE) -> str:
    """The path of what the mechanics name, with the side open unless it is given.

    >>> path_of(Measurand("inner_joint", "mid_stroke"), "left")
    'shafts.left.inner_joint.mid_stroke'
    """
    holder = _KEYS[thing.part].format(number=thing.number, side=side)
    return (holder + FILE_WORDS.get(thing.field, thing.field)).rstrip(".")


def things_at(
    paths: Collection[str], corner: Corner, side: Side, key: str
) -> Mapping[str, Measurand]:
    """What paths name of one side's corner; those of the other side's shaft are left out.

    Raises InvalidInput under ``key`` for a path to what is not measured.
    """
    known = {path_of(thing, side): thing for thing, _ in measured_of(corner)}
    other = f"shafts.{'right' if side == 'left' else 'left'}."
    expected = f"expected one of {', '.join(sorted(known))}"
    lost = [path for path in paths if path not in known and not path.startswith(other)]
    if lost:
        raise InvalidInput([Problem(key, f"{expected}, got {path}") for path in lost])
    return {path: known[path] for path in paths if path in known}


def tape_on(tape: Tape[str] | None, corner: Corner, side: Side) -> Tape[Measurand] | None:
    """A scene's tape for one side's corner.

    Raises InvalidInput for the error of what is not measured.
    """
    if tape is None:
        return None
    things = things_at([one.thing for one in tape.errors], corner, side, "tape.error")
    own = [one for one in tape.errors if one.thing in things]
    errors = (TapeError(things[one.thing], one.size, one.spread) for one in own)
    return Tape(tape.limit, tuple(errors))


def in_scene(problems: Sequence[Problem], side: Side | None = None) -> tuple[Problem, ...]:
    """Problems that the mechanics found, named by the scene's keys."""
    return tuple(
        Problem(path_of(one, side or ANY_SIDE).removeprefix("shafts.*."), one.message)
        if one.part
        else one
        for one in problems
    )
