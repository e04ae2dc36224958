"""Where welding heats the shaft so far that hardening goes out of its steel."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.making.splice import Splice


def heat_affected_mm(splice: Splice, diameter_mm: float) -> tuple[tuple[float, float], ...]:
    """Stretches of the shaft that welds heat, from the outer joint's centre, mm, in order.

    A bar's diameter from each weld's toe (common practice, no source; the zone that is seen
    in a section is narrower); a split sleeve is heated all along by its seams.  None where
    the shaft is heat treated after welding.
    """
    if splice.heat_treated_after:
        return ()
    spans = []
    if splice.butt is not None:
        low, high = splice.butt_span_mm(diameter_mm)
        spans.append((low - diameter_mm, high + diameter_mm))
    sleeve, ends = splice.sleeve, splice.sleeve_span_mm
    if sleeve is not None and ends is not None:
        outside = sleeve.leg_mm + diameter_mm
        low, high = ends[0] - outside, ends[1] + outside
        if sleeve.split:
            spans.append((low, high))
        else:
            spans += [(low, ends[0] + diameter_mm), (ends[1] - diameter_mm, high)]
    return tuple(_merged(sorted(spans)))


def _merged(spans: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    while spans:
        low, high = spans.pop(0)
        while spans and spans[0][0] <= high:
            high = max(high, spans.pop(0)[1])
        yield low, high
