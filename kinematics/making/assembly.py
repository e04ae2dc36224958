"""The finished shaft that a cut plan gives, as pieces and welds for strength, whirl, balance."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kinematics.errors import InvalidInput, Problem
from kinematics.making.cut_plan import Cut, CutPlan
from kinematics.making.donors import ENDS, End, other_end
from kinematics.making.pieces import Layer, Notch, ShaftPiece
from kinematics.making.splice import Splice
from kinematics.making.steels import Steel
from kinematics.making.strength import Weld
from kinematics.making.torsion import torque_shares, torsional_stiffness_nm2

_SHORTEST = 1e-6


@dataclass(frozen=True, slots=True)
class _Slice:
    """Between two places where nothing changes: the piece there, and what notches it.

    ``outside_mm`` is the bar's own diameter, ``bar_mm`` what of it carries.
    """

    piece: ShaftPiece
    end: End | None = None
    bar_mm: float = 0.0
    outside_mm: float = 0.0
    radius_mm: float = 0.0
    grooved: bool = False


def finished_pieces(plan: CutPlan) -> tuple[ShaftPiece, ...]:
    """The pieces of the finished shaft from the outer joint's end, without gaps.

    Where a butt weld joins the bars beneath, bar and sleeve share the torque from one end of
    the sleeve to the other: nothing joins them in between.  Otherwise the sleeve takes all.  A
    spigot has mass and carries nothing.  Raises InvalidInput for a plan that was refused.
    """
    _require_possible(plan)
    slices = _slices(plan)
    share = _bar_share(plan, slices)
    pieces = (_notched(slices, index) for index in range(len(slices)))
    heated = plan.splice.heated_mm(plan.diameter_mm)
    return tuple(
        replace(
            piece,
            layers=tuple(replace(one, beside_weld=_within(piece, heated)) for one in piece.layers),
            shares=(share, 1.0 - share) if len(piece.carrying) > 1 else None,
        )
        for piece in pieces
    )


def _within(piece: ShaftPiece, spans: Sequence[tuple[float, float]]) -> bool:
    middle = 0.5 * (piece.from_ + piece.to)
    return any(low < middle < high for low, high in spans)


def finished_welds(plan: CutPlan) -> tuple[Weld, ...]:
    """The welds of the finished shaft, each with the share of the torque that it sees.

    With a butt weld under a sleeve, the sleeve's welds see the sleeve's share; a further
    entry, in reserve, has them carry all of it, as they must once the butt weld has cracked.
    Raises InvalidInput for a plan that was refused.
    """
    _require_possible(plan)
    splice, span = plan.splice, plan.splice.sleeve_span_mm
    sleeve = splice.sleeve
    bars = [plan.cut(end).donor.steel for end in ENDS]
    welds = []
    share = 1.0 - _bar_share(plan, _slices(plan))
    if splice.butt is not None:
        strength, known = _weld_yield(splice, bars)
        welds.append(
            Weld(
                name="butt weld",
                kind="butt",
                at=splice.at,
                diameter=plan.diameter_mm,
                size=splice.depth_mm(plan.diameter_mm),
                share=1.0 - share,
                yield_strength=strength,
                yield_known=known,
            )
        )
    if sleeve is not None and span is not None:
        # Each end by the weaker of both bars: the ends of a sleeve are told apart by nobody.
        strength, known = _weld_yield(splice, [*bars, sleeve.steel])
        cases = [("", share)] if share == 1.0 else [("", share), (", butt weld cracked", 1.0)]
        welds.extend(
            Weld(
                name=f"sleeve weld, {end} end{case}",
                kind="fillet",
                at=at,
                diameter=plan.diameter_mm,
                size=sleeve.leg_mm,
                share=part,
                yield_strength=strength,
                reserve=case != "",
                yield_known=known,
            )
            for case, part in cases
            for end, at in zip(ENDS, span, strict=True)
        )
    return tuple(welds)


def _weld_yield(splice: Splice, steels: Sequence[Steel]) -> tuple[float, bool]:
    """The least of the weld metal and of what welding leaves of both sides; whether it is known."""
    treated = splice.heat_treated_after
    left = [
        steel.yield_strength if treated or steel.beside_weld_mpa is None else steel.beside_weld_mpa
        for steel in steels
    ]
    known = treated or all(steel.normalised is not None for steel in steels)
    return min(*left, splice.filler_yield), known


def _require_possible(plan: CutPlan) -> None:
    if not plan.possible:
        raise InvalidInput([Problem("splice", str(refusal)) for refusal in plan.refusals])


def _slices(plan: CutPlan) -> list[_Slice]:
    spans = itertools.pairwise(sorted(set(_places(plan))))
    return [_slice(plan, low, high) for low, high in spans if high - low > _SHORTEST]


def _bar_share(plan: CutPlan, slices: Sequence[_Slice]) -> float:
    """Share of the torque that goes through the bars and their butt weld.

    Two springs side by side: the sleeve, and the bars in a row with the ring that is fused,
    as long as the weld is at the surface.
    """
    splice, span = plan.splice, plan.splice.sleeve_span_mm
    if splice.butt is None:
        return 0.0
    if splice.sleeve is None or span is None:
        return 1.0
    weld = splice.butt_span_mm(plan.diameter_mm)
    ring = float(torsional_stiffness_nm2(plan.diameter_mm, _fused_bore_mm(plan)))
    give = 0.0
    for piece in (one.piece for one in slices if len(one.piece.carrying) > 1):
        bar = piece.carrying[0]
        in_weld = max(0.0, min(piece.to, weld[1]) - max(piece.from_, weld[0]))
        stiffness = float(torsional_stiffness_nm2(bar.outer, bar.bore))
        give += (piece.length_mm - in_weld) / stiffness + in_weld / ring
    sleeve = float(torsional_stiffness_nm2(splice.sleeve.outside_diameter, splice.sleeve.bore)) / (
        span[1] - span[0]
    )
    return float(torque_shares([1.0 / give, sleeve])[0])


def _fused_bore_mm(plan: CutPlan) -> float:
    """Inner diameter of the ring that the butt weld fuses; 0 where it reaches the middle."""
    return max(0.0, plan.diameter_mm - 2.0 * plan.splice.depth_mm(plan.diameter_mm))


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
    known = [_along(plan, end, plan.cut(end).donor.stretches[0].from_) for end in ENDS]
    for span in plan.splice.heated_mm(plan.diameter_mm):
        yield from (place for place in span if known[0] < place < known[1])


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
    return _Slice(
        ShaftPiece(name, *span, layers),
        cut.end,
        bar_mm=outer,
        outside_mm=outer if turned else stretch.diameter,
        radius_mm=plan.splice.turn_radius if turned else stretch.radius,
        grooved=stretch.root is not None and not turned,
    )


def _gap_slice(plan: CutPlan, span: tuple[float, float]) -> _Slice:
    butt, steels = plan.splice.butt, [plan.cut(end).donor.steel for end in ENDS]
    layers = []
    if butt is not None:
        weaker = min(steels, key=lambda steel: steel.yield_strength)
        layers = [Layer(plan.diameter_mm, _fused_bore_mm(plan), weaker)]
        if butt.spigot_length > 0.0:
            layers.insert(0, _spigot(plan))
    layers_there = _with_sleeve(plan, layers, 0.5 * (span[0] + span[1]))
    return _Slice(ShaftPiece("splice", *span, layers_there))


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


def _notched(slices: list[_Slice], index: int) -> ShaftPiece:
    """The piece with what its neighbours of the same donor, or its own groove, do to it."""
    here = slices[index]
    near = [one for one in slices[max(0, index - 1) : index + 2] if one.end == here.end]
    larger = max(one.outside_mm for one in near)
    if here.end is None or larger <= here.bar_mm:
        return here.piece
    notch = Notch("groove" if here.grooved else "shoulder", larger, here.radius_mm)
    return replace(here.piece, notch=notch)
