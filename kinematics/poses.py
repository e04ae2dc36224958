"""Where a carrier takes what is mounted on it: the body, the arm, the knuckle or the gearbox."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.parts import Carrier
from kinematics.vectors import Array


@dataclass(frozen=True, slots=True, eq=False)
class CarrierPose:
    """Where a carrier has moved: points turn by ``rotation`` about ``at_ride``, now at ``moved``.

    ``rotation``, shape (..., 3, 3), takes directions drawn at ride height to where
    they point now; None where the carrier does not turn.  ``at_ride`` is a point
    of the carrier as drawn, (3,), and ``moved`` where it is now, (..., 3), mm.

    >>> arm = CarrierPose.swung([300.0, 200.0, 0.0], 90.0)
    >>> arm.carried(np.array([650.0, 200.0, 10.0])).round(6)
    array([300., 550.,  10.])
    >>> arm.carried_back(np.array([300.0, 550.0, 10.0])).round(6)
    array([650., 200.,  10.])
    """

    at_ride: Array
    moved: Array
    rotation: Array | None = None

    @classmethod
    def still(cls) -> CarrierPose:
        """A carrier that stays where it is drawn: the body."""
        return cls(np.zeros(3), np.zeros(3))

    @classmethod
    def shifted(cls, shift_mm: npt.ArrayLike) -> CarrierPose:
        """A carrier that moves without turning, by shape (..., 3), mm: the gearbox."""
        return cls(np.zeros(3), np.asarray(shift_mm, dtype=np.float64))

    @classmethod
    def swung(cls, pivot: npt.ArrayLike, turn_deg: npt.ArrayLike) -> CarrierPose:
        """An arm: a carrier that swings about a fore axis, from out towards up."""
        turn = np.radians(np.asarray(turn_deg, dtype=np.float64))
        rotation = np.zeros((*turn.shape, 3, 3))
        rotation[..., 0, 0] = rotation[..., 1, 1] = np.cos(turn)
        rotation[..., 1, 0] = np.sin(turn)
        rotation[..., 0, 1] = -rotation[..., 1, 0]
        rotation[..., 2, 2] = 1.0
        centre = np.asarray(pivot, dtype=np.float64)
        return cls(centre, centre, rotation)

    def at(self, index: int | tuple[int, ...]) -> CarrierPose:
        """Where it is at one index of the positions."""
        rotation = self.rotation
        return CarrierPose(
            self.at_ride,
            self.moved[index] if self.moved.ndim > 1 else self.moved,
            rotation[index] if rotation is not None and rotation.ndim > 2 else rotation,
        )

    def with_axis(self) -> CarrierPose:
        """The same with an axis of one place after the positions."""
        rotation = None if self.rotation is None else self.rotation[..., None, :, :]
        return CarrierPose(self.at_ride, self.moved[..., None, :], rotation)

    def turned(self, directions: Array) -> Array:
        """Directions (..., 3) drawn at ride height, as they point now."""
        if self.rotation is None:
            return directions
        turned: Array = np.matmul(self.rotation, directions[..., None])[..., 0]
        return turned

    def carried(self, points: Array) -> Array:
        """Points (..., 3) drawn at ride height, where they are now, mm."""
        return self.moved + self.turned(points - self.at_ride)

    def turned_back(self, directions: Array) -> Array:
        """Directions (..., 3) now, as they were drawn at ride height."""
        if self.rotation is None:
            return directions
        # Several times as fast as as many products of small matrices.
        (a, b, c), (x, y, z) = (
            np.moveaxis(self.rotation, (-2, -1), (0, 1)),
            np.moveaxis(directions, -1, 0),
        )
        return np.stack([x * a[i] + y * b[i] + z * c[i] for i in range(3)], axis=-1)

    def carried_back(self, points: Array) -> Array:
        """Points (..., 3) now, where they were at ride height, mm."""
        return self.at_ride + self.turned_back(points - self.moved)


Carriers = Mapping[Carrier, CarrierPose]
