"""The finished shaft that a cut plan gives, as pieces and welds for strength, whirl, balance."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

from kinematics.errors import InvalidInput, Problem
from kinematics.making.cut_plan import Cut, CutPlan
from kinematics.making.donors import ENDS, End, Stretch, other_end
from kinematics.making.pieces import Layer, Notch, Piece
from kinematics.making.splice import Sleeve
from kinematics.making.strength import Weld
from kinematics.making.torsion import torque_shares, torsional_stiffness_nm2

_SHORTEST = 1e-6


@dataclass(frozen=True, slots=True)
class _Slice:
    """Between two places where nothing changes: the bar there, and what is round and in it."""

    piece: Piece
    end: End | None
    bar_mm: float
    stretch: Stretch | None
    turned: bool


def finished_pieces(plan: CutPlan) -> tuple[Piece, ...]:
    """The pieces of the finished shaft from the outer joint's end, without gaps.

    Bar and sleeve share the torque where a butt weld joins the bars beneath; otherwise the
    sleeve takes all of it.  A spigot has mass and carries nothing.  Raises InvalidInput
    for a plan that was refused.
    """
    _require_possible(plan)
    places = sorted(set(_places(plan)))
    slices = [
        _slice(plan, low, high)
        for low, high in itertools.pairwise(places)
        if high - low > _SHORTEST
    ]
    return tuple(_notched(plan, slices, index) for index in range(len(slices)))


def finished_welds(plan: CutPlan) -> tuple[Weld, ...]:
    """The welds of the finished shaft, each with the share of the torque that it sees.

    With a butt weld under a sleeve, the sleeve's welds see the sleeve's share; a further
    entry, in reserve, has them carry all of it, as they must once the butt weld has cracked.
    Raises InvalidInput for a plan that was refused.
    """
    _require_possible(plan)
    splice, span = plan.splice, plan.splice.sleeve_span_mm
    weaker = min(plan.hub.donor.steel.yield_strength, plan.gearbox.donor.steel.yield_strength)
    weakest = min(weaker, splice.filler_yield)
    welds = []
    sleeve = splice.sleeve
    share = 0.0 if sleeve is None else _sleeve_share(plan, sleeve)
    if splice.butt is not None:
        size = splice.depth_mm(plan.diameter_mm)
        welds.append(
            Weld("butt weld", "butt", splice.at, plan.diameter_mm, size, 1.0 - share, weakest)
        )
    if sleeve is not None and span is not None:
        with_sleeve = min(weakest, sleeve.steel.yield_strength)
        cases = [("", share)] if share == 1.0 else [("", share), (", butt weld cracked", 1.0)]
        welds.extend(
            Weld(
                name=f"sleeve weld, {end} end{case}",
                kind="fillet",
                at=at,
                diameter=plan.diameter_mm,
                size=sleeve.leg,
                share=part,
                yield_strength=with_sleeve,
                reserve=case != "",
            )
            for case, part in cases
            for end, at in zip(ENDS, span, strict=True)
        )
    return tuple(welds)


def _require_possible(plan: CutPlan) -> None:
    if not plan.possible:
        raise InvalidInput([Problem("splice", str(refusal)) for refusal in plan.refusals])


def _sleeve_share(plan: CutPlan, sleeve: Sleeve) -> float:
    if plan.splice.butt is None:
        return 1.0
    fused = plan.diameter_mm - 2.0 * plan.splice.depth_mm(plan.diameter_mm)
    both = torsional_stiffness_nm2(
        [plan.diameter_mm, sleeve.outside_diameter], [max(0.0, fused), sleeve.bore]
    )
    return float(torque_shares(both)[1])


def _places(plan: CutPlan) -> Iterator[float]:
    """Where something changes along the shaft, from the outer joint's centre."""
    for end in ENDS:
        cut = plan.cut(end)
        own = [cut.face_mm]
        own += [p for s in cut.donor.stretches for p in (s.from_, s.to) if p < cut.face_mm]
        own += [] if cut.turned_from_mm is None else [cut.turned_from_mm]
        own += [cut.face_mm - plan.bore_depth_mm] if _bored(plan, end) else []
        yield from (_along(plan, end, place) for place in own)
    if plan.splice.sleeve_span_mm is not None:
        yield from plan.splice.sleeve_span_mm


