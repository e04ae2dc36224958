"""What stands beside a field of the form: why it is not taken, what is asked, what to choose.

It lies on the sketch at the height of its row, so that no row ever moves for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import pygame
from pygame_gui.core import ObjectID, UIElement
from pygame_gui.elements import UIButton
from pygame_gui.ui_manager import UIManager

from sketcher.drawing.fonts import font_px, width_px
from sketcher.drawing.pane import wrapped
from sketcher.drawing.picture import Point2
from sketcher.drawing.style import Palette, style
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, show
from sketcher.window.model.form import Form, Said
from sketcher.window.screen.form_picture import written
from sketcher.window.screen.layout import ScreenLayout
from sketcher.window.screen.panel import Panel

_WIDTH, _PAD, _LINE, _BUTTON, _GAP = 288.0, 8.0, 16.0, 24.0, 6.0
_MOST_LINES, _MOST_CHOICES, _MOST_ROWS = 8, 8, 40
_OWN_STEEL = "Or your own: its name and yield, such as own bar, 400 MPa."


@dataclass(frozen=True, slots=True)
class Choice:
    """A button: its words, and the text that it types; None gives back what was."""

    words: str
    text: str | None
    keep: bool = False


@dataclass(frozen=True, slots=True)
class Callout:
    """What stands beside one field, and where its row is; device px."""

    field: Field
    kind: str
    lines: tuple[str, ...]
    answers: tuple[Choice, ...]
    row: int
    rect: tuple[int, int, int, int]
    listed: bool = False
    text: str = ""


class Callouts:
    """The callouts on screen and their buttons; ``shown`` is what stands beside fields now."""

    def __init__(self, manager: UIManager, layout: ScreenLayout) -> None:
        self._manager = manager
        self._layout = layout
        self._px = layout.px
        self.shown: tuple[Callout, ...] = ()
        self._buttons: list[UIButton] = []
        # A button that is pressed as it goes away still means what it said.
        self._acts: dict[UIElement, tuple[Field, Choice]] = {}
        self._kept: list[tuple[pygame.Surface, pygame.Rect]] = []

    def holds(self, point: Point2) -> bool:
        """Whether a pointer is on one."""
        return any(pygame.Rect(one.rect).collidepoint(point) for one in self.shown)

    def tells(self, text: str) -> bool:
        """Whether a text stands beside a field, whole."""
        return any(one.text == text for one in self.shown)

    def update(self, panel: Panel, editor: Editor, told: tuple[str, ...] = ()) -> bool:
        """Bring them up to date; whether anything of them went, came or moved.

        ``told`` is all of the answer above, a sentence each, where that is asked for.
        """
        beside = tuple(self._callouts(panel, editor))
        new = (*beside, *self._whole_answer(told, beside))
        if new == self.shown:
            return False
        self.shown = new
        for button in self._buttons:
            button.kill()  # type: ignore[no-untyped-call]
        self._buttons = []
        self._kept = []
        if len(self._acts) > 100:
            self._acts.clear()
        for one in new:
            for answer, rect in self.places(one):
                button = UIButton(
                    rect, answer.words, self._manager, starting_height=8,
                    object_id=ObjectID(None, "@answer"),
                )  # fmt: skip
                self._buttons.append(button)
                self._acts[button] = (one.field, answer)
        return True

    def pressed(self, element: UIElement, form: Form, editor: Editor) -> bool:
        """Do what a pressed button says; whether it was one of these."""
        found = self._acts.get(element)
        if found is None:
            return False
        field, answer = found
        if answer.keep:
            form.answer(field.key, None, editor)
        elif answer.text is None:
            form.give_back(field)
        else:
            form.said.pop(field.key, None)
            form.write(field, answer.text)
            form.take(field, editor)
        return True

    def paint(self, surface: pygame.Surface, editor: Editor) -> None:
        """Paint boxes and words; the buttons are drawn over them."""
        palette = style(editor.theme).palette
        for one in self.shown:
            self._box(surface, one, palette)

    def keep(self, surface: pygame.Surface) -> None:
        """Keep what was painted, buttons and all."""
        self._kept = []
        for one in self.shown:
            rect = pygame.Rect(one.rect).clip(surface.get_rect())
            if rect.width and rect.height:
                self._kept.append((surface.subsurface(rect).copy(), rect))

    def put_back(self, surface: pygame.Surface) -> None:
        """Lay what was kept over what has been painted since."""
        for kept, rect in self._kept:
            surface.blit(kept, rect)

    def _callouts(self, panel: Panel, editor: Editor) -> Iterator[Callout]:
        area, in_hand = self._layout.panel, panel.form.in_hand
        about: list[tuple[Field, Said | None]] = []
        about += [(said.field, said) for said in panel.form.said.values()]
        if in_hand is not None and in_hand.choices and in_hand.key not in panel.form.said:
            about.append((in_hand, None))
        seen = []
        for field, said in about:
            rect = panel.place_of(field.key)
            if rect is not None and area.top <= rect.centery < area.bottom:
                seen.append((rect.centery, field, said))
        told = [
            self._callout(field, said, middle, panel.form, editor)
            for middle, field, said in sorted(seen, key=lambda one: one[0])
        ]
        told = self._apart(told, "" if in_hand is None else in_hand.key)
        yield from told
        below = max((one.rect[1] + one.rect[3] + self._px(4) for one in told), default=0)
        yield from self._help(panel, below)

    def _apart(self, told: list[Callout], in_hand: str) -> list[Callout]:
        """Callouts in the order of their rows, none over another; the last go for want of room."""
        top, bottom, gap = self._layout.strip.bottom, self._layout.foot.top, self._px(4)
        while len(told) > 1 and sum(one.rect[3] + gap for one in told) > bottom - top + gap:
            told.remove(next(one for one in reversed(told) if one.field.key != in_hand))
        tops = []
        for one in told:
            tops.append(max(one.rect[1], top))
            top = tops[-1] + one.rect[3] + gap
        for i in reversed(range(len(told))):
            tops[i] = min(tops[i], bottom - told[i].rect[3])
            bottom = tops[i] - gap
        return [
            replace(one, rect=(one.rect[0], new, *one.rect[2:]))
            for one, new in zip(told, tops, strict=True)
        ]

    def _help(self, panel: Panel, below: int) -> Iterator[Callout]:
        """What is under the pointer, beside it: it covers no field."""
        told = panel.help
        if told is None:
            return
        middle, text = told
        lines = self._lines(text)
        height = self._px(2 * _PAD + _LINE * len(lines))
        top = max(middle - self._px(_PAD + _LINE / 2), self._layout.strip.bottom)
        top = min(top, self._layout.foot.top - height)
        if top < below:
            return
        rect = (self._layout.panel.right + self._px(8), top, self._px(_WIDTH), height)
        yield Callout(Field("", text), "help", lines, (), middle, rect)

    def _whole_answer(
        self, told: tuple[str, ...], beside: tuple[Callout, ...]
    ) -> Iterator[Callout]:
        """All of the answer, under its strip and clear of what stands beside fields."""
        if not told:
            return
        area, gap = self._layout.answer, self._px(8)
        left = max((one.rect[0] + one.rect[2] for one in beside), default=area.left) + gap
        width = area.right - gap - left
        lines = tuple(line for text in told for line in self._lines(text, width, _MOST_ROWS))
        height = self._px(2 * _PAD + _LINE * len(lines))
        rect = (left, area.bottom + gap // 2, width, height)
        yield Callout(Field("", ""), "answer", lines, (), area.bottom, rect, text=" ".join(told))

    def _lines(
        self, text: str, width: int | None = None, most: int = _MOST_LINES
    ) -> tuple[str, ...]:
        whole = self._px(_WIDTH) if width is None else width
        size, room = font_px("small", self._layout.scale), whole - self._px(2 * _PAD + 10)
        return tuple(wrapped(text, room, size, False, most)) if text else ()

    def _callout(
        self, field: Field, said: Said | None, middle: int, form: Form, editor: Editor
    ) -> Callout:
        if said is None:
            text, kind = (_OWN_STEEL if field.kind == "steel" else ""), "choose"
            answers = tuple(Choice(one, one) for one in _matching(field, form))
        elif said.kind == "asked":
            text, kind = said.text, "asked"
            others = tuple(Choice(one, one) for one in said.instead)
            answers = (Choice(f"Yes, {said.about}", said.about, keep=True), *others)
        else:
            text, kind = said.text, "refused"
            was = show(field, editor.scene, editor.unit)
            answers = (Choice(f"Back to {was}" if was else "Back to nothing", None),)
            if form.in_hand == field:
                answers += tuple(Choice(one, one) for one in _matching(field, form))
        lines = self._lines(text)
        listed = kind == "choose" or bool(kind == "refused" and len(answers) > 1)
        rows = len(answers) if listed else 1
        height = self._px(
            2 * _PAD + _LINE * len(lines) + rows * (_BUTTON + 2) + (_GAP if lines else 0)
        )
        left, top = self._layout.panel.right + self._px(8), middle - self._px(_PAD + _LINE / 2)
        return Callout(
            field, kind, lines, answers, middle, (left, top, self._px(_WIDTH), height), listed,
            text,
        )  # fmt: skip

    def places(self, one: Callout) -> Iterator[tuple[Choice, pygame.Rect]]:
        """The answers of a callout, and where their buttons are."""
        left, top = one.rect[0] + self._px(_PAD), one.rect[1] + self._px(_PAD)
        top += self._px(_LINE * len(one.lines) + (_GAP if one.lines else 0))
        size = font_px("small", self._layout.scale)
        for answer in one.answers:
            wide = self._px(_WIDTH - 2 * _PAD)
            if not one.listed:
                wide = min(round(width_px(answer.words, size)) + self._px(18), wide)
            yield answer, pygame.Rect(left, top, wide, self._px(_BUTTON))
            if one.listed:
                top += self._px(_BUTTON + 2)
            else:
                left += wide + self._px(_GAP)

    def _box(self, surface: pygame.Surface, one: Callout, palette: Palette) -> None:
        kinds = {"refused": palette.past, "asked": palette.close, "choose": palette.accent}
        colour = kinds.get(one.kind, palette.faint)
        rect, thick = pygame.Rect(one.rect), max(1, self._px(1.5))
        surface.fill(palette.paper, rect)
        pygame.draw.rect(surface, colour, rect, thick)
        surface.fill(colour, (rect.left, rect.top, self._px(4), rect.height))
        start = (self._layout.panel.right - self._px(14), one.row)
        near = min(max(one.row, rect.top + thick), rect.bottom - thick)
        if one.kind != "answer":
            pygame.draw.line(surface, colour, start, (rect.left, near), thick)
        size = font_px("small", self._layout.scale)
        for i, line in enumerate(one.lines):
            drawn = written(line, size, palette.line)
            y = rect.top + self._px(_PAD + _LINE * (i + 0.5)) - drawn.get_height() // 2
            surface.blit(drawn, (rect.left + self._px(_PAD + 4), y))


def _matching(field: Field, form: Form) -> tuple[str, ...]:
    """The choices that hold what was typed so far; all of them where nothing was typed."""
    typed = form.typed.get(field.key, "").strip().lower()
    found = tuple(one for one in field.choices if typed in one.lower())
    return (found if typed and found else field.choices)[:_MOST_CHOICES]
