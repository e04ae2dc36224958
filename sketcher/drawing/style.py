"""How each role is drawn: line kind, width, colour, fill and lettering, light and dark.

Line kinds after ISO 128-2: continuous thick for visible outlines, continuous
thin for dimensions, leaders and hatching, dashed for hidden, chain for axes,
chain double-dash for other positions and the edge of what is swept.  Line group
0.5/0.25 mm; lettering heights after ISO 3098 (2.5 and 3.5 mm) and one smaller.
Colours of good, close and past are from the colour-blind-safe set of Okabe and
Ito (bluish green, orange, vermilion); they never stand without a word or shape.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal, get_args

from sketcher.answers.states import State
from sketcher.drawing.picture import Role, Size, Solid

Theme = Literal["light", "dark"]
THEMES: tuple[Theme, ...] = ("light", "dark")
Colour = tuple[int, int, int]
LineKind = Literal["none", "continuous", "dashed", "chain", "chain_double"]

# Mm on paper, ISO 128-2 line group 0.5.
THICK = 0.5
MEDIUM = 0.35
THIN = 0.25
HAIR = 0.18

# Dash and gap lengths as multiples of the line width would be too long for thin screen lines;
# these are mm on paper: dash, gap, (dot, gap)...
DASHES: Mapping[LineKind, tuple[float, ...]] = {
    "none": (),
    "continuous": (),
    "dashed": (2.4, 1.0),
    "chain": (5.0, 0.9, 0.5, 0.9),
    "chain_double": (7.0, 0.8, 0.5, 0.8, 0.5, 0.8),
}
# Font size in mm on paper of each lettering size; capitals are 0.714 of it.
LETTERING: Mapping[Size, float] = {"small": 3.0, "normal": 3.5, "large": 4.9}


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of one theme; the window's own theme takes them from here too."""

    paper: Colour
    sheet: Colour
    plot: Colour
    line: Colour
    soft: Colour
    faint: Colour
    grid: Colour
    grid_strong: Colour
    metal: Colour
    rubber: Colour
    shaft: Colour
    envelope: Colour
    accent: Colour
    good: Colour
    good_band: Colour
    close: Colour
    close_band: Colour
    past: Colour
    past_band: Colour


PALETTES: Mapping[Theme, Palette] = {
    "light": Palette(
        paper=(250, 246, 238),
        sheet=(242, 236, 224),
        plot=(253, 250, 244),
        line=(38, 36, 34),
        soft=(104, 98, 90),
        faint=(170, 162, 150),
        grid=(238, 231, 218),
        grid_strong=(225, 216, 200),
        metal=(236, 230, 218),
        rubber=(222, 214, 200),
        shaft=(255, 253, 248),
        envelope=(232, 236, 236),
        accent=(0, 94, 158),
        good=(0, 122, 90),
        good_band=(219, 237, 226),
        close=(178, 108, 0),
        close_band=(252, 232, 198),
        past=(196, 72, 0),
        past_band=(250, 219, 203),
    ),
    "dark": Palette(
        paper=(32, 37, 42),
        sheet=(25, 29, 33),
        plot=(36, 41, 47),
        line=(233, 231, 224),
        soft=(168, 170, 168),
        faint=(104, 111, 116),
        grid=(39, 45, 50),
        grid_strong=(50, 57, 63),
        metal=(50, 57, 63),
        rubber=(62, 69, 75),
        shaft=(44, 50, 56),
        envelope=(42, 54, 62),
        accent=(86, 180, 233),
        good=(60, 190, 150),
        good_band=(34, 62, 56),
        close=(240, 178, 56),
        close_band=(72, 60, 36),
        past=(240, 122, 62),
        past_band=(80, 50, 38),
    ),
}


@dataclass(frozen=True, slots=True)
class MarkStyle:
    """How one role is drawn; widths mm on paper, no fill where it is None."""

    colour: Colour
    width: float = THIN
    line: LineKind = "continuous"
    fill: Colour | None = None
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Style:
    """A theme's marks: :func:`style` for the screen, :func:`print_style` for white paper.

    ``backs_words`` puts the paper's colour behind every text, as over a photo.
    """

    theme: Theme
    palette: Palette
    marks: Mapping[Role, MarkStyle]
    backs_words: bool = False

    def mark(self, role: Role) -> MarkStyle:
        """How a role is drawn."""
        return self.marks[role]

    @property
    def lit(self) -> Colour:
        """Colour of what is held or lit."""
        return self.palette.accent


