"""What a hand does to a scene, without a screen, and what comes of it, held word for word.

Every field is typed into, every command pressed, every point dragged.  What the scene then has
that it had not, and what is said, is pinned from our own output: it proves nothing right, and
shows at once what a change changes.  ``python -m tests.test_by_hand`` writes
``tests/pinned/by-hand`` anew; read the difference.
"""

from __future__ import annotations

import dataclasses
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import zip_longest
from typing import Any, get_args

import pytest
from PIL import Image

from kinematics.parts import FrontPoint
from kinematics.shaft.mount_room import MountRoom
from kinematics.shaft.placement import place_gearbox
from scenes.keys import has, value_of
from scenes.library import example
from scenes.model import Scene
from scenes.photo import Photo
from sketcher.answers.position_values import position_values
from sketcher.answers.shown import Shown, nearest_gap
from sketcher.answers.verdict import Verdict
from sketcher.drawing.answer_strip import draw_answer, draw_bar, whole_answer
from sketcher.drawing.areas import Area
from sketcher.drawing.camera import Camera
from sketcher.drawing.pane import Pane
from sketcher.drawing.picture import Text, View
from sketcher.interchange.photo_file import PhotoFile
from sketcher.window.model import bracket_drawing, photo_pins, pointing_out
from sketcher.window.model.document import Document
from sketcher.window.model.editor import Editor
from sketcher.window.model.fields import Field, show
from sketcher.window.model.form import Form
from sketcher.window.model.gestures import begin_drag
from sketcher.window.model.linkage_edits import change_linkage
from sketcher.window.model.making_edits import start_making
from sketcher.window.model.open_outline import Shape
from sketcher.window.model.pointing import Pointing, PointingFor
from sketcher.window.model.start import start_scene
from sketcher.window.steps import rows as kinds
from sketcher.window.steps.command import by_window
from sketcher.window.steps.commands import COMMANDS
from sketcher.window.steps.placement_rows import draw_map
from sketcher.window.steps.work_order import WORK_ORDER
from sketcher.words.units import Unit
from tests import random_scenes
from tests.pinning import now_and_before, same, write_anew

TYPED = ("12.5", "3 1/8 in", "-4", "1e9", "x y", "")
# What some kinds of field take besides.
TAKEN: dict[str, tuple[str, ...]] = {
    "reading": (
        "A B 331",
        "ball joint up 188.4 ±2",
        "A B rise -17 at 30 droop",
        "B across 52 5/8 in",
    ),
    "reading_line": ("A C 640", "B out 668 at -20"),
    "mark": ("weld nut; 420; 310; -80", "weld nut; 16 1/2 in; 310"),
    "measurement": ("-20; 401.3", "20; 15 3/4 in"),
    "names": ("ball joint, strut top",),
    "rows": ("0 23 24; 10 20 21", "0; 20; 20"),
    "taper": ("40; 30", "1 1/2 in"),
    "extent": ("-30; 45", "all"),
    "each_way": ("3; 5", "-2; 4", "0", "0.05"),
    **dict.fromkeys(("length", "open_length", "angle", "number"), ("0", "0.05")),
    "sizes": ("1; 2; 3",),
    "text": ("another name",),
    "notes": ("one\ntwo",),
    "direction": ("0.25",),
}
# The first words of the commands that are pressed with each scene.
PRESSED: dict[str, tuple[str, ...]] = {
    "brackets-1": tuple("abcdefghi"),
    "brackets-2": tuple("jklmno"),
    "brackets-3": tuple("pqrst"),
    "brackets-4": tuple("uvwxyz"),
    "making": (
        "wish",
        "meas",
        "start_",
        "add_",
        "remove_",
        "use_",
        "turn_",
        "sleeve",
        "butt",
        "stroke",
        "trial",
    ),
    "readings": ("remove", "drop", "put_", "other_", "own", "take_", "set_", "place", "nudge_up"),
}
VIEWS: tuple[View, ...] = ("front", "above")


def _few_readings() -> Scene:
    scene = example("van-front-misread")
    photo = Photo("front.jpg", ((812.0, 440.0, 338.0, 205.0), (1630.0, 455.0, 668.0, 188.0)))
    return replace(scene, readings=(*scene.readings[:12:4], *scene.readings[-2:]), photo=photo)


