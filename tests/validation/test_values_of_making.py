"""Every figure that the making of a shaft rests on, with where it comes from.

"memory": the page was not seen.  "common practice": no source.
"""

from __future__ import annotations

import math

import pytest

from kinematics.making import (
    by_hand,
    cut_plan,
    planning,
    refusals,
    splice,
    steels,
    strength,
    torque,
)
from kinematics.making.balance import USUAL_TIR_LIMIT_MM, FinishedLength
from kinematics.making.donors import Stretch
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import STEELS, steel_named
from kinematics.making.whirl import WANTED_WHIRL_RATIO
from scenes.donors import CUT_TWICE

# Steel, its yield strength, what is left beside a weld (None: not known), up to which size.
EN_10083_2 = "EN 10083-2, table of mechanical properties (memory)"
EN_10083_3 = "EN 10083-3, quenched and tempered, 16 to 40 mm (memory)"
SHIGLEY = "Shigley, Mechanical Engineering Design, 9th ed., table A-20, 19 to 32 mm (memory)"
GRADES: tuple[tuple[str, float, float | None, float, str], ...] = (
    ("C45 normalised", 305, 305, 100, EN_10083_2),
    ("C45 quenched and tempered", 430, 305, 40, EN_10083_2),
    ("SAE 1020 hot rolled", 210, 210, 31.75, SHIGLEY),
    ("SAE 1020 cold drawn", 390, 210, 31.75, SHIGLEY),
    ("SAE 1040 hot rolled", 290, 290, 31.75, SHIGLEY),
    ("SAE 1040 cold drawn", 490, 290, 31.75, SHIGLEY),
    ("SAE 1045 hot rolled", 310, 310, 31.75, SHIGLEY),
    ("SAE 1045 cold drawn", 530, 310, 31.75, SHIGLEY),
    ("25CrMo4 quenched and tempered", 600, None, 40, EN_10083_3),
    ("34CrMo4 quenched and tempered", 650, None, 40, EN_10083_3),
    ("41Cr4 quenched and tempered", 660, None, 40, EN_10083_3),
    ("42CrMo4 quenched and tempered", 750, None, 40, EN_10083_3),
    ("34CrNiMo6 quenched and tempered", 900, None, 40, EN_10083_3),
    ("SAE 4130 normalised", 435, 435, 25.4, "ASM Metals Handbook, typical, 1 in (memory)"),
    ("S355J2", 345, 345, 40, "EN 10025-2, 16 to 40 mm (memory)"),
    ("E235 tube, normalised", 235, 235, 100, "EN 10305-1, +N (memory)"),
    ("E355 tube, normalised", 355, 355, 100, "EN 10305-1, +N (memory)"),
)

VALUES: tuple[tuple[str, float, float, str], ...] = (
    ("shear modulus, GPa", steels.SHEAR_MODULUS_GPA, 79.3, "Shigley 9e table A-5 (memory)"),
    ("Young's modulus, GPa", steels.YOUNGS_MODULUS_GPA, 207.0, "Shigley 9e table A-5 (memory)"),
    ("density, kg/m³", steels.DENSITY_KG_PER_M3, 7850.0, "EN 1991-1-1 table A.4 (memory)"),
    ("filler yield, MPa", steels.FILLER_YIELD_MPA, 400.0, "AWS A5.18 ER70S-6, 58 ksi (memory)"),
    ("yield in shear", steels.SHEAR_YIELD_RATIO, 0.57735, "von Mises, 1/√3"),
    ("gravity, m/s²", torque.STANDARD_GRAVITY, 9.80665, "ISO 80000-3"),
    ("shock factor", torque.DEFAULT_SHOCK_FACTOR, 2.0, "common practice"),
    ("grip", torque.DEFAULT_GRIP, 1.0, "common practice"),
    ("factor of safety", strength.DEFAULT_WANTED_FACTOR, 1.5, "common practice"),
    ("whirl over top speed", WANTED_WHIRL_RATIO, 2.0, "Shigley 9e, 7-6 (memory)"),
    ("usual runout, mm", USUAL_TIR_LIMIT_MM, 0.1524, "common practice, 0.006 in"),
    ("saw, mm", by_hand.SAW_MM, 0.5, "common practice"),
    ("lathe, mm", by_hand.LATHE_MM, 0.05, "common practice"),
    ("angle gauge, degrees", by_hand.GAUGE_DEG, 0.5, "common practice"),
    ("trim, mm", splice.DEFAULT_TRIM, 3.0, "common practice"),
    ("kept clear, mm", splice.DEFAULT_CLEAR, 10.0, "common practice"),
    ("fillet leg, mm", splice.DEFAULT_LEG, 5.0, "common practice"),
    ("bore beyond its spigot, mm", cut_plan.BORE_BEYOND, 1.0, "common practice"),
    ("turned beyond the welds, mm", planning.TURN_BEYOND, 2.0, "common practice"),
    ("looked at near the splice, mm", planning.NEAR_SPLICE, 15.0, "common practice"),
    ("loosest sleeve, mm", refusals.LOOSEST_FIT, 0.5, "common practice"),
    ("room to weld in, mm", refusals.WELDING_ROOM, 30.0, "common practice"),
    ("bevel, degrees", Butt().bevel_angle, 30.0, "ISO 9692-1, V of 60° in all (memory)"),
    ("spigot's clearance, mm", Butt().spigot_clearance, 0.05, "common practice"),
    ("sleeve's clearance, mm", Sleeve(9, 25, 35).fit_clearance, 0.05, "common practice"),
    ("radius that is turned, mm", Splice(9, Butt()).turn_radius, 1.0, "common practice"),
    ("radius at a stretch, mm", Stretch("s", 0, 9, 25).radius, 1.0, "common practice"),
    ("length measured to, mm", FinishedLength(9, 8, 10).within_mm, 0.5, "tape, class II"),
)  # fmt: skip


@pytest.mark.parametrize(("name", "value", "right", "source"), VALUES, ids=[v[0] for v in VALUES])
def test_a_figure_is_its_sources(name: str, value: float, right: float, source: str) -> None:
    assert value == pytest.approx(right, rel=1e-5), f"{name}: {source}"


@pytest.mark.parametrize("row", GRADES, ids=[row[0] for row in GRADES])
def test_a_steel_is_its_grade_tables(row: tuple[str, float, float | None, float, str]) -> None:
    name, strength_mpa, softened, largest, source = row
    steel = steel_named(name)
    assert steel.yield_strength == strength_mpa, source
    assert steel.beside_weld_mpa == softened, source
    assert steel.largest == largest, source
    assert steel.shear_yield_mpa == pytest.approx(strength_mpa / math.sqrt(3))
    assert steel.typical == ("typical" in source)
    assert "memory" in steel.source


def test_every_steel_stands_in_the_table() -> None:
    assert [steel.name for steel in STEELS] == [row[0] for row in GRADES]
    assert steels.DEFAULT_STEEL.name == "C45 normalised"
    assert steels.DEFAULT_SLEEVE_STEEL.name == "E355 tube, normalised"


def test_hub_ends_are_the_ones_that_are_hard_to_find_again() -> None:
    assert CUT_TWICE == {"hub": False, "gearbox": True}
