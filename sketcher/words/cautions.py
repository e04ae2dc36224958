"""The usual cautions, a line or two each, told where the danger is.

All of them are common practice, no source; local codes and a qualified welder or engineer
go before them.
"""

from __future__ import annotations

from sketcher.words.units import Unit

# Across numbers that are not known well enough.
NOT_SURE = "Not sure enough to cut by"
TRY_IT = "The car may differ from what was measured: try the length in it before anything is cut."
CODES = "Ask the inspection office before the first cut: some forbid welded shafts."
SPRING = (
    "A coil spring under load can kill: use a spring compressor, and axle stands on firm ground, "
    "never a jack alone."
)
HOSES = "Tie the knuckle up: brake hose and sensor lead must not carry it."
NEVER_HANGING = "Never run it with the wheels hanging."
ON_THE_CAR = (
    "Before welding or grinding on the car: battery off, high-voltage pack isolated by somebody "
    "qualified, fuel tank and lines shielded, extinguisher ready."
)


def hose_gap(unit: Unit) -> str:
    """That a brake hose wants more room than metal does."""
    least = "6 mm" if unit == "mm" else '1/4"'
    return f"A brake hose swells and swings: it wants more than {least}."
