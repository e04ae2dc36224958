"""Every number that something is held to, with what hangs on it, and thresholds from both sides.

They are our choices where no source is named.  Where steel, tape and trade decide, the table of
``tests/validation/test_values_of_making.py`` and the tests named after their sources tell.
"""

from __future__ import annotations

import inspect
import math
from collections.abc import Mapping
from dataclasses import replace
from importlib import import_module
from pkgutil import walk_packages
from types import ModuleType

import pytest

from kinematics.errors import InvalidInput
from kinematics.sure.certainty import Certainty, Share, certainty
from kinematics.sure.expected import expected_swept
from kinematics.sure.measurands import Measurand
from kinematics.sure.trial import TrialMeasurement
from kinematics.sure.trial_fit import TrialFit, trial_fit
from scenes.keys import with_value
from scenes.library import example
from scenes.model import Scene
from sketcher.answers import next_reading, placed, points
from sketcher.answers.fitted import trial_in_scene
from sketcher.answers.states import angle_state, room_state
from sketcher.window.model.fields import Field
from sketcher.window.model.sense import question
from sketcher.words import certainty as certainty_words

# By package: a name in it, the value, and what hangs on it.
HELD: Mapping[str, tuple[tuple[str, object, str], ...]] = {
    "kinematics": (
        ("LARGEST_LENGTH", 100000.0, "a hundred metres: no part of a car is larger"),
        ("DEFAULT_WANTED_GAP", 6.0, "mm between shaft and bracket: common practice"),
        ("DEFAULT_MARGIN", 3.0, "mm of stroke that is left at each end: common practice"),
        ("SMALLEST_LENGTH", 0.001, "mm below which two points are one"),
        ("MOST_CORNERS", 2000, "corners of a bracket"),
        ("SMALLEST_TRAVEL_STEP", 1.0, "mm between measured positions"),
    ),
    "kinematics.gaps": (
        ("ON_FEATURE", 0.0001, "mm from a corner that is on it"),
        ("SMALL", 3000, "positions that are looked at whole"),
        ("SURELY_LESS", 0.0001, "mm that two searches may differ by"),
        ("CLOSED_IN", 1e-06, "mm that bounds close in to"),
        ("SAW_CUT_MM", 2.0, "mm of a saw's cut: common practice"),
        ("FLATTENED_TO_MM", 0.1, "mm that a polygon stands out of its circle"),
        ("SHORTEST_EDGE_MM", 0.001, "mm of an edge"),
        ("STANDS_OUT_MM", 0.1, "mm that a corner of a front view stands out"),
        ("ROUNDED_TO", 2, "digits of a trimmed outline"),
        ("ROUNDING_MM", 0.01, "mm that rounding takes back"),
        ("EASED_MM", 0.2, "mm that a cut edge lies farther back; with the others within 0.25"),
        ("SMALLEST_PIECE_MM2", 0.5, "mm² below which a piece is sawdust"),
        ("MOST_CUTS", 12, "rounds of trimming"),
        ("CHUNK", 18000, "numbers in a turn: memory that stays near"),
        ("BOX_CHUNK", 1000000, "the same, of boxes"),
        ("BLOCKS", (9, 3, 1), "positions side by side that are bounded together"),
        ("SEEDS", 32, "positions that a search begins with"),
        ("FIRST_BATCH", 64, "positions of a first turn"),
        ("MOST_STEPS", 60, "steps of a search along an edge"),
        ("LEVEL", 1e-09, "growth that is none"),
        ("TANGENTS", 8, "of a rim seen nearly edge on"),
        ("TANGENTS_GROWN", 32, "of one grown all round"),
        ("HALVINGS", 24, "of a turn between two front views"),
        ("LEAST_LEAN", 0.001, "radians that a shaft leans out of the front view"),
        ("MOST_ALIKE", 3, "front views that go as one"),
        ("SAME_DIRECTION", 1e-07, "radians between directions that are one"),
        ("LEAST_FLAT", 1e-12, "mm of a view edge on"),
        ("FIRST_TANGENTS", 12, "before it is known how many are needed"),
        ("MOST_OUTLINES", 400, "outlines that are joined at once"),
    ),
    "kinematics.linkage": (
        ("RISE_TOLERANCE_MM", 3.0, "mm that a wheel centre may be off its travel"),
        ("_LEAST_RATE_MM", 1e-06, "mm a radian below which a linkage stands on a dead point"),
        ("TRAVEL_TOLERANCE_MM", 1e-10, "mm that a travel is met to"),
        ("_SAMPLES", 385, "turns between ride height and the end of the way"),
        ("_REFINE_SAMPLES", 257, "turns between two of them"),
        ("_REFINE_ROUNDS", 3, "how often"),
        ("_LAST_SHARE", 0.9999999, "of the way to where it ceases to close"),
        ("_MOST_STEPS", 60, "steps of Newton"),
        ("_LAST_STEP_RAD", 0.0001, "radians: the next step squares it"),
        ("_BEYOND_GUESS_RAD", 0.25, "radians from where a turn was guessed"),
        ("_HALVINGS", 40, "of a turn"),
        ("_MISSED_MM", 0.0001, "mm that a travel is missed by"),
    ),
    "kinematics.making": (
        ("_SHORTEST", 1e-06, "mm of a piece"),
        ("_STATIONS", 400, "along a shaft that is balanced"),
        (
            "GRADES_MM_S",
            (0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0),
            "ISO 21940-11 (memory)",
        ),
        ("_CELLS", 160, "of a shaft that whirls"),
        ("TURN_BEYOND", 2.0, "mm that is turned beyond the sleeve"),
        ("NEAR_SPLICE", 15.0, "mm beside a splice that a dial is set at"),
        ("BORE_BEYOND", 1.0, "mm that a bore is deeper than its spigot"),
        ("BLOCK_MM", 20.0, "mm of a V-block"),
        ("NARROWEST_BLOCK_MM", 10.0, "mm of one that holds yet"),
        ("SHIM_STEP_MM", 0.01, "mm between leaves"),
        ("SHIM_TOLERANCE_MM", 0.02, "mm of a leaf's stock"),
    ),
    "kinematics.shaft": (
        ("LOOKED_AT_EVERY_MM", 0.5, "mm along a cut's edge"),
        ("HARDLY_NEARER_MM", 0.001, "mm: with less, smaller steps"),
        ("MAY_COME_NEARER", 0.05, "share of the box that a search may come nearer by"),
        ("POINTS", 21, "places of the map each way"),
        ("OUTBOARD", {"left": 1.0, "right": -1.0}, "y of ISO 8855: + towards the left"),
        ("LOOKED_AT", 400, "positions that are looked at in the whole box"),
        ("SEARCHED", 40, "of these that are searched from"),
        ("TURNS", 12, "turns of a search"),
        ("MOST_TRIES", 40, "tries of a search"),
        ("POLISHED", 4, "that are gone on with to the last digit"),
        ("_SETTLED_MM", 1e-12, "mm"),
        ("_MOST_TURNS", 30, "of going on"),
        ("_CONTRACTIONS", 40, "of a plunge"),
        ("_SCANS", 65, "lengths that are looked at"),
        ("_HALVINGS", 44, "of a length"),
        ("_PLUNGE_TOLERANCE_MM", 1e-09, "mm"),
        ("MOST_TURNS", 40, "of the search for the nearest"),
        ("LEAST_STEP", 0.002, "of the box: less is not gone"),
        ("FURTHER", (1.0, 2.0, 4.0), "times a step, where that goes on"),
        ("ALL_WAYS", 40, "all round"),
        ("_TRAVEL_STEP_MM", 4.0, "mm between positions of the map"),
        ("_STEER_STEP_DEG", 4.0, "degrees"),
        ("_GAP_TRAVEL_STEP_MM", 15.0, "mm between those whose gaps are looked at"),
        ("_GAP_STEER_STEP_DEG", 15.0, "degrees"),
        ("_TRIALS", 3, "of which are worst, each way"),
        ("_SAME", 1e-06, "mm or degrees between worsts that are one"),
    ),
    "kinematics.sure": (
        ("CRITICAL", 3.29, "Baarda 1968, two-sided 0.1 % (memory)"),
        ("LEAST_REDUNDANCY", 0.01, "the least redundancy that can tell"),
        ("DRAWS", 20000, "a chance of 95 % to 0.2 %"),
        ("SEED", 1, "the same answer each time"),
        ("COVERAGE", 0.95, "JCGM 101, 7.7"),
        ("KEPT_DRAWS", 4000, "draws kept for what to read next"),
        ("UNMET_MM", 25.0, "mm that no tape is misread by"),
        ("PATH_MM", 0.2, "mm that a wheel's path is off a parabola"),
        ("SUSPICIOUS", 4.03, "root of chi-square's 99.9 % with three degrees, 16.27"),
        ("BEST", 5, "readings that are offered"),
        ("GAUGE_LIMIT_DEG", 0.2, "degrees of an angle gauge: common practice"),
        ("STEEPEST_DEG", 90.0, "degrees of a slope"),
        ("DRAWN_LIMIT_MM", 50.0, "mm that a drawn coordinate counts as read to: the contract"),
        ("NOT_FIXED_MM", 10.0, "mm beyond which no reading fixes it: the contract"),
        ("HALF_WIDTH_95", 1.959964, "two-sided 95 % of a normal distribution"),
        ("LEAST_PROBABILITY", 0.001, "two-sided 0.1 %, as for one reading"),
        ("_BASE_MM", 0.3, "mm: 2014/32/EU, annex X, class II"),
        ("_PER_METRE_MM", 0.2, "mm a metre: the same"),
        ("_SURFACE_MM", 0.2, "mm to a surface: the same"),
        ("LEAST_HEIGHTS", 3, "two heights agree with almost any points"),
        ("LEAST_STEP_MM", 5.0, "mm between heights that tell something new"),
        ("LEAST_PROBABILITY", 0.05, "an honest fit in twenty is doubted"),
        ("SET_APART", 3.0, "standard uncertainties to the next likely one"),
        ("LEAST_WITHOUT", 0.01, "chance that the others agree without it"),
        ("_NEARLY_SETTLED", 0.01, "standard step, where hardly anything fixes it"),
        ("_SETTLED", 1e-08, "mm"),
        ("_LEAST_TOLD", 1e-09, "redundancy that is rounding"),
        ("_FIRST_DAMPING", 0.001, "Levenberg's"),
        ("_FEW_DRAWS", 250, "draws that a first look takes"),
        ("_SEED", 1, "the same answer each time"),
        ("COARSE_STEP", 5.0, "mm or degrees of a first look"),
        ("FINE_STEP", 1.0, "mm or degrees: the contract"),
        ("_SAMPLE", 500, "draws that choose positions"),
        ("_BEYOND", 1.5, "times what was seen that others may be off"),
        ("_BOX_SHARE", 0.2, "of the box"),
        ("_CLOSE_ENOUGH", 0.002, "of the tape's error"),
        ("_CHORD_MM", 0.5, "mm"),
        ("_LEAST_SLOPE", 0.2, "of what an error changes"),
        ("_MOST_NAMED", 3, "readings that contradict, by number"),
        ("SHORTEST_MM", 20.0, "mm that a tape is laid along"),
        ("LONGEST_MM", 3000.0, "mm: as long as a tape that one holds alone"),
        ("_BATCH", 4000, "draws in a turn"),
        ("_CHORD_STEPS", 4, "of a chord"),
        ("_LEFT_OUT", 1000000.0, "times an error that counts for nothing"),
        ("_NEWTON_STEPS", 3, "from a near turn"),
    ),
    "scenes": (
        ("_LONGEST_SHOWN", 40, "letters of a wrong value"),
        ("FORMAT", 1, "of the scene file: the contract"),
        ("DEFAULT_OPACITY", 0.5, "the contract"),
        ("LEAST_FOR_PERSPECTIVE", 4, "a plane's perspective has eight numbers, a pin two"),
        ("LARGEST_FILE", 4000000, "bytes of a scene file"),
    ),
    "sketcher.answers": (
        ("SWEEP_TRAVELS", 41, "positions of a curve"),
        ("QUICK_TURNS", 2, "turns of a search while the hand moves"),
        ("ENVELOPE_TRAVELS", 13, "positions of an envelope"),
        ("ENVELOPE_WITHIN_MM", 1.0, "mm that an envelope is true to"),
        ("_DIGITS", 2, "digits of a fitted coordinate"),
        ("AT_A_TURN", 6, "brackets in one turn"),
        ("USUAL_FOCAL_MM", 26.0, "a phone's lens: common practice"),
        ("POINTS_WITH_GAPS", 9, "places of the map each way where gaps count"),
        ("NEAR_ENOUGH_MM", 0.5, "mm from the best place"),
        ("NOTHING_TO_GAIN", 0.999, "a chance that no reading betters"),
        ("_NEAR_MM", 0.02, "mm: near enough with so many digits"),
        ("_MOST_ROUNDS", 60, "rounds of settling"),
        ("ROWS", 9, "rows that are kept for values"),
        ("_MARKS_EACH", 3, "marks that each point is measured to"),
        ("CLOSE_TO_ANGLE", 0.9, "share of a limit that is close to it"),
        ("SAY_AFTER_SECONDS", 0.5, "of waiting, then it is said"),
        ("_STEP_MM", 0.05, "mm of a difference"),
        ("_ROUNDS", 20, "of Gauss and Newton"),
    ),
    "sketcher.commands": (
        (
            "SIZES",
            {
                "sketch": (1200, 1000),
                "above": (1200, 1000),
                "plots": (640, 1000),
                "cuts": (1200, 640),
                "sheet": (1600, 1000),
            },
            "pixels of each picture where no size is asked for",
        ),
        ("SMALLEST", (320, 240), "pixels of a picture"),
        ("LARGEST", (7680, 4320), "pixels of a picture"),
        ("LEAST_OF_SHEET", (960, 600), "pixels of a whole sheet"),
        ("REPORT_WIDTH", 100, "letters of a line"),
        ("NAME_WIDTH", 20, "letters of a name"),
        ("DEFAULT_STEP_MM", 5.0, "mm of travel between rows"),
        ("MOST_ROWS", 1000000, "rows of a table"),
        ("_DIGITS", 6, "digits of a value: a thousandth of what a lathe can"),
        ("LEAST_DRAWS", 1000, "draws that tell a chance at all"),
        ("MOST_DRAWS", 1000000, "draws"),
        ("GOOD", 0, "the contract"),
        ("BROKEN", 1, "the contract"),
        ("UNUSABLE", 2, "the contract"),
        ("_SMOOTHED_PIXELS", 8294400, "pixels that are smoothed"),
    ),
    "sketcher.interchange": (
        ("DIGITS", 6, "digits of a coordinate"),
        ("SAME_DEPTH", 1e-06, "drawing units"),
        ("ARC_PARTS", 8, "parts of a whole turn"),
        ("SAME_POINT_MM", 0.01, "mm between ends that are one"),
        ("ROUNDED_TO", 3, "digits of a corner: a micrometre"),
        ("SMALLEST_AREA_MM2", 1.0, "mm² of an outline"),
        ("MOST_PIECES", 5000, "lines of a drawing"),
        ("MOST_LISTED", 6, "outlines that are named"),
        ("LARGEST_FILE", 4000000, "bytes of a drawing"),
        ("MOST_PIXELS", 50000000, "of a photo"),
        ("DEEPEST", 60, "groups within groups"),
        ("MOST_STEPS", 2000, "of a curve"),
        ("UNEVEN", 0.001, "that a scale may differ by across and up"),
        ("LONGEST_PATH", 50000, "letters of a path"),
        ("MOST_POINTS", 20000, "of a drawing"),
        (
            "MM_PER",
            {
                "mm": 1.0,
                "cm": 10.0,
                "in": 25.4,
                "pt": 0.35277777777777775,
                "pc": 4.233333333333333,
                "Q": 0.25,
            },
            "CSS Values and Units 3, 6.2: absolute lengths; the inch of 1959",
        ),
        ("STRAYS_MM", 0.09000000000000001, "mm that a curve may stray"),
    ),
    "sketcher.paper": (
        ("_MOST_REASONS", 4, "reasons on the first page"),
        ("_BETTER", 0.005, "chance that is worth another length"),
        ("MARGIN_MM", 10.0, "mm that a printer leaves white, and some"),
        ("AROUND_MM", 7.0, "mm for numbers round the outline"),
        ("OVERLAP_MM", 20.0, "mm that sheets are glued by"),
        ("MOST_SHEETS", 40, "sheets of a template"),
        ("NARROWEST_SVG_MM", 150.0, "mm for a sentence"),
        ("DIGITS", 6, "digits of a place"),
    ),
    "sketcher.window": (
        ("EVERY_SECONDS", 1.0, "of work that a crash loses"),
        ("COPY_BY_MM", (20.0, 20.0), "mm to a copy"),
        ("_LEAST_SEEN", 0.2, "of a part seen edge on"),
        ("GRID_MM", 5.0, "mm of the grid"),
        ("GRIDS", {"mm": (5.0, "5 mm"), "in": (3.175, '1/8"')}, "and in inches"),
        ("STEER_STEP_DEG", 1.0, "degrees of a key"),
        ("SWEEP_SECONDS", 4.0, "from droop to bump and back"),
        ("DRAG_STEP_MM", 0.1, "mm of a drag"),
        ("STEPS_MM", {"mm": (1.0, 0.1), "in": (3.175, 0.396875)}, "mm of a key, 1/8 and 1/64 in"),
        ("STEPS", (1.0, 0.1), "of a key, degrees and numbers"),
        ("CLICK_PX", 4.0, "px that a hand shakes by"),
        ("FIRST_THICKNESS_MM", 5.0, "mm of a plate"),
        ("PULLED_STEP_MM", 1.0, "mm that a thickness is pulled by"),
        ("FAR_MM", 400.0, "mm that no sketch is off by"),
        ("_NAMED", 6, "things that differ, by name"),
        ("MOST_STROKE_MM", 100.0, "mm: rare on a car, common practice"),
        ("MOST_TRAVEL_MM", 250.0, "mm: the same"),
        ("MOST_JOINT_DEG", 55.0, "degrees: the same"),
        ("LEAST_SHAFT_MM", 100.0, "mm: the same"),
        ("MOST_SHAFT_MM", 1200.0, "mm: the same"),
        ("MOST_BAR_MM", 80.0, "mm: the same"),
        ("MOST_BOOT_MM", 150.0, "mm: the same"),
        ("MOST_APART_MM", 1000.0, "mm: the same"),
        ("MOST_CORNERS_LISTED", 24, "corners with a field"),
        ("_LONGEST_NAME", 22, "letters of a name"),
        ("MOST_AGAIN", 3, "things to measure again"),
        ("_MOST_DONORS", 8, "donors to choose from"),
        ("_NEARLY_BEST", 0.8, "share of the best place's that is good"),
        ("MOST_REMARKS", 6, "remarks that are listed"),
        ("_CLOSE_MM", 0.03, "mm from under the hand"),
        ("_LOST_MM", 2.0, "mm: not there"),
        ("_MOST_TRIES", 4, "of a follower"),
        ("_STRUT_RISE_MM", 430.0, "mm of a strut that is put in"),
        ("_STRUT_LEAN_MM", 55.0, "mm it leans"),
        ("_BALL_ABOVE_MM", 60.0, "mm of an upper ball joint above the wheel centre"),
        ("_UPPER_PART", 0.7, "of the lower arm's length"),
        ("_UPPER_FALL_MM", 15.0, "mm towards its pivot"),
        ("_SHARES", (-1.0, -0.5, 0.5, 1.0), "of the travel that positions are measured at"),
        ("_SPARE", 50.0, "mm of bar to cut off"),
        ("_SLIDES", 0.05, "mm of clearance"),
        ("_LEAST_CELL", 13.0, "px of a cell with a number"),
        ("MAP_HEIGHT", 176, "px of the map"),
    ),
    "sketcher.words": (
        ("SHOWN_MM", 0.05, "mm that shows as 0.1"),
        ("SURE_ENOUGH", 0.95, "the contract"),
        ("WORTH_MEASURING", 0.03, "share that is worth a visit"),
        ("LEAST_CHANGE_MM", 0.05, "mm that a fit moves a coordinate by"),
        ("_MOST_NAMED", 4, "guesses by name"),
        ("SETTLED_MM", 0.05, "mm: the contract"),
        ("MM_PER_INCH", 25.4, "the inch of 1959"),
        ("FINEST_FRACTION", 64, "of an inch: common practice"),
        ("LARGEST_MM", 100000.0, "as of a part"),
        ("_MM_PER", {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}, "SI and the inch of 1959"),
        ("_PER_CENT", 95, "the coverage in per cent"),
    ),
}


