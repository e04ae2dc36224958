"""The order of work in words, each step with its caution where there is one to heed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kinematics.making.cut_plan import CutPlan
from kinematics.making.cut_steps import MakingStep, Work, cut_steps
from kinematics.making.donors import ENDS, other_end
from sketcher.words.cautions import CODES
from sketcher.words.cuts import from_datum
from sketcher.words.lengths import MM, Lengths

WELDING = (
    "A welded shaft is a rotating part: have it welded and checked by a qualified welder or "
    "engineer, and keep to the codes where you live; some forbid welded shafts on the road."
)
NO_SECOND_TRY = "There is no second try: measure again after a pause, with another tape."


# What is done in one go is one step to read and to tick: the same hands, at the same place;
# so is what is done to both ends alike.
_TOGETHER: frozenset[tuple[Work, Work]] = frozenset(
    (
        ("bore", "bevel"),
        ("turn the spigot", "bevel"),
        ("set the gap", "tack"),
        ("check runout", "dress the weld flush"),
        ("set the sleeve", "tack"),
        ("set the sleeve", "weld the sleeve"),
    )
)


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One step to tick, of what is done in one go; ``caution``: empty where none is to heed."""

    text: str
    caution: str = ""
    steps: tuple[MakingStep, ...] = ()


def step_lines(plan: CutPlan, say: Lengths = MM) -> tuple[WorkLine, ...]:
    """All steps in order; a caution stands at the first step that it is for."""
    lines: list[WorkLine] = []
    said: set[str] = set()
    for steps in _in_one_go(cut_steps(plan)):
        cautions = dict.fromkeys(_caution(plan, step) for step in steps)
        new = [caution for caution in cautions if caution and caution not in said]
        said.update(new)
        lines.append(WorkLine(_text(plan, steps, say), " ".join(new), steps))
    return tuple(lines)


def _in_one_go(steps: tuple[MakingStep, ...]) -> Iterator[tuple[MakingStep, ...]]:
    held: tuple[MakingStep, ...] = ()
    for step in steps:
        before = held[-1].action if held else None
        alike = before == step.action and before in _BOTH
        if held and not alike and (before, step.action) not in _TOGETHER:
            yield held
            held = ()
        held = (*held, step)
    yield held


def _text(plan: CutPlan, steps: tuple[MakingStep, ...], say: Lengths) -> str:
    first, *others = steps
    if others and first.action in _BOTH:
        return f"{_BOTH[first.action]}."
    texts = [step_text(plan, first, say).removesuffix(".")]
    for step in others:
        text = step_text(plan, step, say).removesuffix(".")
        text = text.replace(f"the face of the {step.end} donor", "its face")
        texts.append(f"{text[0].lower()}{text[1:]}")
    return f"{'; '.join(texts)}."


def step_text(plan: CutPlan, step: MakingStep, say: Lengths = MM) -> str:
    """One step with its numbers."""
    end = step.end or ""
    text = _TEXTS[step.action].format(end=end, held=_held(plan))
    amounts = "; ".join(_amounts(plan, step, say))
    return f"{text}: {amounts}." if amounts else f"{text}."


def _held(plan: CutPlan) -> str:
    """What a shaft turns on while its runout is read."""
    off = any(plan.cut(end).donor.joint_comes_off for end in ENDS)
    return "between lathe centres or on V-blocks" if off else "on its joint centres"


_TEXTS: dict[Work, str] = {
    "ask first": CODES.removesuffix("."),
    "weld a test piece": "Weld a test piece of the same bars; measure what it shrinks",
    "measure the sleeve": "Measure the sleeve's bore: the bars are turned to it",
    "check the donor": "Look over the {end} donor: no cracks, rust pits or bends",
    "take the joint off": "Take the joint off the {end} donor",
    "keep the joint cool": "The joint stays on the {end} donor: wrap it against heat and chips",
    "mark and cut": "Mark the {end} donor, saw it square",
    "turn down": "Turn the {end} donor down",
    "bore": "Bore the cut end of the {end} donor, true to its bar",
    "measure": "Measure the finished {end} piece and write it down",
    "trim": "Trim the {end} donor to its finished length",
    "turn the spigot": "Turn the spigot on the {end} donor",
    "bevel": "Bevel the face of the {end} donor",
    "slide the boot on": "Slide the {end} boot on, up to its joint; later there is no way",
    "slide the sleeve on": "Slide the sleeve on now; later there is no way",
    "set the gap": "Put the halves together with their root gap",
    "tack": "Tack in four places, opposite ones first",
    "check runout": "Turn it {held} and read the runout beside the splice",
    "check length": "Check the length between joint centres",
    "weld the butt": "Weld the butt, turning the shaft from side to side",
    "dress the weld flush": "Dress the weld flush with the bar for the sleeve",
    "set the sleeve": "Set the sleeve",
    "weld the seams": "Weld the seams of the split sleeve, right through",
    "weld the sleeve": "Weld both ends of the sleeve",
    "fit joint and boot": "Fit joint, boot and fresh grease at the {end} end",
    "fasten the boot": "Grease the joint at the {end} end and fasten its boot",
}


