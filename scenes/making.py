"""What the scene file says about making one side's shaft: donors, splice, trial fit, readings.

Its keys stand in :mod:`scenes.making_keys`, and nearly all of them in the example van-front-making.
"""

from __future__ import annotations

from dataclasses import dataclass

from kinematics.errors import require
from kinematics.making.donors import ENDS, Donor, End
from kinematics.making.splice import SLEEVE, Splice, sleeve_section
from kinematics.making.straightness import Runout
from kinematics.parts import Section, Shaft
from kinematics.sure.trial import TrialMeasurement


@dataclass(frozen=True, slots=True)
class Others:
    """The donors of an end that are not used, and which place in the list the used one has.

    ``place`` None: the file has a single table for the end and no list.
    """

    donors: tuple[Donor, ...] = ()
    place: int | None = None


NO_OTHERS = Others()
DONOR_FIELDS = ("hub_donor", "gearbox_donor", "hub_others", "gearbox_others")


@dataclass(frozen=True, slots=True)
class Making:
    """How one side's shaft is made and what was measured of it; all of it optional.

    ``hub_donor`` and ``gearbox_donor`` are the ones that are used.
    ``doubtful`` names the points, by their path in the scene, that a trial fit may move;
    none named: all of them.  ``finished_length`` was measured after welding, mm.
    Raises InvalidInput for a finished length that is none, and for listed donors without a
    name of their own.
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
        length = self.finished_length is None or self.finished_length > 0.0
        require((length, "finished_length", "mm between joint centres, above 0"))
        for end in ENDS:
            names = [donor.name for donor in self.donors(end)]
            told = self._of(end)[1].place is None or len({*names} - {""}) == len(names)
            require((told, f"donors.{end}", "a name of its own for each donor of the list"))

    def donors(self, end: End) -> tuple[Donor, ...]:
        """Every donor of an end, in the order of the file."""
        used, others = self._of(end)
        if used is None:
            return ()
        place = others.place or 0
        return (*others.donors[:place], used, *others.donors[place:])

    def _of(self, end: End) -> tuple[Donor | None, Others]:
        return getattr(self, f"{end}_donor"), getattr(self, f"{end}_others")

    def sleeve_on(self, shaft: Shaft) -> Section | None:
        """The sleeve as a piece of the shaft's outline, unless it is drawn there already."""
        if self.splice is None or any(section.name == SLEEVE for section in shaft.sections):
            return None
        return sleeve_section(self.splice)

    def outlined(self, shaft: Shaft) -> tuple[Section, ...]:
        """The shaft's outline with the sleeve on it."""
        sleeve = self.sleeve_on(shaft)
        return shaft.sections if sleeve is None else (*shaft.sections, sleeve)