# What is left out of a part, or not said when something is asked, counts as this.
LEFT_OUT: Mapping[str, Mapping[str, object]] = {
    "Band": {"at_top": True},
    "Camera.fitted": {"padding_px": 24.0},
    "Camera.of_sheet": {"scale": 1.0},
    "Camera.on": {"ui_scale": 1.0},
    "Plot": {"signed": False},
    "column_of": {"margin_mm": 3.0, "wanted_gap_mm": 6.0},
    "Aids": {"square": False, "reach_mm": 0.0},
    "Aids.placed": {"catch": True},
    "Answers.show": {"exact": False, "pose_only": False},
    "Answers.work_on": {"rested": True},
    "Butt": {"bevel_angle": 30.0, "spigot_length": 0.0, "bore": 0.0, "spigot_clearance": 0.05},
    "Donor": {"cut_twice": True, "joint_comes_off": True},
    "Drive": {"differential_split": 0.5},
    "Editor.nudge": {"fine": False},
    "Editor.shown": {"exact": False, "pose_only": False},
    "FieldRow": {"first": 0, "units": True},
    "FinishedLength": {"within_mm": 0.5},
    "GearboxBox.places": {"steps": (0.0, -1.0, 1.0)},
    "GearboxMovement": {"out": 0.0, "up": 0.0, "fore": 0.0},
    "InnerJoint": {"axis": (1.0, 0.0, 0.0)},
    "Layer": {"bore": 0.0, "carries": True, "beside_weld": False},
    "Loads": {"overtaken": False},
    "MakingStep": {"once": False},
    "MountRoom": {"lateral": (0.0, 0.0), "up": (0.0, 0.0)},
    "Note": {"lines": 2, "above_fields": False},
    "OpenOutline": {"box": False, "done": False},
    "OpenOutline.put": {"reach_mm": 0.0},
    "Pointing": {"wanted": 2},
    "Pose": {"camber_deg": 0.0},
    "Position": {"shift_mm": (0.0, 0.0, 0.0)},
    "Predictions.predicted": {"rise_mm": 0.0},
    "Predictions.slopes": {"step_mm": 0.01},
    "Reading": {"travel": 0.0, "steer": 0.0},
    "Search.of": {"each_position": True, "each_bracket": True},
    "ShaftMotion.spread": {"own_axes": 0},
    "Shown": {"closes": True},
    "Sleeve": {"fit_clearance": 0.05, "split": False},
    "Snapping": {"square_on": False, "catch_on": False, "square_held": False, "catch_held": False},
    "Splice": {"root_gap": 0.0, "shrinkage": 0.0, "turn_radius": 1.0, "heat_treated_after": False},
    "Steel": {"largest": 100.0, "typical": False},
    "Stressed": {"twist_deg": 0.0, "reserve": False, "beside_weld": False, "yield_known": True},
    "Stretch": {"radius": 1.0},
    "TrialMeasurement": {"steer": 0.0},
    "Weld": {"share": 1.0, "reserve": False, "yield_known": True},
    "Worker.ask": {"soon": False},
    "Worker.go_on": {"rested": True},
    "brief": {"sign": False},
    "class_ii_limit_mm": {"to_surface": True},
    "clearance": {"each_position": True, "each_bracket": True},
    "doubt_words": {"named": True},
    "down": {"digits": 2},
    "envelope": {"grown_mm": 0.0, "within_mm": 0.1},
    "follow": {"shift_mm": (0.0, 0.0, 0.0)},
    "format_length": {"signed": False, "named": True},
    "front_outlines": {"grown_mm": 0.0},
    "limit": {"named": True},
    "nearby_turn": {"steps": 4},
    "place_gearbox": {"free": False},
    "place_in_scene": {"free": False},
    "reaching": {"shift_mm": (0.0, 0.0, 0.0)},
    "shear_stress_mpa": {"bore_mm": 0.0},
    "shifted_scene": {"free": False},
    "solve": {"steer_deg": 0.0},
    "table_csv": {"steer_deg": (0.0,)},
    "tape_words": {"readings": 0},
    "to_file": {"required": False},
    "torsional_stiffness_nm2": {"bore_mm": 0.0},
    "twist_deg": {"bore_mm": 0.0},
    "up": {"digits": 0},
    "what_words": {"held": True},
    "whole_motion": {"travel_step_mm": 1.0, "steer_step_deg": 1.0},
}


