"""What ``points`` found, fit for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from kinematics.sure.certainty import Certainty
from kinematics.sure.chance_next import NextForChance, chance_after
from kinematics.sure.read_next import read_next
from kinematics.sure.settling import CheckedReading, SettledPoint
from scenes.model import Scene, Side
from scenes.readings import plain_reading
from sketcher.answers.goals import Goal
from sketcher.answers.next_reading import PointsAnswer
from sketcher.words import points as words
from sketcher.words.certainty import SURE_ENOUGH
from sketcher.words.plain import picked

CHANCE = "chance"


@dataclass(frozen=True, slots=True, eq=False)
class SideAnswer:
    """What is known of one side: how sure its length is, and a number asked for besides.

    ``next_for_chance`` is what to read next for the chance of its length, which may be what is
    asked for; ``contradicted``: the car, or its readings among themselves, contradict the points.
    """

    side: Side
    goal: Goal | None
    sure: Certainty | None
    next_for_chance: tuple[NextForChance, ...]
    chance_asked: bool
    contradicted: bool = False

    @property
    def low(self) -> bool:
        """Whether the chance is what is low."""
        return self.sure is not None and self.sure.chance < SURE_ENOUGH

    @property
    def told_for_chance(self) -> tuple[NextForChance, ...]:
        """What is told of it: the best only, where the chance is neither low nor asked for."""
        if self.sure is None:
            return ()
        told = words.raising(self.sure, self.next_for_chance)
        return told if self.low or self.chance_asked else told[:1]


def answer_json(
    scene: Scene, answer: PointsAnswer, of_sides: Sequence[SideAnswer]
) -> dict[str, Any]:
    """The answer, fit for JSON."""
    settled = answer.settled
    content: dict[str, Any] = {
        "points": {one.name: _point_json(one) for one in settled.points if one.rests},
        "readings": [_reading_json(one) for one in settled.readings],
        **picked(settled, "suspicious", "fit_probability"),
        "ride_centred_half_width_mm": {
            one.side: answer.half_width_mm[one.side] for one in of_sides
        },
        "chance": {one.side: one.sure.chance for one in of_sides if one.sure is not None},
        "next": {one.side: _next_json(answer, one) for one in of_sides},
        "settled": answer.good,
        "remarks": list(words.remarks(settled, list(scene.points))),
    }
    asked = {one.side: _asked_json(answer, one) for one in of_sides}
    if any(asked.values()):
        content["for"] = asked
    return content


def _next_json(answer: PointsAnswer, one: SideAnswer) -> list[dict[str, Any]]:
    following = answer.next[one.side]
    found: list[dict[str, Any]] = [
        {"reading": plain_reading(each.reading), "ride_centred_half_width_mm": each.half_width}
        for each in following
    ]
    if one.sure is not None:
        readings = [each.reading for each in following]
        after = chance_after(answer.settled, one.side, one.sure, readings)
        for each, chance in zip(found, after.tolist(), strict=True):
            each["chance"] = chance
    return found


def _asked_json(answer: PointsAnswer, one: SideAnswer) -> dict[str, Any]:
    if one.goal is not None:
        return {
            "quantity": one.goal.name,
            "unit": "mm" if one.goal.name == "gap" else "deg",
            "value": one.goal.value,
            "half_width": answer.settled.half_width(one.goal.slopes),
            "next": [
                {"reading": plain_reading(each.reading), "half_width": each.half_width}
                for each in read_next(answer.settled, one.goal.slopes, answer.unread)
            ],
        }
    if one.sure is None or not one.chance_asked:
        return {}
    return {
        "quantity": CHANCE,
        "unit": "1",
        "value": one.sure.chance,
        "length_mm": one.sure.length_mm,
        "next": [
            {"reading": plain_reading(each.reading), "chance": each.chance}
            for each in one.next_for_chance
        ],
    }


def _point_json(one: SettledPoint) -> dict[str, Any]:
    return {
        "mm": one.at.tolist(),
        "standard_uncertainty_mm": one.standard_uncertainty_mm.tolist(),
        "drawn_off_mm": one.drawn_off_mm,
        "not_fixed": list(one.not_fixed),
        "rests_on": list(one.fixed_by),
    }


def _reading_json(one: CheckedReading) -> dict[str, Any]:
    figures = picked(one, "residual", "standardised", "redundancy", "misread_by")
    return {"reading": plain_reading(one.reading)} | figures
