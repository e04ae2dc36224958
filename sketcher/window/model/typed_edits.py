"""What is typed into a field as an edit of the scene, and how that looks while it is typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from kinematics.errors import KinematicsError
from kinematics.sure.reading_values import ReadingValues
from kinematics.sure.readings import Reading
from kinematics.sure.settling import Settled
from scenes.keys import EditRefused, NoSuchThing, has, value_of, with_value
from scenes.model import Scene
from sketcher.answers.points import car_points, settle_scene, with_points
from sketcher.window.model import edits, reading_edits
from sketcher.window.model.fields import Field, parse
from sketcher.window.model.reading_text import as_was, parse_mark, parse_reading
from sketcher.words.units import Unit

Edit = Callable[[Scene], Scene]
_NEW = ("reading", "read")


def typed_edit(field: Field, text: str, unit: Unit, typed: Mapping[str, float]) -> Edit:
    """The edit that a text in a field stands for; ``typed`` are coordinates as a hand typed them.

    Raises ValueError for a text that is no such value; the edit, EditRefused.
    """
    value = parse(field, text, unit)
    if field.kind == "mark":
        return lambda scene: reading_edits.add_mark(scene, *parse_mark(text, unit))
    readings = _readings_after(field, text, unit, typed)
    if readings is not None:
        return lambda scene: reading_edits.settled(readings(scene))
    return lambda scene: edits.set_value(scene, field.key, value)


def _readings_after(field: Field, text: str, unit: Unit, typed: Mapping[str, float]) -> Edit | None:
    """The scene with the readings as typed, its points where they were; None for other fields."""
    if field.kind in _NEW:
        return lambda scene: reading_edits.with_reading(
            scene, parse_reading(scene, field.begins + text, unit), typed
        )
    if field.kind == "reading_line":
        place, key = reading_edits.place_of(field.key), field.key.removesuffix(".line")

        def changed(scene: Scene) -> Scene:
            before: Reading = value_of(scene, key)
            line = as_was(scene, parse_reading(scene, text, unit), before, unit)
            return reading_edits.with_other_reading(scene, place, line, typed)

        return changed
    if field.key.startswith("reading["):
        value = parse(field, text, unit)
        return lambda scene: with_value(scene, field.key, value)
    return None


def tried_out(
    scene: Scene, field: Field, text: str, unit: Unit, typed: Mapping[str, float]
) -> tuple[Scene, Settled | None] | None:
    """How the scene looks with what is being typed; None where that is nothing, or half a number.

    Of a reading or of a point's place alone; where readings decide, with what they settled.
    One adjustment of the readings is near enough.
    """
    try:
        readings = _readings_after(field, text, unit, typed)
        if readings is not None:
            after = readings(scene)
            if after.readings == scene.readings or _half_read(scene, after, field):
                return None
            settled = settle_scene(after)
            return with_points(after, settled), settled
        if not text.strip() or not _of_a_point(scene, field.key):
            return None
        value = parse(field, text, unit)
        if not isinstance(value, float | int) or half_typed(value, value_of(scene, field.key)):
            return None
        return edits.set_value(scene, field.key, value), None
    except (ValueError, EditRefused, NoSuchThing, KinematicsError):
        return None


def half_typed(value: float, before: object) -> bool:
    """Whether a number has fewer digits before its point than the one that it takes the place of.

    Of 342 the 3 and the 34 are no numbers yet.

    >>> half_typed(34.0, 342.5), half_typed(-300.0, 342.5), half_typed(0.5, 7.0)
    (True, False, False)
    >>> half_typed(9.9, 10.0), half_typed(9.9, 9.0), half_typed(9.0, None)
    (True, False, False)
    """
    if not isinstance(before, float | int):
        return False
    return len(str(int(abs(value)))) < len(str(int(abs(before))))


def _half_read(scene: Scene, after: Scene, field: Field) -> bool:
    """Whether the number of a reading that is being typed is one that goes on."""
    if field.kind not in (*_NEW, "reading_line"):
        before = value_of(scene, field.key) if has(scene, field.key) else None
        return half_typed(value_of(after, field.key) or 0.0, before)
    line = field.kind == "reading_line"
    new = after.readings[reading_edits.place_of(field.key) if line else -1]
    # What the points as they are give for it.
    points = car_points(scene)
    drawn = ReadingValues(points, (new,))(np.zeros(3 * len(points))).values[0]
    return half_typed(new.value, float(drawn))


def _of_a_point(scene: Scene, key: str) -> bool:
    """Whether a key is one coordinate of a point."""
    point = key[:-3] if key.endswith(("[0]", "[1]", "[2]")) else ""
    return bool(reading_edits.point_at(scene, point))
