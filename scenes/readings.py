"""Marks and readings of the scene file: ``[[mark]]`` and ``[[reading]]``."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from kinematics.errors import Problem
from kinematics.sure.measurands import Measurand
from kinematics.sure.readings import BETWEEN_KINDS, OF_KINDS, READING_KINDS, Mark, Reading
from scenes.errors import meant, shown
from scenes.forms import number, texts
from scenes.part_keys import path_of
from scenes.records import Plain, plain_record, read_record
from scenes.tables import Table

MARK = path_of(Measurand("mark", "")) + "."
_BETWEEN = "expected the paths of two points"


def read_reading(table: Table) -> Reading | None:
    """A reading; whether its points are there is the scene's to say."""
    ways = [key for key in ("between", "of") if table.has(key)]
    kinds = [kind for kind in READING_KINDS if table.has(kind)]
    allowed: Sequence[str] = BETWEEN_KINDS if ways == ["between"] else OF_KINDS
    points: tuple[str, ...] | None = None
    if len(ways) != 1:
        got = "both" if ways else "none"
        table.note("", f"expected between = [two points] or of = one point, got {got}")
    elif ways == ["between"]:
        points = table.value("between", _BETWEEN, texts)
    else:
        one = table.text("of")
        points = None if one is None else (one,)
    if ways and len(kinds) != 1:
        got = " and ".join(kinds) or "none"
        table.note("", f"expected one number: {', '.join(allowed)}; got {got}")
    elif len(ways) == 1 and kinds[0] not in allowed:
        table.note(kinds[0], f"expected {', '.join(allowed)} with {ways[0]}, got {kinds[0]}")
        kinds = []
    kind = kinds[0] if len(kinds) == 1 else None
    value = None if kind is None else table.number(kind)
    return read_record(table, Reading, kind=kind, points=points, value=value)


def point_problems(
    marks: Sequence[Mark], readings: Sequence[Reading], paths: Collection[str]
) -> Iterable[Problem]:
    """What is wrong with the points that readings name; ``paths`` are those of the scene."""
    names = [mark.name for mark in marks]
    for name in dict.fromkeys(name for name in names if names.count(name) > 1):
        where = " and ".join(f"mark[{n}]" for n, one in enumerate(names) if one == name)
        yield Problem("mark", f"expected each name once, got {shown(name)} at {where}")
    for place, reading in enumerate(readings):
        key = f"reading[{place}].{'of' if len(reading.points) == 1 else 'between'}"
        for path in reading.points:
            if path in paths:
                continue
            if path.startswith(MARK):
                there = ", ".join(shown(name) for name in names) or "none"
                wanted = f"expected a mark that is in the scene ({there})"
                yield Problem(key, f"{wanted}, got {shown(path)}")
                continue
            known = ", ".join(sorted(paths))
            hint = meant(path, paths)
            asked = "?" if hint else ""
            wanted = f"expected the path of a point ({known})"
            yield Problem(key, f"{wanted}, got {shown(path)}{hint}{asked}")


def plain_readings(marks: Sequence[Mark], readings: Sequence[Reading]) -> Plain:
    """Marks and readings, keyed as in the file; what there is none of is left out."""
    content: Plain = {
        "mark": [plain_record(mark) for mark in marks],
        "reading": [plain_reading(reading) for reading in readings],
    }
    return {key: tables for key, tables in content.items() if tables}


def plain_reading(reading: Reading) -> Plain:
    """A reading, keyed as in the file; what has its default value is left out."""
    one = reading.kind in OF_KINDS
    points = {"of": reading.points[0]} if one else {"between": list(reading.points)}
    rest = plain_record(reading, skip=("kind", "points", "value"))
    return {**points, reading.kind: number(reading.value), **rest}
