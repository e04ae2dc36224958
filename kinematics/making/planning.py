"""Planning the cuts: the work from two donors and a splice to a plan, refused or not."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from kinematics.errors import require
from kinematics.making.by_hand import GAUGE_DEG, LATHE_MM, SAW_MM, down_to, nearest, up_to
from kinematics.making.cut_plan import Cut, CutPlan, LengthTolerance
from kinematics.making.donors import ENDS, Donor, End, other_end
from kinematics.making.refusals import refusals
from kinematics.making.splice import Sleeve, Splice, sleeve_section
from kinematics.parts import Section

# Turned a little further than welds and sleeve reach, yet never past what is kept clear.
TURN_BEYOND = 2.0
NEAR_SPLICE = 15.0


def plan_cuts(
    hub: Donor,
    gearbox: Donor,
    splice: Splice,
    length_mm: float,
    *,
    window_mm: tuple[float, float] | None = None,
    sections: Sequence[Section] = (),
) -> CutPlan:
    """Plan the cuts for a shaft of this length between joint centres.

    ``window_mm``: shortest and longest length, for the tolerance.  ``sections``: the shaft's
    outline, so that welds and sleeve stay clear of boots; one named "sleeve" is this sleeve
    and does not count.  What is marked and turned is rounded to what hands can do: the splice
    moves by up to 0.25 mm for it, the length by up to 0.025.  Raises InvalidInput where the
    splice is not between the joints.
    """
    asked_mm = length_mm
    donors: dict[End, Donor] = {"hub": hub, "gearbox": gearbox}
    # The end that cannot be cut twice goes first and is done with; of two alike the hub's,
    # which is harder to find again.
    first: End = "gearbox" if hub.cut_twice and not gearbox.cut_twice else "hub"
    splice, length_mm = _set_by_hand(donors, splice, length_mm, first)
    faces = _faces(splice, length_mm)
    diameter = _common_diameter(donors, splice, faces)
    low, high = splice.welded_span_mm(diameter)
    reach: dict[End, float] = {"hub": low, "gearbox": length_mm - high}
    beyond = min(TURN_BEYOND, splice.clear)

    def cut(end: End) -> Cut:
        donor = donors[end]
        finished = faces[end] + _spigot_mm(splice, end)
        trims = end != first and donor.cut_twice
        turned_from = max(
            donor.stretches[0].from_,
            donor.datum.at + up_to(reach[end] - beyond - donor.datum.at, LATHE_MM),
        )
        thick = any(s.diameter > diameter for s in donor.between(turned_from, faces[end]))
        return Cut(
            end=end,
            donor=donor,
            face_mm=faces[end],
            cut_mm=finished,
            trim_mm=_trim_mm(donor, finished, splice.trim) if trims else 0.0,
            turned_from_mm=turned_from if thick else None,
        )

    cuts = {end: cut(end) for end in ENDS}
    trimmed = cuts[other_end(first)].trim_mm > 0.0
    plan = CutPlan(
        length_mm=length_mm,
        splice=splice,
        hub=cuts["hub"],
        gearbox=cuts["gearbox"],
        first=first,
        diameter_mm=diameter,
        sleeve=sleeve_section(splice),
        tolerance=None
        if window_mm is None
        else LengthTolerance(asked_mm - window_mm[0], window_mm[1] - asked_mm, 1 if trimmed else 2),
        refusals=(),
    )
    return dataclasses.replace(plan, refusals=tuple(refusals(plan, window_mm, sections)))


def _faces(splice: Splice, length_mm: float) -> dict[End, float]:
    """Where the bars' faces are, each from its own joint's centre."""
    half = 0.5 * splice.gap_after_mm
    faces: dict[End, float] = {"hub": splice.at - half, "gearbox": length_mm - splice.at - half}
    between = f"a splice between the joint centres, {length_mm:g} mm apart"
    require((min(faces.values()) > 0.0, "at", between))
    return faces


def _spigot_mm(splice: Splice, end: End) -> float:
    return splice.spigot_mm if splice.butt and splice.butt.spigot_on == end else 0.0


def _set_by_hand(
    donors: Mapping[End, Donor], splice: Splice, length_mm: float, first: End
) -> tuple[Splice, float]:
    """Splice and length so that each value is one that a saw, a lathe or a gauge is set to.

    The first cut is the saw's and moves the splice by a quarter of a mm at most; the other is
    turned or filed and takes a fortieth of a mm off the length, or adds it.
    """
    second = other_end(first)
    splice = _steps_of_tools(splice)
    marks = {}
    for end, step in ((first, SAW_MM), (second, LATHE_MM)):
        datum, spigot = donors[end].datum.at, _spigot_mm(splice, end)
        face = _faces(splice, length_mm)[end]
        marks[end] = datum + nearest(face + spigot - datum, step) - spigot - face
        if end == first:
            moved = splice.at + (marks[end] if end == "hub" else -marks[end])
            splice = dataclasses.replace(splice, at=moved, sleeve=_set_sleeve(splice, moved))
    # What the second face moves by is the length's, for the splice stays where it is.
    length = length_mm + marks[second]
    if second == "hub":
        splice = dataclasses.replace(splice, at=splice.at + marks[second])
    return splice, length


def _steps_of_tools(splice: Splice) -> Splice:
    """The splice's own lengths as they are turned and set; what is less than a step stays."""

    def turned(mm: float) -> float:
        return nearest(mm, LATHE_MM) or mm

    butt, sleeve = splice.butt, splice.sleeve
    if butt is not None:
        bevel, spigot = nearest(butt.bevel_angle, GAUGE_DEG), turned(butt.spigot_length)
        butt = dataclasses.replace(butt, bevel_angle=bevel, spigot_length=spigot)
    if sleeve is not None:
        sleeve = dataclasses.replace(sleeve, length=turned(sleeve.length))
    gap, shrinkage = turned(splice.root_gap), turned(splice.shrinkage)
    return dataclasses.replace(splice, butt=butt, sleeve=sleeve, root_gap=gap, shrinkage=shrinkage)


