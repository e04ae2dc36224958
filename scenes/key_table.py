"""Every key of the scene file, once: its name for people, unit, range, help and what it feeds.

Reading, refusals, fields and the sentences about a key take their words from here.  A key
stands under the table that holds it; ``*`` is a side or an end, ``[]`` any place in a list.
"""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from kinematics.linkage.bodies import Arm, StrutTube
from kinematics.making.donors import Datum, Donor, Stretch
from kinematics.making.lathe import Lathe
from kinematics.making.splice import Butt, Sleeve, Splice
from kinematics.making.steels import Steel
from kinematics.making.straightness import Runout
from kinematics.making.torque import Drive
from kinematics.parts import (
    Bracket,
    GearboxMovement,
    Hub,
    InnerJoint,
    MeasuredPosition,
    OuterJoint,
    Section,
    Shaft,
    Steering,
    Strut,
    Travel,
    Wishbones,
)
from kinematics.shaft.placement import MountRoom
from kinematics.sure.readings import Mark, Reading
from kinematics.sure.tape import Tape, TapeError
from kinematics.sure.trial import TrialMeasurement
from scenes.making import Making
from scenes.photo import Photo

ANY, ABOVE_0, FROM_0 = "(-inf, inf)", "(0, inf)", "[0, inf)"
_PLACE = re.compile(r"\[\d*\]")


@dataclass(frozen=True, slots=True)
class Key:
    """What a key means.

    ``unit`` is empty for words and plain numbers; ``about`` says of what ("from mid-stroke
    to bottoming").  ``within`` is an interval: square brackets hold their ends.  ``part`` is
    the class of the mechanics that it feeds, and ``field`` its field there.  ``form`` says
    how its value is written where the field's type does not tell.
    """

    path: str
    part: type
    unit: str = ""
    about: str = ""
    within: str = ANY
    name: str = ""
    help: str = ""
    form: str = ""
    of: str = ""

    @property
    def word(self) -> str:
        """Its own word in the file."""
        return self.path.rpartition(".")[2].removesuffix("[]")

    @property
    def field(self) -> str:
        """The field of the part."""
        return self.of or {"from": "from_"}.get(self.word, self.word)

    @property
    def held(self) -> tuple[Any, tuple[Any, ...], object]:
        """What the field holds where it holds something, of what that is made, and its default."""
        default = next(one.default for one in fields(self.part) if one.name == self.field)
        return *held_by(type_hints(self.part)[self.field]), default

    @property
    def expected(self) -> str:
        """What is expected of the number: "mm from mid-stroke to bottoming"."""
        return " ".join(word for word in (self.unit, self.about) if word)

    @property
    def bounds(self) -> tuple[float, float]:
        """The ends of the range."""
        low, high = self.within[1:-1].split(", ")
        return float(low), float(high)

    def holds(self, value: float) -> bool:
        """Whether a number is in the range."""
        low, high = self.bounds
        return (low <= value if self.within[0] == "[" else low < value) and (
            value <= high if self.within[-1] == "]" else value < high
        )


@cache
def type_hints(part: type) -> Mapping[str, Any]:
    """The types of a part's fields."""
    # Annotations are kept as text and compiled at each look.
    return typing.get_type_hints(part)


def held_by(hint: Any) -> tuple[Any, tuple[Any, ...]]:
    """What a field of this type holds where it holds something, and of what that is made."""
    if isinstance(hint, types.UnionType) or typing.get_origin(hint) is typing.Union:
        hint = next(one for one in typing.get_args(hint) if one is not types.NoneType)
    return typing.get_origin(hint) or hint, typing.get_args(hint)


def general(path: str) -> str:
    """A path with every side, end and place left open.

    >>> general("shafts.left.donors.hub.stretch[2].from")
    'shafts.*.donors.*.stretch[].from'
    """
    path = re.sub(r"(?<=\.donors\.)(hub|gearbox)(\[\d*\])?", "*", path)
    path = re.sub(r"^shafts\.(left|right)\b", "shafts.*", path)
    return _PLACE.sub("[]", path)


def key_of(path: str) -> Key | None:
    """What the key at a path means; None where the table has none of it.

    >>> key_of("shafts.right.inner_joint.stroke_in").expected
    'mm from mid-stroke to bottoming'
    """
    whole = general(path)
    # A place in a point is one of its coordinates, and means what the point does.
    return all_keys().get(whole) or all_keys().get(whole.removesuffix("[]"))


def named(path: str) -> str:
    """A key as a person would say it; its own word with spaces where the table has none."""
    key = key_of(path)
    if key is not None and key.name:
        return key.name
    return _PLACE.sub("", path).rpartition(".")[2].replace("_", " ")


@cache
def all_keys() -> Mapping[str, Key]:
    """Every key by its path."""
    found = {}
    for table, part, rows in _TABLES:
        for word, *words in rows:
            path = f"{table}.{word}"
            found[path] = Key(path, part, *words)
    return found


@cache
def keys_of(part: type) -> Mapping[str, Key]:
    """The keys that feed a part, by its fields; in the order of the table."""
    return {key.field: key for key in all_keys().values() if key.part is part}


