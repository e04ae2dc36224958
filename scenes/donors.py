"""The donors of a side in the scene file: for each end one, or a list and which one is used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from kinematics.making.donors import ENDS, Donor, End
from scenes.errors import shown
from scenes.forms import texts
from scenes.making import NO_OTHERS, Making, Others
from scenes.records import Plain, plain_record, read_record
from scenes.tables import Table, all_of

USE_EXPECTED = 'expected ["hub donor\'s name", "gearbox donor\'s name"]'
# Where the file does not say: hub ends are the ones that are hard to find again.
CUT_TWICE: Mapping[End, bool] = {"hub": False, "gearbox": True}


def read_donors(table: Table) -> dict[str, Any]:
    """The donors of both ends: of each the one that is used, and the others."""
    given: dict[str, Any] = {}
    first: tuple[str, ...] = ("", "")
    use = table.value("use", USE_EXPECTED, texts, first)
    if use is not None and len(use) != len(ENDS):
        table.note("use", f"{USE_EXPECTED}, got {shown(table.values['use'])}")
        use = None
    for end, name in zip(ENDS, use or first, strict=True):
        if table.has(end):
            given[f"{end}_donor"], given[f"{end}_others"] = _of_end(table, end, name)
    table.close()
    return given


def _of_end(table: Table, end: End, used: str) -> tuple[Donor | None, Others]:
    """The donor of an end that is used, and the others; None, and a problem, where that is none."""
    listed = isinstance(table.values[end], list)
    if listed:
        donors = all_of(_donor(item, end, named=True) for item in table.tables(end))
    else:
        alone = table.table(end)
        donors = None if alone is None else all_of([_donor(alone, end)])
    names = [donor.name for donor in donors or ()]
    if donors is None or not _told_apart(table, end, names, listed=listed):
        return None, NO_OTHERS
    if used and used not in names:
        known = ", ".join(shown(one) for one in names)
        expected = f"expected a {end} donor that is listed ({known}), got {shown(used)}"
        table.note("use", expected)
        return None, NO_OTHERS
    place = names.index(used) if used else 0
    others = Others((*donors[:place], *donors[place + 1 :]), place) if listed else NO_OTHERS
    return donors[place], others


def _told_apart(table: Table, end: End, names: Sequence[str], *, listed: bool) -> bool:
    """Whether there are donors, each of a list with a name of its own; else it is noted."""
    if not names:
        table.note(end, "expected one donor or more, got none")
    for index, one in enumerate(names):
        if one and one in names[:index]:
            table.note(f"{end}[{index}].name", f"expected a name of its own, got {shown(one)}")
    return bool(names) and (not listed or len({*names} - {""}) == len(names))


def _donor(table: Table, end: End, *, named: bool = False) -> Donor | None:
    if named and not table.values.get("name"):
        table.note("name", "missing; expected a name that tells it from the others")
    return read_record(table, Donor, cut_twice=table.flag("cut_twice", default=CUT_TWICE[end]))


def plain_donors(making: Making) -> Plain:
    """The donors of both ends, keyed as in the file."""
    content: Plain = {}
    others: dict[End, Others] = {"hub": making.hub_others, "gearbox": making.gearbox_others}
    if any(one.place for one in others.values()):
        used = (making.hub_donor, making.gearbox_donor)
        content["use"] = ["" if donor is None else donor.name for donor in used]
    for end in ENDS:
        listed = [_plain_donor(donor, end) for donor in making.donors(end)]
        if listed:
            content[end] = listed[0] if others[end].place is None else listed
    return content


def _plain_donor(donor: Donor, end: End) -> Plain:
    said = {} if donor.cut_twice == CUT_TWICE[end] else {"cut_twice": donor.cut_twice}
    return said | plain_record(donor, skip=("cut_twice",))
