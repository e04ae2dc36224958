"""What each donor asks of a lathe, in words."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.making.donors import other_end
from kinematics.making.lathe import Lathe
from kinematics.making.lathe_work import LatheWork, Remedy
from sketcher.words.lengths import MM, Lengths

_REMEDIES: dict[Remedy, str] = {
    "through the spindle": "hold the bar next to its cut and let the rest reach through the "
    "spindle",
    "take the joint off": "take the joint off after all",
    "turn the other donor": "let the {other} piece carry the spigot, and this one its bore, held "
    "next to the cut",
    "bore the sleeve": "leave the bar as thick as it is, and have the sleeve bored to it",
    "saw and file": "saw it square and file {filed} by hand{spigot}",
}


def lathe_line(work: LatheWork, say: Lengths = MM) -> str:
    """How one donor is held, and what that takes."""
    held = "its joint by the stub" if work.joint_on else "its joint's end"
    bed = say.plain(work.over_bed_mm, "up")
    known = "" if work.joint_known else " and the joint, whose size the scene does not tell,"
    return (
        f"{', '.join(work.works)}: {held} in the chuck, the cut end {_free_end(work)}; "
        f"{say.plain(work.between_centres_mm, 'up')} between centres, {bed}{known} over the bed, "
        f"{say.plain(work.over_carriage_mm, 'up')} over the carriage"
    )


def _free_end(work: LatheWork) -> str:
    """What carries the end that is worked: no centre stands where a drill goes in."""
    if "bore" not in work.works:
        return "on the tailstock"
    turned = {"turn down", "trim", "turn the spigot"} & {*work.works}
    return "on the tailstock, in a steady while it is bored" if turned else "in a steady"


def lathe_further(work: LatheWork, lathe: Lathe | None, say: Lengths = MM) -> Iterator[str]:
    """What to heed, whether the lathe takes it, and what else would do."""
    if work.joint_on:
        yield "lock the joint straight so that it cannot swing, and wrap it against swarf"
    # Of a lathe of which nothing is told there is nothing to say.
    if lathe in (None, Lathe()):
        return
    for one in work.too_large:
        yield (
            f"the lathe does not take it: {one.dimension} {say.plain(one.needed_mm, 'up')} is "
            f"needed, it has {say.plain(one.there_mm, 'down')}"
        )
    if work.too_large:
        other = other_end(work.end)
        filed = "the bevel" if "bevel" in work.works else "its face"
        spigot = {"bore", "turn the spigot"} & {*work.works}
        ways = "; or ".join(
            _REMEDIES[way].format(
                other=other,
                filed=filed,
                spigot=", with a sleeve in place of a spigot" * bool(spigot),
            )
            for way in work.remedies
        )
        yield f"what else would do: {ways}"
    else:
        yield "the lathe takes it, as far as the scene tells of it"
