"""Whether the finished shaft carries its torque: every piece and every weld, and the weakest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.errors import Check, require
from kinematics.making import torsion
from kinematics.making.pieces import ShaftPiece, require_in_order
from kinematics.making.steels import FILLER_YIELD_MPA, SHEAR_YIELD_RATIO
from kinematics.part import Part

WeldKind = Literal["butt", "fillet"]

# Common practice, no source: for a ductile bar under a known torque.
DEFAULT_WANTED_FACTOR = 1.5

NOT_COVERED: tuple[str, ...] = (
    "fatigue: a shaft that bears the torque once can still crack after many starts",
    "steel that heat makes brittle beside a weld: it is taken as softened there, no worse",
    "hardened or medium-carbon steel that cracks when it is welded without preheating",
    "faults in the weld: every weld is taken as sound and as deep as given",
    "the seams of a split sleeve, which count as whole: they have to be welded right through",
    "the joints, their cages and splines, which may be weaker than the bar",
    "bending, and blows when a spinning tyre grips again",
)


@dataclass(frozen=True, slots=True)
class Weld(Part):
    """A weld round the finished shaft.

    ``size`` is the depth that is fused for a butt weld, the leg for a fillet weld; ``diameter``
    that of the bar it runs round; ``share`` the part of the torque that goes through it;
    ``yield_strength`` the least of weld metal and both sides, MPa, as far as it is known
    (``yield_known``) what welding leaves of the sides.  ``reserve``: not how it works but what
    it would have to bear once another weld has cracked.
    """

    name: str
    kind: WeldKind
    at: float
    diameter: float
    size: float
    share: float = 1.0
    yield_strength: float = FILLER_YIELD_MPA
    reserve: bool = False
    yield_known: bool = True

    def _checks(self) -> Iterable[Check]:
        for name in ("diameter", "size", "yield_strength"):
            yield getattr(self, name) > 0, name, "a number above 0"
        yield 0 < self.share <= 1, "share", "a share above 0, up to 1"


@dataclass(frozen=True, slots=True)
class Stressed:
    """Stress of one layer of a piece, or of one weld, under the governing torque.

    ``stress_mpa`` is nominal, ``peak_stress_mpa`` has the stress concentration in it.
    ``yield_known`` is false beside a weld in a steel of which nobody knows what the heat
    leaves; its factors are then those of the steel as it was, and at most true.
    """

    name: str
    from_mm: float
    to_mm: float
    outer_mm: float
    bore_mm: float
    steel: str
    torque_nm: float
    stress_mpa: float
    concentration: float
    shear_yield_mpa: float
    twist_deg: float = 0.0
    reserve: bool = False
    beside_weld: bool = False
    yield_known: bool = True

    @property
    def peak_stress_mpa(self) -> float:
        """Stress with its concentration."""
        return self.stress_mpa * self.concentration

    @property
    def factor_of_safety(self) -> float:
        """Yield in shear over the nominal stress: against twisting off under one load."""
        return self.shear_yield_mpa / self.stress_mpa

    @property
    def peak_factor(self) -> float:
        """Yield in shear over the peak stress: below 1 a groove or shoulder yields locally."""
        return self.shear_yield_mpa / self.peak_stress_mpa


@dataclass(frozen=True, slots=True)
class Strength:
    """The finished shaft under a torque.

    A ductile steel under one load evens out the peaks at grooves and shoulders, so the
    nominal stress decides (Shigley 9e, section 3-13; memory).  ``yields_at`` lists where the
    peaks pass yield all the same: there a crack begins that many starts make grow.
    ``beyond_steel`` names the pieces thicker than their steel's figure goes,
    ``typical_steels`` the steels whose figure is an average and not the least.  Welds in
    reserve are shown and do not decide.
    """

    torque_nm: float
    wanted_factor: float
    pieces: tuple[Stressed, ...]
    welds: tuple[Stressed, ...]
    twist_deg: float
    beyond_steel: tuple[str, ...]
    typical_steels: tuple[str, ...] = ()
    not_covered: tuple[str, ...] = NOT_COVERED

    @property
    def _working(self) -> tuple[Stressed, ...]:
        return tuple(one for one in (*self.pieces, *self.welds) if not one.reserve)

    @property
    def weakest(self) -> Stressed:
        """The piece or weld with the least factor of safety."""
        return min(self._working, key=lambda one: one.factor_of_safety)

    @property
    def too_weak(self) -> tuple[Stressed, ...]:
        """Everything whose factor of safety is below what is wanted."""
        least = self.wanted_factor - 1e-9
        return tuple(one for one in self._working if one.factor_of_safety < least)

    @property
    def yields_at(self) -> tuple[Stressed, ...]:
        """Everything whose peak stress is past yield."""
        return tuple(one for one in self._working if one.peak_factor < 1.0)

    @property
    def unknown_beside_weld(self) -> tuple[str, ...]:
        """What stands where welding softened it, in a steel of which nobody knows how far."""
        return tuple(dict.fromkeys(one.name for one in self._working if not one.yield_known))

    @property
    def holds(self) -> bool:
        """Whether everything has the wanted factor of safety, as far as yields are known."""
        return not self.too_weak


def strength(
    pieces: Sequence[ShaftPiece],
    torque_nm: float,
    welds: Sequence[Weld] = (),
    wanted_factor: float = DEFAULT_WANTED_FACTOR,
) -> Strength:
    """Stress, factor of safety and twist of every piece and weld under a torque.

    Layers of a piece share the torque by its ``shares``, without them by G·J.  Raises
    InvalidInput for a torque or factor not above 0 and pieces out of order.
    """
    require_in_order(pieces)
    require(
        (torque_nm > 0.0, "torque_nm", "N·m above 0"),
        (wanted_factor >= 1.0, "wanted_factor", "a factor of safety of 1 or more"),
    )
    stressed = [_stressed(piece, torque_nm) for piece in pieces]
    steels = [layer.steel for piece in pieces for layer in piece.carrying]
    return Strength(
        torque_nm=torque_nm,
        wanted_factor=wanted_factor,
        pieces=tuple(one for layers in stressed for one in layers),
        welds=tuple(_stressed_weld(weld, torque_nm) for weld in welds),
        twist_deg=sum(layers[0].twist_deg for layers in stressed),
        beyond_steel=tuple(
            piece.name
            for piece in pieces
            if any(layer.outer > layer.steel.largest for layer in piece.carrying)
        ),
        typical_steels=tuple(dict.fromkeys(steel.name for steel in steels if steel.typical)),
    )


def _stressed(piece: ShaftPiece, torque_nm: float) -> tuple[Stressed, ...]:
    layers = piece.carrying
    outer = np.array([layer.outer for layer in layers])
    bore = np.array([layer.bore for layer in layers])
    stiffness = torsion.torsional_stiffness_nm2(outer, bore)
    shares = torsion.torque_shares(stiffness) if piece.shares is None else np.array(piece.shares)
    torque = torque_nm * shares
    stress = torsion.shear_stress_mpa(torque, outer, bore)
    # By the outermost: along a sleeve it alone is the same all the way.
    twist = float(torsion.twist_deg(torque[-1], piece.length_mm, outer[-1], bore[-1]))
    return tuple(
        Stressed(
            name=piece.name,
            from_mm=piece.from_,
            to_mm=piece.to,
            outer_mm=layer.outer,
            bore_mm=layer.bore,
            steel=layer.steel.name,
            torque_nm=float(torque[index]),
            stress_mpa=float(stress[index]),
            # A notch is cut into the bar, which is the innermost of them.
            concentration=piece.notch.factor(layer.outer) if piece.notch and index == 0 else 1.0,
            shear_yield_mpa=layer.shear_yield_mpa,
            twist_deg=twist,
            beside_weld=layer.beside_weld,
            yield_known=layer.yield_known,
        )
        for index, layer in enumerate(layers)
    )


def _stressed_weld(weld: Weld, torque_nm: float) -> Stressed:
    torque = torque_nm * weld.share
    if weld.kind == "butt":
        stress = torsion.butt_stress_mpa(torque, weld.diameter, weld.size)
        bore, outer = max(0.0, weld.diameter - 2.0 * weld.size), weld.diameter
    else:
        stress = torsion.fillet_stress_mpa(torque, weld.diameter, weld.size)
        bore, outer = weld.diameter, weld.diameter + 2.0 * weld.size
    return Stressed(
        name=weld.name,
        from_mm=weld.at,
        to_mm=weld.at,
        outer_mm=outer,
        bore_mm=bore,
        steel="weld metal or the weaker side",
        torque_nm=torque,
        stress_mpa=float(stress),
        concentration=1.0,
        shear_yield_mpa=weld.yield_strength * SHEAR_YIELD_RATIO,
        reserve=weld.reserve,
        yield_known=weld.yield_known,
    )
