"""Page 2: the order of work, and the swept-length table."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.cutplan import CutPlan
from kinematics.cutsteps import Action, Step, cut_steps
from kinematics.donors import End
from sketcher.shopsheet.amounts import angle, both, cell
from sketcher.shopsheet.blocks import Blocks, Cell, Grid, Heading, Tick, Ticks, Words
from sketcher.shopsheet.subject import STEP_MM, Subject, swept_rows
from sketcher.units import format_length
from sketcher.wording import brief, signed

BLANK = "mm / in"
WELDING = (
    "A welded shaft is a rotating part. Have the weld made and checked by a qualified welder "
    "or engineer, and keep to the codes where you live; some forbid welded shafts on the road."
)
_WORDS: dict[Action, str] = {
    "check the donor": "Check the {end} donor for cracks, rust pits and bends",
    "take the joint off": "Take the joint off the {end} donor",
    "keep the joint cool": "The joint stays on the {end} donor: keep it cool, wrapped and clean",
    "mark and cut": "Mark the {end} donor and cut it",
    "turn down": "Turn the {end} donor down",
    "bore": "Bore the {end} donor for the spigot",
    "measure": "Measure the finished {end} piece and write it down",
    "trim": "Trim the {end} donor to its finished length",
    "turn the spigot": "Turn the spigot on the {end} donor",
    "bevel": "Bevel the face of the {end} donor",
    "slide the sleeve on": "Slide the sleeve on before the halves meet",
    "set the gap": "Set the root gap",
    "tack": "Tack in four places, opposite ones first",
    "check runout": "Check runout beside the weld (total indicator reading)",
    "check length": "Check the length between joint centres",
    "weld the butt": "Weld the butt joint, turning the shaft from side to side",
    "set the sleeve": "Set the sleeve over the splice",
    "weld the seams": "Weld the seams of the split sleeve",
    "weld the sleeve": "Weld both ends of the sleeve",
    "fit joint and boot": "Fit joint, boot and fresh grease at the {end} end",
}
_MEASURED: frozenset[Action] = frozenset({"measure", "check length", "trim"})
_NO_PLAN = "No cut order: the scene has no donors and no splice."


def cut_order_blocks(subject: Subject) -> Blocks:
    """What is done to which end, in order; withheld where the shaft must not be cut."""
    heading, plan = Heading("Cut order"), subject.workings.plan
    if subject.do_not_cut:
        return (
            heading,
            Words("No cut order: do not cut before everything on page 1 is put right.", "missing"),
        )
    if plan is None:
        return (heading, Words(_NO_PLAN, "missing"))
    return (
        heading,
        Ticks(tuple(_tick(plan, step) for step in cut_steps(plan)), numbered=True),
        Words(WELDING, "caution"),
    )


def _tick(plan: CutPlan, step: Step) -> Tick:
    text = _WORDS[step.action].format(end=step.end or "")
    amounts = ", ".join(_amounts(plan, step))
    blank = BLANK if step.action in _MEASURED else "mm TIR" if "runout" in step.action else ""
    return Tick(
        f"{text}: {amounts}" if amounts else text,
        "There is no second try: measure twice, and have somebody else look." if step.once else "",
        blank,
    )


def _amounts(plan: CutPlan, step: Step) -> Iterator[str]:
    if step.from_datum_mm is not None and step.end is not None:
        yield f"{both(step.from_datum_mm)} from {_datum(plan, step.end)}"
    if step.from_joint_mm is not None:
        centre = "the outer joint's centre" if step.end is None else "its joint's centre"
        yield f"{both(step.from_joint_mm)} from {centre}"
    if step.diameter_mm is not None:
        yield f"diameter {both(step.diameter_mm)}"
    if step.length_mm is not None:
        word = {"bevel": "deep ", "bore": "deep ", "weld the sleeve": "leg ", "trim": "taking off "}
        yield f"{word.get(step.action, '')}{both(step.length_mm)}{_span(step)}"
    if step.angle_deg is not None:
        yield f"{brief(step.angle_deg)}° from square"


def _span(step: Step) -> str:
    return " long" if step.action in ("turn down", "turn the spigot", "set the sleeve") else ""


def _datum(plan: CutPlan, end: End) -> str:
    return plan.cut(end).donor.datum.name


_HEADER: tuple[Cell, ...] = (
    ("travel", "mm / in"),
    ("length", "mm / in"),
    ("plunge", "mm / in"),
    ("left in", "mm / in"),
    ("left out", "mm / in"),
    ("inner", "deg"),
    ("outer", "deg"),
    ("gap", "mm / in"),
)
_WIDTHS = (1.15, 1.15, 0.95, 0.95, 0.95, 0.75, 0.75, 0.9)


def swept_blocks(subject: Subject) -> Blocks:
    """The swept-length table straight ahead; strokes and gaps rounded down, angles up."""
    rows = swept_rows(subject.corner)
    gaps = any(row.gap_mm is not None for row in rows)
    cells: list[tuple[Cell, ...]] = []
    for row in rows:
        travel: Cell = (signed(row.travel_mm), format_length(row.travel_mm, "in", named=False))
        if row.travel_mm == 0.0:
            travel = ("0.0", "ride height")
        listed: tuple[Cell, ...] = (
            travel,
            cell(row.swept_length_mm),
            cell(row.plunge_mm, signed=True),
            cell(row.stroke_left_in_mm, rounding="down"),
            cell(row.stroke_left_out_mm, rounding="down"),
            angle(row.inner_angle_deg),
            angle(row.outer_angle_deg),
        )
        if gaps:
            gap = "" if row.gap_mm is None else cell(row.gap_mm, rounding="down")
            listed = (*listed, gap)
        cells.append(listed)
    columns = len(_HEADER) if gaps else len(_HEADER) - 1
    ride = frozenset(index for index, row in enumerate(rows) if row.travel_mm == 0.0)
    return (
        Heading(f"Swept length every {brief(STEP_MM)} mm"),
        Grid(_HEADER[:columns], tuple(cells), _WIDTHS[:columns], strong=ride),
        Words(
            "Wheel straight ahead, gearbox at rest. Plunge + pulled out, − pushed in. Left in: "
            "stroke before it bottoms; left out: before it pulls apart.",
            "small",
        ),
    )