SCENES: dict[str, Callable[[], Scene]] = {
    "brackets": lambda: example("van-front-mount-fouls"),
    "making": lambda: example("van-front-making"),
    "measured": lambda: example("van-rear-measured"),
    "ragged": lambda: random_scenes.scene(1, "wishbones", brackets=2),
    "readings": _few_readings,
    "start": start_scene,
    "started-making": lambda: start_making(start_scene(), "left"),
    "wishbones": lambda: change_linkage(start_scene(), "wishbones"),
}


def editor_of(name: str) -> Editor:
    editor = Editor(Document(SCENES[name]()))
    for view in VIEWS:
        editor.cameras[view] = Camera(800.0, 600.0, (500.0, 300.0), 2.0)
    return editor


def flat(value: Any, path: str = "") -> dict[str, str]:
    """Every value of a scene by its path."""
    if dataclasses.is_dataclass(value):
        parts = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
    elif isinstance(value, tuple):
        parts = {str(number): one for number, one in enumerate(value)}
    else:
        if isinstance(value, frozenset) and value:
            # A set of texts has another order each time.
            return {path: f"frozenset({{{', '.join(map(repr, sorted(value)))}}})"}
        return {path: f"{value:.9g}" if isinstance(value, float) else str(value)}
    found: dict[str, str] = {}
    for name, one in parts.items():
        found |= flat(one, f"{path}.{name}")
    return found or {path: "none"}


def changes(before: Any, after: Any, path: str = "") -> Iterator[str]:
    """What of a scene is another than before; what both share is looked at no further."""
    if before is after:
        return
    if dataclasses.is_dataclass(after) and type(before) is type(after):
        for field in dataclasses.fields(after):
            name = field.name
            yield from changes(getattr(before, name), getattr(after, name), f"{path}.{name}")
    elif isinstance(before, tuple) and isinstance(after, tuple) and before and after:
        for number, (one, other) in enumerate(zip_longest(before, after)):
            yield from changes(one, other, f"{path}.{number}")
    else:
        was, now = flat(before, path), flat(after, path)
        for key in sorted(was.keys() | now.keys()):
            if was.get(key) != now.get(key):
                yield f"{key} {was.get(key, '-')} > {now.get(key, '-')}"


def done(editor: Editor, before: Scene, *, undone: bool = True) -> str:
    """What changed, what is selected and what is said; it is taken back at once."""
    changed = [*changes(before, editor.scene)]
    message = editor.message
    said = "" if message is None else f"{message.kind}: {message.text}"
    steps = editor.document.undo_label or "no step"
    if undone:
        while editor.document.undo_label:
            editor.document.undo()
        assert editor.scene is before
    more = f" and {len(changed) - 20} more" if len(changed) > 20 else ""
    editor.message = None
    return f"[{steps}] {editor.selection} | {said} | {'; '.join(changed[:20])}{more}"


def fields_of(editor: Editor) -> dict[str, tuple[str, Field]]:
    """Every field of the work order, all of it open, with what its row is called."""
    found: dict[str, tuple[str, Field]] = {}
    for step in WORK_ORDER:
        # Parts within parts.
        for _ in range(3):
            for row in step.rows(editor, editor.shown()):
                if isinstance(row, kinds.StepPart):
                    editor.open_steps.add(row.key)
                elif isinstance(row, kinds.FieldRow):
                    found |= {one.key: (f"{row.label} {row.key}", one) for one in row.fields}
    return found


def of_fields(name: str) -> Iterator[str]:
    editor = editor_of(name)
    before = editor.scene
    fields = fields_of(editor)
    if name == "readings":
        # The other fields are those of the other scenes.
        fields = {key: one for key, one in fields.items() if key.startswith(("read", "mark", "ph"))}
    for number, (row, field) in enumerate(fields.values()):
        editor.unit = "in" if number % 3 == 2 else "mm"
        yield f"{row}: {field.key} ({field.label}, {field.kind}, {field.unit(editor.unit)})"
        yield f"  {show(field, editor.scene, editor.unit)!r} {field.help}"
        # By turns, so that each kind of field is given each of them.
        if field.kind == "read" and number % 7:
            continue
        taken = TAKEN.get(field.kind, ())
        for text in (TYPED[number % 6], TYPED[(number + 2) % 6], *field.choices[1:3], *taken):
            form = Form()
            form.write(field, text)
            form.take(field, editor)
            asked = [f"{one.kind} {one.text} {one.instead}" for one in form.said.values()]
            yield f"  {text!r} {asked} {done(editor, before)}"
        form = Form()
        if form.step(field, editor, 1 - 2 * (number % 2), fine=number % 5 == 0):
            yield f"  stepped {done(editor, before)}"
    editor.close()


