"""The cut plan in words: what goes first and why, each cut, and what speaks against it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kinematics.making.donors import End, other_end
from kinematics.making.fit import sleeve_fit
from sketcher.words.lengths import MM, Lengths

if TYPE_CHECKING:
    from kinematics.making.cut_plan import CutPlan, Reason, Refusal


def first_line(plan: CutPlan, say: Lengths = MM) -> str:
    """Which donor is cut first, and why."""
    first, second = plan.first, other_end(plan.first)
    if plan.no_second_chance:
        return (
            "neither donor can be cut twice, so nothing makes up for a mistake: "
            f"the {first} donor, then the {second} donor, each to its finished length"
        )
    trim = plan.cut(second).trim_mm
    why = "" if plan.cut(first).donor.cut_twice else ", which cannot be cut twice"
    makes_up = (
        f"the {second} donor is left {say.plain(trim)} too long and trimmed to what the {first} "
        "piece came to"
        if trim > 0.0
        else f"the {second} donor has no bar to spare for a trim, so both cuts have to be right"
    )
    return f"the {first} donor{why}: once, to its finished length, then measured; {makes_up}"


def cuts_summary(plan: CutPlan, say: Lengths = MM) -> str:
    """Both cuts in few words, the first one first."""
    ends = (plan.first, other_end(plan.first))
    return "; then ".join(
        f'{end} donor {say.place(plan.cut(end).cut_from_datum_mm)} from "'
        f'{plan.cut(end).donor.datum.name}"'
        for end in ends
    )


def cut_line(plan: CutPlan, end: End, say: Lengths = MM) -> str:
    """Where one donor is cut, from what a tape can be held against."""
    cut = plan.cut(end)
    saw = f"saw at {from_datum(plan, end, cut.first_cut_mm, say)}"
    if cut.trim_mm <= 0.0:
        once = "; no second try" if not cut.donor.cut_twice else ""
        return f"{saw}: its finished end{once}"
    return f"{saw}; trim {say.plain(cut.trim_mm)} to {from_datum(plan, end, cut.cut_mm, say)}"


def cut_brief(plan: CutPlan, end: End, say: Lengths = MM) -> str:
    """One donor's cut in few words, from its datum alone."""
    cut = plan.cut(end)
    order = "first" if end == plan.first else "then"
    saw, finished = cut.first_cut_from_datum_mm, cut.cut_from_datum_mm
    text = f'{order} saw the {end} donor {say.place(saw)} from "{cut.donor.datum.name}"'
    if cut.trim_mm > 0.0:
        return f"{text}, then trim it to {say.place(finished)}"
    return f"{text}: no second try" if not cut.donor.cut_twice else text


def from_datum(plan: CutPlan, end: End, from_joint_mm: float, say: Lengths = MM) -> str:
    """A place on a donor: from its datum, and from its joint's centre."""
    datum = plan.cut(end).donor.datum
    at = from_joint_mm - datum.at
    way = "" if at >= 0.0 else " towards the joint"
    from_it = f'{say.place(abs(at))} from "{datum.name}"{way}'
    if not say.from_joint:
        return from_it
    return f"{from_it} ({say.plain(from_joint_mm)} from its joint's centre)"


def datum_line(plan: CutPlan, end: End, say: Lengths = MM) -> str:
    """That nothing else says where a datum is; empty where a stretch begins or ends there."""
    donor = plan.cut(end).donor
    if not donor.datum_stands_alone:
        return ""
    return (
        f'"{donor.datum.name}" stands alone: no stretch begins or ends there, so nothing but its '
        f"own {say.plain(donor.datum.at)} from the joint's centre says where it is"
    )


def turning_line(plan: CutPlan, end: End, say: Lengths = MM) -> str:
    """What is turned, bored and bevelled on one donor; empty where nothing is."""
    cut, butt = plan.cut(end), plan.splice.butt
    parts = []
    if cut.turned_from_mm is not None:
        parts.append(
            f"turn to {say.size(plan.diameter_mm)} from "
            f"{from_datum(plan, end, cut.turned_from_mm, say)} to its end"
        )
    if butt is not None and butt.spigot_length > 0.0:
        if butt.spigot_on == end:
            diameter = say.size(butt.bore - butt.spigot_clearance)
            parts.append(f"spigot {diameter}, {say.plain(butt.spigot_length)} long")
        else:
            parts.append(f"bore {say.size(butt.bore)}, {say.plain(plan.bore_depth_mm)} deep")
    if butt is not None:
        depth = plan.splice.depth_mm(plan.diameter_mm)
        parts.append(f"bevel {butt.bevel_angle:g}° from square, {say.plain(depth)} deep")
    return "; ".join(parts)


