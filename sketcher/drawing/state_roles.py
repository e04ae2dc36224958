"""How what is good, close or past is drawn: the role of each kind of mark."""

from __future__ import annotations

from collections.abc import Mapping

from sketcher.answers.states import State
from sketcher.drawing.picture import Role

Roles = Mapping[State, Role]

ANGLES: Roles = {"good": "angle", "close": "angle_close", "past": "angle_past"}
LABELS: Roles = {"good": "label", "close": "label_close", "past": "label_past"}
NOTES: Roles = {"good": "note_good", "close": "note_close", "past": "note_past"}
DIMENSIONS: Roles = {"good": "dimension", "close": "dimension_close", "past": "dimension_past"}
OUTLINES: Roles = {"good": "bracket", "close": "bracket_close", "past": "bracket_past"}
HATCHINGS: Roles = {
    "good": "bracket_hatching",
    "close": "bracket_close_hatching",
    "past": "bracket_past_hatching",
}
BANDS: Roles = {"good": "band_good", "close": "band_close", "past": "band_past"}
BAND_WORDS: Roles = {
    "good": "band_word_good",
    "close": "band_word_close",
    "past": "band_word_past",
}