def selections(scene: Scene) -> tuple[str, ...]:
    wanted = ("", "bracket[0]", "bracket[0].outline[1]", "mark[1].at", "reading[0]")
    return tuple(one for one in (*wanted, "linkage.ball_joint") if not one or has(scene, one))


def of_commands(which: str) -> Iterator[str]:
    name = which.partition("-")[0]
    commands = [
        one
        for one in COMMANDS.values()
        if one.run is not by_window and one.name.startswith(PRESSED[which])
    ]
    for command in commands:
        for selected in selections(SCENES[name]()):
            editor = editor_of(name)
            editor.select(selected)
            before, label = editor.scene, command.label(editor)
            on = None if command.on is None else command.on(editor)
            command.run(editor)
            position = f"{editor.travel_mm:g} {editor.steer_deg:g} {editor.side}"
            yield (
                f"{command.name} {selected}: {label} {on} {position} "
                f"{editor.open_outline} {editor.pointing} {done(editor, before, undone=False)}"
            )
            editor.close()


def dragged(scene: Scene) -> Iterator[str]:
    """What a drag may begin on."""
    yield from ("wheel", "knuckle", "photo.pins[1]")
    yield from (path for path in scene.points if not path.startswith("mark"))
    yield from (f"mark[{number}].at" for number in range(min(len(scene.marks), 1)))
    for number in range(min(len(scene.brackets), 2)):
        yield f"bracket[{number}]"
        for corner in range(min(len(scene.brackets[number].outline), 3)):
            yield from (f"bracket[{number}].{one}[{corner}]" for one in ("outline", "edge"))
    for number in range(len(getattr(scene.linkage, "positions", ()))):
        yield f"position[{number}].outer_joint"


HELD: tuple[tuple[float, float, View], ...] = (
    (0.0, 0.0, "front"),
    (25.0, 9.0, "front"),
    (-20.0, 0.0, "above"),
)
SHAPES: tuple[Shape, ...] = ("outline", "plate", "round", "hole")
POINTED: tuple[PointingFor, ...] = ("reading", "other points", "mark", "pin")


def of_drags(name: str) -> Iterator[str]:
    editor = editor_of(name)
    before = editor.scene
    for number, key in enumerate(dragged(editor.scene)):
        for travel, steer, view in HELD:
            editor.set_travel(travel)
            editor.set_steer(steer)
            editor.snapping.square_on = number % 3 == 1
            editor.snapping.catch_on = number % 3 == 2
            editor.grid_mm = 5.0 if number % 4 == 3 else None
            at = (431.0, 282.0)
            drag = begin_drag(editor, view, key, at)
            if drag is None:
                yield f"{key} {view}: none"
                continue
            drag.move((at[0] + 2.0, at[1] - 1.0))
            drag.move((at[0] + 37.0, at[1] - 22.0))
            held = editor.held
            drag.drop()
            there = f"{editor.travel_mm:.6g} {editor.steer_deg:.6g}"
            yield f"{key} {view} {there} {held and held.before}: {done(editor, before)}"
    editor.close()


def of_drawing() -> Iterator[str]:
    """Brackets drawn place after place, in each shape."""
    places: tuple[FrontPoint, ...] = (
        (340.0, 380.0),
        (412.3, 378.8),
        (431.0, 431.0),
        (365.0, 440.0),
        (340.3, 380.2),
    )
    for shape in SHAPES:
        for typed in ("", "20", "25; 30", "1/2", "7;"):
            editor = editor_of("brackets")
            before = editor.scene
            editor.select("bracket[0]")
            clicked = places
            if shape == "hole":
                outline = value_of(editor.scene, "bracket[0].outline")
                x, y = (sum(one) / len(outline) for one in zip(*outline, strict=True))
                clicked = ((x, y), (x + 3.0, y + 1.5), (x, y))
            if typed == "7;":
                # Twice the same place.
                clicked = (*clicked[:2], clicked[1], clicked[1])
            editor.snapping.square_on = typed == "20"
            editor.snapping.catch_on = typed == "1/2"
            bracket_drawing.take_up(editor, shape)
            for number, place in enumerate(clicked):
                bracket_drawing.point(editor, place)
                drawing = editor.open_outline
                said = "" if drawing is None else f"{drawing.words} {drawing.drawn()}"
                yield f"{shape} {place}: {said} {editor.message}"
                if number == 2:
                    for letter in typed:
                        bracket_drawing.type_into(editor, letter)
                    bracket_drawing.finish(editor)
                    bracket_drawing.take_back(editor)
                bracket_drawing.put_corner(editor)
            bracket_drawing.finish(editor)
            bracket_drawing.finish(editor)
            yield f"{shape} {typed}: {done(editor, before, undone=False)}"
            editor.close()