def modules_of(package: str) -> list[ModuleType]:
    root = import_module(package)
    inside = [one.name for one in walk_packages(root.__path__, f"{package}.")]
    return [root, *(import_module(one) for one in inside if not one.endswith("__main__"))]


@pytest.mark.parametrize("package", HELD)
def test_numbers_are_what_they_are_held_to(package: str) -> None:
    modules = modules_of(package)
    held: dict[str, list[object]] = {}
    for name, value, _ in HELD[package]:
        held.setdefault(name, []).append(value)
    for name, values in held.items():
        found = [getattr(one, name) for one in modules if hasattr(one, name)]
        assert all(any(alike(one, value) for value in values) for one in found), name
        assert all(any(alike(one, value) for one in found) for value in values), name


def test_what_is_left_out_counts_as_it_did() -> None:
    modules = [
        one for package in ("kinematics", "scenes", "sketcher") for one in modules_of(package)
    ]
    for name, values in LEFT_OUT.items():
        first, _, method = name.partition(".")
        found = [one for one in (getattr(m, first, None) for m in modules) if callable(one)]
        assert found, f"{name} is gone"
        owner = found[0]
        takes = inspect.signature(getattr(owner, method) if method else owner).parameters
        for given, value in values.items():
            assert takes[given].default == value, f"{name}: {given}"


