"""What commands, steps and drawings say of the examples, held word for word.

Pinned from our own output: it proves nothing right, and shows at once what a change changes.
``python -m tests.test_pinned`` writes ``tests/pinned`` anew; read the difference.  A number may
be off by what the order of sums does to it.
"""

from __future__ import annotations

import contextlib
import io
import re
from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial

import pypdf
import pytest

from scenes.library import example, example_text
from sketcher.__main__ import main
from sketcher.drawing.areas import Area
from sketcher.drawing.page import Page
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Text
from sketcher.paper.picture_page import What, pixel_page
from sketcher.paper.picture_subject import PictureSubject
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import show
from sketcher.window.steps import rows as kinds
from sketcher.window.steps.work_order import WORK_ORDER
from sketcher.words.units import Unit
from tests.drawn import laid
from tests.pinning import now_and_before, write_anew
from tests.waiting import wait_until

NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")
LEFT = ("--side", "left")
COMMANDS: dict[str, tuple[tuple[str, ...], ...]] = {
    "van-front": (
        ("report",),
        ("report", "--units", "in", *LEFT),
        ("table", "--step", "35", *LEFT),
        ("certainty", "--draws", "1000", *LEFT),
    ),
    "van-front-making": (
        ("report", "--json"),
        ("cuts",),
        ("cuts", "--units", "in"),
        ("cuts", "--json"),
        ("strength",),
        ("strength", "--json"),
        ("runout",),
        ("runout", "--json"),
        ("donors",),
        ("donors", "--json"),
        ("trial", "--units", "in"),
    ),
    "van-front-misread": (("points", *LEFT), ("points", "--json", *LEFT)),
    "van-front-mount-fouls": (
        ("report", *LEFT),
        ("trim", "--bracket", "motor mount foot"),
    ),
    "van-front-readings": (("points", "--units", "in", *LEFT),),
    "van-front-too-long": (("report", *LEFT),),
    "van-rear": (("report", *LEFT), ("table", "--step", "35", *LEFT)),
    "van-rear-measured": (
        ("placement",),
        ("placement", "--json"),
        ("trial", *LEFT),
        ("trial", "--json", *LEFT),
        ("certainty", "--draws", "1000", *LEFT),
        ("certainty", "--draws", "1000", "--json", "--units", "in", *LEFT),
    ),
}
STEPS: dict[str, Unit] = {
    "van-front-making": "in",
    "van-front-misread": "mm",
    "van-front-mount-fouls": "mm",
    "van-rear-measured": "mm",
}
DRAWN: tuple[tuple[str, What, float, float], ...] = (
    ("van-front", "sheet", -40.0, 20.0),
    ("van-front-making", "cuts", 0.0, 0.0),
    ("van-front-making", "sheet", 30.0, 0.0),
    ("van-front-mount-fouls", "sheet", -85.0, -30.0),
    ("van-front-readings", "sheet", 0.0, 0.0),
    ("van-front-too-long", "sheet", 75.0, 36.0),
    ("van-rear", "sheet", 20.0, 0.0),
    ("van-rear-measured", "sheet", -20.0, 0.0),
)
SHEETS = ("van-front-making", "van-front-mount-fouls")


def of_commands(name: str) -> Iterator[str]:
    for words in COMMANDS[name]:
        printed = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
        with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(printed):
            code = main([words[0], "--example", name, *words[1:]])
        said = printed.buffer.getvalue().decode()
        yield f"$ {' '.join(words)}\n{said}= {code}"


def of_steps(name: str) -> Iterator[str]:
    editor = Editor(Document(example(name), text=example_text(name)))
    editor.unit = STEPS[name]
    try:
        for step in WORK_ORDER:
            listed = _opened(editor, step)
            yield f"{step.name}: {step.summary(editor, editor.shown(exact=True))}"
            yield from (f"  {_row(editor, row)}" for row in listed)
    finally:
        editor.close()


