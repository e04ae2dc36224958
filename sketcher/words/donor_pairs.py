"""Pairs of donors in words: what each costs, and why one cannot be made."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.making.donors import ENDS, Donor, End
from kinematics.making.ranking import DonorPair
from sketcher.words.cuts import refusal_line
from sketcher.words.lengths import MM, Lengths
from sketcher.words.strength import called, factor_words, unknown_lines, up
from sketcher.words.units import Unit


def donor_words(donor: Donor, end: End) -> str:
    """A donor by its name, or as the only one of its end."""
    return f'"{donor.name}"' if donor.name else f"the {end} donor"


def pair_words(pair: DonorPair) -> str:
    """Both donors."""
    return f"{donor_words(pair.hub, 'hub')} with {donor_words(pair.gearbox, 'gearbox')}"


def verdict_words(pair: DonorPair) -> str:
    """Whether it can be made, and holds."""
    if not pair.possible:
        return "cannot be made so"
    if pair.strength is None:
        return "can be made; nobody has looked at its strength"
    if not pair.strength.holds:
        return "too weak"
    if not pair.holds:
        return "not sure enough: its steel is not known beside the welds"
    return "can be made, and holds on paper with sound welds"


def cost_lines(pair: DonorPair, say: Lengths = MM) -> Iterator[str]:
    """What the pair costs in work and margin, or why it is refused."""
    plan = pair.plan
    if plan is None:
        yield pair.problem
        return
    if plan.refusals:
        for refusal in plan.refusals:
            yield refusal_line(plan, refusal, say)
        return
    for end in ENDS:
        yield from _end_lines(pair, end, say)
    if pair.strength is not None:
        weakest = pair.strength.weakest
        yield (
            f'weakest is "{called(weakest)}" with a factor of {factor_words(weakest)} '
            f"(wanted {pair.strength.wanted_factor:g})"
        )
        yield from unknown_lines(pair.strength)
    left = [f"{say.plain(plan.cut(end).left_over_mm, 'down')} at the {end} donor" for end in ENDS]
    yield f"sound bar left over: {'; '.join(left)}"


def _end_lines(pair: DonorPair, end: End, say: Lengths) -> Iterator[str]:
    plan = pair.plan
    assert plan is not None  # asked only of a pair that was planned
    cut = plan.cut(end)
    name = donor_words(cut.donor, end)
    if cut.turned_from_mm is not None:
        thickest = max(s.diameter for s in cut.donor.between(cut.turned_from_mm, cut.face_mm))
        yield (
            f"{name} is thicker than it needs to be: turn {say.size(thickest)} down to "
            f"{say.size(plan.diameter_mm)} over {say.plain(cut.first_cut_mm - cut.turned_from_mm)}"
            f", {_metal(pair.turned_off_of_cm3(end), say.unit)}, which gives away "
            f"{up(100.0 * pair.given_away(end))} % of the torque that the bar carries"
        )
    if not cut.donor.joint_comes_off:
        yield (
            f"the joint stays on {name}: tie it straight and wrap it in the lathe, keep it cool, "
            "slide its boot on before welding"
        )
    if not cut.donor.cut_twice:
        yield f"{name} cannot be cut twice"


def _metal(cm3: float, unit: Unit) -> str:
    return f"{up(cm3 / 2.54**3, 2)} in³" if unit == "in" else f"{up(cm3, 1)} cm³"
