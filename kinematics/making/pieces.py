"""The finished shaft as material: what carries torque, bends and has mass along it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.errors import Check, require
from kinematics.making.concentration import groove_factor, shoulder_factor
from kinematics.making.steels import (
    DEFAULT_STEEL,
    DENSITY_KG_PER_M3,
    SHEAR_YIELD_RATIO,
    YOUNGS_MODULUS_GPA,
    Steel,
)
from kinematics.making.torsion import polar_moment_mm4
from kinematics.part import Part

NotchKind = Literal["shoulder", "groove"]


@dataclass(frozen=True, slots=True)
class Layer(Part):
    """A bar, or a tube round it, of one steel.

    ``carries`` is false where it is there and has mass but no weld brings torque into it.
    ``beside_weld``: heated by welding, so that it holds no more than normalised.
    """

    outer: float
    bore: float = 0.0
    steel: Steel = DEFAULT_STEEL
    carries: bool = True
    beside_weld: bool = False

    @property
    def shear_yield_mpa(self) -> float:
        """Shear stress at which it yields, MPa; as given where a weld may have softened it."""
        softened = self.steel.beside_weld_mpa if self.beside_weld else None
        return SHEAR_YIELD_RATIO * (self.steel.yield_strength if softened is None else softened)

    @property
    def yield_known(self) -> bool:
        """Whether the figure holds here too."""
        return not self.beside_weld or self.steel.normalised is not None

    @property
    def mass_kg_per_mm(self) -> float:
        """Mass of each mm of length."""
        area = np.pi / 4.0 * (self.outer**2 - self.bore**2)
        return float(area * DENSITY_KG_PER_M3 * 1e-9)

    @property
    def bending_stiffness_nmm2(self) -> float:
        """E·I, N·mm²: half the polar second moment counts."""
        return float(YOUNGS_MODULUS_GPA * 1e3 * 0.5 * polar_moment_mm4(self.outer, self.bore))

    def _checks(self) -> Iterable[Check]:
        yield self.outer > 0, "outer", "mm above 0"
        hollow = self.outer <= 0 or 0 <= self.bore < self.outer
        yield hollow, "bore", "mm from 0 to less than outer"


@dataclass(frozen=True, slots=True)
class Notch(Part):
    """What raises the stress at the outside of a piece.

    ``diameter`` is the larger one beside it; ``radius`` that of the fillet or groove.
    """

    kind: NotchKind
    diameter: float
    radius: float

    def factor(self, small_mm: float) -> float:
        """Stress concentration on the piece's own diameter; 1 where it is the larger."""
        if small_mm >= self.diameter:
            return 1.0
        rule = groove_factor if self.kind == "groove" else shoulder_factor
        return rule(self.diameter, small_mm, self.radius)

    def _checks(self) -> Iterable[Check]:
        yield self.diameter > 0, "diameter", "mm above 0"
        yield self.radius > 0, "radius", "mm above 0; a sharp corner has about 0.1 mm"


@dataclass(frozen=True, slots=True)
class ShaftPiece(Part):
    """One piece of the finished shaft, between two distances from the outer joint's centre.

    ``shares``: the part of the torque in each layer that carries.  None where the layers are
    one with each other at both ends of the piece, so that they share by G·J.
    """

    name: str
    from_: float
    to: float
    layers: tuple[Layer, ...]
    notch: Notch | None = None
    shares: tuple[float, ...] | None = None

    @property
    def carrying(self) -> tuple[Layer, ...]:
        """The layers that carry torque, from the inside out."""
        return tuple(layer for layer in self.layers if layer.carries)

    @property
    def length_mm(self) -> float:
        """Its length along the shaft."""
        return self.to - self.from_

    def _checks(self) -> Iterable[Check]:
        yield self.to > self.from_, "to", "mm along the shaft, more than from"
        yield self.carrying, "layers", "one layer or more that carries torque"
        whole = self.shares is None or (
            len(self.shares) == len(self.carrying)
            and min(self.shares) > 0
            and math.isclose(sum(self.shares), 1.0)
        )
        yield whole, "shares", "a share above 0 for each carrying layer, 1 in all"
        for inner, outer in itertools.pairwise(self.layers):
            yield outer.bore >= inner.outer, "layers", "layers from the inside out, none in another"


def require_in_order(pieces: Sequence[ShaftPiece]) -> None:
    """Raise InvalidInput unless there is a piece and each begins where or after one ends."""
    require((pieces, "pieces", "one piece or more"))
    for one, other in itertools.pairwise(pieces):
        after = other.from_ >= one.to - 1e-9
        require((after, "pieces", f"{other.name} to begin where {one.name} ends"))


def mass_kg(pieces: Sequence[ShaftPiece]) -> float:
    """Mass of all pieces; joints, boots and grease are not among them."""
    return sum(layer.mass_kg_per_mm * piece.length_mm for piece in pieces for layer in piece.layers)