def _set_sleeve(splice: Splice, at_mm: float) -> Sleeve | None:
    """The sleeve with its end on a mark; where it was typed it stays."""
    sleeve = splice.sleeve
    if sleeve is None or sleeve.at is not None:
        return sleeve
    half = 0.5 * sleeve.length
    return dataclasses.replace(sleeve, at=nearest(at_mm - half, SAW_MM) + half)


def _trim_mm(donor: Donor, finished_mm: float, wanted_mm: float) -> float:
    """What stays on so that the saw's mark is a whole step; less where the bar ends before."""
    saw = donor.datum.at + up_to(finished_mm + wanted_mm - donor.datum.at, SAW_MM)
    if saw > donor.usable_to:
        saw = donor.datum.at + down_to(donor.usable_to - donor.datum.at, SAW_MM)
    return max(0.0, saw - finished_mm)


def _common_diameter(
    donors: Mapping[End, Donor], splice: Splice, faces: Mapping[End, float]
) -> float:
    if splice.diameter is not None:
        return splice.diameter
    # The bars as they are at the splice: what the welds take up depends on it in turn.
    thickest = min(_thinnest(donors[end], faces[end], splice) for end in ENDS)
    if splice.sleeve is None:
        return thickest
    return min(thickest, down_to(splice.sleeve.bore - splice.sleeve.fit_clearance, LATHE_MM))


def _thinnest(donor: Donor, face_mm: float, splice: Splice) -> float:
    sleeve = splice.sleeve.length if splice.sleeve else 0.0
    near = list(donor.between(face_mm - max(0.5 * sleeve, NEAR_SPLICE), face_mm))
    bars = [s.diameter for s in near if s.kind == "bar"] or [s.diameter for s in donor.stretches]
    return min(bars)