def sleeve_line(plan: CutPlan, say: Lengths = MM) -> str:
    """The sleeve and where it sits; empty without one."""
    sleeve, span = plan.splice.sleeve, plan.splice.sleeve_span_mm
    if sleeve is None or span is None:
        return ""
    kind = "split along, laid round the bars" if sleeve.split else "whole, slid on before the weld"
    return (
        f"{say.plain(span[0])} to {say.plain(span[1])} from the outer joint's centre; bore "
        f"{say.size(sleeve.bore)}, outside {say.size(sleeve.outside_diameter)}, "
        f"{kind}, fillet leg {say.plain(sleeve.leg_mm)}"
    )


def fit_line(plan: CutPlan, say: Lengths = MM) -> str:
    """How the sleeve fits the bars, and what that asks for; empty without one."""
    sleeve = plan.splice.sleeve
    if sleeve is None:
        return ""
    fit = sleeve_fit(sleeve.bore, plan.diameter_mm, sleeve.leg_mm)
    clearance = f"{say.fine(fit.clearance_mm)} clearance on the diameter"
    if fit.slides:
        return (
            f"{clearance}: it slides and sits straight (ISO 286 H8/g7, "
            f"{say.fine(fit.least_mm, 'up')} to {say.fine(fit.sliding_mm, 'down')})"
        )
    return (
        f"{clearance}, more than a sliding fit (ISO 286 H8/g7, up to "
        f"{say.fine(fit.sliding_mm, 'down')}): centre it with strips of shim before it is tacked; "
        f"the fillets bridge up to {say.fine(fit.most_mm, 'down')} (ISO 5817, level B)"
    )


def closure_line(plan: CutPlan, say: Lengths = MM) -> str:
    """How the pieces come to the length, in figures that add up."""
    splice = plan.splice
    amounts = [(plan.hub.cut_mm, "hub piece"), (plan.gearbox.cut_mm, "gearbox piece")]
    amounts += [(splice.root_gap, "root gap"), (-splice.spigot_mm, "spigot")]
    amounts += [(-splice.shrinkage, "weld shrinkage")]
    words = ""
    for value, name in amounts:
        if value:
            sign = "" if not words else " − " if value < 0.0 else " + "
            words += f"{sign}{say.summand(abs(value))} {name}"
    return f"{words} = {say.total(plan.length_mm)}"


def tolerance_line(plan: CutPlan, say: Lengths = MM) -> str:
    """How far the length may come out wrong; empty without a window or outside it."""
    tolerance = plan.tolerance
    if tolerance is None or min(tolerance.shorter_mm, tolerance.longer_mm) < 0.0:
        return ""
    shorter = say.plain(tolerance.shorter_mm, "down")
    longer = say.plain(tolerance.longer_mm, "down")
    each = say.plain(tolerance.each_cut_mm, "down")
    cuts = (
        f"the last cut decides it: within {each} either way"
        if tolerance.cuts == 1
        else f"both cuts count: each within {each} either way"
    )
    return (
        f"the shaft may come out {shorter} shorter or {longer} longer; {cuts}, "
        "and what the tape got wrong comes out of the same room"
    )


_REFUSED: dict[Reason, str] = {
    "donor too short": "{donor} is too short by {by}: its bar is sound to {usable} from its "
    "joint's centre, the cut is at {cut}",
    "nothing known there": "welds, sleeve or bore reach {by} past what is known of {donor}: "
    "measure it nearer to its joint, or move the splice",
    "weld or sleeve on": 'welds or sleeve come over "{what}" of {donor}, by {by} with the {clear} '
    "that is kept clear",
    "weld or sleeve under": 'welds or sleeve come under "{what}", by {by} with the {clear} that is '
    "kept clear",
    "bar too thin": "{donor} is {by} thinner at the splice than it is to be turned to",
    "sleeve too loose": "the sleeve's bore is {by} too large to sit straight on the bars",
    "sleeve too tight": "the sleeve does not go on: its bore is {by} too small, or the bars too "
    "thick",
    "sleeve misses the splice": "the sleeve does not cover the splice, by {by}: make it longer, or "
    "move it",
    "nowhere to slide the sleeve": "there is {by} too little bar to slide the whole sleeve back on "
    "while the butt is welded: split it, shorten it, or leave out the butt weld",
    "bore too large": "the bore for the spigot leaves no wall{inside}, by {by}",
    "bevel too deep": "the bevel is {by} deeper than the wall",
    "outside the length window": "the length is {by} too {word} for its window",
}


def refusal_line(plan: CutPlan, refusal: Refusal, say: Lengths = MM) -> str:
    """One thing that speaks against the plan, with what would put it right."""
    donor = f"the {refusal.end} donor" if refusal.end else "the bar"
    cut = plan.cut(refusal.end or plan.first)
    tolerance = plan.tolerance
    return _REFUSED[refusal.reason].format(
        by=say.plain(refusal.amount_mm, "up"),
        donor=donor,
        usable=say.plain(cut.donor.usable_to),
        cut=say.plain(cut.cut_mm),
        what=refusal.what,
        clear=say.size(plan.splice.clear),
        inside=f' in "{refusal.what}" of {donor}' if refusal.what else "",
        word="short" if tolerance is not None and tolerance.shorter_mm < 0.0 else "long",
    )
