"""The keys about making the shaft: donors, splice, runout, drive, lathe."""

from __future__ import annotations

from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.lathe import Lathe
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import Steel
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from scenes.key import Tables

_SHAFT = "from the outer joint's centre"
_DONOR = "from the joint's centre towards the bar"

MAKING_TABLES: Tables = (
    ("shafts.*.donors.*", Donor, (
        ("name", "What tells it from the others of its end."),
        ("usable_to", "How far from the joint's centre its bar is sound.", "mm", _DONOR),
        ("cut_twice", "Whether a wrong cut could be made good: a second one."),
        ("joint_comes_off", "Whether the joint can be taken off."),
        ("steel", "or name and yield: own bar, 400 MPa."),
    )),
    ("shafts.*.donors.*.datum", Datum, (
        ("name", "Something that a tape can be held against; + towards the bar.", "", "", "datum"),
        ("at", "Something that a tape can be held against; + towards the bar.", "mm", _DONOR,
         "datum at"),
    )),
    ("shafts.*.donors.*.stretch[]", Stretch, (
        ("name", "What you call it."),
        ("from", "Where the donor's first stretch begins.", "mm", _DONOR),
        ("to", "Where it ends and the next one begins.", "mm", _DONOR),
        ("diameter", "Outside diameter.", "mm"),
        ("kind", "only a bar may be cut, welded and sleeved."),
        ("root",
         ("Diameter at the bottom of a groove or spline, which carries the torque: type it "
          "before the kind; empty for a plain bar."), "mm"),
        ("radius", "Of its fillets or its groove.", "mm"),
    )),
    *((f"shafts.*.{holder}.steel", Steel, (
        ("name", "What it is called.", "", "", "steel"),
        ("yield_strength", "As its certificate says.", "MPa"),
        ("largest", "Thicker bar yields earlier.", "mm", "of bar that it holds for", "largest bar"),
        ("normalised", "Beside a weld it is no better than that.", "MPa",
         "that it yields at normalised", "yield normalised"),
    )) for holder in ("donors.*", "splice.sleeve")),
    ("shafts.*.splice", Splice, (
        ("at", "Middle of the gap between the bars' faces.", "mm", _SHAFT),
        ("root_gap", "Between the faces before welding.", "mm"),
        ("shrinkage", "What welding takes off: a test piece tells.", "mm"),
        ("diameter", "What both bars are turned to; empty for as thick as both allow.", "mm"),
        ("trim", "Left on the end that is cut last.", "mm"),
        ("clear", "Kept between welds and what heat would spoil.", "mm"),
        ("turn_radius", "At the end of what is turned.", "mm"),
        ("filler_yield", "Of the welding wire.", "MPa"),
        ("heat_treated_after", "Whether the whole shaft is heat treated again after welding."),
    )),
    ("shafts.*.splice.butt", Butt, (
        ("bevel_angle", "Of each side, from square.", "degrees", "from square"),
        ("bevel_depth", "From the surface; empty for all the metal.", "mm"),
        ("spigot_length", "How far it sticks out of the face.", "mm"),
        ("bore", "Of the other bar, which takes the spigot.", "mm"),
        ("spigot_on", "Hub or gearbox."),
        ("spigot_clearance", "Bore less spigot, in diameter.", "mm"),
    )),
    ("shafts.*.splice.sleeve", Sleeve, (
        ("length", "End to end.", "mm"),
        ("bore", "Slides over both bars.", "mm"),
        ("outside_diameter", "Counts in the gaps to brackets.", "mm"),
        ("at", "Its middle, from the outer joint's centre; empty for over the splice.", "mm",
         _SHAFT),
        ("fit_clearance", "Bore less bars, in diameter.", "mm"),
        ("split", "Laid round the bars in halves: yes or no."),
        ("leg", "Of the fillet weld at each end, up to the wall; empty for 5 mm or the wall.",
         "mm"),
        ("steel", "or name and yield: own bar, 400 MPa."),
    )),
    ("shafts.*.runout[]", Runout, (
        ("at", "From the outer joint's centre.", "mm", _SHAFT),
        ("tir", "Largest less smallest reading.", "mm", "", "total"),
        ("high_at", "Degrees round the shaft from any mark; empty where not noted.", "degrees",
         "round the shaft"),
    )),
    ("drive", Drive, (
        ("engine_torque", "At its most.", "N·m", "at its most"),
        ("gear", "Ratio of the lowest gear that is used.", "", "ratio of the lowest gear"),
        ("final_drive", "Ratio.", "", "ratio"),
        ("wheel_load", "On this wheel, laden, as scales show it.", "kg", "on this wheel, laden"),
        ("tyre_radius", "Floor to wheel centre.", "mm", "from floor to wheel centre"),
        ("top_speed", "As fast as it will be driven.", "km/h"),
        ("differential_split", "Its share: 0.5 open, 1 where one can take all.", "",
         "share of this shaft"),
        ("shock_factor", "A dropped clutch or a sudden motor: 2 is common.", "", "1 or more"),
        ("grip", "Friction of the tyre: 1 on a dry road.", "", "coefficient of friction"),
    )),
    ("lathe", Lathe, (
        ("between_centres", "The longest that it takes.", "mm"),
        ("swing", "The largest diameter over the bed.", "mm"),
        ("swing_over_carriage", "The largest diameter over the carriage.", "mm"),
        ("spindle_bore", "What goes through the headstock.", "mm"),
    )),
)  # fmt: skip
