"""What of the form is in view: rows that stay where they are, and rows that are brought there."""

from __future__ import annotations

from sketcher.drawing.areas import Area
from sketcher.drawing.picture import Point2
from sketcher.window.model.edits import bracket_key
from sketcher.window.screen.form_layout import Grid, Placed
from sketcher.window.screen.form_picture import thumb
from sketcher.window.steps.rows import FieldRow, StepPart
from sketcher.window.steps.work_order import step_of

# A row that is brought into view has this much about it, px at UI scale 1.
_ABOUT = 56.0


class FormScroll:
    """The form's rows in their places, and how far they are scrolled, device px."""

    def __init__(self, grid: Grid, area: Area) -> None:
        self._grid = grid
        self._area = area
        self.rows: tuple[Placed, ...] = ()
        self.scroll = 0
        self._wanted = self._opened = ""

    def hold(self, new: tuple[Placed, ...], in_hand: str, pointed: str) -> None:
        """Keep the row in hand, or what is pointed at, or the first in view, where it is.

        ``in_hand`` is the key of the field in hand, ``pointed`` the row under the pointer;
        both may be empty.
        """
        after = {place.id: place for place in new}
        for place in self._anchors(in_hand, pointed):
            there = after.get(place.id)
            if there is not None:
                self.scroll += there.top - place.top
                break
        if not in_hand:
            most = new[-1].bottom - self._area.height if new else 0
            self.scroll = min(max(self.scroll, 0), max(most, 0))

    def _anchors(self, in_hand: str, pointed: str) -> list[Placed]:
        low, high = self.scroll, self.scroll + self._area.height
        seen = [place for place in self.rows if place.bottom > low and place.top < high]
        held = [place for place in self.rows if in_hand and place.has(in_hand)]
        under = [place for place in seen if place.id == pointed]
        return [*held, *under, *seen]

    def row_of(self, key: str) -> Placed | None:
        """The row that a field is in, by the field's key."""
        return next((place for place in self.rows if place.has(key)), None)

    def scroll_by(self, by: int) -> None:
        """Scroll by device px."""
        most = self.height - self._area.height
        self.scroll = min(max(self.scroll + by, 0), max(most, 0))

    @property
    def height(self) -> int:
        """How high all rows are, device px."""
        return (self.rows[-1].bottom if self.rows else 0) + self._grid.px(8)

    def holds_bar(self, point: Point2) -> bool:
        """Whether a pointer is on the scroll bar."""
        area = self._area
        inside = area.holds(point) and point[0] >= area.right - self._grid.px(14)
        return inside and self.height > area.height

    def scroll_to(self, y: float) -> None:
        """Bring what the place of a pointer on the scroll bar stands for into view."""
        area = self._area
        long = thumb(self._grid, area.height, self.scroll, self.height).height
        part = (y - area.top - long / 2) / max(area.height - long, 1)
        self.scroll_by(round(part * (self.height - area.height)) - self.scroll)

    def reveal(self, key: str) -> None:
        """Bring a thing's rows into view once they are there."""
        self._wanted = key

    def open(self, name: str) -> None:
        """Bring what a step or part holds into view once its rows are there."""
        self._opened = name

    def bring_wanted(self, *, aside: bool) -> None:
        """Bring what was asked for into view; a step's head is left ``aside`` for its fields."""
        key, self._wanted = self._wanted, ""
        name, self._opened = self._opened, ""
        if key:
            self._bring_revealed(key, aside=aside)
        if name:
            self._bring_opened(name)

    def _bring_revealed(self, key: str, *, aside: bool) -> None:
        for wanted in (key, bracket_key(key) or key):
            for place in self.rows:
                row = place.row
                if isinstance(row, FieldRow) and (
                    row.key == wanted or place.has(wanted) or row.key.startswith(f"{wanted}.")
                ):
                    self.bring(place)
                    return
        heads = [place for place in self.rows if place.id == f"step:{step_of(key)}"]
        if heads and not aside:
            self.bring(heads[0])

    def _bring_opened(self, name: str) -> None:
        """Bring what a step or part holds into view as it is opened, its head at most on top."""
        head = next((i for i, one in enumerate(self.rows) if _is_head(one, name)), None)
        if head is None:
            return
        further = self.rows[head + 1 :]
        part = self.rows[head].row is not None
        ends = (
            one.top
            for one in further
            if one.row is None or (part and isinstance(one.row, StepPart))
        )
        after = next(ends, self.rows[-1].bottom)
        lowest = after - self._area.height
        self.scroll = max(self.scroll, min(lowest, self.rows[head].top))

    def bring(self, place: Placed) -> None:
        """Bring a row into view, with what stands about it."""
        about, high = self._grid.px(_ABOUT), self._area.height
        if place.top - about < self.scroll:
            self.scroll = max(place.top - about, 0)
        elif place.bottom + about > self.scroll + high:
            self.scroll = place.bottom + about - high


def _is_head(place: Placed, name: str) -> bool:
    part = isinstance(place.row, StepPart) and place.row.key == name
    return part or place.id == f"step:{name}"
