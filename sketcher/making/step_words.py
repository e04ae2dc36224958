"""The order of work in words, each step with its caution where there is one to heed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kinematics.cutplan import CutPlan
from kinematics.cutsteps import Action, Step, cut_steps
from kinematics.donors import other_end
from sketcher.making.cut_words import from_datum
from sketcher.making.lengths import MM, Lengths

WELDING = (
    "A welded shaft is a rotating part: have it welded and checked by a qualified welder or "
    "engineer, and keep to the codes where you live; some forbid welded shafts on the road."
)
NO_SECOND_TRY = "There is no second try: measure twice, and have somebody else look."


@dataclass(frozen=True, slots=True)
class Line:
    """One step; ``caution`` is empty where there is nothing to heed."""

    text: str
    caution: str = ""


def step_lines(plan: CutPlan, say: Lengths = MM) -> tuple[Line, ...]:
    """All steps in order; a caution stands at the first step that it is for."""
    lines, said = [], set()
    for step in cut_steps(plan):
        caution = _caution(plan, step)
        if caution in said:
            caution = ""
        said.add(caution)
        lines.append(Line(step_text(plan, step, say), caution))
    return tuple(lines)


def step_text(plan: CutPlan, step: Step, say: Lengths = MM) -> str:
    """One step with its numbers."""
    end = step.end or ""
    text = _TEXTS[step.action].format(end=end)
    amounts = "; ".join(_amounts(plan, step, say))
    return f"{text}: {amounts}." if amounts else f"{text}."


_TEXTS: dict[Action, str] = {
    "check the donor": "Look over the {end} donor: no cracks, rust pits or bends",
    "take the joint off": "Take the joint off the {end} donor",
    "keep the joint cool": "The joint stays on the {end} donor: wrap it against heat and chips",
    "mark and cut": "Mark the {end} donor, saw it square",
    "turn down": "Turn the {end} donor down",
    "bore": "Bore the {end} donor, true to its bar",
    "measure": "Measure the finished {end} piece and write it down",
    "trim": "Trim the {end} donor to its finished length",
    "turn the spigot": "Turn the spigot on the {end} donor",
    "bevel": "Bevel the face of the {end} donor",
    "slide the sleeve on": "Slide the sleeve on now; later there is no way",
    "set the gap": "Put the halves together with their root gap",
    "tack": "Tack in four places, opposite ones first",
    "check runout": "Turn it on its joint centres and read the runout beside the splice",
    "check length": "Check the length between joint centres",
    "weld the butt": "Weld the butt, turning the shaft from side to side",
    "set the sleeve": "Set the sleeve",
    "weld the seams": "Weld the seams of the split sleeve, right through",
    "weld the sleeve": "Weld both ends of the sleeve",
    "fit joint and boot": "Fit joint, boot and fresh grease at the {end} end",
}


def _amounts(plan: CutPlan, step: Step, say: Lengths) -> Iterator[str]:
    if step.from_joint_mm is not None and step.end is not None:
        yield from_datum(plan, step.end, step.from_joint_mm, say)
    if step.action == "set the sleeve" and step.from_joint_mm is not None:
        yield f"its end {say.place(step.from_joint_mm)} from the outer joint's centre"
    if step.diameter_mm is not None:
        yield f"diameter {say.size(step.diameter_mm)}"
    if step.length_mm is not None:
        yield _LENGTHS.get(step.action, "{}").format(say.place(step.length_mm))
    if step.angle_deg is not None:
        yield f"{step.angle_deg:g}° from square"
    yield from _besides(plan, step, say)


_LENGTHS: dict[Action, str] = {
    "turn down": "{} long",
    "bore": "{} deep",
    "trim": "taking off {}",
    "turn the spigot": "{} long",
    "bevel": "{} deep",
    "slide the sleeve on": "{} long",
    "set the sleeve": "{} long",
    "weld the seams": "{} long",
    "weld the sleeve": "leg {}",
}


def _besides(plan: CutPlan, step: Step, say: Lengths) -> Iterator[str]:
    splice, second = plan.splice, other_end(plan.first)
    match step.action:
        case "turn down":
            yield f"radius {say.size(splice.turn_radius)} where it ends"
        case "measure" if plan.cut(second).trim_mm > 0.0:
            both = plan.hub.cut_from_datum_mm + plan.gearbox.cut_from_datum_mm
            yield (
                f"then the {second} piece has to be {say.place(both)} less what this one measures, "
                "each from its own datum to the cut end"
            )
        case "trim":
            yield "or to what the measured piece asks for"
        case "check length" if step.length_mm != plan.length_mm:
            yield f"welding takes off {say.size(splice.shrinkage)}"


def _caution(plan: CutPlan, step: Step) -> str:
    if step.once:
        return NO_SECOND_TRY
    if step.action == "turn down" and step.end and not plan.cut(step.end).donor.joint_comes_off:
        return "A joint that hangs on its shaft swings in the lathe: tie it straight, go slow."
    return _CAUTIONS.get(step.action, "")


_CAUTIONS: dict[Action, str] = {
    "take the joint off": "Circlips fly: wear eye protection.",
    "turn down": "A hardened bar may have to be ground; no sharp corner, a crack begins there.",
    "tack": "Clean bare steel; medium-carbon steel cracks when it is welded cold, so preheat and "
    "cool it as the steel wants.",
    "weld the butt": WELDING,
    "weld the seams": WELDING,
    "weld the sleeve": WELDING,
}
