"""What the scene file says about making one side's shaft: donors, splice, trial fit, readings.

::

    [shafts.left.donors.hub]           # the end that stays with the hub
    usable_to = 310
    cut_twice = false                  # as where it is left out; the gearbox donor's is true then
    steel = "C45 normalised"           # or { name = "…", yield_strength = 400, normalised = 300 }
    datum = { name = "boot groove", at = 58 }
    [[shafts.left.donors.hub.stretch]]
    …
    # or [[shafts.left.donors.hub]] with a name each, and which of them are used:
    [shafts.left.donors]
    use = ["the rusty one", "the long one"]    # the first of each where left out
    [shafts.left.splice]
    at = 190
    butt = { spigot_length = 30, bore = 14 }
    sleeve = { length = 90, bore = 26, outside_diameter = 38 }
    [[shafts.left.runout]]             # after welding
    [[shafts.left.trial]]              # measured on the car, spring out
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kinematics.errors import InvalidInput, Problem
from kinematics.making.donors import ENDS, Datum, Donor, End, Stretch
from kinematics.making.planning import sleeve_section
from kinematics.making.refusals import SLEEVE
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import DEFAULT_SLEEVE_STEEL, DEFAULT_STEEL, STEELS, Steel, steel_named
from kinematics.making.straightness import Runout
from kinematics.parts import Section, Shaft
from kinematics.sure.trial import TrialMeasurement
from scenes.records import Plain, number, plain_record, read_record
from scenes.tables import Table, all_of, shown

STEEL_EXPECTED = "expected a steel's name, or { name = …, yield_strength = … in MPa }"
USE_EXPECTED = 'expected ["hub donor\'s name", "gearbox donor\'s name"]'
GIVEN_STEEL = "as given in the scene"
# Where the file does not say: hub ends are the ones that are hard to find again.
CUT_TWICE: Mapping[End, bool] = {"hub": False, "gearbox": True}


@dataclass(frozen=True, slots=True)
class Others:
    """The donors of an end that are not used, and which place in the list the used one has.

    ``place`` None: the file has a single table for the end and no list.
    """

    donors: tuple[Donor, ...] = ()
    place: int | None = None


NO_OTHERS = Others()


@dataclass(frozen=True, slots=True)
class Making:
    """How one side's shaft is made and what was measured of it; all of it optional.

    ``hub_donor`` and ``gearbox_donor`` are the ones that are used.
    ``doubtful`` names the points, by their path in the scene, that a trial fit may move;
    none named: all of them.  ``finished_length`` was measured after welding, mm.
    Raises InvalidInput for a finished length that is none.
    """

    hub_donor: Donor | None = None
    gearbox_donor: Donor | None = None
    splice: Splice | None = None
    runout: tuple[Runout, ...] = ()
    finished_length: float | None = None
    trial: tuple[TrialMeasurement, ...] = ()
    doubtful: tuple[str, ...] = ()
    hub_others: Others = NO_OTHERS
    gearbox_others: Others = NO_OTHERS

    def __post_init__(self) -> None:
        if self.finished_length is not None and not self.finished_length > 0.0:
            expected = "expected mm between joint centres, above 0"
            raise InvalidInput([Problem("finished_length", expected)])

    def donors(self, end: End) -> tuple[Donor, ...]:
        """Every donor of an end, in the order of the file."""
        used, others = self._of(end)
        if used is None:
            return ()
        place = others.place or 0
        return (*others.donors[:place], used, *others.donors[place:])

    def _of(self, end: End) -> tuple[Donor | None, Others]:
        if end == "hub":
            return self.hub_donor, self.hub_others
        return self.gearbox_donor, self.gearbox_others

    def sleeve_on(self, shaft: Shaft) -> Section | None:
        """The sleeve as a piece of the shaft's outline, unless it is drawn there already."""
        if self.splice is None or any(section.name == SLEEVE for section in shaft.sections):
            return None
        return sleeve_section(self.splice)

    def outlined(self, shaft: Shaft) -> tuple[Section, ...]:
        """The shaft's outline with the sleeve on it."""
        sleeve = self.sleeve_on(shaft)
        return shaft.sections if sleeve is None else (*shaft.sections, sleeve)


def read_making(shaft: Table) -> Making | None:
    """The making tables of a [shafts.SIDE] table, which stays open for its other keys."""
    optional: dict[str, Any] = {}
    donors = shaft.table("donors", optional=True)
    if donors is not None:
        optional |= _donors(donors)
    splice = shaft.table("splice", optional=True)
    if splice is not None:
        optional["splice"] = _splice(splice)
    if shaft.has("finished_length"):
        optional["finished_length"] = shaft.number("finished_length")
    if shaft.has("doubtful"):
        optional["doubtful"] = shaft.texts("doubtful", "expected paths of points in the scene")
    optional["runout"] = all_of(read_record(item, Runout) for item in shaft.tables("runout"))
    optional["trial"] = all_of(
        read_record(item, TrialMeasurement) for item in shaft.tables("trial")
    )
    if any(value is None for value in optional.values()):
        return None
    try:
        return Making(**optional)
    except InvalidInput as error:
        for problem in error.problems:
            got = shown(optional[problem.field])
            shaft.note(problem.field, f"{problem.message}, got {got}")
        return None


