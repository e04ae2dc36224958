"""Lists of readings as they stand on paper, and the scene that typing them comes to.

``python -m tests.paper_lists [SECONDS]`` types whole lists into the real window at twelve
keys a second, in mm with a comma and in inches with fractions, while answers arrive, until
the time is over.  It needs Xvfb and xdotool.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from scenes.keys import value_of
from scenes.model import Scene
from scenes.reading import read_scene
from scenes.writing import scene_text
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field
from sketcher.window.model.start import start_scene
from sketcher.window.steps.rows import FieldRow
from sketcher.window.steps.work_order import WORK_ORDER
from sketcher.words.units import MM_PER_INCH, Unit

KEYS_A_SECOND = 12


@dataclass(frozen=True)
class PaperList:
    """What is typed, one line for a field, and the scene that comes of it.

    An empty line is for a field that is gone past.
    """

    lines: tuple[str, ...]
    scene: Scene


def fields_in_order(editor: Editor) -> list[Field]:
    """The fields of Measure up to the last number of the last shaft, as a hand goes through."""
    measure = WORK_ORDER[0]
    rows = measure.rows(editor, editor.shown())
    fields = [field for row in rows if isinstance(row, FieldRow) for field in row.fields]
    last = max(i for i, field in enumerate(fields) if field.key.endswith("outer_joint.max_angle"))
    return fields[: last + 1]


def paper_list(unit: Unit, seed: int, most: int = 1000) -> PaperList:
    """A list for a new scene: every number measured a little off where the scene starts."""
    chance = random.Random(seed)
    editor = Editor(Document(start_scene()), unit=unit)
    lines = []
    for field in fields_in_order(editor)[:most]:
        if field.kind == "rows":
            lines.append("")
            continue
        now = float(str(value_of(editor.scene, field.key)))
        if field.kind == "length":
            line = _length(now + chance.uniform(0.0, 9.0), unit, chance)
        elif field.kind == "angle":
            line = f"{now + chance.randrange(0, 20) / 10:.1f}".replace(".", ",")
        else:
            line = f"{now:g}"
        assert editor.type(field, line), (field, line, editor.message)
        lines.append(line)
    editor.close()
    return PaperList(tuple(lines), editor.scene)


def _length(mm: float, unit: Unit, chance: random.Random) -> str:
    if unit == "mm":
        return f"{mm:.1f}".replace(".", ",")
    parts = Fraction(round(mm / MM_PER_INCH * 16), 16)
    whole, over = divmod(abs(parts), 1)
    sign = "-" if parts < 0 else ""
    if not over:
        return f"{sign}{whole}"
    inches = chance.choice(('"', " in", ""))
    return f"{sign}{whole} {over}{inches}" if whole else f"{sign}{over}{inches}"


def main() -> int:
    """Type list after list into the real window; 1 at the first scene that differs."""
    from tests.test_window_end_to_end import Screen, type_list

    until = time.monotonic() + (float(sys.argv[1]) if len(sys.argv) > 1 else 300.0)
    seed = 0
    while time.monotonic() < until:
        for unit in ("mm", "in"):
            with tempfile.TemporaryDirectory() as name:
                screen = Screen(Path(name))
                try:
                    wanted = paper_list("mm" if unit == "mm" else "in", seed)
                    path = Path(name) / "list.toml"
                    type_list(screen, wanted, "mm" if unit == "mm" else "in", path)
                    same = scene_text(read_scene(path)) == scene_text(wanted.scene)
                finally:
                    screen.close()
            print(f"list {seed} in {unit}: {'as typed' if same else 'DIFFERS'}", flush=True)
            if not same:
                return 1
        seed += 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
