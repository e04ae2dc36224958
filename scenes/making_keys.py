"""The keys about making the shaft: donors, splice, runout, drive, lathe."""

from __future__ import annotations

from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.lathe import Lathe
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import Steel
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from scenes.key import ABOVE_0, ANY, FROM_0, Tables

_SHAFT = "from the outer joint's centre"
_DONOR = "from the joint's centre towards the bar"

MAKING_TABLES: Tables = (
    ("shafts.*.donors.*", Donor, (
        ("name", "", "", ANY, "name", "What tells it from the others of its end."),
        ("usable_to", "mm", _DONOR, ABOVE_0, "usable to",
         "How far from the joint's centre its bar is sound."),
        ("cut_twice", "", "", ANY, "cut twice",
         "Whether a wrong cut could be made good: a second one."),
        ("joint_comes_off", "", "", ANY, "joint comes off", "Whether the joint can be taken off."),
        ("steel", "", "", ANY, "steel", "or name and yield: own bar, 400 MPa."),
    )),
    ("shafts.*.donors.*.datum", Datum, (
        ("name", "", "", ANY, "datum",
         "Something that a tape can be held against; + towards the bar."),
        ("at", "mm", _DONOR, ANY, "datum at",
         "Something that a tape can be held against; + towards the bar."),
    )),
    ("shafts.*.donors.*.stretch[]", Stretch, (
        ("name", "", "", ANY, "name", "What you call it."),
        ("from", "mm", _DONOR, FROM_0, "from", "Where the donor's first stretch begins."),
        ("to", "mm", _DONOR, ABOVE_0, "to", "Where it ends and the next one begins."),
        ("diameter", "mm", "", ABOVE_0, "diameter", "Outside diameter."),
        ("kind", "", "", ANY, "kind", "only a bar may be cut, welded and sleeved."),
        ("root", "mm", "", ABOVE_0, "root",
         ("Diameter at the bottom of a groove or spline, which carries the torque: type it "
         "before the kind; empty for a plain bar.")),
        ("radius", "mm", "", ABOVE_0, "radius", "Of its fillets or its groove."),
    )),
    *((f"shafts.*.{holder}.steel", Steel, (
        ("name", "", "", ANY, "steel", "What it is called."),
        ("yield_strength", "MPa", "", ABOVE_0, "yield strength", "As its certificate says."),
        ("largest", "mm", "of bar that it holds for", ABOVE_0, "largest bar",
         "Thicker bar yields earlier."),
        ("normalised", "MPa", "that it yields at normalised", ABOVE_0, "yield normalised",
         "Beside a weld it is no better than that."),
    )) for holder in ("donors.*", "splice.sleeve")),
    ("shafts.*.splice", Splice, (
        ("at", "mm", _SHAFT, ABOVE_0, "at", "Middle of the gap between the bars' faces."),
        ("root_gap", "mm", "", FROM_0, "root gap", "Between the faces before welding."),
        ("shrinkage", "mm", "", FROM_0, "shrinkage",
         "What welding takes off: a test piece tells."),
        ("diameter", "mm", "", ABOVE_0, "diameter",
         "What both bars are turned to; empty for as thick as both allow."),
        ("trim", "mm", "", FROM_0, "trim", "Left on the end that is cut last."),
        ("clear", "mm", "", ANY, "clear", "Kept between welds and what heat would spoil."),
        ("turn_radius", "mm", "", ABOVE_0, "turn radius", "At the end of what is turned."),
        ("filler_yield", "MPa", "", ABOVE_0, "filler yield", "Of the welding wire."),
        ("heat_treated_after", "", "", ANY, "heat treated after",
         "Whether the whole shaft is heat treated again after welding."),
    )),
    ("shafts.*.splice.butt", Butt, (
        ("bevel_angle", "degrees", "from square", "[0, 80)", "bevel angle",
         "Of each side, from square."),
        ("bevel_depth", "mm", "", ABOVE_0, "bevel depth",
         "From the surface; empty for all the metal."),
        ("spigot_length", "mm", "", FROM_0, "spigot length", "How far it sticks out of the face."),
        ("bore", "mm", "", FROM_0, "bore", "Of the other bar, which takes the spigot."),
        ("spigot_on", "", "", ANY, "spigot on", "Hub or gearbox."),
        ("spigot_clearance", "mm", "", FROM_0, "spigot clearance",
         "Bore less spigot, in diameter."),
    )),
    ("shafts.*.splice.sleeve", Sleeve, (
        ("length", "mm", "", ABOVE_0, "length", "End to end."),
        ("bore", "mm", "", ABOVE_0, "bore", "Slides over both bars."),
        ("outside_diameter", "mm", "", ABOVE_0, "outside diameter",
         "Counts in the gaps to brackets."),
        ("at", "mm", _SHAFT, ANY, "at",
         "Its middle, from the outer joint's centre; empty for over the splice."),
        ("fit_clearance", "mm", "", FROM_0, "fit clearance", "Bore less bars, in diameter."),
        ("split", "", "", ANY, "split", "Laid round the bars in halves: yes or no."),
        ("leg", "mm", "", ABOVE_0, "leg",
         "Of the fillet weld at each end, up to the wall; empty for 5 mm or the wall."),
        ("steel", "", "", ANY, "steel", "or name and yield: own bar, 400 MPa."),
    )),
    ("shafts.*.runout[]", Runout, (
        ("at", "mm", _SHAFT, ANY, "at", "From the outer joint's centre."),
        ("tir", "mm", "", FROM_0, "total", "Largest less smallest reading."),
        ("high_at", "degrees", "round the shaft", ANY, "high at",
         "Degrees round the shaft from any mark; empty where not noted."),
    )),
    ("drive", Drive, (
        ("engine_torque", "N·m", "at its most", ABOVE_0, "engine torque", "At its most."),
        ("gear", "", "ratio of the lowest gear", ABOVE_0, "gear",
         "Ratio of the lowest gear that is used."),
        ("final_drive", "", "ratio", ABOVE_0, "final drive", "Ratio."),
        ("wheel_load", "kg", "on this wheel, laden", ABOVE_0, "wheel load",
         "On this wheel, laden, as scales show it."),
        ("tyre_radius", "mm", "from floor to wheel centre", ABOVE_0, "tyre radius",
         "Floor to wheel centre."),
        ("top_speed", "km/h", "", ABOVE_0, "top speed", "As fast as it will be driven."),
        ("differential_split", "", "share of this shaft", "(0, 1]", "differential split",
         "Its share: 0.5 open, 1 where one can take all."),
        ("shock_factor", "", "1 or more", "[1, inf)", "shock factor",
         "A dropped clutch or a sudden motor: 2 is common."),
        ("grip", "", "coefficient of friction", ABOVE_0, "grip",
         "Friction of the tyre: 1 on a dry road."),
    )),
    ("lathe", Lathe, (
        ("between_centres", "mm", "", ABOVE_0, "between centres", "The longest that it takes."),
        ("swing", "mm", "", ABOVE_0, "swing", "The largest diameter over the bed."),
        ("swing_over_carriage", "mm", "", ABOVE_0, "swing over carriage",
         "The largest diameter over the carriage."),
        ("spindle_bore", "mm", "", ABOVE_0, "spindle bore", "What goes through the headstock."),
    )),
)  # fmt: skip