def _donors(table: Table) -> dict[str, Any]:
    """The donors of both ends: of each the one that is used, and the others."""
    optional: dict[str, Any] = {}
    use = table.texts("use", USE_EXPECTED) if table.has("use") else ("", "")
    if use is not None and len(use) != len(ENDS):
        table.note("use", f"{USE_EXPECTED}, got {shown(table.values['use'])}")
        use = None
    for end, name in zip(ENDS, use or ("", ""), strict=True):
        listed = isinstance(table.values.get(end), list)
        if listed:
            donors = all_of(_donor(item, end, named=True) for item in table.tables(end))
        else:
            alone = table.table(end, optional=True)
            if alone is None:
                continue
            donors = all_of([_donor(alone, end)])
        if donors is None:
            optional[f"{end}_donor"] = None
            continue
        names = [donor.name for donor in donors]
        for index, one in enumerate(names):
            if one and one in names[:index]:
                table.note(f"{end}[{index}].name", f"expected a name of its own, got {shown(one)}")
        if not donors or (name and name not in names):
            known = ", ".join(shown(one) for one in names)
            expected = f"expected a {end} donor that is listed ({known}), got {shown(name)}"
            table.note(end if not donors else "use", expected)
            optional[f"{end}_donor"] = None
            continue
        place = names.index(name) if name else 0
        optional[f"{end}_donor"] = donors[place]
        if listed:
            others = (*donors[:place], *donors[place + 1 :])
            optional[f"{end}_others"] = Others(others, place)
    table.close()
    return optional


def _donor(table: Table, end: End, *, named: bool = False) -> Donor | None:
    if named and not table.values.get("name"):
        table.note("name", "missing; expected a name that tells it from the others")
    datum = table.table("datum")
    return read_record(
        table,
        Donor,
        datum=None if datum is None else read_record(datum, Datum),
        stretches=all_of(read_record(item, Stretch) for item in table.tables("stretch")),
        cut_twice=table.flag("cut_twice", default=CUT_TWICE[end]),
        steel=_steel(table, DEFAULT_STEEL),
    )


def _splice(table: Table) -> Splice | None:
    given: dict[str, Any] = {}
    butt = table.table("butt", optional=True)
    if butt is not None:
        given["butt"] = read_record(butt, Butt)
    sleeve = table.table("sleeve", optional=True)
    if sleeve is not None:
        given["sleeve"] = read_record(sleeve, Sleeve, steel=_steel(sleeve, DEFAULT_SLEEVE_STEEL))
    return read_record(table, Splice, skip=("butt", "sleeve"), **given)


def _steel(table: Table, default: Steel) -> Steel | None:
    if not table.has("steel"):
        return default
    value = table.values["steel"]
    if isinstance(value, dict):
        own = Table(value, table.key("steel"), table.problems)
        return read_record(own, Steel, skip=("typical",), source=GIVEN_STEEL)
    if not isinstance(value, str):
        table.note("steel", f"{STEEL_EXPECTED}, got {shown(value)}")
        return None
    try:
        return steel_named(value)
    except InvalidInput as error:
        table.note("steel", error.problems[0].message)
        return None


def plain_making(making: Making) -> Plain:
    """The making tables of a side, keyed as in the file; what is left out has no key."""
    content: Plain = {}
    donors = _plain_donors(making)
    if making.finished_length is not None:
        content["finished_length"] = number(making.finished_length)
    if making.doubtful:
        content["doubtful"] = list(making.doubtful)
    if donors:
        content["donors"] = donors
    if making.splice is not None:
        content["splice"] = _plain_splice(making.splice)
    for key, rows in (("runout", making.runout), ("trial", making.trial)):
        if rows:
            content[key] = [plain_record(row) for row in rows]
    return content


def _plain_donors(making: Making) -> Plain:
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
    content = plain_record(donor, skip=("cut_twice", "datum", "stretches", "steel"))
    if donor.cut_twice != CUT_TWICE[end]:
        content["cut_twice"] = donor.cut_twice
    content |= _plain_steel(donor.steel, DEFAULT_STEEL)
    content["datum"] = plain_record(donor.datum)
    content["stretch"] = [plain_record(stretch) for stretch in donor.stretches]
    return content


def _plain_splice(splice: Splice) -> Plain:
    content = plain_record(splice, skip=("butt", "sleeve"))
    if splice.butt is not None:
        content["butt"] = plain_record(splice.butt)
    if splice.sleeve is not None:
        content["sleeve"] = plain_record(splice.sleeve, skip=("steel",)) | _plain_steel(
            splice.sleeve.steel, DEFAULT_SLEEVE_STEEL
        )
    return content


def _plain_steel(steel: Steel, default: Steel) -> Plain:
    if steel == default:
        return {}
    if steel in STEELS:
        return {"steel": steel.name}
    return {"steel": plain_record(steel, skip=("source",))}
