"""The report's page: one screen of plain words, the verdict and what breaks it first."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from kinematics.shaft.length_window import Position
from kinematics.shaft.whole_motion import Examination
from scenes.model import Scene, Side
from sketcher.answers.verdict import Answered, VerdictState
from sketcher.words import answer as wording
from sketcher.words.cautions import CODES, NOT_SURE, hose_gap
from sketcher.words.certainty import tape_words
from sketcher.words.cuts import cuts_summary
from sketcher.words.lengths import Lengths
from sketcher.words.plain import sentence, titled
from sketcher.words.strength import strength_summary
from sketcher.words.units import Unit, format_both, format_length
from sketcher.words.welded import welded_summary

REPORT_WIDTH = 100
NAME_WIDTH = 20


def report_lines(scene: Scene, answers: Sequence[Answered], unit: Unit) -> Iterator[str]:
    """The report, line by line."""
    yield titled(scene.title)
    motion = wording.motion_words(scene, lambda mm: wording.typed(mm, unit))
    yield from textwrap.wrap(motion, REPORT_WIDTH)
    if scene.tape is None or scene.tape.limit is None:
        words = tape_words(scene.tape, unit, len(scene.readings))
        yield from textwrap.wrap(sentence(words), REPORT_WIDTH)
    for one in answers:
        yield ""
        yield from verdict_lines(one, Lengths(unit))
        yield from _side_lines(one, unit)
    hoses = (hose_gap(unit),) if any(one.found.gaps for one in answers) else ()
    yield from caution_lines(CODES, *hoses)


def caution_lines(*cautions: str) -> Iterator[str]:
    """Cautions fitted to what was asked, after everything else."""
    yield ""
    yield from textwrap.wrap(f"Caution: {' '.join(cautions)}", REPORT_WIDTH)


_BECAUSE: dict[VerdictState, str] = {"do not cut": "DO NOT CUT", "not sure enough": "NOT SURE"}


def verdict_lines(one: Answered, say: Lengths) -> Iterator[str]:
    """The verdict on one side: its line, why, and what was not looked at."""
    told = one.verdict(say)
    yield from textwrap.wrap(
        f"{one.side.upper()} SHAFT  {told.line}",
        REPORT_WIDTH,
        subsequent_indent="  ",
        break_on_hyphens=False,
    )
    if told.fits:
        yield from row("because", " ".join(told.because))
    else:
        yield from rows(_BECAUSE[told.state], told.because)
    yield from rows("not looked at", told.not_looked_at)


def across(one: Answered) -> str:
    """What stands before numbers to cut by where they are not sure enough; empty otherwise."""
    return "" if one.verdict().fits else f"{NOT_SURE.upper()}: "


def _side_lines(one: Answered, unit: Unit) -> Iterator[str]:
    found, scene = one.found, one.scene

    def say(position: Position) -> str:
        return wording.place(position, scene, unit)

    length = wording.length_words(found, unit)
    if found.length_given:
        centred = format_both(found.ride_centred_length_mm, unit)
        yield from row("length", f"{length}; ride-centred {centred}")
    else:
        yield from row("length", f"{length}, ride-centred (none given)")
    if found.unreachable:
        # Worst values over a part of the motion would promise what nobody has looked at.
        return
    yield from _window_lines(found, unit, say)
    yield from _worst_lines(found, unit, say)
    if not found.gaps:
        yield from row("gaps", _no_gaps(scene, one.side))
    yield from _making_lines(one, Lengths(unit))


def _making_lines(one: Answered, say: Lengths) -> Iterator[str]:
    """How the shaft is made, a line each; the commands cuts, strength and runout tell all."""
    making = one.made
    if making.plan is not None and making.plan.possible and not one.verdict().forbids:
        yield from row("cuts", f"{across(one)}{cuts_summary(making.plan, say)}")
    if making.torque is not None and making.strength is not None:
        yield from row("strength", strength_summary(making.torque, making.strength))
    yield from row("after welding", welded_summary(making.trueness, making.finished, say))


def _window_lines(found: Examination, unit: Unit, say: wording.Say) -> Iterator[str]:
    window = found.window
    if window is None or window.empty:
        yield from row("length window", wording.inside_window(found, unit))
        return
    # Rounded inwards: a length read off the report must not lie outside the window.
    shortest = format_both(window.shortest_mm, unit, rounding="up")
    longest = format_both(window.longest_mm, unit, rounding="down")
    margin = wording.typed(found.margin_mm, unit)
    yield from row("length window", f"{shortest} to {longest}, keeping {margin} at each end")
    yield from row("", wording.inside_window(found, unit))
    yield from row("", f"shorter pulls apart at {say(window.pulls_apart_at)}")
    yield from row("", f"longer bottoms at {say(window.bottoms_at)}")


def _worst_lines(found: Examination, unit: Unit, say: wording.Say) -> Iterator[str]:
    for worst in found.of_joints:
        kind = "limit" if worst.is_angle else "min"
        value = wording.amount(worst, worst.value, unit)
        limit = wording.limit(worst, unit, named=False)
        words = f"{value} ({kind} {limit}) at {say(worst.position)}"
        yield from row(wording.WORST_OF[worst.quantity], words)
    direction = "pulled out" if found.off_centre_mm >= 0.0 else "pushed in"
    off = format_length(abs(found.off_centre_mm), unit, rounding="up")
    yield from row("furthest", f"{off} from mid-stroke, {direction}, at {say(found.off_centre_at)}")
    for gap in found.gaps:
        section = gap.approach.section_name
        yield from row(
            wording.WORST_OF[gap.worst.quantity],
            f"{wording.amount(gap.worst, gap.worst.value, unit)} (wanted "
            f"{wording.limit(gap.worst, unit, named=False)}) "
            f'{f"""from "{section}" """ if section else ""}to "{gap.worst.part}" '
            f"at {say(gap.worst.position)}",
        )


def _no_gaps(scene: Scene, side: Side) -> str:
    if not scene.brackets:
        return "not looked at: the scene has no [[bracket]]"
    return f"not looked at: the shaft has no outline, [[shafts.{side}.section]]"


def rows(name: str, texts: Iterable[str]) -> Iterator[str]:
    """A name, and one thing after the other that is said of it."""
    for number, text in enumerate(texts):
        yield from row("" if number else name, text)


def row(name: str, text: str) -> list[str]:
    """A name and what is said of it, broken to lines that fit; none where nothing is said."""
    return textwrap.wrap(
        text,
        width=REPORT_WIDTH,
        initial_indent=f" {name:<{NAME_WIDTH}} ",
        subsequent_indent=" " * (NAME_WIDTH + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )
