"""The fields of the step Making: donors and their stretches, splice and sleeve."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.making.donors import ENDS, Donor, End
from kinematics.making.splice import Splice
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, field_of
from sketcher.window.steps.making_commands import donor_choices
from sketcher.window.steps.rows import Buttons, FieldRow, Row, RowHeading, one


def donors_rows(editor: Editor) -> Iterator[Row]:
    """Which donors are cut, where several are listed, and what is known of them."""
    making, side = editor.scene.making(editor.side), editor.side
    for end, donor in zip(ENDS, (making.hub_donor, making.gearbox_donor), strict=True):
        if donor is not None:
            choices = donor_choices(end, len(making.donors(end)))
            if choices:
                yield RowHeading(f"Which {end} donor is cut")
                yield from (Buttons((name,)) for name in choices)
            yield from _donor_rows(f"shafts.{side}.donors.{end}", end, donor)


def _donor_rows(key: str, end: End, donor: Donor) -> Iterator[Row]:
    yield RowHeading(f"{end.capitalize()} donor, from its joint's centre")
    yield from making_fields(key, end, "usable to", "cut twice", "joint comes off", "steel")
    yield one("datum", field_of(f"{key}.datum.name", f"{end} donor"))
    yield one("datum at", field_of(f"{key}.datum.at", f"{end} donor"))
    yield RowHeading("Its stretches\tfrom\tto\tØ")
    for i, stretch in enumerate(donor.stretches):
        yield from _stretch_rows(f"{key}.stretch[{i}]", f"{end} donor, {stretch.name}", first=not i)
    yield Buttons((f"add_{end}_stretch", f"remove_{end}_stretch"))


def _stretch_rows(key: str, label: str, *, first: bool) -> Iterator[Row]:
    def of(*words: str) -> tuple[Field, ...]:
        return tuple(field_of(f"{key}.{word}", label) for word in words)

    yield FieldRow("stretch", of("name", "kind"), key)
    ends = of("from", "to", "diameter")
    yield FieldRow("" if first else "to, Ø", ends if first else ends[1:], key, first=not first)
    yield FieldRow("root Ø, radius", of("root", "radius"), key, first=1)


_SPLICE = (
    *("at", "root gap", "shrinkage", "diameter", "turn radius", "trim", "clear"),
    *("filler yield", "heat treated after"),
)
_SLEEVE = ("length", "bore", "outside diameter", "at", "split", "leg", "steel")


# Where the file's word says too little without its help.
_CALLED = {
    "splice at": "its middle at",
    "splice diameter": "bars turned to",
    "splice trim": "left to trim",
    "splice clear": "clear of heat",
    "sleeve at": "its middle at",
    "sleeve split": "split lengthwise",
    "sleeve leg": "leg of its welds",
}


def splice_rows(key: str, splice: Splice) -> Iterator[Row]:
    """Where and how the bars are joined."""
    yield RowHeading("From the outer joint's centre")
    yield from making_fields(key, "splice", *_SPLICE)
    yield Buttons(("turn_butt", "turn_spigot") if splice.butt else ("turn_butt",))
    if splice.butt is not None:
        bevel = ("bevel angle", "bevel depth")
        spigot = ("spigot length", "bore", "spigot on", "spigot clearance")
        yield from making_fields(
            f"{key}.butt", "butt", *bevel, *(spigot if splice.spigot_mm > 0.0 else ())
        )
    yield Buttons(("turn_sleeve",))
    if splice.sleeve is not None:
        yield from making_fields(f"{key}.sleeve", "sleeve", *_SLEEVE)


def making_fields(key: str, of: str, *names: str) -> Iterator[Row]:
    """Rows of one field each, whose keys are their names with underscores."""
    for name in names:
        label = _CALLED.get(f"{of} {name}", name)
        yield one(label, field_of(f"{key}.{name.replace(' ', '_')}", of))
