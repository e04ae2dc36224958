"""Every key of the scene file, once: its name for people, unit, help and what it feeds.

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
from scenes.key import Key, Tables
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
    if key is not None:
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
_POINT = ("mm", "[out, up] or [out, up, fore]")
_HUB_POINTS = (
    ("outer_joint", "Centre of the outer joint: where its balls' plane meets the hub axis.",
     *_POINT),
    ("wheel_centre", "Middle of the wheel, on the hub axis.", *_POINT),
)  # fmt: skip
_TRAVEL = ("travel", "Wheel travel at which it was taken: bump +, droop −.", "mm",
           "above ride height, negative below")  # fmt: skip
_GAP = ("wanted_gap", "The least gap you accept; more beside rubber and hot parts.", "mm")
_DEPTH = ("fore",
          ("Its extent in fore, rear to front, such as -30 to 40; empty for every depth, the "
           "safe reading."), "mm", "[rear, front]", "depth")  # fmt: skip
_SECTION = (
    ("name", "What you call it.", "", "", "", "label"),
    ("from", "Where it begins.", "mm", _ALONG),
    ("to", "Where it ends.", "mm", _ALONG),
    (
        "diameter",
        "Diameter, or two for a taper: 84 to 34.",
        "mm",
        "or [d_from, d_to] for a taper",
        "",
        "taper",
    ),
)

_TABLES: Tables = (
    ("linkage", parts.Strut, (
        ("arm_pivot", "Centre of the arm's inner bush: the axis that the arm swings about.",
         *_POINT),
        ("ball_joint", "Centre of the ball at the arm's outer end.", *_POINT),
        ("strut_top", "Centre of the top mount's bearing.", *_POINT),
        ("strut_lower", "Any point low down on the axis that the strut slides along.", *_POINT),
    )),
    ("linkage", parts.Wishbones, (
        ("lower_pivot", "Centre of the lower arm's inner bush.", *_POINT),
        ("lower_ball_joint", "Centre of the ball at the lower arm's outer end.", *_POINT),
        ("upper_pivot", "Centre of the upper arm's inner bush.", *_POINT),
        ("upper_ball_joint", "Centre of the ball at the upper arm's outer end.", *_POINT),
    )),
    ("linkage.position[]", parts.MeasuredPosition, (
        _TRAVEL,
        *_HUB_POINTS,
    )),
    ("hub", parts.Hub, _HUB_POINTS),
    ("travel", parts.Travel, (
        ("bump", "Wheel travel up from ride height.", "mm", "above ride height", "full bump"),
        ("droop", "Wheel travel down from ride height.", "mm", "below ride height", "full droop"),
    )),
    ("steering", parts.Steering, (
        ("inside_lock", "Steer angle of the wheel on the inside of the turn, at full lock.",
         "degrees"),
        ("outside_lock", "Steer angle of the wheel on the outside of the turn, at full lock.",
         "degrees"),
    )),
    ("gearbox.movement", parts.GearboxMovement, tuple(
        (axis, "How far the outputs move on the mounts, each way.", "mm", "each way",
         f"gearbox movement, {axis}")
        for axis in ("out", "up", "fore")
    )),
    ("gearbox.placement", MountRoom, (
        ("out",
         ("How far the tacked mounts may be shifted sideways: one length each way, or two, + "
          "towards the car's left, such as -4 to 8."), "mm", "each way, or [least, most]",
         "gearbox room, sideways", "each_way", "lateral"),
        ("up",
         ("How far the tacked mounts may be shifted up and down: one length each way, or two, "
          "such as -4 to 8."), "mm", "each way, or [least, most]", "gearbox room, up", "each_way"),
    )),
    ("photo", Photo, (
        ("file", "The name of a picture beside the scene.", "", "", "photo"),
        ("pins", "Where points of the picture lie in the front view.", "",
         "[pixel x, pixel y, out, up]", "", "pins"),
        ("opacity", "How strongly it is painted.", "", "from 0 to 1"),
    )),
    ("shafts.*", parts.Shaft, (
        ("length",
         "Between joint centres. Empty while undecided: then the ride-centred length is used.",
         "mm", "between joint centres"),
    )),
    ("shafts.*", Making, (
        ("finished_length", "Measured between joint centres after welding; empty until then.",
         "mm", "between joint centres"),
        ("doubtful", "The points that may be moved, such as outer joint; empty: every point.", "",
         "paths of points in the scene", "points that may move", "names"),
    )),
    ("shafts.*.inner_joint", parts.InnerJoint, (
        ("mid_stroke", "Centre of the inner joint with its stroke half used.", *_POINT,
         "inner joint, mid-stroke"),
        ("axis",
         ("Direction of the housing axis, pointing outboard; its length does not matter. 1, 0, "
          "0 is level and square to the car."), "", "[out, up] or [out, up, fore]", "housing axis",
         "direction"),
        ("stroke_in", "From mid-stroke until the joint bottoms.", "mm",
         "from mid-stroke to bottoming", "inner joint, stroke in"),
        ("stroke_out", "From mid-stroke until it pulls apart.", "mm",
         "from mid-stroke to pulling apart", "inner joint, stroke out"),
        ("max_angle", "The most that the inner joint may bend.", "degrees", "",
         "inner joint, largest angle"),
        ("stroke_at_angle",
         ("The usable stroke as the joint bends: rows of angle, stroke in, stroke out; empty: "
          "nothing is said of it."), "", "[angle in deg, stroke in, stroke out in mm]",
         "inner joint, stroke at angle", "rows"),
    )),
    ("shafts.*.outer_joint", parts.OuterJoint, (
        ("max_angle", "The most that the outer joint may bend.", "degrees", "",
         "outer joint, largest angle"),
    )),
    *((f"{table}.section[]", parts.Section, _SECTION)
      for table in ("shafts.*", "shafts.*.inner_joint", "shafts.*.outer_joint")),
    ("shafts.*.trial[]", TrialMeasurement, (
        ("travel", "Wheel travel at which it was measured: bump +, droop −.", "mm"),
        ("value",
         ("Swept length with the inner joint at mid-stroke, or plunge from mid-stroke: + pulled "
          "out."), "mm"),
        ("quantity", "What was measured."),
        ("error", "How far off it may be, each way; empty for a class II tape.", "mm"),
        ("travel_error", "How far off the travel may be.", "mm"),
        ("spread", "Whether errors are limits or standard deviations."),
        ("steer", "Steer angle at which it was measured.", "degrees"),
    )),
    *MAKING_TABLES,
    ("tape", Tape, (
        ("limit",
         ("How far off a measured point may be, each way. Empty: a class II tape laid to a "
          "surface, 0.7 mm up to 1 m."), "mm", "each way", "tape error"),
    )),
    ("tape.error[]", TapeError, (
        ("thing", "What was measured."),
        ("size", "How far off this one may be, each way: one length, or out; up; fore.", "mm",
         "each way, or [out, up, fore]", "error", "sizes"),
        ("spread", "Whether it is a limit or a standard deviation."),
    )),
    ("strut_tube", StrutTube, (
        ("diameter", "Outside, where the shaft may meet it.", "mm", "", "tube diameter"),
        ("from", "Where it begins.", "mm", "from strut_lower towards strut_top", "tube from"),
        ("to", "Where it ends.", "mm", "from strut_lower towards strut_top", "tube to"),
        _GAP,
    )),
    ("arm", Arm, (
        ("above", "How far the arm stands above its line.", "mm",
         "above the line from pivot to ball joint"),
        ("below", "How far the arm stands below its line.", "mm",
         "below the line from pivot to ball joint"),
        _DEPTH,
        _GAP,
    )),
    ("bracket[]", parts.Bracket, (
        ("name", "What you call it."),
        ("mounted_on", "What it moves with: body, arm, knuckle or gearbox."),
        ("outline", "Its corners in the front view.", "mm", "[[out, up], …]", "", "outline"),
        _DEPTH,
        _GAP,
    )),
    ("mark[]", Mark, (
        ("name", "What you call it."),
        ("at", "Roughly where it is.", *_POINT),
    )),
    ("reading[]", Reading, (
        *((kind, "What was read.", unit, about, "", "", "value") for kind, unit, about in (
            ("distance", "mm", "between two points"),
            ("rise", "mm", "up of the second point less that of the first"),
            ("slope", "degrees", "above horizontal, from the first point to the second"),
            ("up", "mm", "above the floor"),
            ("out", "mm", "from the centreline"),
            ("fore", "mm", "forward of the plumb line"),
            ("across", "mm", "to the same point on the other side of the car"),
        )),
        ("error", "How far off it may be.", "", "the limit each way"),
        _TRAVEL,
        ("steer", "Steer angle at which it was taken.", "degrees"),
    )),
)  # fmt: skip