def _opened(editor: Editor, step: kinds.WorkStep) -> list[kinds.Row]:
    """A step's rows with all its parts open, once nothing is being worked out."""
    listed: list[kinds.Row] = []

    def done() -> bool:
        listed[:] = step.rows(editor, editor.shown(exact=True))
        closed = {row.key for row in listed if isinstance(row, kinds.StepPart)} - editor.open_steps
        editor.open_steps |= closed
        return not closed and not editor.worker.pending

    wait_until(done, lambda: editor.worker.go_on(0.01), pause_seconds=0.002)
    return listed


def _row(editor: Editor, row: kinds.Row) -> str:
    match row:
        case kinds.FieldRow():
            values = " | ".join(show(one, editor.scene, editor.unit) for one in row.fields)
            return f"{row.label} [{row.key} {row.first}] {values}"
        case kinds.Drawing():
            drawn = [*row.draw(Pane(Area(0, 0, 300, int(row.height)), 1.0))]
            counted = Counter(f"{type(one).__name__} {one.role}" for one in drawn)
            words = [one.text for one in drawn if isinstance(one, Text)]
            of = row.of if isinstance(row.of, str) else ""
            return f"drawing {of} {sorted(counted.items())} {words} {[*laid(drawn)]}"
        case _:
            return repr(row)


def of_drawing(name: str, what: What, travel_mm: float, steer_deg: float) -> Iterator[str]:
    subject = PictureSubject.of(example(name), "left", travel_mm, steer_deg)
    page: Page = pixel_page(subject, what, 1600, 1000)
    for number, panel in enumerate(page.panels):
        items = list(panel.picture)
        yield f"panel {number}"
        counted = Counter(f"{type(one).__name__} {one.role}" for one in items)
        yield from (f"  {count} {kind}" for kind, count in sorted(counted.items()))
        yield from (f"  {one.role}: {one.text}" for one in items if isinstance(one, Text))
        yield from (f"  lies {line}" for line in laid(items))


def of_sheet(name: str) -> Iterator[str]:
    content = io.TextIOWrapper(io.BytesIO())
    with contextlib.redirect_stdout(content), contextlib.redirect_stderr(io.StringIO()):
        main(["sheet", "--example", name, *LEFT, "-o", "-"])
    for number, page in enumerate(pypdf.PdfReader(content.buffer).pages, 1):
        yield f"page {number}"
        yield page.extract_text()


def everything() -> dict[str, Callable[[], Iterator[str]]]:
    """What is held, by the name of its file."""
    held: dict[str, Callable[[], Iterator[str]]] = {}
    held |= {f"{name}-commands": partial(of_commands, name) for name in COMMANDS}
    held |= {f"{name}-steps": partial(of_steps, name) for name in STEPS}
    held |= {
        f"{name}-{what}-drawn": partial(of_drawing, name, what, *at) for name, what, *at in DRAWN
    }
    held |= {f"{name}-shop-sheet": partial(of_sheet, name) for name in SHEETS}
    return held


def _shorter(text: str) -> str:
    return NUMBER.sub(lambda n: n[0] if len(n[0]) < 9 else f"{float(n[0]):.6g}", text)


def _parts(text: str) -> tuple[list[str], list[float]]:
    # Readers of PDF files differ in the spaces that they see.
    text = "".join(text.split())
    return NUMBER.split(text), [float(number) for number in NUMBER.findall(text)]


@pytest.mark.usefixtures("few_draws")
@pytest.mark.parametrize("name", everything())
def test_what_is_said_and_drawn_is_as_it_was(name: str) -> None:
    said, was = now_and_before(name, [_shorter("\n".join(everything()[name]()))])
    for line, before in zip(said, was, strict=False):
        (words, numbers), (words_before, numbers_before) = _parts(line), _parts(before)
        assert words == words_before, line
        assert numbers == pytest.approx(numbers_before, rel=1e-5, abs=1e-6), line
    assert len(said) == len(was)


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