def of_drawn_by_drag() -> Iterator[str]:
    for shape in SHAPES:
        for far in (2.0, 40.0):
            editor = editor_of("brackets")
            before = editor.scene
            editor.select("bracket[0]")
            bracket_drawing.take_up(editor, shape)
            drag = bracket_drawing.Draw(editor, (300.0, 250.0))
            drag.move((300.0 + far, 250.0 - 0.6 * far))
            drag.drop()
            drawing = editor.open_outline
            yield f"{shape} {far}: {drawing} {done(editor, before, undone=False)}"
            editor.close()


def of_pointing() -> Iterator[str]:
    """Readings, other points and marks pointed out in the sketch."""
    editor = editor_of("readings")
    before = editor.scene
    for what in POINTED:
        for selected in ("", "reading[0]", "reading[4]"):
            editor.select(selected)
            pointing_out.take_up(editor, what)
            yield f"{what} {selected}: {editor.pointing} {sorted(editor.open_steps)}"
            for key in ("linkage.ball_joint", "bracket[0]", "mark[1].at", "hub.outer_joint"):
                taken = pointing_out.click_point(editor, key)
                words = "" if editor.pointing is None else editor.pointing.words
                other = what == "other points"
                line = pointing_out.with_other_points(editor, "mm") if other else ""
                yield f"  {key} {taken}: {words} {line}"
            editor.pointing = None
    for view in VIEWS:
        pointing_out.place_mark(editor, (412.34, 187.66), view)
        yield f"mark {view}: {done(editor, before)}"
    editor.close()


def of_pins() -> Iterator[str]:
    """A photo pinned point by point, its pins dragged and removed."""
    editor = editor_of("readings")
    editor.document.apply("no pins", lambda scene: replace(scene, photo=Photo("front.jpg")))
    setattr(editor.photo, "file", lambda *_: PhotoFile(Image.new("RGB", (1600, 1200)), 26.0))  # noqa: B010
    points = ("hub.outer_joint", "linkage.arm_pivot", "linkage.strut_top", "linkage.ball_joint")
    for number, key in enumerate(("bracket[0]", *points, "mark[0].at")):
        editor.pointing = Pointing("pin")
        for at in ((0.0, 0.0), (9e3, 0.0), (300.0 + 71.0 * number, 180.0 + 17.0 * number**2)):
            photo_pins.click_pin(editor, key, at)
            pins = [tuple(round(one, 3) for one in pin) for pin in photo_pins.all_pins(editor)]
            yield f"{key} {at}: {editor.pointing} {editor.message} {pins}"
            yield f"  {editor.photo.words(editor.worker, editor.scene, None, 'mm')}"
        drag = begin_drag(editor, "front", f"photo.pins[{max(number - 1, 0)}]", (400.0, 300.0))
        if drag is not None and 0 < number <= len(photo_pins.all_pins(editor)):
            drag.move((421.0, 288.0))
            drag.drop()
            yield f"  dragged {[one[:2] for one in photo_pins.all_pins(editor)]}"
    for selected in ("photo.pins[1]", "", "", "", "", ""):
        editor.select(selected)
        photo_pins.remove_pin(editor)
        yield f"removed: {[one[:2] for one in photo_pins.all_pins(editor)]} {editor.message}"
    editor.close()