def _along(plan: CutPlan, end: End, own_mm: float) -> float:
    return own_mm if end == "hub" else plan.length_mm - own_mm


def _bored(plan: CutPlan, end: End) -> bool:
    butt = plan.splice.butt
    return butt is not None and butt.spigot_length > 0.0 and butt.spigot_on == other_end(end)


def _slice(plan: CutPlan, low: float, high: float) -> _Slice:
    middle = 0.5 * (low + high)
    for end in ENDS:
        own = _along(plan, end, middle)
        cut = plan.cut(end)
        if own < cut.face_mm:
            return _bar_slice(plan, cut, own, (low, high))
    return _gap_slice(plan, (low, high))


def _bar_slice(plan: CutPlan, cut: Cut, own: float, span: tuple[float, float]) -> _Slice:
    stretch = next(s for s in cut.donor.stretches if s.from_ <= own <= s.to)
    turned = cut.turned_from_mm is not None and own > cut.turned_from_mm
    outer = min(stretch.carrying_mm, plan.diameter_mm) if turned else stretch.carrying_mm
    steel = cut.donor.steel
    butt = plan.splice.butt
    bored = butt is not None and _bored(plan, cut.end) and own > cut.face_mm - plan.bore_depth_mm
    bar = [Layer(outer, plan.splice.bore_mm if bored else 0.0, steel)]
    if bored:
        bar.insert(0, _spigot(plan))
    layers = _with_sleeve(plan, bar, 0.5 * (span[0] + span[1]))
    name = f"{cut.end} {'turned' if turned else stretch.name}"
    return _Slice(Piece(name, *span, layers), cut.end, outer, stretch, turned)


def _gap_slice(plan: CutPlan, span: tuple[float, float]) -> _Slice:
    butt, steels = plan.splice.butt, [plan.cut(end).donor.steel for end in ENDS]
    layers = []
    if butt is not None:
        weaker = min(steels, key=lambda steel: steel.yield_strength)
        fused = max(0.0, plan.diameter_mm - 2.0 * plan.splice.depth_mm(plan.diameter_mm))
        layers = [Layer(plan.diameter_mm, fused, weaker)]
        if butt.spigot_length > 0.0:
            layers.insert(0, _spigot(plan))
    piece = Piece("splice", *span, _with_sleeve(plan, layers, 0.5 * (span[0] + span[1])))
    return _Slice(piece, None, plan.diameter_mm, None, turned=False)


def _spigot(plan: CutPlan) -> Layer:
    butt = plan.splice.butt
    assert butt is not None  # only a butt weld has a spigot
    steel = plan.cut(butt.spigot_on).donor.steel
    return Layer(butt.bore - butt.spigot_clearance, 0.0, steel, carries=False)


def _with_sleeve(plan: CutPlan, bar: list[Layer], at_mm: float) -> tuple[Layer, ...]:
    sleeve, span = plan.splice.sleeve, plan.splice.sleeve_span_mm
    if sleeve is None or span is None or not span[0] < at_mm < span[1]:
        return tuple(bar)
    if plan.splice.butt is None:
        bar = [replace(layer, carries=False) for layer in bar]
    return (*bar, Layer(sleeve.outside_diameter, sleeve.bore, sleeve.steel))


def _notched(plan: CutPlan, slices: list[_Slice], index: int) -> Piece:
    """The piece with what its neighbours of the same donor, or its own groove, do to it."""
    here = slices[index]
    if here.stretch is None or here.end is None:
        return here.piece
    beside = [
        other.stretch.diameter if not other.turned else other.bar_mm
        for other in slices[max(0, index - 1) : index + 2]
        if other.end == here.end and other.stretch is not None
    ]
    larger = max(beside)
    if larger <= here.bar_mm:
        return here.piece
    radius = plan.splice.turn_radius if here.turned else here.stretch.radius
    grooved = here.stretch.root is not None and not here.turned
    notch = Notch("groove" if grooved else "shoulder", larger, radius)
    return replace(here.piece, notch=notch)
