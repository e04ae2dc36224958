"""Coordinates whose errors hang together, as readings or a fit leave them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.sure.measurands import Coordinate, Measurand
from kinematics.vectors import Array


@dataclass(frozen=True, slots=True, eq=False)
class Correlated:
    """Coordinates by what is measured and along which axis, and their covariance, mm²."""

    coordinates: tuple[tuple[Measurand, int | None], ...]
    covariance_mm2: Array

    def among(self, measured: Sequence[Coordinate]) -> tuple[list[int], Array]:
        """Which of the measured coordinates they are, and the covariance of those."""
        columns = {(one.thing, one.axis): column for column, one in enumerate(measured)}
        kept = [place for place, one in enumerate(self.coordinates) if one in columns]
        covariance: Array = self.covariance_mm2[np.ix_(kept, kept)]
        return [columns[self.coordinates[place]] for place in kept], covariance


NOTHING = Correlated((), np.zeros((0, 0)))


def symmetric_root(covariance: Array) -> Array:
    """The symmetric matrix whose square is the covariance; the same wherever it is worked out.

    Other roots hang on the signs of eigenvectors, which linear algebra libraries choose freely:
    with them the same seed would draw other cars on another machine.

    >>> symmetric_root(np.array([[5.0, 4.0], [4.0, 5.0]])).round(12).tolist()
    [[2.0, 1.0], [1.0, 2.0]]
    """
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray((vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T)
