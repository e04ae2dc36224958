"""Steels that donor shafts and sleeves are made of, and what they bear before they yield.

The figures are the least yield strengths of grade tables, for bars up to the size
that stands with them.  ``memory`` in a source means that its page was not seen
when the figure was put here: check it against the certificate of the bar.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from kinematics.errors import Check, invalid
from kinematics.part import Part

# Maximum distortion energy (von Mises): yield in pure shear over yield in tension.
SHEAR_YIELD_RATIO = 1.0 / math.sqrt(3.0)
YOUNGS_MODULUS_GPA = 207.0
SHEAR_MODULUS_GPA = 79.3
DENSITY_KG_PER_M3 = 7850.0
# Least yield of the weld metal of common mild-steel wire, AWS A5.18 ER70S-6 (memory): 58 ksi.
FILLER_YIELD_MPA = 400.0


@dataclass(frozen=True, slots=True)
class Steel(Part):
    """A steel in one condition: yield strength in MPa, for bars up to ``largest`` mm.

    ``normalised``: what the same steel yields at normalised, MPa, which is what is left of it
    beside a weld; None where its grade table does not tell.  ``typical``: measured on average,
    where the others are the least that the grade promises.
    """

    name: str
    yield_strength: float
    source: str
    largest: float = 100.0
    normalised: float | None = None
    typical: bool = False

    @property
    def beside_weld_mpa(self) -> float | None:
        """Yield strength where welding has heated it; None where that is not known."""
        return None if self.normalised is None else min(self.normalised, self.yield_strength)

    @property
    def shear_yield_mpa(self) -> float:
        """Shear stress at which it yields, MPa, after von Mises."""
        return self.yield_strength * SHEAR_YIELD_RATIO

    def _checks(self) -> Iterable[Check]:
        yield self.yield_strength > 0, "yield_strength", "MPa above 0"
        yield self.largest > 0, "largest", "mm above 0"
        yield self.normalised is None or self.normalised > 0, "normalised", "MPa above 0"


_EN_10083_3 = "EN 10083-3, 16 to 40 mm (memory)"
_EN_10083_3_LARGEST = 40.0
_SHIGLEY = "Shigley 9e table A-20, 3/4 to 1 1/4 in (memory)"
_SHIGLEY_LARGEST = 31.75
_ASM = "ASM Metals Handbook vol. 1, 1 in (memory)"


def _hardened(name: str, yield_strength: float) -> Steel:
    # EN 10083-3 gives these quenched and tempered alone.
    return Steel(f"{name} quenched and tempered", yield_strength, _EN_10083_3, _EN_10083_3_LARGEST)


def _sae(name: str, hot_rolled: float, cold_drawn: float) -> tuple[Steel, Steel]:
    # Hot rolled has cooled in air from red heat, as normalised has.
    return (
        Steel(f"{name} hot rolled", hot_rolled, _SHIGLEY, _SHIGLEY_LARGEST, hot_rolled),
        Steel(f"{name} cold drawn", cold_drawn, _SHIGLEY, _SHIGLEY_LARGEST, hot_rolled),
    )


STEELS: tuple[Steel, ...] = (
    Steel("C45 normalised", 305.0, "EN 10083-2, 16 to 100 mm (memory)", 100.0, 305.0),
    Steel("C45 quenched and tempered", 430.0, "EN 10083-2, 16 to 40 mm (memory)", 40.0, 305.0),
    *_sae("SAE 1020", 210.0, 390.0),
    *_sae("SAE 1040", 290.0, 490.0),
    *_sae("SAE 1045", 310.0, 530.0),
    _hardened("25CrMo4", 600.0),
    _hardened("34CrMo4", 650.0),
    _hardened("41Cr4", 660.0),
    _hardened("42CrMo4", 750.0),
    _hardened("34CrNiMo6", 900.0),
    Steel("SAE 4130 normalised", 435.0, _ASM, 25.4, 435.0, typical=True),
    Steel("S355J2", 345.0, "EN 10025-2, 16 to 40 mm (memory)", 40.0, 345.0),
    Steel("E235 tube, normalised", 235.0, "EN 10305-1 (memory)", normalised=235.0),
    Steel("E355 tube, normalised", 355.0, "EN 10305-1 (memory)", normalised=355.0),
)

# An unknown donor is read as the weakest that it is likely to be; welding takes hardening out.
DEFAULT_STEEL = STEELS[0]
DEFAULT_SLEEVE_STEEL = STEELS[-1]


def steel_named(name: str) -> Steel:
    """The steel of that name, upper or lower case.

    Raises InvalidInput with the names most like it; with all of them where none is.
    """
    asked = " ".join(name.split())
    for steel in STEELS:
        if steel.name.casefold() == asked.casefold():
            return steel
    # Only a refusal asks for it.
    from difflib import get_close_matches  # noqa: PLC0415

    names = [steel.name for steel in STEELS]
    near = get_close_matches(asked, names)
    wanted = f"a steel that is known, such as {' or '.join(near)}" if near else ""
    wanted = wanted or f"one of {', '.join(names)}"
    raise invalid("steel", f"expected {wanted}, got {asked[:40]}")