def alike(one: object, other: object) -> bool:
    return bool(one == (pytest.approx(other, rel=1e-9) if isinstance(other, float) else other))


@pytest.fixture(scope="module")
def fit() -> TrialFit:
    return trial_in_scene(example("van-rear-measured"), "left")


@pytest.fixture(scope="module")
def sure() -> Certainty:
    return certainty(example("van-rear").corner("left"), draws=50)


def test_a_fit_in_twenty_is_doubted(fit: TrialFit) -> None:
    assert replace(fit, probability=0.0501).agrees
    assert not replace(fit, probability=0.0499).agrees


def test_readings_contradict_one_another_once_in_a_thousand() -> None:
    settled = points.settle_scene(example("van-front-readings"))
    assert replace(settled, rest_probability=0.00101).agree
    assert not replace(settled, rest_probability=0.00099).agree
    assert replace(settled, rest_probability=None).agree


@pytest.mark.parametrize(("apart", "enough"), [(5.0, True), (4.99, False)])
def test_heights_five_millimetres_apart_tell_something_new(apart: float, enough: bool) -> None:
    corner = example("van-rear-measured").corner("left")
    heights = [0.0, apart, 2.0 * apart]
    measured = [
        TrialMeasurement(one.travel_mm, one.swept_length_mm, error=0.7)
        for one in expected_swept(corner, heights)
    ]
    if enough:
        assert len(trial_fit(corner, measured).residuals) == 3
    else:
        with pytest.raises(InvalidInput, match="5 mm apart or further, got 2"):
            trial_fit(corner, measured)