def lacking(shown: Shown) -> Iterator[tuple[str, Shown]]:
    """What is shown, each time with some of it not worked out yet, or wrong."""
    solved, pose = shown.solved, shown.pose
    assert solved is not None
    assert pose is not None
    yield "whole", shown
    yield "nothing", Shown(None, None, "expected a longer arm, got 3 mm")
    yield "problem", replace(shown, problem="expected a longer arm, got 3 mm", closes=False)
    yield "outdated", replace(shown, outdated="older than its file")
    yield "pose", replace(shown, pose=None)
    yield "shaft", replace(shown, pose=replace(pose, shaft=None))
    yield "gaps", replace(shown, gaps=())
    yield "solved", replace(shown, solved=None)
    for name, what in (
        ("over the sweep", {"exact": False}),
        ("gap curve", {"gap_mm": None}),
        ("envelope", {"envelope": ()}),
        ("certainty", {"uncertain": "the tape's errors are too large"}),
        ("window", {"found": replace(solved.found, window=None)}),
        ("worst gaps", {"found": replace(solved.found, gaps=())}),
    ):
        yield name, replace(shown, solved=replace(solved, **what))


def of_lacking(name: str) -> Iterator[str]:
    """What is said and drawn while something is not worked out yet."""
    editor = editor_of(name)
    editor.set_travel(20.0)
    for lacks, shown in lacking(editor.shown(exact=True)):
        for value in position_values(shown, "mm", nearest_gap(shown)):
            yield f"{lacks}: {value}"
        for told in (None, Verdict("do not cut", "Do not cut.", ("the arm is bent",))):
            yield f"{lacks}: {whole_answer(shown, 'mm', told)}"
            for draw, width in (
                *((draw_answer, wide) for wide in (900, 600, 450, 330)),
                (draw_bar, 500),
            ):
                pane = Pane(Area(0, 0, width, 72), 1.0)
                if shown.solved is None and draw is draw_bar:
                    continue
                items = draw(pane, shown, "mm", told)
                words = [(one.text, one.at[1]) for one in items if isinstance(one, Text)]
                roles = sorted(Counter(one.role for one in items).items())
                yield f"{lacks} {draw.__name__} {width}: {words} {roles}"
        for step in WORK_ORDER:
            yield f"{lacks}: {step.name}: {step.summary(editor, shown)}"
            for row in step.rows(editor, shown):
                if not isinstance(row, kinds.FieldRow | kinds.RowHeading | kinds.Buttons):
                    yield f"{lacks}: {'drawing' if isinstance(row, kinds.Drawing) else row}"
    editor.close()


def of_map() -> Iterator[str]:
    """The map of places for the gearbox: each cell, its tenths, and the marks where they belong."""
    scene = example("van-rear-measured")
    assert scene.gearbox_placement is not None
    corners = {side: scene.corner(side) for side in scene.sides}
    for room in (scene.gearbox_placement, MountRoom((2.0, 9.0), (-3.0, 12.0))):
        found = place_gearbox(corners, room, points=5)
        for width, height in ((300, 176), (150, 90)):
            for unit in get_args(Unit):
                picture = draw_map(Pane(Area(0, 0, width, height), 1.0), found, unit)
                yield from (f"{width} {unit}: {one}" for one in picture)


def everything() -> dict[str, Callable[[], Iterator[str]]]:
    """What is held, by the name of its file."""
    held: dict[str, Callable[[], Iterator[str]]] = {}
    for name in SCENES:
        if name != "ragged":
            held[f"{name}-fields"] = lambda name=name: of_fields(name)  # type: ignore[misc]
        held[f"{name}-drags"] = lambda name=name: of_drags(name)  # type: ignore[misc]
    for name in PRESSED:
        held[f"{name}-commands"] = lambda name=name: of_commands(name)  # type: ignore[misc]
    return held | {
        "brackets-lacking": lambda: of_lacking("brackets"),
        "measured-lacking": lambda: of_lacking("measured"),
        "drawing": of_drawing,
        "drawn-by-drag": of_drawn_by_drag,
        "map-of-places": of_map,
        "pins": of_pins,
        "pointing": of_pointing,
    }


@pytest.mark.parametrize("name", everything())
def test_what_a_hand_does_is_as_it_was(name: str) -> None:
    said, was = now_and_before(f"by-hand/{name}", everything()[name]())
    for line, before in zip(said, was, strict=False):
        assert line == before or same(line, before), line
    assert len(said) == len(was)


if __name__ == "__main__":
    raise SystemExit(write_anew(__file__))