_ALONG = "along the axis"
_SHAFT = "from the outer joint's centre"
_DONOR = "from the joint's centre towards the bar"
_POINT = ("mm", "[out, up] or [out, up, fore]", ANY)
_GAP = ("wanted_gap", "mm", "", FROM_0, "wanted gap",
        "The least gap you accept; more beside rubber and hot parts.")  # fmt: skip
_DEPTH = (
    "fore",
    "mm",
    "[rear, front]",
    ANY,
    "depth",
    (
        "Its extent in fore, rear to front, such as -30 to 40; empty for every depth, the "
        "safe reading."
    ),
)
_SECTION = (
    ("name", "", "", ANY, "name", "What you call it.", "label"),
    ("from", "mm", _ALONG, ANY, "from", "Where it begins."),
    ("to", "mm", _ALONG, ANY, "to", "Where it ends."),
    (
        "diameter",
        "mm",
        "or [d_from, d_to] for a taper",
        FROM_0,
        "diameter",
        "Diameter, or two for a taper: 84 to 34.",
        "taper",
    ),
)

_Row = tuple[str, ...]
_TABLES: tuple[tuple[str, type, tuple[_Row, ...]], ...] = (
    ("linkage", Strut, (
        ("arm_pivot", *_POINT, "arm pivot",
         "Centre of the arm's inner bush: the axis that the arm swings about."),
        ("ball_joint", *_POINT, "ball joint", "Centre of the ball at the arm's outer end."),
        ("strut_top", *_POINT, "strut top", "Centre of the top mount's bearing."),
        ("strut_lower", *_POINT, "strut lower",
         "Any point low down on the axis that the strut slides along."),
    )),
    ("linkage", Wishbones, (
        ("lower_pivot", *_POINT, "lower pivot", "Centre of the lower arm's inner bush."),
        ("lower_ball_joint", *_POINT, "lower ball joint",
         "Centre of the ball at the lower arm's outer end."),
        ("upper_pivot", *_POINT, "upper pivot", "Centre of the upper arm's inner bush."),
        ("upper_ball_joint", *_POINT, "upper ball joint",
         "Centre of the ball at the upper arm's outer end."),
    )),
    ("linkage.position[]", MeasuredPosition, (
        ("travel", "mm", "above ride height, negative below", ANY, "travel",
         "Wheel travel at which it was taken: bump +, droop −."),
        ("outer_joint", *_POINT, "outer joint",
         "Centre of the outer joint: where its balls' plane meets the hub axis."),
        ("wheel_centre", *_POINT, "wheel centre", "Middle of the wheel, on the hub axis."),
    )),
    ("hub", Hub, (
        ("outer_joint", *_POINT, "outer joint",
         "Centre of the outer joint: where its balls' plane meets the hub axis."),
        ("wheel_centre", *_POINT, "wheel centre", "Middle of the wheel, on the hub axis."),
    )),
    ("travel", Travel, (
        ("bump", "mm", "above ride height", FROM_0, "full bump",
         "Wheel travel up from ride height."),
        ("droop", "mm", "below ride height", FROM_0, "full droop",
         "Wheel travel down from ride height."),
    )),
    ("steering", Steering, (
        ("inside_lock", "degrees", "", "[0, 90)", "inside lock",
         "Steer angle of the wheel on the inside of the turn, at full lock."),
        ("outside_lock", "degrees", "", "[0, 90)", "outside lock",
         "Steer angle of the wheel on the outside of the turn, at full lock."),
    )),
    ("gearbox.movement", GearboxMovement, tuple(
        (axis, "mm", "each way", FROM_0, f"gearbox movement, {axis}",
         "How far the outputs move on the mounts, each way.")
        for axis in ("out", "up", "fore")
    )),
    ("gearbox.placement", MountRoom, (
        ("out", "mm", "each way, or [least, most]", ANY, "gearbox room, sideways",
         ("How far the tacked mounts may be shifted sideways: one length each way, or two, "
          "+ towards the car's left, such as -4 to 8."), "each_way", "lateral"),
        ("up", "mm", "each way, or [least, most]", ANY, "gearbox room, up",
         ("How far the tacked mounts may be shifted up and down: one length each way, or "
          "two, such as -4 to 8."), "each_way"),
    )),
    ("photo", Photo, (
        ("file", "", "", ANY, "photo", "The name of a picture beside the scene."),
        ("pins", "", "[pixel x, pixel y, out, up]", ANY, "pins",
         "Where points of the picture lie in the front view.", "pins"),
        ("opacity", "", "from 0 to 1", "(0, 1]", "opacity", "How strongly it is painted."),
    )),
    ("shafts.*", Shaft, (
        ("length", "mm", "between joint centres", ABOVE_0, "length",
         "Between joint centres. Empty while undecided: then the ride-centred length is used."),
    )),
    ("shafts.*", Making, (
        ("finished_length", "mm", "between joint centres", ABOVE_0, "finished length",
         "Measured between joint centres after welding; empty until then."),
        ("doubtful", "", "paths of points in the scene", ANY, "points that may move",
         "The points that may be moved, such as outer joint; empty: every point.", "names"),
    )),
    ("shafts.*.inner_joint", InnerJoint, (
        ("mid_stroke", *_POINT, "inner joint, mid-stroke",
         "Centre of the inner joint with its stroke half used."),
        ("axis", "", "[out, up] or [out, up, fore]", ANY, "housing axis",
         ("Direction of the housing axis, pointing outboard; its length does not "
         "matter. 1, 0, 0 is level and square to the car."), "direction"),
        ("stroke_in", "mm", "from mid-stroke to bottoming", FROM_0, "inner joint, stroke in",
         "From mid-stroke until the joint bottoms."),
        ("stroke_out", "mm", "from mid-stroke to pulling apart", FROM_0,
         "inner joint, stroke out", "From mid-stroke until it pulls apart."),
        ("max_angle", "degrees", "", "(0, 90)", "inner joint, largest angle",
         "The most that the inner joint may bend."),
        ("stroke_at_angle", "", "[angle in deg, stroke in, stroke out in mm]", ANY,
         "inner joint, stroke at angle",
         ("The usable stroke as the joint bends: rows of angle, stroke in, stroke out; "
         "empty where it does not shrink."), "rows"),
    )),
    ("shafts.*.outer_joint", OuterJoint, (
        ("max_angle", "degrees", "", "(0, 90)", "outer joint, largest angle",
         "The most that the outer joint may bend."),
    )),
    *((f"{table}.section[]", Section, _SECTION)
      for table in ("shafts.*", "shafts.*.inner_joint", "shafts.*.outer_joint")),
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
    ("shafts.*.trial[]", TrialMeasurement, (
        ("travel", "mm", "", ANY, "travel",
         "Wheel travel at which it was measured: bump +, droop −."),
        ("value", "mm", "", ANY, "value",
         ("Swept length with the inner joint at mid-stroke, or plunge from mid-stroke: "
         "+ pulled out.")),
        ("quantity", "", "", ANY, "quantity", "What was measured."),
        ("error", "mm", "", ABOVE_0, "error",
         "How far off it may be, each way; empty for a class II tape."),
        ("travel_error", "mm", "", FROM_0, "travel error", "How far off the travel may be."),
        ("spread", "", "", ANY, "spread", "Whether errors are limits or standard deviations."),
        ("steer", "degrees", "", ANY, "steer", "Steer angle at which it was measured."),
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
    ("tape", Tape, (
        ("limit", "mm", "each way", FROM_0, "tape error",
         ("How far off a measured point may be, each way. Empty: a class II tape laid to a "
          "surface, 0.7 mm up to 1 m.")),
    )),
    ("tape.error[]", TapeError, (
        ("thing", "", "", ANY, "thing", "What was measured."),
        ("size", "mm", "each way, or [out, up, fore]", FROM_0, "error",
         "How far off this one may be, each way: one length, or out; up; fore.", "sizes"),
        ("spread", "", "", ANY, "spread", "Whether it is a limit or a standard deviation."),
    )),
    ("strut_tube", StrutTube, (
        ("diameter", "mm", "", ABOVE_0, "tube diameter", "Outside, where the shaft may meet it."),
        ("from", "mm", "from strut_lower towards strut_top", ANY, "tube from", "Where it begins."),
        ("to", "mm", "from strut_lower towards strut_top", ANY, "tube to", "Where it ends."),
        _GAP,
    )),
    ("arm", Arm, (
        ("above", "mm", "above the line from pivot to ball joint", ANY, "above",
         "How far the arm stands above its line."),
        ("below", "mm", "below the line from pivot to ball joint", ANY, "below",
         "How far the arm stands below its line."),
        _DEPTH,
        _GAP,
    )),
    ("bracket[]", Bracket, (
        ("name", "", "", ANY, "name", "What you call it."),
        ("mounted_on", "", "", ANY, "mounted on",
         "What it moves with: body, arm, knuckle or gearbox."),
        ("outline", "mm", "[[out, up], …]", ANY, "outline", "Its corners in the front view.",
         "outline"),
        _DEPTH,
        _GAP,
    )),
    ("mark[]", Mark, (
        ("name", "", "", ANY, "name", "What you call it."),
        ("at", *_POINT, "at", "Roughly where it is."),
    )),
    ("reading[]", Reading, (
        *((kind, unit, about, ANY, kind, "What was read.", "", "value") for kind, unit, about in (
            ("distance", "mm", "between two points"),
            ("rise", "mm", "up of the second point less that of the first"),
            ("slope", "degrees", "above horizontal, from the first point to the second"),
            ("up", "mm", "above the floor"),
            ("out", "mm", "from the centreline"),
            ("fore", "mm", "forward of the plumb line"),
            ("across", "mm", "to the same point on the other side of the car"),
        )),
        ("error", "", "the limit each way", ABOVE_0, "error", "How far off it may be."),
        ("travel", "mm", "above ride height, negative below", ANY, "travel",
         "Wheel travel at which it was taken: bump +, droop −."),
        ("steer", "degrees", "", ANY, "steer", "Steer angle at which it was taken."),
    )),
)  # fmt: skip
