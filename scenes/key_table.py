"""Every key of the scene file, once: its name for people, unit, range, help and what it feeds.

Reading, refusals, fields and the sentences about a key take their words from here.  A key
stands under the table that holds it; ``*`` is a side or an end, ``[]`` any place in a list.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from kinematics import parts
from kinematics.linkage.bodies import Arm, StrutTube
from kinematics.shaft.mount_room import MountRoom
from kinematics.sure.readings import Mark, Reading
from kinematics.sure.tape import Tape, TapeError
from kinematics.sure.trial import TrialMeasurement
from scenes.key import ABOVE_0, ANY, FROM_0, Key, Tables
from scenes.making import Making
from scenes.making_keys import MAKING_TABLES
from scenes.photo import Photo

_PLACE = re.compile(r"\[\d*\]")


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

_TABLES: Tables = (
    ("linkage", parts.Strut, (
        ("arm_pivot", *_POINT, "arm pivot",
         "Centre of the arm's inner bush: the axis that the arm swings about."),
        ("ball_joint", *_POINT, "ball joint", "Centre of the ball at the arm's outer end."),
        ("strut_top", *_POINT, "strut top", "Centre of the top mount's bearing."),
        ("strut_lower", *_POINT, "strut lower",
         "Any point low down on the axis that the strut slides along."),
    )),
    ("linkage", parts.Wishbones, (
        ("lower_pivot", *_POINT, "lower pivot", "Centre of the lower arm's inner bush."),
        ("lower_ball_joint", *_POINT, "lower ball joint",
         "Centre of the ball at the lower arm's outer end."),
        ("upper_pivot", *_POINT, "upper pivot", "Centre of the upper arm's inner bush."),
        ("upper_ball_joint", *_POINT, "upper ball joint",
         "Centre of the ball at the upper arm's outer end."),
    )),
    ("linkage.position[]", parts.MeasuredPosition, (
        ("travel", "mm", "above ride height, negative below", ANY, "travel",
         "Wheel travel at which it was taken: bump +, droop −."),
        ("outer_joint", *_POINT, "outer joint",
         "Centre of the outer joint: where its balls' plane meets the hub axis."),
        ("wheel_centre", *_POINT, "wheel centre", "Middle of the wheel, on the hub axis."),
    )),
    ("hub", parts.Hub, (
        ("outer_joint", *_POINT, "outer joint",
         "Centre of the outer joint: where its balls' plane meets the hub axis."),
        ("wheel_centre", *_POINT, "wheel centre", "Middle of the wheel, on the hub axis."),
    )),
    ("travel", parts.Travel, (
        ("bump", "mm", "above ride height", FROM_0, "full bump",
         "Wheel travel up from ride height."),
        ("droop", "mm", "below ride height", FROM_0, "full droop",
         "Wheel travel down from ride height."),
    )),
    ("steering", parts.Steering, (
        ("inside_lock", "degrees", "", "[0, 90)", "inside lock",
         "Steer angle of the wheel on the inside of the turn, at full lock."),
        ("outside_lock", "degrees", "", "[0, 90)", "outside lock",
         "Steer angle of the wheel on the outside of the turn, at full lock."),
    )),
    ("gearbox.movement", parts.GearboxMovement, tuple(
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
    ("shafts.*", parts.Shaft, (
        ("length", "mm", "between joint centres", ABOVE_0, "length",
         "Between joint centres. Empty while undecided: then the ride-centred length is used."),
    )),
    ("shafts.*", Making, (
        ("finished_length", "mm", "between joint centres", ABOVE_0, "finished length",
         "Measured between joint centres after welding; empty until then."),
        ("doubtful", "", "paths of points in the scene", ANY, "points that may move",
         "The points that may be moved, such as outer joint; empty: every point.", "names"),
    )),
    ("shafts.*.inner_joint", parts.InnerJoint, (
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
         "empty: nothing is said of it."), "rows"),
    )),
    ("shafts.*.outer_joint", parts.OuterJoint, (
        ("max_angle", "degrees", "", "(0, 90)", "outer joint, largest angle",
         "The most that the outer joint may bend."),
    )),
    *((f"{table}.section[]", parts.Section, _SECTION)
      for table in ("shafts.*", "shafts.*.inner_joint", "shafts.*.outer_joint")),
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
    *MAKING_TABLES,
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
    ("bracket[]", parts.Bracket, (
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
