"""What speaks against a cut plan: each reason with the end, the thing and the amount."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kinematics.making.cut_plan import Cut, CutPlan, Refusal
from kinematics.making.donors import ENDS, from_joint, other_end
from kinematics.making.fit import sleeve_fit
from kinematics.making.splice import SLEEVE
from kinematics.parts import Section

# Common practice, no source: more than this and a sleeve hangs crooked in its welds.
LOOSEST_FIT = 0.5
# Room for torch and hand between a butt weld and the sleeve waiting beside it.
WELDING_ROOM = 30.0
_ROUNDING = 1e-9


def refusals(
    plan: CutPlan, window_mm: tuple[float, float] | None, sections: Sequence[Section]
) -> Iterator[Refusal]:
    """Everything that speaks against the plan."""
    for end in ENDS:
        yield from _donor(plan, plan.cut(end))
    yield from _outline(plan, sections)
    yield from _butt(plan)
    yield from _sleeve(plan)
    if window_mm is not None:
        beyond = max(window_mm[0] - plan.length_mm, plan.length_mm - window_mm[1])
        if beyond > _ROUNDING:
            yield Refusal("outside the length window", beyond)


def _donor(plan: CutPlan, cut: Cut) -> Iterator[Refusal]:
    donor = cut.donor
    if cut.cut_mm > donor.usable_to + _ROUNDING:
        yield Refusal("donor too short", cut.cut_mm - donor.usable_to, cut.end)
    nearest = from_joint(cut.end, plan.welded_span_mm, plan.length_mm)[0]
    start, deepest = donor.stretches[0].from_, nearest
    if plan.splice.butt is not None and plan.splice.butt.spigot_on != cut.end:
        deepest = min(nearest, cut.face_mm - plan.bore_depth_mm)
    if deepest < start - _ROUNDING:
        yield Refusal("nothing known there", start - deepest, cut.end)
    kept = nearest - plan.splice.clear
    until = min(cut.cut_mm, donor.usable_to)
    for stretch in donor.between(kept, until):
        if stretch.kind != "bar":
            amount = min(until, stretch.to) - max(kept, stretch.from_)
            yield Refusal("weld or sleeve on", amount, cut.end, stretch.name)
    needed = [(nearest, cut.face_mm, plan.diameter_mm)]
    if cut.cut_mm > cut.face_mm and plan.splice.butt is not None:
        spigot = plan.splice.bore_mm - plan.splice.butt.spigot_clearance
        needed.append((cut.face_mm, until, spigot))
    for low, high, diameter in needed:
        thin = min((s.diameter for s in donor.between(low, high)), default=diameter)
        if thin < diameter - _ROUNDING:
            yield Refusal("bar too thin", diameter - thin, cut.end)


def _outline(plan: CutPlan, sections: Sequence[Section]) -> Iterator[Refusal]:
    """Boots and the like round the bar: whatever is thicker than the bar itself."""
    low, high = plan.welded_span_mm
    low, high = low - plan.splice.clear, high + plan.splice.clear
    for section in sections:
        overlap = min(high, section.to) - max(low, section.from_)
        if section.name.casefold() == SLEEVE or overlap <= _ROUNDING:
            continue
        if max(section.diameter) > _thickest_under(plan, section) + _ROUNDING:
            yield Refusal("weld or sleeve under", overlap, what=section.name)


def _thickest_under(plan: CutPlan, section: Section) -> float:
    thickest = []
    for end in ENDS:
        cut = plan.cut(end)
        low, high = from_joint(end, (section.from_, section.to), plan.length_mm)
        # What lies beyond the face is sawn off.
        thickest += [s.diameter for s in cut.donor.between(low, min(high, cut.face_mm))]
    return max(thickest, default=plan.diameter_mm)


def _butt(plan: CutPlan) -> Iterator[Refusal]:
    splice, diameter = plan.splice, plan.diameter_mm
    if splice.butt is None:
        return
    if splice.bore_mm >= diameter:
        yield Refusal("bore too large", splice.bore_mm - diameter)
        return
    bored = plan.cut(other_end(splice.butt.spigot_on))
    for stretch in bored.donor.between(bored.face_mm - plan.bore_depth_mm, bored.face_mm):
        if stretch.carrying_mm <= splice.bore_mm:
            amount = splice.bore_mm - stretch.carrying_mm
            yield Refusal("bore too large", amount, bored.end, stretch.name)
    wall = 0.5 * (diameter - splice.bore_mm)
    if splice.depth_mm(diameter) > wall + _ROUNDING:
        yield Refusal("bevel too deep", splice.depth_mm(diameter) - wall)


def _sleeve(plan: CutPlan) -> Iterator[Refusal]:
    sleeve, span = plan.splice.sleeve, plan.splice.sleeve_span_mm
    if sleeve is None or span is None:
        return
    fit = sleeve_fit(sleeve.bore, plan.diameter_mm, sleeve.leg_mm)
    # Halves are laid round the bars and need no room to slide.
    least = 0.0 if sleeve.split else fit.least_mm
    loosest = min(LOOSEST_FIT, fit.most_mm)
    if fit.clearance_mm < least - _ROUNDING:
        yield Refusal("sleeve too tight", least - fit.clearance_mm)
    elif fit.clearance_mm > loosest + _ROUNDING:
        yield Refusal("sleeve too loose", fit.clearance_mm - loosest)
    # A bar's diameter of sleeve on each side; beside a butt weld only the weld is to be covered.
    overlap = 0.0 if plan.splice.butt else plan.diameter_mm
    low, high = plan.splice.butt_span_mm(plan.diameter_mm)
    missing = max(span[0] - (low - overlap), (high + overlap) - span[1])
    if missing > _ROUNDING:
        yield Refusal("sleeve misses the splice", missing)
    if plan.splice.butt is not None and not sleeve.split:
        lacking = min(_lacking_to_slide(plan, plan.cut(end)) for end in ENDS)
        if lacking > _ROUNDING:
            yield Refusal("nowhere to slide the sleeve", lacking)


def _lacking_to_slide(plan: CutPlan, cut: Cut) -> float:
    """How much further back a whole sleeve would have to go than this bar lets it, mm."""
    sleeve = plan.splice.sleeve
    assert sleeve is not None  # asked only for a splice that has one
    butt = plan.splice.butt_span_mm(plan.diameter_mm)
    back_to = from_joint(cut.end, butt, plan.length_mm)[0] - WELDING_ROOM - sleeve.length
    return cut.slides_to_mm(sleeve.bore) - back_to