@lru_cache(maxsize=4)
def style(theme: Theme = "light", *, see_through: bool = False) -> Style:
    """The style of a theme; ``see_through``, bodies are outlines, over a photo."""
    palette = PALETTES[theme]
    marks = _marks(palette)
    if see_through:
        marks |= {role: replace(marks[role], fill=None) for role in get_args(Solid)}
    return Style(theme, palette, marks, backs_words=see_through)


@lru_cache(maxsize=1)
def print_style() -> Style:
    """The light style's marks as ink on white paper."""
    palette = replace(
        PALETTES["light"],
        paper=(255, 255, 255),
        sheet=(255, 255, 255),
        plot=(255, 255, 255),
        line=(0, 0, 0),
        soft=(60, 60, 60),
        faint=(130, 130, 130),
        grid=(232, 232, 232),
        grid_strong=(214, 214, 214),
        metal=(238, 238, 238),
        rubber=(220, 220, 220),
        shaft=(255, 255, 255),
        envelope=(240, 243, 243),
    )
    return Style("light", palette, _marks(palette))


def _marks(p: Palette) -> dict[Role, MarkStyle]:
    none: LineKind = "none"
    return {
        "grid": MarkStyle(p.grid, HAIR),
        "grid_strong": MarkStyle(p.grid_strong, HAIR),
        "ground": MarkStyle(p.line, MEDIUM),
        "ground_hatching": MarkStyle(p.soft, HAIR),
        "axis": MarkStyle(p.soft, HAIR, "chain"),
        "body_point": MarkStyle(p.line, MEDIUM, fill=p.paper),
        "body_hatching": MarkStyle(p.soft, HAIR),
        "joint": MarkStyle(p.line, MEDIUM, fill=p.paper),
        "joint_dot": MarkStyle(p.line, THIN, fill=p.line),
        "cross": MarkStyle(p.line, THIN),
        "arm": MarkStyle(p.line, THICK, fill=p.metal),
        "strut": MarkStyle(p.line, THICK, fill=p.metal),
        "strut_tube": MarkStyle(p.line, THICK, fill=p.rubber),
        "knuckle": MarkStyle(p.line, THICK, fill=p.metal),
        "wheel": MarkStyle(p.soft, THIN),
        "wheel_rim": MarkStyle(p.faint, HAIR),
        "gearbox": MarkStyle(p.line, THIN, fill=p.metal),
        "housing": MarkStyle(p.line, THICK, fill=p.metal),
        "bore": MarkStyle(p.line, THIN, fill=p.paper),
        "stroke_end": MarkStyle(p.line, MEDIUM),
        "stroke_middle": MarkStyle(p.soft, THIN, "chain"),
        "stroke": MarkStyle(p.good, THIN, none, fill=p.good_band),
        "stroke_margin": MarkStyle(p.close, THIN, none, fill=p.close_band),
        "joint_centre": MarkStyle(p.accent, THICK, fill=p.paper),
        "shaft": MarkStyle(p.line, THICK, fill=p.shaft),
        "shaft_inside": MarkStyle(p.line, MEDIUM, none, fill=p.shaft),
        "shaft_edge": MarkStyle(p.line, MEDIUM),
        "shaft_line": MarkStyle(p.line, THICK),
        "boot": MarkStyle(p.line, MEDIUM, fill=p.rubber),
        "outer_joint": MarkStyle(p.line, THICK, fill=p.metal),
        "angle": MarkStyle(p.line, THIN),
        "angle_close": MarkStyle(p.close, THIN, bold=True),
        "angle_past": MarkStyle(p.past, THIN, bold=True),
        "edge": MarkStyle(p.line, THICK, none),
        "bracket": MarkStyle(p.line, THICK, fill=p.paper),
        "bracket_hatching": MarkStyle(p.soft, HAIR),
        "bracket_close": MarkStyle(p.close, THICK, fill=p.close_band),
        "bracket_close_hatching": MarkStyle(p.close, HAIR),
        "bracket_past": MarkStyle(p.past, THICK, fill=p.past_band),
        "bracket_past_hatching": MarkStyle(p.past, HAIR),
        "trim": MarkStyle(p.accent, MEDIUM, "dashed"),
        "cut": MarkStyle(p.line, THIN),
        "trim_hatching": MarkStyle(p.accent, HAIR),
        "envelope": MarkStyle(p.faint, THIN, "chain_double", fill=p.envelope),
        "ghost": MarkStyle(p.faint, THIN, "chain_double"),
        "faint": MarkStyle(p.faint, THIN),
        "dimension": MarkStyle(p.line, THIN, fill=p.line),
        "dimension_close": MarkStyle(p.close, THIN, fill=p.close, bold=True),
        "dimension_past": MarkStyle(p.past, THIN, fill=p.past, bold=True),
        "guessed": MarkStyle(p.soft, THIN, "dashed"),
        "unreached": MarkStyle(p.past, MEDIUM, "dashed"),
        "label": MarkStyle(p.soft),
        "label_strong": MarkStyle(p.line, bold=True),
        "label_close": MarkStyle(p.close, bold=True),
        "label_past": MarkStyle(p.past, bold=True),
        "note": MarkStyle(p.line),
        "note_good": MarkStyle(p.good, MEDIUM, fill=p.good, bold=True),
        "note_close": MarkStyle(p.close, MEDIUM, fill=p.close, bold=True),
        "note_past": MarkStyle(p.past, MEDIUM, fill=p.past, bold=True),
        "note_past_ring": MarkStyle(p.past, MEDIUM),
        "scale_full": MarkStyle(p.line, HAIR, fill=p.line),
        "scale_empty": MarkStyle(p.line, HAIR, fill=p.paper),
        "surround": MarkStyle(p.sheet, THIN, none, fill=p.sheet),
        "panel": MarkStyle(p.line, MEDIUM, fill=p.paper),
        "frame": MarkStyle(p.faint, THIN),
        "tick": MarkStyle(p.soft, HAIR),
        "curve": MarkStyle(p.line, MEDIUM),
        "curve_inside": MarkStyle(p.line, THIN, "dashed"),
        "curve_outside": MarkStyle(p.line, THIN, "chain"),
        "band_good": MarkStyle(p.good, THIN, none, fill=p.good_band),
        "band_close": MarkStyle(p.close, THIN, none, fill=p.close_band),
        "band_past": MarkStyle(p.past, THIN, none, fill=p.past_band),
        "plot_paper": MarkStyle(p.grid, THIN, none, fill=p.plot),
        "plot_grid": MarkStyle(p.grid_strong, HAIR),
        "band_word_good": MarkStyle(p.good),
        "band_word_close": MarkStyle(p.close),
        "band_word_past": MarkStyle(p.past),
        "here_word": MarkStyle(p.accent, bold=True),
        "grip": MarkStyle(p.accent, MEDIUM, fill=p.accent),
        "tip": MarkStyle(p.faint, THIN, fill=p.paper),
        "limit": MarkStyle(p.past, MEDIUM),
        "here": MarkStyle(p.accent, THIN),
        "here_dot": MarkStyle(p.accent, MEDIUM, fill=p.paper),
        "handle": MarkStyle(p.accent, THICK),
        "snap": MarkStyle(p.accent, HAIR, "dashed"),
        "reading": MarkStyle(p.faint, HAIR, fill=p.faint),
        "reading_lit": MarkStyle(p.accent, THIN, fill=p.accent),
        "next_reading": MarkStyle(p.accent, MEDIUM, "dashed"),
        "mark": MarkStyle(p.line, THIN),
        "doubt": MarkStyle(p.accent, THIN),
        "pin": MarkStyle(p.accent, MEDIUM, fill=p.accent),
    }


# The role of a kind of mark, by whether what it tells is good, close or past.
Roles = Mapping[State, Role]


def _by_state(good: Role, close: Role, past: Role) -> Roles:
    return {"good": good, "close": close, "past": past}


ANGLES = _by_state("angle", "angle_close", "angle_past")
LABELS = _by_state("label", "label_close", "label_past")
NOTES = _by_state("note_good", "note_close", "note_past")
DIMENSIONS = _by_state("dimension", "dimension_close", "dimension_past")
OUTLINES = _by_state("bracket", "bracket_close", "bracket_past")
HATCHINGS = _by_state("bracket_hatching", "bracket_close_hatching", "bracket_past_hatching")
BANDS = _by_state("band_good", "band_close", "band_past")
BAND_WORDS = _by_state("band_word_good", "band_word_close", "band_word_past")
