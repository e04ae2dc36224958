"""Which two of several donors make the best shaft: every pair, the best first."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from kinematics.errors import InvalidInput
from kinematics.making.assembly import finished_pieces, finished_welds
from kinematics.making.cut_plan import CutPlan
from kinematics.making.donors import ENDS, Donor, End
from kinematics.making.planning import plan_cuts
from kinematics.making.splice import Splice
from kinematics.making.strength import Strength, strength
from kinematics.parts import Section


@dataclass(frozen=True, slots=True, eq=False)
class DonorPair:
    """A hub donor with a gearbox donor, as the splice would join them.

    ``plan`` is None, and ``problem`` says why, where the splice fits neither; ``strength`` is
    None for a plan that is refused and where no torque is known.
    """

    hub: Donor
    gearbox: Donor
    plan: CutPlan | None
    strength: Strength | None
    problem: str = ""

    @property
    def possible(self) -> bool:
        """Whether it can be cut so."""
        return self.plan is not None and self.plan.possible

    @property
    def holds(self) -> bool:
        """Whether it holds, beside its welds too, as far as that was asked."""
        found = self.strength
        return self.possible and (found is None or (found.holds and not found.unknown_beside_weld))

    @property
    def turned_off_cm3(self) -> float:
        """Metal that is turned off both bars to make them alike, cm³."""
        return sum(self.turned_off_of_cm3(end) for end in ENDS)

    def turned_off_of_cm3(self, end: End) -> float:
        """Metal that is turned off the bar of one end, cm³."""
        plan = self.plan
        if plan is None:
            return 0.0
        cut, volume = plan.cut(end), 0.0
        for stretch in cut.donor.between(cut.plain_to_mm, cut.first_cut_mm):
            length = min(stretch.to, cut.first_cut_mm) - max(stretch.from_, cut.plain_to_mm)
            off = max(0.0, stretch.diameter**2 - plan.diameter_mm**2)
            volume += math.pi / 4.0 * off * length
        return volume * 1e-3

    def given_away(self, end: End) -> float:
        """What of its torque a bar gives away by being turned, 0 to 1.

        A round bar carries torque by its diameter cubed.
        """
        plan = self.plan
        if plan is None or plan.cut(end).turned_from_mm is None:
            return 0.0
        cut = plan.cut(end)
        # Of the thinnest bar that is turned: what it carried as it was.
        thick = [s.diameter for s in cut.donor.between(cut.plain_to_mm, cut.face_mm)]
        return 1.0 - (plan.diameter_mm / min(thick)) ** 3

    @property
    def joints_on(self) -> int:
        """How many joints stay on while bars are turned and welded."""
        return sum(not donor.joint_comes_off for donor in (self.hub, self.gearbox))

    @property
    def left_over_mm(self) -> float:
        """Sound bar beyond the saw's cut at the shorter end; negative by what is lacking."""
        if self.plan is None:
            return -math.inf
        return min(self.plan.cut(end).left_over_mm for end in ENDS)


def ranked_pairs(
    hubs: Sequence[Donor],
    gearboxes: Sequence[Donor],
    splice: Splice,
    length_mm: float,
    *,
    torque_nm: float | None = None,
    window_mm: tuple[float, float] | None = None,
    sections: Sequence[Section] = (),
) -> tuple[DonorPair, ...]:
    """Every hub donor with every gearbox donor, the best pair first.

    What can be made comes before what cannot, what holds before what does not; then the pair
    with fewer joints that stay on, less to turn off, the stronger weakest place, and the more
    bar left over.  Lengths in mm, torque in N·m.
    """
    planned = partial(
        plan_cuts, splice=splice, length_mm=length_mm, window_mm=window_mm, sections=sections
    )
    pairs = (_pair(hub, other, planned, torque_nm) for hub in hubs for other in gearboxes)
    return tuple(sorted(pairs, key=_worth))


def _pair(
    hub: Donor, gearbox: Donor, planned: Callable[..., CutPlan], torque_nm: float | None
) -> DonorPair:
    try:
        plan = planned(hub, gearbox)
        found = None
        if plan.possible and torque_nm is not None:
            found = strength(finished_pieces(plan), torque_nm, finished_welds(plan))
    except InvalidInput as error:
        return DonorPair(hub, gearbox, None, None, str(error))
    return DonorPair(hub, gearbox, plan, found)


def _worth(pair: DonorPair) -> tuple[object, ...]:
    weakest = 0.0 if pair.strength is None else pair.strength.weakest.factor_of_safety
    return (
        not pair.possible,
        not pair.holds,
        pair.joints_on,
        round(pair.turned_off_cm3, 3),
        -weakest,
        -pair.left_over_mm,
    )
