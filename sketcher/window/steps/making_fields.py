"""The fields of the step Making: donors and their stretches, splice and sleeve."""

from __future__ import annotations

from collections.abc import Iterator

from kinematics.making.donors import ENDS, STRETCH_KINDS, Donor, End
from kinematics.making.splice import Splice
from kinematics.making.steels import STEELS
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, FieldKind, field_of
from sketcher.window.model.making_actions import donor_choices
from sketcher.window.steps.rows import Buttons, FieldRow, Row, RowHeading, one

_STEELS = (
    f"One of {', '.join(steel.name for steel in STEELS)}; or name and yield: own bar, 400 MPa."
)


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
    yield making_field(key, end, "usable to")
    yield making_field(key, end, "cut twice", "yes_no")
    yield making_field(key, end, "joint comes off", "yes_no")
    yield making_field(key, end, "steel", "steel", help_=_STEELS)
    yield one("datum", field_of(f"{key}.datum.name", f"{end} donor", "text"))
    yield one("datum at", field_of(f"{key}.datum.at", f"{end} donor"))
    yield RowHeading("Its stretches\tfrom\tto\tØ")
    for i, stretch in enumerate(donor.stretches):
        yield from _stretch_rows(f"{key}.stretch[{i}]", f"{end} donor, {stretch.name}", first=not i)
    yield Buttons((f"add_{end}_stretch", f"remove_{end}_stretch"))


def _stretch_rows(key: str, label: str, *, first: bool) -> Iterator[Row]:
    yield FieldRow(
        "stretch",
        (
            field_of(f"{key}.name", label, "text"),
            Field(
                f"{key}.kind",
                f"{label}, kind",
                "stretch_kind",
                f"One of {', '.join(STRETCH_KINDS)}; only a bar may be cut, welded and sleeved.",
            ),
        ),
        key,
    )
    about = "Where the donor's first stretch begins." if first else ""
    ends = (
        Field(f"{key}.from", f"{label}, from", help=about),
        field_of(f"{key}.to", label),
        field_of(f"{key}.diameter", label),
    )
    yield FieldRow("" if first else "to, Ø", ends if first else ends[1:], key, first=not first)
    yield FieldRow(
        "root Ø, radius",
        (
            field_of(f"{key}.root", label),
            field_of(f"{key}.radius", label),
        ),
        key,
        first=1,
    )


def splice_rows(key: str, splice: Splice) -> Iterator[Row]:
    """Where and how the bars are joined."""
    yield RowHeading("From the outer joint's centre")
    yield making_field(key, "splice", "at")
    yield making_field(key, "splice", "root gap")
    yield making_field(key, "splice", "shrinkage")
    yield making_field(key, "splice", "diameter")
    yield making_field(key, "splice", "turn radius")
    yield making_field(key, "splice", "trim")
    yield making_field(key, "splice", "clear")
    yield making_field(key, "splice", "filler yield")
    yield making_field(key, "splice", "heat treated after", "yes_no")
    yield Buttons(("turn_butt", "turn_spigot") if splice.butt else ("turn_butt",))
    if splice.butt is not None:
        yield from _butt_rows(f"{key}.butt", spigot=splice.spigot_mm > 0.0)
    yield Buttons(("turn_sleeve",))
    if splice.sleeve is not None:
        yield from _sleeve_rows(f"{key}.sleeve")


def _butt_rows(key: str, *, spigot: bool) -> Iterator[Row]:
    yield making_field(key, "butt", "bevel angle")
    yield making_field(key, "butt", "bevel depth")
    if spigot:
        yield making_field(key, "butt", "spigot length")
        yield making_field(key, "butt", "bore")
        yield making_field(key, "butt", "spigot on", "end")
        yield making_field(key, "butt", "spigot clearance")


def _sleeve_rows(key: str) -> Iterator[Row]:
    yield making_field(key, "sleeve", "length")
    yield making_field(key, "sleeve", "bore")
    yield making_field(key, "sleeve", "outside diameter")
    yield making_field(key, "sleeve", "at")
    yield making_field(key, "sleeve", "split", "yes_no")
    yield making_field(key, "sleeve", "leg")
    yield making_field(key, "sleeve", "steel", "steel", help_=_STEELS)


def making_field(
    key: str, of: str, name: str, kind: FieldKind | None = None, *, help_: str = ""
) -> FieldRow:
    """A row of one field whose key is its name with underscores."""
    return one(name, field_of(f"{key}.{name.replace(' ', '_')}", of, kind, help_=help_))