_BOTH: dict[Work, str] = {
    "check the donor": "Look over both donors: no cracks, rust pits or bends",
    "take the joint off": "Take the joints off both donors",
    "keep the joint cool": "The joints stay on their donors: wrap them against heat and chips",
    "slide the boot on": "Slide the boots on, each up to its joint; later there is no way",
    "fit joint and boot": "Fit joints, boots and fresh grease at both ends",
    "fasten the boot": "Grease both joints and fasten their boots",
}


def _amounts(plan: CutPlan, step: MakingStep, say: Lengths) -> Iterator[str]:
    # Bored and bevelled is the end that has just been cut: where that is has been said.
    named = step.action in ("bore", "bevel")
    if step.from_joint_mm is not None and step.end is not None and not named:
        yield from_datum(plan, step.end, step.from_joint_mm, say)
    if step.action == "set the sleeve" and step.from_joint_mm is not None:
        datum = plan.hub.donor.datum
        yield (
            f"its end {say.place(step.from_joint_mm)} from the outer joint's centre, "
            f'{say.place(abs(step.from_joint_mm - datum.at))} from "{datum.name}"'
        )
    if step.diameter_mm is not None:
        yield f"diameter {say.size(step.diameter_mm)}"
    if step.length_mm is not None:
        yield _LENGTHS.get(step.action, "{}").format(say.place(step.length_mm))
    if step.angle_deg is not None:
        yield f"{step.angle_deg:g}° from square"
    yield from _besides(plan, step, say)


_LENGTHS: dict[Work, str] = {
    "weld a test piece": "{} is reckoned with",
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


def _turned(plan: CutPlan) -> bool:
    return any(plan.cut(end).turned_from_mm is not None for end in ENDS)


def _besides(plan: CutPlan, step: MakingStep, say: Lengths) -> Iterator[str]:
    splice, second = plan.splice, other_end(plan.first)
    match step.action:
        case "measure the sleeve" if splice.sleeve is not None and _turned(plan):
            under = say.fine(splice.sleeve.bore - plan.diameter_mm)
            yield f"what is turned, {under} under what it measures"
        case "turn the spigot" if splice.butt is not None and step.end == second:
            yield f"{say.fine(splice.butt.spigot_clearance)} under the bore that was made"
        case "turn down":
            yield f"radius {say.size(splice.turn_radius)} where it ends"
        case "measure" if plan.cut(second).trim_mm > 0.0:
            # Of what is said of each, so that reading and piece add up as they are written.
            both = sum(say.said_mm(plan.cut(end).cut_from_datum_mm) for end in ENDS)
            yield (
                f"{second} piece = {say.place(both)} − your reading = ____, each from its own "
                "datum to the cut end"
            )
        case "trim":
            yield "or to what the measured piece asks for"
        case "check length" if step.length_mm is not None:
            apart = step.length_mm - plan.hub.donor.datum.at - plan.gearbox.donor.datum.at
            yield f"{say.place(apart)} between datums"
            if step.length_mm != plan.length_mm:
                yield f"welding takes off {say.plain(splice.shrinkage)}"


def _caution(plan: CutPlan, step: MakingStep) -> str:
    if step.once:
        return NO_SECOND_TRY
    if step.action == "turn down" and step.end and not plan.cut(step.end).donor.joint_comes_off:
        return "A joint that hangs on its shaft swings in the lathe: tie it straight, go slow."
    return _CAUTIONS.get(step.action, "")


_CAUTIONS: dict[Work, str] = {
    "take the joint off": "Circlips fly: wear eye protection.",
    "turn down": "A hardened bar may have to be ground; no sharp corner, a crack begins there.",
    "slide the boot on": "Rubber burns: keep it away from the weld and shield it.",
    "tack": "Clean bare steel; medium-carbon steel cracks when it is welded cold, so preheat and "
    "cool it as the steel wants.",
    "weld the butt": WELDING,
    "weld the seams": WELDING,
    "weld the sleeve": WELDING,
}
