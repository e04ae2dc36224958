"""At which speed the shaft would whirl, against the speed it is turned at.

The shaft as a stepped beam held without bending moment at the two joint centres,
its mass lumped at cells of equal length: the lowest speed at which bending and
inertia balance.  Elastic joints and supports lower it, boots and damper weights
too; a straight-running shaft of a car stays far below.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.errors import require
from kinematics.making.pieces import ShaftPiece, require_in_order
from kinematics.vectors import Array

_CELLS = 160
# Shigley 9e, section 7-6 (memory): keep the first critical speed at twice the running speed.
WANTED_WHIRL_RATIO = 2.0


@dataclass(frozen=True, slots=True)
class Whirl:
    """First whirling speed against the top speed of the shaft."""

    first_whirl_rpm: float
    top_speed_rpm: float

    @property
    def ratio(self) -> float:
        """First whirl over top speed."""
        return self.first_whirl_rpm / self.top_speed_rpm

    @property
    def wanted_ratio(self) -> float:
        """What the ratio should be at least."""
        return WANTED_WHIRL_RATIO

    @property
    def holds(self) -> bool:
        """Whether top speed stays below half the first whirling speed."""
        return self.ratio >= self.wanted_ratio


def first_whirl_rpm(pieces: Sequence[ShaftPiece], length_mm: float) -> float:
    """First whirling speed of a stepped shaft between joint centres, turns a minute.

    Flexibility by the unit-load method, mass lumped, its lowest root;
    for a uniform bar ``ω = (π/l)² sqrt(E I/m)``.  Where no piece is given, at the joints, the
    nearest one is taken to go on.

    Raises InvalidInput for pieces out of order or a length not above 0.
    """
    require_in_order(pieces)
    require((length_mm > 0.0, "length_mm", "mm between joint centres, above 0"))
    cell = length_mm / _CELLS
    middles = (np.arange(_CELLS) + 0.5) * cell
    stiffness, mass = _cells(pieces, length_mm)
    # Bending moment at each middle (column) under a unit force at each middle (row).
    low = np.minimum(middles[:, None], middles[None, :])
    moment = low * (1.0 - np.maximum(middles[:, None], middles[None, :]) / length_mm)
    soft = cell / stiffness
    # Made symmetric by the root of the masses: its largest eigenvalue is 1/ω².
    bends = np.sqrt(soft)[:, None] * moment * np.sqrt(mass)
    largest = float(np.linalg.eigvalsh(bends.T @ bends)[-1])
    # mm for each N and kg: 1e-3 makes seconds squared of it.
    return 60.0 / (2.0 * math.pi) / math.sqrt(largest * 1e-3)


def _cells(pieces: Sequence[ShaftPiece], length_mm: float) -> tuple[Array, Array]:
    """Bending stiffness (N·mm²) and mass (kg) of each cell, means over the pieces in it."""
    ends = [0.0, *(0.5 * (a.to + b.from_) for a, b in itertools.pairwise(pieces))]
    starts, stops = np.array(ends), np.array([*ends[1:], length_mm])
    edges = np.linspace(0.0, length_mm, _CELLS + 1)
    shared = np.maximum(
        0.0,
        np.minimum(edges[1:, None], stops[None, :]) - np.maximum(edges[:-1, None], starts[None, :]),
    )
    # Springs in a row: flexibilities, not stiffnesses, have a mean.
    stiff = [sum(y.bending_stiffness_nmm2 for y in p.carrying) for p in pieces]
    flexible = 1.0 / np.array(stiff)
    mass = np.array([sum(y.mass_kg_per_mm for y in p.layers) for p in pieces])
    return shared.sum(axis=1) / (shared @ flexible), shared @ mass
