"""The shafts that are cut up: what each has along it, from its own joint's centre."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from kinematics.errors import Problem
from kinematics.making.steels import DEFAULT_STEEL, Steel
from kinematics.part import Part

End = Literal["hub", "gearbox"]
StretchKind = Literal["bar", "groove", "spline", "boot"]

ENDS: tuple[End, End] = ("hub", "gearbox")
STRETCH_KINDS: tuple[StretchKind, ...] = ("bar", "groove", "spline", "boot")
# Cut into the bar: what is left at their bottom carries the torque.
ROOTED: tuple[StretchKind, ...] = ("groove", "spline")
_TOUCHING = 1e-6


def other_end(end: End) -> End:
    """The other one."""
    return "gearbox" if end == "hub" else "hub"


@dataclass(frozen=True, slots=True)
class Stretch(Part):
    """One stretch of a donor, counted from its joint's centre towards the bar.

    ``kind`` bar may be cut, turned, welded and sleeved; groove, spline and boot (where a boot's
    small end sits) may not.  ``diameter`` is the outside; ``root`` the bottom of a groove or
    spline, which carries the torque; those two do not go without.  ``radius``: of the fillet at
    its ends, or of the groove's bottom.
    """

    name: str
    from_: float
    to: float
    diameter: float
    kind: StretchKind = "bar"
    root: float | None = None
    radius: float = 1.0

    @property
    def carrying_mm(self) -> float:
        """The diameter that carries the torque."""
        return self.diameter if self.root is None else self.root

    def _problems(self) -> Iterable[Problem]:
        if self.to <= self.from_:
            yield Problem("to", "expected mm from the joint's centre, more than from")
        if self.diameter <= 0:
            yield Problem("diameter", "expected mm above 0")
        if self.kind not in STRETCH_KINDS:
            yield Problem("kind", f"expected one of {', '.join(STRETCH_KINDS)}")
        if self.root is None and self.kind in ROOTED:
            yield Problem("root", f"expected mm, the {self.kind}'s bottom: it carries the torque")
        if self.root is not None and not 0 < self.root <= self.diameter:
            yield Problem("root", "expected mm above 0, not above diameter")
        if self.radius <= 0:
            yield Problem("radius", "expected mm above 0; a sharp corner has about 0.1 mm")


@dataclass(frozen=True, slots=True)
class Datum(Part):
    """Something on a donor that a tape can be held against.

    ``at`` from the joint's centre, + towards the bar.
    """

    name: str
    at: float


@dataclass(frozen=True, slots=True)
class Donor(Part):
    """A shaft to be cut: its joint's end is kept.

    ``usable_to``: how far from the joint's centre its bar is sound.  ``cut_twice``:
    whether a wrong cut could be made good from it; an end for which there is no second
    one says false.  ``joint_comes_off``: whether the joint can be taken off for turning
    and welding.  ``name`` tells it from others for the same end.
    """

    usable_to: float
    datum: Datum
    stretches: tuple[Stretch, ...]
    cut_twice: bool = True
    joint_comes_off: bool = True
    steel: Steel = DEFAULT_STEEL
    name: str = ""

    @property
    def datum_stands_alone(self) -> bool:
        """Whether no stretch begins or ends at the datum."""
        edges = [self.stretches[0].from_, *(stretch.to for stretch in self.stretches)]
        return all(abs(edge - self.datum.at) > _TOUCHING for edge in edges)

    def between(self, from_mm: float, to_mm: float) -> Iterator[Stretch]:
        """The stretches that have some length between two distances from the joint's centre."""
        for stretch in self.stretches:
            if min(to_mm, stretch.to) - max(from_mm, stretch.from_) > _TOUCHING:
                yield stretch

    def _problems(self) -> Iterable[Problem]:
        if not self.stretches:
            yield Problem("stretches", "expected one stretch of the donor or more")
            return
        for one, following in itertools.pairwise(self.stretches):
            if abs(following.from_ - one.to) > _TOUCHING:
                yield Problem(
                    "stretches", f"expected {following.name} to begin where {one.name} ends"
                )
        first, last = self.stretches[0], self.stretches[-1]
        if first.from_ < 0:
            yield Problem("stretches", "expected distances from the joint's centre, 0 or more")
        if not first.from_ < self.usable_to <= last.to + _TOUCHING:
            yield Problem("usable_to", "expected mm from the joint's centre, within the stretches")
        if self.datum.at >= self.usable_to:
            yield Problem("datum", "expected a place nearer to the joint than usable_to")
