"""The shafts that are cut up: what each has along it, from its own joint's centre."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from kinematics.errors import Check
from kinematics.making.steels import DEFAULT_STEEL, Steel
from kinematics.part import Part

End = Literal["hub", "gearbox"]
Span = tuple[float, float]
StretchKind = Literal["bar", "groove", "spline", "boot"]

ENDS: tuple[End, End] = ("hub", "gearbox")
STRETCH_KINDS: tuple[StretchKind, ...] = ("bar", "groove", "spline", "boot")
# Cut into the bar: what is left at their bottom carries the torque.
ROOTED: tuple[StretchKind, ...] = ("groove", "spline")
_TOUCHING = 1e-6


def other_end(end: End) -> End:
    """The other one."""
    return "gearbox" if end == "hub" else "hub"


def from_joint(end: End, span_mm: Span, length_mm: float) -> Span:
    """A span from the outer joint's centre as one from an end's own joint; and the way back."""
    low, high = span_mm
    return span_mm if end == "hub" else (length_mm - high, length_mm - low)


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

    def _checks(self) -> Iterable[Check]:
        yield self.to > self.from_, "to", "mm from the joint's centre, more than from"
        yield self.diameter > 0, "diameter", "mm above 0"
        yield self.kind in STRETCH_KINDS, "kind", f"one of {', '.join(STRETCH_KINDS)}"
        carries = self.root is not None or self.kind not in ROOTED
        yield carries, "root", f"mm, the {self.kind}'s bottom: it carries the torque"
        within = self.root is None or 0 < self.root <= self.diameter
        yield within, "root", "mm above 0, not above diameter"
        yield self.radius > 0, "radius", "mm above 0; a sharp corner has about 0.1 mm"


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

    def _checks(self) -> Iterable[Check]:
        if not self.stretches:
            yield False, "stretches", "one stretch of the donor or more"
            return
        for one, following in itertools.pairwise(self.stretches):
            meet = abs(following.from_ - one.to) <= _TOUCHING
            yield meet, "stretches", f"{following.name} to begin where {one.name} ends"
        first, last = self.stretches[0], self.stretches[-1]
        yield first.from_ >= 0, "stretches", "distances from the joint's centre, 0 or more"
        within = first.from_ < self.usable_to <= last.to + _TOUCHING
        yield within, "usable_to", "mm from the joint's centre, within the stretches"
        yield self.datum.at < self.usable_to, "datum", "a place nearer to the joint than usable_to"