def test_states_of_a_value_against_its_limit() -> None:
    assert [angle_state(one, 20.0) for one in (18.0, 18.001, 20.0, 20.001)] == [
        *("good", "close", "close", "past"),
    ]
    assert [room_state(one, 6.0) for one in (6.0, 5.999, 0.0, -0.001)] == [
        *("good", "close", "close", "past"),
    ]


@pytest.mark.parametrize(
    ("key", "meant", "odd"),
    [
        ("shafts.left.inner_joint.stroke_in", 100.0, 100.1),
        ("shafts.left.inner_joint.stroke_out", 100.0, 100.1),
        ("travel.bump", 250.0, 250.1),
        ("travel.droop", 250.0, 250.1),
        ("shafts.left.inner_joint.max_angle", 55.0, 55.1),
        ("shafts.left.outer_joint.max_angle", 55.0, 55.1),
        ("shafts.left.length", 100.0, 99.9),
        ("shafts.left.length", 1200.0, 1200.1),
        ("shafts.left.section[0].diameter", (150.0, 34.0), (150.1, 34.0)),
        ("shafts.left.section[1].diameter", (80.0, 80.0), (80.0, 80.1)),
    ],
)
def test_what_is_rare_on_a_car_is_asked_about(key: str, meant: object, odd: object) -> None:
    scene = example("van-front")
    field = Field(key, "one", "taper" if key.endswith("diameter") else "length")
    assert question(field, with_value(scene, key, meant), "mm") is None
    assert question(field, with_value(scene, key, odd), "mm") is not None


