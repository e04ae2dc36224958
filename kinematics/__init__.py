"""The mechanics: pure functions over arrays, no files, no window, no printing.

Frame, signs and units are stated once here and referred to everywhere else.

A point is ``(out, up, fore)`` in millimetres: ``out`` outboard from the car's
centreline, ``up`` above a level floor with the car at ride height, ``fore``
forward of a fixed plumb line.  The triad (out, up, fore) is right-handed on the
left side of the car; the right side uses the same formulas as a mirror image.

Fields of inputs are named as in the scene file (mm and degrees).  Fields of
results carry their unit in their name.  Radians live inside functions only.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

# Where each name of the face lives.  It is fetched when first asked for, so that whoever
# wants an error class does not wait for numpy.
_FACE = {
    "errors": ("KinematicsError", "InvalidInput", "OutOfReach", "Problem"),
    "parts": (
        "Strut",
        "Wishbones",
        "Measured",
        "MeasuredPosition",
        "Hub",
        "Travel",
        "Steering",
        "GearboxMovement",
        "Section",
        "InnerJoint",
        "OuterJoint",
        "Shaft",
        "Bracket",
        "Corner",
    ),
    "linkage.motion": ("Motion", "solve", "reach_of"),
    "shaft.following": ("ShaftMotion", "follow", "ride_centred_length_mm"),
    "shaft.length_window": ("LengthWindow",),
    "shaft.whole_motion": ("Examination", "whole_motion", "examine"),
    "shaft.mount_room": ("MountRoom",),
    "shaft.placement": ("Placement", "place_gearbox"),
    "sure.measurands": ("Measurand",),
    "sure.tape": ("Tape", "TapeError"),
    "sure.certainty": ("Certainty", "certainty"),
    "sure.trial": ("TrialMeasurement",),
    "sure.trial_fit": ("TrialFit", "trial_fit"),
}
_HOME = {name: f"{__name__}.{module}" for module, names in _FACE.items() for name in names}

__all__ = list(_HOME)


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = globals()[name] = getattr(import_module(_HOME[name]), name)
    return found


def __dir__() -> list[str]:
    return sorted(__all__)
