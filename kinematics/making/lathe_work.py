"""What a lathe has to take for each donor, and whether the one there is does.

::

    headstock                                            tailstock
       ▐█▌ chuck ──joint's end──────bar──────cut end ◀─── centre
            ╰──────────── between centres ──────────╯

The joint's end is held in the chuck and the cut end runs on the tailstock's centre, or in a
steady while it is bored.  A joint that stays on is held by its own stub, so
that it turns with the bar and lengthens it by what of it lies beyond its centre.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kinematics.making.cut_plan import CutPlan
from kinematics.making.cut_steps import Work, cut_steps
from kinematics.making.donors import End, other_end
from kinematics.making.lathe import Lathe
from kinematics.parts import Section

Dimension = Literal["between centres", "swing", "swing over the carriage"]
Remedy = Literal[
    "through the spindle",
    "take the joint off",
    "turn the other donor",
    "bore the sleeve",
    "saw and file",
]

ON_THE_LATHE: tuple[Work, ...] = ("turn down", "bore", "trim", "turn the spigot", "bevel")


@dataclass(frozen=True, slots=True)
class BeyondLathe:
    """One dimension that the lathe does not take."""

    dimension: Dimension
    needed_mm: float
    there_mm: float


@dataclass(frozen=True, slots=True)
class LatheWork:
    """One donor on the lathe.

    ``between_centres_mm`` from the chuck to the end that is worked; ``over_bed_mm`` and
    ``over_carriage_mm`` are diameters: the largest that turns, and the largest where the
    carriage works.  ``joint_on``: the joint turns too, and has to be tied straight and wrapped
    against swarf; ``joint_known`` tells whether its size is among the figures.
    ``too_large`` is empty where the lathe takes it, or where nothing is known of the lathe.
    """

    end: End
    works: tuple[Work, ...]
    between_centres_mm: float
    over_bed_mm: float
    over_carriage_mm: float
    joint_on: bool
    joint_known: bool
    too_large: tuple[BeyondLathe, ...]
    remedies: tuple[Remedy, ...]

    @property
    def fits(self) -> bool:
        """Whether nothing that is known of the lathe speaks against it."""
        return not self.too_large


def lathe_works(
    plan: CutPlan,
    lathe: Lathe | None = None,
    outer_joint: Sequence[Section] = (),
    inner_joint: Sequence[Section] = (),
) -> tuple[LatheWork, ...]:
    """What each donor asks of a lathe, the one that is cut first before the other.

    ``outer_joint`` and ``inner_joint`` are the joints' outlines as the scene has them: from
    the outer joint's centre towards the wheel, and from mid-stroke outwards, so that the inner
    joint's body lies at minus.  A donor with nothing to turn, bore or bevel has no entry.
    """
    bodies = {"hub": _body(outer_joint, 1.0), "gearbox": _body(inner_joint, -1.0)}
    turned = [step for step in cut_steps(plan) if step.action in ON_THE_LATHE]
    found = []
    for end in (plan.first, other_end(plan.first)):
        works = dict.fromkeys(step.action for step in turned if step.end == end)
        if works:
            found.append(_one(plan, end, tuple(works), lathe or Lathe(), bodies[end]))
    return tuple(found)


def _body(sections: Sequence[Section], way: float) -> tuple[float, float]:
    """How far a joint's body goes beyond its centre, away from the bar, and how thick it is."""
    reach = max((max(way * s.from_, way * s.to) for s in sections), default=0.0)
    return max(0.0, reach), max((max(s.diameter) for s in sections), default=0.0)


def _one(
    plan: CutPlan, end: End, works: tuple[Work, ...], lathe: Lathe, body: tuple[float, float]
) -> LatheWork:
    cut, donor = plan.cut(end), plan.cut(end).donor
    on = not donor.joint_comes_off
    beyond, body_thick = body if on else (0.0, 0.0)
    start = 0.0 if on else donor.stretches[0].from_
    kept = max(stretch.diameter for stretch in donor.between(0.0, cut.first_cut_mm))
    at_work = donor.between(cut.plain_to_mm - 1.0, cut.first_cut_mm)
    worked = max(stretch.diameter for stretch in at_work)
    known = not on or body_thick > 0.0
    length = cut.first_cut_mm - start + beyond
    over_bed = max(kept, body_thick)
    asked: tuple[tuple[Dimension, float, float | None], ...] = (
        ("between centres", length, lathe.between_centres),
        ("swing", over_bed, lathe.swing),
        ("swing over the carriage", worked, lathe.swing_over_carriage),
    )
    too_large = tuple(
        BeyondLathe(dimension, needed, there)
        for dimension, needed, there in asked
        if there is not None and needed > there
    )
    work = LatheWork(
        end=end,
        works=works,
        between_centres_mm=length,
        over_bed_mm=over_bed,
        over_carriage_mm=worked,
        joint_on=on,
        joint_known=known,
        too_large=too_large,
        remedies=(),
    )
    return replace(work, remedies=tuple(_remedies(plan, lathe, work)))


def _remedies(plan: CutPlan, lathe: Lathe, work: LatheWork) -> Iterator[Remedy]:
    """What else would do, the best first."""
    if work.fits:
        return
    end, cut = work.end, plan.cut(work.end)
    only_length = all(one.dimension == "between centres" for one in work.too_large)
    # Held next to the cut, all of the bar behind it may stick out of the headstock.
    slim = lathe.spindle_bore is not None and work.over_bed_mm <= lathe.spindle_bore
    if only_length and slim and work.joint_known:
        yield "through the spindle"
    if not cut.donor.joint_comes_off:
        yield "take the joint off"
    # The other piece carries the turning, and this one is bored next to the chuck.
    if plan.splice.spigot_mm > 0.0 and plan.splice.butt and plan.splice.butt.spigot_on == end:
        yield "turn the other donor"
    # What is filed cannot be turned down.
    thick = cut.turned_from_mm is not None and plan.splice.sleeve is not None
    yield "bore the sleeve" if thick else "saw and file"
