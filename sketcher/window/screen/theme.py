"""The look of fields, buttons and dialogs: the drawing's own palette at a UI scale."""

from __future__ import annotations

from typing import Any

from sketcher.drawing.fonts import font_px
from sketcher.drawing.picture import Size
from sketcher.drawing.style import PALETTES, Colour, Theme

FONT = "noto_sans"


def gui_theme(theme: Theme, scale: float) -> dict[str, dict[str, Any]]:
    """The theme for pygame_gui, built from the drawing's palette."""
    p = PALETTES[theme]

    def px(value: float) -> str:
        return str(max(1, round(value * scale)))

    def font(size: Size = "normal", *, bold: bool = False) -> dict[str, str]:
        return {"name": FONT, "size": str(font_px(size, scale)), "bold": "1" if bold else "0"}

    flat = {"shape": "rectangle", "shadow_width": "0", "border_width": px(1)}
    bare = {**flat, "border_width": "0"}

    def left(misc: dict[str, str], padding: float) -> dict[str, str]:
        """Words to the left."""
        alignment = {"text_horiz_alignment": "left", "text_horiz_alignment_padding": px(padding)}
        return misc | alignment

    clear = "#00000000"
    parts = (
        f"{state}_{of}" for of in ("bg", "border") for state in ("normal", "hovered", "active")
    )
    unseen = dict.fromkeys(parts, clear)
    return {
        "defaults": {
            "colours": {
                "normal_bg": _hex(p.paper),
                "hovered_bg": _hex(p.metal),
                "disabled_bg": _hex(p.sheet),
                "selected_bg": _hex(p.accent),
                "active_bg": _hex(p.grid_strong),
                "dark_bg": _hex(p.paper),
                "disabled_dark_bg": _hex(p.sheet),
                "normal_text": _hex(p.line),
                "hovered_text": _hex(p.line),
                "disabled_text": _hex(p.faint),
                "selected_text": _hex(p.paper),
                "active_text": _hex(p.line),
                "normal_border": _hex(p.faint),
                "hovered_border": _hex(p.accent),
                "disabled_border": _hex(p.grid_strong),
                "selected_border": _hex(p.accent),
                "active_border": _hex(p.accent),
                "text_shadow": clear,
                "text_cursor": _hex(p.accent),
            },
        },
        "#default_shape_style": {"misc": {**flat, "shape_corner_radius": "0"}},
        "button": {"misc": {**flat, "tool_tip_delay": "0.6"}, "font": font()},
        "window": {
            "misc": {**flat, "border_width": px(2), "title_bar_height": px(28)},
            "colours": {"normal_border": _hex(p.line)},
        },
        "window.#title_bar": {"misc": left(flat, 8), "font": font(bold=True)},
        "window.#close_button": {"misc": flat, "font": {**font(), "name": "fira_code_symbols"}},
        "@quiet": {"colours": {"normal_bg": _hex(p.sheet), "normal_border": _hex(p.sheet)}},
        "text_entry_line": {
            "misc": {**flat, "padding": f"{px(4)},{px(2)}"},
            "font": font(),
            "colours": {"normal_border": _hex(p.grid_strong)},
        },
        # The form paints boxes and states itself, under these.
        "@field": {
            "misc": {**bare, "padding": f"{px(4)},{px(1)}"},
            "colours": {"dark_bg": clear, "normal_bg": clear, "disabled_bg": clear},
        },
        "@check": {"colours": unseen, "misc": left(bare, 20)},
        "@answer": {"misc": left(flat, 8), "font": font("small")},
        "@over": {"colours": unseen, "misc": bare, "font": font("small")},
        "text_box": {
            "colours": {"normal_border": _hex(p.paper)},
            "misc": {**bare, "padding": f"{px(8)},{px(4)}"},
            "font": font(),
        },
        "selection_list": {"misc": {**flat, "list_item_height": px(26)}},
        "selection_list.button": {"misc": left(bare, 8)},
        "vertical_scroll_bar": {
            "misc": {**bare, "enable_arrow_buttons": "0"},
            "colours": {"dark_bg": _hex(p.sheet)},
        },
        "vertical_scroll_bar.#sliding_button": {
            "misc": bare,
            "colours": {"normal_bg": _hex(p.grid_strong), "hovered_bg": _hex(p.faint)},
        },
        "tool_tip": {"misc": {"rect_width": px(280), **flat}},
        "tool_tip.text_box": {
            "misc": {**flat, "padding": f"{px(6)},{px(4)}"},
            "colours": {"normal_border": _hex(p.soft)},
        },
    }


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)