def test_a_point_far_from_the_others_is_asked_about() -> None:
    scene = example("van-front")
    field = Field("hub.wheel_centre[2]", "one")
    near = min(
        math.dist(scene.hub.wheel_centre[:2], at[:2])
        for name, at in scene.points.items()
        if name != "hub.wheel_centre"
    )
    for far, asked in ((980.0, False), (1010.0, True)):
        moved = with_value(scene, "hub.wheel_centre[2]", far - near / 100.0)
        assert (question(field, moved, "mm") is not None) is asked


def test_what_is_worth_measuring_again(sure: Certainty) -> None:
    things = tuple(
        Share(Measurand("hub", name), share, 0.9)
        for name, share in (("outer_joint", 0.0301), ("wheel_centre", 0.0299))
    )
    told = certainty_words.worth_measuring(replace(sure, shares=things))
    assert told == things[:1]


@pytest.mark.parametrize(("by", "moved"), [(0.0501, True), (-0.0501, True), (0.0499, False)])
def test_a_fit_moves_a_coordinate_by_five_hundredths(fit: TrialFit, by: float, moved: bool) -> None:
    first = fit.coordinates[0]
    one = replace(first, fitted_mm=first.coordinate.value_mm + by)
    assert bool([*certainty_words.changes(replace(fit, coordinates=(one,)))]) is moved


def test_the_gearbox_is_best_where_it_is_drawn() -> None:
    found = placed.place_in_scene(example("van-rear-measured"))
    for up, drawn in ((0.3, True), (0.4, True), (0.41, False)):
        best = replace(found.best, lateral_mm=0.3, up_mm=up - 1e-3)
        told = placed.placement_words(replace(found, best=best))
        assert ("where it is drawn" in told) is drawn


@pytest.mark.parametrize(("chance", "asked"), [(0.9989, True), (0.9991, False)])
def test_nothing_is_to_be_gained_above_999_in_1000(
    chance: float, asked: bool, sure: Certainty, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(next_reading, "read_next_for_chance", lambda *_: ("asked",))
    scene: Scene = example("van-front-readings")
    found = next_reading.next_for_chance(scene, "left", replace(sure, chance=chance))
    assert bool(found) is asked
