"""Planning the cuts: the work from two donors and a splice to a plan, refused or not."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from kinematics.errors import InvalidInput, Problem
from kinematics.making.cut_plan import Cut, CutPlan, LengthTolerance
from kinematics.making.donors import ENDS, Donor, End, other_end
from kinematics.making.refusals import SLEEVE, refusals
from kinematics.making.splice import Splice
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
    and does not count.  Raises InvalidInput where the splice is not between the joints.
    """
    half = 0.5 * splice.gap_after_mm
    faces: dict[End, float] = {"hub": splice.at - half, "gearbox": length_mm - splice.at - half}
    if min(faces.values()) <= 0.0:
        raise InvalidInput(
            [Problem("at", f"expected a splice between the joint centres, {length_mm:g} mm apart")]
        )
    donors: dict[End, Donor] = {"hub": hub, "gearbox": gearbox}
    diameter = _common_diameter(donors, splice, faces)
    first = _first_end(donors)
    low, high = splice.welded_span_mm(diameter)
    reach: dict[End, float] = {"hub": low, "gearbox": length_mm - high}

    beyond = min(TURN_BEYOND, splice.clear)

    def cut(end: End) -> Cut:
        spigot = splice.spigot_mm if splice.butt and splice.butt.spigot_on == end else 0.0
        finished = faces[end] + spigot
        spare = max(0.0, donors[end].usable_to - finished)
        trims = end != first and donors[end].cut_twice
        turned_from = max(donors[end].stretches[0].from_, reach[end] - beyond)
        thick = any(s.diameter > diameter for s in donors[end].between(turned_from, faces[end]))
        return Cut(
            end=end,
            donor=donors[end],
            face_mm=faces[end],
            cut_mm=finished,
            trim_mm=min(splice.trim, spare) if trims else 0.0,
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
        else LengthTolerance(
            length_mm - window_mm[0], window_mm[1] - length_mm, 1 if trimmed else 2
        ),
        refusals=(),
    )
    return dataclasses.replace(plan, refusals=tuple(refusals(plan, window_mm, sections)))


def _first_end(donors: Mapping[End, Donor]) -> End:
    # The end that cannot be cut twice goes first and is done with; of two alike the hub's,
    # which is harder to find again.
    return "gearbox" if donors["hub"].cut_twice and not donors["gearbox"].cut_twice else "hub"


def _common_diameter(
    donors: Mapping[End, Donor], splice: Splice, faces: Mapping[End, float]
) -> float:
    if splice.diameter is not None:
        return splice.diameter
    # The bars as they are at the splice: what the welds take up depends on it in turn.
    thickest = min(_thinnest(donors[end], faces[end], splice) for end in ENDS)
    if splice.sleeve is None:
        return thickest
    return min(thickest, splice.sleeve.bore - splice.sleeve.fit_clearance)


def _thinnest(donor: Donor, face_mm: float, splice: Splice) -> float:
    sleeve = splice.sleeve.length if splice.sleeve else 0.0
    near = list(donor.between(face_mm - max(0.5 * sleeve, NEAR_SPLICE), face_mm))
    bars = [s.diameter for s in near if s.kind == "bar"] or [s.diameter for s in donor.stretches]
    return min(bars)


def sleeve_section(splice: Splice) -> Section | None:
    """The sleeve as a piece of the shaft's outline; None without one."""
    span = splice.sleeve_span_mm
    if splice.sleeve is None or span is None:
        return None
    return Section(SLEEVE, *span, (splice.sleeve.outside_diameter, splice.sleeve.outside_diameter))
